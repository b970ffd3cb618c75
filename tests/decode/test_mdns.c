#include "decoding.h"

#include "decode/mdns.h"

/* Answer: PTR of _http._tcp.local at 12 is "Arch Radar" before it, ttl 4500.
 * Additional: SRV of that (at 40), ttl 120, port 80, target arch-radar.local
 * at 71; TXT; A of the target, 172.20.0.21. Unique ones flush: 0x8001. */
#define PTR \
	"\x05" "_http" "\x04" "_tcp" "\x05" "local\x00" \
	"\x00\x0c\x00\x01" "\x00\x00\x11\x94" "\x00\x0d" \
	"\x0a" "Arch Radar" "\xc0\x0c"
#define SRV \
	"\xc0\x28" "\x00\x21\x80\x01" "\x00\x00\x00\x78" "\x00\x13" \
	"\x00\x00\x00\x00\x00\x50" "\x0a" "arch-radar" "\xc0\x17"
#define TXT \
	"\xc0\x28" "\x00\x10\x80\x01" "\x00\x00\x11\x94" "\x00\x22" \
	"\x09" "txtvers=1" "\x0a" "swvers=2.4" "\x0c" "model=dome-4"
#define ADDRESS \
	"\xc0\x47" "\x00\x01\x80\x01" "\x00\x00\x00\x78" "\x00\x04" \
	"\xac\x14\x00\x15"
#define RESPONSE \
	"\x00\x00\x84\x00\x00\x00\x00\x01\x00\x00\x00\x03" PTR SRV TXT ADDRESS

/* Query ANY, QU, of arch-radar.local; its A in the authority section. */
#define PROBE \
	"\x00\x00\x00\x00\x00\x01\x00\x00\x00\x01\x00\x00" \
	"\x0a" "arch-radar" "\x05" "local\x00" "\x00\xff\x80\x01" \
	"\xc0\x0c" "\x00\x01\x00\x01" "\x00\x00\x00\x78" "\x00\x04" \
	"\xac\x14\x00\x15"

/* A of arch-radar.local with this ttl and these last two address octets. */
#define HOST(ttl, tail) \
	"\x00\x00\x84\x00\x00\x00\x00\x01\x00\x00\x00\x00" \
	"\x0a" "arch-radar" "\x05" "local\x00" "\x00\x01\x80\x01" ttl \
	"\x00\x04" "\xac\x14" tail
#define TWO_MINUTES "\x00\x00\x00\x78"

static const struct run *run_to(const char *to, uint16_t port,
				const uint8_t *octets, size_t n)
{
	const struct fl_packet packet = { .layer = FL_LAYER_TRANSPORT,
		.from = ip_of("172.20.0.21"), .to = ip_of(to),
		.from_port = port, .to_port = 5353 };
	return run_decoder("mdns", &packet, octets, n);
}

static const struct run *run_of(const uint8_t *octets, size_t n)
{
	return run_to("224.0.0.251", 5353, octets, n);
}

/* RFC 6763 section 12.1: what comes along with a PTR; RFC 6762 section 10:
 * 120 s for names of hosts, 4500 s for others. */
static void reads_each_record_of_an_announcement(void **state)
{
	(void)state;
	static struct fl_mdns m;
	struct fl_cursor c = fl_cursor(RESPONSE, sizeof RESPONSE - 1);
	assert_int_equal(fl_mdns_read(&c, &m), FL_OK);
	assert_int_equal(fl_left(&c), 0);
	assert_true(m.dns.response);
	assert_int_equal(m.record_n, 4);
	assert_int_equal(m.section[FL_DNS_ADDITIONAL], 1);
	const struct fl_dns_record *r = m.records;
	uint8_t out[FL_DNS_NAME_MAX];
	is_text(fl_dns_text(&m.dns, r[0].target, 0, 9, out),
		"Arch Radar._http._tcp.local");
	is_text(fl_dns_label(&m.dns, r[0].target, 0), "Arch Radar");
	assert_int_equal(fl_mdns_service(&m.dns, r[0].name), 0);
	assert_int_equal(fl_mdns_service(&m.dns, r[0].target), 1);
	assert_int_equal(r[0].ttl, 4500);
	assert_false(r[0].flush);
	assert_int_equal(r[1].port, 80);
	is_text(fl_dns_text(&m.dns, r[1].target, 0, 9, out), "arch-radar.local");
	assert_true(r[1].flush);
	is_text(fl_dns_txt(r[2].data, "txtvers"), "1");
	assert_int_equal(r[3].ttl, 120);
	is_ip(r[3].ip, "172.20.0.21");
}

