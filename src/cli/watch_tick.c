/* watch_tick.c -- what is done each second: seconds told, an answer made, and
 * whether it is time to end. */
#include "cli/watching.h"

#include "diagnose/diagnose.h"

#include <time.h>

enum { SAMPLE_EACH = 60 };           /* seconds between two readings of counters */
enum { COSTLY = 20 };                /* answers take at most a twentieth of the time */

static fl_time listened(const struct watch *w)
{
	return fl_live_now(w->live) - w->begun;
}

/* How much of it this ear was deaf. */
static fl_time deaf_at(const struct watch *w, uint16_t ear)
{
	size_t n;
	const struct fl_deaf_span *all = fl_ledger_deaf(fl_judge_ledger(w->judging), &n);
	fl_time sum = 0;
	for (size_t i = n; i-- > 0;) {
		const fl_time from = all[i].from > w->begun ? all[i].from : w->begun;
		if (all[i].ear == ear && all[i].to > from)
			sum += all[i].to - from;
	}
	return sum;
}

/* What one port could hear was heard. */
static fl_time deaf(const struct watch *w)
{
	fl_time least = deaf_at(w, w->ears[0]);
	for (size_t i = 1; i < w->order->port_count; i++) {
		const fl_time sum = deaf_at(w, w->ears[i]);
		least = sum < least ? sum : least;
	}
	return least;
}

fl_time fl_watch_firm_in(const struct watch *w)
{
	const fl_time left = w->within - (listened(w) - deaf(w));
	if (left > 0)
		return left;
	/* Of a device without a cadence that was never heard, nothing is sure. */
	return w->answer && w->answer->firm ? 0 : -1;
}

fl_time fl_watch_ends_in(const struct watch *w)
{
	const fl_time length = w->order->length;
	if (length == 0)
		return 0;
	const fl_time left = length - listened(w);
	return left > 0 ? left : 1;
}

fl_time fl_watch_longest(const struct watch *w)
{
	return 2 * w->within > FL_WATCH_LONGEST ? 2 * w->within : FL_WATCH_LONGEST;
}

static bool is_time(const struct watch *w)
{
	if (w->order->length)
		return listened(w) >= w->order->length;
	if (w->order->wiggle)
		return false;
	if (fl_watch_firm_in(w) == 0)
		return true;
	return listened(w) >= fl_watch_longest(w);
}

static fl_time now(void)
{
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec * FL_SECOND + t.tv_nsec;
}

static void answer(struct watch *w)
{
	const fl_time begun = now();
	if (w->answer && begun - w->answered < COSTLY * w->cost)
		return;
	w->answer = fl_judge_answer(w->judging);
	w->answered = now();
	w->cost = w->answered - begun;
	if (!w->answer)
		return;
	fl_keys_rows(&w->keys, w->answer->planned ? w->answer->device_count
						   : w->answer->station_count);
	fl_events_look(w->events, w->answer, fl_judge_ledger(w->judging));
}

void fl_watch_tick(struct watch *w)
{
	if (w->ending)
		return;
	if (++w->ticks % SAMPLE_EACH == 0)
		fl_ports_sample(w->ports);
	fl_live_drain(w->live);
	fl_watch_ask(w);
	if (w->hand)
		fl_hand_look(w->hand);
	fl_tally_advance(w->tally, fl_live_now(w->live) - FL_LATENESS);
	answer(w);
	fl_watch_notice(w);
	fl_watch_tell(w);
	fl_watch_show(w);
	if (is_time(w))
		fl_watch_stop(w);
}
