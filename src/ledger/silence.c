/* silence.c -- when a station's silence is more than loss.
 *
 * Of several steady streams the least chance counts, never the product: the
 * losses of one station go together. A station that starts anew is away
 * until a steady beat: what it sends while it boots neither ends its dropout
 * nor begins another.
 */
#include "ledger/inner.h"

enum { BOOTED = 10 };              /* seconds heard that end a start: judgement */
#define START_NEAR (16 * FL_SECOND) /* a sign so near belongs to the return     */
#define EDGE (100 * FL_MILLISECOND) /* a blink begins so soon after a frame    */
#define BIN_BOUND  35              /* tenths of a bin in which it began         */

static fl_time held_from(const struct fl_ledger *l, const struct fl_presence *p)
{
	const fl_time deaf = l->deaf_until[p->ear];
	return p->held > deaf ? p->held : deaf;
}

/* What is due of a presence now, and how unlikely its silence is. */
struct due {
	double   log;
	uint32_t missed;
	fl_time  began_at_latest;
	bool     filterable;             /* all that speak may be held back */
};

static void judge_cadences(struct fl_ledger *l, uint32_t number,
			   struct fl_presence *p, fl_time now, struct due *due)
{
	const fl_time heard = held_from(l, p);
	for (uint32_t i = 0; i < p->cadence_count; i++) {
		struct fl_cadence *c = cadence_of(l, number, i);
		if (!c || !c->steady)
			continue;
		const fl_time tolerance = fl_cadence_tolerance(c);
		const fl_time deaf = l->deaf_until[p->ear];
		const uint32_t own = fl_cadence_missed(c,
			deaf > p->quiet_until ? deaf : p->quiet_until, now);
		if (fl_cadence_alone(p, c) &&
		    fl_silence_log(&c->beats, own) < FL_DROPOUT_LOG) {
			c->stopped = true;   /* its station goes on */
			c->steady = false;
			p->steady_streams--;
			continue;
		}
		const uint32_t missed = fl_cadence_missed(c, heard, now);
		const double log = fl_silence_log(&c->beats, missed);
		due->filterable &= c->filterable || missed == 0;
		if (missed == 0 || log >= due->log)
			continue;
		const int64_t behind = heard > c->last ? (heard - c->last) / c->period + 1 : 1;
		due->log = log;
		due->missed = missed;
		due->began_at_latest = c->last + behind * c->period + tolerance;
	}
}

static void judge_bins(const struct fl_ledger *l, const struct fl_presence *p,
		       fl_time now, struct due *due)
{
	fl_time width = 0;
	const struct fl_bin *b = fl_bins_best(p, &width);
	if (!b)
		return;
	due->missed = fl_bins_missed(b, width, held_from(l, p), now);
	due->log = fl_silence_log(&b->beats, due->missed);
	due->began_at_latest = p->held + width * BIN_BOUND / 10;
	due->filterable = false;
}

static struct fl_dropout *record(struct fl_ledger *l, struct fl_presence *p,
				 enum fl_dropout_kind kind, fl_time missed, double log)
{
	if (l->dropout_count == FL_LEDGER_DROPOUTS) {
		l->lost++;
		return NULL;
	}
	fl_returns_end(l, p, p->held);
	struct fl_dropout *d = &l->dropouts[l->dropout_count++];
	*d = (struct fl_dropout){
		.kind = kind, .presence = (uint32_t)fl_table_number(&l->presences, p),
		.last = p->held, .missed = missed, .log_chance = log,
		.left = p->last_leave >= p->held - FL_SECOND && p->last_leave > 0,
	};
	return d;
}

static struct fl_dropout *newest(struct fl_ledger *l, uint32_t presence)
{
	for (size_t i = l->dropout_count; i-- > 0;)
		if (l->dropouts[i].presence == presence)
			return &l->dropouts[i];
	return NULL;
}

static void judge(struct fl_ledger *l, uint32_t number, fl_time now)
{
	struct fl_presence *p = presence_at(l, number);
	struct due due = { .filterable = true, .began_at_latest = now };
	if (p->steady_streams)
		judge_cadences(l, number, p, now, &due);
	if (!p->steady_streams)
		judge_bins(l, p, now, &due);
	p->silence = due.log;
	p->silence_latest = due.began_at_latest;
	p->missed = due.missed;
	if (due.log >= FL_DROPOUT_LOG || p->dropout >= 0)
		return;
	/* A start told by signs that lasts is the same absence. */
	struct fl_dropout *d = newest(l, number);
	if (d && d->kind == FL_BLINK && d->last == p->held) {
		d->kind = FL_DROPOUT;
		d->log_chance = due.log;
		d->first = 0;
		p->returning = -1;
	} else {
		d = record(l, p, FL_DROPOUT, due.began_at_latest, due.log);
	}
	if (!d)
		return;
	d->filterable = due.filterable;
	p->dropout = (int)(d - l->dropouts);
}