static void an_announcement_tells_service_model_software_and_name(void **state)
{
	(void)state;
	const struct run *r = run_of(OCTETS(RESPONSE));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 4);
	const struct fl_fact *f = r->facts.at;
	is_fact(&f[0], FL_FACT_IDENTITY, FL_ID_SERVICE);
	is_text(f[0].text, "_http._tcp");
	assert_int_equal(f[0].seconds, 4500);
	is_fact(&f[1], FL_FACT_IDENTITY, FL_ID_MODEL);
	is_text(f[1].text, "dome-4");
	is_fact(&f[2], FL_FACT_IDENTITY, FL_ID_SOFTWARE);
	is_text(f[2].text, "2.4");
	is_fact(&f[3], FL_FACT_IDENTITY, FL_ID_NAME);
	is_text(f[3].text, "arch-radar");
	is_ip(f[3].ip, "172.20.0.21");
	assert_int_equal(f[3].number, 0);
}

static void every_truncation_says_nothing(void **state)
{
	(void)state;
	const struct fl_packet packet = { .from_port = 5353 };
	refuses_every_truncation("mdns", &packet, OCTETS(RESPONSE));
	refuses_every_truncation("mdns", &packet, OCTETS(PROBE));
}

/* RFC 6762 section 8.1: the proposed records are in the authority section. */
static void a_probe_is_a_start(void **state)
{
	(void)state;
	const struct run *r = run_of(OCTETS(PROBE));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_STARTING, FL_BY_SERVICES);
	is_text(r->facts.at[0].text, "mDNS probe");
	static struct fl_mdns m;
	struct fl_cursor c = fl_cursor(PROBE, sizeof PROBE - 1);
	fl_mdns_read(&c, &m);
	assert_true(fl_mdns_is_probe(&m));
	assert_true(m.questions[0].unicast);         /* section 5.4 */
	assert_int_equal(m.questions[0].type, FL_DNS_ANY);
}

/* RFC 6762 section 10.1: TTL zero. */
static void a_goodbye_is_a_leave_and_no_name(void **state)
{
	(void)state;
	const struct run *r = run_of(OCTETS(HOST("\0\0\0\0", "\x00\x15")));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_LEAVING, FL_BY_SERVICES);
	is_text(r->facts.at[0].text, "arch-radar.local");
}

/* A name in somebody else's record is not presence. */
static void an_address_of_another_is_marked_as_such(void **state)
{
	(void)state;
	const struct run *r = run_of(OCTETS(HOST(TWO_MINUTES, "\x00\x63")));
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_IDENTITY, FL_ID_NAME);
	is_ip(r->facts.at[0].ip, "172.20.0.99");
	assert_int_equal(r->facts.at[0].number, 1);
}

/* RFC 6762 section 7.1: answers in a query are those the asker knows. */
static void a_query_wants_its_service_and_tells_nothing_it_knows(void **state)
{
	(void)state;
	const struct run *r = run_of(OCTETS(
		"\x00\x00\x00\x00\x00\x01\x00\x01\x00\x00\x00\x00"
		"\x05" "_http" "\x04" "_tcp" "\x05" "local\x00" "\x00\x0c\x00\x01"
		"\xc0\x0c" "\x00\x0c\x00\x01" "\x00\x00\x11\x94" "\x00\x0d"
		"\x0a" "Arch Radar" "\xc0\x0c"));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_SERVICE);
	is_text(r->facts.at[0].text, "_http._tcp");
}

/* RFC 6763 section 9: PTR of _services._dns-sd._udp names a type. */
static void an_enumeration_tells_the_type_in_its_data(void **state)
{
	(void)state;
	const struct run *r = run_of(OCTETS(
		"\x00\x00\x84\x00\x00\x00\x00\x01\x00\x00\x00\x00"
		"\x09" "_services" "\x07" "_dns-sd" "\x04" "_udp" "\x05" "local\x00"
		"\x00\x0c\x00\x01" "\x00\x00\x11\x94" "\x00\x0d"
		"\x05" "_http" "\x04" "_tcp" "\xc0\x23"));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 1);
	is_text(r->facts.at[0].text, "_http._tcp");
}

