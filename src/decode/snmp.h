/* snmp.h -- one notification of a switch's agent, a trap or an inform.
 *
 * Owns    nothing: texts borrow the message
 * Ceiling FL_SNMP_BINDINGS_MAX variable bindings, else FL_FULL
 */
#ifndef FL_DECODE_SNMP_H
#define FL_DECODE_SNMP_H

#include "base/cursor.h"

enum { FL_SNMP_BINDINGS_MAX = 64 };

enum fl_snmp_trap {
	FL_SNMP_OTHER, FL_SNMP_COLD_START, FL_SNMP_WARM_START,
	FL_SNMP_LINK_DOWN, FL_SNMP_LINK_UP, FL_SNMP_NEW_ROOT,
	FL_SNMP_TOPOLOGY_CHANGE,
};

struct fl_snmp {
	uint8_t  version;            /* 0: SNMPv1, 1: SNMPv2c           */
	enum fl_snmp_trap trap;
	bool     uptime_told;
	uint32_t uptime;             /* 0.01 s                          */
	uint32_t index;              /* ifIndex, 0: not told            */
	uint32_t admin, oper;        /* RFC 2863 states, 0: not told    */
	struct fl_slice description, name;      /* ifDescr, ifName      */
};

/* Read one whole message. Returns c->status; what is no notification, and
 * SNMPv3, is FL_UNSUPPORTED. */
enum fl_status fl_snmp_read(struct fl_cursor *c, struct fl_snmp *message);

#endif
