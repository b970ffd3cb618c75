/* dhcp4.c -- who asks for an IPv4 address, who gives it, and what they tell.
 *
 * Source  RFC 2131 sections 3 and 4, RFC 2132 (see dhcp4.h)
 * Takes   one whole UDP payload, port 67 or 68
 * Says    of a client: IDENTITY, WANTS, STARTING, LINKING, LEAVING, CONFLICT;
 *         of a server: SERVES, and CLAIM for the client it bound. An offer
 *         binds nobody (RFC 2131 section 3.1 step 4)
 * Refuses what dhcp4_read.c refuses; an answer that lacks what RFC 2131
 *         section 4.3.1 table 3 demands; message types after INFORM
 */
#include "decode/decode.h"
#include "decode/dhcp4.h"

enum { WIRE_NAME = 0x04 };          /* E bit, RFC 4702 section 2.1          */
enum { FULL_NAME_HEAD = 3 };        /* flags and two codes before the name  */

struct fl_slice fl_dhcp4_full_name(const struct fl_dhcp4 *m)
{
	if (!m->full_name.n)
		return (struct fl_slice){ NULL, 0 };
	struct fl_cursor c = fl_cursor(m->full_name.at, m->full_name.n);
	const uint8_t flags = fl_u8(&c);
	fl_skip(&c, FULL_NAME_HEAD - 1);
	if (flags & WIRE_NAME && fl_left(&c))
		return fl_take(&c, fl_u8(&c));
	return fl_rest(&c);
}

unsigned fl_dhcp4_prefix(const struct fl_dhcp4 *m)
{
	struct fl_cursor c = fl_cursor(m->mask.b + 12, 4);
	const uint32_t mask = fl_u32(&c), holes = ~mask & (~mask + 1);
	unsigned bits = 0;
	for (uint32_t left = holes ? 0 : mask; left; left <<= 1)
		bits++;
	return bits;
}

enum fl_dhcp4_state fl_dhcp4_state(const struct fl_dhcp4 *m,
				   struct fl_ip sent_to)
{
	if (m->type != FL_DHCP4_REQUEST)
		return FL_DHCP4_NO_STATE;
	if (!fl_ip_is_none(m->server))
		return FL_DHCP4_SELECTING;
	if (!fl_ip_is_none(m->requested))
		return FL_DHCP4_INIT_REBOOT;
	if (fl_ip_is_unspecified(m->ciaddr))
		return FL_DHCP4_NO_STATE;
	return fl_ip_is_broadcast4(sent_to) ? FL_DHCP4_REBINDING
					    : FL_DHCP4_RENEWING;
}

static struct fl_fact *say(struct fl_facts *out, enum fl_fact_kind kind,
			   unsigned aspect, struct fl_mac mac)
{
	struct fl_fact *fact = fl_say(out, kind);
	fact->aspect = aspect;
	fact->mac = mac;
	return fact;
}

static void say_text(struct fl_facts *out, enum fl_identity what,
		     const struct fl_dhcp4 *m, struct fl_slice text)
{
	if (text.n)
		say(out, FL_FACT_IDENTITY, what, m->chaddr)->text =
			fl_keep(out, text);
}

static void say_sign(struct fl_facts *out, enum fl_fact_kind kind,
		     const struct fl_dhcp4 *m, const char *form)
{
	say(out, kind, FL_BY_ADDRESS, m->chaddr)->text = fl_static(form);
}

static void say_wants(struct fl_facts *out, const struct fl_dhcp4 *m)
{
	say(out, FL_FACT_WANTS, FL_WANTS_ADDRESS, m->chaddr)->ip = m->requested;
}

static void say_request(const struct fl_packet *packet,
			const struct fl_dhcp4 *m, struct fl_facts *out)
{
	switch (fl_dhcp4_state(m, packet->to)) {
	case FL_DHCP4_SELECTING: {
		struct fl_fact *chosen = fl_say(out, FL_FACT_SERVES);
		chosen->aspect = FL_SERVES_ADDRESSES;
		chosen->ip = m->server;
		break;
	}
	case FL_DHCP4_INIT_REBOOT:
		say_sign(out, FL_FACT_LINKING, m, "INIT-REBOOT");
		say_wants(out, m);
		break;
	case FL_DHCP4_RENEWING:       /* the steady state: a sign of nothing */
	case FL_DHCP4_REBINDING:
	case FL_DHCP4_NO_STATE:
		break;
	}
}

static void say_client(const struct fl_packet *packet,
		       const struct fl_dhcp4 *m, struct fl_facts *out)
{
	say_text(out, FL_ID_NAME, m, m->host_name.n ? m->host_name
						    : fl_dhcp4_full_name(m));
	say_text(out, FL_ID_MODEL, m, m->vendor_class);
	switch (m->type) {
	case FL_DHCP4_DISCOVER:
		say_sign(out, FL_FACT_STARTING, m, "DISCOVER");
		say_wants(out, m);
		break;
	case FL_DHCP4_REQUEST:
		say_request(packet, m, out);
		break;
	case FL_DHCP4_DECLINE:
		say(out, FL_FACT_CONFLICT, 0, m->chaddr)->ip = m->requested;
		break;
	case FL_DHCP4_RELEASE:
		say_sign(out, FL_FACT_LEAVING, m, "RELEASE");
		break;
	case FL_DHCP4_INFORM:
		say_wants(out, m);
		break;
	}
}

static void say_server(const struct fl_dhcp4 *m, struct fl_facts *out)
{
	if (m->type == FL_DHCP4_NAK)
		return;
	struct fl_fact *gives = fl_say(out, FL_FACT_SERVES);
	gives->aspect = FL_SERVES_ADDRESSES;
	gives->ip = m->server;
	gives->other = m->yiaddr;
	gives->seconds = m->lease;
	gives->number = fl_dhcp4_prefix(m);
	if (m->type != FL_DHCP4_ACK)
		return;
	if (!fl_ip_is_none(m->router)) {
		struct fl_fact *route = fl_say(out, FL_FACT_SERVES);
		route->aspect = FL_SERVES_ROUTE;
		route->ip = m->router;
	}
	if (!fl_ip_is_unspecified(m->yiaddr))
		say(out, FL_FACT_CLAIM, FL_CLAIM_USES, m->chaddr)->ip =
			m->yiaddr;
}

static bool is_of_server(uint8_t type)
{
	return type == FL_DHCP4_OFFER || type == FL_DHCP4_ACK ||
	       type == FL_DHCP4_NAK;
}

enum fl_status fl_decode_dhcp4(const struct fl_packet *packet,
			       struct fl_cursor *c, struct fl_facts *out,
			       enum fl_manner *manner)
{
	struct fl_dhcp4 m;
	fl_dhcp4_read(c, &m);
	const bool of_server = is_of_server(m.type);
	if (m.type > FL_DHCP4_INFORM)
		fl_refuse(c, FL_UNSUPPORTED,
			  "RFC 2132 section 9.6: another message type");
	if (of_server != (m.op == 2))
		fl_refuse(c, FL_MALFORMED,
			  "RFC 2131 section 4.3.1 table 3: op of this type");
	if (of_server && fl_ip_is_none(m.server))
		fl_refuse(c, FL_MALFORMED,
			  "RFC 2131 section 4.3.1 table 3: server identifier");
	if (!fl_ok(c))
		return c->status;
	if (of_server) {
		*manner = FL_ANSWER;
		say_server(&m, out);
	} else {
		say_client(packet, &m, out);
	}
	return c->status;
}
