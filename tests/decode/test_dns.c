#include "decoding.h"

#include "decode/dns.h"

enum { HEADER = 12 };

/* A message of zeroes around `at`; reads its header. */
static uint8_t octets[1024];

static struct fl_cursor message_with(struct fl_dns *dns, size_t place,
				     const uint8_t *at, size_t n)
{
	memset(octets, 0, sizeof octets);
	memcpy(octets + place, at, n);
	struct fl_cursor c = fl_cursor(octets, place + n);
	assert_int_equal(fl_dns_read(&c, dns), FL_OK);
	return c;
}

static struct fl_dns_question question_at(size_t place, struct fl_dns *dns,
					  struct fl_cursor *c)
{
	fl_skip(c, place - HEADER);
	return fl_dns_question(c, dns);
}

static void is_name(const struct fl_dns *dns, struct fl_dns_name name,
		    const char *text)
{
	uint8_t out[FL_DNS_NAME_MAX];
	is_text(fl_dns_text(dns, name, 0, 255, out), text);
}

/* RFC 1035 section 4.1.4, the example: F.ISI.ARPA at 20, FOO.F.ISI.ARPA at
 * 40, ARPA at 64 and the root at 92. Type and class follow each. */
static void reads_the_compressed_names_of_the_example(void **state)
{
	(void)state;
	static const struct { size_t at; const char *text; unsigned labels, octets; }
	names[] = {
		{ 20, "F.ISI.ARPA", 3, 12 }, { 40, "FOO.F.ISI.ARPA", 4, 16 },
		{ 64, "ARPA", 1, 6 }, { 92, "", 0, 1 },
	};
	uint8_t m[97] = { 0 };
	memcpy(m + 20, "\x01" "F" "\x03" "ISI" "\x04" "ARPA", 12);
	memcpy(m + 40, "\x03" "FOO" "\xc0\x14", 6);
	memcpy(m + 64, "\xc0\x1a", 2);
	for (size_t i = 0; i < 4; i++) {
		struct fl_dns dns;
		struct fl_cursor c = message_with(&dns, 0, m, sizeof m);
		const struct fl_dns_name name =
			question_at(names[i].at, &dns, &c).name;
		assert_true(fl_ok(&c));
		is_name(&dns, name, names[i].text);
		assert_int_equal(name.labels, names[i].labels);
		assert_int_equal(name.octets, names[i].octets);
	}
}

/* RFC 1035 section 4.1.1: QR, OPCODE, AA, TC, RD and RCODE in their bits. */
static void reads_the_header_bit_by_bit(void **state)
{
	(void)state;
	struct fl_dns dns;
	struct fl_cursor c = fl_cursor(
		"\x12\x34\xaf\x03\x00\x01\x00\x02\x00\x03\x00\x04", HEADER);
	fl_dns_read(&c, &dns);
	assert_int_equal(dns.id, 0x1234);
	assert_true(dns.response && dns.top && dns.truncated && dns.second);
	assert_int_equal(dns.opcode, 5);
	assert_int_equal(dns.rcode, 3);
	assert_int_equal(dns.questions, 1);
	assert_int_equal(dns.records[FL_DNS_ADDITIONAL], 4);
}

/* The message need not begin where the outermost cursor does. */
static void pointers_count_from_the_message_not_the_frame(void **state)
{
	(void)state;
	uint8_t frame[64] = { 0 };
	memcpy(frame + 20 + 12, "\x01" "a\x00\x00\x01\x00\x01"
	       "\x01" "b\xc0\x0c\x00\x01\x00\x01", 15);
	struct fl_cursor c = fl_cursor(frame, 20 + 12 + 15);
	fl_skip(&c, 20);
	struct fl_dns dns;
	fl_dns_read(&c, &dns);
	fl_dns_question(&c, &dns);
	is_name(&dns, fl_dns_question(&c, &dns).name, "b.a");
	assert_int_equal(fl_left(&c), 0);
}

static void refuses_name(const uint8_t *at, size_t n, enum fl_status status,
			 const char *rule, size_t where)
{
	struct fl_dns dns;
	struct fl_cursor c = message_with(&dns, HEADER, at, n);
	fl_dns_question(&c, &dns);
	assert_int_equal(c.status, status);
	assert_memory_equal(c.why, rule, strlen(rule));
	assert_int_equal(c.where, where);
}

/* RFC 1035 section 4.1.4: a pointer names a prior occurrence. */
static void a_pointer_leads_back_or_is_refused(void **state)
{
	(void)state;
	const char *rule = "RFC 1035 section 4.1.4: a pointer leads back";
	refuses_name(OCTETS("\xc0\x0c\x00\x01\x00\x01"), FL_MALFORMED, rule, 13);
	refuses_name(OCTETS("\xc0\x20\x00\x01\x00\x01"), FL_MALFORMED, rule, 13);
	/* Into the labels just read: the same name over and over. */
	refuses_name(OCTETS("\x01" "a\xc0\x0c\x00\x01\x00\x01"), FL_MALFORMED,
		     rule, 15);
}

