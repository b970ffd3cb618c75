#include "render/layout.h"

bool fl_layout_init(struct fl_layout *l, struct fl_text *out)
{
	*l = (struct fl_layout){ .out = out };
	const bool line = fl_text_init(&l->line, FL_ROW_OCTETS);
	return fl_text_init(&l->clean, FL_ROW_OCTETS) && line;
}

void fl_layout_close(struct fl_layout *l)
{
	fl_text_close(&l->line);
	fl_text_close(&l->clean);
}

void fl_text_empty(struct fl_text *text)
{
	text->n = 0;
	text->at[0] = '\0';
}

/* fl_text_clean() takes no more than FL_TEXT_MAX octets and drops spaces at
 * both ends, so words go through it one by one, long ones in pieces that end
 * between characters. */
void fl_clean_add(struct fl_text *out, const char *text)
{
	while (*text) {
		const size_t spaces = strspn(text, " ");
		fl_text_add(out, "%*s", (int)spaces, "");
		text += spaces;
		size_t n = strcspn(text, " ");
		if (n > FL_TEXT_MAX) {
			n = FL_TEXT_MAX;
			for (int i = 0; i < 3 && (text[n] & 0xc0) == 0x80; i++)
				n--;
		}
		char word[FL_TEXT_MAX + 1];
		const struct fl_slice piece = { (const uint8_t *)text, n };
		fl_text_clean(piece, word);
		fl_text_add(out, "%s", word);
		text += n;
	}
}

/* Unicode Standard Annex 11, East_Asian_Width W and F, in round blocks. */
static bool is_wide(uint32_t c)
{
	static const struct { uint32_t first, last; } blocks[] = {
		{ 0x1100, 0x115f }, { 0x231a, 0x231b }, { 0x23e9, 0x23f3 },
		{ 0x25fd, 0x27bf }, { 0x2b1b, 0x2b55 }, { 0x2e80, 0x303e },
		{ 0x3041, 0xa4cf }, { 0xa960, 0xa97f }, { 0xac00, 0xd7a3 },
		{ 0xf900, 0xfaff }, { 0xfe10, 0xfe6f }, { 0xff00, 0xff60 },
		{ 0xffe0, 0xffe6 }, { 0x16fe0, 0x18dff }, { 0x1aff0, 0x1b2ff },
		{ 0x1f000, 0x1faff }, { 0x20000, 0x3fffd },
	};
	for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++)
		if (c >= blocks[i].first && c <= blocks[i].last)
			return true;
	return false;
}

/* The octets of the first character of a clean text, and its columns. */
static size_t character(const char *text, size_t *columns)
{
	const uint8_t *p = (const uint8_t *)text;
	size_t size = 1;
	uint32_t code = p[0] < 0x80 ? p[0] : p[0] & (p[0] < 0xe0 ? 0x1f :
						     p[0] < 0xf0 ? 0x0f : 0x07);
	while ((p[size] & 0xc0) == 0x80)
		code = code << 6 | (p[size++] & 0x3f);
	*columns = is_wide(code) ? 2 : 1;
	return size;
}

static bool at_end(char c) { return c == '\n' || c == '\0'; }

/* The octets of the longest run of whole words within `width` columns, and
 * the columns it takes. A first word wider than that is cut. */
static size_t take_line(const char *text, size_t width, size_t *columns)
{
	size_t i = 0, used = 0, fits = 0;
	*columns = 0;
	while (!at_end(text[i])) {
		size_t wide;
		const size_t size = character(text + i, &wide);
		if (used + wide > width)
			break;
		i += size;
		used += wide;
		if (text[i - 1] != ' ' && (text[i] == ' ' || at_end(text[i]))) {
			fits = i;
			*columns = used;
		}
	}
	if (fits || at_end(text[i]))
		return fits;
	*columns = used;
	return i;
}

/* One line of one cell; returns the column behind it. */
static size_t put_cell(struct fl_layout *l, const struct fl_cell *cell,
		       size_t at, const char **rest)
{
	*rest += strspn(*rest, " ");
	size_t columns;
	const size_t n = take_line(*rest, cell->width, &columns);
	if (!n)
		return at;
	const size_t start = cell->column +
		(cell->right ? cell->width - columns : 0);
	fl_text_add(l->out, "%*s%.*s", start > at ? (int)(start - at) : 0, "",
		    (int)n, *rest);
	*rest += n;
	*rest += strspn(*rest, " ");
	return start + columns;
}

static void put_line(struct fl_layout *l, const struct fl_cell *cells,
		     size_t n, const char *rest[static FL_ROW_CELLS])
{
	if (l->gap && l->lines) {
		fl_text_add(l->out, "\n");
		l->lines++;
	}
	l->gap = false;
	size_t at = 0;
	for (size_t i = 0; i < n; i++)
		at = put_cell(l, &cells[i], at, &rest[i]);
	fl_text_add(l->out, "\n");
	l->lines++;
}

static bool any_left(const char *rest[static FL_ROW_CELLS], size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (!at_end(rest[i][strspn(rest[i], " ")]))
			return true;
	return false;
}

void fl_layout_row(struct fl_layout *l, const struct fl_cell *cells, size_t n)
{
	size_t start[FL_ROW_CELLS];
	fl_text_empty(&l->clean);
	for (size_t i = 0; i < n; i++) {
		start[i] = l->clean.n;
		fl_clean_add(&l->clean, cells[i].text ? cells[i].text : "");
		fl_text_add(&l->clean, "\n");   /* no clean text holds one */
	}
	const char *rest[FL_ROW_CELLS] = { NULL };
	for (size_t i = 0; i < n; i++)
		rest[i] = l->clean.at + start[i];
	while (any_left(rest, n) && !l->out->full)
		put_line(l, cells, n, rest);
	l->out->full |= l->clean.full;
}

void fl_layout_flow(struct fl_layout *l, size_t column)
{
	const size_t width = FL_COLUMNS - column;
	const struct fl_cell cell = { column, width, l->line.at, false };
	fl_layout_row(l, &cell, 1);
	l->out->full |= l->line.full;
	fl_text_empty(&l->line);
}
