#include "decode/decoding.h"

#include "base/checksum.h"
#include "decode/membership.h"
#include "decode/mld.h"
#include "decode/nd.h"
#include "decode/network.h"

#define LINK_LOCAL "fe80::1b:c5ff:fe00:21"
#define OURS "\xfe\x80\0\0\0\0\0\0\x00\x1b\xc5\xff\xfe\x00\x00\x21"
#define GROUP "\xff\x02\0\0\0\0\0\0\0\0\0\0\0\0\0\xfb"

static struct fl_packet between(const char *from, const char *to, uint8_t hops)
{
	return (struct fl_packet){
		.layer = FL_LAYER_NETWORK, .protocol = 58, .hops = hops,
		.from = ip_of(from), .to = ip_of(to),
	};
}

/* The message with the right checksum in octets 2 and 3, as RFC 4443 section
 * 2.3 has it: over the pseudo-header too. */
static const uint8_t *summed(const struct fl_packet *p, const uint8_t *message,
			     size_t n)
{
	static uint8_t m[512];
	assert_in_range(n, 4, sizeof m);
	memcpy(m, message, n);
	m[2] = m[3] = 0;
	const uint16_t sum = (uint16_t)~fl_inet_add(fl_pseudo_sum(p, 58, n),
						     fl_inet_sum(m, n));
	m[2] = (uint8_t)(sum >> 8);
	m[3] = (uint8_t)sum;
	return m;
}

static const struct run *run(struct fl_packet p, const uint8_t *message, size_t n)
{
	return run_decoder("icmp6", &p, summed(&p, message, n), n);
}

/* RFC 4861 section 4.3: type 135, code, sum, reserved, target. */
#define SOLICIT "\x87\x00\x00\x00\0\0\0\0" OURS
/* Section 4.6.1: source link-layer address, one unit of 8 octets. */
#define SOURCE_MAC "\x01\x01\x02\x1b\xc5\x00\x00\x21"

/* RFC 4291 section 2.7.1: 4037::01:800:200E:8C6C is asked for on
 * FF02::1:FF0E:8C6C. */
static void asks_on_the_group_that_rfc_4291_prints(void **state)
{
	(void)state;
	is_ip(fl_solicited_node(ip_of("4037::01:800:200E:8C6C")),
	      "ff02::1:ff0e:8c6c");
}

/* RFC 4862 section 5.4.2: DAD asks from ::, for its own tentative address. */
static void dad_starts_a_stack_and_probes(void **state)
{
	(void)state;
	const struct run *r = run(between("::", "ff02::1:ff00:21", 255),
				  OCTETS(SOLICIT));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_STARTING, FL_BY_STACK);
	is_text(r->facts.at[0].text, "DAD");
	is_fact(&r->facts.at[1], FL_FACT_CLAIM, FL_CLAIM_PROBES);
	is_ip(r->facts.at[1].ip, LINK_LOCAL);
}

/* RFC 4861 section 4.3. */
static void a_solicitation_claims_its_source_and_wants_its_target(void **state)
{
	(void)state;
	const struct run *r = run(between("fe80::5", "ff02::1:ff00:21", 255),
				  OCTETS(SOLICIT SOURCE_MAC));
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_CLAIM, FL_CLAIM_USES);
	is_ip(r->facts.at[0].ip, "fe80::5");
	is_mac(r->facts.at[0].mac, "02:1b:c5:00:00:21");
	is_fact(&r->facts.at[1], FL_FACT_WANTS, FL_WANTS_HOST);
	is_ip(r->facts.at[1].ip, LINK_LOCAL);
}

/* RFC 4861 section 4.4: 0x40000000 is the solicited flag. */
static void an_advertisement_answers_if_it_was_solicited(void **state)
{
	(void)state;
	const struct run *r = run(between(LINK_LOCAL, "fe80::5", 255),
		OCTETS("\x88\x00\x00\x00\x60\0\0\0" OURS));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_ANSWER);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_CLAIM, FL_CLAIM_USES);
	is_ip(r->facts.at[0].ip, LINK_LOCAL);
	r = run(between(LINK_LOCAL, "ff02::1", 255),
		OCTETS("\x88\x00\x00\x00\x20\0\0\0" OURS));
	assert_int_equal(r->manner, FL_UNASKED);
}

