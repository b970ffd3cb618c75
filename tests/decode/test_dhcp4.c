#include "decoding.h"

#include "decode/dhcp4.h"

enum { FIXED = 236, OPTIONS = 240, SNAME = 44, FILE_NAME = 108 };

#define CLIENT "02:1b:c5:00:00:21"
#define NO_MAC "00:00:00:00:00:00"

static const uint8_t *message(uint8_t op, const uint8_t *options, size_t n)
{
	static uint8_t m[4096];
	assert_true(OPTIONS + n <= sizeof m);
	memset(m, 0, sizeof m);
	m[0] = op, m[1] = 1, m[2] = 6;               /* Ethernet, 6 octets  */
	memcpy(m + 4, "\x00\x00\x10\x21", 4);        /* xid                 */
	m[9] = 3, m[10] = 0x80;                      /* secs, broadcast bit */
	memcpy(m + 28, "\x02\x1b\xc5\x00\x00\x21", 6);         /* chaddr    */
	/* RFC 2131 section 3: the cookie is 99.130.83.99, in decimal. */
	memcpy(m + FIXED, (uint8_t[]){ 99, 130, 83, 99 }, 4);
	memcpy(m + OPTIONS, options, n);
	return m;
}

/* RFC 2132: 53 type 1 DISCOVER; 61 client id 01 and the MAC; 12 host name;
 * 60 vendor class; 50 requested 172.20.0.21; 55 asks for 1, 3, 6; 57 1500. */
#define DISCOVER \
	"\x35\x01\x01" "\x3d\x07\x01\x02\x1b\xc5\x00\x00\x21" \
	"\x0c\x0a" "arch-radar" "\x3c\x06" "dome-4" \
	"\x32\x04\xac\x14\x00\x15" "\x37\x03\x01\x03\x06" \
	"\x39\x02\x05\xdc" "\xff"

/* 53 type 5 ACK; 54 server 172.20.0.1; 51 lease 3600; 1 mask 255.255.0.0;
 * 3 routers 172.20.0.2 and .3. */
#define GIVEN \
	"\x36\x04\xac\x14\x00\x01" "\x33\x04\x00\x00\x0e\x10" \
	"\x01\x04\xff\xff\x00\x00" \
	"\x03\x08\xac\x14\x00\x02\xac\x14\x00\x03" "\xff"
#define ACK "\x35\x01\x05" GIVEN
#define OFFER "\x35\x01\x02" GIVEN

static struct fl_packet to_all(void)
{
	return (struct fl_packet){ .layer = FL_LAYER_TRANSPORT,
		.from = ip_of("0.0.0.0"), .to = ip_of("255.255.255.255") };
}

static const struct run *run_with(uint8_t op, const uint8_t *options, size_t n)
{
	const struct fl_packet packet = to_all();
	return run_decoder("dhcp4", &packet, message(op, options, n),
			   OPTIONS + n);
}

static enum fl_status read_with(uint8_t op, const uint8_t *options, size_t n,
				struct fl_dhcp4 *m)
{
	struct fl_cursor c = fl_cursor(message(op, options, n), OPTIONS + n);
	return fl_dhcp4_read(&c, m);
}

/* RFC 2131 section 2, figure 1 and RFC 2132 section 9: each field where the
 * figure has it. */
static void reads_each_field_of_a_discover(void **state)
{
	(void)state;
	struct fl_dhcp4 m;
	assert_int_equal(read_with(1, OCTETS(DISCOVER), &m), FL_OK);
	assert_int_equal(m.op, 1);
	assert_int_equal(m.htype, 1);
	assert_int_equal(m.hlen, 6);
	assert_int_equal(m.xid, 0x1021);
	assert_int_equal(m.secs, 3);
	assert_int_equal(m.flags, 0x8000);
	is_ip(m.ciaddr, "0.0.0.0");
	is_mac(m.chaddr, CLIENT);
	assert_int_equal(m.type, FL_DHCP4_DISCOVER);
	is_ip(m.requested, "172.20.0.21");
	is_text(m.host_name, "arch-radar");
	is_text(m.vendor_class, "dome-4");
	assert_int_equal(m.client_id.n, 7);
	assert_int_equal(m.parameters.n, 3);
	assert_int_equal(m.parameters.at[2], 6);
	assert_int_equal(m.largest, 1500);
	assert_true(fl_ip_is_none(m.server));
}

