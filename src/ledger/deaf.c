/* deaf.c -- time in which an ear could not hear: nobody is silent then.
 *
 * A capture does not say that its host was unplugged or asleep. When nobody
 * at all is heard for a while and nearly everybody is back at once, without a
 * sign of starting, it was the ear and not the stations. That is judged after
 * the return, never while it lasts. Numbers: judgement.
 */
#include "ledger/inner.h"

#define NOBODY (1200 * FL_MILLISECOND)

bool fl_deaf_overlaps(const struct fl_ledger *l, uint16_t ear, fl_time from, fl_time to)
{
	for (size_t i = l->deaf_count; i-- > 0;)
		if (l->deaf[i].ear == ear && l->deaf[i].from < to && l->deaf[i].to > from)
			return true;
	return false;
}

void fl_deaf_add(struct fl_ledger *l, uint16_t ear, fl_time from, fl_time to,
		 const char *why)
{
	if (to <= from)
		return;
	l->ears[ear].deaf += to - from;
	if (to > l->deaf_until[ear])
		l->deaf_until[ear] = to;
	for (size_t i = l->deaf_count; i-- > 0;) {
		struct fl_deaf_span *d = &l->deaf[i];
		if (d->ear != ear)
			continue;
		if (d->to != from || strcmp(d->why, why) != 0)
			break;
		d->to = to;                  /* told second by second */
		return;
	}
	if (l->deaf_count == FL_LEDGER_DEAF) {
		l->lost++;
		return;
	}
	l->deaf[l->deaf_count++] = (struct fl_deaf_span){
		.ear = ear, .from = from, .to = to, .why = fl_ledger_keep(l, why),
		.kind = fl_deafness_said(why),
	};
}

/* Somebody is heard at t after a while in which nobody was. */
void fl_quiet_heard(struct fl_ledger *l, uint16_t ear, fl_time t)
{
	const fl_time last = l->heard_any[ear];
	struct fl_quiet *q = &l->quiet[ear];
	/* The kernel of a live ear says itself when it had no link. */
	if (fl_ports_of(l, ear))
		return;
	if (last == 0 || t - last <= NOBODY || fl_deaf_overlaps(l, ear, last, t))
		return;
	if (q->pending)
		fl_quiet_judge(l, ear, t, true);
	*q = (struct fl_quiet){ .from = last, .to = t };
	fl_time slowest = 0;
	for (uint32_t i = 0; i < l->presences.n; i++) {
		struct fl_presence *p = presence_at(l, i);
		const fl_time interval = p->ear == ear && p->steady_streams
			? fl_cadence_shortest(l, i) : 0;
		p->quiet_due = interval > 0 && p->held >= last - interval * 16 / 10;
		if (!p->quiet_due)
			continue;
		q->due++;
		q->frames_due += (double)(t - last) / (double)interval;
		if (interval > slowest)
			slowest = interval;
	}
	q->pending = q->due >= 2 && q->frames_due > 10;
	q->judge_at = t + 2 * (slowest < 30 * FL_SECOND ? slowest : 30 * FL_SECOND);
}

/* Nearly all of them are back, and at most one of them started anew. */
static bool was_deaf(const struct fl_ledger *l, uint16_t ear,
		     const struct fl_quiet *q)
{
	uint32_t back = 0, starts = 0;
	for (size_t i = 0; i < l->presences.n; i++) {
		const struct fl_presence *p = presence_at(l, i);
		if (p->ear != ear)
			continue;
		back += p->quiet_due && p->last >= q->to;
		starts += p->last_start > q->from;
	}
	return back * 10 >= q->due * 7 && starts <= 1;
}

/* What remains of a dropout when deaf time is taken from it is a few beats: no
 * more than losses do. */
static bool only_deaf(const struct fl_ledger *l, const struct fl_dropout *d,
		      const struct fl_quiet *q)
{
	enum { FEW = 4 };   /* judgement */
	const fl_time before = q->from > d->last ? q->from - d->last : 0;
	const fl_time after = d->first > q->to ? d->first - q->to : 0;
	const fl_time beat = fl_cadence_shortest(l, d->presence);
	return d->first && d->last <= q->to && d->first >= q->from &&
	       before + after <= FEW * (beat > FL_SECOND ? beat : FL_SECOND);
}

void fl_quiet_judge(struct fl_ledger *l, uint16_t ear, fl_time now, bool at_once)
{
	struct fl_quiet *q = &l->quiet[ear];
	if (!q->pending || (!at_once && now < q->judge_at))
		return;
	q->pending = false;
	if (!was_deaf(l, ear, q))
		return;
	fl_deaf_add(l, ear, q->from, q->to, "nobody at all was heard, and nobody had restarted");
	for (size_t i = l->dropout_count; i-- > 0;) {
		struct fl_dropout *d = &l->dropouts[i];
		if (presence_at(l, d->presence)->ear == ear && only_deaf(l, d, q))
			d->deaf = true;
	}
}
