#include "test.h"

#include "diagnose/firm.h"

#include <math.h>

static const struct fl_plan *plan_of(const char *text, struct fl_region *region)
{
	static struct fl_plan_faults faults;
	const struct fl_plan *plan = fl_plan_read(text, strlen(text), region, &faults);
	assert_non_null(plan);
	return plan;
}

/* Worked by hand from stats/silence.h with ten beats heard: f_j is
 * (1 + j) / (31 + j), no less than 0.05 from the second on; the product of
 * nine is 1.1e-8, of ten 2.5e-9: ten beats. Of 30 s each, and 1 s more. */
static void the_slowest_cadence_says_how_long(void **state)
{
	(void)state;
	double product = 1;
	int beats = 0;
	while (product >= 1e-8) {
		const double r = (1.0 + beats) / (31.0 + beats);
		product *= beats && r < 0.05 ? 0.05 : r;
		beats++;
	}
	struct fl_region *region = fl_region_new(1 << 20);
	size_t unknown;
	const struct fl_plan *plan = plan_of(
		"[device radar]\ncadence = 2 s\n[device bridge]\ncadence = 30 s\n", region);
	assert_int_equal(fl_firm_within(plan, &unknown),
			 (30 * beats + 1) * FL_SECOND);
	assert_int_equal(unknown, 0);
	fl_region_free(region);
}

/* A whole second is the shortest beat that is told. */
static void a_fast_cadence_waits_for_whole_seconds(void **state)
{
	(void)state;
	struct fl_region *region = fl_region_new(1 << 20);
	size_t unknown;
	const fl_time fast = fl_firm_within(plan_of(
		"[device radar]\ncadence = 40 ms\n", region), &unknown);
	const fl_time slow = fl_firm_within(plan_of(
		"[device radar]\ncadence = 1 s\n", region), &unknown);
	assert_int_equal(fast, slow);
	fl_region_free(region);
}

static void nothing_is_promised_of_what_a_switch_may_hold_back(void **state)
{
	(void)state;
	struct fl_region *region = fl_region_new(1 << 20);
	size_t unknown;
	assert_int_equal(fl_firm_within(plan_of(
		"[device radar]\ncadence = 2 s to a group\n[device camera]\n", region),
		&unknown), 0);
	assert_int_equal(unknown, 2);
	fl_region_free(region);
}

/* The chance falls with the listening, and passes 1e-8 at the time promised. */
static void the_chance_is_below_1e_8_when_promised(void **state)
{
	(void)state;
	struct fl_region *region = fl_region_new(1 << 20);
	size_t unknown;
	const struct fl_plan *plan = plan_of("[device radar]\ncadence = 5 s\n", region);
	const double within = (double)fl_firm_within(plan, &unknown) / 1e9;
	assert_true(fl_firm_log(plan->devices, within) < log(1e-8));
	assert_true(fl_firm_log(plan->devices, within - 5) > log(1e-8));
	fl_region_free(region);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(the_slowest_cadence_says_how_long),
		cmocka_unit_test(a_fast_cadence_waits_for_whole_seconds),
		cmocka_unit_test(nothing_is_promised_of_what_a_switch_may_hold_back),
		cmocka_unit_test(the_chance_is_below_1e_8_when_promised),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
