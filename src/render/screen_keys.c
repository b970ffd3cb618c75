/* screen_keys.c -- the last line of the screen. */
#include "render/blocks.h"
#include "render/grid.h"

/* Where the last `width` columns of a clean text begin. */
static const char *tail(const char *clean, size_t width)
{
	size_t wide, columns;
	uint32_t point;
	(void)fl_within(clean, SIZE_MAX, &columns);
	while (*clean && columns > width) {
		clean += fl_character(clean, &wide, &point);
		columns -= wide;
	}
	return clean;
}

static void add_typed(struct fl_text *line, const char *typed, size_t columns)
{
	static const char help[] = "_   Enter keeps it, Esc drops it";
	const size_t around = strlen("mark: ") + strlen(help);
	struct fl_text clean;
	if (fl_text_init(&clean, FL_ROW_OCTETS)) {
		fl_clean_add(&clean, typed);
		fl_text_add(line, "mark: %s%s", tail(clean.at,
			    columns > around ? columns - around : 1), help);
	}
	fl_text_close(&clean);
}

void fl_screen_keys(struct fl_grid *grid, const char *keys, const char *typed)
{
	struct fl_text line;
	if (!grid->rows)
		return;
	if (fl_text_init(&line, FL_ROW_OCTETS)) {
		if (typed)
			add_typed(&line, typed, grid->columns);
		else
			fl_clean_add(&line, keys ? keys : "");
		fl_grid_bar(grid, grid->rows - 1, line.at, FL_STYLE_BAR);
	}
	fl_text_close(&line);
}
