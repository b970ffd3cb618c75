/* mdns.c -- who is called what, offers what, seeks what, begins or goes.
 *
 * Source  RFC 6762, RFC 6763 (see mdns.h)
 * Takes   one whole UDP payload, port 5353
 * Says    of a query: STARTING for a probe, else WANTS for each service; of a
 *         response: IDENTITY, LEAVING for a goodbye. Answers within a query
 *         are what the asker knows of others (RFC 6762 section 7.1): nothing
 * Refuses what dns.c refuses; operation and response codes other than zero;
 *         a response from another port
 * Ceiling see mdns.h
 */
#include "decode/decode.h"
#include "decode/mdns.h"

enum { PORT = 5353 };                        /* RFC 6762 section 3          */

/* TXT keys that name a property of the device itself, in common practice:
 * RFC 6763 section 6.7 reserves txtvers alone. */
static const struct {
	const char      *key;
	enum fl_identity what;
} properties[] = {
	{ "model", FL_ID_MODEL },         { "md", FL_ID_MODEL },
	{ "manufacturer", FL_ID_MAKER },  { "mfg", FL_ID_MAKER },
	{ "serial", FL_ID_SERIAL },       { "sn", FL_ID_SERIAL },
	{ "swvers", FL_ID_SOFTWARE },
};

int fl_mdns_service(const struct fl_dns *dns, struct fl_dns_name name)
{
	for (unsigned i = 0; i + 1 < name.labels; i++) {
		const struct fl_slice first = fl_dns_label(dns, name, i);
		const struct fl_slice second = fl_dns_label(dns, name, i + 1);
		if (first.at[0] == '_' && (fl_dns_label_is(second, "_tcp") ||
					   fl_dns_label_is(second, "_udp")))
			return (int)i;
	}
	return -1;
}

bool fl_mdns_is_probe(const struct fl_mdns *m)
{
	return !m->dns.response && m->dns.records[FL_DNS_AUTHORITY];
}

static void read_records(struct fl_cursor *c, struct fl_mdns *m)
{
	for (size_t s = 0; s < 3; s++) {
		m->section[s] = m->record_n;
		for (size_t i = 0; i < m->dns.records[s] && fl_ok(c); i++) {
			if (m->record_n == FL_MDNS_RECORDS_MAX) {
				fl_refuse(c, FL_FULL, "too many records");
				return;
			}
			m->records[m->record_n++] = fl_dns_record(c, &m->dns);
		}
	}
	m->section[3] = m->record_n;
}

enum fl_status fl_mdns_read(struct fl_cursor *c, struct fl_mdns *m)
{
	m->question_n = m->record_n = 0;
	fl_dns_read(c, &m->dns);
	if (m->dns.opcode)
		fl_refuse(c, FL_MALFORMED,
			  "RFC 6762 section 18.3: OPCODE is zero");
	if (m->dns.rcode)
		fl_refuse(c, FL_MALFORMED,
			  "RFC 6762 section 18.11: RCODE is zero");
	for (size_t i = 0; i < m->dns.questions && fl_ok(c); i++) {
		if (m->question_n == FL_MDNS_QUESTIONS_MAX)
			fl_refuse(c, FL_FULL, "too many questions");
		else
			m->questions[m->question_n++] =
				fl_dns_question(c, &m->dns);
	}
	read_records(c, m);
	return c->status;
}

/* Names may be compressed, so their dotted text is kept beside the facts. */
static struct fl_slice text_of(struct fl_facts *out, const struct fl_dns *dns,
			       struct fl_dns_name name, unsigned first,
			       unsigned count)
{
	uint8_t text[FL_DNS_NAME_MAX];
	return fl_keep(out, fl_dns_text(dns, name, first, count, text));
}

static struct fl_fact *say_identity(struct fl_facts *out,
				    enum fl_identity what,
				    const struct fl_dns_record *r)
{
	struct fl_fact *fact = fl_say(out, FL_FACT_IDENTITY);
	fact->aspect = what;
	fact->seconds = r->ttl;
	return fact;
}

