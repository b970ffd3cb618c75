/* test_reference_names.c -- the readers of DHCP, Multicast DNS and SSDP
 * against answers computed by decoders that share nothing with them.
 *
 * What a reader read is put into the form of the answers, and compared key by
 * key. Frames that are not Ethernet, IPv4 or IPv6 without extension, and UDP
 * in one piece are left to those who peel headers. */
#include "decoding.h"

#include "decode/dhcp4.h"
#include "decode/mdns.h"
#include "decode/ssdp.h"

#include <glob.h>
#include <jansson.h>
#include <pcap.h>

enum { LIMIT = 300 };           /* records an answer lists at most */
enum { OPT = 41 };              /* RFC 6891 section 6.1.1           */

static void put(json_t *o, const char *key, json_t *value)
{
	assert_int_equal(json_object_set_new(o, key, value), 0);
}

static void put_number(json_t *o, const char *key, json_int_t n)
{
	put(o, key, json_integer(n));
}

static json_t *hex(struct fl_slice s)
{
	static char text[2 * 2048 + 1];
	assert_true(s.n <= 2048);
	text[0] = '\0';
	for (size_t i = 0; i < s.n; i++)
		sprintf(text + 2 * i, "%02x", s.at[i]);
	return json_string(text);
}

static void put_hex(json_t *o, const char *key, struct fl_slice s)
{
	if (s.n)
		put(o, key, hex(s));
}

static void put_text(json_t *o, const char *key, struct fl_slice s)
{
	if (s.at)
		put(o, key, json_stringn((const char *)s.at, s.n));
}

static json_t *ip_json(struct fl_ip ip)
{
	char text[FL_IP_TEXT];
	return json_string(fl_ip_text(ip, text));
}

static void put_ip(json_t *o, const char *key, struct fl_ip ip)
{
	if (!fl_ip_is_none(ip))
		put(o, key, ip_json(ip));
}

static json_t *describe_dhcp(struct fl_cursor *c)
{
	static const char *const types[] = { "none", "discover", "offer",
		"request", "decline", "ack", "nak", "release", "inform" };
	struct fl_dhcp4 m;
	if (fl_dhcp4_read(c, &m) != FL_OK)
		return NULL;
	assert_true(m.type < sizeof types / sizeof types[0]);
	json_t *o = json_object();
	char text[FL_MAC_TEXT];
	put(o, "type", json_string(types[m.type]));
	put(o, "chaddr", json_string(fl_mac_text(m.chaddr, text)));
	put(o, "xid", json_sprintf("%08x", m.xid));
	put_number(o, "op", m.op);
	put_number(o, "htype", m.htype);
	put_number(o, "hlen", m.hlen);
	put_number(o, "flags", m.flags);
	put_ip(o, "ciaddr", m.ciaddr);
	put_ip(o, "yiaddr", m.yiaddr);
	put_ip(o, "siaddr", m.siaddr);
	put_ip(o, "giaddr", m.giaddr);
	put_ip(o, "requested_ip", m.requested);
	put_ip(o, "server_id", m.server);
	put_ip(o, "mask", m.mask);
	put_ip(o, "router", m.router);
	if (m.lease)
		put_number(o, "lease", m.lease);
	if (m.overload)
		put_number(o, "overload", m.overload);
	put_text(o, "hostname", m.host_name);
	put_text(o, "vendor_class", m.vendor_class);
	put_hex(o, "client_id", m.client_id);
	put_hex(o, "relay_info", m.relay);
	if (m.full_name.n)
		put_hex(o, "fqdn_raw", (struct fl_slice){ m.full_name.at + 3,
							  m.full_name.n - 3 });
	return o;
}

/* RFC 1035 section 5.1: dots and backslashes within a label after a backslash,
 * and what cannot be printed as its three decimal digits. */
static json_t *name_json(const struct fl_dns *dns, struct fl_dns_name name)
{
	char text[4 * FL_DNS_NAME_MAX + 1] = "";
	size_t n = 0;
	for (unsigned i = 0; i < name.labels; i++) {
		const struct fl_slice label = fl_dns_label(dns, name, i);
		if (i)
			text[n++] = '.';
		for (size_t k = 0; k < label.n; k++) {
			const uint8_t c = label.at[k];
			const char *form = c == '.' || c == '\\' ? "\\%c"
				: c > ' ' && c < 0x7f ? "%c" : "\\%03u";
			n += (size_t)snprintf(text + n, 5, form, c);
		}
	}
	return json_stringn(text, n);
}

