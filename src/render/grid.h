/* grid.h -- cells written into a grid.
 *
 * Promise a cell holds a printable code point; a wide character has its right
 *         half beside it; nothing is written outside. Combining marks have no
 *         cell of their own and are left out.
 */
#ifndef FL_RENDER_GRID_H
#define FL_RENDER_GRID_H

#include "render/screen.h"

/* All cells blank and plain. */
void fl_grid_clear(struct fl_grid *grid);
/* The first n octets of a clean text; what does not fit is left out. Returns
 * the column behind it. */
unsigned fl_grid_put(struct fl_grid *grid, unsigned row, unsigned column,
		     const char *text, size_t n, enum fl_style style);
/* A whole row in one style, and a clean text in it. */
void fl_grid_bar(struct fl_grid *grid, unsigned row, const char *text,
		 enum fl_style style);

#endif
