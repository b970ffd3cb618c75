#include "test.h"

#include "stats/size_fit.h"

#include <math.h>

static void near(double got, double expected, double relative)
{
	if (fabs(got - expected) > relative * fabs(expected))
		fail_msg("%.9g, not %.9g", got, expected);
}

/* Worked out with a Python script of its own: ln L = sum of k ln(1 - exp(-r)) -
 * (n - k) r with r = a + 8 L b, searched on a grid of 41 by 41 points that
 * shrinks round its best sixty times; the chance by math.erfc. */
static void the_fit_is_that_of_a_search_on_a_grid(void **state)
{
	(void)state;
	const struct {
		struct fl_size_sample samples[3];
		size_t n;
		double whole, bit, ratio, chance;
	} rows[] = {
		{ { { 64, 19997, 3 }, { 300, 7991, 9 }, { 1400, 4970, 30 } }, 3,
		  0, 4.926092241e-07, 76.910234969, 8.945377e-19 },
		{ { { 100, 990, 10 }, { 1400, 976, 24 } }, 2,
		  0.00895476933, 1.36945747e-06, 6.039473976, 0.0069947260 },
		{ { { 100, 990, 10 }, { 1400, 980, 20 } }, 2,
		  0.00926938363, 9.76189635e-07, 3.448742375, 0.0316499584 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct fl_size_fit fit = fl_size_fit(rows[i].samples, rows[i].n);
		assert_true(fabs(fit.whole - rows[i].whole) < 1e-8);
		near(fit.bit, rows[i].bit, 1e-5);
		near(fit.ratio, rows[i].ratio, 1e-7);
		near(fit.chance, rows[i].chance, 1e-5);
	}
}

/* By the rule: b is not below zero, and where nothing is missed or all frames
 * are of one length there is nothing to hold against it. */
static void loss_that_falls_with_length_does_not_grow(void **state)
{
	(void)state;
	const struct fl_size_sample falls[] = {
		{ 64, 19960, 40 }, { 300, 7984, 16 }, { 1400, 4991, 9 },
	};
	const struct fl_size_sample one[] = { { 300, 990, 10 }, { 300, 900, 100 } };
	const struct fl_size_sample none[] = { { 64, 1000, 0 }, { 1400, 1000, 0 } };
	assert_true(fl_size_fit(falls, 3).chance > 0.4);
	assert_true(fl_size_fit(one, 2).chance == 1);
	assert_true(fl_size_fit(none, 2).chance == 1);
	assert_true(fl_size_fit(falls, 1).chance == 1);
	assert_true(fl_size_fit(NULL, 0).chance == 1);
}

/* Where all of a stream is missing, or a count is huge, it still ends. */
static void extremes_have_a_fit(void **state)
{
	(void)state;
	const struct fl_size_sample lost[] = { { 64, 1000, 0 }, { 1400, 0, 1000 } };
	const struct fl_size_sample huge[] = {
		{ 64, UINT64_C(1000000000000), 1000 }, { 1400, UINT64_C(1000000000000), 21875 },
	};
	assert_true(fl_size_fit(lost, 2).chance < 1e-9);
	near(fl_size_fit(huge, 2).bit, 1000 / 8.0 / 64 / 1e12, 1e-3);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(the_fit_is_that_of_a_search_on_a_grid),
		cmocka_unit_test(loss_that_falls_with_length_does_not_grow),
		cmocka_unit_test(extremes_have_a_fit),
	};
	return FL_RUN(tests);
}
