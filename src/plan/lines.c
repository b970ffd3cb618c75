/* lines.c -- the text of a plan as sections and entries.
 *
 * Takes   UTF-8 with or without a byte order mark, lines ended by LF or CR LF,
 *         blanks and tabs alike; `;` begins a comment anywhere, `#` at the
 *         start of a line or after a blank, so that "A#2" can be a name
 * Refuses a section without its bracket, a line without "=", a key without a
 *         value; the next line is then read as if nothing had been
 */
#include "plan/reader.h"

static bool blank(char c)
{
	return c == ' ' || c == '\t' || c == '\r';
}

char fl_lower(char c)
{
	return (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

/* The piece of `s` from octet `from` up to octet `to`. */
static struct fl_span piece(struct fl_span s, size_t from, size_t to)
{
	return (struct fl_span){ s.at + from, to - from, s.line,
				 s.column + (int)from };
}

struct fl_span fl_span_trim(struct fl_span s)
{
	size_t from = 0, to = s.n;
	while (from < to && blank(s.at[from]))
		from++;
	while (to > from && blank(s.at[to - 1]))
		to--;
	return piece(s, from, to);
}

/* Octets of `s` that these words take, 0 if it does not open with them. */
static size_t match(struct fl_span s, const char *words)
{
	size_t n = 0;
	for (; *words; words++) {
		if (n == s.n)
			return 0;
		if (*words != ' ' && fl_lower(s.at[n]) != fl_lower(*words))
			return 0;
		if (*words == ' ' && !blank(s.at[n]))
			return 0;
		n++;
		while (*words == ' ' && n < s.n && blank(s.at[n]))
			n++;
	}
	return n;
}

bool fl_span_is(struct fl_span s, const char *words)
{
	return s.n && match(s, words) == s.n;
}

/* The octet at *i with a run of blanks as one, stepping behind it. */
static int folded_octet(struct fl_span s, size_t *i)
{
	if (*i == s.n)
		return -1;
	const char c = s.at[(*i)++];
	if (!blank(c))
		return (unsigned char)c;
	while (*i < s.n && blank(s.at[*i]))
		++*i;
	return ' ';
}

size_t fl_span_fold(struct fl_span s, char *out, size_t room)
{
	size_t n = 0;
	int c;
	for (size_t i = 0; (c = folded_octet(s, &i)) >= 0; n++)
		if (n < room)
			out[n] = (char)c;
	return n;
}

bool fl_span_equal(struct fl_span a, struct fl_span b)
{
	size_t i = 0, j = 0;
	int c;
	do {
		c = folded_octet(a, &i);
		if (c != folded_octet(b, &j))
			return false;
	} while (c >= 0);
	return true;
}

bool fl_span_opens(struct fl_span *s, const char *words)
{
	const size_t n = match(*s, words);
	if (!n || n == s->n || !blank(s->at[n]))
		return false;
	*s = fl_span_trim(piece(*s, n, s->n));
	return true;
}

bool fl_span_last(struct fl_span *s, struct fl_span *word)
{
	size_t from = s->n;
	while (from && !blank(s->at[from - 1]))
		from--;
	if (!from)
		return false;
	*word = piece(*s, from, s->n);
	*s = fl_span_trim(piece(*s, 0, from));
	return true;
}

bool fl_span_has_word(struct fl_span s, const char *word)
{
	struct fl_span last;
	while (fl_span_last(&s, &last))
		if (fl_span_is(last, word))
			return true;
	return fl_span_is(s, word);
}

bool fl_span_item(struct fl_span *rest, struct fl_span *item)
{
	if (!rest->at)
		return false;
	size_t n = 0;
	while (n < rest->n && rest->at[n] != ',')
		n++;
	*item = fl_span_trim(piece(*rest, 0, n));
	*rest = n < rest->n ? piece(*rest, n + 1, rest->n)
			    : (struct fl_span){ 0 };
	return true;
}

bool fl_span_count(struct fl_span s, int *count)
{
	if (!s.n || s.n > 6)
		return false;
	int n = 0;
	for (size_t i = 0; i < s.n; i++) {
		if (s.at[i] < '0' || s.at[i] > '9')
			return false;
		n = 10 * n + (s.at[i] - '0');
	}
	*count = n;
	return true;
}

static struct fl_span without_comment(struct fl_span s)
{
	size_t n = 0;
	while (n < s.n && s.at[n] != ';' &&
	       !(s.at[n] == '#' && (!n || blank(s.at[n - 1]))))
		n++;
	return fl_span_trim(piece(s, 0, n));
}

static struct fl_span upto(struct fl_span s, char mark, struct fl_span *rest)
{
	size_t n = 0;
	while (n < s.n && s.at[n] != mark)
		n++;
	*rest = piece(s, n, s.n);
	return fl_span_trim(piece(s, 0, n));
}

static struct fl_line bad(enum fl_line_kind kind, struct fl_span where,
			  const char *text, const char *remedy)
{
	return (struct fl_line){ kind, where, where, text, remedy };
}

static struct fl_line section(struct fl_span s)
{
	struct fl_span rest;
	struct fl_span name = upto(piece(s, 1, s.n), ']', &rest);
	if (!rest.n)
		return bad(FL_LINE_BAD_SECTION, s,
			   "this section has no closing bracket",
			   "write it as [device arch radar]");
	if (rest.n > 1)
		return bad(FL_LINE_BAD_SECTION,
			   fl_span_trim(piece(rest, 1, rest.n)),
			   "there is more behind the closing bracket",
			   "begin a new line, or put ; before a comment");
	size_t n = 0;
	while (n < name.n && !blank(name.at[n]))
		n++;
	const struct fl_span kind = piece(name, 0, n);
	return (struct fl_line){ FL_LINE_SECTION, kind,
				 fl_span_trim(piece(name, n, name.n)),
				 NULL, NULL };
}

static struct fl_line entry(struct fl_span s)
{
	struct fl_span rest;
	const struct fl_span key = upto(s, '=', &rest);
	if (!rest.n)
		return bad(FL_LINE_BAD_ENTRY, s, "this line has no =",
			   "write key = value, or put ; before a comment");
	if (!key.n)
		return bad(FL_LINE_BAD_ENTRY, s, "nothing stands before the =",
			   "write key = value");
	const struct fl_span value = fl_span_trim(piece(rest, 1, rest.n));
	if (!value.n)
		return bad(FL_LINE_BAD_ENTRY, s, "nothing stands behind the =",
			   "fill it in, or put ; before the line");
	return (struct fl_line){ FL_LINE_ENTRY, key, value, NULL, NULL };
}

struct fl_lines fl_lines(const char *text, size_t n)
{
	static const char mark[] = { '\xef', '\xbb', '\xbf' };   /* U+FEFF */
	const bool marked = n >= sizeof mark &&
			    memcmp(text, mark, sizeof mark) == 0;
	const size_t skip = marked ? sizeof mark : 0;
	return (struct fl_lines){ text + skip,
				  fl_cursor(text + skip, n - skip), 0 };
}

bool fl_lines_next(struct fl_lines *lines, struct fl_line *line)
{
	struct fl_cursor *c = &lines->cursor;
	while (fl_left(c)) {
		const size_t from = fl_offset(c);
		while (fl_left(c) && fl_peek(c) != '\n')
			fl_skip(c, 1);
		const struct fl_span s = without_comment((struct fl_span){
			lines->text + from, fl_offset(c) - from,
			++lines->line, 1 });
		if (fl_left(c))
			fl_skip(c, 1);
		if (!s.n)
			continue;
		*line = s.at[0] == '[' ? section(s) : entry(s);
		return true;
	}
	return false;
}