/* RFC 4861 section 4.1; RFC 7559 section 2: it may be repeated for ever. */
static void a_router_solicitation_follows_a_link(void **state)
{
	(void)state;
	const struct run *r = run(between(LINK_LOCAL, "ff02::2", 255),
		OCTETS("\x85\x00\x00\x00\0\0\0\0" SOURCE_MAC));
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_LINKING, FL_BY_STACK);
	is_text(r->facts.at[0].text, "router solicitation");
	is_fact(&r->facts.at[1], FL_FACT_CLAIM, FL_CLAIM_USES);
}

/* RFC 4861 section 4.2: hop limit 64, lifetime 1800 s; section 4.6.4: MTU
 * 1500; section 4.6.2: prefix 2001:db8:1::/64. */
#define ADVERTISE(lifetime) "\x86\x00\x00\x00\x40\x00" lifetime \
	"\0\0\0\0\0\0\0\0" "\x05\x01\0\0\x00\x00\x05\xdc" \
	"\x03\x04\x40\xc0\x00\x27\x8d\x00\x00\x09\x3a\x80\0\0\0\0" \
	"\x20\x01\x0d\xb8\x00\x01\0\0\0\0\0\0\0\0\0\0"

static void reads_a_router_with_its_prefix(void **state)
{
	(void)state;
	const struct fl_packet p = between("fe80::1", "ff02::1", 255);
	const char m[] = ADVERTISE("\x07\x08");
	struct fl_cursor c = fl_cursor(m + 4, sizeof m - 1 - 4);
	struct fl_nd nd;
	assert_int_equal(fl_nd_read(&p, 134, 0, &c, &nd), FL_OK);
	assert_int_equal(nd.lifetime, 1800);
	assert_int_equal(nd.mtu, 1500);
	assert_int_equal(nd.prefixes, 1);
	assert_int_equal(nd.prefix[0].valid, 2592000);
	assert_int_equal(nd.prefix[0].preferred, 604800);
}

/* RFC 4861 section 4.2. */
static void a_router_advertisement_serves_a_route(void **state)
{
	(void)state;
	const struct run *r = run(between("fe80::1", "ff02::1", 255),
				  OCTETS(ADVERTISE("\x07\x08")));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[1], FL_FACT_SERVES, FL_SERVES_ROUTE);
	is_ip(r->facts.at[1].ip, "fe80::1");
	is_ip(r->facts.at[1].other, "2001:db8:1::");
	assert_int_equal(r->facts.at[1].number, 64);
	assert_int_equal(r->facts.at[1].seconds, 1800);
}

/* RFC 4861 section 4.2: "a Lifetime of 0 indicates that the router is not a
 * default router". */
static void a_router_of_no_lifetime_serves_none(void **state)
{
	(void)state;
	const struct run *r = run(between("fe80::1", "ff02::1", 255),
				  OCTETS(ADVERTISE("\x00\x00")));
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_CLAIM, FL_CLAIM_USES);
}

/* RFC 3810 section 5.2.12: TO_EX{} (4) of ff02::fb. */
#define JOIN "\x8f\x00\x00\x00\0\0\x00\x01\x04\x00\x00\x00" GROUP

/* RFC 3590 section 4: reports from :: come before there is an address. */
static void a_report_from_no_address_starts_a_stack(void **state)
{
	(void)state;
	const struct run *r = run(between("::", "ff02::16", 1), OCTETS(JOIN));
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_STARTING, FL_BY_STACK);
	is_text(r->facts.at[0].text, "MLD from ::");
	is_fact(&r->facts.at[1], FL_FACT_WANTS, FL_WANTS_GROUP);
	is_ip(r->facts.at[1].ip, "ff02::fb");
}

