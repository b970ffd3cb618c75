/* arp.c -- which station uses, or is about to use, which IPv4 address.
 *
 * Source  RFC 826; RFC 5227 sections 2.1 and 2.3 (probe, announcement);
 *         RFC 3927 section 2.2.1
 * Takes   one ARP message, Ethernet padding behind it left unread
 * Says    CLAIM from every sender field, WANTS of a host; a probe is also
 *         LINKING, since hosts probe again when a link comes up
 * Refuses sizes that are not those of Ethernet and IPv4
 */
#include "decode/arp.h"
#include "decode/decode.h"

enum { ETHERNET = 1, IEEE_802 = 6, IP4 = 0x0800 };   /* RFC 826; RFC 5494 */

enum fl_status fl_arp_read(struct fl_cursor *c, struct fl_arp *arp)
{
	const uint16_t hardware = fl_u16(c);
	if (hardware != ETHERNET && hardware != IEEE_802)
		fl_refuse(c, FL_UNSUPPORTED, "hardware type other than Ethernet");
	if (fl_u16(c) != IP4)
		fl_refuse(c, FL_UNSUPPORTED, "protocol other than IPv4");
	if (fl_u8(c) != 6)
		fl_refuse(c, FL_MALFORMED, "RFC 826: hardware address of 6 octets");
	if (fl_u8(c) != 4)
		fl_refuse(c, FL_MALFORMED, "RFC 826: protocol address of 4 octets");
	arp->operation = fl_u16(c);
	if (arp->operation != FL_ARP_REQUEST && arp->operation != FL_ARP_REPLY)
		fl_refuse(c, FL_UNSUPPORTED, "neither a request nor a reply");
	arp->sender_mac = fl_mac(c);
	arp->sender = fl_ip4(c);
	arp->target_mac = fl_mac(c);
	arp->target = fl_ip4(c);
	return c->status;
}

static void say_claim(struct fl_facts *out, enum fl_claim claim,
		      struct fl_mac mac, struct fl_ip ip)
{
	struct fl_fact *f = fl_say(out, FL_FACT_CLAIM);
	f->aspect = claim;
	f->mac = mac;
	f->ip = ip;
}

/* RFC 5227 section 2.1.1: the sender address of a probe is all zero. */
static void say_probe(const struct fl_arp *arp, struct fl_facts *out)
{
	if (fl_ip_is_unspecified(arp->target))
		return;
	struct fl_fact *f = fl_say(out, FL_FACT_LINKING);
	f->aspect = FL_BY_ADDRESS;
	f->mac = arp->sender_mac;
	f->text = fl_static("ARP probe");
	say_claim(out, FL_CLAIM_PROBES, arp->sender_mac, arp->target);
}

static void say_request(const struct fl_arp *arp, struct fl_facts *out)
{
	struct fl_fact *f = fl_say(out, FL_FACT_WANTS);
	f->aspect = FL_WANTS_HOST;
	f->mac = arp->sender_mac;
	f->ip = arp->target;
}

enum fl_status fl_decode_arp(const struct fl_packet *packet, struct fl_cursor *c,
			     struct fl_facts *out, enum fl_manner *manner)
{
	struct fl_arp arp;
	if (fl_arp_read(c, &arp) != FL_OK)
		return c->status;
	const bool request = arp.operation == FL_ARP_REQUEST;
	const bool named = !fl_ip_is_unspecified(arp.sender);
	const bool announced = fl_ip_equal(arp.sender, arp.target);
	if (!request && !announced && !fl_mac_is_broadcast(packet->target))
		*manner = FL_ANSWER;
	if (named)
		say_claim(out, FL_CLAIM_USES, arp.sender_mac, arp.sender);
	if (request && !named)
		say_probe(&arp, out);
	if (request && named && !announced)
		say_request(&arp, out);
	return FL_OK;
}
