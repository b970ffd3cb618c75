/* igmp.c -- who listens to which IPv4 group, and who asks for it.
 *
 * Source  RFC 2236 section 2 (version 1 and 2); RFC 3376 section 4 (version
 *         3), section 7.1 (how to tell the versions of a query)
 * Takes   one IP payload; padding must be cut off, the sum covers all
 * Says    WANTS of a group or of none, SERVES queries
 * Refuses a checksum that does not hold, a group that is no group, a query
 *         of a length between the versions
 */
#include "base/checksum.h"
#include "decode/igmp.h"
#include "decode/network.h"

enum {
	QUERY = 0x11, REPORT_1 = 0x12, REPORT_2 = 0x16, LEAVE = 0x17,
	REPORT_3 = 0x22,
};
enum { OLD_OCTETS = 8, QUERY_3_OCTETS = 12 };        /* RFC 3376 section 7.1 */
enum { TENTHS_1 = 100 };      /* RFC 2236 section 4: a version 1 query's */

static const struct fl_membership_family family = {
	fl_ip4, 4, "RFC 3376 section 4.2.5: a multicast address",
};

static void read_query(struct fl_cursor *c, struct fl_membership *m,
		       size_t octets, uint8_t code)
{
	if (octets > OLD_OCTETS && octets < QUERY_3_OCTETS)
		fl_refuse(c, FL_MALFORMED, "RFC 3376 section 7.1: "
			  "a query of 8 octets, or of 12 and more");
	m->query = true;
	m->group = fl_ip4(c);
	if (octets == OLD_OCTETS) {
		m->version = code ? 2 : 1;
		m->response = (code ? code : TENTHS_1) * 100u;
		return;
	}
	m->version = 3;
	m->response = fl_scaled_code(code, 4) * 100;
	fl_membership_read_query(c, m, &family);
}

static void read_old_report(struct fl_cursor *c, struct fl_membership *m,
			    uint8_t version, enum fl_record_type type)
{
	m->version = version;
	fl_membership_read_one(c, m, type, &family);
}

static void read_report(struct fl_cursor *c, struct fl_membership *m)
{
	m->version = 3;
	fl_skip(c, 2);
	fl_membership_read_records(c, m, &family);
}

enum fl_status fl_igmp_read(struct fl_cursor *c, struct fl_membership *m)
{
	*m = (struct fl_membership){ .query = false };
	struct fl_cursor whole = *c;
	const struct fl_slice summed = fl_rest(&whole);
	const uint8_t type = fl_u8(c);
	const uint8_t code = fl_u8(c);
	fl_skip(c, 2);
	if (fl_inet_sum(summed.at, summed.n) != 0xffff)
		fl_refuse(c, FL_MALFORMED, "RFC 2236 section 2.3: checksum");
	switch (type) {
	case QUERY:    read_query(c, m, summed.n, code); break;
	case REPORT_1: read_old_report(c, m, 1, FL_RECORD_IS_EX); break;
	case REPORT_2: read_old_report(c, m, 2, FL_RECORD_IS_EX); break;
	case LEAVE:    read_old_report(c, m, 2, FL_RECORD_TO_IN); break;
	case REPORT_3: read_report(c, m); break;
	default: fl_refuse(c, FL_UNSUPPORTED, "no membership message"); break;
	}
	return c->status;
}

enum fl_status fl_decode_igmp(const struct fl_packet *packet,
			      struct fl_cursor *c, struct fl_facts *out,
			      enum fl_manner *manner)
{
	struct fl_membership m;
	if (!fl_packet_is_whole(packet))
		fl_refuse(c, FL_SHORT, "the message is cut: its sum is unknown");
	if (fl_igmp_read(c, &m) == FL_OK)
		fl_membership_say(packet, &m, out, manner);
	return c->status;
}
