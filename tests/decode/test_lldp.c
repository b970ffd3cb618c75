#include "decode/decoding.h"

#include "decode/lldp.h"

static const struct fl_packet nearest_bridge = {
	.ethertype = 0x88cc, .layer = FL_LAYER_LINK,
};

/* IEEE Std 802.1AB-2016 sections 8.5.2 to 8.5.4 and 8.5.1: a chassis and a
 * port that are MAC addresses, 121 s to live (section 9.2.5.22: 30 * 4 + 1),
 * end. */
#define CHASSIS "\x02\x07\x04\x02\x1b\xc5\x00\x00\x05"
#define PORT    "\x04\x07\x03\x02\x1b\xc5\x00\x00\x06"
#define LIVES   "\x06\x02\x00\x79"
#define END     "\x00\x00"
#define LEAST   CHASSIS PORT LIVES END

/* A switch port by name, with everything that fairlead reads. */
#define FULL CHASSIS \
	"\x04\x07\x05" "lower3" LIVES \
	"\x08\x06" "Port 3" \
	"\x0a\x0c" "lower switch" \
	"\x0c\x08" "8 copper" \
	"\x0e\x04\x00\x14\x00\x04"              /* 8.5.8: bridge, router; bridge */ \
	"\x10\x0c\x05\x01\xac\x14\x00\x02\x02\x00\x00\x00\x01\x00" /* 8.5.9 */ \
	"\xfe\x09\x00\x12\x0f\x01\x03\x6c\x03\x00\x10" /* 802.3 79.3.1 */ \
	"\xfe\x0c\x00\x12\x0f\x02\x07\x01\x05\x52\x00\x82\x00\x80" /* 79.3.2 */ \
	"\xfe\x06\x00\x12\x0f\x04\x05\xf2"      /* 79.3.4: 1522 octets */ \
	"\xfe\x0e\x00\x12\x0f\x05\x00\x1e\x00\x11\x00\x1e\x00\x1e\x00\x11" \
	"\xfe\x06\x00\x80\xc2\x01\x00\x64"      /* 802.1Q D.2.1: VLAN 100 */ \
	"\xfe\x0b\x00\x80\xc2\x03\x00\x64\x04" "deck" /* D.2.3 */ \
	"\xfe\x06\x00\x12\xbb\x05" "r2"         /* TIA-1057 10.2.6.1 */ \
	"\xfe\x07\x00\x12\xbb\x06" "fw7" \
	"\xfe\x07\x00\x12\xbb\x07" "4.2" \
	"\xfe\x08\x00\x12\xbb\x08" "0042" \
	"\xfe\x09\x00\x12\xbb\x09" "maker" \
	"\xfe\x09\x00\x12\xbb\x0a" "model" \
	"\xfe\x09\x00\x12\xbb\x0b" "asset" END

static enum fl_status read_whole(const void *m, size_t n, struct fl_lldp *l)
{
	struct fl_cursor c = fl_cursor(m, n);
	return fl_lldp_read(&c, l);
}

/* IEEE Std 802.1AB-2016 clause 8. */
static void reads_the_basic_tlvs(void **state)
{
	(void)state;
	struct fl_lldp l;
	assert_int_equal(read_whole(OCTETS(FULL), &l), FL_OK);
	assert_int_equal(l.chassis.subtype, 4);
	is_mac(l.chassis.mac, "02:1b:c5:00:00:05");
	assert_int_equal(l.port.subtype, 5);
	is_text(l.port.text, "lower3");
	assert_int_equal(l.seconds, 121);
	is_text(l.port_description, "Port 3");
	is_text(l.system_name, "lower switch");
	is_text(l.system_description, "8 copper");
	assert_int_equal(l.capabilities, 0x14);
	assert_int_equal(l.enabled, FL_IS_BRIDGE);
	assert_int_equal(l.addresses, 1);
	is_ip(l.address[0], "172.20.0.2");
}

/* IEEE Std 802.3 clause 79, IEEE Std 802.1Q annex D, ANSI/TIA-1057 section
 * 10.2.6. */
static void reads_the_organizations_tlvs(void **state)
{
	(void)state;
	struct fl_lldp l;
	assert_int_equal(read_whole(OCTETS(FULL), &l), FL_OK);
	assert_true(l.power.told);
	assert_int_equal(l.power.class, 5);
	assert_int_equal(l.power.requested, 130);
	assert_int_equal(l.power.allocated, 128);
	assert_int_equal(l.max_frame, 1522);
	assert_true(l.eee.told);
	assert_int_equal(l.eee.transmit, 30);
	assert_int_equal(l.eee.receive, 17);
	assert_int_equal(l.port_vlan, 100);
	assert_int_equal(l.named_vlan, 100);
	is_text(l.vlan_name, "deck");
	is_text(l.inventory[FL_MED_SERIAL], "0042");
	is_text(l.inventory[FL_MED_ASSET], "asset");
}

/* RFC 4836 section 4 (ifMauAutoNegCap) and IANA-MAU-MIB: 6c03 advertises 10,
 * 100 and 1000 at either duplex, 16 runs 100BASE-TX in full duplex. */
static void reads_a_port_that_could_do_more_than_it_does(void **state)
{
	(void)state;
	struct fl_lldp l;
	assert_int_equal(read_whole(OCTETS(FULL), &l), FL_OK);
	assert_true(l.mac_phy.supported && l.mac_phy.enabled);
	assert_int_equal(l.mac_phy.advertised, 0x6c03);
	assert_int_equal(l.mac_phy.mau, 16);
	const struct run *r = run_decoder("lldp", &nearest_bridge, OCTETS(FULL));
	assert_true(r->facts.at[0].speeds == ((uint64_t)1000 << 32 | 100));
}

