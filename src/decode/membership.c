/* membership.c -- see membership.h.
 *
 * Source  RFC 3376, RFC 3810
 */
#include "decode/membership.h"

uint32_t fl_scaled_code(uint32_t code, unsigned mantissa)
{
	const uint32_t hidden = UINT32_C(1) << mantissa;
	if (code < hidden << 3)
		return code;
	const uint32_t exponent = (code >> mantissa) & 7;
	return ((code & (hidden - 1)) | hidden) << (exponent + 3);
}

void fl_membership_read_query(struct fl_cursor *c, struct fl_membership *m,
			      const struct fl_membership_family *family)
{
	const uint8_t flags = fl_u8(c);
	m->suppress = flags & 0x08;
	m->robustness = flags & 0x07;
	m->interval = fl_scaled_code(fl_u8(c), 4);
	m->sources = fl_u16(c);
	fl_skip(c, m->sources * family->address_octets);
}

static struct fl_ip read_group(struct fl_cursor *c,
			       const struct fl_membership_family *family)
{
	const struct fl_ip group = family->address(c);
	if (!fl_ip_is_multicast(group))
		fl_refuse(c, FL_MALFORMED, family->not_a_group);
	return group;
}

static void keep(struct fl_membership *m, struct fl_group_record record)
{
	if (m->kept < FL_RECORDS_MAX)
		m->record[m->kept++] = record;
}

void fl_membership_read_one(struct fl_cursor *c, struct fl_membership *m,
			    enum fl_record_type type,
			    const struct fl_membership_family *family)
{
	m->records = 1;
	keep(m, (struct fl_group_record){
		.type = (uint8_t)type, .group = read_group(c, family),
	});
}

void fl_membership_read_records(struct fl_cursor *c, struct fl_membership *m,
				const struct fl_membership_family *family)
{
	m->records = fl_u16(c);
	for (uint16_t i = 0; fl_ok(c) && i < m->records; i++) {
		struct fl_group_record record = { .type = fl_u8(c) };
		const size_t auxiliary = fl_u8(c) * (size_t)4;
		record.sources = fl_u16(c);
		record.group = read_group(c, family);
		fl_skip(c, record.sources * family->address_octets + auxiliary);
		keep(m, record);
	}
}

/* What a record says of its group: FL_WANTS_GROUP, FL_WANTS_NO_GROUP, or -1
 * for neither. To include no source is to leave; to block sources leaves
 * open whether others stay wanted; unknown types are passed over (RFC 3376
 * section 4.2.12). */
static int wanted(const struct fl_group_record *r)
{
	switch (r->type) {
	case FL_RECORD_IS_EX:
	case FL_RECORD_TO_EX: return FL_WANTS_GROUP;
	case FL_RECORD_TO_IN:
		return r->sources ? FL_WANTS_GROUP : FL_WANTS_NO_GROUP;
	case FL_RECORD_IS_IN:
	case FL_RECORD_ALLOW: return r->sources ? FL_WANTS_GROUP : -1;
	default:              return -1;
	}
}

bool fl_membership_joins(const struct fl_membership *m)
{
	for (size_t i = 0; i < m->kept; i++)
		if (m->record[i].type == FL_RECORD_TO_EX)
			return true;
	return false;
}

bool fl_membership_wants(const struct fl_membership *m)
{
	for (size_t i = 0; i < m->kept; i++)
		if (wanted(&m->record[i]) == FL_WANTS_GROUP)
			return true;
	return false;
}

static void say_query(const struct fl_packet *packet,
		      const struct fl_membership *m, struct fl_facts *out)
{
	struct fl_fact *f = fl_say(out, FL_FACT_SERVES);
	f->aspect = FL_SERVES_QUERIES;
	f->ip = packet->from;
	f->seconds = m->interval;
}

static void say_record(const struct fl_group_record *r, struct fl_facts *out)
{
	const int want = wanted(r);
	if (want < 0)
		return;
	struct fl_fact *f = fl_say(out, FL_FACT_WANTS);
	f->aspect = (unsigned)want;
	f->ip = r->group;
}

void fl_membership_say(const struct fl_packet *packet,
		       const struct fl_membership *m, struct fl_facts *out,
		       enum fl_manner *manner)
{
	if (m->query) {
		say_query(packet, m, out);
		return;
	}
	*manner = FL_ANSWER;
	for (size_t i = 0; i < m->kept; i++) {
		if (m->record[i].type > FL_RECORD_IS_EX)
			*manner = FL_UNASKED;
		say_record(&m->record[i], out);
	}
	if (m->records > m->kept)
		out->spilled = true;
}
