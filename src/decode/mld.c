/* mld.c -- who listens to which IPv6 group, and who asks for it.
 *
 * Source  RFC 2710 section 3 (version 1); RFC 3810 section 5 (version 2),
 *         section 8.1 (how to tell the versions of a query)
 * Says    WANTS of a group or of none, SERVES queries; STARTING where a
 *         group is wanted before there is an address, LINKING where one is
 *         joined anew from a link-local address
 * Refuses a group that is no group, a query between the versions' lengths
 */
#include "decode/mld.h"

enum { QUERY = 130, REPORT_1 = 131, DONE = 132, REPORT_2 = 143 };

/* After type, code and checksum: RFC 3810 section 8.1 less 4 octets. */
enum { OLD_OCTETS = 20, QUERY_2_OCTETS = 24 };

static const struct fl_membership_family family = {
	fl_ip6, 16, "RFC 3810 section 5.2.5: a multicast address",
};

bool fl_is_mld(uint8_t type)
{
	return type == QUERY || type == REPORT_1 || type == DONE ||
	       type == REPORT_2;
}

static void read_query(struct fl_cursor *c, struct fl_membership *m)
{
	const size_t octets = fl_left(c);
	const uint16_t code = fl_u16(c);
	fl_skip(c, 2);
	if (octets > OLD_OCTETS && octets < QUERY_2_OCTETS)
		fl_refuse(c, FL_MALFORMED, "RFC 3810 section 8.1: "
			  "a query of 24 octets, or of 28 and more");
	m->query = true;
	m->version = octets == OLD_OCTETS ? 1 : 2;
	m->group = fl_ip6(c);
	m->response = m->version == 1 ? code : fl_scaled_code(code, 12);
	if (m->version == 2)
		fl_membership_read_query(c, m, &family);
}

static void read_old_report(struct fl_cursor *c, struct fl_membership *m,
			    enum fl_record_type type)
{
	m->version = 1;
	fl_skip(c, 4);                           /* response delay, reserved */
	fl_membership_read_one(c, m, type, &family);
}

static void read_report(struct fl_cursor *c, struct fl_membership *m)
{
	m->version = 2;
	fl_skip(c, 2);
	fl_membership_read_records(c, m, &family);
}

enum fl_status fl_mld_read(uint8_t type, struct fl_cursor *c,
			   struct fl_membership *m)
{
	*m = (struct fl_membership){ .query = false };
	switch (type) {
	case QUERY:    read_query(c, m); break;
	case REPORT_1: read_old_report(c, m, FL_RECORD_IS_EX); break;
	case DONE:     read_old_report(c, m, FL_RECORD_TO_IN); break;
	case REPORT_2: read_report(c, m); break;
	}
	return c->status;
}

static void say_sign(struct fl_facts *out, enum fl_fact_kind kind,
		     const char *form)
{
	struct fl_fact *f = fl_say(out, kind);
	f->aspect = FL_BY_STACK;
	f->text = fl_static(form);
}

/* RFC 3590 section 4: a report comes from :: while the stack has no address
 * yet; a stack that goes down may leave its groups from :: too. */
void fl_mld_say(const struct fl_packet *packet, const struct fl_membership *m,
		struct fl_facts *out, enum fl_manner *manner)
{
	if (fl_ip_is_unspecified(packet->from) && fl_membership_wants(m))
		say_sign(out, FL_FACT_STARTING, "MLD from ::");
	else if (fl_ip_is_link_local(packet->from) && fl_membership_joins(m))
		say_sign(out, FL_FACT_LINKING, "MLD");
	fl_membership_say(packet, m, out, manner);
}
