#include "test.h"

#include "source/live_clock.h"

/* The wall clock at the start, and how long the host had been up. */
#define WALL (INT64_C(1700000000) * FL_SECOND)
#define UP   (5000 * FL_SECOND)

/* All clocks `t` after the start, the wall clock set by `set` in all, the host
 * having slept for `slept` of it. */
static struct fl_live_reading at(fl_time t, fl_time set, fl_time slept)
{
	return (struct fl_live_reading){
		.real = WALL + t + set, .boot = UP + t, .awake = UP + t - slept,
		.slack = 200,
	};
}

static struct fl_live_clock started(void)
{
	struct fl_live_clock clock;
	fl_live_clock_start(&clock, at(0, 0, 0));
	return clock;
}

/* By definition: with nothing set, a stamp is its own listening time. */
static void is_the_wall_clock_at_first(void **state)
{
	(void)state;
	struct fl_live_clock clock = started();
	struct fl_live_turn turn = { 0 };
	const struct fl_live_clock_news news =
		fl_live_clock_read(&clock, at(FL_SECOND, 0, 0));
	assert_false(news.slept);
	assert_int_equal(news.moved, 0);
	assert_int_equal(fl_live_clock_now(&clock), WALL + FL_SECOND);
	assert_int_equal(fl_live_clock_place(&clock, &turn, WALL + 7), WALL + 7);
}

/* Judgement: clocks that drift by half a millisecond a second are no step, but
 * are followed, to within the noise of reading them. */
static void follows_a_slew_without_a_word(void **state)
{
	(void)state;
	struct fl_live_clock clock = started();
	struct fl_live_turn turn = { 0 };
	for (int s = 1; s <= 600; s++) {
		const fl_time t = s * FL_SECOND, slew = s * FL_MILLISECOND / 2;
		assert_int_equal(fl_live_clock_read(&clock, at(t, slew, 0)).moved, 0);
		const fl_time placed = fl_live_clock_place(&clock, &turn, WALL + t + slew);
		assert_in_range(placed, WALL + t, WALL + t + 2 * FL_MILLISECOND);
	}
}

/* Common practice: two clocks read one after the other differ by chance when
 * the reader is interrupted in between. */
static void takes_a_slow_reading_for_no_step(void **state)
{
	(void)state;
	struct fl_live_clock clock = started();
	struct fl_live_reading late = at(FL_SECOND, 60 * FL_MILLISECOND, 0);
	late.slack = 80 * FL_MILLISECOND;
	assert_int_equal(fl_live_clock_read(&clock, late).moved, 0);
	assert_int_equal(clock.turns, 0);
}

/* A step of `set` is noticed 60 ms after it, with four frames of the old scale
 * and four of the new in the ring, 10 ms apart; the last frame handed over
 * before was at 1 s, 40 ms before the first of them. */
static void step_between_frames(fl_time set)
{
	struct fl_live_clock clock = started();
	struct fl_live_turn turn = { 0 };
	const fl_time base = FL_SECOND + 40 * FL_MILLISECOND;
	(void)fl_live_clock_read(&clock, at(FL_SECOND, 0, 0));
	(void)fl_live_clock_place(&clock, &turn, WALL + FL_SECOND);
	const struct fl_live_clock_news news = fl_live_clock_read(&clock,
		at(base + 100 * FL_MILLISECOND, set, 0));
	assert_int_equal(news.moved, set);
	assert_int_equal(news.to, WALL + base + 100 * FL_MILLISECOND);
	for (int i = 0; i < 8; i++) {
		const fl_time t = WALL + base + i * 10 * FL_MILLISECOND;
		const fl_time stamp = i < 4 ? t : t + set;
		assert_int_equal(fl_live_clock_place(&clock, &turn, stamp), t);
	}
	/* And from then on all is of the new scale. */
	(void)fl_live_clock_read(&clock, at(3 * FL_SECOND, set, 0));
	assert_int_equal(fl_live_clock_place(&clock, &turn,
					     WALL + 2 * FL_SECOND + set),
			 WALL + 2 * FL_SECOND);
}

/* By definition: no setting of the wall clock moves listening time. */
static void stays_when_the_clock_is_set(void **state)
{
	(void)state;
	step_between_frames(FL_SECOND);
	step_between_frames(400 * FL_MILLISECOND);
	step_between_frames(10 * FL_HOUR);
	step_between_frames(-300 * FL_MILLISECOND);
	step_between_frames(-3 * FL_HOUR);
	step_between_frames(-60 * FL_MILLISECOND);
}

/* Judgement: a step of 20 ms is taken out, and not worth telling. */
static void takes_a_small_step_out_in_silence(void **state)
{
	(void)state;
	struct fl_live_clock clock = started();
	struct fl_live_turn turn = { 0 };
	const fl_time set = 20 * FL_MILLISECOND;
	assert_int_equal(fl_live_clock_read(&clock, at(FL_SECOND, set, 0)).moved, 0);
	fl_live_clock_drained(&clock, &turn, WALL + 2 * FL_SECOND);
	assert_int_equal(fl_live_clock_place(&clock, &turn,
					     WALL + 2 * FL_SECOND + set),
			 WALL + 2 * FL_SECOND);
}

