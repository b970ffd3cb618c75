/* rtp.c -- the number that each packet of a media stream bears.
 *
 * Source  RFC 3550 section 5.1 (header), 5.3.1 (extension); RFC 3551 section
 *         6 (payload types)
 * Takes   one UDP payload, of which the first octets are enough: what is bulk
 *         is captured cut
 * Says    SEQUENCE
 * Refuses another version; a payload type that is not given out, or that
 *         would be a report's; padding longer than the packet
 */
#include "decode/rtp.h"

enum { VERSION = 2, SEQUENCE_NUMBERS = 1 << 16 };

/* RFC 3551 tables 4 and 5: 0 to 34 are given out, some kept back, 96 to 127
 * are for sessions to give out. 72 to 76 would be reports (section 6). */
static bool is_given_out(uint8_t type)
{
	return type <= 34 || type >= 96;
}

static void read_extension(struct fl_cursor *c)
{
	fl_skip(c, 2);               /* what it is, the profile says */
	fl_skip(c, 4 * (size_t)fl_u16(c));
}

/* The last octet says how many are padding, itself included. */
static void read_padding(struct fl_cursor *c, struct fl_rtp *rtp)
{
	const struct fl_slice rest = fl_rest(c);
	rtp->padding = rest.n ? rest.at[rest.n - 1] : 0;
	if (rtp->padding == 0 || rtp->padding > rest.n)
		fl_refuse(c, FL_MALFORMED,
			  "RFC 3550 section 5.1: padding is part of the packet");
}

enum fl_status fl_rtp_read(struct fl_cursor *c, bool cut, struct fl_rtp *rtp)
{
	*rtp = (struct fl_rtp){ 0 };
	const uint8_t first = fl_u8(c);
	if (first >> 6 != VERSION)
		fl_refuse(c, FL_UNSUPPORTED, "no RTP of version 2");
	rtp->contributors = first & 0x0f;
	rtp->extended = first & 0x10;
	const uint8_t second = fl_u8(c);
	rtp->marker = second & 0x80;
	rtp->type = second & 0x7f;
	if (!is_given_out(rtp->type))
		fl_refuse(c, FL_UNSUPPORTED, "payload type is not given out");
	rtp->sequence = fl_u16(c);
	rtp->timestamp = fl_u32(c);
	rtp->source = fl_u32(c);
	if (cut)
		return c->status;
	fl_skip(c, 4 * (size_t)rtp->contributors);
	if (rtp->extended)
		read_extension(c);
	if (first & 0x20)
		read_padding(c, rtp);
	return c->status;
}

enum fl_status fl_decode_rtp(const struct fl_packet *packet,
			     struct fl_cursor *c, struct fl_facts *out,
			     enum fl_manner *manner)
{
	(void)manner;
	struct fl_rtp rtp;
	if (fl_rtp_read(c, packet->payload_cut, &rtp) != FL_OK)
		return c->status;
	struct fl_fact *f = fl_say(out, FL_FACT_SEQUENCE);
	f->aspect = FL_SEQUENCE_RTP;
	f->number = rtp.sequence;
	f->seconds = SEQUENCE_NUMBERS;
	f->speeds = rtp.source;
	return FL_OK;
}
