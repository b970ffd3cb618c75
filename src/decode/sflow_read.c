/* sflow_read.c -- samples and records of an sFlow datagram.
 *
 * Source  sFlow Version 5, section 5 (structures); RFC 4506 sections 4.10
 *         and 4.11 (XDR: what has a length is padded to four octets)
 * Refuses another version, an address of another kind
 */
#include "decode/sflow.h"

enum { VERSION = 5, ADDRESS_4 = 1, ADDRESS_6 = 2 };
/* data_format: enterprise << 12 | format, of the standard's own enterprise. */
enum { COUNTERS_SAMPLE = 2, COUNTERS_SAMPLE_EXPANDED = 4 };
enum { IF_COUNTERS = 1, ETHERNET_COUNTERS = 2, PORT_NAME = 1005 };

static struct fl_ip read_address(struct fl_cursor *c)
{
	switch (fl_u32(c)) {
	case ADDRESS_4: return fl_ip4(c);
	case ADDRESS_6: return fl_ip6(c);
	default: break;
	}
	fl_refuse(c, FL_UNSUPPORTED, "agent of no IPv4 or IPv6 address");
	return (struct fl_ip){ { 0 } };
}

enum fl_status fl_sflow_read(struct fl_cursor *c, struct fl_sflow *sflow)
{
	*sflow = (struct fl_sflow){ .samples = 0 };
	if (fl_u32(c) != VERSION)
		fl_refuse(c, FL_UNSUPPORTED, "no sFlow of version 5");
	sflow->agent = read_address(c);
	sflow->sub_agent = fl_u32(c);
	sflow->sequence = fl_u32(c);
	sflow->uptime = fl_u32(c);
	sflow->samples = fl_u32(c);
	if (sflow->samples > FL_SFLOW_SAMPLES_MAX)
		fl_refuse(c, FL_FULL, "too many samples");
	return c->status;
}

/* Sample or record: what it is, and a fence round it. */
static struct fl_cursor read_block(struct fl_cursor *c, uint32_t *format)
{
	*format = fl_u32(c);
	return fl_sub(c, fl_u32(c));
}

static void read_numbers(struct fl_cursor *c, uint32_t *to, size_t n)
{
	for (size_t i = 0; i < n; i++)
		to[i] = fl_u32(c);
}

static void read_interface(struct fl_cursor *c, struct fl_sflow_sample *s)
{
	struct fl_sflow_interface *i = &s->interface;
	i->index = fl_u32(c);
	i->type = fl_u32(c);
	i->speed = fl_be(c, 8);
	i->direction = fl_u32(c);
	i->status = fl_u32(c);
	i->octets_in = fl_be(c, 8);
	read_numbers(c, i->in, sizeof i->in / sizeof i->in[0]);
	i->octets_out = fl_be(c, 8);
	read_numbers(c, i->out, sizeof i->out / sizeof i->out[0]);
	i->promiscuous = fl_u32(c);
	s->interface_told = true;
}

static void read_ethernet(struct fl_cursor *c, struct fl_sflow_sample *s)
{
	read_numbers(c, s->ethernet, FL_SFLOW_ETHERNET);
	s->ethernet_told = true;
}

/* A string: its length, and octets. */
static void read_name(struct fl_cursor *c, struct fl_sflow_sample *s)
{
	s->name = fl_take(c, fl_u32(c));
}

static const struct {
	uint32_t format;
	void   (*read)(struct fl_cursor *c, struct fl_sflow_sample *s);
} records[] = {
	{ IF_COUNTERS, read_interface },
	{ ETHERNET_COUNTERS, read_ethernet },
	{ PORT_NAME, read_name },
};

static void read_record(struct fl_cursor *c, struct fl_sflow_sample *s)
{
	uint32_t format;
	struct fl_cursor record = read_block(c, &format);
	for (size_t i = 0; i < sizeof records / sizeof records[0]; i++)
		if (records[i].format == format)
			records[i].read(&record, s);
	fl_join(c, &record);
}

static void read_source(struct fl_cursor *c, bool expanded,
			struct fl_sflow_sample *s)
{
	const uint32_t source = fl_u32(c);
	s->source_type = expanded ? source : source >> 24;
	s->source_index = expanded ? fl_u32(c) : source & 0xffffff;
}

bool fl_sflow_sample(struct fl_cursor *c, struct fl_sflow_sample *sample)
{
	uint32_t format;
	*sample = (struct fl_sflow_sample){ .sequence = 0 };
	struct fl_cursor body = read_block(c, &format);
	if (format != COUNTERS_SAMPLE && format != COUNTERS_SAMPLE_EXPANDED)
		return false;
	sample->sequence = fl_u32(&body);
	read_source(&body, format == COUNTERS_SAMPLE_EXPANDED, sample);
	const uint32_t n = fl_u32(&body);
	if (n > FL_SFLOW_RECORDS_MAX)
		fl_refuse(&body, FL_FULL, "too many records");
	for (uint32_t i = 0; i < n && fl_ok(&body); i++)
		read_record(&body, sample);
	fl_join(c, &body);
	return fl_ok(c);
}
