#include "render/grid.h"

#include "render/layout.h"

#include <string.h>

void fl_grid_clear(struct fl_grid *grid)
{
	const size_t n = (size_t)grid->columns * grid->rows;
	for (size_t i = 0; i < n; i++)
		grid->cells[i] = (struct fl_grid_cell){ ' ', FL_STYLE_PLAIN };
}

/* What is written over half of a wide character takes away the other half. */
static void unpair(struct fl_grid_cell *line, unsigned column, unsigned columns)
{
	if (column == 0 || column >= columns || line[column].point)
		return;
	line[column - 1].point = ' ';
	line[column].point = ' ';
}

unsigned fl_grid_put(struct fl_grid *grid, unsigned row, unsigned column,
		     const char *text, size_t n, enum fl_style style)
{
	if (row >= grid->rows)
		return column;
	struct fl_grid_cell *line = grid->cells + (size_t)row * grid->columns;
	unpair(line, column, grid->columns);
	for (size_t i = 0; i < n && text[i];) {
		size_t wide;
		uint32_t point;
		i += fl_character(text + i, &wide, &point);
		if (column + wide > grid->columns)
			break;
		unpair(line, column + (unsigned)wide, grid->columns);
		for (size_t k = 0; k < wide; k++)
			line[column++] = (struct fl_grid_cell){ k ? 0 : point,
								(uint8_t)style };
	}
	return column;
}

void fl_grid_bar(struct fl_grid *grid, unsigned row, const char *text,
		 enum fl_style style)
{
	unsigned column = fl_grid_put(grid, row, 0, text, strlen(text), style);
	while (column < grid->columns)
		column = fl_grid_put(grid, row, column, " ", 1, style);
}