/* Each part of a name leads back before itself, not only before the first. */
static void each_pointer_of_a_chain_leads_back(void **state)
{
	(void)state;
	struct fl_dns dns;
	struct fl_cursor c = message_with(&dns, HEADER,
		OCTETS("\xc0\x0e\x01" "b\x00" "\xc0\x0c\x00\x01\x00\x01"));
	question_at(HEADER + 5, &dns, &c);
	assert_int_equal(c.status, FL_MALFORMED);
	assert_int_equal(c.where, 13);
}

/* RFC 1035 section 4.1.4: the first bits 01 and 10 are reserved. */
static void reserved_label_kinds_are_refused(void **state)
{
	(void)state;
	const char *rule = "RFC 1035 section 4.1.4: 01 and 10";
	refuses_name(OCTETS("\x40" "a\x00\x00\x01\x00\x01"), FL_MALFORMED, rule, 12);
	refuses_name(OCTETS("\x80" "a\x00\x00\x01\x00\x01"), FL_MALFORMED, rule, 12);
}

/* RFC 1035 section 2.3.4: labels 63 octets or less, names 255 or less. */
static void a_name_may_have_255_octets_and_no_more(void **state)
{
	(void)state;
	uint8_t m[300] = { 0 };
	for (size_t at = 0; at < 192; at += 64)
		memset(m + at, 'a', 64), m[at] = 63;
	memset(m + 192, 'a', 62), m[192] = 61;           /* 192 + 62 + root */
	struct fl_dns dns;
	struct fl_cursor c = message_with(&dns, HEADER, m, 259);
	assert_int_equal(fl_dns_question(&c, &dns).name.octets, 255);
	assert_true(fl_ok(&c));
	memset(m + 192, 'a', 63), m[192] = 62;
	refuses_name(m, 260, FL_MALFORMED, "RFC 1035 section 3.1:", 12 + 255);
}

/* `n` pointers, each to the one before it, the first to a root. */
static enum fl_status chain_of(size_t n)
{
	uint8_t m[1 + 2 * 200 + 4] = { 0 };
	size_t at = 1;
	for (size_t i = 0, to = HEADER; i < n; i++, at += 2) {
		m[at] = (uint8_t)(0xc0 | to >> 8);
		m[at + 1] = (uint8_t)to;
		to = HEADER + at;
	}
	struct fl_dns dns;
	struct fl_cursor c = message_with(&dns, HEADER, m, at + 4);
	question_at(HEADER + at - 2, &dns, &c);
	return c.status;
}

/* A name of 255 octets has 127 labels at most: more pointers say nothing. */
static void a_name_has_a_ceiling_of_pointers(void **state)
{
	(void)state;
	assert_int_equal(chain_of(127), FL_OK);
	assert_int_equal(chain_of(128), FL_FULL);
}

static struct fl_dns_record record_of(const uint8_t *at, size_t n,
				      struct fl_dns *dns, struct fl_cursor *c)
{
	*c = message_with(dns, HEADER, at, n);
	return fl_dns_record(c, dns);
}

/* RFC 2782: priority, weight, port, target; name "a", class IN with its top
 * bit (RFC 6762 section 10.2), ttl 120. */
#define HEAD(type, length) \
	"\x01" "a\x00" "\x00" type "\x80\x01" "\x00\x00\x00\x78" "\x00" length

static void reads_a_service_record(void **state)
{
	(void)state;
	struct fl_dns dns;
	struct fl_cursor c;
	const struct fl_dns_record r = record_of(
		OCTETS(HEAD("\x21", "\x0a") "\x00\x01\x00\x02\x1f\x90\x01" "b\xc0\x0c"),
		&dns, &c);
	assert_true(fl_ok(&c));
	assert_int_equal(r.type, FL_DNS_SRV);
	assert_int_equal(r.class, FL_DNS_INTERNET);
	assert_true(r.flush);
	assert_int_equal(r.ttl, 120);
	assert_int_equal(r.priority, 1);
	assert_int_equal(r.weight, 2);
	assert_int_equal(r.port, 8080);
	is_name(&dns, r.target, "b.a");
}

/* RFC 1035 section 3.4.1 and RFC 3596 section 2.2. */
static void reads_addresses_of_both_families(void **state)
{
	(void)state;
	struct fl_dns dns;
	struct fl_cursor c;
	is_ip(record_of(OCTETS(HEAD("\x01", "\x04") "\xac\x14\x00\x15"), &dns,
			&c).ip, "172.20.0.21");
	is_ip(record_of(OCTETS(HEAD("\x1c", "\x10")
			"\x20\x01\x0d\xb8\0\0\0\0\0\0\0\0\0\0\0\x15"), &dns,
			&c).ip, "2001:db8::15");
	assert_true(fl_ok(&c));
}

