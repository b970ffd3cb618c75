/* test_supply.c -- readings of a meter, and the drop along a lead. */
#include "test.h"

#include "diagnose/supply.h"

#include <math.h>
#include <string.h>

static struct fl_reading read_of(const char *text)
{
	struct fl_reading r;
	if (!fl_reading_read(text, &r))
		fail_msg("'%s' is not read", text);
	return r;
}

/* fairlead-journal(5). */
static void a_reading_is_read_as_it_was_written(void **state)
{
	(void)state;
	static const char *const texts[] = {
		"12.4V", "-12.4V load", "25.1V idle rest", "13.9V charging lithium",
		"14V load engine 4A 22m 1.5mm2" };
	char text[FL_READING_TEXT];
	for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
		const struct fl_reading r = read_of(texts[i]);
		assert_string_equal(fl_reading_text(&r, text), texts[i]);
	}
	double volts;
	assert_true(fl_reading_volts("12,4", &volts) && fabs(volts - 12.4) < 1e-9);
	static const char *const bad[] = { "", "V", "12.4.1", "12.4W", "1e3", "nan", "999",
					   "12.4V full", "12.4V -4A", "12.4V 4", "--3" };
	struct fl_reading r;
	for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
		if (fl_reading_read(bad[i], &r))
			fail_msg("'%s' is read", bad[i]);
}

/* The table of the Battery Council International at 26.7 C, linear between. */
static void the_rest_table_tells_the_charge(void **state)
{
	(void)state;
	static const double rows[][2] = { { 12.65, 100 }, { 12.45, 75 }, { 12.24, 50 },
		{ 12.06, 25 }, { 11.89, 0 }, { 11.80, 0 }, { 12.345, 62.5 },
		{ 12.242, 50.2 }, { 13, 100 } };
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		assert_true(fabs(fl_rest_charge(rows[i][0]) - rows[i][1]) < 0.05);
}

/* Common practice; lithium, and 1 V for nothing, are judgement. */
static void a_battery_is_judged_at_rest_alone(void **state)
{
	(void)state;
	static const struct { const char *text; enum fl_supplied is; } rows[] = {
		{ "12.5V rest", FL_SUPPLY_WELL }, { "12.4V", FL_SUPPLY_WELL },
		{ "12.3V rest", FL_SUPPLY_LOW }, { "11.9V rest", FL_SUPPLY_BAD },
		{ "25V rest", FL_SUPPLY_WELL }, { "23.8V rest", FL_SUPPLY_BAD },
		{ "-12.5V rest", FL_SUPPLY_WELL }, { "13.9V charging", FL_SUPPLY_UNTOLD },
		{ "14.1V engine", FL_SUPPLY_UNTOLD }, { "11.9V load", FL_SUPPLY_UNTOLD },
		{ "12.5V rest lithium", FL_SUPPLY_LOW },
		{ "13.2V rest lithium", FL_SUPPLY_WELL }, { "0.2V", FL_SUPPLY_OFF },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct fl_reading r = read_of(rows[i].text);
		if (fl_judge_battery(&r) != rows[i].is)
			fail_msg("'%s': %d", rows[i].text, fl_judge_battery(&r));
	}
}

/* Common practice; 3 and 10 in 100 lost on the way: ABYC E-11. */
static void a_plug_is_judged_under_load_and_against_its_battery(void **state)
{
	(void)state;
	static const struct { const char *text, *battery; enum fl_supplied is; } rows[] = {
		{ "12.4V load", NULL, FL_SUPPLY_WELL },
		{ "12.4V idle", NULL, FL_SUPPLY_FUSE_WELL },
		{ "12.4V", NULL, FL_SUPPLY_FUSE_WELL },
		{ "12.2V load", NULL, FL_SUPPLY_LOW },
		{ "10.9V load", NULL, FL_SUPPLY_BAD },
		{ "-24.8V load", NULL, FL_SUPPLY_WELL },
		{ "21.8V load", NULL, FL_SUPPLY_BAD },
		{ "0V idle", NULL, FL_SUPPLY_OFF },
		{ "11.8V load", "11.9V load", FL_SUPPLY_BATTERY },
		{ "12.4V load charging", "14.2V load charging", FL_SUPPLY_BAD },
		{ "13.8V load charging", "14.2V load charging", FL_SUPPLY_WELL },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct fl_reading r = read_of(rows[i].text);
		struct fl_reading battery = { 0 };
		if (rows[i].battery)
			battery = read_of(rows[i].battery);
		const enum fl_supplied is = fl_judge_plug(&r, rows[i].battery ? &battery : NULL);
		if (is != rows[i].is)
			fail_msg("'%s': %d", rows[i].text, is);
	}
}

static bool near(double a, double b, double within)
{
	return fabs(a - b) <= within;
}

/* ABYC E-11 as marine suppliers print it: 10 A, 21 ft at 3 and 10 in 100 of
 * 12 V; 40 ft and 45 A; 24 V, 10 ft and 100 A. */
static void the_worked_examples_of_the_drop_come_out(void **state)
{
	(void)state;
	assert_true(near(fl_least_circular_mils(10, 21, 0.36), 6270.8, 0.05));
	assert_true(near(fl_least_circular_mils(10, 21, 1.2), 1881.25, 0.06));
	assert_true(near(fl_least_circular_mils(45, 40, 1.2), 16125, 0.5));
	assert_true(near(fl_least_circular_mils(100, 10, 0.72), 14930.6, 0.05));
	assert_true(near(fl_drop_feet(10, 21, 6270.833), 0.36, 1e-6));
}

/* IEC 60028 copper; 1.5 mm2, 22 m, 1.6 A, computed. ASTM B258: AWG 24, 16
 * and 10. */
static void the_metric_drop_and_the_gauges_come_out(void **state)
{
	(void)state;
	assert_true(near(fl_drop_metres(1.6, 22, 1.5), 0.4046, 5e-5));
	assert_true(near(fl_awg_square_mm(24), 0.2047, 5e-5));
	assert_true(near(fl_awg_square_mm(16), 1.3087, 5e-5));
	assert_true(near(fl_awg_square_mm(10), 5.2612, 5e-5));
	const struct fl_reading r = read_of("12V 36ft 16awg");
	assert_true(near(r.metres, 10.9728, 1e-4) && near(r.square_mm, 1.3087, 5e-5));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_reading_is_read_as_it_was_written),
		cmocka_unit_test(the_rest_table_tells_the_charge),
		cmocka_unit_test(a_battery_is_judged_at_rest_alone),
		cmocka_unit_test(a_plug_is_judged_under_load_and_against_its_battery),
		cmocka_unit_test(the_worked_examples_of_the_drop_come_out),
		cmocka_unit_test(the_metric_drop_and_the_gauges_come_out),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
