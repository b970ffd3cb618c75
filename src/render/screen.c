/* screen.c -- the blocks of the screen, each cut to the rows that it gets.
 *
 * Rows are given out twice in the order of rank: first to each block what it
 * cannot do without, then what is left. What is left after that parts the
 * blocks by empty rows. The keys have the last row.
 */
#include "render/blocks.h"
#include "render/grid.h"

#include <stdio.h>
#include <stdlib.h>

enum { COLUMNS_LEAST = 60, ROWS_LEAST = 20 };

/* From its top to its bottom. `rank`: who gets rows first, 0 before 1. A line
 * indented by `deep` columns or more goes on with the one before it. */
static const struct row {
	void (*make)(struct fl_block *);
	unsigned rank, least;
	size_t deep;
	const char *noun;            /* of what is cut; NULL: one sentence   */
	bool newest;                 /* the last ones are the ones to keep   */
	enum fl_style style;
} rows[] = {
	{ fl_block_place, 0, 3, 0, NULL, false, FL_STYLE_PLAIN },
	{ fl_block_headline, 1, 6, 0, NULL, false, FL_STYLE_STRONG },
	{ fl_block_meaning, 2, 2, 0, NULL, false, FL_STYLE_PLAIN },
	{ fl_block_story, 9, 0, 0, NULL, false, FL_STYLE_PLAIN },
	{ fl_block_suspects, 4, 5, 10, "", false, FL_STYLE_PLAIN },
	{ fl_block_devices, 5, 4, 4, " here", false, FL_STYLE_PLAIN },
	{ fl_block_strangers, 10, 0, 0, NULL, false, FL_STYLE_PLAIN },
	{ fl_block_ports, 8, 1, 0, NULL, false, FL_STYLE_FAINT },
	{ fl_block_step, 7, 2, 0, NULL, false, FL_STYLE_STRONG },
	{ fl_block_events, 6, 2, 9, " before", true, FL_STYLE_PLAIN },
	{ fl_block_status, 3, 2, 0, NULL, false, FL_STYLE_STRONG },
};
enum { BLOCKS = sizeof rows / sizeof rows[0] };

/* A block's text by lines, and those of them that are shown. */
struct lines {
	const struct row *row;
	struct fl_block block;
	const char **at;
	size_t n, shown;
};

static void split(struct lines *l)
{
	l->n = l->block.page.lay.lines;
	l->at = calloc(l->n + 1, sizeof *l->at);
	const char *at = l->block.text.at;
	size_t n = 0;
	while (l->at && n < l->n && *at) {
		l->at[n++] = at;
		at += strcspn(at, "\n");
		at += *at == '\n';
	}
	l->n = n;
}

static unsigned least(unsigned a, unsigned b) { return a < b ? a : b; }

static size_t indent(const char *line) { return strspn(line, " "); }

/* How many things begin in the lines from..to. */
static size_t things(const struct lines *l, size_t from, size_t to)
{
	size_t n = 0;
	for (size_t i = from; i < to; i++)
		n += indent(l->at[i]) < l->row->deep;
	return n;
}

static unsigned put_line(struct fl_grid *grid, unsigned row, const char *line,
			 enum fl_style style)
{
	return fl_grid_put(grid, row, 0, line, strcspn(line, "\n"),
			   line[0] == '>' ? FL_STYLE_STRONG : style);
}

/* Devices that are cut and not well are told, lest one is overlooked. */
static size_t unwell(const struct lines *l, size_t from, size_t to)
{
	const struct fl_answer *a = l->block.page.answer;
	size_t n = 0, item = things(l, 0, from);
	for (size_t i = from; i < to && a->planned; i++)
		if (indent(l->at[i]) < l->row->deep && item < a->device_count)
			n += a->devices[item++].state != FL_STATE_HEARD;
	return n;
}

static void put_fold(const struct lines *l, struct fl_grid *grid, unsigned row,
		     size_t from, size_t to)
{
	char text[120], bad[48] = "";
	const bool list = l->row->make == fl_block_devices;
	const size_t n = list ? unwell(l, from, to) : 0;
	if (n)
		(void)snprintf(bad, sizeof bad, ", %zu of them not well", n);
	(void)snprintf(text, sizeof text, "  and %zu more%s%s%s.",
		       things(l, from, to), l->row->noun,
		       list && from == 0 ? " above" : "", bad);
	(void)put_line(grid, row, text, FL_STYLE_PLAIN);
}

/* One sentence cut short ends in dots. */
static void put_sentence(const struct lines *l, struct fl_grid *grid,
			 unsigned row, enum fl_style style)
{
	static const char dots[] = " ...";
	const unsigned latest = grid->columns - (unsigned)strlen(dots);
	unsigned column = 0;
	for (size_t i = 0; i < l->shown; i++)
		column = put_line(grid, row + (unsigned)i, l->at[i], style);
	if (l->shown && l->shown < l->n)
		(void)fl_grid_put(grid, row + (unsigned)l->shown - 1,
				  least(column, latest), dots, strlen(dots), style);
}

