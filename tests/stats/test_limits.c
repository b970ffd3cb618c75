#include "test.h"

#include "stats/limits.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

/* Half a unit of the last digit that was published. */
static void is(double got, double published, double digit)
{
	if (fabs(got - published) > digit * 0.5000001)
		fail_msg("%.9g, published %.9g", got, published);
}

/* GraphPad's FAQ "confidence interval of a count": 25 counted gives 17.38 to
 * 34.92 (90 %), 16.18 to 36.90 (95 %), 14.00 to 41.00 (99 %). Epitools'
 * pois.exact: 0 counted, 95 %, up to 3.689. */
static void counts_have_the_published_limits(void **state)
{
	(void)state;
	const struct { uint64_t k; double level, low, high, digit; } rows[] = {
		{ 25, 0.90, 17.38, 34.92, 0.01 }, { 25, 0.95, 16.18, 36.90, 0.01 },
		{ 25, 0.99, 14.00, 41.00, 0.01 }, { 0, 0.95, 0, 3.689, 0.001 },
		{ 10, 0.95, 4.80, 18.39, 0.01 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct fl_limits l = fl_count_limits(rows[i].k, rows[i].level);
		is(l.low, rows[i].low, rows[i].digit);
		is(l.high, rows[i].high, rows[i].digit);
	}
	/* R, ?poisson.test example 1: poisson.test(137, 24.19893), 95 %. */
	const struct fl_limits r = fl_count_limits(137, 0.95);
	is(r.low / 24.19893, 4.7531, 0.0001);
	is(r.high / 24.19893, 6.6927, 0.0001);
}

/* A published guide to bit error test sets, limits of one side at 95 % of 0 to
 * 6 errors (upper) and 1 to 7 (lower; its 0.8117 for 3 is a misprint and left
 * out): both sides together are then 90 %. */
static void one_sided_limits_are_those_of_a_bit_error_guide(void **state)
{
	(void)state;
	const double upper[] = { 2.996, 4.744, 6.296, 7.754, 9.154, 10.51, 11.84 };
	const double lower[] = { 0.05129, 0.3554, 0, 1.366, 1.970, 2.613, 3.285 };
	for (uint64_t k = 0; k < 7; k++)
		is(fl_count_limits(k, 0.9).high, upper[k], k < 5 ? 0.001 : 0.01);
	for (uint64_t k = 1; k <= 7; k++)
		if (k != 3)
			is(fl_count_limits(k, 0.9).low, lower[k - 1],
			   k == 1 ? 0.00001 : k == 2 ? 0.0001 : 0.001);
}

/* Garwood's formula by chi-square, worked out with another program to four
 * digits: 95 % of 1, 50 and 100; 99 % of 15. */
static void counts_have_the_limits_of_chi_square(void **state)
{
	(void)state;
	const struct { uint64_t k; double level, low, high; } rows[] = {
		{ 1, 0.95, 0.0253, 5.5716 }, { 50, 0.95, 37.1110, 65.9188 },
		{ 100, 0.95, 81.3640, 121.6268 }, { 15, 0.99, 6.8934, 28.1641 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct fl_limits l = fl_count_limits(rows[i].k, rows[i].level);
		is(l.low, rows[i].low, 0.0001);
		is(l.high, rows[i].high, 0.0001);
	}
}

/* NIST/SEMATECH e-Handbook section 7.2.4.2: 4 of 20 at 90 %. The rule of three
 * (Hanley and Lippman-Hand, JAMA 249, 1983): none of 1500, one side of 95 %,
 * 0.00199516 exactly. */
static void shares_have_the_published_limits(void **state)
{
	(void)state;
	const struct { uint64_t k, n; double level, low, high; } rows[] = {
		{ 4, 20, 0.90, 0.0713539, 0.4010281 },
		{ 4, 20, 0.95, 0.0573340, 0.4366140 },
		{ 0, 10, 0.95, 0, 0.3084971 }, { 1, 10, 0.95, 0.0025286, 0.4450161 },
		{ 5, 10, 0.95, 0.1870860, 0.8129140 },
		{ 10, 100, 0.95, 0.0490047, 0.1762226 },
		{ 0, 1500, 0.90, 0, 0.0019952 }, { 0, 30, 0.90, 0, 0.0950339 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct fl_limits l = fl_share_limits(rows[i].k, rows[i].n, rows[i].level);
		is(l.low, rows[i].low, 1e-7);
		is(l.high, rows[i].high, 1e-7);
	}
}

/* By symmetry all of n mirrors none of n; of none, anything may be true; more
 * than all is taken as all. */
static void none_and_all_have_limits_too(void **state)
{
	(void)state;
	const struct fl_limits all = fl_share_limits(10, 10, 0.95);
	is(all.low, 1 - 0.3084971, 1e-7);
	assert_true(all.high == 1);
	const struct fl_limits over = fl_share_limits(99, 10, 0.95);
	assert_true(over.low == all.low && over.high == 1);
	const struct fl_limits nothing = fl_share_limits(0, 0, 0.95);
	assert_true(nothing.low == 0 && nothing.high == 1);
}

/* Of so many the share is normal to three digits: 1.96 of its deviations to
 * each side. */
static void a_million_million_have_limits(void **state)
{
	(void)state;
	const uint64_t n = UINT64_C(1000000000000);
	const uint64_t counted[] = { 0, 1, 1000, 1000000, n / 1000, n / 3, n / 2, n - 1, n };
	for (size_t i = 0; i < sizeof counted / sizeof counted[0]; i++) {
		const uint64_t k = counted[i];
		const struct fl_limits l = fl_share_limits(k, n, 0.95);
		const double p = (double)k / (double)n;
		assert_true(l.low >= 0 && l.low <= p && p <= l.high && l.high <= 1);
		if (k < 1000 || k > n - 1000)
			continue;
		const double sd = sqrt(p * (1 - p) / (double)n);
		assert_true(fabs((l.low - p) / sd + 1.96) < 0.04);
		assert_true(fabs((l.high - p) / sd - 1.96) < 0.07);
	}
	is(fl_share_limits(0, n, 0.95).high * 1e12, 3.6889, 0.0001);
	const struct fl_limits c = fl_count_limits(n, 0.95);
	assert_true(fabs((c.low - 1e12) / 1e6 + 1.96) < 0.001);
	assert_true(fabs((c.high - 1e12) / 1e6 - 1.96) < 0.001);
}

/* Where the way of reckoning changes, the limits do not jump. */
static void limits_run_on_where_the_reckoning_changes(void **state)
{
	(void)state;
	const struct fl_limits a = fl_share_limits(10000, 1000000, 0.95);
	const struct fl_limits b = fl_share_limits(10001, 1000001, 0.95);
	assert_true(b.low > a.low && b.low - a.low < 2e-6);
	assert_true(b.high > a.high && b.high - a.high < 2e-6);
	const struct fl_limits c = fl_count_limits(100000, 0.95);
	const struct fl_limits d = fl_count_limits(100001, 0.95);
	assert_true(fabs(d.low - c.low - 1) < 0.01 && fabs(d.high - c.high - 1) < 0.01);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(counts_have_the_published_limits),
		cmocka_unit_test(one_sided_limits_are_those_of_a_bit_error_guide),
		cmocka_unit_test(counts_have_the_limits_of_chi_square),
		cmocka_unit_test(shares_have_the_published_limits),
		cmocka_unit_test(none_and_all_have_limits_too),
		cmocka_unit_test(a_million_million_have_limits),
		cmocka_unit_test(limits_run_on_where_the_reckoning_changes),
	};
	return FL_RUN(tests);
}