static void data_of_a_wrong_length_is_refused_by_its_clause(void **state)
{
	(void)state;
	static const struct { const char *at; size_t n; const char *rule; } rows[] = {
#define ROW(text, rule) { text, sizeof(text) - 1, rule }
		ROW(HEAD("\x01", "\x03") "\xac\x14\x00", "RFC 1035 section 3.4.1:"),
		ROW(HEAD("\x01", "\x05") "\xac\x14\x00\x15\x00", "RFC 1035 section 3.4.1:"),
		ROW(HEAD("\x1c", "\x04") "\x20\x01\x0d\xb8", "RFC 3596 section 2.2:"),
		ROW(HEAD("\x0c", "\x03") "\x01" "b\x01", "RFC 1035 section 3.3.12:"),
		ROW(HEAD("\x0c", "\x04") "\x01" "b\x00\x00", "RFC 1035 section 3.3.12:"),
		ROW(HEAD("\x21", "\x05") "\x00\x00\x00\x00\x1f", "RFC 2782:"),
		ROW(HEAD("\x10", "\x03") "\x03" "a=", "RFC 1035 section 3.3.14:"),
#undef ROW
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct fl_dns dns;
		struct fl_cursor c;
		record_of((const uint8_t *)rows[i].at, rows[i].n, &dns, &c);
		assert_int_equal(c.status, FL_MALFORMED);
		assert_memory_equal(c.why, rows[i].rule, strlen(rows[i].rule));
		assert_int_equal(c.where, HEADER + 13);
	}
}

/* RFC 6763 section 6.4: keys in either case, the first one counts, and one
 * without '=' is there without a value. */
static void finds_the_values_of_text_pairs(void **state)
{
	(void)state;
	const struct fl_slice data = { OCTETS(
		"\x09" "txtvers=1" "\x00" "\x0c" "SwVers=2.4=b" "\x05" "color"
		"\x08" "swvers=9" "\x02" "=x" "\x06" "empty=") };
	is_text(fl_dns_txt(data, "txtvers"), "1");
	is_text(fl_dns_txt(data, "swvers"), "2.4=b");
	assert_non_null(fl_dns_txt(data, "color").at);
	assert_int_equal(fl_dns_txt(data, "color").n, 0);
	assert_int_equal(fl_dns_txt(data, "empty").n, 0);
	assert_null(fl_dns_txt(data, "swver").at);
	assert_null(fl_dns_txt(data, "model").at);
}

/* RFC 1035 section 2.3.3: names are compared without regard to case. */
static void picks_labels_and_compares_them_in_either_case(void **state)
{
	(void)state;
	struct fl_dns dns;
	struct fl_cursor c = message_with(&dns, HEADER,
		OCTETS("\x01" "a\x04" "_Tcp\x05" "local\x00" "\x00\x0c\x80\x01"));
	const struct fl_dns_question q = fl_dns_question(&c, &dns);
	assert_true(q.unicast);
	assert_int_equal(q.class, FL_DNS_INTERNET);
	assert_true(fl_dns_label_is(fl_dns_label(&dns, q.name, 1), "_tcp"));
	assert_false(fl_dns_label_is(fl_dns_label(&dns, q.name, 0), "_tcp"));
	assert_int_equal(fl_dns_label(&dns, q.name, 3).n, 0);
	uint8_t out[FL_DNS_NAME_MAX];
	is_text(fl_dns_text(&dns, q.name, 0, 2, out), "a._Tcp");
	is_text(fl_dns_text(&dns, q.name, 1, 9, out), "_Tcp.local");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_the_compressed_names_of_the_example),
		cmocka_unit_test(reads_the_header_bit_by_bit),
		cmocka_unit_test(pointers_count_from_the_message_not_the_frame),
		cmocka_unit_test(a_pointer_leads_back_or_is_refused),
		cmocka_unit_test(each_pointer_of_a_chain_leads_back),
		cmocka_unit_test(reserved_label_kinds_are_refused),
		cmocka_unit_test(a_name_may_have_255_octets_and_no_more),
		cmocka_unit_test(a_name_has_a_ceiling_of_pointers),
		cmocka_unit_test(reads_a_service_record),
		cmocka_unit_test(reads_addresses_of_both_families),
		cmocka_unit_test(data_of_a_wrong_length_is_refused_by_its_clause),
		cmocka_unit_test(finds_the_values_of_text_pairs),
		cmocka_unit_test(picks_labels_and_compares_them_in_either_case),
	};
	return FL_RUN(tests);
}
