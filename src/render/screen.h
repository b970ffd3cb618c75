/* screen.h -- what stands on a terminal while fairlead listens: a grid of
 * cells, drawn from an answer by render and put up by cli.
 *
 * The answer comes first, at every size from 60 x 20 on; below it the devices
 * one a line, what happened last, and the keys. Nothing is told by colour
 * alone: a style only underlines what the words say.
 *
 * Units   rows and columns of a terminal, from 0
 * Owns    nothing: the caller holds the cells
 * Errors  what does not fit is left out, and the last line of its part says
 *         how much
 */
#ifndef FL_RENDER_SCREEN_H
#define FL_RENDER_SCREEN_H

#include "diagnose/answer.h"

enum fl_style { FL_STYLE_PLAIN, FL_STYLE_STRONG, FL_STYLE_ALARM, FL_STYLE_FAINT,
		FL_STYLE_BAR, FL_STYLES };

struct fl_grid_cell {
	uint32_t point;              /* Unicode; 0: right half of a wide one */
	uint8_t  style;
};

struct fl_grid {
	unsigned columns, rows;      /* at most 400 x 200                    */
	struct fl_grid_cell *cells;  /* columns * rows of them, row by row   */
};

/* What the screen shows beside the answer. */
struct fl_screen {
	const struct fl_answer *answer;
	const char *ports;           /* "eth1, eth2"                         */
	fl_time now;                 /* listening time                       */
	fl_time firm_in;             /* until a silence means something; 0:
				      * it does; below 0: it never will      */
	fl_time ends_in;             /* 0: when told to                      */
	int     chosen;              /* row of the list: a device, without a
				      * plan a station; -1: none             */
	bool    working;             /* somebody works on the network        */
	const char *typed;           /* text of a mark being typed, or NULL  */
	const struct fl_texts *events;   /* sentences with their time, oldest
					  * first                            */
	const char *status;          /* one sentence, NULL                   */
	const char *keys;            /* what they are, in words              */
};

void fl_screen_draw(const struct fl_screen *screen, struct fl_grid *grid);

/* One device, or the own link, in large words for somebody with both hands at
 * a plug. */
struct fl_wiggle {
	const char *name;            /* "arch radar", "link of eth1"         */
	bool     heard;              /* now                                  */
	bool     ever;
	bool     deaf;               /* the laptop itself has no link        */
	fl_time  since;              /* how long it is so, ns                */
	uint32_t losses;
	fl_time  longest;            /* of them                              */
	const struct fl_texts *events;
	const char *typed;
	const char *keys;
};

void fl_wiggle_draw(const struct fl_wiggle *wiggle, struct fl_grid *grid);

#endif