void fl_silence_judge(struct fl_ledger *l, uint16_t ear, fl_time now)
{
	for (uint32_t i = 0; i < l->presences.n; i++) {
		const struct fl_presence *p = presence_at(l, i);
		/* Nothing can be missing while frames keep coming. */
		if (p->ear == ear && (p->dropout < 0 || p->starting) &&
		    now - p->held > FL_SECOND)
			judge(l, i, now);
	}
}

static bool still_starting(struct fl_presence *p, bool steady)
{
	if (!p->starting)
		return false;
	if (steady || p->steady_streams == 0 || ++p->starting_seconds >= BOOTED)
		p->starting = false;
	return p->starting;
}

/* A sign of the same absence was told before its length was known. */
static void widen(struct fl_dropout *d, const struct fl_presence *p, bool sure)
{
	d->missed = p->silence_latest < d->missed ? p->silence_latest : d->missed;
	d->log_chance = p->silence;
	d->kind = sure ? FL_DROPOUT : d->kind;
}

void fl_silence_heard(struct fl_ledger *l, struct fl_presence *p, fl_time t, bool steady)
{
	p->last = t > p->last ? t : p->last;
	p->seconds++;
	if (still_starting(p, steady))
		return;
	const bool started = p->last_start > p->held;
	if (p->dropout >= 0) {
		struct fl_dropout *d = &l->dropouts[p->dropout];
		d->first = t;
		d->started = started;
		p->dropout = -1;
		p->away_until = t;
		fl_returns_begin(l, d);
		p->quiet_until = t;
	} else if (p->silence < FL_SILENT_LOG && !l->quiet[p->ear].pending) {
		const bool sure = p->silence < FL_DROPOUT_LOG;
		struct fl_dropout *d = newest(l, (uint32_t)fl_table_number(&l->presences, p));
		if (d && d->kind == FL_BLINK && d->last == p->held)
			widen(d, p, sure);
		else
			d = record(l, p, sure ? FL_DROPOUT : FL_SOFT,
				   sure ? p->silence_latest : p->held, p->silence);
		if (d) {
			d->first = t;
			d->started = started;
			fl_returns_begin(l, d);
		}
		p->quiet_until = t;
		p->away_until = sure ? t : p->away_until;
	}
	p->held = p->last;
	p->silence = 0;
	p->missed = 0;
}

/* A sign at t shows that it was away: it fell at the latest when it missed its
 * first beat, if it missed one. */
static fl_time fell_by(const struct fl_presence *p, fl_time t)
{
	return p->missed && p->silence_latest > p->held && p->silence_latest < t
		? p->silence_latest : t;
}

void fl_silence_was(struct fl_ledger *l, struct fl_presence *p,
		    const struct fl_cadence *c, double log)
{
	struct fl_dropout *d = newest(l, (uint32_t)fl_table_number(&l->presences, p));
	const fl_time latest = c->last + c->period + fl_cadence_tolerance(c);
	/* Another of its streams came back first, or a sign told of it. */
	if (d && d->kind != FL_DROPOUT && d->first > c->last) {
		if (d->kind == FL_SOFT || latest < d->missed)
			d->missed = latest;
		d->kind = FL_DROPOUT;
		d->log_chance = log;
		p->away_until = d->first;
	} else if (log < p->silence) {
		p->silence = log;
		p->silence_latest = latest;
	}
}

/* A stack that starts anew was away, even if no beat is missed: signs of
 * other mechanisms alone may be a daemon's. */
static void sign_blink(struct fl_ledger *l, struct fl_presence *p,
		       enum fl_mechanism by, fl_time t)
{
	if ((by != FL_BY_STACK && by != FL_BY_NUMBERS) || p->dropout >= 0 ||
	    !p->steady_streams || t - p->held < FL_SECOND / 10)
		return;
	struct fl_dropout *d = record(l, p, FL_BLINK, fell_by(p, t), p->silence);
	if (!d)
		return;
	d->first = t;
	d->started = true;
	fl_returns_begin(l, d);
}

/* Not heard for a second, as far as is known: what else was heard in the second
 * of the sign is told only after it. One that is due more often must have
 * missed a beat by then. */
