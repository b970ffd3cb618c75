#include "decode/decoding.h"

#include "decode/stp.h"

static const struct fl_packet bridge_group = {
	.llc = true, .sap = { 0x42, 0x42 }, .layer = FL_LAYER_LINK,
};

/* IEEE Std 802.1D-2004 section 9.3.3: protocol 0, version 2, type 2, flags
 * designated, learning, forwarding and topology change, root 32768 and
 * 02:1b:c5:00:00:05, cost 0, the root itself sends, port 8001, age 0, maximum
 * 20 s, hello 2 s, delay 15 s, no version 1 part. */
#define ROOT  "\x80\x00\x02\x1b\xc5\x00\x00\x05"
#define TIMES "\x00\x00\x14\x00\x02\x00\x0f\x00"
#define RAPID "\0\0\x02\x02\x3d" ROOT "\0\0\0\0" ROOT "\x80\x01" TIMES "\0"
/* Section 9.3.1: the same tree, told by a bridge behind it at cost 19. */
#define CONFIG "\0\0\x00\x00\x00" ROOT "\0\0\0\x13" \
	"\x90\x00\x02\x1b\xc5\x00\x00\x06" "\x80\x02" "\x01\x00" \
	"\x14\x00\x02\x00\x0f\x00"

/* IEEE Std 802.1D-2004 section 9.3.3 and figure 9-6. */
static void reads_every_field_of_a_rapid_bpdu(void **state)
{
	(void)state;
	struct fl_cursor c = fl_cursor(RAPID, sizeof RAPID - 1);
	struct fl_bpdu b;
	assert_int_equal(fl_bpdu_read(&c, &b), FL_OK);
	assert_int_equal(b.version, 2);
	assert_int_equal(b.type, FL_BPDU_RAPID);
	assert_int_equal(b.flags, FL_BPDU_TOPOLOGY_CHANGE | FL_BPDU_ROLE |
			 FL_BPDU_LEARNING | FL_BPDU_FORWARDING);
	assert_int_equal(b.cost, 0);
	assert_int_equal(b.port, 0x8001);
	assert_int_equal(b.max_age, 20 * 256);
	assert_int_equal(b.hello, 2 * 256);
	assert_int_equal(b.forward_delay, 15 * 256);
}

/* IEEE Std 802.1D-2004 section 9.2.5: 2 octets of priority, then the address. */
static void a_rapid_bpdu_tells_the_root_and_a_change(void **state)
{
	(void)state;
	const struct run *r = run_decoder("stp", &bridge_group, OCTETS(RAPID));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_TOPOLOGY, 0);
	assert_int_equal(r->facts.at[0].number, 1);
	is_text(r->facts.at[0].text, "32768.02:1b:c5:00:00:05");
}

/* IEEE Std 802.1D-2004 section 9.3.1. */
static void a_configuration_bpdu_tells_the_bridge_too(void **state)
{
	(void)state;
	const struct run *r = run_decoder("stp", &bridge_group, OCTETS(CONFIG));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.at[0].number, 0);
	is_text(r->facts.at[0].other_text, "36864.02:1b:c5:00:00:06");
}

/* IEEE Std 802.1D-2004 section 9.3.2: four octets, type 80. */
static void a_notification_tells_a_change_and_no_root(void **state)
{
	(void)state;
	const struct run *r = run_decoder("stp", &bridge_group,
					  OCTETS("\0\0\x00\x80"));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 1);
	assert_int_equal(r->facts.at[0].number, 1);
	is_text(r->facts.at[0].text, "");
}

/* IEEE Std 802.1Q section 14.4: a version 3 BPDU begins as version 2 does. */
static void reads_the_common_part_of_version_3(void **state)
{
	(void)state;
	const struct run *r = run_decoder("stp", &bridge_group, OCTETS(
		"\0\0\x03\x02\x3c" ROOT "\0\0\0\0" ROOT "\x80\x01" TIMES "\0"
		"\x00\x40\0\0\0\0"));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 1);
}

/* IEEE Std 802.1D-2004 section 9.3.4: at least 36, 35 and 4 octets. */
static void every_truncation_says_nothing(void **state)
{
	(void)state;
	refuses_every_truncation("stp", &bridge_group, OCTETS(RAPID));
	refuses_every_truncation("stp", &bridge_group, OCTETS(CONFIG));
	refuses_every_truncation("stp", &bridge_group, OCTETS("\0\0\x00\x80"));
}

/* IEEE Std 802.1D-2004 sections 9.3.3 and 9.3.4. */
static void a_rapid_bpdu_of_another_form_is_refused(void **state)
{
	(void)state;
	refuses(run_decoder("stp", &bridge_group, OCTETS("\0\0\x02\x02\x3d" ROOT
		"\0\0\0\0" ROOT "\x80\x01" TIMES "\x01")),
		"IEEE Std 802.1D-2004 section 9.3.3", 35);
	refuses(run_decoder("stp", &bridge_group, OCTETS("\0\0\x00\x02\x3d" ROOT
		"\0\0\0\0" ROOT "\x80\x01" TIMES "\0")),
		"IEEE Std 802.1D-2004 section 9.3.4", 3);
}

/* IEEE Std 802.1D-2004 section 12.10: GARP has protocol identifier 1. */
static void other_protocols_and_types_are_not_read(void **state)
{
	(void)state;
	assert_int_equal(run_decoder("stp", &bridge_group,
		OCTETS("\0\x01\x01\x01\x04\x00\x01"))->status, FL_UNSUPPORTED);
	assert_int_equal(run_decoder("stp", &bridge_group,
		OCTETS("\0\0\x00\x55"))->status, FL_UNSUPPORTED);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_every_field_of_a_rapid_bpdu),
		cmocka_unit_test(a_rapid_bpdu_tells_the_root_and_a_change),
		cmocka_unit_test(a_configuration_bpdu_tells_the_bridge_too),
		cmocka_unit_test(a_notification_tells_a_change_and_no_root),
		cmocka_unit_test(reads_the_common_part_of_version_3),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(a_rapid_bpdu_of_another_form_is_refused),
		cmocka_unit_test(other_protocols_and_types_are_not_read),
	};
	return FL_RUN(tests);
}
