/* network.c -- take IPv4, IPv6, UDP and TCP headers off a packet.
 *
 * Source  RFC 791 section 3.1; RFC 8200 sections 3, 4 and 8.1; RFC 4302
 *         section 2 (AH); RFC 6946 section 4 (atomic fragments); RFC 768;
 *         RFC 9293 section 3.1 (TCP)
 * Refuses a version or a length that breaks its rule, never a checksum: a
 *         host that hands sums to its port captures its own frames without
 * Ceiling EXTENSIONS_MAX extension headers; fragments are not joined
 */
#include "base/checksum.h"
#include "decode/network.h"
#include "decode/peel.h"

enum { TCP = 6, UDP = 17, FRAGMENT = 44 };
enum { IP4_HEADER = 20, IP6_HEADER = 40, UDP_HEADER = 8, TCP_HEADER = 20 };
enum { EXTENSIONS_MAX = 8 };

static void read_udp(struct fl_peel *peel)
{
	struct fl_packet *p = peel->packet;
	struct fl_cursor look = peel->c;
	fl_skip(&look, 4);
	const uint16_t length = fl_u16(&look);
	if (length < UDP_HEADER)
		fl_refuse(&look, FL_MALFORMED, "RFC 768: length of 8 or more");
	if (p->fragment)                 /* the length is of all fragments */
		fl_join(&peel->c, &look);
	else
		fl_peel_fence(peel, &look, length,
			      "RFC 768: length runs past the packet");
	p->from_port = fl_u16(&peel->c);
	p->to_port = fl_u16(&peel->c);
	fl_skip(&peel->c, 2);
	p->udp_sum = fl_u16(&peel->c);
	p->udp_sum_absent = p->udp_sum == 0 && fl_ip_is4(p->from);
}

static void read_tcp(struct fl_peel *peel)
{
	struct fl_cursor *c = &peel->c;
	peel->packet->from_port = fl_u16(c);
	peel->packet->to_port = fl_u16(c);
	fl_skip(c, 8);                           /* both numbers */
	const size_t header = (size_t)(fl_u8(c) >> 4) * 4;
	if (header < TCP_HEADER)
		fl_refuse(c, FL_MALFORMED,
			  "RFC 9293 section 3.1: data offset of 5 or more");
	else
		fl_skip(c, header - 13);
}

static void read_transport(struct fl_peel *peel)
{
	struct fl_packet *p = peel->packet;
	if (p->later_fragment)
		return;
	if (p->protocol == UDP)
		read_udp(peel);
	else if (p->protocol == TCP)
		read_tcp(peel);
	else
		return;
	if (fl_ok(&peel->c))
		p->layer = FL_LAYER_TRANSPORT;
}

static void note_fragment(struct fl_packet *p, bool more, bool later)
{
	p->fragment = p->fragment || more || later;
	p->later_fragment = later;
}

/* Hold the packet to its total length; returns the header's octets. */
static size_t fence_ip4(struct fl_peel *peel)
{
	struct fl_cursor look = peel->c;
	const uint8_t first = fl_u8(&look);
	const size_t header = (size_t)(first & 0x0f) * 4;
	if (first >> 4 != 4)
		fl_refuse(&look, FL_MALFORMED, "RFC 791 section 3.1: version 4");
	if (header < IP4_HEADER)
		fl_refuse(&look, FL_MALFORMED,
			  "RFC 791 section 3.1: header length of 5 or more");
	fl_skip(&look, 1);
	const uint16_t total = fl_u16(&look);
	if (total < header)
		fl_refuse(&look, FL_MALFORMED,
			  "RFC 791 section 3.1: total length holds the header");
	fl_peel_fence(peel, &look, total,
		      "RFC 791 section 3.1: total length runs past the frame");
	return header;
}

void fl_peel_ip4(struct fl_peel *peel)
{
	struct fl_packet *p = peel->packet;
	struct fl_cursor *c = &peel->c;
	const size_t header = fence_ip4(peel);
	struct fl_cursor whole = *c;
	fl_skip(c, 4);
	const uint16_t identification = fl_u16(c);
	const uint16_t fragment = fl_u16(c);
	const uint8_t hops = fl_u8(c);
	const uint8_t protocol = fl_u8(c);
	fl_skip(c, 2);
	const struct fl_ip from = fl_ip4(c);
	const struct fl_ip to = fl_ip4(c);
	fl_skip(c, header - IP4_HEADER);         /* options */
	if (!fl_ok(c))
		return;
	const struct fl_slice summed = fl_take(&whole, header);
	p->header_sum_bad = fl_inet_sum(summed.at, summed.n) != 0xffff;
	p->identification = identification;
	note_fragment(p, fragment & 0x2000, fragment & 0x1fff);
	p->hops = hops;
	p->protocol = protocol;
	p->from = from;
	p->to = to;
	p->layer = FL_LAYER_NETWORK;
	read_transport(peel);
}

