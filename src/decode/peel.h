/* peel.h -- what packet.c and network.c share while they take headers off.
 *
 * Shapes  `c` lies over what is left of the innermost header's octets;
 *         `wire` is the offset at which they ended on the wire, which a cut
 *         capture does not reach
 */
#ifndef FL_DECODE_PEEL_H
#define FL_DECODE_PEEL_H

#include "decode/decode.h"

struct fl_peel {
	struct fl_packet *packet;
	struct fl_cursor  c;
	size_t            wire;
};

/* Hold `peel` to the next n octets, as a length field just read through
 * `look` says. Padding after them is left out; octets that the capture did
 * not keep set payload_cut; octets that were never on the wire refuse the
 * field with `why`. A refusal of `look` is taken over. */
void fl_peel_fence(struct fl_peel *peel, const struct fl_cursor *look, size_t n,
		   const char *why);

void fl_peel_ip4(struct fl_peel *peel);
void fl_peel_ip6(struct fl_peel *peel);

#endif
