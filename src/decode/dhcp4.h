/* dhcp4.h -- one DHCP message for IPv4, as it stands.
 *
 * Source  RFC 2131 section 2, figure 1 (fixed part) and section 4.1 (the
 *         options, where they lie); RFC 2132 (their forms); RFC 3396
 *         (repeated ones are one); RFC 3046 (relay); RFC 4702 (full name)
 * Owns    `joined`, where options that came in parts were put together; all
 *         other slices borrow the frame. So a message is not copied.
 */
#ifndef FL_DECODE_DHCP4_H
#define FL_DECODE_DHCP4_H

#include "base/cursor.h"

enum { FL_DHCP4_JOINED_MAX = 2048 };

/* RFC 2132 section 9.6; 0 is none of them. */
enum fl_dhcp4_type {
	FL_DHCP4_DISCOVER = 1, FL_DHCP4_OFFER, FL_DHCP4_REQUEST,
	FL_DHCP4_DECLINE, FL_DHCP4_ACK, FL_DHCP4_NAK, FL_DHCP4_RELEASE,
	FL_DHCP4_INFORM,
};

/* What is absent is zero: no address, no text, no time. */
struct fl_dhcp4 {
	uint8_t         op, htype, hlen, hops;
	uint32_t        xid;
	uint16_t        secs, flags;
	struct fl_ip    ciaddr, yiaddr, siaddr, giaddr;
	struct fl_slice hardware;      /* the hlen octets of chaddr          */
	struct fl_mac   chaddr;        /* none unless it is a MAC            */
	struct fl_slice sname, file;   /* also where they hold options       */

	uint8_t         type;          /* 53                                 */
	uint8_t         overload;      /* 52: bit 0 file, bit 1 sname        */
	uint16_t        largest;       /* 57                                 */
	struct fl_ip    mask;          /* 1                                  */
	struct fl_ip    router;        /* 3, the preferred one               */
	struct fl_ip    requested;     /* 50                                 */
	struct fl_ip    server;        /* 54                                 */
	uint32_t        lease;         /* 51                                 */
	uint32_t        renew, rebind; /* 58 T1, 59 T2; of the lease where
					* the server leaves them out          */
	struct fl_slice host_name;     /* 12                                 */
	struct fl_slice parameters;    /* 55                                 */
	struct fl_slice vendor_class;  /* 60                                 */
	struct fl_slice client_id;     /* 61                                 */
	struct fl_slice full_name;     /* 81 whole: flags, two codes, name   */
	struct fl_slice relay;         /* 82 whole                           */
	struct fl_slice circuit, remote;            /* 82.1, 82.2            */

	size_t          joined_n;
	uint8_t         joined[FL_DHCP4_JOINED_MAX];
};

/* Read one whole UDP payload. Returns c->status. */
enum fl_status fl_dhcp4_read(struct fl_cursor *c, struct fl_dhcp4 *message);

/* What a REQUEST asks: RFC 2131 section 4.3.2 and section 4.3.6, table 4. */
enum fl_dhcp4_state {
	FL_DHCP4_NO_STATE,      /* no REQUEST, or fits no row of the table   */
	FL_DHCP4_SELECTING,     /* takes an offer                            */
	FL_DHCP4_INIT_REBOOT,   /* verifies an address it remembers          */
	FL_DHCP4_RENEWING,      /* asks its server, which gave it            */
	FL_DHCP4_REBINDING,     /* asks any server                           */
};
enum fl_dhcp4_state fl_dhcp4_state(const struct fl_dhcp4 *message,
				   struct fl_ip sent_to);

/* Bits of the mask, or 0 where there is none or it has a hole. */
unsigned fl_dhcp4_prefix(const struct fl_dhcp4 *message);
/* The name of option 81, in the form it came in (RFC 4702 section 2.3):
 * dotted where it is ASCII, the first label where it is in wire form. */
struct fl_slice fl_dhcp4_full_name(const struct fl_dhcp4 *message);

#endif
