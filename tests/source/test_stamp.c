#include "test.h"

#include "source/stamp.h"

/* draft-ietf-opsawg-pcapng section 4.2, if_tsresol: 6 is microseconds, and
 * with the top bit set 10 is 1/1024 of a second. */
static void reads_the_published_resolutions(void **state)
{
	(void)state;
	assert_int_equal(fl_clock_ticks_a_second(0x06), 1000000);
	assert_int_equal(fl_clock_ticks_a_second(0x09), 1000000000);
	assert_int_equal(fl_clock_ticks_a_second(0x8a), 1024);
	struct fl_clock clock = fl_clock_new(0x8a, 0);
	assert_int_equal(fl_clock_time(&clock, 1024), FL_SECOND);
	assert_int_equal(fl_clock_time(&clock, 1), 976562);
}

/* draft-ietf-opsawg-pcapng section 4.6, the examples of isb_starttime and
 * isb_endtime: 2012-06-29 06:17:00.834163 and 07:28:25.298858 UTC. */
static void reads_the_published_stamps(void **state)
{
	(void)state;
	const struct fl_clock clock = fl_clock_new(FL_MICROSECONDS, 0);
	char text[FL_TIME_TEXT];
	const fl_time start = fl_clock_time(&clock, UINT64_C(0x0004c396656a8973));
	assert_string_equal(fl_time_utc(start, text), "2012-06-29T06:17:00.834Z");
	assert_int_equal(start % FL_SECOND, 834163000);
	const fl_time end = fl_clock_time(&clock, UINT64_C(0x0004c39764ca47aa));
	assert_string_equal(fl_time_utc(end, text), "2012-06-29T07:28:25.298Z");
	assert_int_equal(end % FL_SECOND, 298858000);
}

/* draft-ietf-opsawg-pcapng section 4.2, if_tsoffset: seconds to be added, of
 * either sign. */
static void adds_the_offset(void **state)
{
	(void)state;
	const struct fl_clock later = fl_clock_new(FL_NANOSECONDS, 1234);
	assert_int_equal(fl_clock_time(&later, 5), 1234 * FL_SECOND + 5);
	const struct fl_clock before = fl_clock_new(FL_MICROSECONDS, -1);
	assert_int_equal(fl_clock_time(&before, 0), -FL_SECOND);
	assert_int_equal(fl_clock_time(&before, 2000000), FL_SECOND);
}

/* Section 4.2 lets the exponent be 0 to 127 of either base; the expected
 * values are ticks times 10^9 over the base's power, cut to whole ns. */
static void keeps_within_64_bits_at_any_resolution(void **state)
{
	(void)state;
	static const struct {
		uint8_t resolution;
		uint64_t ticks;
		fl_time time;
	} rows[] = {
		{ 0, 1700000000, 1700000000 * FL_SECOND },
		{ 0, 9223372036, 9223372036 * FL_SECOND },
		{ 0, 9223372037, INT64_MAX },
		{ 0, UINT64_MAX, INT64_MAX },
		{ 6, UINT64_MAX, INT64_MAX },
		{ 9, INT64_MAX, INT64_MAX },
		{ 9, UINT64_C(1) << 63, INT64_MAX },
		{ 10, 19, 1 },
		{ 12, UINT64_MAX, 18446744073709551 },
		{ 28, UINT64_MAX, 1 },
		{ 29, UINT64_MAX, 0 },
		{ 127, UINT64_MAX, 0 },
		{ 0x80, 1700000000, 1700000000 * FL_SECOND },
		{ 0x80, 9223372036, 9223372036 * FL_SECOND },
		{ 0x80, 9223372037, INT64_MAX },
		{ 0x80, UINT64_MAX, INT64_MAX },
		{ 0x81, 3, 1500000000 },
		{ 0x80 | 20, 1, 953 },
		{ 0x80 | 31, UINT64_C(3) << 30, 1500000000 },
		{ 0x80 | 32, UINT64_C(3) << 31, 1500000000 },
		{ 0x80 | 32, UINT64_MAX, 4294967295999999999 },
		{ 0x80 | 63, UINT64_C(1) << 63, FL_SECOND },
		{ 0x80 | 64, UINT64_C(1) << 63, 500000000 },
		{ 0x80 | 93, UINT64_MAX, 1 },
		{ 0x80 | 94, UINT64_MAX, 0 },
		{ 0x80 | 96, UINT64_MAX, 0 },
		{ 0xff, UINT64_MAX, 0 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct fl_clock clock = fl_clock_new(rows[i].resolution, 0);
		assert_int_equal(fl_clock_time(&clock, rows[i].ticks), rows[i].time);
	}
}

/* No offset is refused by section 4.2; a time beyond the years 1677 to 2262
 * has no place in 64 bits of ns and becomes the nearest that has. */
static void clamps_what_no_time_can_hold(void **state)
{
	(void)state;
	const struct fl_clock most = fl_clock_new(FL_NANOSECONDS, INT64_MAX);
	assert_int_equal(fl_clock_time(&most, 0), INT64_MAX);
	assert_int_equal(fl_clock_time(&most, UINT64_MAX), INT64_MAX);
	const struct fl_clock least = fl_clock_new(FL_NANOSECONDS, INT64_MIN);
	assert_int_equal(fl_clock_time(&least, 0), INT64_MIN);
	assert_int_equal(fl_clock_time(&least, UINT64_MAX), -1);
	assert_true(fl_clock_ticks_a_second(20) == UINT64_MAX);
	assert_true(fl_clock_ticks_a_second(0xff) == UINT64_MAX);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_the_published_resolutions),
		cmocka_unit_test(reads_the_published_stamps),
		cmocka_unit_test(adds_the_offset),
		cmocka_unit_test(keeps_within_64_bits_at_any_resolution),
		cmocka_unit_test(clamps_what_no_time_can_hold),
	};
	return FL_RUN(tests);
}
