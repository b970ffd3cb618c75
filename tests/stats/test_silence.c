#include "test.h"

#include "stats/silence.h"
#include "stats/spread.h"

#include <math.h>

/* Judgement, stated with the rule: a dropout (1e-8) is 9 missed beats after
 * 10 heard, 7 after 30, 6 after 100. */
static void a_dropout_needs_nine_seven_or_six_missed_beats(void **state)
{
	(void)state;
	const struct { uint32_t heard, needed; } rows[] = {
		{ 10, 9 }, { 30, 7 }, { 100, 6 },
	};
	for (size_t i = 0; i < 3; i++) {
		const struct fl_beats b = { .heard = rows[i].heard };
		assert_int_equal(fl_silence_needed(&b, FL_DROPOUT_LOG), rows[i].needed);
		assert_true(fl_silence_log(&b, rows[i].needed) < log(1e-8));
		assert_true(fl_silence_log(&b, rows[i].needed - 1) >= log(1e-8));
	}
}

/* Judgement, stated with the rule: 8 to 10 missed beats at 10 % loss, each
 * lost by itself. */
static void one_beat_in_ten_lost_needs_eight_to_ten(void **state)
{
	(void)state;
	struct fl_beats b = { 0 };
	for (int i = 0; i < 900; i++)
		fl_beats_count(&b, i % 9 == 0);
	assert_in_range(fl_silence_needed(&b, FL_DROPOUT_LOG), 8, 10);
}

/* A station whose losses come four in a row earns more patience. */
static void bursts_seen_before_need_more(void **state)
{
	(void)state;
	struct fl_beats alone = { 0 }, bursts = { 0 };
	for (int i = 0; i < 1000; i++) {
		fl_beats_count(&alone, i % 10 == 0);
		fl_beats_count(&bursts, i % 40 == 0 ? 4 : 0);
	}
	assert_int_equal(alone.missed, bursts.missed);
	assert_true(fl_silence_needed(&bursts, FL_DROPOUT_LOG) >
		    fl_silence_needed(&alone, FL_DROPOUT_LOG) + 5);
}

static void only_the_last_ten_thousand_beats_count(void **state)
{
	(void)state;
	struct fl_beats b = { 0 };
	for (int i = 0; i < 1000000; i++)
		fl_beats_count(&b, 0);
	assert_in_range(b.heard, 5000, 10000);
}

/* By hand: sorted 1 2 3 4 5; the gap of 20 is two periods of 10, off by 0. */
static void quantiles_and_the_fold(void **state)
{
	(void)state;
	const int64_t numbers[] = { 5, 1, 4, 2, 3 };
	assert_int_equal(fl_quantile(numbers, 5, 0.5), 3);
	assert_int_equal(fl_quantile(numbers, 5, 1), 5);
	assert_int_equal(fl_quantile(numbers, 0, 0.5), 0);
	const int64_t gaps[] = { 10, 20, 11, 9, 30, 12 };
	assert_int_equal(fl_fold_spread(gaps, 6, 10), 1);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_dropout_needs_nine_seven_or_six_missed_beats),
		cmocka_unit_test(one_beat_in_ten_lost_needs_eight_to_ten),
		cmocka_unit_test(bursts_seen_before_need_more),
		cmocka_unit_test(only_the_last_ten_thousand_beats_count),
		cmocka_unit_test(quantiles_and_the_fold),
	};
	return FL_RUN(tests);
}