/* IEEE Std 802.1AB-2016 section 8.5.4 (time to live), table 8-4. */
static void tells_its_neighbour_and_what_it_is(void **state)
{
	(void)state;
	static const struct { enum fl_identity field; const char *text; } told[] = {
		{ FL_ID_NAME, "lower switch" }, { FL_ID_KIND, "switch" },
		{ FL_ID_ADDRESS, "" }, { FL_ID_MAKER, "maker" },
		{ FL_ID_MODEL, "model" }, { FL_ID_SERIAL, "0042" },
		{ FL_ID_HARDWARE, "r2" }, { FL_ID_SOFTWARE, "4.2" },
	};
	const size_t n = sizeof told / sizeof told[0];
	const struct run *r = run_decoder("lldp", &nearest_bridge, OCTETS(FULL));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 1 + n);
	const struct fl_fact *f = r->facts.at;
	is_fact(f, FL_FACT_NEIGHBOUR, 0);
	is_text(f->text, "02:1b:c5:00:00:05");
	is_text(f->other_text, "lower3");
	is_text(f->third_text, "lower switch");
	assert_int_equal(f->number, FL_IS_BRIDGE);
	assert_int_equal(f->seconds, 121);
	for (size_t i = 0; i < n; i++) {
		is_fact(&f[1 + i], FL_FACT_IDENTITY, told[i].field);
		is_text(f[1 + i].text, told[i].text);
	}
	is_ip(f[3].ip, "172.20.0.2");
}

/* IEEE Std 802.1AB-2016 table 8-2: subtype 5 is a network address, its family
 * first; 7 is of the maker's own choice. Table 8-3: port 3 is a MAC address. */
static void names_a_chassis_in_each_way(void **state)
{
	(void)state;
	const struct run *r = run_decoder("lldp", &nearest_bridge, OCTETS(
		"\x02\x06\x05\x01\xac\x14\x00\x02" PORT LIVES
		"\x08\x04" "eth0" END));
	is_text(r->facts.at[0].text, "172.20.0.2");
	is_text(r->facts.at[0].other_text, "eth0");
	r = run_decoder("lldp", &nearest_bridge, OCTETS(
		"\x02\x06\x07" "radar" PORT LIVES END));
	is_text(r->facts.at[0].text, "radar");
	struct fl_lldp l;
	assert_int_equal(read_whole(OCTETS(LEAST), &l), FL_OK);
	is_mac(l.port.mac, "02:1b:c5:00:00:06");
}

/* IEEE Std 802.1AB-2016 section 8.5.4: time to live 0 shuts down. */
static void a_shutdown_leaves_and_tells_nothing_else(void **state)
{
	(void)state;
	const struct run *r = run_decoder("lldp", &nearest_bridge,
		OCTETS(CHASSIS PORT "\x06\x02\x00\x00" END));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_LEAVING, FL_BY_SERVICES);
}

/* IEEE Std 802.1AB-2016 section 9.2.7.7.2 (from memory): a TLV that breaks
 * its own form goes alone. */
static void an_optional_tlv_that_is_too_short_is_passed_over(void **state)
{
	(void)state;
	struct fl_lldp l;
	assert_int_equal(read_whole(OCTETS(CHASSIS PORT LIVES
		"\xfe\x06\x00\x12\x0f\x01\x03\x6c" "\x0e\x03\x00\x14\x00"
		"\x0a\x03" "abc" "\x54\x01?" END), &l), FL_OK);
	assert_false(l.mac_phy.told);
	assert_int_equal(l.enabled, 0);
	is_text(l.system_name, "abc");
}

/* IEEE Std 802.1AB-2016 section 8.5.1: the end is the last. */
static void every_truncation_says_nothing(void **state)
{
	(void)state;
	refuses_every_truncation("lldp", &nearest_bridge, OCTETS(FULL));
	refuses_every_truncation("lldp", &nearest_bridge, OCTETS(LEAST));
}

/* IEEE Std 802.1AB-2016 sections 8.2, 8.5.1, 8.5.2 and 9.2.7.7.1. */
static void a_wrong_order_is_refused_by_its_rule(void **state)
{
	(void)state;
	refuses(run_decoder("lldp", &nearest_bridge, OCTETS(PORT CHASSIS LIVES
		END)), "IEEE Std 802.1AB-2016 section 8.2", 0);
	refuses(run_decoder("lldp", &nearest_bridge, OCTETS(CHASSIS LIVES PORT
		END)), "IEEE Std 802.1AB-2016 section 8.2", 9);
	refuses(run_decoder("lldp", &nearest_bridge, OCTETS(CHASSIS PORT LIVES
		LIVES END)), "IEEE Std 802.1AB-2016 section 9.2.7.7.1", 24);
	refuses(run_decoder("lldp", &nearest_bridge, OCTETS(CHASSIS PORT LIVES
		"\x00\x01?")), "IEEE Std 802.1AB-2016 section 8.5.1", 24);
	refuses(run_decoder("lldp", &nearest_bridge, OCTETS("\x02\x01\x04" PORT
		LIVES END)), "IEEE Std 802.1AB-2016 section 8.5.2", 3);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_the_basic_tlvs),
		cmocka_unit_test(reads_the_organizations_tlvs),
		cmocka_unit_test(reads_a_port_that_could_do_more_than_it_does),
		cmocka_unit_test(tells_its_neighbour_and_what_it_is),
		cmocka_unit_test(names_a_chassis_in_each_way),
		cmocka_unit_test(a_shutdown_leaves_and_tells_nothing_else),
		cmocka_unit_test(an_optional_tlv_that_is_too_short_is_passed_over),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(a_wrong_order_is_refused_by_its_rule),
	};
	return FL_RUN(tests);
}
