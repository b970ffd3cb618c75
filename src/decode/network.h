/* network.h -- the sum that ties a message to the addresses around it. */
#ifndef FL_DECODE_NETWORK_H
#define FL_DECODE_NETWORK_H

#include "decode/decode.h"

/* The sum over the pseudo-header of `packet` for `length` octets of
 * `protocol` (RFC 768; RFC 8200 section 8.1), to be added to the message's. */
uint16_t fl_pseudo_sum(const struct fl_packet *packet, uint8_t protocol,
		       size_t length);
/* Whether the message is here from its first to its last octet, so that its
 * own checksum can be computed. */
bool fl_packet_is_whole(const struct fl_packet *packet);

#endif
