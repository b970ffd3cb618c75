/* syslog_match.c -- find in a text what the user's words or a pattern of
 * syslog_patterns.def say.
 *
 * Each step of a pattern can be taken in one way only, so nothing is tried
 * twice from one beginning, and a name has a ceiling.
 */
#include "decode/syslog.h"

static const char *const patterns[] = {
#define PATTERN(text) text,
#include "decode/syslog_patterns.def"
#undef PATTERN
};

static const struct { const char *word; bool up, off; } states[] = {
	{ "up", true, false },
	{ "down", false, false },
	{ "administratively down", false, true },
};

static bool is_letter(uint8_t c)
{
	return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool is_digit(uint8_t c)
{
	return c >= '0' && c <= '9';
}

static uint8_t lower(uint8_t c)
{
	return c >= 'A' && c <= 'Z' ? (uint8_t)(c + ('a' - 'A')) : c;
}

static bool is_between_words(uint8_t c)
{
	return c <= ' ' || strchr(",;:()[]\"'", c);
}

/* Blanks, and marks; at least one. */
static bool take_gap(struct fl_cursor *c)
{
	const size_t before = fl_left(c);
	while (fl_left(c) && is_between_words(fl_peek(c)))
		fl_skip(c, 1);
	return fl_left(c) < before;
}

static bool take_letter(struct fl_cursor *c, char is)
{
	return fl_left(c) && lower(fl_u8(c)) == lower((uint8_t)is);
}

/* A name may hold marks, "1:3", but ends before those at its end. */
static bool take_port(struct fl_cursor *c, struct fl_syslog_link *link)
{
	size_t n = 0, digits = 0, end = 0;
	for (; n < fl_left(c) && c->at[n] > ' ' && c->at[n] != ','; n++) {
		if (n == FL_SYSLOG_PORT_MAX)
			return false;
		digits += is_digit(c->at[n]);
		if (!is_between_words(c->at[n]) && c->at[n] != '.')
			end = n + 1;
	}
	link->port = fl_take(c, end);
	return digits > 0;
}

static bool take_state(struct fl_cursor *c, struct fl_syslog_link *link)
{
	for (size_t i = 0; i < sizeof states / sizeof states[0]; i++) {
		struct fl_cursor look = *c;
		const char *word = states[i].word;
		while (*word && (*word == ' ' ? take_gap(&look)
					      : take_letter(&look, *word)))
			word++;
		if (*word || is_letter(fl_peek(&look)))
			continue;
		link->up = states[i].up;
		link->off = states[i].off;
		*c = look;
		return true;
	}
	return false;
}

static bool take_pattern(struct fl_cursor c, const char *pattern,
			 struct fl_syslog_link *link)
{
	for (; *pattern; pattern++) {
		const bool taken = *pattern == ' ' ? take_gap(&c)
				 : *pattern == '%' ? take_port(&c, link)
				 : *pattern == '#' ? take_state(&c, link)
						   : take_letter(&c, *pattern);
		if (!taken)
			return false;
	}
	return true;
}

/* At the beginning of any word. */
static bool find_pattern(struct fl_slice text, const char *pattern,
			 struct fl_syslog_link *link)
{
	struct fl_cursor c = fl_cursor(text.at, text.n);
	while (fl_left(&c)) {
		if (take_pattern(c, pattern, link))
			return true;
		while (fl_left(&c) && !is_between_words(fl_peek(&c)))
			fl_skip(&c, 1);
		(void)take_gap(&c);
	}
	return false;
}

bool fl_syslog_link(struct fl_slice text, struct fl_log_words words,
		    struct fl_syslog_link *link)
{
	*link = (struct fl_syslog_link){ .up = false };
	if (text.n > FL_SYSLOG_LOOKED_AT)
		text.n = FL_SYSLOG_LOOKED_AT;
	for (size_t i = 0; i < words.n; i++) {
		link->up = words.at[i].up;
		if (find_pattern(text, words.at[i].text, link))
			return true;
	}
	for (size_t i = 0; i < sizeof patterns / sizeof patterns[0]; i++)
		if (find_pattern(text, patterns[i], link))
			return true;
	return false;
}
