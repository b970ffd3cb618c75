#include "decode/decoding.h"

#include "decode/arp.h"

/* RFC 826, "Packet format": Ethernet, IPv4, sizes 6 and 4, a request of
 * 02:1b:c5:00:00:21 at 172.20.0.21 for 172.20.0.9. */
#define HEAD "\x00\x01\x08\x00\x06\x04"
#define US   "\x02\x1b\xc5\x00\x00\x21"
#define NONE "\x00\x00\x00\x00\x00\x00"
#define MINE "\xac\x14\x00\x15"
#define HIS  "\xac\x14\x00\x09"
#define REQUEST HEAD "\x00\x01" US MINE NONE HIS

static const struct fl_packet to_all = {
	.target = { { 255, 255, 255, 255, 255, 255 } }, .layer = FL_LAYER_LINK,
};
static const struct fl_packet to_one = {
	.target = { { 0x02, 0x1b, 0xc5, 0, 0, 9 } }, .layer = FL_LAYER_LINK,
};

/* RFC 826, "Packet format". */
static void reads_every_field_of_a_request(void **state)
{
	(void)state;
	struct fl_cursor c = fl_cursor(REQUEST, sizeof REQUEST - 1);
	struct fl_arp arp;
	assert_int_equal(fl_arp_read(&c, &arp), FL_OK);
	assert_int_equal(arp.operation, FL_ARP_REQUEST);
	is_mac(arp.sender_mac, "02:1b:c5:00:00:21");
	is_ip(arp.sender, "172.20.0.21");
	is_mac(arp.target_mac, "00:00:00:00:00:00");
	is_ip(arp.target, "172.20.0.9");
}

/* RFC 5227 section 2.4: any sender field tells who uses the address. */
static void a_request_claims_its_sender_and_wants_its_target(void **state)
{
	(void)state;
	const struct run *r = run_decoder("arp", &to_all, OCTETS(REQUEST));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_CLAIM, FL_CLAIM_USES);
	is_ip(r->facts.at[0].ip, "172.20.0.21");
	is_mac(r->facts.at[0].mac, "02:1b:c5:00:00:21");
	is_fact(&r->facts.at[1], FL_FACT_WANTS, FL_WANTS_HOST);
	is_ip(r->facts.at[1].ip, "172.20.0.9");
}

/* RFC 5227 section 2.1.1: a probe's sender address is all zero. */
static void a_probe_tries_its_target_and_uses_nothing(void **state)
{
	(void)state;
	const struct run *r = run_decoder("arp", &to_all, OCTETS(
		HEAD "\x00\x01" US "\x00\x00\x00\x00" NONE MINE));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_LINKING, FL_BY_ADDRESS);
	is_text(r->facts.at[0].text, "ARP probe");
	is_fact(&r->facts.at[1], FL_FACT_CLAIM, FL_CLAIM_PROBES);
	is_ip(r->facts.at[1].ip, "172.20.0.21");
	is_mac(r->facts.at[1].mac, "02:1b:c5:00:00:21");
}

/* RFC 5227 section 2.3: an announcement is a request whose two addresses are
 * the sender's; section 3 tells of hosts that use a reply. */
static void an_announcement_is_unasked_in_either_form(void **state)
{
	(void)state;
	static const char *const forms[] = {
		HEAD "\x00\x01" US MINE NONE MINE, HEAD "\x00\x02" US MINE US MINE,
	};
	for (size_t i = 0; i < 2; i++) {
		const struct run *r = run_decoder("arp", &to_one,
			(const uint8_t *)forms[i], sizeof REQUEST - 1);
		assert_int_equal(r->status, FL_OK);
		assert_int_equal(r->manner, FL_UNASKED);
		assert_int_equal(r->facts.n, 1);
		is_fact(&r->facts.at[0], FL_FACT_CLAIM, FL_CLAIM_USES);
	}
}

/* RFC 826, "Packet Reception": a reply goes to the one who asked. */
static void a_reply_to_one_station_is_an_answer(void **state)
{
	(void)state;
	const uint8_t *reply = (const uint8_t *)HEAD "\x00\x02" US MINE NONE HIS;
	const struct run *r = run_decoder("arp", &to_one, reply, 28);
	assert_int_equal(r->manner, FL_ANSWER);
	assert_int_equal(r->facts.n, 1);
	r = run_decoder("arp", &to_all, reply, 28);
	assert_int_equal(r->manner, FL_UNASKED);
}

/* RFC 826, "Packet format": 28 octets with these sizes. */
static void every_truncation_says_nothing(void **state)
{
	(void)state;
	refuses_every_truncation("arp", &to_all, OCTETS(REQUEST));
}

/* RFC 826: ar$hln is the length of each hardware address. */
static void a_wrong_address_length_is_refused_by_its_rule(void **state)
{
	(void)state;
	refuses(run_decoder("arp", &to_all, OCTETS("\x00\x01\x08\x00\x08\x04"
		"\x00\x01" US MINE NONE HIS)), "RFC 826: hardware address", 4);
	refuses(run_decoder("arp", &to_all, OCTETS("\x00\x01\x08\x00\x06\x06"
		"\x00\x01" US MINE NONE HIS)), "RFC 826: protocol address", 5);
}

/* IANA, "ARP parameters": hardware type 15 is Frame Relay, operation 8 is
 * InARP (RFC 2390). */
static void other_hardware_and_operations_are_not_read(void **state)
{
	(void)state;
	assert_int_equal(run_decoder("arp", &to_all, OCTETS("\x00\x0f\x08\x00"
		"\x06\x04\x00\x01" US MINE NONE HIS))->status, FL_UNSUPPORTED);
	assert_int_equal(run_decoder("arp", &to_all, OCTETS(HEAD
		"\x00\x08" US MINE NONE HIS))->status, FL_UNSUPPORTED);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_every_field_of_a_request),
		cmocka_unit_test(a_request_claims_its_sender_and_wants_its_target),
		cmocka_unit_test(a_probe_tries_its_target_and_uses_nothing),
		cmocka_unit_test(an_announcement_is_unasked_in_either_form),
		cmocka_unit_test(a_reply_to_one_station_is_an_answer),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(a_wrong_address_length_is_refused_by_its_rule),
		cmocka_unit_test(other_hardware_and_operations_are_not_read),
	};
	return FL_RUN(tests);
}
