/* ber.c -- see ber.h.
 *
 * Source  ITU-T X.690 clause 8; RFC 3417 section 8
 */
#include "decode/ber.h"

enum { LONG_TAG = 0x1f, LONG_LENGTH = 0x80, LENGTH_OCTETS_MAX = 4 };

static size_t read_length(struct fl_cursor *c)
{
	const uint8_t first = fl_u8(c);
	if (first < LONG_LENGTH)
		return first;
	const size_t n = first & (LONG_LENGTH - 1);
	if (n == 0 || n > LENGTH_OCTETS_MAX) {
		fl_refuse(c, FL_MALFORMED,
			  "RFC 3417 section 8: a length is definite");
		return 0;
	}
	return fl_be(c, n);
}

struct fl_ber fl_ber_next(struct fl_cursor *c)
{
	struct fl_ber ber = { .tag = fl_u8(c) };
	if ((ber.tag & LONG_TAG) == LONG_TAG)
		fl_refuse(c, FL_MALFORMED,
			  "ITU-T X.690 clause 8.1.2: a tag has one octet");
	ber.value = fl_sub(c, read_length(c));
	return ber;
}

struct fl_cursor fl_ber_take(struct fl_cursor *c, uint8_t tag, const char *why)
{
	struct fl_ber ber = fl_ber_next(c);
	if (fl_ok(c) && ber.tag != tag) {
		fl_refuse(c, FL_MALFORMED, why);
		fl_join(&ber.value, c);
	}
	return ber.value;
}

int64_t fl_ber_integer(struct fl_cursor *c, const char *why)
{
	const size_t n = fl_left(c);
	if (n == 0 || n > sizeof(int64_t))
		fl_refuse(c, FL_MALFORMED, why);
	const bool negative = fl_peek(c) & 0x80;
	uint64_t v = n && n <= sizeof v ? fl_be(c, n) : 0;
	if (negative && n < sizeof v)
		v |= UINT64_MAX << (8 * n);
	return (int64_t)v;
}
