/* test_reference_heard.c -- the readers of traps, sFlow, WS-Discovery, system
 * logs and media streams against answers computed by decoders that share
 * nothing with them.
 *
 * What a reader read is put into the form of the answers, frame by frame; of
 * media streams, whose answers are of flows, at the end of a file. */
#include "decode/reference.h"

#include "decode/rtp.h"
#include "decode/sflow.h"
#include "decode/snmp.h"
#include "decode/syslog.h"
#include "decode/wsd.h"

static json_t *text(struct fl_slice s)
{
	return json_stringn_nocheck((const char *)s.at, s.n);
}

/* The record of this frame in a list of `records`, borrowed. */
static json_t *record_of(struct reference *r, const char *protocol)
{
	json_t *list = json_object_get(json_object_get(r->expected, "records"),
				       protocol);
	json_t *record;
	size_t i;
	json_array_foreach(list, i, record)
		if (json_integer_value(json_object_get(record, "frame")) == r->number)
			return record;
	return NULL;
}

/* Of an answer only these keys, null where it has none. */
static json_t *only(json_t *record, const char *const *keys)
{
	json_t *o = json_object();
	for (; *keys; keys++) {
		json_t *value = json_object_get(record, *keys);
		json_object_set_new(o, *keys, value ? json_incref(value) : json_null());
	}
	return o;
}

static void compare(struct reference *r, const char *key, json_t *theirs, json_t *ours)
{
	reference_compare(r, key, theirs, ours);
	json_decref(theirs);
	json_decref(ours);
}

static const char *const trap_names[] = {
	[FL_SNMP_OTHER] = "", [FL_SNMP_COLD_START] = "1.3.6.1.6.3.1.1.5.1",
	[FL_SNMP_WARM_START] = "1.3.6.1.6.3.1.1.5.2",
	[FL_SNMP_LINK_DOWN] = "1.3.6.1.6.3.1.1.5.3",
	[FL_SNMP_LINK_UP] = "1.3.6.1.6.3.1.1.5.4",
	[FL_SNMP_NEW_ROOT] = "1.3.6.1.2.1.17.0.1",
	[FL_SNMP_TOPOLOGY_CHANGE] = "1.3.6.1.2.1.17.0.2",
};

/* The value bound to a name that begins so, "" if there is none. */
static const char *bound(json_t *record, const char *name)
{
	json_t *pair;
	size_t i;
	json_array_foreach(json_object_get(record, "varbinds"), i, pair)
		if (strncmp(json_string_value(json_array_get(pair, 0)), name,
			    strlen(name)) == 0)
			return json_string_value(json_array_get(pair, 1));
	return "";
}

/* RFC 3584 section 3.1 for those of version 1. */
static json_t *their_trap(json_t *record)
{
	const char *pdu = json_string_value(json_object_get(record, "pdu"));
	if (!pdu || strncmp(pdu, "trap", 4) != 0)
		return json_null();
	const bool first = strcmp(pdu, "trap-v1") == 0;
	char generic[64];
	(void)snprintf(generic, sizeof generic, "1.3.6.1.6.3.1.1.5.%d", 1 +
		       (int)json_integer_value(json_object_get(record, "generic")));
	return json_pack("{ss sI ss sI}", "trap",
		first ? generic : bound(record, "1.3.6.1.6.3.1.1.4.1.0"), "uptime",
		first ? json_integer_value(json_object_get(record, "timestamp"))
		      : (json_int_t)atoll(bound(record, "1.3.6.1.2.1.1.3.0")),
		"name", bound(record, "1.3.6.1.2.1.2.2.1.2."), "index",
		(json_int_t)atoll(bound(record, "1.3.6.1.2.1.2.2.1.1.")));
}

static void compare_snmp(struct reference *r, struct fl_cursor c)
{
	struct fl_snmp m;
	json_t *ours = fl_snmp_read(&c, &m) != FL_OK ? json_null()
		: json_pack("{ss sI so sI}", "trap", trap_names[m.trap], "uptime",
			    (json_int_t)m.uptime, "name", text(m.description),
			    "index", (json_int_t)m.index);
	compare(r, "snmp", their_trap(record_of(r, "snmp")), ours);
}

static json_t *our_interface(const struct fl_sflow_interface *i)
{
	return json_pack("{sI sI sI sI sI sI sI sI sI sI sI sI sI sI sI sI sI sI sI}",
		"index", (json_int_t)i->index, "type", (json_int_t)i->type,
		"speed", (json_int_t)i->speed, "direction", (json_int_t)i->direction,
		"status", (json_int_t)i->status, "in_octets", (json_int_t)i->octets_in,
		"in_ucast", (json_int_t)i->in[0], "in_mcast", (json_int_t)i->in[1],
		"in_bcast", (json_int_t)i->in[2], "in_discards", (json_int_t)i->in[3],
		"in_errors", (json_int_t)i->in[4], "in_unknown", (json_int_t)i->in[5],
		"out_octets", (json_int_t)i->octets_out,
		"out_ucast", (json_int_t)i->out[0], "out_mcast", (json_int_t)i->out[1],
		"out_bcast", (json_int_t)i->out[2], "out_discards",
		(json_int_t)i->out[3], "out_errors", (json_int_t)i->out[4],
		"promisc", (json_int_t)i->promiscuous);
}