/* RFC 3810 section 5.2.12: types 4 and 3 tell a change, type 2 answers. */
static void a_join_links_a_leave_and_an_answer_do_not(void **state)
{
	(void)state;
	const struct fl_packet p = between(LINK_LOCAL, "ff02::16", 1);
	const struct run *r = run(p, OCTETS(JOIN));
	assert_int_equal(r->manner, FL_UNASKED);
	is_fact(&r->facts.at[0], FL_FACT_LINKING, FL_BY_STACK);
	is_text(r->facts.at[0].text, "MLD");
	r = run(p, OCTETS("\x8f\0\0\0\0\0\x00\x01\x03\x00\x00\x00" GROUP));
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_NO_GROUP);
	r = run(p, OCTETS("\x8f\0\0\0\0\0\x00\x01\x02\x00\x00\x00" GROUP));
	assert_int_equal(r->manner, FL_ANSWER);
	assert_int_equal(r->facts.n, 1);
	r = run(between("::", "ff02::16", 1),
		OCTETS("\x8f\0\0\0\0\0\x00\x01\x03\x00\x00\x00" GROUP));
	assert_int_equal(r->facts.n, 1);
}

/* RFC 2710 section 3: 131 reports a group, 132 is done with it. */
static void reads_the_reports_of_version_1(void **state)
{
	(void)state;
	const struct fl_packet p = between(LINK_LOCAL, "ff02::fb", 1);
	const struct run *r = run(p, OCTETS("\x83\0\0\0\0\0\0\0" GROUP));
	assert_int_equal(r->manner, FL_ANSWER);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_GROUP);
	r = run(p, OCTETS("\x84\0\0\0\0\0\0\0" GROUP));
	assert_int_equal(r->manner, FL_UNASKED);
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_NO_GROUP);
}

#define NO_GROUP "\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0"

/* RFC 3810 section 8.1 (24 octets, or 28 and more); section 9: robustness 2,
 * query interval 125 s, response interval 10 s; section 5.1.3: 0x8000 is
 * 0x1000 << 3 = 32768 ms. */
static void tells_the_version_of_a_query(void **state)
{
	(void)state;
	struct fl_membership m;
	const char old[] = "\x27\x10\0\0" NO_GROUP;
	struct fl_cursor c = fl_cursor(old, sizeof old - 1);
	assert_int_equal(fl_mld_read(130, &c, &m), FL_OK);
	assert_int_equal(m.version, 1);
	assert_int_equal(m.response, 10000);
	const char new[] = "\x80\x00\0\0" NO_GROUP "\x02\x7d\0\0";
	c = fl_cursor(new, sizeof new - 1);
	assert_int_equal(fl_mld_read(130, &c, &m), FL_OK);
	assert_int_equal(m.version, 2);
	assert_int_equal(m.response, 32768);
	assert_int_equal(m.robustness, 2);
	assert_int_equal(m.interval, 125);
	const struct run *r = run(between("fe80::1", "ff02::1", 1),
		OCTETS("\x82\0\0\0\x27\x10\0\0" NO_GROUP "\x02\x7d\0\0"));
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_SERVES, FL_SERVES_QUERIES);
	is_ip(r->facts.at[0].ip, "fe80::1");
	assert_int_equal(r->facts.at[0].seconds, 125);
}

/* RFC 4443 section 2.3: the sum is part of the whole message. */
static void every_truncation_says_nothing(void **state)
{
	(void)state;
	const struct fl_packet p = between("fe80::5", "ff02::1:ff00:21", 255);
	uint8_t m[sizeof SOLICIT SOURCE_MAC];
	const size_t n = sizeof m - 1;
	memcpy(m, summed(&p, OCTETS(SOLICIT SOURCE_MAC)), n);
	refuses_every_truncation("icmp6", &p, m, n);
	/* Without its option a solicitation is whole: cut before that. */
	for (size_t cut = 4; cut < n - 8; cut++)
		assert_int_equal(run(p, m, cut)->facts.n, 0);
	const struct fl_packet report = between("::", "ff02::16", 1);
	for (size_t cut = 4; cut < sizeof JOIN - 1; cut++)
		assert_int_equal(run(report, (const uint8_t *)JOIN, cut)->facts.n, 0);
}

/* RFC 4443 section 2.3: a sum over other addresses does not hold. */
static void a_wrong_checksum_is_refused_by_its_rule(void **state)
{
	(void)state;
	const struct fl_packet p = between("::", "ff02::1:ff00:21", 255);
	const struct fl_packet q = between("::", "ff02::1:ff00:22", 255);
	refuses(run_decoder("icmp6", &q, summed(&p, OCTETS(SOLICIT)),
			    sizeof SOLICIT - 1),
		"RFC 4443 section 2.3: checksum", 2);
}