static bool silent_before(const struct fl_ledger *l, uint32_t number, fl_time t)
{
	const fl_time interval = fl_cadence_shortest(l, number);
	const fl_time known = t - t % FL_SECOND - presence_at(l, number)->held;
	return t - presence_at(l, number)->held >= FL_SECOND &&
	       (interval > 2 * FL_SECOND || known > interval + FL_SECOND / 4);
}

/* A stack that tells its groups anew of itself had lost its link, even if no
 * beat is missed; not within a start, and not of a station that was heard a
 * moment ago: no link forms anew within a second (IEEE Std 802.3 clause 28.3.2,
 * break_link_timer, from memory). */
void fl_silence_linked(struct fl_ledger *l, struct fl_mac mac, fl_time t)
{
	for (uint32_t i = 0; i < l->presences.n; i++) {
		struct fl_presence *p = presence_at(l, i);
		if (!fl_mac_equal(p->mac, mac) || p->dropout >= 0 || !p->steady_streams ||
		    (p->last_start && t - p->last_start < START_NEAR) ||
		    !silent_before(l, i, t))
			continue;
		const struct fl_dropout *known = newest(l, i);
		if (known && known->first && t <= known->first + FL_SECOND)
			continue;            /* said again (RFC 3810 section 6.1) */
		struct fl_dropout *d = record(l, p, FL_BLINK, fell_by(p, t), p->silence);
		if (!d)
			continue;
		d->first = t;
		fl_returns_begin(l, d);
	}
}

/* A sign of starting: the station is away from its last frame before the
 * first such sign until it keeps its beat again. */
void fl_silence_started(struct fl_ledger *l, struct fl_mac mac, enum fl_mechanism by,
			fl_time t)
{
	for (uint32_t i = 0; i < l->presences.n; i++) {
		struct fl_presence *p = presence_at(l, i);
		if (!fl_mac_equal(p->mac, mac) || p->seconds == 0)
			continue;
		if (t - p->last_start >= FL_SECOND || p->last_start == 0)
			p->starts++;
		p->last_start = t;
		/* What it chatters while it starts is not how it goes on. */
		memset(p->bins, 0, sizeof p->bins);
		struct fl_dropout *d = newest(l, i);
		const bool known = d && d->first && t <= d->first + START_NEAR;
		if (known)
			d->started = true;
		else
			sign_blink(l, p, by, t);
		if (!p->starting && p->steady_streams && t - p->held > FL_SECOND) {
			p->starting = true;
			p->starting_seconds = 0;
		}
	}
}

void fl_silence_edge(struct fl_ledger *l, const struct fl_observation *o)
{
	if (l->edge_count == FL_LEDGER_EDGES) {
		l->lost++;
		return;
	}
	l->edges[l->edge_count++] = (struct fl_edge){
		.ear = o->ear, .mac = o->edge.mac,
		.last = o->edge.last, .first = o->edge.first,
	};
}

/* A silence of a fast stream, too short to be counted in seconds. One in
 * which nobody at all was heard says nothing of this station: see deaf.c. */
static void judge_blink(struct fl_ledger *l, const struct fl_edge *e)
{
	const struct { uint16_t ear; struct fl_mac mac; } key = { e->ear, e->mac };
	struct fl_presence *p = fl_table_find(&l->presences, &key);
	const struct fl_quiet *q = &l->quiet[e->ear];
	if (!p || (q->to > e->last && q->from < e->first))
		return;
	const uint32_t number = (uint32_t)fl_table_number(&l->presences, p);
	for (size_t i = l->dropout_count; i-- > 0;) {
		struct fl_dropout *d = &l->dropouts[i];
		if (d->presence != number || d->last >= e->first ||
		    (d->first && d->first <= e->last))
			continue;
		/* It is one already: this is its beginning, made exact, or a
		 * pause while it starts. */
		if (e->last > d->missed)
			return;
		d->last = e->last;
		if (d->kind == FL_BLINK) {
			d->missed = e->last + EDGE;
			d->first = e->first;
		}
		return;
	}
	struct fl_dropout *d = record(l, p, FL_BLINK,
				      e->last + EDGE, 0);
	if (!d)
		return;
	d->last = e->last;
	d->first = e->first;
	fl_returns_begin(l, d);
}

void fl_silence_blinks(struct fl_ledger *l, uint16_t ear, fl_time now)
{
	size_t kept = 0;
	for (size_t i = 0; i < l->edge_count; i++) {
		const struct fl_edge e = l->edges[i];
		if (e.ear == ear && e.first <= now)
			judge_blink(l, &e);
		else
			l->edges[kept++] = e;
	}
	l->edge_count = kept;
}
