/* mld.h -- one multicast listener message of version 1 or 2. */
#ifndef FL_DECODE_MLD_H
#define FL_DECODE_MLD_H

#include "decode/membership.h"

/* Whether mld.c reads this type of ICMPv6. */
bool fl_is_mld(uint8_t type);
/* Read what follows type, code and checksum, to the end of `c`. Returns
 * c->status. */
enum fl_status fl_mld_read(uint8_t type, struct fl_cursor *c,
			   struct fl_membership *m);
void fl_mld_say(const struct fl_packet *packet, const struct fl_membership *m,
		struct fl_facts *out, enum fl_manner *manner);

#endif
