/* ber.h -- values of ASN.1 as the basic encoding rules write them, and only
 * as SNMP may.
 *
 * Source  ITU-T X.690 clause 8; RFC 3417 section 8 (the definite form of a
 *         length only, primitive strings); RFC 2578 section 7.1 (types)
 * Refuses a length that is not definite, a tag of several octets; both are
 *         FL_MALFORMED
 */
#ifndef FL_DECODE_BER_H
#define FL_DECODE_BER_H

#include "base/cursor.h"

enum fl_ber_tag {
	FL_BER_INTEGER = 0x02, FL_BER_OCTETS = 0x04, FL_BER_OID = 0x06,
	FL_BER_SEQUENCE = 0x30, FL_BER_ADDRESS = 0x40, FL_BER_TICKS = 0x43,
};

struct fl_ber { uint8_t tag; struct fl_cursor value; };

/* The next value, fenced; a refusal of its header sticks to `c`. */
struct fl_ber fl_ber_next(struct fl_cursor *c);
/* The value of the next, which has to have this tag, or `why` is broken. */
struct fl_cursor fl_ber_take(struct fl_cursor *c, uint8_t tag, const char *why);
/* An INTEGER's or a type's like it: what is left of `c`, 8 octets at most. */
int64_t fl_ber_integer(struct fl_cursor *c, const char *why);

#endif
