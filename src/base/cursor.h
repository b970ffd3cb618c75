/* cursor.h -- read bytes in order, never past their end.
 *
 * A cursor borrows bytes [start, end); it owns and allocates nothing. The
 * first refusal sticks: later reads return zero and move nothing, so a
 * decoder reads its fields straight down and asks fl_ok() once. All
 * integers are big-endian unless the name ends in _le. Offsets count
 * bytes from the start of the outermost cursor, so a message can point at
 * the frame.
 */
#ifndef FL_BASE_CURSOR_H
#define FL_BASE_CURSOR_H

#include "base/address.h"

#include <fairlead/status.h>
#include <string.h>

struct fl_slice { const uint8_t *at; size_t n; };   /* borrowed bytes */

struct fl_cursor {
	const uint8_t *start, *field, *at, *end;   /* field: last one read */
	enum fl_status status;   /* FL_OK until the first refusal         */
	const char    *why;      /* static text: the rule that refused    */
	size_t         where;    /* byte offset of the refused field      */
};

static inline struct fl_cursor fl_cursor(const void *bytes, size_t n)
{
	const uint8_t *p = bytes;
	/* No octets may be at no address: nothing is added to that. */
	return (struct fl_cursor){ .start = p, .field = p, .at = p, .end = n ? p + n : p };
}

static inline bool   fl_ok(const struct fl_cursor *c)   { return c->status == FL_OK; }
static inline size_t fl_left(const struct fl_cursor *c) { return (size_t)(c->end - c->at); }
/* Bytes from the outermost start to the next one to be read. */
static inline size_t fl_offset(const struct fl_cursor *c) { return (size_t)(c->at - c->start); }

/* Stick a refusal; the first one wins. `why` must outlive the cursor. */
static inline void fl_refuse(struct fl_cursor *c, enum fl_status s, const char *why)
{
	if (c->status == FL_OK) {
		c->status = s;
		c->why = why;
		c->where = (size_t)(c->field - c->start);
	}
}

/* The next n bytes, or {NULL, 0} and FL_SHORT: the one place that moves `at`. */
static inline struct fl_slice fl_take(struct fl_cursor *c, size_t n)
{
	if (c->status != FL_OK)
		return (struct fl_slice){ NULL, 0 };
	c->field = c->at;
	if (n > fl_left(c)) {
		fl_refuse(c, FL_SHORT, "field runs past the end");
		return (struct fl_slice){ NULL, 0 };
	}
	c->at += n;
	return (struct fl_slice){ c->field, n };
}

/* All bytes that are left. */
static inline struct fl_slice fl_rest(struct fl_cursor *c)
{
	return fl_take(c, fl_left(c));
}

/* n bytes as a big-endian (little-endian) integer, n in 1..8. */
static inline uint64_t fl_be(struct fl_cursor *c, size_t n)
{
	struct fl_slice s = fl_take(c, n);
	uint64_t v = 0;
	for (size_t i = 0; i < s.n; i++)
		v = v << 8 | s.at[i];
	return v;
}

static inline uint64_t fl_le(struct fl_cursor *c, size_t n)
{
	struct fl_slice s = fl_take(c, n);
	uint64_t v = 0;
	for (size_t i = s.n; i-- > 0;)
		v = v << 8 | s.at[i];
	return v;
}

static inline void     fl_skip(struct fl_cursor *c, size_t n) { (void)fl_take(c, n); }
static inline uint8_t  fl_u8(struct fl_cursor *c)  { return (uint8_t)fl_be(c, 1); }
static inline uint16_t fl_u16(struct fl_cursor *c) { return (uint16_t)fl_be(c, 2); }
static inline uint32_t fl_u32(struct fl_cursor *c) { return (uint32_t)fl_be(c, 4); }

/* A look ahead that neither moves nor refuses; 0 where there is no byte. */
static inline uint8_t fl_peek(const struct fl_cursor *c)
{
	return fl_ok(c) && c->at < c->end ? *c->at : 0;
}

static inline struct fl_mac fl_mac(struct fl_cursor *c)
{
	struct fl_mac mac = { { 0 } };
	struct fl_slice s = fl_take(c, sizeof mac.b);
	if (s.n)
		memcpy(mac.b, s.at, sizeof mac.b);
	return mac;
}

/* Four bytes as an IPv4 address, sixteen as an IPv6 address. */
static inline struct fl_ip fl_ip4(struct fl_cursor *c)
{
	struct fl_slice s = fl_take(c, 4);
	return s.n ? fl_ip_from4(s.at) : (struct fl_ip){ { 0 } };
}

static inline struct fl_ip fl_ip6(struct fl_cursor *c)
{
	struct fl_ip ip = { { 0 } };
	struct fl_slice s = fl_take(c, sizeof ip.b);
	if (s.n)
		memcpy(ip.b, s.at, sizeof ip.b);
	return ip;
}

/* A child over the next n bytes; the parent steps past them. A length byte
 * thus fences its own field: no read of the child can reach its sibling.
 * A parent that has refused begets a child that has refused. */
static inline struct fl_cursor fl_sub(struct fl_cursor *c, size_t n)
{
	struct fl_slice s = fl_take(c, n);
	struct fl_cursor child = *c;
	child.at = child.field;
	child.end = child.field + s.n;
	return child;
}

/* Hand a child's refusal up to its parent. */
static inline void fl_join(struct fl_cursor *parent, const struct fl_cursor *child)
{
	if (parent->status == FL_OK && child->status != FL_OK) {
		parent->status = child->status;
		parent->why = child->why;
		parent->where = child->where;
	}
}

#endif
