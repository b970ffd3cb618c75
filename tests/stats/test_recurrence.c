#include "test.h"

#include "stats/recurrence.h"

#include <math.h>

static void near(double is, double should, double within)
{
	if (fabs(is - should) > within)
		fail_msg("%.10g, not %.10g", is, should);
}

/* Zar, Biostatistical Analysis, example of section 26 and 27 (from memory: eight
 * directions; mean length 0.82522, z 5.448, 0.001 < p < 0.002). */
static void gives_the_rayleigh_test_of_a_text_book(void **state)
{
	(void)state;
	static const double degrees[] = { 45, 55, 81, 96, 110, 117, 132, 154 };
	double angles[8], z;
	for (size_t i = 0; i < 8; i++)
		angles[i] = degrees[i] * M_PI / 180;
	const double p = fl_rayleigh(angles, 8, &z);
	near(z, 5.448, 5e-4);
	near(sqrt(z / 8), 0.82522, 5e-6);
	assert_true(p > 0.001 && p < 0.002);
}

/* The documentation of pingouin.circ_rayleigh, its first example: z 1.236,
 * p 0.3048435876500138. */
static void gives_the_rayleigh_test_of_a_public_library(void **state)
{
	(void)state;
	static const double angles[] = { 0.785, 1.570, 3.141, 0.839, 5.934 };
	double z;
	near(fl_rayleigh(angles, 5, &z), 0.3048435876500138, 1e-12);
	near(z, 1.236, 5e-4);
}

static const struct fl_stretch hours[] = { { 0, 7200 }, { 9000, 28800 } };

/* Judgement: a pump every 12 min, each time up to 20 s off, some missed. */
static void a_pump_is_found_with_its_period(void **state)
{
	(void)state;
	static const double off[] = { 4, -17, 20, -3, 9, -12, 1, 18, -20, 7 };
	double events[40];
	size_t n = 0;
	for (int i = 1; i < 40; i++)
		if (i % 3 && (i * 720 < 7200 || i * 720 > 9020))
			events[n++] = i * 720 + off[i % 10];
	const struct fl_recurrence r = fl_recurs(events, n, hours, 2);
	near(r.period, 720, 10);
	assert_true(r.chance < 0.01);
}

/* By the rule: of events placed at random about one row in a hundred seems to
 * recur at 0.01; a binomial of 200 passes 8 less than once in 10 000. */
static void random_times_seldom_recur(void **state)
{
	(void)state;
	unsigned found = 0;
	uint32_t random = 7;
	for (int row = 0; row < 200; row++) {
		double events[12];
		for (size_t i = 0; i < 12; i++) {
			random = random * 1664525u + 1013904223u;
			const double at = (double)(random >> 8) / (1 << 24) * 27000;
			events[i] = at < 7200 ? at : at + 1800;
		}
		found += fl_recurs(events, 12, hours, 2).chance < 0.01;
	}
	print_message("%u of 200\n", found);
	assert_true(found <= 8);
}

/* What was not listened to makes no period: events are random where the laptop
 * listened, one stretch in an hour. */
static void listening_now_and_then_is_no_recurrence(void **state)
{
	(void)state;
	struct fl_stretch listened[8];
	double events[16];
	uint32_t random = 5;
	for (size_t i = 0; i < 8; i++)
		listened[i] = (struct fl_stretch){ (double)i * 3600, (double)i * 3600 + 300 };
	for (size_t i = 0; i < 16; i++) {
		random = random * 1664525u + 1013904223u;
		events[i] = listened[i / 2].from + (double)(random >> 8) / (1 << 24) * 300;
	}
	assert_true(fl_recurs(events, 16, listened, 8).chance > 0.01);
	/* The same times in one long listening are one. */
	const struct fl_stretch all = { 0, 28800 };
	assert_true(fl_recurs(events, 16, &all, 1).chance < 0.01);
}

static void four_events_are_too_few(void **state)
{
	(void)state;
	static const double events[] = { 1000, 2000, 3000, 4000 };
	assert_true(fl_recurs(events, 4, hours, 2).chance >= 1);
}

/* Binomial: P(X >= 4 of 5) at 0.1 is 5 * 0.1^4 * 0.9 + 0.1^5 = 0.00046. */
static void marks_are_met_beyond_chance(void **state)
{
	(void)state;
	near(fl_met_by_chance(4, 5, 0.1), 0.00046, 1e-9);
	near(fl_met_by_chance(0, 5, 0.1), 1, 0);
	near(fl_met_by_chance(5, 5, 2), 1, 0);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(gives_the_rayleigh_test_of_a_text_book),
		cmocka_unit_test(gives_the_rayleigh_test_of_a_public_library),
		cmocka_unit_test(a_pump_is_found_with_its_period),
		cmocka_unit_test(random_times_seldom_recur),
		cmocka_unit_test(listening_now_and_then_is_no_recurrence),
		cmocka_unit_test(four_events_are_too_few),
		cmocka_unit_test(marks_are_met_beyond_chance),
	};
	return FL_RUN(tests);
}
