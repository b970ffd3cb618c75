#include "test.h"

#include "render/shares.h"

/* The method of the largest remainder, by hand: 5.5, 3.2, 1.3 make 6, 3, 1. */
static void gives_the_largest_remainder_the_odd_part(void **state)
{
	(void)state;
	const double share[] = { 0.13, 0.32, 0.55 };
	unsigned out[3];
	fl_shares(share, 3, 10, out);
	assert_int_equal(out[0], 1);
	assert_int_equal(out[1], 3);
	assert_int_equal(out[2], 6);
}

/* Common practice: three equal thirds of ten are 3 each, not 4, 3, 3. */
static void equal_shares_get_equal_parts(void **state)
{
	(void)state;
	const double share[] = { 1.0 / 3, 1.0 / 3, 1.0 / 3 };
	unsigned out[3];
	fl_shares(share, 3, 10, out);
	for (size_t i = 0; i < 3; i++)
		assert_int_equal(out[i], 3);
}

/* IEEE Std 754 section 7.2: 0.0 / 0.0 is no number; no share may come of it. */
static void what_is_no_share_counts_as_none(void **state)
{
	(void)state;
	volatile double zero = 0;
	const double share[] = { -1, zero / zero, 0.7 };
	unsigned out[3];
	fl_shares(share, 3, 10, out);
	assert_int_equal(out[0], 0);
	assert_int_equal(out[1], 0);
	assert_int_equal(out[2], 7);
	fl_shares(NULL, 0, 10, NULL);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(gives_the_largest_remainder_the_odd_part),
		cmocka_unit_test(equal_shares_get_equal_parts),
		cmocka_unit_test(what_is_no_share_counts_as_none),
	};
	return FL_RUN(tests);
}
