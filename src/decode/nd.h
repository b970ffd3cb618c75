/* nd.h -- one message of IPv6 neighbour discovery. */
#ifndef FL_DECODE_ND_H
#define FL_DECODE_ND_H

#include "decode/decode.h"

enum fl_nd_type {
	FL_ROUTER_SOLICITATION = 133, FL_ROUTER_ADVERTISEMENT,
	FL_NEIGHBOUR_SOLICITATION, FL_NEIGHBOUR_ADVERTISEMENT,
};

enum { FL_PREFIXES_MAX = 4 };          /* kept of one advertisement */

struct fl_nd_prefix {
	struct fl_ip prefix;
	uint8_t      bits;
	uint32_t     valid, preferred;     /* seconds; all ones: for ever */
};

struct fl_nd {
	enum fl_nd_type type;
	struct fl_ip  target;              /* neighbour messages           */
	bool          solicited;           /* neighbour advertisement      */
	uint16_t      lifetime;            /* of a router: s, 0: is none   */
	uint32_t      mtu;                 /* 0: not told                  */
	struct fl_mac link;                /* source or target link-layer
					    * address option, none if none */
	size_t        prefixes;
	struct fl_nd_prefix prefix[FL_PREFIXES_MAX];
};

/* RFC 4291 section 2.7.1: the group on which `ip` is asked for. */
struct fl_ip fl_solicited_node(struct fl_ip ip);

/* Whether nd.c reads this type of ICMPv6. */
bool fl_is_nd(uint8_t type);
/* Read what follows type, code and checksum. Returns c->status. */
enum fl_status fl_nd_read(const struct fl_packet *packet, uint8_t type,
			  uint8_t code, struct fl_cursor *c, struct fl_nd *nd);
void fl_nd_say(const struct fl_packet *packet, const struct fl_nd *nd,
	       struct fl_facts *out, enum fl_manner *manner);

#endif
