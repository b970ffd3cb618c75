/* wiggle.c -- one device or link in letters that are read from a plug away.
 *
 * The letters are drawn by hand, 5 columns by 5 rows, and grow with the
 * terminal. Where there is no room for them the word stands alone.
 */
#include "render/blocks.h"
#include "render/grid.h"

enum { TALL = 5, WIDE = 5, STEP = WIDE + 1, LARGEST = 6 };
enum { LEAST = 16, AROUND = 8 };   /* columns; rows beside the letters */

static const struct { char letter; const char *row[TALL]; } letters[] = {
	{ 'A', { " ### ", "#   #", "#####", "#   #", "#   #" } },
	{ 'D', { "#### ", "#   #", "#   #", "#   #", "#### " } },
	{ 'E', { "#####", "#    ", "#### ", "#    ", "#####" } },
	{ 'H', { "#   #", "#   #", "#####", "#   #", "#   #" } },
	{ 'I', { " ### ", "  #  ", "  #  ", "  #  ", " ### " } },
	{ 'K', { "#   #", "#  # ", "###  ", "#  # ", "#   #" } },
	{ 'L', { "#    ", "#    ", "#    ", "#    ", "#####" } },
	{ 'N', { "#   #", "##  #", "# # #", "#  ##", "#   #" } },
	{ 'O', { " ### ", "#   #", "#   #", "#   #", " ### " } },
	{ 'R', { "#### ", "#   #", "#### ", "#  # ", "#   #" } },
	{ 'S', { " ####", "#    ", " ### ", "    #", "#### " } },
	{ 'T', { "#####", "  #  ", "  #  ", "  #  ", "  #  " } },
	{ 'V', { "#   #", "#   #", "#   #", " # # ", "  #  " } },
};

static const char *const *drawn(char c)
{
	for (size_t i = 0; i < sizeof letters / sizeof letters[0]; i++)
		if (letters[i].letter == c)
			return letters[i].row;
	return NULL;
}

/* Each mark of a letter becomes twice `scale` columns by `scale` rows: a
 * terminal's cell is about twice as tall as it is wide. */
static void put_letter(struct fl_grid *grid, unsigned row, unsigned column,
		       const char *const *shape, unsigned across, unsigned down)
{
	for (unsigned y = 0; y < TALL * down; y++)
		for (unsigned x = 0; x < WIDE * across; x++)
			if (shape[y / down][x / across] == '#')
				(void)fl_grid_put(grid, row + y, column + x, "#", 1,
						  FL_STYLE_STRONG);
}

static unsigned least(unsigned a, unsigned b) { return a < b ? a : b; }

/* The words of `text`, one below the other; returns the row behind them. */
static unsigned put_large(struct fl_grid *grid, unsigned row, const char *text,
			  unsigned rows)
{
	unsigned words = 1, longest = 0;
	for (const char *at = text; *at; at += strspn(at, " ")) {
		const unsigned n = (unsigned)strcspn(at, " ");
		longest = n > longest ? n : longest;
		at += n;
		words += *at != '\0';
	}
	const unsigned down = least(rows / (words * (TALL + 1)), LARGEST);
	const unsigned across = least(grid->columns / (longest * STEP), 2 * down);
	if (!down || !across) {
		(void)fl_grid_put(grid, row, 0, text, strlen(text),
				  FL_STYLE_ALARM);
		return row + 1;
	}
	unsigned column = 0;
	for (; *text; text++) {
		const char *const *shape = drawn(*text);
		if (shape) {
			put_letter(grid, row, column, shape, across, down);
			column += STEP * across;
		} else {
			row += (TALL + 1) * down;
			column = 0;
		}
	}
	return row + TALL * down;
}

static unsigned put_text(struct fl_grid *grid, unsigned row, unsigned behind,
			 const char *text, enum fl_style style)
{
	while (*text && row < behind) {
		const size_t n = strcspn(text, "\n");
		(void)fl_grid_put(grid, row++, 0, text, n, style);
		text += n + (text[n] == '\n');
	}
	return row;
}

static const char *word(const struct fl_wiggle *w)
{
	return w->deaf ? "NO LINK" : !w->ever ? "NEVER HEARD" : w->heard ? "HEARD" : "LOST";
}

static void add_losses(struct fl_text *line, const struct fl_wiggle *w)
{
	char t[FL_TIME_TEXT], times[FL_TIMES_TEXT];
	if (w->deaf)
		fl_text_add(line, "The laptop's own link is down. ");
	else
		fl_text_add(line, "%s for %s. ", !w->ever ? "Not heard"
			    : w->heard ? "Heard" : "Lost",
			    fl_time_length(w->since, t));
	if (w->ever && !w->losses && !w->deaf)
		fl_text_add(line, "Never lost.");
	else if (w->losses)
		fl_text_add(line, "Lost %s, %s %s.", fl_times(w->losses, times),
			    w->losses == 1 ? "for" : "the longest",
			    fl_time_interval(w->longest, t));
}

/* The newest events that fit, above the last row. */
static void put_events(struct fl_block *b, struct fl_grid *grid, unsigned row)
{
	const unsigned behind = grid->rows - 1;
	fl_text_empty(&b->text);
	b->page.lay.lines = 0;
	fl_block_events(b);
	const char *at = b->text.at;
	const size_t room = behind > row ? behind - row : 0;
	for (size_t cut = b->page.lay.lines > room ? b->page.lay.lines - room : 0;
	     cut && *at; cut--) {
		at += strcspn(at, "\n");
		at += *at == '\n';
	}
	(void)put_text(grid, row, behind, at, FL_STYLE_PLAIN);
}

static void draw(const struct fl_wiggle *w, struct fl_block *b,
		 struct fl_grid *grid)
{
	const unsigned behind = grid->rows - 1;
	fl_text_add(&b->page.lay.line, "%s", w->name);
	fl_layout_flow(&b->page.lay, 0);
	unsigned row = put_text(grid, 0, least(2, behind), b->text.at,
				FL_STYLE_STRONG);
	row += row + 1 < behind;
	if (row < behind)
		row = put_large(grid, row, word(w),
				grid->rows > AROUND ? grid->rows - AROUND : 0);
	row += row + 1 < behind;
	fl_text_empty(&b->text);
	add_losses(&b->page.lay.line, w);
	fl_layout_flow(&b->page.lay, 0);
	row = put_text(grid, row, behind, b->text.at, FL_STYLE_STRONG);
	put_events(b, grid, row + (row + 1 < behind));
	fl_screen_keys(grid, w->keys, w->typed);
}

void fl_wiggle_draw(const struct fl_wiggle *wiggle, struct fl_grid *grid)
{
	const struct fl_screen beside = { .events = wiggle->events };
	struct fl_block b;
	fl_grid_clear(grid);
	if (!grid->rows || grid->columns < LEAST)
		return;
	if (fl_block_open(&b, &beside, grid->columns))
		draw(wiggle, &b, grid);
	fl_block_close(&b);
}
