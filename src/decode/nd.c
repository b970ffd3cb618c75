/* nd.c -- neighbour discovery: addresses taken, hosts sought, routers.
 *
 * Source  RFC 4861 sections 4, 6.1 and 7.1; RFC 4862 section 5.4 (DAD)
 * Says    STARTING for DAD, LINKING for router solicitations, CLAIM, WANTS of
 *         a host, SERVES routes
 * Refuses what RFC 4861 tells a receiver to discard
 */
#include "decode/nd.h"

/* One row a type; a section of RFC 4861 lists what to discard, and why. */
struct form {
	enum fl_nd_type type;
	const char *hops, *code, *option, *addresses;
};

static const struct form forms[] = {
#define FORM(type, section, addresses) {                            \
	type, "RFC 4861 section " section ": hop limit 255",         \
	"RFC 4861 section " section ": code 0",                      \
	"RFC 4861 section " section ": option longer than 0",        \
	"RFC 4861 section " section ": " addresses }
	FORM(FL_ROUTER_SOLICITATION, "6.1.1",
	     "no link-layer address from the unspecified one"),
	FORM(FL_ROUTER_ADVERTISEMENT, "6.1.2", "link-local source"),
	FORM(FL_NEIGHBOUR_SOLICITATION, "7.1.1",
	     "the unspecified address asks the target's group, and names "
	     "no link-layer address"),
	FORM(FL_NEIGHBOUR_ADVERTISEMENT, "7.1.2",
	     "not solicited if sent to a group"),
#undef FORM
};

enum { SOURCE_LINK = 1, TARGET_LINK = 2, PREFIX = 3, MTU = 5 };

static const struct form *form_of(uint8_t type)
{
	for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++)
		if (forms[i].type == type)
			return &forms[i];
	return NULL;
}

bool fl_is_nd(uint8_t type)
{
	return form_of(type);
}

struct fl_ip fl_solicited_node(struct fl_ip ip)
{
	struct fl_ip group = { { 0xff, 0x02, [11] = 0x01, [12] = 0xff } };
	memcpy(group.b + 13, ip.b + 13, 3);
	return group;
}

/* RFC 4861 section 4.6.2. */
static void read_prefix(struct fl_cursor *c, struct fl_nd *nd)
{
	struct fl_nd_prefix p = { .bits = fl_u8(c) };
	if (p.bits > 128)
		fl_refuse(c, FL_MALFORMED,
			  "RFC 4861 section 4.6.2: prefix of at most 128 bits");
	fl_skip(c, 1);
	p.valid = fl_u32(c);
	p.preferred = fl_u32(c);
	fl_skip(c, 4);
	p.prefix = fl_ip6(c);
	if (nd->prefixes < FL_PREFIXES_MAX)
		nd->prefix[nd->prefixes++] = p;
}

static void read_option(struct fl_cursor *option, uint8_t type, struct fl_nd *nd)
{
	switch (type) {
	case SOURCE_LINK:
	case TARGET_LINK: nd->link = fl_mac(option); break;
	case PREFIX:      read_prefix(option, nd); break;
	case MTU:
		fl_skip(option, 2);
		nd->mtu = fl_u32(option);
		break;
	}
}

static void read_options(struct fl_cursor *c, const struct form *form,
			 struct fl_nd *nd)
{
	while (fl_ok(c) && fl_left(c)) {
		const uint8_t type = fl_u8(c);
		const size_t octets = fl_u8(c) * (size_t)8;
		if (octets == 0) {
			fl_refuse(c, FL_MALFORMED, form->option);
			return;
		}
		struct fl_cursor option = fl_sub(c, octets - 2);
		read_option(&option, type, nd);
		fl_join(c, &option);
	}
}

/* What follows the checksum up to the options, RFC 4861 sections 4.1 to 4.4. */
static void read_fixed(struct fl_cursor *c, struct fl_nd *nd)
{
	switch (nd->type) {
	case FL_ROUTER_SOLICITATION:
		fl_skip(c, 4);
		break;
	case FL_ROUTER_ADVERTISEMENT:
		fl_skip(c, 2);                   /* hop limit, flags */
		nd->lifetime = fl_u16(c);
		fl_skip(c, 8);                   /* reachable, retransmit */
		break;
	case FL_NEIGHBOUR_SOLICITATION:
	case FL_NEIGHBOUR_ADVERTISEMENT:
		nd->solicited = fl_u32(c) & 0x40000000;
		nd->target = fl_ip6(c);
		if (fl_ip_is_multicast(nd->target))
			fl_refuse(c, FL_MALFORMED, "RFC 4861 section 7.1: "
				  "the target is no group");
		break;
	}
}