/* Octets that each step of the length field adds to the first 8 of an
 * extension header; -1: no extension header. A fragment header has none. */
static int length_step(uint8_t next)
{
	enum { HOP_BY_HOP = 0, ROUTING = 43, AUTHENTICATION = 51, TARGET = 60 };
	switch (next) {
	case HOP_BY_HOP:
	case ROUTING:
	case TARGET:         return 8;           /* RFC 8200 section 4 */
	case AUTHENTICATION: return 4;           /* RFC 4302 section 2.2 */
	case FRAGMENT:       return 0;           /* RFC 8200 section 4.5 */
	default:             return -1;
	}
}

static void read_extensions(struct fl_packet *p, struct fl_cursor *c)
{
	for (int n = 0; length_step(p->protocol) >= 0; n++) {
		if (n == EXTENSIONS_MAX) {
			fl_refuse(c, FL_UNSUPPORTED,
				  "more extension headers than are read");
			return;
		}
		const uint8_t next = fl_u8(c);
		const uint8_t length = fl_u8(c);
		const uint16_t offset = fl_u16(c);   /* of a fragment header */
		fl_skip(c, 4 + (size_t)length_step(p->protocol) * length);
		if (!fl_ok(c))
			return;
		if (p->protocol == FRAGMENT)
			note_fragment(p, offset & 1, offset & 0xfff8);
		p->protocol = next;
		if (p->later_fragment)
			return;
	}
}

/* Hold the packet to its payload length. */
static void fence_ip6(struct fl_peel *peel)
{
	struct fl_cursor look = peel->c;
	if (fl_u8(&look) >> 4 != 6)
		fl_refuse(&look, FL_MALFORMED, "RFC 8200 section 3: version 6");
	fl_skip(&look, 3);                       /* traffic class, flow label */
	const uint16_t length = fl_u16(&look);
	fl_peel_fence(peel, &look, (size_t)IP6_HEADER + length,
		      "RFC 8200 section 3: payload length runs past the frame");
}

void fl_peel_ip6(struct fl_peel *peel)
{
	struct fl_packet *p = peel->packet;
	struct fl_cursor *c = &peel->c;
	fence_ip6(peel);
	fl_skip(c, 6);
	const uint8_t next = fl_u8(c);
	const uint8_t hops = fl_u8(c);
	const struct fl_ip from = fl_ip6(c);
	const struct fl_ip to = fl_ip6(c);
	if (!fl_ok(c))
		return;
	p->protocol = next;
	p->hops = hops;
	p->from = from;
	p->to = to;
	p->layer = FL_LAYER_NETWORK;
	read_extensions(p, c);
	if (fl_ok(c))
		read_transport(peel);
}

/* An IPv4 address lies mapped in 16 octets, and the mapping would be summed
 * too: only its last four belong to the pseudo-header. */
static uint16_t address_sum(struct fl_ip ip)
{
	return fl_ip_is4(ip) ? fl_inet_sum(ip.b + 12, 4)
			     : fl_inet_sum(ip.b, sizeof ip.b);
}

uint16_t fl_pseudo_sum(const struct fl_packet *p, uint8_t protocol, size_t length)
{
	uint16_t sum = fl_inet_add(address_sum(p->from), address_sum(p->to));
	sum = fl_inet_add(sum, protocol);
	sum = fl_inet_add(sum, (uint16_t)(length >> 16));
	return fl_inet_add(sum, (uint16_t)length);
}

bool fl_packet_is_whole(const struct fl_packet *p)
{
	return !p->payload_cut && !p->fragment;
}

bool fl_packet_udp_holds(const struct fl_packet *p)
{
	if (p->udp_sum_absent || !fl_packet_is_whole(p))
		return true;
	if (p->udp_sum == 0)                     /* RFC 8200 section 8.1 */
		return false;
	struct fl_cursor c = p->payload;
	const struct fl_slice data = fl_rest(&c);
	const size_t length = UDP_HEADER + data.n;
	uint16_t sum = fl_pseudo_sum(p, UDP, length);
	/* A host that leaves the sum to its port puts the pseudo header's sum
	 * there; captured before that port, on a virtual segment, it stands. */
	if (p->udp_sum == sum)
		return true;
	sum = fl_inet_add(sum, p->from_port);
	sum = fl_inet_add(sum, p->to_port);
	sum = fl_inet_add(sum, (uint16_t)length);
	sum = fl_inet_add(sum, p->udp_sum);
	return fl_inet_add(sum, fl_inet_sum(data.at, data.n)) == 0xffff;
}
