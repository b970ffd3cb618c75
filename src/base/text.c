#include "base/text.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

/* RFC 3629 section 4: the well-formed sequences; 0 when there is none. */
static size_t sequence(const uint8_t *p, size_t n, uint32_t *code)
{
	static const struct {
		uint8_t first, last, size, low, high;   /* bounds of octet 2 */
	} rows[] = {
		{ 0x00, 0x7f, 1, 0x80, 0xbf }, { 0xc2, 0xdf, 2, 0x80, 0xbf },
		{ 0xe0, 0xe0, 3, 0xa0, 0xbf }, { 0xe1, 0xec, 3, 0x80, 0xbf },
		{ 0xed, 0xed, 3, 0x80, 0x9f }, { 0xee, 0xef, 3, 0x80, 0xbf },
		{ 0xf0, 0xf0, 4, 0x90, 0xbf }, { 0xf1, 0xf3, 4, 0x80, 0xbf },
		{ 0xf4, 0xf4, 4, 0x80, 0x8f },
	};
	static const uint8_t kept[] = { 0, 0x7f, 0x1f, 0x0f, 0x07 };
	for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
		if (p[0] < rows[r].first || p[0] > rows[r].last)
			continue;
		const size_t size = rows[r].size;
		if (size > n || (size > 1 && (p[1] < rows[r].low || p[1] > rows[r].high)))
			return 0;
		*code = p[0] & kept[size];
		for (size_t i = 1; i < size; i++) {
			if ((p[i] & 0xc0) != 0x80)
				return 0;
			*code = *code << 6 | (p[i] & 0x3f);
		}
		return size;
	}
	return 0;
}

static bool harmless(uint32_t c)
{
	static const struct { uint32_t first, last; } barred[] = {
		{ 0x0000, 0x001f }, { 0x007f, 0x009f },   /* controls        */
		{ 0x061c, 0x061c }, { 0x200b, 0x200f },   /* unseen, marks   */
		{ 0x2028, 0x202e }, { 0x2060, 0x206f },   /* breaks, turns   */
		{ 0xfeff, 0xfeff }, { 0xfff9, 0xffff },
		{ 0xe0000, 0xe0fff },                     /* unseen tags     */
	};
	for (size_t i = 0; i < sizeof barred / sizeof barred[0]; i++)
		if (c >= barred[i].first && c <= barred[i].last)
			return false;
	return true;
}

size_t fl_text_clean(struct fl_slice s, char out[static FL_TEXT_MAX + 1])
{
	size_t n = 0, i = 0;
	while (i < s.n && (s.at[i] == ' ' || s.at[i] == '\0'))
		i++;
	while (i < s.n) {
		uint32_t code = 0;
		const size_t size = sequence(s.at + i, s.n - i, &code);
		const bool keep = size && harmless(code);
		const size_t more = keep ? size : 1;
		if (n + more > FL_TEXT_MAX)
			break;
		if (keep)
			memcpy(out + n, s.at + i, size);
		else
			out[n] = '?';
		n += more;
		i += size ? size : 1;
	}
	while (n && out[n - 1] == ' ')
		n--;
	out[n] = '\0';
	return n;
}

bool fl_text_init(struct fl_text *text, size_t ceiling)
{
	*text = (struct fl_text){ .ceiling = ceiling, .room = 1 };
	text->at = calloc(1, 1);
	return text->at;
}

void fl_text_close(struct fl_text *text)
{
	free(text->at);
	*text = (struct fl_text){ 0 };
}

static bool make_room(struct fl_text *text, size_t more)
{
	if (more > text->ceiling || text->n > text->ceiling - more)
		return false;
	size_t room = text->room;
	while (room < text->n + more + 1)
		room *= 2;
	char *at = room > text->room ? realloc(text->at, room) : text->at;
	if (!at)
		return false;
	text->at = at;
	text->room = room;
	return true;
}

void fl_text_add_list(struct fl_text *text, const char *format, va_list args)
{
	va_list again;
	va_copy(again, args);
	const int n = vsnprintf(NULL, 0, format, args);
	if (n < 0 || !make_room(text, (size_t)n)) {
		text->full = true;
	} else {
		(void)vsnprintf(text->at + text->n, (size_t)n + 1, format, again);
		text->n += (size_t)n;
	}
	va_end(again);
}

void fl_text_add(struct fl_text *text, const char *format, ...)
{
	va_list args;
	va_start(args, format);
	fl_text_add_list(text, format, args);
	va_end(args);
}

size_t fl_text_columns(const char *text)
{
	size_t columns = 0;
	for (; *text; text++)
		columns += ((unsigned char)*text & 0xc0) != 0x80;
	return columns;
}

const char *fl_times(uint64_t n, char out[static FL_TIMES_TEXT])
{
	if (n == 1)
		return "once";
	(void)snprintf(out, FL_TIMES_TEXT, "%" PRIu64 " times", n);
	return out;
}