/* RFC 4861 sections 6.1.1, 6.1.2, 7.1.1 and 7.1.2 list what to discard; the
 * offset is that of the last field read. */
static void what_rfc_4861_discards_is_refused(void **state)
{
	(void)state;
	refuses(run(between("fe80::5", "ff02::1:ff00:21", 64), OCTETS(SOLICIT)),
		"RFC 4861 section 7.1.1: hop limit", 2);
	refuses(run(between("fe80::5", "ff02::1:ff00:21", 255),
		    OCTETS("\x87\x01\0\0\0\0\0\0" OURS)),
		"RFC 4861 section 7.1.1: code", 2);
	refuses(run(between("fe80::5", "ff02::1:ff00:21", 255),
		    OCTETS(SOLICIT "\x01\x00\0\0\0\0\0\0")),
		"RFC 4861 section 7.1.1: option", 25);
	refuses(run(between("::", "ff02::1:ff00:21", 255),
		    OCTETS(SOLICIT SOURCE_MAC)),
		"RFC 4861 section 7.1.1: the unspecified", 26);
	refuses(run(between("::", "ff02::1", 255), OCTETS(SOLICIT)),
		"RFC 4861 section 7.1.1: the unspecified", 8);
	refuses(run(between("fe80::5", "ff02::1", 255),
		    OCTETS("\x87\0\0\0\0\0\0\0" GROUP)),
		"RFC 4861 section 7.1: the target", 8);
	refuses(run(between("2001:db8::1", "ff02::1", 255),
		    OCTETS("\x86\0\0\0\x40\0\x07\x08\0\0\0\0\0\0\0\0")),
		"RFC 4861 section 6.1.2: link-local", 8);
	refuses(run(between("::", "ff02::2", 255),
		    OCTETS("\x85\0\0\0\0\0\0\0" SOURCE_MAC)),
		"RFC 4861 section 6.1.1: no link-layer", 10);
	refuses(run(between("fe80::5", "ff02::1", 255),
		    OCTETS("\x88\0\0\0\x40\0\0\0" OURS)),
		"RFC 4861 section 7.1.2: not solicited", 8);
}

/* RFC 3810 sections 5.2.5 and 8.1. */
static void broken_listener_messages_are_refused(void **state)
{
	(void)state;
	const struct fl_packet p = between(LINK_LOCAL, "ff02::16", 1);
	refuses(run(p, OCTETS("\x83\0\0\0\0\0\0\0" OURS)),
		"RFC 3810 section 5.2.5", 8);
	refuses(run(p, OCTETS("\x82\0\0\0\x27\x10\0\0" NO_GROUP "\x02\x7d")),
		"RFC 3810 section 8.1", 6);
}

/* RFC 4443 section 4.1: 128 is an echo request. */
static void echoes_are_not_read(void **state)
{
	(void)state;
	const struct run *r = run(between("fe80::5", "fe80::6", 64),
				  OCTETS("\x80\0\0\0\0\x01\0\x01"));
	assert_int_equal(r->status, FL_UNSUPPORTED);
	assert_int_equal(r->facts.n, 0);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(asks_on_the_group_that_rfc_4291_prints),
		cmocka_unit_test(dad_starts_a_stack_and_probes),
		cmocka_unit_test(a_solicitation_claims_its_source_and_wants_its_target),
		cmocka_unit_test(an_advertisement_answers_if_it_was_solicited),
		cmocka_unit_test(a_router_solicitation_follows_a_link),
		cmocka_unit_test(reads_a_router_with_its_prefix),
		cmocka_unit_test(a_router_advertisement_serves_a_route),
		cmocka_unit_test(a_router_of_no_lifetime_serves_none),
		cmocka_unit_test(a_report_from_no_address_starts_a_stack),
		cmocka_unit_test(a_join_links_a_leave_and_an_answer_do_not),
		cmocka_unit_test(reads_the_reports_of_version_1),
		cmocka_unit_test(tells_the_version_of_a_query),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(a_wrong_checksum_is_refused_by_its_rule),
		cmocka_unit_test(what_rfc_4861_discards_is_refused),
		cmocka_unit_test(broken_listener_messages_are_refused),
		cmocka_unit_test(echoes_are_not_read),
	};
	return FL_RUN(tests);
}