/* The first line of the thing that is chosen and the one behind its last. */
static void chosen_lines(const struct lines *l, size_t *from, size_t *to)
{
	*from = *to = 0;
	for (size_t i = 0; i < l->n && l->row->make == fl_block_devices; i++)
		if (l->at[i][0] == '>') {
			*from = i;
			*to = i + 1;
			while (*to < l->n && indent(l->at[*to]) >= l->row->deep)
				++*to;
			return;
		}
}

/* A list cut at its end, at its beginning, or both, so that what was chosen
 * stays in sight; each cut takes a row to say so. */
static void put_list(const struct lines *l, struct fl_grid *grid, unsigned row)
{
	size_t from = 0, chosen, behind;
	chosen_lines(l, &chosen, &behind);
	if (l->row->newest)
		from = l->n - l->shown;
	else if (behind + 1 > l->shown && l->shown > 2)
		from = behind + 2 - l->shown < chosen ? behind + 2 - l->shown
						      : chosen;
	if (from + l->shown > l->n)
		from = l->n - l->shown;
	const bool above = from > 0, below = from + l->shown < l->n;
	for (size_t i = 0; i < l->shown; i++) {
		const unsigned at = row + (unsigned)i;
		if (below && i + 1 == l->shown)
			put_fold(l, grid, at, from + i, l->n);
		else if (above && i == 0)
			put_fold(l, grid, at, 0, from + 1);
		else
			(void)put_line(grid, at, l->at[from + i], l->row->style);
	}
}

static bool anything_wrong(const struct fl_answer *a)
{
	for (size_t i = 0; i < a->finding_count; i++)
		if (a->findings[i].severity == FL_FAULT)
			return true;
	return false;
}

static void put_block(const struct lines *l, struct fl_grid *grid, unsigned row)
{
	const bool alarm = l->row->make == fl_block_headline &&
			   anything_wrong(l->block.page.answer);
	if (l->shown < l->n && l->row->noun)
		put_list(l, grid, row);
	else
		put_sentence(l, grid, row, alarm ? FL_STYLE_ALARM : l->row->style);
}

static unsigned give(struct lines *blocks, unsigned left, bool all)
{
	for (unsigned rank = 0; rank < BLOCKS; rank++)
		for (size_t i = 0; i < BLOCKS; i++) {
			struct lines *l = &blocks[i];
			if (l->row->rank != rank)
				continue;
			const unsigned wanted = all ? (unsigned)l->n
				: least(l->row->least, (unsigned)l->n);
			const unsigned more =
				least(wanted - (unsigned)l->shown, left);
			l->shown += more;
			left -= more;
		}
	return left;
}

static void put_blocks(struct lines *blocks, struct fl_grid *grid)
{
	unsigned left = give(blocks, grid->rows - 1, false);
	left = give(blocks, left, true);
	unsigned row = 0;
	for (size_t i = 0; i < BLOCKS; i++) {
		if (!blocks[i].shown)
			continue;
		if (row && left) {
			row++;
			left--;
		}
		put_block(&blocks[i], grid, row);
		row += (unsigned)blocks[i].shown;
	}
}

static void draw(const struct fl_screen *screen, struct fl_grid *grid)
{
	struct lines blocks[BLOCKS] = { 0 };
	for (size_t i = 0; i < BLOCKS; i++) {
		struct lines *l = &blocks[i];
		l->row = &rows[i];
		if (!fl_block_open(&l->block, screen, grid->columns))
			continue;
		l->row->make(&l->block);
		split(l);
	}
	put_blocks(blocks, grid);
	for (size_t i = 0; i < BLOCKS; i++) {
		free(blocks[i].at);
		fl_block_close(&blocks[i].block);
	}
	fl_screen_keys(grid, screen->keys, screen->typed);
}

/* Too small to be read well: the headline at least. */
static void draw_small(const struct fl_screen *screen, struct fl_grid *grid)
{
	static const char larger[] = "Make the window larger: 60 x 20.";
	struct lines l = { .row = &rows[1] };
	(void)fl_grid_put(grid, 0, 0, larger, strlen(larger), FL_STYLE_PLAIN);
	if (grid->columns >= 2 && fl_block_open(&l.block, screen, grid->columns)) {
		fl_block_headline(&l.block);
		split(&l);
	}
	for (unsigned i = 0; i < l.n && i + 1 < grid->rows; i++)
		(void)put_line(grid, i + 1, l.at[i], FL_STYLE_STRONG);
	free(l.at);
	fl_block_close(&l.block);
}

void fl_screen_draw(const struct fl_screen *screen, struct fl_grid *grid)
{
	fl_grid_clear(grid);
	if (grid->columns < COLUMNS_LEAST || grid->rows < ROWS_LEAST)
		draw_small(screen, grid);
	else
		draw(screen, grid);
}
