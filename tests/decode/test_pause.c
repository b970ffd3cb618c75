#include "decode/decoding.h"

static const struct fl_packet control = {
	.ethertype = 0x8808, .layer = FL_LAYER_LINK,
};

/* IEEE Std 802.3 annex 31B section 31B.2: opcode 1, then quanta of 512 bit
 * times; padding to the shortest frame follows. */
static void a_pause_tells_its_quanta(void **state)
{
	(void)state;
	uint8_t longest[46] = { 0x00, 0x01, 0xff, 0xff };
	const struct run *r = run_decoder("pause", &control, longest, sizeof longest);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_PAUSE, 0);
	assert_int_equal(r->facts.at[0].number, 65535);
}

/* Annex 31B section 31B.2: a time of 0 takes it back. */
static void a_pause_of_no_time_is_told_too(void **state)
{
	(void)state;
	const struct run *r = run_decoder("pause", &control, OCTETS("\0\1\0\0"));
	assert_int_equal(r->facts.n, 1);
	assert_int_equal(r->facts.at[0].number, 0);
}

static void every_truncation_says_nothing(void **state)
{
	(void)state;
	refuses_every_truncation("pause", &control, OCTETS("\0\1\xff\xff"));
}

/* IEEE Std 802.1Q: 0101 pauses by priority; its times are another field. */
static void other_opcodes_are_not_read(void **state)
{
	(void)state;
	const struct run *r = run_decoder("pause", &control,
					  OCTETS("\1\1\0\1\xff\xff"));
	assert_int_equal(r->status, FL_UNSUPPORTED);
	assert_int_equal(r->facts.n, 0);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_pause_tells_its_quanta),
		cmocka_unit_test(a_pause_of_no_time_is_told_too),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(other_opcodes_are_not_read),
	};
	return FL_RUN(tests);
}
