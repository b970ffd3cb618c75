/* packet.c -- take the link headers off a frame.
 *
 * Source  IEEE Std 802.3 section 3.2 (length/type); IEEE Std 802.1Q section
 *         9.6 (tags); IEEE Std 802.2 section 5 (LLC); RFC 1042 (SNAP);
 *         draft-ietf-opsawg-pcaplinktype (the cooked headers of Linux)
 * Takes   one frame without its FCS
 * Refuses a sender that is a group, a length that the frame does not hold
 * Ceiling FL_VLANS_MAX tags
 */
#include "decode/peel.h"

enum {
	LENGTH_MAX = 1500, TYPE_MIN = 1536,      /* IEEE Std 802.3 section 3.2.6 */
	TYPE_IP4 = 0x0800, TYPE_IP6 = 0x86dd,
	SAP_SNAP = 0xaa, UNNUMBERED = 0x03,
	COOKED_LLC = 0x0004,                     /* LINUX_SLL protocol type */
};

void fl_peel_fence(struct fl_peel *peel, const struct fl_cursor *look, size_t n,
		   const char *why)
{
	struct fl_cursor blamed = *look;
	const size_t end = fl_offset(&peel->c) + n;
	if (end > peel->wire)
		fl_refuse(&blamed, FL_MALFORMED, why);
	fl_join(&peel->c, &blamed);
	if (!fl_ok(&peel->c))
		return;
	peel->wire = end;
	peel->packet->payload_cut = n > fl_left(&peel->c);
	if (!peel->packet->payload_cut)
		peel->c = fl_sub(&peel->c, n);
}

/* IEEE Std 802.1Q table 9-1, and 9100 as used before stacking had a number. */
static bool is_tag(uint16_t type)
{
	return type == 0x8100 || type == 0x88a8 || type == 0x9100;
}

/* The length/type behind all tags. */
static uint16_t read_tags(struct fl_packet *p, struct fl_cursor *c)
{
	uint16_t type = fl_u16(c);
	while (is_tag(type)) {
		if (p->tags == FL_VLANS_MAX) {
			fl_refuse(c, FL_UNSUPPORTED, "more VLAN tags than are read");
			return type;
		}
		const uint16_t control = fl_u16(c);
		type = fl_u16(c);
		if (fl_ok(c))
			p->vlans[p->tags++] = control & 0x0fff;
	}
	p->vlan = p->vlans[0];
	return type;
}

/* RFC 1042: SNAP with organization 0 is an ethertype by a longer way. Any
 * other organization stays a payload of LLC. */
static void read_llc(struct fl_packet *p, struct fl_cursor *c)
{
	p->sap[0] = fl_u8(c);
	p->sap[1] = fl_u8(c);
	const uint8_t control = fl_u8(c);
	if ((control & UNNUMBERED) != UNNUMBERED)
		fl_skip(c, 1);           /* IEEE Std 802.2 section 5.2 */
	p->llc = true;
	if (p->sap[0] != SAP_SNAP || p->sap[1] != SAP_SNAP || control != UNNUMBERED)
		return;
	struct fl_cursor snap = *c;
	const uint64_t organization = fl_be(&snap, 3);
	const uint16_t type = fl_u16(&snap);
	fl_join(c, &snap);
	if (!fl_ok(c) || organization != 0)
		return;
	*c = snap;
	p->ethertype = type;
	p->llc = false;
}

static void read_ethernet(struct fl_peel *peel)
{
	struct fl_packet *p = peel->packet;
	struct fl_cursor *c = &peel->c;
	p->target = fl_mac(c);
	p->source = fl_mac(c);
	if (fl_mac_is_group(p->source))
		fl_refuse(c, FL_MALFORMED,
			  "IEEE Std 802.3 section 3.2.3: a group is no sender");
	p->source_known = fl_ok(c) && !fl_mac_is_none(p->source);
	const uint16_t type = read_tags(p, c);
	if (type > LENGTH_MAX && type < TYPE_MIN)
		fl_refuse(c, FL_MALFORMED, "IEEE Std 802.3 section 3.2.6: "
			  "neither a length nor a type");
	if (type >= TYPE_MIN) {
		p->ethertype = type;
		return;
	}
	fl_peel_fence(peel, c, type, "IEEE Std 802.3 section 3.2.6: "
		      "length runs past the frame");
	read_llc(p, c);
}

