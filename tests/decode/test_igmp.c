#include "decode/decoding.h"

#include "base/checksum.h"
#include "decode/igmp.h"

static const struct fl_packet from_host = {
	.layer = FL_LAYER_NETWORK, .protocol = 2, .hops = 1,
	.from = { { [10] = 0xff, [11] = 0xff, 172, 20, 0, 21 } },
};

/* The message with the right checksum in octets 2 and 3 (RFC 2236 section
 * 2.3). */
static const uint8_t *summed(const uint8_t *message, size_t n)
{
	static uint8_t m[512];
	assert_in_range(n, 4, sizeof m);
	memcpy(m, message, n);
	m[2] = m[3] = 0;
	const uint16_t sum = (uint16_t)~fl_inet_sum(m, n);
	m[2] = (uint8_t)(sum >> 8);
	m[3] = (uint8_t)sum;
	return m;
}

static const struct run *run(const uint8_t *message, size_t n)
{
	return run_decoder("igmp", &from_host, summed(message, n), n);
}

/* Version 2 report of 239.255.255.250, with the sum written out: 1600 +
 * efff + fffa = 205f9, both carries back in 05fb, inverted fa04. */
#define REPORT "\x16\x00\xfa\x04\xef\xff\xff\xfa"

/* RFC 3376 section 4.2: 0x22, sum, 2 records: to exclude nothing of
 * 224.0.0.251 (joins it), to include nothing of 239.192.0.1 (leaves it). */
#define REPORT_3 "\x22\x00\x00\x00\x00\x00\x00\x02" \
	"\x04\x00\x00\x00\xe0\x00\x00\xfb" "\x03\x00\x00\x00\xef\xc0\x00\x01"

/* RFC 3376 section 4.1.1 and 4.1.7: below 128 a code is itself, from there
 * on a mantissa of 4 bits under 3 of exponent. */
static void scales_codes_as_rfc_3376_does(void **state)
{
	(void)state;
	assert_int_equal(fl_scaled_code(0x64, 4), 100);
	assert_int_equal(fl_scaled_code(0x7f, 4), 127);
	assert_int_equal(fl_scaled_code(0x80, 4), 128);
	assert_int_equal(fl_scaled_code(0xff, 4), 31744);
}

/* RFC 2236 section 2.1; the sum above is by RFC 1071 section 1, by hand. */
static void an_old_report_wants_its_group_and_may_be_an_answer(void **state)
{
	(void)state;
	const struct run *r = run_decoder("igmp", &from_host, OCTETS(REPORT));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_ANSWER);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_GROUP);
	is_ip(r->facts.at[0].ip, "239.255.255.250");
}

/* RFC 2236 section 2.1: 0x12 is a version 1 report, 0x17 leaves a group. */
static void a_version_1_report_wants_and_a_leave_does_not(void **state)
{
	(void)state;
	const struct run *r = run(OCTETS("\x12\x00\x00\x00\xe0\x00\x00\xfc"));
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_GROUP);
	assert_int_equal(r->manner, FL_ANSWER);
	r = run(OCTETS("\x17\x00\x00\x00\xef\xc0\x00\x01"));
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_NO_GROUP);
	assert_int_equal(r->manner, FL_UNASKED);
}

/* RFC 3376 section 4.2.12: TO_EX{} joins, TO_IN{} leaves, both unasked. */
static void a_version_3_report_joins_and_leaves(void **state)
{
	(void)state;
	const struct run *r = run(OCTETS(REPORT_3));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_GROUP);
	is_ip(r->facts.at[0].ip, "224.0.0.251");
	is_fact(&r->facts.at[1], FL_FACT_WANTS, FL_WANTS_NO_GROUP);
	is_ip(r->facts.at[1].ip, "239.192.0.1");
}

/* RFC 3376 section 4.2.12: IS_EX{} answers; BLOCK alone leaves the group's
 * state open; type 9 is unknown and passed over, with its 2 sources and its
 * auxiliary word (section 4.2.6). */
static void current_states_answer_and_unknown_records_are_passed_over(void **state)
{
	(void)state;
	const struct run *r = run(OCTETS("\x22\x00\x00\x00\x00\x00\x00\x01"
		"\x02\x00\x00\x00\xe0\x00\x00\xfb"));
	assert_int_equal(r->manner, FL_ANSWER);
	assert_int_equal(r->facts.n, 1);
	r = run(OCTETS("\x22\x00\x00\x00\x00\x00\x00\x03"
		"\x06\x00\x00\x01\xe0\x00\x00\xfb" "\xac\x14\x00\x09"
		"\x09\x01\x00\x02\xe0\x00\x00\xfb" "\xac\x14\x00\x09"
		"\xac\x14\x00\x0a" "auxi"
		"\x05\x00\x00\x01\xef\xc0\x00\x02" "\xac\x14\x00\x09"));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 1);
	is_ip(r->facts.at[0].ip, "239.192.0.2");
}

static struct fl_membership query(const uint8_t *message, size_t n)
{
	struct fl_membership m;
	struct fl_cursor c = fl_cursor(summed(message, n), n);
	assert_int_equal(fl_igmp_read(&c, &m), FL_OK);
	assert_true(m.query);
	return m;
}

/* RFC 3376 section 7.1: 8 octets and code 0, 8 and another code, 12 and more;
 * RFC 3376 section 8: query interval 125 s, response interval 10 s. */
