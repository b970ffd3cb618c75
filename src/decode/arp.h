/* arp.h -- one ARP message for IPv4 over Ethernet. */
#ifndef FL_DECODE_ARP_H
#define FL_DECODE_ARP_H

#include "base/cursor.h"

enum { FL_ARP_REQUEST = 1, FL_ARP_REPLY = 2 };

struct fl_arp {
	uint16_t      operation;
	struct fl_mac sender_mac, target_mac;
	struct fl_ip  sender, target;
};

/* Returns c->status; *arp is whole only where that is FL_OK. */
enum fl_status fl_arp_read(struct fl_cursor *c, struct fl_arp *arp);

#endif