static void compare_sflow(struct reference *r, struct fl_cursor c)
{
	static const char *const keys[] = { "seq", "sub_agent", "uptime_ms",
					    "n_samples", NULL };
	struct fl_sflow m;
	struct fl_sflow_sample sample;
	json_t *record = record_of(r, "sflow");
	assert_int_equal(fl_sflow_read(&c, &m), FL_OK);
	compare(r, "sflow", only(record, keys),
		json_pack("{sI sI sI sI}", "seq", (json_int_t)m.sequence, "sub_agent",
			  (json_int_t)m.sub_agent, "uptime_ms", (json_int_t)m.uptime,
			  "n_samples", (json_int_t)m.samples));
	json_t *samples = json_object_get(record, "samples");
	for (size_t i = 0; i < m.samples; i++) {
		json_t *theirs = json_object_get(json_array_get(samples, i), "if");
		json_t *ours = fl_sflow_sample(&c, &sample) && sample.interface_told
			? our_interface(&sample.interface) : NULL;
		compare(r, "sflow", json_incref(theirs), ours);
	}
	assert_int_equal(c.status, FL_OK);
	assert_int_equal(fl_left(&c), 0);
}

static json_t *local(const struct fl_wsd *m, enum fl_wsd_part part)
{
	const struct fl_slice s = fl_wsd_slice(m, part);
	size_t n = s.n;
	while (n && s.at[n - 1] != '/')
		n--;
	return text((struct fl_slice){ s.at + n, s.n - n });
}

static json_t *part(const struct fl_wsd *m, enum fl_wsd_part part)
{
	return m->text[part].n ? text(fl_wsd_slice(m, part)) : json_null();
}

static void compare_wsd(struct reference *r, struct fl_cursor c)
{
	static const char *const keys[] = { "action", "messageid", "endpoint",
					    "types", "metadataversion", NULL };
	struct fl_wsd m;
	assert_int_equal(fl_wsd_read(&c, &m), FL_OK);
	compare(r, "wsd", only(record_of(r, "wsd"), keys),
		json_pack("{so so so so so}", "action", local(&m, FL_WSD_ACTION),
			  "messageid", part(&m, FL_WSD_MESSAGE),
			  "endpoint", part(&m, FL_WSD_ENDPOINT),
			  "types", part(&m, FL_WSD_TYPES),
			  "metadataversion", part(&m, FL_WSD_VERSION)));
}

static void compare_syslog(struct reference *r, struct fl_cursor c)
{
	static const char *const keys[] = { "pri", "text", NULL };
	struct fl_syslog m;
	assert_int_equal(fl_syslog_read(&c, &m), FL_OK);
	compare(r, "syslog", only(record_of(r, "syslog"), keys),
		json_pack("{so so}", "pri", m.priority_told
			  ? json_integer(m.facility * 8 + m.severity) : json_null(),
			  "text", text(m.text)));
}

static const struct {
	const char *name;
	void (*compare)(struct reference *r, struct fl_cursor c);
} readers[] = {
	{ "snmp", compare_snmp }, { "sflow", compare_sflow },
	{ "wsd", compare_wsd }, { "syslog", compare_syslog },
};

/* What the numbers of one flow of the answers were, as frames go by. */
enum { FLOWS = 8 };
static struct { unsigned packets, first, last; } flows[FLOWS];

static bool is_of_flow(const struct fl_packet *p, json_t *flow)
{
	char from[FL_IP_TEXT], to[FL_IP_TEXT], source[64], target[64];
	(void)snprintf(source, sizeof source, "%s:%u", fl_ip_text(p->from, from),
		       p->from_port);
	(void)snprintf(target, sizeof target, "%s:%u", fl_ip_text(p->to, to),
		       p->to_port);
	return strcmp(source, json_string_value(json_object_get(flow, "src"))) == 0 &&
	       strcmp(target, json_string_value(json_object_get(flow, "dst"))) == 0;
}

static void follow_flow(size_t i, const struct fl_packet *p, json_t *flow)
{
	struct fl_cursor c = p->payload;
	struct fl_rtp rtp;
	char source[16];
	if (fl_rtp_read(&c, p->payload_cut, &rtp) != FL_OK)
		return;
	(void)snprintf(source, sizeof source, "%08x", rtp.source);
	if (strcmp(source, json_string_value(json_object_get(flow, "ssrc"))) != 0 ||
	    rtp.type != json_integer_value(json_object_get(flow, "pt")))
		return;
	if (!flows[i].packets++)
		flows[i].first = rtp.sequence;
	flows[i].last = rtp.sequence;
}

static void compare_frame(struct reference *r, const struct fl_packet *p)
{
	const struct fl_decoder *d = fl_decoder_for(p);
	for (size_t i = 0; d && i < sizeof readers / sizeof readers[0]; i++)
		if (strcmp(d->name, readers[i].name) == 0)
			readers[i].compare(r, p->payload);
	json_t *flow;
	size_t i;
	json_array_foreach(json_object_get(r->expected, "rtp_flows"), i, flow) {
		assert_in_range(i, 0, FLOWS - 1);
		if (p->layer == FL_LAYER_TRANSPORT && is_of_flow(p, flow))
			follow_flow(i, p, flow);
	}
}

static void end_file(struct reference *r)
{
	static const char *const keys[] = { "packets", "first_seq", "last_seq", NULL };
	json_t *flow;
	size_t i;
	json_array_foreach(json_object_get(r->expected, "rtp_flows"), i, flow)
		compare(r, "rtp", only(flow, keys),
			json_pack("{sI sI sI}", "packets", (json_int_t)flows[i].packets,
				  "first_seq", (json_int_t)flows[i].first,
				  "last_seq", (json_int_t)flows[i].last));
	memset(flows, 0, sizeof flows);
}

static void what_was_heard_agrees_with_the_reference_answers(void **state)
{
	(void)state;
	struct reference r = {
		.frame = compare_frame, .file = end_file,
	};
	reference_holds(&r);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(what_was_heard_agrees_with_the_reference_answers),
	};
	return FL_RUN(tests);
}
