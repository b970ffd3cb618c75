/* ports_list.c -- all ports of this host, and what speaks for or against
 * listening on each.
 *
 * Source  rtnetlink(7); Documentation/ABI/testing/sysfs-class-net, -bus-usb;
 *         Linux Documentation/networking/ip-sysctl.rst (disable_ipv6);
 *         ETHTOOL_GDRVINFO of linux/ethtool.h for a port without a device
 * Errors  *error where the kernel cannot be asked for its ports; all else is
 *         "not known"
 * Ceiling what the caller has room for; four addresses a port
 */
#include "source/ports_inner.h"
#include "base/text.h"

#include <errno.h>
#include <limits.h>
#include <linux/ethtool.h>
#include <linux/rtnetlink.h>
#include <linux/sockios.h>
#include <net/if.h>
#include <net/if_arp.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>

enum { TRIES = 3 };

struct list {
	struct fl_port_facts *at;
	size_t n, room;
};

static int take_port(const struct nlmsghdr *h, void *context)
{
	struct list *list = context;
	struct fl_route_link link;
	if (list->n == list->room ||
	    !fl_route_read(mnl_nlmsg_get_payload(h), mnl_nlmsg_get_payload_len(h), &link))
		return MNL_CB_OK;
	struct fl_port_facts *f = &list->at[list->n++];
	*f = (struct fl_port_facts){
		.index = link.index, .mac = link.mac,
		.ethernet = link.type == ARPHRD_ETHER,
		.loopback = (link.flags & IFF_LOOPBACK) != 0,
		.member = link.member,
		.enabled = (link.flags & IFF_UP) != 0,
		.link = (link.flags & IFF_UP) != 0 && link.carrier,
		.arp = (link.flags & IFF_NOARP) == 0,
	};
	memcpy(f->name, link.name, sizeof f->name);
	return MNL_CB_OK;
}

static int take_address(const struct nlmsghdr *h, void *context)
{
	struct list *list = context;
	uint32_t index;
	struct fl_ip ip;
	if (!fl_route_read_address(mnl_nlmsg_get_payload(h), mnl_nlmsg_get_payload_len(h),
				   &index, &ip))
		return MNL_CB_OK;
	for (size_t i = 0; i < list->n; i++) {
		struct fl_port_facts *f = &list->at[i];
		if (f->index == index &&
		    f->address_count < sizeof f->addresses / sizeof f->addresses[0])
			f->addresses[f->address_count++] = ip;
	}
	return MNL_CB_OK;
}

/* Ports and their addresses. A dump that a change fell into is begun anew. */
static int ask_all(struct fl_asker *route, struct list *list)
{
	int refused = EINTR;
	for (int i = 0; i < TRIES && refused == EINTR; i++) {
		list->n = 0;
		refused = fl_route_ask_all(route, RTM_GETLINK, take_port, list);
		if (!refused)
			refused = fl_route_ask_all(route, RTM_GETADDR, take_address, list);
	}
	return refused;
}

static void keep(const char *text, char *out, size_t room)
{
	char clean[FL_TEXT_MAX + 1];
	fl_text_clean((struct fl_slice){ (const uint8_t *)text, strlen(text) }, clean);
	const size_t n = strlen(clean) < room ? strlen(clean) : room - 1;
	memcpy(out, clean, n);
	out[n] = '\0';
}

/* Where root/class/net/PORT/FILE leads. */
static bool leads(const char *root, const char *port, const char *file,
		  char out[static PATH_MAX])
{
	char path[PATH_MAX];
	return fl_sysfs_path(root, port, file, path, sizeof path) && realpath(path, out);
}

static void last_of(const char *root, const char *port, const char *file, char *out,
		    size_t room)
{
	char path[PATH_MAX];
	if (leads(root, port, file, path))
		keep(strrchr(path, '/') + 1, out, room);
}

static void ask_driver(struct fl_port_facts *f)
{
	struct ethtool_drvinfo info = { .cmd = ETHTOOL_GDRVINFO };
	struct ifreq question;
	const int fd = socket(AF_INET, SOCK_DGRAM | SOCK_CLOEXEC, 0);
	if (fd < 0)
		return;
	memset(&question, 0, sizeof question);
	memcpy(question.ifr_name, f->name, sizeof f->name);
	question.ifr_data = (char *)&info;
	if (ioctl(fd, SIOCETHTOOL, &question) == 0) {
		info.driver[sizeof info.driver - 1] = '\0';
		keep(info.driver, f->driver, sizeof f->driver);
	}
	close(fd);
}

static void read_device(const char *root, struct fl_port_facts *f)
{
	char path[PATH_MAX], text[16];
	f->wireless = leads(root, f->name, "wireless", path) ||
		      leads(root, f->name, "phy80211", path);
	f->virtual_port = leads(root, f->name, "", path) &&
			  strstr(path, "/devices/virtual/");
	last_of(root, f->name, "device/driver", f->driver, sizeof f->driver);
	last_of(root, f->name, "device/subsystem", f->bus, sizeof f->bus);
	if (f->driver[0] == '\0')
		ask_driver(f);
	/* The device is one function of what is plugged in: that lies above. */
	f->saves_power = strcmp(f->bus, "usb") == 0 &&
			 fl_sysfs_text(root, f->name, "device/../power/control", text,
				       sizeof text) &&
			 strcmp(text, "auto") == 0;
}

static bool speaks_ipv6(const char *proc, const char *port)
{
	char path[PATH_MAX];
	const int n = snprintf(path, sizeof path, "%s/net/ipv6/conf/%s/disable_ipv6",
			       proc, port);
	FILE *in = n > 0 && (size_t)n < sizeof path ? fopen(path, "re") : NULL;
	const bool speaks = in && fgetc(in) == '0';
	if (in)
		(void)fclose(in);
	return speaks;
}

static void read_port(const char *root, struct fl_ethtool *ethtool, struct fl_port_facts *f)
{
	struct fl_counters_known known = { 0 };
	struct fl_port port = {
		.name = f->name, .why = "", .index = f->index, .there = true,
		.enabled = f->enabled, .link = f->link,
	};
	fl_port_fill(&port, ethtool, root, &known);
	f->mbit = port.mbit;
	f->duplex = port.duplex;
	f->sent = port.counts[FL_COUNT_SENT];
	f->counts_errors = fl_counters_of_errors(&port);
}

size_t fl_ports_list(struct fl_port_facts *out, size_t room, const char *root,
		     const char *proc, struct fl_error *error)
{
	struct list list = { .at = out, .room = room };
	struct fl_asker *route = calloc(1, sizeof *route);
	struct fl_ethtool *ethtool = calloc(1, sizeof *ethtool);
	int refused = ENOMEM;
	if (route && ethtool)
		refused = fl_asker_open(route, NETLINK_ROUTE);
	if (!refused)
		refused = fl_ethtool_open(ethtool);
	if (!refused)
		refused = ask_all(route, &list);
	for (size_t i = 0; !refused && i < list.n; i++) {
		read_device(root, &list.at[i]);
		list.at[i].ipv6 = speaks_ipv6(proc, list.at[i].name);
		read_port(root, ethtool, &list.at[i]);
	}
	if (refused)
		fl_error_set(error, FL_SYSTEM, refused, 0,
			     "the kernel does not tell its ports", "ports");
	if (route)
		fl_asker_close(route);
	if (ethtool)
		fl_ethtool_close(ethtool);
	free(route);
	free(ethtool);
	return refused ? 0 : list.n;
}
