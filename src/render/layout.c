#include "render/layout.h"

bool fl_layout_init(struct fl_layout *l, struct fl_text *out)
{
	*l = (struct fl_layout){ .out = out, .width = FL_COLUMNS };
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

struct block { uint32_t first, last; };

static bool is_in(const struct block *blocks, size_t n, uint32_t c)
{
	for (size_t i = 0; i < n; i++)
		if (c >= blocks[i].first && c <= blocks[i].last)
			return true;
	return false;
}

/* Unicode Standard Annex 11, East_Asian_Width W and F, in round blocks. */
static bool is_wide(uint32_t c)
{
	static const struct block blocks[] = {
		{ 0x1100, 0x115f }, { 0x231a, 0x231b }, { 0x23e9, 0x23f3 },
		{ 0x25fd, 0x27bf }, { 0x2b1b, 0x2b55 }, { 0x2e80, 0x303e },
		{ 0x3041, 0xa4cf }, { 0xa960, 0xa97f }, { 0xac00, 0xd7a3 },
		{ 0xf900, 0xfaff }, { 0xfe10, 0xfe6f }, { 0xff00, 0xff60 },
		{ 0xffe0, 0xffe6 }, { 0x16fe0, 0x18dff }, { 0x1aff0, 0x1b2ff },
		{ 0x1f000, 0x1faff }, { 0x20000, 0x3fffd },
	};
	return is_in(blocks, sizeof blocks / sizeof blocks[0], c);
}

/* Unicode General_Category Mn and Me of the scripts most used. */
static bool is_combining(uint32_t c)
{
	static const struct block blocks[] = {
		{ 0x0300, 0x036f }, { 0x0483, 0x0489 }, { 0x0591, 0x05bd },
		{ 0x05bf, 0x05bf }, { 0x05c1, 0x05c2 }, { 0x05c4, 0x05c5 },
		{ 0x05c7, 0x05c7 }, { 0x0610, 0x061a }, { 0x064b, 0x065f },
		{ 0x0670, 0x0670 }, { 0x06d6, 0x06dc }, { 0x06df, 0x06e4 },
		{ 0x06e7, 0x06e8 }, { 0x06ea, 0x06ed }, { 0x0900, 0x0902 },
		{ 0x093a, 0x093a }, { 0x093c, 0x093c }, { 0x0941, 0x0948 },
		{ 0x094d, 0x094d }, { 0x0951, 0x0957 }, { 0x0e31, 0x0e31 },
		{ 0x0e34, 0x0e3a }, { 0x0e47, 0x0e4e }, { 0x1dc0, 0x1dff },
		{ 0x20d0, 0x20f0 }, { 0x302a, 0x302d }, { 0x3099, 0x309a },
		{ 0xfe00, 0xfe0f }, { 0xfe20, 0xfe2f },
	};
	return is_in(blocks, sizeof blocks / sizeof blocks[0], c);
}

size_t fl_character(const char *text, size_t *columns, uint32_t *point)
{
	const uint8_t *p = (const uint8_t *)text;
	size_t size = 1;
	uint32_t code = p[0] < 0x80 ? p[0] : p[0] & (p[0] < 0xe0 ? 0x1f :
						     p[0] < 0xf0 ? 0x0f : 0x07);
	while ((p[size] & 0xc0) == 0x80)
		code = code << 6 | (p[size++] & 0x3f);
	*columns = is_combining(code) ? 0 : is_wide(code) ? 2 : 1;
	*point = code;
	return size;
}

size_t fl_within(const char *text, size_t width, size_t *columns)
{
	size_t i = 0;
	*columns = 0;
	while (text[i]) {
		size_t wide;
		uint32_t point;
		const size_t size = fl_character(text + i, &wide, &point);
		if (wide > width - *columns)
			break;
		i += size;
		*columns += wide;
	}
	return i;
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
		uint32_t point;
		const size_t size = fl_character(text + i, &wide, &point);
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
	const size_t width = l->width - column;
	const struct fl_cell cell = { column, width, l->line.at, false };
	fl_layout_row(l, &cell, 1);
	l->out->full |= l->line.full;
	fl_text_empty(&l->line);
}
