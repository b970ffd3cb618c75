/* cadence.c -- the beat a stream keeps, and which of its beats are missed. */
#include "ledger/inner.h"

enum { ENOUGH_GAPS = 9 };   /* ten beats: judgement */

fl_time fl_cadence_tolerance(const struct fl_cadence *c)
{
	return 3 * c->spread > FL_SECOND ? 3 * c->spread : FL_SECOND;
}

fl_time fl_cadence_interval(const struct fl_cadence *c)
{
	const fl_time between = (fl_time)c->gap_median * 1000;
	return c->period > 0 && c->period <= 2 * FL_SECOND && between > 0 &&
	       between < FL_SECOND ? between : c->period;
}

/* Gaps at random fold to anything within half a period: of nine, seven lie
 * within a quarter of it once in eleven times, within an eighth once in a
 * thousand. So few gaps must be nearer (binomial; bounds: judgement). */
static bool spread_is_small(const struct fl_cadence *c)
{
	const int64_t part = c->gap_count < 16 ? 8 : c->gap_count < 64 ? 6 : 4;
	return c->period > 0 && part * c->spread < c->period;
}

static void measure(struct fl_cadence *c)
{
	const size_t n = c->gap_count < FL_SPREAD_MAX ? c->gap_count : FL_SPREAD_MAX;
	c->period = fl_quantile(c->gaps, n, 0.5);
	c->spread = fl_fold_spread(c->gaps, n, c->period);
}

static void judge_steady(struct fl_ledger *l, struct fl_cadence *c)
{
	const bool steady = c->unasked && c->key.kind == FL_STREAM_GROUP &&
			    !c->stopped && spread_is_small(c);
	if (steady == c->steady)
		return;
	c->steady = steady;
	struct fl_presence *p = presence_at(l, c->presence);
	p->steady_streams += steady ? 1u : UINT32_MAX;
}

/* Measured anew after 9, 16, 32 gaps and then each 64. */
static bool due_for_measure(uint32_t gaps)
{
	return gaps == ENOUGH_GAPS || gaps == 16 || gaps == 32 || gaps % 64 == 0;
}

/* Beats that did not come within `gap`; none where nobody could hear them or
 * the whole station was away. */
static uint32_t missed_in(const struct fl_ledger *l, const struct fl_cadence *c,
			  fl_time t, fl_time gap)
{
	const struct fl_presence *p = presence_at(l, c->presence);
	if (c->period <= 0 || p->dropout >= 0 || l->quiet[c->key.ear].pending ||
	    p->away_until > c->last || t <= c->last)
		return 0;
	const int64_t m = (gap + c->period / 2) / c->period;
	return m > 1 ? (uint32_t)(m - 1 < 1000 ? m - 1 : 1000) : 0;
}

/* Good for counting single frames: one a beat, and this gap tells without doubt
 * how many are missing in it. Judgement. */
static bool is_strict(const struct fl_cadence *c, fl_time gap)
{
	const fl_time off = (gap + c->period / 2) % c->period;
	return c->period >= FL_SECOND && 8 * c->spread < c->period &&
	       4 * off > c->period && 4 * off < 3 * c->period;
}

bool fl_cadence_alone(const struct fl_presence *p, const struct fl_cadence *c)
{
	const fl_time since = c->last > p->quiet_until ? c->last : p->quiet_until;
	return p->dropout < 0 && p->silence >= FL_SILENT_LOG &&
	       p->held - since > 2 * c->period + fl_cadence_tolerance(c);
}

/* Beats were missed before this one: by chance, because the stream stopped, or
 * because its station was away. */
static void count_missed(struct fl_ledger *l, struct fl_cadence *c, uint32_t missed)
{
	struct fl_presence *p = presence_at(l, c->presence);
	const double log = c->steady ? fl_silence_log(&c->beats, missed) : 0;
	if (log < FL_DROPOUT_LOG && fl_cadence_alone(p, c))
		c->stopped = true;
	else if (log < FL_ENDED_LOG)
		fl_silence_was(l, p, c, log);
	else
		fl_beats_count(&c->beats, missed);
}

void fl_cadence_beat(struct fl_ledger *l, struct fl_cadence *c, fl_time t, bool many)
{
	if (c->last == 0) {
		c->first = c->last = t;
		c->last_many = many;
		return;
	}
	/* Of many frames in a second only the last is told: count in whole
	 * seconds between two such. */
	const fl_time gap = many && c->last_many
		? (t / FL_SECOND - c->last / FL_SECOND) * FL_SECOND : t - c->last;
	if (!fl_deaf_overlaps(l, c->key.ear, c->last, t) && gap > 0) {
		const uint32_t missed = missed_in(l, c, t, gap);
		if (c->steady && is_strict(c, gap) && !many && !c->last_many)
			fl_loss_beat(c, t, missed);
		if (c->period > 0)
			count_missed(l, c, missed);
		c->gaps[c->gap_count++ % FL_SPREAD_MAX] = gap;
		if (due_for_measure(c->gap_count)) {
			const bool first = c->period == 0;
			measure(c);
			if (first)
				c->beats.heard = c->gap_count + 1;
		}
	}
	c->last = t;
	c->last_many = many;
	judge_steady(l, c);
}

uint32_t fl_cadence_missed(const struct fl_cadence *c, fl_time heard, fl_time now)
{
	const fl_time end = now - fl_cadence_tolerance(c) - c->last;
	if (c->period <= 0 || end < c->period)
		return 0;
	const int64_t first = heard > c->last ? (heard - c->last) / c->period + 1 : 1;
	const int64_t last = end / c->period;
	return last < first ? 0
	     : (uint32_t)(last - first + 1 < 100000 ? last - first + 1 : 100000);
}

fl_time fl_cadence_shortest(const struct fl_ledger *l, uint32_t presence)
{
	fl_time best = 0;
	for (uint32_t i = 0; i < presence_at(l, presence)->cadence_count; i++) {
		const struct fl_cadence *c = cadence_of(l, presence, i);
		if (!c || !c->steady)
			continue;
		const fl_time interval = fl_cadence_interval(c);
		if (interval > 0 && (best == 0 || interval < best))
			best = interval;
	}
	return best;
}