static void tells_the_version_of_a_query(void **state)
{
	(void)state;
	struct fl_membership m = query(OCTETS("\x11\x00\x00\x00\0\0\0\0"));
	assert_int_equal(m.version, 1);
	assert_int_equal(m.response, 10000);
	m = query(OCTETS("\x11\x64\x00\x00\0\0\0\0"));
	assert_int_equal(m.version, 2);
	assert_int_equal(m.response, 10000);
	m = query(OCTETS("\x11\x64\x00\x00\0\0\0\0" "\x0a\x7d\x00\x00"));
	assert_int_equal(m.version, 3);
	assert_true(m.suppress);
	assert_int_equal(m.robustness, 2);
	assert_int_equal(m.interval, 125);
}

/* RFC 3376 section 4.1.7 (interval), RFC 4541 section 2.1.1 (a proxy that
 * snoops asks from 0.0.0.0). */
static void a_query_serves_from_its_source(void **state)
{
	(void)state;
	const uint8_t *m = summed(OCTETS("\x11\x64\x00\x00\0\0\0\0\x02\x7d\0\0"));
	const struct run *r = run_decoder("igmp", &from_host, m, 12);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_SERVES, FL_SERVES_QUERIES);
	is_ip(r->facts.at[0].ip, "172.20.0.21");
	assert_int_equal(r->facts.at[0].seconds, 125);
	struct fl_packet proxy = from_host;
	proxy.from = ip_of("0.0.0.0");
	r = run_decoder("igmp", &proxy, m, 12);
	is_ip(r->facts.at[0].ip, "0.0.0.0");
}

/* RFC 3376 section 7.1: other lengths MUST be silently ignored. */
static void a_query_between_the_lengths_is_refused(void **state)
{
	(void)state;
	refuses(run(OCTETS("\x11\x64\x00\x00\0\0\0\0\x02\x7d")),
		"RFC 3376 section 7.1", 2);
}

/* RFC 2236 section 2 and RFC 3376 section 4.2: no shorter message is whole. */
static void every_truncation_says_nothing(void **state)
{
	(void)state;
	const size_t n = sizeof REPORT_3 - 1;
	uint8_t m[sizeof REPORT_3];
	memcpy(m, summed(OCTETS(REPORT_3)), n);
	refuses_every_truncation("igmp", &from_host, m, n);
	/* A shorter message whose own sum is right is cut all the same. */
	for (size_t cut = 4; cut < n; cut++)
		assert_int_equal(run((const uint8_t *)REPORT_3, cut)->facts.n, 0);
}

/* RFC 2236 section 2.3: the sum runs over the whole IP payload. */
static void a_wrong_checksum_is_refused_by_its_rule(void **state)
{
	(void)state;
	refuses(run_decoder("igmp", &from_host, OCTETS(
		"\x16\x00\xfa\x05\xef\xff\xff\xfa")),
		"RFC 2236 section 2.3: checksum", 2);
}

/* RFC 3376 section 4.2.5: the record's group is a multicast address. */
static void a_group_that_is_none_is_refused(void **state)
{
	(void)state;
	refuses(run(OCTETS("\x16\x00\x00\x00\xac\x14\x00\x09")),
		"RFC 3376 section 4.2.5", 4);
}

/* IANA, "IGMP type numbers": 0x13 is DVMRP. A cut message has no sum. */
static void other_messages_and_cut_ones_are_not_read(void **state)
{
	(void)state;
	assert_int_equal(run(OCTETS("\x13\x00\x00\x00\0\0\0\0"))->status,
			 FL_UNSUPPORTED);
	struct fl_packet cut = from_host;
	cut.payload_cut = true;
	assert_int_equal(run_decoder("igmp", &cut, OCTETS(REPORT))->status,
			 FL_SHORT);
}

/* A count from the wire does not outrun the table: 70 records of 8 octets. */
static void more_records_than_are_kept_spill(void **state)
{
	(void)state;
	static uint8_t m[8 + 70 * 8] = { 0x22, [7] = 70 };
	for (size_t i = 0; i < 70; i++)
		memcpy(m + 8 + i * 8, "\x04\x00\x00\x00\xef\xc0\x00\x01", 8);
	const uint16_t sum = (uint16_t)~fl_inet_sum(m, sizeof m);
	m[2] = (uint8_t)(sum >> 8), m[3] = (uint8_t)sum;
	const struct run *r = run_decoder("igmp", &from_host, m, sizeof m);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, FL_FACTS_MAX);
	assert_true(r->facts.spilled);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(scales_codes_as_rfc_3376_does),
		cmocka_unit_test(an_old_report_wants_its_group_and_may_be_an_answer),
		cmocka_unit_test(a_version_1_report_wants_and_a_leave_does_not),
		cmocka_unit_test(a_version_3_report_joins_and_leaves),
		cmocka_unit_test(current_states_answer_and_unknown_records_are_passed_over),
		cmocka_unit_test(tells_the_version_of_a_query),
		cmocka_unit_test(a_query_serves_from_its_source),
		cmocka_unit_test(a_query_between_the_lengths_is_refused),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(a_wrong_checksum_is_refused_by_its_rule),
		cmocka_unit_test(a_group_that_is_none_is_refused),
		cmocka_unit_test(other_messages_and_cut_ones_are_not_read),
		cmocka_unit_test(more_records_than_are_kept_spill),
	};
	return FL_RUN(tests);
}
