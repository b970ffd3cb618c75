/* live_clock.c -- listening time out of stamps. */
#include "source/live_clock.h"

/* Judgement. Below `noise` the two readings differ by chance; a change over
 * `told` is somebody's or some daemon's doing; what a host does not hear while
 * its processor is stopped for less than `nap` is nobody's silence yet. */
static const fl_time noise = 1 * FL_MILLISECOND;
static const fl_time told = 50 * FL_MILLISECOND;
static const fl_time nap = 1 * FL_SECOND;

static fl_time size(fl_time t)
{
	return t < 0 ? -t : t;
}

void fl_live_clock_start(struct fl_live_clock *clock, struct fl_live_reading r)
{
	*clock = (struct fl_live_clock){ .last = r, .anchor = r.real - r.boot };
}

void fl_live_clock_not_before(struct fl_live_clock *clock, fl_time t)
{
	const fl_time behind = t - fl_live_clock_now(clock);
	if (behind <= 0)
		return;
	clock->anchor += behind;
	clock->shift -= behind;
	clock->before = clock->shift;
}

fl_time fl_live_clock_now(const struct fl_live_clock *clock)
{
	return clock->last.boot + clock->anchor;
}

struct fl_live_clock_news fl_live_clock_read(struct fl_live_clock *clock,
					     struct fl_live_reading r)
{
	const fl_time shift = r.real - r.boot - clock->anchor;
	const fl_time change = shift - clock->shift;
	const fl_time asleep = r.boot - r.awake -
			       (clock->last.boot - clock->last.awake);
	struct fl_live_clock_news news = {
		.slept = asleep > nap, .from = fl_live_clock_now(clock),
	};
	clock->last = r;
	news.to = fl_live_clock_now(clock);
	if (size(change) <= noise + r.slack)
		return news;
	clock->before = clock->shift;
	clock->shift = shift;
	clock->turned = news.to;
	clock->turns++;
	news.moved = size(change) > told ? change : 0;
	return news;
}

/* How far t lies outside of what can be. */
static fl_time misfit(fl_time t, fl_time earliest, fl_time latest)
{
	return t < earliest ? earliest - t : t > latest ? t - latest : 0;
}

/* Where both readings of a stamp can be, a stamp that ran on is of the old
 * scale still, and one that ran back of the new. */
static bool is_of_old(const struct fl_live_clock *clock,
		      const struct fl_live_turn *turn, fl_time stamp)
{
	const fl_time now = fl_live_clock_now(clock);
	const fl_time old = misfit(stamp - clock->before, turn->last, now);
	const fl_time new = misfit(stamp - clock->shift, turn->last, now);
	return old != new ? old < new : stamp >= turn->stamp;
}

fl_time fl_live_clock_place(const struct fl_live_clock *clock,
			    struct fl_live_turn *turn, fl_time stamp)
{
	fl_time t = stamp - clock->shift;
	if (turn->turns != clock->turns) {
		if (is_of_old(clock, turn, stamp))
			t = stamp - clock->before;
		else
			turn->turns = clock->turns;
	}
	turn->stamp = stamp;
	if (t > turn->last)
		turn->last = t;
	return t;
}

void fl_live_clock_drained(const struct fl_live_clock *clock,
			   struct fl_live_turn *turn, fl_time t)
{
	const fl_time past = t - FL_LIVE_UNSEEN;
	if (past > turn->last)
		turn->last = past;
	if (past > clock->turned)
		turn->turns = clock->turns;
}
