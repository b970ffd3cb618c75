#include "test.h"

#include "base/checksum.h"

/* RFC 1071 section 3, "Numerical Examples": the published sum is ddf2. */
static void sums_the_rfc_1071_example(void **state)
{
	(void)state;
	const uint8_t bytes[] = { 0x00, 0x01, 0xf2, 0x03, 0xf4, 0xf5, 0xf6, 0xf7 };
	assert_int_equal(fl_inet_sum(bytes, sizeof bytes), 0xddf2);
	assert_int_equal(fl_inet_add(fl_inet_sum(bytes, 4), fl_inet_sum(bytes + 4, 4)), 0xddf2);
}

/* RFC 1071 section 1: an odd last byte is padded with a zero on its right. */
static void pads_an_odd_last_byte_on_the_right(void **state)
{
	(void)state;
	const uint8_t odd[] = { 0x12, 0x34, 0x56 };
	assert_int_equal(fl_inet_sum(odd, sizeof odd), 0x1234 + 0x5600);
}

/* Catalogue of parametrised CRC algorithms, CRC-32/ISO-HDLC: check cbf43926. */
static void checks_the_catalogue_value(void **state)
{
	(void)state;
	assert_int_equal(fl_fcs((const uint8_t *)"123456789", 9), 0xcbf43926);
	assert_int_equal(fl_fcs((const uint8_t *)"", 0), 0);
	const uint8_t ones[32] = { 0 };
	assert_int_equal(fl_fcs(ones, sizeof ones), 0x190a55ad);
	assert_int_equal(fl_fcs(ones, 4), 0x2144df1c);
}

/* IEEE Std 802.11-2012 annex L (from memory): 96 octets of an MPDU, whose FCS
 * 67 33 21 b6 is the same sum as that of IEEE Std 802.3 section 3.2.9. */
static void holds_over_the_published_frame(void **state)
{
	(void)state;
	uint8_t frame[] =
		"\x04\x02\x00\x2e\x00\x60\x08\xcd\x37\xa6\x00\x20\xd6\x01\x3c\xf1"
		"\x00\x60\x08\xad\x3b\xaf\x00\x00"
		"Joy, bright spark of divinity,\nDaughter of Elysium,\nFire-insired we trea"
		"\x67\x33\x21\xb6";
	assert_int_equal(sizeof frame - 1, 100);
	assert_true(fl_fcs_holds(frame, 100));
	frame[20] ^= 1;
	assert_false(fl_fcs_holds(frame, 100));
	assert_false(fl_fcs_holds(frame, 3));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(sums_the_rfc_1071_example),
		cmocka_unit_test(pads_an_odd_last_byte_on_the_right),
		cmocka_unit_test(checks_the_catalogue_value),
		cmocka_unit_test(holds_over_the_published_frame),
	};
	return FL_RUN(tests);
}