static json_t *type_json(uint16_t type)
{
	static const struct { uint16_t type; const char *name; } names[] = {
		{ 1, "A" }, { 12, "PTR" }, { 13, "HINFO" }, { 16, "TXT" },
		{ 28, "AAAA" }, { 33, "SRV" }, { 41, "OPT" }, { 47, "NSEC" },
		{ 255, "ANY" },
	};
	for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
		if (names[i].type == type)
			return json_string(names[i].name);
	return json_integer(type);
}

static json_t *strings_json(struct fl_slice data)
{
	json_t *list = json_array();
	struct fl_cursor c = fl_cursor(data.at, data.n);
	while (fl_ok(&c) && fl_left(&c)) {
		const struct fl_slice s = fl_take(&c, fl_u8(&c));
		json_array_append_new(list, json_stringn((const char *)s.at, s.n));
	}
	return list;
}

static json_t *data_json(const struct fl_dns *dns, const struct fl_dns_record *r)
{
	switch (r->type) {
	case FL_DNS_A:
	case FL_DNS_AAAA: return ip_json(r->ip);
	case FL_DNS_PTR:  return name_json(dns, r->target);
	case FL_DNS_TXT:  return strings_json(r->data);
	case FL_DNS_SRV: {
		json_t *target = name_json(dns, r->target);
		json_t *all = json_sprintf("%u %u %u %s", r->priority, r->weight,
					   r->port, json_string_value(target));
		json_decref(target);
		return all;
	}
	}
	return hex(r->data);
}

static json_t *record_json(const struct fl_dns *dns,
			   const struct fl_dns_record *r)
{
	json_t *o = json_object();
	put(o, "name", name_json(dns, r->name));
	put(o, "type", type_json(r->type));
	put_number(o, "ttl", r->ttl);
	put(o, "data", data_json(dns, r));
	if (r->type == OPT)
		return o;                /* RFC 6891: its class is a size */
	put_number(o, "cls", r->class);
	put_number(o, "flush", r->flush);
	return o;
}

static json_t *questions_json(const struct fl_mdns *m)
{
	json_t *list = json_array();
	for (size_t i = 0; i < m->question_n; i++) {
		const struct fl_dns_question *q = &m->questions[i];
		json_t *o = json_object();
		put(o, "name", name_json(&m->dns, q->name));
		put(o, "type", type_json(q->type));
		put_number(o, "cls", q->class);
		put_number(o, "qu", q->unicast);
		json_array_append_new(list, o);
	}
	return list;
}

static const char *kind_of(const struct fl_mdns *m)
{
	if (!m->dns.response)
		return fl_mdns_is_probe(m) ? "probe" : "query";
	for (size_t i = m->section[0]; i < m->section[1]; i++)
		if (!m->records[i].ttl)
			return "goodbye";
	return "response";
}

static json_t *describe_mdns(struct fl_cursor *c)
{
	static const char *const sections[] = { "answers", "authority", "additional" };
	static struct fl_mdns m;
	if (fl_mdns_read(c, &m) != FL_OK)
		return NULL;
	json_t *o = json_object();
	put_number(o, "id", m.dns.id);
	put_number(o, "qr", m.dns.response);
	put_number(o, "opcode", m.dns.opcode);
	put_number(o, "rcode", m.dns.rcode);
	put(o, "kind", json_string(kind_of(&m)));
	put(o, "questions", questions_json(&m));
	for (size_t s = 0; s < 3; s++) {
		json_t *list = json_array();
		for (size_t i = m.section[s]; i < m.section[s + 1]; i++)
			json_array_append_new(list, record_json(&m.dns, &m.records[i]));
		put(o, sections[s], list);
	}
	return o;
}

