/* ports_inner.h -- what the files of ports share: questions to the kernel,
 * and what is read out of its answers.
 *
 * Source  netlink(7), rtnetlink(7); Linux Documentation/networking:
 *         ethtool-netlink.rst, statistics.rst
 * Owns    an asker owns its socket from open to close
 * Errors  errno of the kernel; an attribute that is missing or of an odd
 *         length is not told
 * Ceiling FL_ANSWER octets a message, which is more than the kernel sends
 */
#ifndef FL_SOURCE_PORTS_INNER_H
#define FL_SOURCE_PORTS_INNER_H

#include "source/ports.h"

#include <libmnl/libmnl.h>

enum { FL_QUESTION = 256, FL_ANSWER = 32 << 10 };

struct fl_asker {
	struct mnl_socket *socket;
	uint32_t sequence;
	_Alignas(struct nlmsghdr) uint8_t question[FL_QUESTION];
	_Alignas(struct nlmsghdr) uint8_t answer[FL_ANSWER];
};

/* 0 or errno. A socket that could not be opened is closed already. */
int fl_asker_open(struct fl_asker *asker, int bus);
void fl_asker_close(struct fl_asker *asker);
/* A question of `type` whose fixed part is `head`, to put attributes to. */
struct nlmsghdr *fl_question(struct fl_asker *asker, uint16_t type, uint16_t flags,
			     const void *head, size_t n);
/* Ask, and hand each answer to `read`: MNL_CB_STOP ends a single answer,
 * MNL_CB_OK waits for the next of a dump. 0 or errno. */
int fl_ask(struct fl_asker *asker, const struct nlmsghdr *question, mnl_cb_t read,
	   void *context);

/* Sort attributes by kind: found[k] for k < kinds, NULL where not told. */
void fl_attributes(const void *at, size_t n, const struct nlattr **found, size_t kinds);
/* The same within one attribute; none if it is NULL. */
void fl_attributes_within(const struct nlattr *nest, const struct nlattr **found,
			  size_t kinds);
/* A number of one, four or eight octets. False: not told. */
bool fl_attribute_number(const struct nlattr *a, uint64_t *out);

struct fl_route_link {
	char     name[FL_PORT_NAME];
	uint32_t index;
	uint16_t type;               /* ARPHRD_*                             */
	uint32_t flags;              /* IFF_*                                */
	struct fl_mac mac;
	bool     member;
	bool     carrier;
	bool     counted;            /* the next two are told                */
	uint32_t ups, downs;
};

/* One RTM_NEWLINK or RTM_DELLINK, less its netlink header. False: it is not
 * of a port itself, or says no name. */
bool fl_route_read(const void *message, size_t n, struct fl_route_link *out);
/* One RTM_NEWADDR, the same. */
bool fl_route_read_address(const void *message, size_t n, uint32_t *index,
			   struct fl_ip *out);
int fl_route_ask(struct fl_asker *asker, const char *name, struct fl_route_link *out);
int fl_route_ask_all(struct fl_asker *asker, uint16_t type, mnl_cb_t read, void *context);

struct fl_ethtool {
	struct fl_asker asker;
	uint16_t family;             /* 0: this kernel has none              */
};

int fl_ethtool_open(struct fl_ethtool *ethtool);
void fl_ethtool_close(struct fl_ethtool *ethtool);
/* Ask all that a driver may tell. What it does not tell stays as it is. */
void fl_ethtool_ask(struct fl_ethtool *ethtool, uint32_t index, struct fl_port *port);
/* One answer, less its netlink and generic headers; `kind` is an
 * ETHTOOL_MSG_*_REPLY. */
void fl_ethtool_read(uint8_t kind, const void *message, size_t n, struct fl_port *port);

/* What was learnt of a port's counters while it was watched. */
struct fl_counters_known {
	uint32_t ever;               /* sysfs: was above zero                */
	uint32_t standard;           /* a standard group gave it             */
};

/* Add what sysfs counts to what the standard groups gave in `port`; then its
 * speed and duplex, where the driver did not tell them. */
void fl_counters_read(const char *root, struct fl_port *port,
		      struct fl_counters_known *known);
/* Any counter of frames damaged or lost. */
bool fl_counters_of_errors(const struct fl_port *port);
/* The file root/class/net/PORT/FILE, less its line end. False: not there. */
bool fl_sysfs_text(const char *root, const char *port, const char *file, char *out,
		   size_t room);
/* Its path. False: longer than `room`. */
bool fl_sysfs_path(const char *root, const char *port, const char *file, char *out,
		   size_t room);
/* Read all of a driver and of sysfs anew into `port`, whose link is known. A
 * driver that is not to be asked has no `ethtool`. */
void fl_port_fill(struct fl_port *port, struct fl_ethtool *ethtool, const char *root,
		  struct fl_counters_known *known);
/* What the route messages tell of it. */
void fl_port_set(struct fl_port *port, const struct fl_route_link *link);

#endif