static void say_host(const struct fl_packet *packet, const struct fl_dns *dns,
		     const struct fl_dns_record *r, struct fl_facts *out)
{
	const unsigned top = r->name.labels - 1u;
	const bool local = r->name.labels > 1 &&
		fl_dns_label_is(fl_dns_label(dns, r->name, top), "local");
	struct fl_fact *fact = say_identity(out, FL_ID_NAME, r);
	fact->text = text_of(out, dns, r->name, 0,
			     local ? top : r->name.labels);
	fact->ip = r->ip;
	fact->number = !fl_ip_equal(r->ip, packet->from);
}

/* RFC 6763 section 9: the answer to "which types?" has its type in the data. */
static void say_service(const struct fl_dns *dns,
			const struct fl_dns_record *r, struct fl_facts *out)
{
	const bool listing = fl_dns_label_is(fl_dns_label(dns, r->name, 1),
					     "_dns-sd");
	const struct fl_dns_name name = listing ? r->target : r->name;
	const int service = fl_mdns_service(dns, name);
	if (service >= 0)
		say_identity(out, FL_ID_SERVICE, r)->text =
			text_of(out, dns, name, (unsigned)service, 2);
}

static void say_properties(const struct fl_dns_record *r, struct fl_facts *out)
{
	for (size_t i = 0; i < sizeof properties / sizeof properties[0]; i++) {
		const struct fl_slice value =
			fl_dns_txt(r->data, properties[i].key);
		if (value.n)
			say_identity(out, properties[i].what, r)->text = value;
	}
}

static void say_record(const struct fl_packet *packet, const struct fl_dns *dns,
		       const struct fl_dns_record *r, struct fl_facts *out)
{
	switch (r->type) {
	case FL_DNS_A:
	case FL_DNS_AAAA: say_host(packet, dns, r, out); break;
	case FL_DNS_PTR:  say_service(dns, r, out);      break;
	case FL_DNS_TXT:  say_properties(r, out);        break;
	}
}

/* One goodbye a message is enough: RFC 6762 section 10.1, TTL zero. */
static void say_goodbye(const struct fl_mdns *m, struct fl_facts *out)
{
	for (size_t i = m->section[0]; i < m->section[1]; i++) {
		const struct fl_dns_record *r = &m->records[i];
		if (r->ttl || r->class != FL_DNS_INTERNET)
			continue;
		const struct fl_dns_name name =
			r->type == FL_DNS_PTR ? r->target : r->name;
		struct fl_fact *fact = fl_say(out, FL_FACT_LEAVING);
		fact->aspect = FL_BY_SERVICES;
		fact->text = text_of(out, &m->dns, name, 0, name.labels);
		return;
	}
}

static void say_response(const struct fl_packet *packet,
			 const struct fl_mdns *m, struct fl_facts *out)
{
	say_goodbye(m, out);
	for (size_t i = 0; i < m->record_n; i++) {
		const struct fl_dns_record *r = &m->records[i];
		if (r->ttl && r->class == FL_DNS_INTERNET)
			say_record(packet, &m->dns, r, out);
	}
}

static void say_query(const struct fl_mdns *m, struct fl_facts *out)
{
	if (fl_mdns_is_probe(m)) {
		struct fl_fact *fact = fl_say(out, FL_FACT_STARTING);
		fact->aspect = FL_BY_SERVICES;
		fact->text = fl_static("mDNS probe");
		return;
	}
	for (size_t i = 0; i < m->question_n; i++) {
		const struct fl_dns_name name = m->questions[i].name;
		const int service = fl_mdns_service(&m->dns, name);
		if (service < 0)
			continue;
		struct fl_fact *fact = fl_say(out, FL_FACT_WANTS);
		fact->aspect = FL_WANTS_SERVICE;
		fact->text = text_of(out, &m->dns, name, (unsigned)service, 2);
	}
}

enum fl_status fl_decode_mdns(const struct fl_packet *packet,
			      struct fl_cursor *c, struct fl_facts *out,
			      enum fl_manner *manner)
{
	struct fl_mdns m;
	fl_mdns_read(c, &m);
	if (m.dns.response && packet->from_port != PORT)
		fl_refuse(c, FL_MALFORMED,
			  "RFC 6762 section 6: a response is from port 5353");
	if (!fl_ok(c))
		return c->status;
	if (!m.dns.response) {
		say_query(&m, out);
	} else {
		/* An answer to all cannot be told from an announcement. */
		if (!fl_ip_is_multicast(packet->to))
			*manner = FL_ANSWER;
		say_response(packet, &m, out);
	}
	return c->status;
}
