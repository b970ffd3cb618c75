/* What becomes of the listening when the host's clocks do strange things. The
 * clock_gettime() of this file stands before the system's; the kernel's stamps
 * stay what they are, as do those of frames from before a step. */
#ifndef _GNU_SOURCE
#define _GNU_SOURCE
#endif
#include "cable.h"

#include <sys/syscall.h>
#include <time.h>

static fl_time real_set, slept;

int clock_gettime(clockid_t which, struct timespec *t)
{
	const long answer = syscall(SYS_clock_gettime, which, t);
	const fl_time more = which == CLOCK_REALTIME ? real_set + slept
			   : which == CLOCK_BOOTTIME ? slept : 0;
	const fl_time sum = t->tv_sec * FL_SECOND + t->tv_nsec + more;
	t->tv_sec = sum / FL_SECOND;
	t->tv_nsec = sum % FL_SECOND;
	return (int)answer;
}

static int set_up_clocks(void **state)
{
	real_set = slept = 0;
	return set_up(state);
}

static int add_second_ear(void **state)
{
	struct fl_error error = { 0 };
	const struct fl_frame_sink sink = { NULL, take_frames, take_ear };
	(void)state;
	real_set = slept = 0;
	heard_n = said_n = 0;
	make_ports();
	return uv_loop_init(&loop) == 0 && (live = fl_live_new(&loop, &sink)) &&
	       fl_live_open(live, NEAR, EAR, &error) &&
	       fl_live_open(live, FAR, EAR + 1, &error) &&
	       fl_live_start(live, &error) ? 0 : -1;
}

/* clock_gettime(2), CLOCK_BOOTTIME. live.h: deaf while the host slept; frames
 * from before are not brought after it. */
static void was_deaf_while_the_host_slept(void **state)
{
	(void)state;
	const fl_time before = fl_live_now(live);
	send_numbered(0, 3);
	slept = FL_HOUR;
	const fl_time after = fl_live_now(live);
	assert_in_range(after - before, FL_HOUR, FL_HOUR + FL_MINUTE);
	assert_int_equal(said_n, 4);
	assert_int_equal(said[2].news, FL_EAR_DEAFENED);
	assert_string_equal(said[2].name, "the laptop slept");
	assert_int_equal(said[2].time, before);
	assert_int_equal(said[3].news, FL_EAR_HEARS);
	assert_int_equal(said[3].time, after);
	run(300);
	assert_int_equal(heard_n, 0);
	assert_int_equal(said_n, 4);
}

/* One who was deaf already is deaf on: the sleep is within. */
static void slept_within_a_pull(void **state)
{
	(void)state;
	told(true, false);
	slept = FL_HOUR;
	(void)fl_live_now(live);
	told(true, true);
	assert_int_equal(said_n, 4);
	assert_string_equal(said[2].name, "the port has no link");
	assert_int_equal(said[3].news, FL_EAR_HEARS);
	assert_true(said[3].time - said[2].time >= FL_HOUR);
}

/* live.h: no setting of the wall clock moves listening time, nor that of the
 * frames that were stamped before it. */
static void keeps_its_time_when_the_clock_is_set(void **state)
{
	(void)state;
	const fl_time before = fl_live_now(live);
	send_numbered(0, 3);
	real_set = -2 * FL_HOUR;
	const fl_time after = fl_live_now(live);
	assert_in_range(after - before, 0, FL_MINUTE);
	assert_int_equal(said_n, 3);
	assert_int_equal(said[2].news, FL_EAR_MOVED);
	assert_in_range(said[2].amount + 2 * FL_HOUR + FL_MILLISECOND, 0,
			2 * FL_MILLISECOND);
	run_until(3);
	for (int i = 0; i < 3; i++)
		assert_in_range(heard[i].time, before, after);
	assert_int_equal(said_n, 3);
}

/* live.h: several ports are ears of one source. What goes out of the one comes
 * in at the other; the host hears what its own programs send, too. */
static void two_ports_are_two_ears(void **state)
{
	(void)state;
	assert_int_equal(said_n, 4);
	send_numbered(0, 1);
	run_until(2);
	assert_int_equal(heard[0].ear + heard[1].ear, 2 * EAR + 1);
	assert_int_equal(fl_live_summary(live, EAR)->frames, 1);
	assert_int_equal(fl_live_summary(live, EAR + 1)->frames, 1);
	real_set = FL_SECOND;
	(void)fl_live_now(live);
	assert_int_equal(said_n, 6);
	assert_int_equal(said[4].ear + said[5].ear, 2 * EAR + 1);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test_setup_teardown(was_deaf_while_the_host_slept,
						set_up_clocks, tear_down),
		cmocka_unit_test_setup_teardown(slept_within_a_pull,
						set_up_clocks, tear_down),
		cmocka_unit_test_setup_teardown(keeps_its_time_when_the_clock_is_set,
						set_up_clocks, tear_down),
		cmocka_unit_test_setup_teardown(two_ports_are_two_ears,
						add_second_ear, tear_down),
	};
	return apart() ? FL_RUN(tests) : FL_SKIPPED;
}