static json_t *describe_ssdp(struct fl_cursor *c)
{
	static const char *const kinds[] = { "notify", "msearch", "response" };
	struct fl_ssdp m;
	if (fl_ssdp_read(c, &m) != FL_OK)
		return NULL;
	json_t *o = json_object();
	put(o, "kind", json_string(kinds[m.kind]));
	put_text(o, "nt", m.nt);
	put_text(o, "nts", m.nts_text);
	put_text(o, "usn", m.usn);
	put_text(o, "st", m.st);
	put_text(o, "man", m.man);
	put_text(o, "mx", m.mx);
	put_text(o, "server", m.server);
	put_text(o, "location", m.location);
	put_text(o, "bootid", m.boot);
	put_text(o, "configid", m.config);
	if (m.max_age.told)
		put_number(o, "max_age", m.max_age.value);
	return o;
}

static const struct protocol {
	const char *name;
	uint16_t    first, last;
	json_t   *(*describe)(struct fl_cursor *c);
	const char *summary, *counted, *keys;
} protocols[] = {
	{ "dhcp", 67, 68, describe_dhcp, "dhcp_summary", "types", "type,chaddr,"
	  "xid,op,htype,hlen,flags,ciaddr,yiaddr,siaddr,giaddr,requested_ip,"
	  "server_id,mask,router,lease,overload,hostname,vendor_class,client_id,"
	  "relay_info,fqdn_raw" },
	{ "mdns", 5353, 5353, describe_mdns, "mdns_summary", "kinds",
	  "id,qr,opcode,rcode,kind,questions,answers,authority,additional" },
	{ "ssdp", 1900, 1900, describe_ssdp, NULL, NULL, "kind,nt,nts,usn,st,man,"
	  "mx,server,location,bootid,configid,max_age" },
};

/* What one file gave, and what was found wrong in all of them. */
static struct {
	const char *file;
	json_t     *expected;
	json_t     *counts[3];
} now;
static unsigned compared, wrong;

static void differs(unsigned frame, const char *key, const json_t *theirs,
		    const json_t *ours)
{
	char *a = json_dumps(theirs, JSON_ENCODE_ANY);
	char *b = json_dumps(ours, JSON_ENCODE_ANY);
	print_error("%s frame %u %s:\n  expected %s\n  read     %s\n", now.file,
		    frame, key, a ? a : "nothing", b ? b : "nothing");
	free(a);
	free(b);
	wrong++;
}

static void compare(const struct protocol *p, unsigned frame, json_t *theirs,
		    json_t *ours)
{
	char keys[512];
	snprintf(keys, sizeof keys, "%s", p->keys);
	json_t *first = json_array_get(json_object_get(theirs, "routers"), 0);
	if (first)
		json_object_set(theirs, "router", first);
	for (char *key = strtok(keys, ","); key; key = strtok(NULL, ",")) {
		json_t *a = json_object_get(theirs, key);
		json_t *b = json_object_get(ours, key);
		if (a || b)
			if (!a || !b || !json_equal(a, b))
				differs(frame, key, a, b);
	}
	compared++;
}

static json_t *record_of(const struct protocol *p, unsigned frame)
{
	json_t *list = json_object_get(json_object_get(now.expected, "records"),
				       p->name);
	for (size_t i = 0; i < json_array_size(list); i++) {
		json_t *r = json_array_get(list, i);
		if (json_integer_value(json_object_get(r, "frame")) == frame)
			return r;
	}
	return NULL;
}

static void count(size_t protocol, const char *what)
{
	json_t *counts = now.counts[protocol];
	const json_int_t n = json_integer_value(json_object_get(counts, what));
	put_number(counts, what, n + 1);
}

/* RFC 2131 section 3: the answers call it BOOTP where the cookie is wrong. */
static bool is_bootp(const json_t *theirs, const struct fl_cursor *c)
{
	const char *type = json_string_value(json_object_get(theirs, "type"));
	return type && strcmp(type, "bootp") == 0 && c->why &&
	       strcmp(c->why, "RFC 2131 section 3: magic cookie") == 0;
}

static void check_payload(size_t number, unsigned frame, struct fl_cursor *c)
{
	const struct protocol *p = &protocols[number];
	json_t *theirs = record_of(p, frame);
	json_t *ours = p->describe(c);
	if (ours && theirs)
		compare(p, frame, theirs, ours);
	else if (ours && frame <= LIMIT)
		differs(frame, "is read", NULL, ours);
	else if (theirs && !is_bootp(theirs, c))
		differs(frame, c->why ? c->why : "is not read", theirs, NULL);
	if (p->summary && (ours || theirs))
		count(number, !ours ? "bootp" : json_string_value(json_object_get(
			ours, number ? "kind" : "type")));
	json_decref(ours);
}