/* RFC 2131 section 4.4.1: who sends DISCOVER is in INIT, without address. */
static void a_discover_starts_and_wants_an_address(void **state)
{
	(void)state;
	const struct run *r = run_with(1, OCTETS(DISCOVER));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 4);
	is_fact(&r->facts.at[0], FL_FACT_IDENTITY, FL_ID_NAME);
	is_text(r->facts.at[0].text, "arch-radar");
	is_mac(r->facts.at[0].mac, CLIENT);
	is_fact(&r->facts.at[1], FL_FACT_IDENTITY, FL_ID_MODEL);
	is_text(r->facts.at[1].text, "dome-4");
	is_fact(&r->facts.at[2], FL_FACT_STARTING, FL_BY_ADDRESS);
	is_text(r->facts.at[2].text, "DISCOVER");
	is_fact(&r->facts.at[3], FL_FACT_WANTS, FL_WANTS_ADDRESS);
	is_mac(r->facts.at[3].mac, CLIENT);
}

/* RFC 2131 section 4.1: the last option is always END, so what is shorter is
 * not whole, also where it ends between two options. */
static void every_truncation_says_nothing(void **state)
{
	(void)state;
	const struct fl_packet packet = to_all();
	refuses_every_truncation("dhcp4", &packet,
				 message(1, OCTETS(DISCOVER)),
				 OPTIONS + sizeof DISCOVER - 1);
	refuses_every_truncation("dhcp4", &packet, message(2, OCTETS(ACK)),
				 OPTIONS + sizeof ACK - 1);
	assert_int_equal(run_with(1, OCTETS("\x35\x01\x01"))->status, FL_SHORT);
}

static void plain_bootp_is_refused_by_its_cookie(void **state)
{
	(void)state;
	const struct fl_packet packet = to_all();
	uint8_t m[OPTIONS + sizeof DISCOVER];
	memcpy(m, message(1, OCTETS(DISCOVER)), sizeof m);
	m[FIXED + 3] ^= 1;
	refuses(run_decoder("dhcp4", &packet, m, sizeof m),
		"RFC 2131 section 3: magic cookie", FIXED);
}

/* RFC 2131 section 4.3.2 and section 4.3.6 table 4: what each REQUEST has. */
static void tells_the_state_of_a_request_by_the_table(void **state)
{
	(void)state;
	const struct fl_ip all = ip_of("255.255.255.255");
	const struct fl_ip one = ip_of("172.20.0.1");
	const struct fl_ip none = { { 0 } };
	const struct {
		struct fl_ip server, requested, ciaddr, to;
		enum fl_dhcp4_state state;
	} rows[] = {
		{ one,  one,  none, all, FL_DHCP4_SELECTING },
		{ none, one,  none, all, FL_DHCP4_INIT_REBOOT },
		{ none, none, one,  one, FL_DHCP4_RENEWING },
		{ none, none, one,  all, FL_DHCP4_REBINDING },
		{ none, none, none, all, FL_DHCP4_NO_STATE },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct fl_dhcp4 m = { .type = FL_DHCP4_REQUEST,
			.server = rows[i].server, .ciaddr = rows[i].ciaddr,
			.requested = rows[i].requested };
		assert_int_equal(fl_dhcp4_state(&m, rows[i].to), rows[i].state);
	}
}

/* RFC 2131 section 3.7: a client that may have moved begins at INIT-REBOOT,
 * after a boot or after its link was gone. */
