/* watch.h -- listening at ports until it is time: the loop that joins live
 * sources, tally, ledger, visit and screen.
 *
 *     ports --frames--> live --> tally --observations--> visit's journal
 *     kernel --ports--> ports ----^                 \--> ledger --> answer
 *     keys, signals --marks-------^                          screen, lines
 *
 * Rights are given up in steps (privilege.h) before the first frame is read.
 */
#ifndef FL_CLI_WATCH_H
#define FL_CLI_WATCH_H

#include "cli/cli.h"
#include "cli/judge.h"
#include "cli/terminal.h"
#include "source/live.h"

struct fl_watch_order {
	const char *ports[FL_LIVE_PORTS];
	size_t      port_count;
	fl_time     length;          /* 0: until it is firm                  */
	const char *visit;           /* folder, NULL: nothing is kept        */
	const char *plan;            /* octets of it, kept in a visit that
				      * has none; NULL                       */
	size_t      plan_octets;
	const char *wiggle;          /* device, or "link"; NULL: none        */
	bool        ask;             /* ask each planned address once        */
	bool        lines;           /* tell events on standard output       */
	bool        screen;          /* use the terminal, if there is one    */
	bool        tick;            /* a bell each second while it is heard */
	enum fl_contrast contrast;
};

/* Listen. FL_EXIT_WELL: the judging has heard what there was; else it was
 * said what was wrong. */
enum fl_exit fl_watch(struct fl_judging *judging, const struct fl_watch_order *order);

/* Listening ends at the latest then where nothing else ends it: in this time
 * most of what speaks unasked has spoken. Judgement. */
#define FL_WATCH_LONGEST (5 * FL_MINUTE)
/* Ten beats of a sounder or radar that speaks each 2 s, so that one which fell
 * silent at once is noticed too. Judgement. */
#define FL_WATCH_LEAST   (20 * FL_SECOND)

#endif