/* RFC 6763 section 7.1: a subtype stands before "_sub" and the service. */
static void a_subtype_is_of_its_service(void **state)
{
	(void)state;
	const struct run *r = run_of(OCTETS(
		"\x00\x00\x00\x00\x00\x01\x00\x00\x00\x00\x00\x00"
		"\x08" "_printer" "\x04" "_sub" "\x05" "_http" "\x04" "_tcp" "\x05"
		"local\x00" "\x00\x0c\x00\x01"));
	is_text(r->facts.at[0].text, "_http._tcp");
}

/* RFC 6762 section 6: a response to all cannot be told from an announcement;
 * one to a single station was asked for. */
static void only_a_unicast_response_is_an_answer(void **state)
{
	(void)state;
	assert_int_equal(run_to("ff02::fb", 5353, OCTETS(RESPONSE))->manner,
			 FL_UNASKED);
	assert_int_equal(run_to("172.20.0.9", 5353, OCTETS(RESPONSE))->manner,
			 FL_ANSWER);
}

/* RFC 6762 sections 6, 18.3 and 18.11: such messages are to be ignored. */
static void broken_rules_are_refused_by_their_clauses(void **state)
{
	(void)state;
	refuses(run_to("224.0.0.251", 5354, OCTETS(HOST(TWO_MINUTES, "\x00\x15"))),
		"RFC 6762 section 6: a response", sizeof HOST(TWO_MINUTES, "12") - 5);
	refuses(run_of(OCTETS("\x00\x00\x28\x00\0\0\0\0\0\0\0\0")),
		"RFC 6762 section 18.3:", 10);
	refuses(run_of(OCTETS("\x00\x00\x84\x03\0\0\0\0\0\0\0\0")),
		"RFC 6762 section 18.11:", 10);
	/* The one-shot asker of section 5.1 has another port. */
	assert_int_equal(run_to("224.0.0.251", 40000, OCTETS(PROBE))->status,
			 FL_OK);
}

/* Kept texts go with the facts of their frame: fact.h, "Owns". */
static void each_frame_keeps_its_texts_anew(void **state)
{
	(void)state;
	static struct fl_facts facts;
	const struct fl_packet packet = { .from_port = 5353 };
	enum fl_manner manner;
	for (size_t i = 0; i < 2; i++) {
		struct fl_cursor c = fl_cursor(RESPONSE, sizeof RESPONSE - 1);
		facts.n = 0;
		fl_decode(decoder_of("mdns"), &packet, &c, &facts, &manner);
		assert_int_equal(facts.kept_n, strlen("_http._tcparch-radar"));
	}
}

static void more_than_the_ceiling_is_refused(void **state)
{
	(void)state;
	uint8_t m[12 + 11 * 257] = { 0 };
	m[2] = 0x84, m[6] = 0x01, m[7] = 0x00;              /* 256 records */
	assert_int_equal(run_of(m, sizeof m)->status, FL_OK);
	m[7] = 0x01;
	assert_int_equal(run_of(m, sizeof m)->status, FL_FULL);
	m[2] = 0, m[5] = 129, m[6] = m[7] = 0;
	assert_int_equal(run_of(m, sizeof m)->status, FL_FULL);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_each_record_of_an_announcement),
		cmocka_unit_test(an_announcement_tells_service_model_software_and_name),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(a_probe_is_a_start),
		cmocka_unit_test(a_goodbye_is_a_leave_and_no_name),
		cmocka_unit_test(an_address_of_another_is_marked_as_such),
		cmocka_unit_test(a_query_wants_its_service_and_tells_nothing_it_knows),
		cmocka_unit_test(an_enumeration_tells_the_type_in_its_data),
		cmocka_unit_test(a_subtype_is_of_its_service),
		cmocka_unit_test(only_a_unicast_response_is_an_answer),
		cmocka_unit_test(broken_rules_are_refused_by_their_clauses),
		cmocka_unit_test(each_frame_keeps_its_texts_anew),
		cmocka_unit_test(more_than_the_ceiling_is_refused),
	};
	return FL_RUN(tests);
}