static void an_init_reboot_is_a_link_that_came_up(void **state)
{
	(void)state;
	const struct run *r = run_with(1, OCTETS(
		"\x35\x01\x03" "\x32\x04\xac\x14\x00\x15" "\xff"));
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_LINKING, FL_BY_ADDRESS);
	is_text(r->facts.at[0].text, "INIT-REBOOT");
	is_fact(&r->facts.at[1], FL_FACT_WANTS, FL_WANTS_ADDRESS);
	is_ip(r->facts.at[1].ip, "172.20.0.21");
}

/* RFC 2131 section 3.1 step 3: option 54 names the server that was chosen. */
static void a_request_of_an_offer_names_its_server(void **state)
{
	(void)state;
	const struct run *r = run_with(1, OCTETS(
		"\x35\x01\x03" "\x32\x04\xac\x14\x00\x15"
		"\x36\x04\xac\x14\x00\x01" "\xff"));
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_SERVES, FL_SERVES_ADDRESSES);
	is_ip(r->facts.at[0].ip, "172.20.0.1");
	is_mac(r->facts.at[0].mac, NO_MAC);
}

/* RFC 2131 section 4.4.5: a renewal is the steady state. */
static void a_renewal_is_no_sign(void **state)
{
	(void)state;
	const struct fl_packet packet = { .to = ip_of("172.20.0.1") };
	uint8_t m[OPTIONS + 4];
	memcpy(m, message(1, OCTETS("\x35\x01\x03\xff")), sizeof m);
	memcpy(m + 12, "\xac\x14\x00\x15", 4);       /* ciaddr */
	const struct run *r = run_decoder("dhcp4", &packet, m, sizeof m);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 0);
}

/* RFC 2131 sections 4.4.4, 4.4.6 and 3.4, in this order. */
static void a_client_declines_releases_or_informs(void **state)
{
	(void)state;
	const struct run *r = run_with(1, OCTETS(
		"\x35\x01\x04" "\x32\x04\xac\x14\x00\x15"
		"\x36\x04\xac\x14\x00\x01" "\xff"));
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_CONFLICT, 0);
	is_ip(r->facts.at[0].ip, "172.20.0.21");
	is_mac(r->facts.at[0].mac, CLIENT);
	r = run_with(1, OCTETS("\x35\x01\x07" "\x36\x04\xac\x14\x00\x01\xff"));
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_LEAVING, FL_BY_ADDRESS);
	is_text(r->facts.at[0].text, "RELEASE");
	r = run_with(1, OCTETS("\x35\x01\x08\xff"));
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_ADDRESS);
}

static const struct run *answer_of(const uint8_t *options, size_t n)
{
	const struct fl_packet packet = to_all();
	static uint8_t m[OPTIONS + 64];
	memcpy(m, message(2, options, n), OPTIONS + n);
	memcpy(m + 16, "\xac\x14\x00\x15", 4);       /* yiaddr */
	return run_decoder("dhcp4", &packet, m, OPTIONS + n);
}

/* RFC 2131 section 3.1 step 4: the ACK binds, an offer does not. */
static void an_ack_serves_routes_and_binds_its_client(void **state)
{
	(void)state;
	const struct run *r = answer_of(OCTETS(ACK));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_ANSWER);
	assert_int_equal(r->facts.n, 3);
	const struct fl_fact *f = r->facts.at;
	is_fact(&f[0], FL_FACT_SERVES, FL_SERVES_ADDRESSES);
	is_ip(f[0].ip, "172.20.0.1");
	is_ip(f[0].other, "172.20.0.21");
	is_mac(f[0].mac, NO_MAC);
	assert_int_equal(f[0].seconds, 3600);
	assert_int_equal(f[0].number, 16);
	is_fact(&f[1], FL_FACT_SERVES, FL_SERVES_ROUTE);
	is_ip(f[1].ip, "172.20.0.2");
	is_fact(&f[2], FL_FACT_CLAIM, FL_CLAIM_USES);
	is_ip(f[2].ip, "172.20.0.21");
	is_mac(f[2].mac, CLIENT);

	r = answer_of(OCTETS(OFFER));
	assert_int_equal(r->manner, FL_ANSWER);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_SERVES, FL_SERVES_ADDRESSES);
}

