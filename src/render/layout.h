/* layout.h -- rows of cells, in lines of at most 80 columns where nothing
 * else is said.
 *
 *   column   0    5                         49       59
 *            |  1 |Light at port 3.         |   1 min|jot light 3 dark|
 *            |    |second line of this cell |        |                |
 *
 * Every text passes through fl_clean_add() on its way out, so that nothing
 * which came from a wire can move the cursor of a terminal.
 *
 * Units   columns of a terminal: a wide character takes two (Unicode
 *         Standard Annex 11), a combining mark none, any other one
 * Owns    two builders, from fl_layout_init() to fl_layout_close()
 * Errors  a text that would pass a ceiling marks `out` as full
 * Ceiling CELLS cells a row, FL_CELL_OCTETS octets of text a row
 */
#ifndef FL_RENDER_LAYOUT_H
#define FL_RENDER_LAYOUT_H

#include "base/text.h"

enum { FL_COLUMNS = 80, FL_COLUMNS_LEAST = 60, FL_ROW_CELLS = 6, FL_ROW_OCTETS = 1 << 20 };

struct fl_cell {
	size_t      column, width;   /* width at least 2                     */
	const char *text;            /* NULL: empty                          */
	bool        right;           /* flush right                          */
};

struct fl_layout {
	struct fl_text *out;
	struct fl_text  line;        /* words on their way to fl_layout_flow */
	struct fl_text  clean;
	size_t          width;       /* FL_COLUMNS, or what the caller sets  */
	bool            gap;         /* an empty line is due before the next */
	size_t          lines;       /* written so far                       */
};

bool fl_layout_init(struct fl_layout *l, struct fl_text *out);
void fl_layout_close(struct fl_layout *l);

/* One row; a cell whose words run over goes on below itself, a word wider
 * than its cell is cut. A row of empty cells writes nothing. */
void fl_layout_row(struct fl_layout *l, const struct fl_cell *cells, size_t n);
/* Write what stands in `line` from `column` to the right edge; empty it. */
void fl_layout_flow(struct fl_layout *l, size_t column);
/* Begin a text anew in the room it has. */
void fl_text_empty(struct fl_text *text);

/* The first character of a clean text that is not empty: its octets, its
 * columns and its code point. */
size_t fl_character(const char *text, size_t *columns, uint32_t *point);
/* The octets of a clean text that stand within `width` columns, and the
 * columns that they take. */
size_t fl_within(const char *text, size_t width, size_t *columns);
/* Append `text` of any length as fl_text_clean() would let it in. */
void fl_clean_add(struct fl_text *out, const char *text);

#endif