static bool addresses_hold(const struct fl_packet *p, const struct fl_nd *nd)
{
	const bool anonymous = fl_ip_is_unspecified(p->from);
	switch (nd->type) {
	case FL_ROUTER_SOLICITATION:
		return !anonymous || fl_mac_is_none(nd->link);
	case FL_ROUTER_ADVERTISEMENT:
		return fl_ip_is_link_local(p->from);
	case FL_NEIGHBOUR_SOLICITATION:
		return !anonymous ||
		       (fl_mac_is_none(nd->link) &&
			fl_ip_equal(p->to, fl_solicited_node(nd->target)));
	case FL_NEIGHBOUR_ADVERTISEMENT:
		return !nd->solicited || !fl_ip_is_multicast(p->to);
	}
	return false;
}

enum fl_status fl_nd_read(const struct fl_packet *packet, uint8_t type,
			  uint8_t code, struct fl_cursor *c, struct fl_nd *nd)
{
	const struct form *form = form_of(type);
	*nd = (struct fl_nd){ .type = form->type };
	if (packet->hops != 255)
		fl_refuse(c, FL_MALFORMED, form->hops);
	if (code != 0)
		fl_refuse(c, FL_MALFORMED, form->code);
	read_fixed(c, nd);
	read_options(c, form, nd);
	if (!addresses_hold(packet, nd))
		fl_refuse(c, FL_MALFORMED, form->addresses);
	return c->status;
}

static void say_sign(struct fl_facts *out, enum fl_fact_kind kind, const char *form)
{
	struct fl_fact *f = fl_say(out, kind);
	f->aspect = FL_BY_STACK;
	f->text = fl_static(form);
}

static void say_claim(struct fl_facts *out, enum fl_claim claim,
		      struct fl_ip ip, struct fl_mac mac)
{
	if (fl_ip_is_unspecified(ip))
		return;
	struct fl_fact *f = fl_say(out, FL_FACT_CLAIM);
	f->aspect = claim;
	f->ip = ip;
	f->mac = mac;
}

static void say_solicitation(const struct fl_packet *packet,
			     const struct fl_nd *nd, struct fl_facts *out)
{
	if (fl_ip_is_unspecified(packet->from)) {
		say_sign(out, FL_FACT_STARTING, "DAD");
		say_claim(out, FL_CLAIM_PROBES, nd->target, nd->link);
		return;
	}
	say_claim(out, FL_CLAIM_USES, packet->from, nd->link);
	struct fl_fact *f = fl_say(out, FL_FACT_WANTS);
	f->aspect = FL_WANTS_HOST;
	f->ip = nd->target;
}

/* RFC 4861 section 6.2.3: lifetime 0 says that it is no default router. */
static void say_router(const struct fl_packet *packet, const struct fl_nd *nd,
		       struct fl_facts *out)
{
	say_claim(out, FL_CLAIM_USES, packet->from, nd->link);
	if (nd->lifetime == 0)
		return;
	const size_t n = nd->prefixes ? nd->prefixes : 1;
	for (size_t i = 0; i < n; i++) {
		struct fl_fact *f = fl_say(out, FL_FACT_SERVES);
		f->aspect = FL_SERVES_ROUTE;
		f->ip = packet->from;
		f->seconds = nd->lifetime;
		f->other = nd->prefix[i].prefix;
		f->number = nd->prefix[i].bits;
	}
}

void fl_nd_say(const struct fl_packet *packet, const struct fl_nd *nd,
	       struct fl_facts *out, enum fl_manner *manner)
{
	switch (nd->type) {
	case FL_ROUTER_SOLICITATION:
		/* Repeated for as long as no router answers (RFC 7559 section 2),
		 * so it proves no start. */
		say_sign(out, FL_FACT_LINKING, "router solicitation");
		say_claim(out, FL_CLAIM_USES, packet->from, nd->link);
		break;
	case FL_ROUTER_ADVERTISEMENT:
		if (!fl_ip_is_multicast(packet->to))
			*manner = FL_ANSWER;
		say_router(packet, nd, out);
		break;
	case FL_NEIGHBOUR_SOLICITATION:
		say_solicitation(packet, nd, out);
		break;
	case FL_NEIGHBOUR_ADVERTISEMENT:
		if (nd->solicited)
			*manner = FL_ANSWER;
		say_claim(out, FL_CLAIM_USES, nd->target, nd->link);
		break;
	}
}
