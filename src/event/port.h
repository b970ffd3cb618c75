/* port.h -- one port of the listening host as its kernel tells of it, or of a
 * switch as the switch tells: all of it, at one moment.
 *
 * Source  IEEE Std 802.3 clause 28 (what both ends advertise), clause 78
 *         (energy-efficient Ethernet); Linux ethtool netlink (signal quality,
 *         extended link state, standard statistics)
 * Units   counts since the port was made; Mbit/s
 * Owns    nothing: texts are borrowed
 */
#ifndef FL_EVENT_PORT_H
#define FL_EVENT_PORT_H

#include "base/address.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum fl_counter {
#define COUNTER(id, key, words) FL_COUNT_##id,
#include "event/counters.def"
#undef COUNTER
	FL_COUNTERS,
};

enum fl_duplex { FL_DUPLEX_UNKNOWN, FL_DUPLEX_HALF, FL_DUPLEX_FULL };

/* Bits of what an end advertises. */
enum fl_link_mode {
	FL_MODE_10_HALF   = 1 << 0, FL_MODE_10_FULL    = 1 << 1,
	FL_MODE_100_HALF  = 1 << 2, FL_MODE_100_FULL   = 1 << 3,
	FL_MODE_1000_HALF = 1 << 4, FL_MODE_1000_FULL  = 1 << 5,
	FL_MODE_2500_FULL = 1 << 6, FL_MODE_5000_FULL  = 1 << 7,
	FL_MODE_10000_FULL = 1 << 8,
};

enum fl_known { FL_NOT_KNOWN, FL_NO, FL_YES };

struct fl_port {
	struct fl_mac of;            /* whose; none: the listening host's own */
	const char *name;            /* "eth1"; "" only of another's         */
	uint32_t index;              /* the kernel's number, which no journal
					* holds; another's ifIndex, 0 none   */
	bool     there;              /* false: the port itself is gone       */
	bool     enabled;            /* administratively up                  */
	bool     link;               /* there is a carrier                   */
	bool     flaps_counted;      /* the next two are told                */
	uint32_t ups, downs;         /* of the carrier                       */
	uint32_t mbit;               /* 0: not known                         */
	enum fl_duplex duplex;
	uint32_t ours, theirs;       /* enum fl_link_mode; 0: not told       */
	enum fl_known energy;        /* energy-efficient Ethernet is active  */
	uint8_t  signal, signal_most; /* quality; most 0: not told           */
	const char *why;             /* why there is no link, "" not told; of
				      * another's port: how it was told      */
	uint32_t counted;            /* bit of each counter that is counted  */
	uint64_t counts[FL_COUNTERS]; /* 0 where not counted                 */
};

const char *fl_counter_key(enum fl_counter counter);     /* "late_collisions" */
const char *fl_counter_words(enum fl_counter counter);
/* The counter of this key; FL_COUNTERS: none. */
enum fl_counter fl_counter_named(const char *key);

static inline bool fl_port_counts(const struct fl_port *p, enum fl_counter c)
{
	return p->counted >> c & 1;
}

#endif