/* On these hardware types the protocol field is no ethertype. */
static bool speaks_ethertypes(uint16_t hardware)
{
	enum { GRE = 778, RADIOTAP = 803, NETLINK = 824 };
	return hardware != GRE && hardware != RADIOTAP && hardware != NETLINK;
}

static void read_cooked_rest(struct fl_peel *peel, struct fl_cursor *address,
			     uint16_t hardware, size_t address_length)
{
	struct fl_packet *p = peel->packet;
	if (address_length == sizeof p->source.b)
		p->source = fl_mac(address);
	p->source_known = !fl_mac_is_none(p->source);
	if (!speaks_ethertypes(hardware))
		fl_refuse(&peel->c, FL_UNSUPPORTED, "cooked frame of another link");
}

static void settle_cooked(struct fl_packet *p, struct fl_cursor *c, uint16_t type)
{
	if (type == COOKED_LLC)
		read_llc(p, c);
	else
		p->ethertype = type;
}

/* Packet type: the header has no target, but says whom it was meant for. */
static void read_way(struct fl_packet *p, unsigned way)
{
	enum { BROADCAST = 1, OUTGOING = 4 };
	p->outgoing = way == OUTGOING;
	if (way == BROADCAST)
		memset(p->target.b, 0xff, sizeof p->target.b);
}

/* A multicast packet's target follows from its group: RFC 1112 section 6.4,
 * RFC 2464 section 7. */
static void infer_target(struct fl_packet *p)
{
	static const uint8_t four[3] = { 0x01, 0x00, 0x5e }, six[2] = { 0x33, 0x33 };
	if (!fl_mac_is_none(p->target) || !fl_ip_is_multicast(p->to))
		return;
	memcpy(p->target.b + 2, p->to.b + 12, 4);
	memcpy(p->target.b, six, sizeof six);
	if (fl_ip_is4(p->to)) {
		memcpy(p->target.b, four, sizeof four);
		p->target.b[3] &= 0x7f;
	}
}

static void read_cooked(struct fl_peel *peel)
{
	struct fl_cursor *c = &peel->c;
	const uint16_t way = fl_u16(c);
	const uint16_t hardware = fl_u16(c);
	const uint16_t length = fl_u16(c);
	struct fl_cursor address = fl_sub(c, 8);
	read_cooked_rest(peel, &address, hardware, length);
	settle_cooked(peel->packet, c, read_tags(peel->packet, c));
	read_way(peel->packet, way);
}

static void read_cooked2(struct fl_peel *peel)
{
	struct fl_cursor *c = &peel->c;
	struct fl_cursor protocol = fl_sub(c, 2);
	uint16_t type = fl_u16(&protocol);
	fl_skip(c, 2 + 4);                       /* reserved, interface */
	const uint16_t hardware = fl_u16(c);
	const uint8_t way = fl_u8(c);
	const uint8_t length = fl_u8(c);
	struct fl_cursor address = fl_sub(c, 8);
	read_cooked_rest(peel, &address, hardware, length);
	settle_cooked(peel->packet, c, type);
	read_way(peel->packet, way);
}

static void read_network(struct fl_peel *peel)
{
	if (peel->packet->ethertype == TYPE_IP4)
		fl_peel_ip4(peel);
	else if (peel->packet->ethertype == TYPE_IP6)
		fl_peel_ip6(peel);
}

enum fl_status fl_packet_read(const struct fl_frame *frame,
			      struct fl_packet *packet)
{
	*packet = (struct fl_packet){
		.payload_cut = frame->captured < frame->length,
	};
	struct fl_peel peel = {
		packet, fl_cursor(frame->at, frame->captured),
		frame->length > frame->captured ? frame->length : frame->captured,
	};
	switch (frame->link) {
	case FL_LINK_ETHERNET: read_ethernet(&peel); break;
	case FL_LINK_COOKED:   read_cooked(&peel);   break;
	case FL_LINK_COOKED2:  read_cooked2(&peel);  break;
	default: fl_refuse(&peel.c, FL_UNSUPPORTED, "link type"); break;
	}
	if (fl_ok(&peel.c)) {
		packet->layer = FL_LAYER_LINK;
		read_network(&peel);
		infer_target(packet);
	}
	packet->payload = peel.c;
	return peel.c.status;
}