/* The UDP payload of a plain frame; false where the frame is none. */
static bool peel(struct fl_cursor *c, uint16_t port[2])
{
	fl_skip(c, 12);
	const uint16_t type = fl_u16(c);
	uint8_t next = 0;
	if (type == 0x0800) {
		const size_t header = (fl_u8(c) & 15u) * 4u;
		fl_skip(c, 5);
		const uint16_t fragment = fl_u16(c);
		fl_skip(c, 1);
		next = fragment & 0x3fff ? 0 : fl_u8(c);
		fl_skip(c, header - 10);
	} else if (type == 0x86dd) {
		fl_skip(c, 6);
		next = fl_u8(c);
		fl_skip(c, 33);
	}
	if (!fl_ok(c) || next != 17)
		return false;
	port[0] = fl_u16(c);
	port[1] = fl_u16(c);
	const size_t n = fl_u16(c) - 8u;
	fl_skip(c, 2);
	*c = fl_sub(c, n < fl_left(c) ? n : fl_left(c));
	return fl_ok(c);
}

static void check_frame(unsigned frame, const uint8_t *octets, size_t n)
{
	struct fl_cursor c = fl_cursor(octets, n);
	uint16_t port[2];
	if (!peel(&c, port))
		return;
	for (size_t i = 0; i < 3; i++)
		for (size_t side = 0; side < 2; side++)
			if (port[side] >= protocols[i].first &&
			    port[side] <= protocols[i].last) {
				check_payload(i, frame, &c);
				return;
			}
}

static void check_summary(size_t number)
{
	const struct protocol *p = &protocols[number];
	json_t *theirs = p->summary ? json_object_get(json_object_get(
		now.expected, p->summary), p->counted) : NULL;
	if (json_object_size(now.counts[number]) &&
	    !json_equal(theirs, now.counts[number]))
		differs(0, p->summary, theirs, now.counts[number]);
}

/* Walk one capture, as far as libpcap reads it whole. */
static void check_file(const char *answer)
{
	char path[1024], why[PCAP_ERRBUF_SIZE];
	now.expected = json_load_file(answer, JSON_ALLOW_NUL, NULL);
	assert_non_null(now.expected);
	now.file = json_string_value(json_object_get(now.expected, "file"));
	snprintf(path, sizeof path, "%s/captures/%s", FL_SHARED, now.file);
	pcap_t *capture = pcap_open_offline(path, why);
	if (capture && pcap_datalink(capture) == DLT_EN10MB) {
		for (size_t i = 0; i < 3; i++)
			now.counts[i] = json_object();
		struct pcap_pkthdr *head;
		const uint8_t *octets;
		int status;
		unsigned n = 0;
		while ((status = pcap_next_ex(capture, &head, &octets)) == 1)
			check_frame(++n, octets, head->caplen);
		for (size_t i = 0; i < 3; i++) {
			if (status == PCAP_ERROR_BREAK)
				check_summary(i);
			json_decref(now.counts[i]);
		}
	}
	if (capture)
		pcap_close(capture);
	json_decref(now.expected);
}

static void readers_agree_with_the_reference_answers(void **state)
{
	(void)state;
	glob_t answers;
	assert_int_equal(glob(FL_SHARED "/captures/expected/*.json", 0, NULL,
			      &answers), 0);
	for (size_t i = 0; i < answers.gl_pathc; i++)
		check_file(answers.gl_pathv[i]);
	globfree(&answers);
	print_message("%u messages compared, %u differences\n", compared, wrong);
	assert_true(compared > 0);
	assert_int_equal(wrong, 0);
}

int main(void)
{
	FILE *there = fopen(FL_SHARED "/captures/README.md", "r");
	if (!there) {
		puts("SKIPPED: no public captures in " FL_SHARED);
		return FL_SKIPPED;
	}
	fclose(there);
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(readers_agree_with_the_reference_answers),
	};
	return FL_RUN(tests);
}
