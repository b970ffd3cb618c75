/* igmp.h -- one IGMP message of version 1, 2 or 3. */
#ifndef FL_DECODE_IGMP_H
#define FL_DECODE_IGMP_H

#include "decode/membership.h"

/* Read the whole message, from its type to the end of `c`. Returns c->status;
 * other messages of the protocol are FL_UNSUPPORTED. */
enum fl_status fl_igmp_read(struct fl_cursor *c, struct fl_membership *m);

#endif