/* RFC 2131 section 4.3.5: the ACK of an INFORM has no yiaddr. */
static void an_ack_without_an_address_binds_nobody(void **state)
{
	(void)state;
	const struct run *r = run_with(2, OCTETS(
		"\x35\x01\x05" "\x36\x04\xac\x14\x00\x01" "\xff"));
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_SERVES, FL_SERVES_ADDRESSES);
	assert_int_equal(r->facts.at[0].number, 0);
}

/* RFC 2131 section 4.3.1 table 3: a NAK carries the server identifier only. */
static void a_nak_is_an_answer_and_gives_nothing(void **state)
{
	(void)state;
	const struct run *r = run_with(2, OCTETS(
		"\x35\x01\x06" "\x36\x04\xac\x14\x00\x01" "\xff"));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_ANSWER);
	assert_int_equal(r->facts.n, 0);
}

static void an_answer_keeps_to_table_3(void **state)
{
	(void)state;
	refuses(run_with(1, OCTETS(ACK)), "RFC 2131 section 4.3.1 table 3: op",
		OPTIONS + sizeof ACK - 2);
	refuses(run_with(2, OCTETS("\x35\x01\x05\xff")),
		"RFC 2131 section 4.3.1 table 3: server", OPTIONS + 3);
}

/* RFC 2132 section 2: a receiver deletes the NULs at the end of a text. */
static void deletes_the_nuls_after_a_text(void **state)
{
	(void)state;
	struct fl_dhcp4 m;
	read_with(1, OCTETS("\x35\x01\x08" "\x0c\x06" "nas1\x00\x00" "\xff"), &m);
	is_text(m.host_name, "nas1");
}

/* RFC 3396 section 7: parts are joined in the order they come. */
static void joins_the_parts_of_an_option(void **state)
{
	(void)state;
	const struct run *r = run_with(1, OCTETS(
		"\x0c\x05" "arch-" "\x35\x01\x08" "\x3c\x03" "dom"
		"\x0c\x02" "ra" "\x3c\x03" "e-4" "\x0c\x03" "dar" "\xff"));
	assert_int_equal(r->status, FL_OK);
	is_text(r->facts.at[0].text, "arch-radar");
	is_text(r->facts.at[1].text, "dome-4");
	/* A lease in two parts is one of four octets. */
	struct fl_dhcp4 m;
	read_with(2, OCTETS("\x33\x02\x00\x01" "\x35\x01\x05"
			    "\x33\x02\x51\x80" "\xff"), &m);
	assert_int_equal(m.lease, 86400);
}

/* Eight parts of 255 octets are 2040, nine are more than the 2048 kept. */
static void an_option_has_a_ceiling_over_its_parts(void **state)
{
	(void)state;
	uint8_t options[9 * 257 + 4] = { 0 };
	for (size_t i = 0; i < 9 * 257; i += 257)
		options[i] = 60, options[i + 1] = 255;
	memcpy(options + 8 * 257, "\x35\x01\x08\xff", 4);
	struct fl_dhcp4 m;
	options[8 * 257 - 1] = 'z';
	assert_int_equal(read_with(1, options, sizeof options, &m), FL_OK);
	assert_int_equal(m.vendor_class.n, 8 * 255);
	options[8 * 257] = 60, options[8 * 257 + 1] = 255;
	assert_int_equal(read_with(1, options, sizeof options, &m), FL_FULL);
}

