/* ports.h -- the ports of this host: which there are, and what becomes of them.
 *
 * Source  rtnetlink(7) and ethtool netlink, through libmnl; counters of
 *         /sys/class/net/PORT/statistics and the standard statistics groups
 *
 * The kernel tells of a changed link at most about once a second, so its
 * messages are never counted as flaps: only its own counts of ups and downs
 * are. When it overran us, everything is read anew.
 *
 * A zero of sysfs is no count: adapters that count nothing show zero too. An
 * error counter is counted if a standard group gives it, or if it was ever
 * above zero.
 *
 * Owns    its sockets and descriptors; all are opened by fl_ports_open() and
 *         fl_ports_watch(), and none needs a right afterwards
 * Errors  a question the driver cannot answer leaves its field "not told"; a
 *         driver that took half a second is not asked again
 * Ceiling FL_PORTS ports of the host
 */
#ifndef FL_SOURCE_PORTS_H
#define FL_SOURCE_PORTS_H

#include "base/address.h"
#include "base/error.h"
#include "base/time.h"
#include "event/port.h"

#include <uv.h>

enum { FL_PORTS = 256, FL_PORT_NAME = 16 };

/* What kind of thing a port is, and what speaks for or against listening on
 * it: facts, from which `ports` and `listen` judge. */
struct fl_port_facts {
	char     name[FL_PORT_NAME];
	uint32_t index;
	struct fl_mac mac;
	char     driver[32];         /* "" not known                         */
	char     bus[16];            /* "usb", "pci"; "" none or not known   */
	bool     ethernet;           /* ARPHRD_ETHER                         */
	bool     loopback, wireless, virtual_port;
	bool     member;             /* of a bridge or bond                  */
	bool     enabled, link;
	bool     counts_errors;      /* at least one error counter           */
	uint32_t mbit;
	enum fl_duplex duplex;
	struct fl_ip addresses[4];   /* of the laptop on it                  */
	size_t   address_count;
	bool     ipv6;               /* its system speaks IPv6 on it         */
	bool     arp;                /* ... and answers ARP                  */
	uint64_t sent;               /* frames                               */
	bool     saves_power;        /* USB: may be put to sleep             */
};

/* All ports of the host, loopback too; how many. sysfs lies at `root`
 * ("/sys" but in tests), /proc/sys at `proc`. 0 and *error: could not ask. */
size_t fl_ports_list(struct fl_port_facts *out, size_t room, const char *root,
		     const char *proc, struct fl_error *error);

struct fl_ports;

/* Called for each change, each fl_ports_sample(), and once for each port
 * when watching begins, before fl_ports_watch() returns. `port` is borrowed.
 * A port that the kernel cannot be asked about just now is not told. */
typedef void fl_ports_told_fn(void *context, uint16_t ear,
			      const struct fl_port *port);

struct fl_ports *fl_ports_open(uv_loop_t *loop, const char *root,
			       fl_ports_told_fn *told, void *context,
			       struct fl_error *error);
bool fl_ports_watch(struct fl_ports *ports, const char *name, uint16_t ear,
		    struct fl_error *error);
/* Read state and counters of every watched port now, and tell. */
void fl_ports_sample(struct fl_ports *ports);
/* How often the kernel overran us; then everything was read anew. */
uint32_t fl_ports_overruns(const struct fl_ports *ports);
void fl_ports_stop(struct fl_ports *ports);
void fl_ports_free(struct fl_ports *ports);

#endif
