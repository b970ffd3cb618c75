/* iec450.c -- the count that each line of a marine sender bears.
 *
 * Source  IEC 61162-450 clause 7.2 (see iec450.h)
 * Takes   one whole UDP payload, ports 60001 to 60016
 * Says    SEQUENCE for each line that tells its source and its count
 * Refuses a TAG block without end or whose check sum does not hold
 */
#include "decode/iec450.h"

#include "decode/row_key.h"

/* 1 to 999, then 1 again. Some send 0 where 999 is due; of 999 numbers these
 * two are one, so that neither kind of sender shows a hole. */
enum { LINE_NUMBERS = 999 };

static const char token[] = "UdPbC";             /* its NUL belongs to it */

enum fl_status fl_iec450_begin(struct fl_cursor *c)
{
	const struct fl_slice is = fl_take(c, sizeof token);
	if (is.n && memcmp(is.at, token, sizeof token) != 0)
		fl_refuse(c, FL_UNSUPPORTED, "no datagram of sentences");
	return c->status;
}

/* What stands before `*hh`, where hh is its exclusive or. */
static struct fl_cursor summed(struct fl_cursor *block)
{
	const uint8_t *star = memchr(block->at, '*', fl_left(block));
	struct fl_cursor inside = fl_sub(block,
		star ? (size_t)(star - block->at) : fl_left(block));
	uint8_t sum = 0;
	for (const uint8_t *at = inside.at; at < inside.end; at++)
		sum ^= *at;
	const struct fl_slice end = fl_rest(block);
	if (end.n != 3 || fl_hex_digit(end.at[1]) != sum >> 4 ||
	    fl_hex_digit(end.at[2]) != (sum & 0xf))
		fl_refuse(block, FL_MALFORMED,
			  "IEC 61162-450 clause 7.2: check sum of a TAG block");
	fl_join(&inside, block);
	return inside;
}

/* A count of at most three digits; another is of no line of this standard. */
static void read_count(struct fl_slice value, struct fl_iec450_line *line)
{
	unsigned n = 0;
	for (size_t i = 0; i < value.n; i++) {
		if (value.at[i] < '0' || value.at[i] > '9' || n > LINE_NUMBERS)
			return;
		n = n * 10 + (unsigned)(value.at[i] - '0');
	}
	line->counted = value.n > 0 && n <= LINE_NUMBERS;
	if (line->counted)
		line->number = (uint16_t)n;
}

/* `code`:`value` */
static void read_parameter(struct fl_cursor *c, struct fl_iec450_line *line)
{
	const uint8_t code = fl_u8(c), colon = fl_u8(c);
	if (!fl_ok(c) || colon != ':')
		return;                  /* a code of several letters: none */
	const struct fl_slice value = fl_rest(c);
	switch (code) {
	case 's': line->source = value; break;
	case 'd': line->destination = value; break;
	case 'n': read_count(value, line); break;
	default: break;
	}
}

static void read_block(struct fl_cursor *c, struct fl_iec450_line *line)
{
	const uint8_t *end = memchr(c->at, '\\', fl_left(c));
	if (!end) {                      /* to be refused as cut */
		fl_skip(c, fl_left(c) + 1);
		return;
	}
	struct fl_cursor block = fl_sub(c, (size_t)(end - c->at));
	fl_skip(c, 1);
	struct fl_cursor inside = summed(&block);
	while (fl_ok(&inside) && fl_left(&inside)) {
		const uint8_t *comma = memchr(inside.at, ',', fl_left(&inside));
		struct fl_cursor one = fl_sub(&inside, comma
			? (size_t)(comma - inside.at) : fl_left(&inside));
		if (comma)
			fl_skip(&inside, 1);
		read_parameter(&one, line);
	}
	fl_join(c, &inside);
}

/* To CR LF; the last line's may be left out by the sender. */
static struct fl_slice read_sentence(struct fl_cursor *c)
{
	const uint8_t *end = memchr(c->at, '\n', fl_left(c));
	struct fl_slice s = fl_take(c, end ? (size_t)(end - c->at) : fl_left(c));
	if (end)
		fl_skip(c, 1);
	while (s.n && (s.at[s.n - 1] == '\r' || s.at[s.n - 1] == '\0'))
		s.n--;
	return s;
}

bool fl_iec450_next(struct fl_cursor *c, struct fl_iec450_line *line)
{
	*line = (struct fl_iec450_line){ .counted = false };
	if (!fl_ok(c) || !fl_left(c))
		return false;
	while (fl_peek(c) == '\\') {
		fl_skip(c, 1);
		read_block(c, line);
	}
	line->sentence = read_sentence(c);
	return fl_ok(c);
}

static void say_count(const struct fl_iec450_line *line, struct fl_facts *out)
{
	struct fl_fact *f = fl_say(out, FL_FACT_SEQUENCE);
	f->aspect = FL_SEQUENCE_LINES;
	f->number = line->number;
	f->seconds = LINE_NUMBERS;
	f->speeds = fl_row_key_add(FL_ROW_KEY, line->source);
}

enum fl_status fl_decode_iec450(const struct fl_packet *packet,
				struct fl_cursor *c, struct fl_facts *out,
				enum fl_manner *manner)
{
	(void)packet, (void)manner;
	struct fl_iec450_line line;
	(void)fl_iec450_begin(c);
	for (size_t n = 0; fl_iec450_next(c, &line); n++) {
		if (n == FL_IEC450_LINES_MAX)
			fl_refuse(c, FL_FULL, "too many lines");
		else if (line.source.n && line.counted)
			say_count(&line, out);
	}
	return c->status;
}
