/* ports_route.c -- ports and addresses, as rtnetlink tells them.
 *
 * Source  rtnetlink(7); linux/if_link.h; RFC 2863 section 3.1.14 (a port that
 *         is switched off has no link, whatever its carrier was last)
 * Takes   the payload of one message, of any length
 * Refuses a message of another family: a bridge tells of its members with
 *         the same types, and a port that leaves one is not gone
 */
#include "source/ports_inner.h"

#include <errno.h>
#include <linux/if_addr.h>
#include <linux/if_link.h>
#include <linux/rtnetlink.h>
#include <net/if.h>
#include <net/if_arp.h>
#include <string.h>

#ifndef IFF_LOWER_UP
#define IFF_LOWER_UP (1 << 16)     /* netdevice(7); not in every <net/if.h> */
#endif

enum { KINDS = IFLA_CARRIER_DOWN_COUNT + 1 };

static bool copy_name(const struct nlattr *a, char out[static FL_PORT_NAME])
{
	if (!a || mnl_attr_validate(a, MNL_TYPE_NUL_STRING) != 0 ||
	    mnl_attr_get_payload_len(a) > FL_PORT_NAME)
		return false;
	memcpy(out, mnl_attr_get_str(a), mnl_attr_get_payload_len(a));
	return out[0] != '\0';
}

static uint32_t count(const struct nlattr *a, bool *told)
{
	uint64_t value = 0;
	*told &= fl_attribute_number(a, &value);
	return (uint32_t)value;
}

bool fl_route_read(const void *message, size_t n, struct fl_route_link *out)
{
	struct ifinfomsg head;
	const struct nlattr *at[KINDS];
	const size_t fixed = NLMSG_ALIGN(sizeof head);
	uint64_t value = 0;
	if (n < fixed)
		return false;
	memcpy(&head, message, sizeof head);
	fl_attributes((const char *)message + fixed, n - fixed, at, KINDS);
	*out = (struct fl_route_link){
		.index = (uint32_t)head.ifi_index, .type = head.ifi_type,
		.flags = head.ifi_flags,
	};
	if (head.ifi_family != AF_UNSPEC || !copy_name(at[IFLA_IFNAME], out->name))
		return false;
	const struct nlattr *mac = at[IFLA_ADDRESS];
	if (mac && head.ifi_type == ARPHRD_ETHER &&
	    mnl_attr_get_payload_len(mac) == sizeof out->mac.b)
		memcpy(out->mac.b, mnl_attr_get_payload(mac), sizeof out->mac.b);
	out->member = fl_attribute_number(at[IFLA_MASTER], &value) && value;
	out->carrier = fl_attribute_number(at[IFLA_CARRIER], &value)
		? value != 0 : (head.ifi_flags & IFF_LOWER_UP) != 0;
	out->counted = true;
	out->ups = count(at[IFLA_CARRIER_UP_COUNT], &out->counted);
	out->downs = count(at[IFLA_CARRIER_DOWN_COUNT], &out->counted);
	return true;
}

bool fl_route_read_address(const void *message, size_t n, uint32_t *index,
			   struct fl_ip *out)
{
	struct ifaddrmsg head;
	const struct nlattr *at[IFA_LOCAL + 1];
	const size_t fixed = NLMSG_ALIGN(sizeof head);
	if (n < fixed)
		return false;
	memcpy(&head, message, sizeof head);
	fl_attributes((const char *)message + fixed, n - fixed, at, IFA_LOCAL + 1);
	/* Of a point-to-point link IFA_ADDRESS is the other end. */
	const struct nlattr *a = at[IFA_LOCAL] ? at[IFA_LOCAL] : at[IFA_ADDRESS];
	const size_t octets = a ? mnl_attr_get_payload_len(a) : 0;
	*index = head.ifa_index;
	if (head.ifa_family == AF_INET && octets == 4)
		*out = fl_ip_from4(mnl_attr_get_payload(a));
	else if (head.ifa_family == AF_INET6 && octets == sizeof out->b)
		memcpy(out->b, mnl_attr_get_payload(a), sizeof out->b);
	else
		return false;
	return true;
}

static int take_link(const struct nlmsghdr *h, void *context)
{
	struct fl_route_link *out = context;
	if (!fl_route_read(mnl_nlmsg_get_payload(h), mnl_nlmsg_get_payload_len(h), out))
		out->index = 0;
	return MNL_CB_STOP;
}

static void leave_statistics_out(struct nlmsghdr *question)
{
	mnl_attr_put_u32(question, IFLA_EXT_MASK, RTEXT_FILTER_SKIP_STATS);
}

int fl_route_ask(struct fl_asker *asker, const char *name, struct fl_route_link *out)
{
	const struct ifinfomsg head = { .ifi_family = AF_UNSPEC };
	struct nlmsghdr *question = fl_question(asker, RTM_GETLINK, 0, &head, sizeof head);
	mnl_attr_put_strz(question, IFLA_IFNAME, name);
	leave_statistics_out(question);
	out->index = 0;
	const int refused = fl_ask(asker, question, take_link, out);
	if (refused)
		return refused;
	/* The kernel also finds a port by its other names. */
	return out->index && strcmp(out->name, name) == 0 ? 0 : ENODEV;
}

int fl_route_ask_all(struct fl_asker *asker, uint16_t type, mnl_cb_t read, void *context)
{
	const struct ifinfomsg link = { .ifi_family = AF_UNSPEC };
	const struct ifaddrmsg address = { .ifa_family = AF_UNSPEC };
	if (type == RTM_GETADDR)
		return fl_ask(asker, fl_question(asker, type, NLM_F_DUMP, &address,
						 sizeof address), read, context);
	struct nlmsghdr *question = fl_question(asker, type, NLM_F_DUMP, &link, sizeof link);
	leave_statistics_out(question);
	return fl_ask(asker, question, read, context);
}

void fl_port_set(struct fl_port *port, const struct fl_route_link *link)
{
	port->there = true;
	port->index = link->index;
	port->enabled = (link->flags & IFF_UP) != 0;
	port->link = port->enabled && link->carrier;
	port->flaps_counted = link->counted;
	port->ups = link->ups;
	port->downs = link->downs;
}