/* An ear that heard nobody for long after the step: its ring was empty since,
 * so none of its frames can be of the old scale, however they look. */
static void forgets_the_old_scale_once_a_ring_was_empty(void **state)
{
	(void)state;
	struct fl_live_clock clock = started();
	struct fl_live_turn turn = { 0 };
	(void)fl_live_clock_read(&clock, at(FL_SECOND, FL_SECOND, 0));
	fl_live_clock_drained(&clock, &turn, WALL + FL_SECOND);
	assert_int_equal(turn.turns, 0);   /* a block may be unseen still */
	(void)fl_live_clock_read(&clock, at(2 * FL_SECOND, FL_SECOND, 0));
	fl_live_clock_drained(&clock, &turn, WALL + 2 * FL_SECOND);
	assert_int_equal(turn.turns, 1);
	(void)fl_live_clock_read(&clock, at(9 * FL_SECOND, FL_SECOND, 0));
	const fl_time t = WALL + 5 * FL_SECOND;
	assert_int_equal(fl_live_clock_place(&clock, &turn, t + FL_SECOND), t);
}

/* clock_gettime(2): CLOCK_BOOTTIME runs on while the system is suspended,
 * CLOCK_MONOTONIC does not. */
static void tells_of_sleep_from_the_last_reading_on(void **state)
{
	(void)state;
	struct fl_live_clock clock = started();
	(void)fl_live_clock_read(&clock, at(10 * FL_SECOND, 0, 0));
	const struct fl_live_clock_news news = fl_live_clock_read(&clock,
		at(2 * FL_HOUR, 0, 2 * FL_HOUR - 11 * FL_SECOND));
	assert_true(news.slept);
	assert_int_equal(news.from, WALL + 10 * FL_SECOND);
	assert_int_equal(news.to, WALL + 2 * FL_HOUR);
	assert_int_equal(news.moved, 0);
	const struct fl_live_clock_news next = fl_live_clock_read(&clock,
		at(2 * FL_HOUR + FL_SECOND, 0, 2 * FL_HOUR - 11 * FL_SECOND));
	assert_false(next.slept);
}

/* Judgement: a pause without a growth of what was slept is a busy host. */
static void a_stalled_reader_did_not_sleep(void **state)
{
	(void)state;
	struct fl_live_clock clock = started();
	assert_false(fl_live_clock_read(&clock, at(FL_HOUR, 0, 0)).slept);
}

/* A clock set by its own chip on waking: both are told. */
static void tells_of_sleep_and_of_a_step_at_once(void **state)
{
	(void)state;
	struct fl_live_clock clock = started();
	const struct fl_live_clock_news news = fl_live_clock_read(&clock,
		at(FL_HOUR, -FL_SECOND, FL_HOUR - FL_SECOND));
	assert_true(news.slept);
	assert_int_equal(news.moved, -FL_SECOND);
	assert_int_equal(fl_live_clock_now(&clock), WALL + FL_HOUR);
}

/* live_clock.h: a wall clock that stands an hour before what is kept is an hour
 * behind listening time, stamps and all, and that is no step any more. */
static void begins_behind_what_is_kept(void **state)
{
	(void)state;
	struct fl_live_clock clock = started();
	struct fl_live_turn turn = { 0 };
	fl_live_clock_not_before(&clock, WALL - 1);
	assert_int_equal(fl_live_clock_now(&clock), WALL);
	fl_live_clock_not_before(&clock, WALL + FL_HOUR);
	assert_int_equal(fl_live_clock_now(&clock), WALL + FL_HOUR);
	assert_int_equal(fl_live_clock_read(&clock, at(FL_SECOND, 0, 0)).moved, 0);
	assert_int_equal(fl_live_clock_place(&clock, &turn, WALL + 7), WALL + FL_HOUR + 7);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(begins_behind_what_is_kept),
		cmocka_unit_test(is_the_wall_clock_at_first),
		cmocka_unit_test(follows_a_slew_without_a_word),
		cmocka_unit_test(takes_a_slow_reading_for_no_step),
		cmocka_unit_test(stays_when_the_clock_is_set),
		cmocka_unit_test(takes_a_small_step_out_in_silence),
		cmocka_unit_test(forgets_the_old_scale_once_a_ring_was_empty),
		cmocka_unit_test(tells_of_sleep_from_the_last_reading_on),
		cmocka_unit_test(a_stalled_reader_did_not_sleep),
		cmocka_unit_test(tells_of_sleep_and_of_a_step_at_once),
	};
	return FL_RUN(tests);
}
