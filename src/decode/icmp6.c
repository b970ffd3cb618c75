/* icmp6.c -- the ICMPv6 messages that stations send among neighbours.
 *
 * Source  RFC 4443 section 2.3 (checksum); RFC 4861 and RFC 4862 (neighbour
 *         discovery, in nd.c); RFC 2710 and RFC 3810 (multicast listeners,
 *         in mld.c)
 * Takes   one IPv6 payload; the sum also covers the packet's addresses
 * Refuses a checksum that does not hold; echoes and errors are unsupported
 */
#include "base/checksum.h"
#include "decode/mld.h"
#include "decode/nd.h"
#include "decode/network.h"

enum { ICMP6 = 58 };

static bool sum_holds(const struct fl_packet *packet, struct fl_cursor whole)
{
	const struct fl_slice s = fl_rest(&whole);
	return fl_inet_add(fl_pseudo_sum(packet, ICMP6, s.n),
			   fl_inet_sum(s.at, s.n)) == 0xffff;
}

static void decode_nd(const struct fl_packet *packet, uint8_t type, uint8_t code,
		      struct fl_cursor *c, struct fl_facts *out,
		      enum fl_manner *manner)
{
	struct fl_nd nd;
	if (fl_nd_read(packet, type, code, c, &nd) == FL_OK)
		fl_nd_say(packet, &nd, out, manner);
}

static void decode_mld(const struct fl_packet *packet, uint8_t type,
		       struct fl_cursor *c, struct fl_facts *out,
		       enum fl_manner *manner)
{
	struct fl_membership m;
	if (fl_mld_read(type, c, &m) == FL_OK)
		fl_mld_say(packet, &m, out, manner);
}

enum fl_status fl_decode_icmp6(const struct fl_packet *packet,
			       struct fl_cursor *c, struct fl_facts *out,
			       enum fl_manner *manner)
{
	if (!fl_packet_is_whole(packet))
		fl_refuse(c, FL_SHORT, "the message is cut: its sum is unknown");
	const struct fl_cursor whole = *c;
	const uint8_t type = fl_u8(c);
	const uint8_t code = fl_u8(c);
	fl_skip(c, 2);
	if (!sum_holds(packet, whole))
		fl_refuse(c, FL_MALFORMED, "RFC 4443 section 2.3: checksum");
	if (fl_is_nd(type))
		decode_nd(packet, type, code, c, out, manner);
	else if (fl_is_mld(type))
		decode_mld(packet, type, c, out, manner);
	else
		fl_refuse(c, FL_UNSUPPORTED, "no message among neighbours");
	return c->status;
}