/* RFC 2131 section 4.1: file is read first, then sname, each to its END. */
static void options_overload_file_and_then_sname(void **state)
{
	(void)state;
	const struct fl_packet packet = to_all();
	uint8_t m[OPTIONS + 7];
	memcpy(m, message(1, OCTETS("\x34\x01\x03" "\x35\x01\x08" "\xff")),
	       sizeof m);
	memcpy(m + FILE_NAME, "\x0c\x05" "arch-" "\xff", 8);
	memcpy(m + SNAME, "\x0c\x05" "radar" "\xff", 8);
	const struct run *r = run_decoder("dhcp4", &packet, m, sizeof m);
	assert_int_equal(r->status, FL_OK);
	is_text(r->facts.at[0].text, "arch-radar");
	m[SNAME + 7] = 0;                            /* its END is gone */
	r = run_decoder("dhcp4", &packet, m, sizeof m);
	assert_int_equal(r->status, FL_SHORT);
	m[OPTIONS + 2] = 1;                          /* only file       */
	r = run_decoder("dhcp4", &packet, m, sizeof m);
	is_text(r->facts.at[0].text, "arch-");
}

/* RFC 2132, RFC 3046 and RFC 4702: the length that each option has. */
static void a_wrong_length_is_refused_by_its_own_clause(void **state)
{
	(void)state;
	static const struct {
		uint8_t code, length;
		const char *rule;
	} rows[] = {
		{ 1, 3, "RFC 2132 section 3.3:" },  { 3, 0, "RFC 2132 section 3.5:" },
		{ 3, 6, "RFC 2132 section 3.5:" },  { 50, 5, "RFC 2132 section 9.1:" },
		{ 51, 2, "RFC 2132 section 9.2:" }, { 52, 0, "RFC 2132 section 9.3:" },
		{ 53, 2, "RFC 2132 section 9.6:" }, { 54, 8, "RFC 2132 section 9.7:" },
		{ 57, 1, "RFC 2132 section 9.10:" }, { 58, 3, "RFC 2132 section 9.11:" },
		{ 59, 5, "RFC 2132 section 9.12:" }, { 61, 1, "RFC 2132 section 9.14:" },
		{ 81, 2, "RFC 4702 section 2:" },   { 82, 1, "RFC 3046 section 2.0:" },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		uint8_t options[16] = { 0, 0, rows[i].code, rows[i].length };
		options[4 + rows[i].length] = 255;
		refuses(run_with(1, options, sizeof options), rows[i].rule,
			OPTIONS + 4);
	}
}

static void other_broken_rules_are_refused(void **state)
{
	(void)state;
	refuses(run_with(3, OCTETS(DISCOVER)), "RFC 2131 section 2: op", 0);
	refuses(run_with(1, OCTETS("\xff")), "RFC 2131 section 3: a message type",
		OPTIONS);
	const struct fl_packet packet = to_all();
	uint8_t m[OPTIONS + 4];
	memcpy(m, message(1, OCTETS("\x35\x01\x01\xff")), sizeof m);
	m[2] = 17;
	refuses(run_decoder("dhcp4", &packet, m, sizeof m),
		"RFC 2131 section 2: chaddr", 2);
	/* RFC 4388 section 6.1: type 10 is LEASEQUERY, which is not read. */
	assert_int_equal(run_with(1, OCTETS("\x35\x01\x0a\xff"))->status,
			 FL_UNSUPPORTED);
}

/* RFC 2131 section 4.4.5: T1 is 0.5, T2 0.875 of the lease, where the server
 * does not set them: 43200 and 75600 of 86400. */
static void renews_at_half_and_rebinds_at_seven_eighths(void **state)
{
	(void)state;
	struct fl_dhcp4 m;
	read_with(2, OCTETS("\x35\x01\x05" "\x33\x04\x00\x01\x51\x80" "\xff"), &m);
	assert_int_equal(m.renew, 43200);
	assert_int_equal(m.rebind, 75600);
	read_with(2, OCTETS("\x35\x01\x05" "\x33\x04\x00\x01\x51\x80"
			    "\x3a\x04\x00\x00\x00\x3c" "\x3b\x04\x00\x00\x00\x5a"
			    "\xff"), &m);
	assert_int_equal(m.renew, 60);
	assert_int_equal(m.rebind, 90);
	read_with(2, OCTETS("\x35\x01\x05" "\x33\x04\xff\xff\xff\xff" "\xff"), &m);
	assert_int_equal(m.renew, UINT32_MAX);
}

