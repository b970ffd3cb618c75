/* live_clocks.c -- read the clocks, and say what became of them.
 *
 * Source  clock_gettime(2)
 */
#include "source/live_inner.h"

#include <time.h>

static fl_time read_clock(clockid_t which)
{
	struct timespec t;
	(void)clock_gettime(which, &t);
	return (fl_time)t.tv_sec * FL_SECOND + t.tv_nsec;
}

/* The three cannot be read at once: of a few tries the quickest, so that a
 * reading which was interrupted midway is no step. */
static struct fl_live_reading read_all(void)
{
	enum { TRIES = 3 };
	struct fl_live_reading best = { .slack = INT64_MAX };
	for (int i = 0; i < TRIES; i++) {
		struct fl_live_reading r;
		const fl_time before = read_clock(CLOCK_BOOTTIME);
		r.real = read_clock(CLOCK_REALTIME);
		r.awake = read_clock(CLOCK_MONOTONIC);
		const fl_time after = read_clock(CLOCK_BOOTTIME);
		r.slack = after - before;
		r.boot = before + r.slack / 2;
		if (r.slack < best.slack)
			best = r;
	}
	return best;
}

static void say_news(struct fl_live *live, const struct fl_live_clock_news *news)
{
	for (size_t i = 0; i < live->ear_count; i++) {
		struct fl_live_ear *ear = &live->ears[i];
		if (news->slept) {
			fl_live_deafen(ear, FL_LIVE_ASLEEP, true, news->from);
			fl_live_deafen(ear, FL_LIVE_ASLEEP, false, news->to);
		}
		if (news->moved)
			fl_live_say(ear, &(struct fl_ear_event){
				.news = FL_EAR_MOVED, .time = news->to,
				.amount = news->moved, .name = "" });
	}
}

fl_time fl_live_read_clocks(struct fl_live *live)
{
	const struct fl_live_clock_news news =
		fl_live_clock_read(&live->clock, read_all());
	if (news.slept)
		live->awake = news.to;
	say_news(live, &news);
	return fl_live_clock_now(&live->clock);
}

void fl_live_not_before(struct fl_live *live, fl_time t)
{
	const fl_time now = fl_live_clock_now(&live->clock);
	fl_live_clock_not_before(&live->clock, t);
	live->behind = fl_live_clock_now(&live->clock) - now;
}

void fl_live_start_clocks(struct fl_live *live)
{
	fl_live_clock_start(&live->clock, read_all());
}
