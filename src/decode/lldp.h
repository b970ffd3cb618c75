/* lldp.h -- one LLDPDU: who sends at the other end of our own cable.
 *
 * Owns    nothing: texts borrow the message
 * Ceiling FL_LLDP_ADDRESSES_MAX management addresses are kept
 */
#ifndef FL_DECODE_LLDP_H
#define FL_DECODE_LLDP_H

#include "base/cursor.h"

enum { FL_LLDP_ADDRESSES_MAX = 8 };

/* Chassis or port: what `value` is, `subtype` says (IEEE Std 802.1AB-2016
 * tables 8-2 and 8-3); `mac` or `ip` is set where it is an address, and
 * `text` where it is neither. */
struct fl_lldp_id {
	uint8_t         subtype;
	struct fl_slice value, text;
	struct fl_mac   mac;
	struct fl_ip    ip;
};

/* LLDP-MED inventory, ANSI/TIA-1057 section 10.2.6; MED subtype less 5. */
enum fl_lldp_inventory {
	FL_MED_HARDWARE, FL_MED_FIRMWARE, FL_MED_SOFTWARE, FL_MED_SERIAL,
	FL_MED_MAKER, FL_MED_MODEL, FL_MED_ASSET, FL_MED_INVENTORY,
};

struct fl_lldp {
	struct fl_lldp_id chassis, port;
	uint16_t        seconds;                 /* to live; 0: it goes      */
	struct fl_slice port_description, system_name, system_description;
	uint16_t        capabilities, enabled;   /* table 8-4                */
	size_t          addresses;
	struct fl_ip    address[FL_LLDP_ADDRESSES_MAX];
	struct {                                 /* IEEE Std 802.3 annex 79  */
		bool     told;
		bool     supported, enabled;     /* auto-negotiation         */
		uint16_t advertised;             /* ifMauAutoNegCap bits     */
		uint16_t mau;                    /* dot3MauType, 0 unknown   */
	} mac_phy;
	struct {
		bool     told;
		uint8_t  support, pair, class;
		uint16_t requested, allocated;   /* 0.1 W, 0 not told        */
	} power;
	struct {
		bool     told;
		uint16_t transmit, receive;      /* wake times, microseconds */
	} eee;
	uint16_t        max_frame;               /* 0 not told               */
	uint16_t        port_vlan;               /* IEEE Std 802.1Q annex D  */
	uint16_t        named_vlan;
	struct fl_slice vlan_name;
	struct fl_slice inventory[FL_MED_INVENTORY];
};

/* Returns c->status. An optional TLV that is too short for its content is
 * passed over, as section 9.2.7.7.2 has it. */
enum fl_status fl_lldp_read(struct fl_cursor *c, struct fl_lldp *lldp);

#endif