/* RFC 4632 section 3.1: prefix lengths and their masks. */
static void counts_the_bits_of_a_mask_without_a_hole(void **state)
{
	(void)state;
	static const struct { const char *mask; unsigned bits; } rows[] = {
		{ "255.255.255.0", 24 }, { "255.255.255.255", 32 },
		{ "128.0.0.0", 1 }, { "255.255.252.0", 22 },
		{ "0.0.0.0", 0 }, { "255.0.255.0", 0 }, { "0.0.0.255", 0 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct fl_dhcp4 m = { .mask = ip_of(rows[i].mask) };
		assert_int_equal(fl_dhcp4_prefix(&m), rows[i].bits);
	}
}

/* RFC 3046 section 2.0: suboption 1 is the circuit, 2 the remote end. */
static void reads_what_a_relay_added(void **state)
{
	(void)state;
	struct fl_dhcp4 m;
	read_with(1, OCTETS("\x35\x01\x01" "\x52\x09\x01\x02p3\x02\x03sw1"
			    "\xff"), &m);
	is_text(m.circuit, "p3");
	is_text(m.remote, "sw1");
	refuses(run_with(1, OCTETS("\x35\x01\x01" "\x52\x03\x01\x02p" "\xff")),
		"RFC 3046 section 2.0: a suboption", OPTIONS + 8);
}

/* RFC 4702 section 2.1: the E bit says that the name is in wire form. */
static void takes_a_full_name_where_no_host_name_is(void **state)
{
	(void)state;
	const struct run *r = run_with(1, OCTETS(
		"\x35\x01\x08" "\x51\x0a\x00\x00\x00" "sounder" "\xff"));
	is_text(r->facts.at[0].text, "sounder");
	r = run_with(1, OCTETS(
		"\x35\x01\x08" "\x51\x11\x04\x00\x00\x07" "sounder" "\x04" "boat\x00"
		"\xff"));
	assert_int_equal(r->status, FL_OK);
	is_text(r->facts.at[0].text, "sounder");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_each_field_of_a_discover),
		cmocka_unit_test(a_discover_starts_and_wants_an_address),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(plain_bootp_is_refused_by_its_cookie),
		cmocka_unit_test(tells_the_state_of_a_request_by_the_table),
		cmocka_unit_test(an_init_reboot_is_a_link_that_came_up),
		cmocka_unit_test(a_request_of_an_offer_names_its_server),
		cmocka_unit_test(a_renewal_is_no_sign),
		cmocka_unit_test(a_client_declines_releases_or_informs),
		cmocka_unit_test(an_ack_serves_routes_and_binds_its_client),
		cmocka_unit_test(an_ack_without_an_address_binds_nobody),
		cmocka_unit_test(a_nak_is_an_answer_and_gives_nothing),
		cmocka_unit_test(an_answer_keeps_to_table_3),
		cmocka_unit_test(deletes_the_nuls_after_a_text),
		cmocka_unit_test(joins_the_parts_of_an_option),
		cmocka_unit_test(an_option_has_a_ceiling_over_its_parts),
		cmocka_unit_test(options_overload_file_and_then_sname),
		cmocka_unit_test(a_wrong_length_is_refused_by_its_own_clause),
		cmocka_unit_test(other_broken_rules_are_refused),
		cmocka_unit_test(renews_at_half_and_rebinds_at_seven_eighths),
		cmocka_unit_test(counts_the_bits_of_a_mask_without_a_hole),
		cmocka_unit_test(reads_what_a_relay_added),
		cmocka_unit_test(takes_a_full_name_where_no_host_name_is),
	};
	return FL_RUN(tests);
}
