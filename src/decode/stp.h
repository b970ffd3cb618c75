/* stp.h -- one bridge protocol data unit. */
#ifndef FL_DECODE_STP_H
#define FL_DECODE_STP_H

#include "base/cursor.h"

/* IEEE Std 802.1D-2004 section 9.3. */
enum fl_bpdu_type {
	FL_BPDU_CONFIG = 0x00, FL_BPDU_RAPID = 0x02, FL_BPDU_CHANGE = 0x80,
};

/* Figure 9-6; a configuration BPDU knows only the first and the last. */
enum fl_bpdu_flag {
	FL_BPDU_TOPOLOGY_CHANGE = 0x01, FL_BPDU_PROPOSAL = 0x02,
	FL_BPDU_ROLE = 0x0c, FL_BPDU_LEARNING = 0x10,
	FL_BPDU_FORWARDING = 0x20, FL_BPDU_AGREEMENT = 0x40,
	FL_BPDU_CHANGE_ACKNOWLEDGED = 0x80,
};

struct fl_bpdu {
	uint8_t  version, type, flags;
	struct fl_slice root, bridge;    /* identifiers of 8 octets; none in a
					  * change notification. Version 3:
					  * `bridge` is the regional root   */
	uint32_t cost;
	uint16_t port;
	uint16_t message_age, max_age, hello, forward_delay;   /* s / 256 */
};

/* Returns c->status. Other protocols on the same SAP are FL_UNSUPPORTED. */
enum fl_status fl_bpdu_read(struct fl_cursor *c, struct fl_bpdu *bpdu);

#endif
