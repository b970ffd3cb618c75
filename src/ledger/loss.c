/* loss.c -- single frames that were lost on the way, hour by hour.
 *
 * Only what nothing else explains: not within a dropout of anybody, deaf time,
 * a storm, or what this host dropped. Numbers are told by the minute and such
 * times in seconds, so a minute that touches one of them is left out whole.
 * Some of them are known long after (a dropout is concluded, deaf time judged
 * after the return), so a minute waits half an hour before it is judged for
 * good. A minute of a presence is counted by numbers if any of its streams has
 * some, else by the beats of its strict cadences; so nothing counts twice.
 *
 * Ceiling FL_LEDGER_MINUTES wait; where there are more, the oldest are judged
 *         sooner. FL_LEDGER_LOSSES hours; the oldest are forgotten
 */
#include "ledger/inner.h"

#include <stdlib.h>

/* Judgement: all of it. */
#define BEFORE_FALL  (FL_SECOND / 2)
#define AFTER_RETURN (2 * FL_SECOND)
#define JUDGED_AFTER (30 * FL_MINUTE)
/* Who stays away for longer is no matter of what is lost on others' ways but
 * at its fall and at its return. */
#define LONG_AWAY    (2 * FL_MINUTE)
/* Numbers of a minute reach back so far to the number before (numbers.c of
 * tally), and on by frames that came before its last second was told. */
#define REACHES_BACK (5 * FL_SECOND)
#define REACHES_ON   (1200 * FL_MILLISECOND)
enum { MISSED_IN_A_ROW = 3 };    /* beats; more are a gap */

struct hour_key {
	uint32_t presence, by;
	fl_time  from;
};

struct hour {
	struct hour_key key;
	struct fl_loss loss;
};

bool fl_loss_open(struct fl_ledger *l)
{
	l->minutes = calloc(FL_LEDGER_MINUTES, sizeof *l->minutes);
	return l->minutes && fl_table_init(&l->losses, FL_LEDGER_LOSSES,
		sizeof(struct hour_key), sizeof(struct hour));
}

void fl_loss_close(struct fl_ledger *l)
{
	fl_table_close(&l->losses);
	free(l->minutes);
}

void fl_loss_beat(struct fl_cadence *c, fl_time t, uint32_t missed)
{
	if (missed > MISSED_IN_A_ROW || t <= c->last)
		return;
	if (c->came == 0)
		c->counted_from = c->last;
	c->came++;
	c->missing += missed;
}

void fl_loss_trouble(struct fl_ledger *l, uint16_t ear, fl_time from, fl_time to)
{
	struct fl_trouble *last = l->trouble_count
		? &l->troubles[(l->trouble_count - 1) % FL_LEDGER_TROUBLES] : NULL;
	if (last && last->ear == ear && from <= last->to) {
		last->to = to > last->to ? to : last->to;
		return;
	}
	l->troubles[l->trouble_count++ % FL_LEDGER_TROUBLES] =
		(struct fl_trouble){ ear, from, to };
}

static bool meets(fl_time a, fl_time b, fl_time from, fl_time to)
{
	return a < to && b > from;
}

static bool troubled(const struct fl_ledger *l, uint16_t ear, fl_time from, fl_time to)
{
	const size_t n = l->trouble_count < FL_LEDGER_TROUBLES ? l->trouble_count
							       : FL_LEDGER_TROUBLES;
	for (size_t i = 0; i < n; i++)
		if (l->troubles[i].ear == ear &&
		    meets(l->troubles[i].from, l->troubles[i].to, from, to))
			return true;
	return false;
}

static bool falls_or_returns(const struct fl_dropout *d, fl_time from, fl_time to)
{
	const fl_time fall = d->last - BEFORE_FALL;
	const fl_time away = d->missed + LONG_AWAY;
	if (d->first == 0)
		return meets(fall, away, from, to);
	return meets(fall, d->first < away ? d->first + AFTER_RETURN : away, from, to) ||
	       meets(d->first - BEFORE_FALL, d->first + AFTER_RETURN, from, to);
}

static bool left_out(const struct fl_ledger *l, uint16_t ear, fl_time from, fl_time to)
{
	if (fl_deaf_overlaps(l, ear, from, to) || troubled(l, ear, from, to))
		return true;
	for (size_t i = l->dropout_count; i-- > 0;) {
		const struct fl_dropout *d = &l->dropouts[i];
		if (d->kind != FL_SOFT && !d->deaf && falls_or_returns(d, from, to))
			return true;
	}
	return false;
}

/* Most of a minute's streams ask for the same time. */
struct asked {
	bool    known, answer;
	uint16_t ear;
	fl_time from, to;
};

static bool counts(const struct fl_ledger *l, const struct fl_minute *m, struct asked *a)
{
	if (presence_at(l, m->presence)->first >= m->to ||
	    cadence_at(l, m->cadence)->presence != m->presence)
		return false;        /* its entry was turned over */
	if (!a->known || a->ear != m->ear || a->from != m->since || a->to != m->to)
		*a = (struct asked){ true,
			!left_out(l, m->ear, m->since, m->to + REACHES_ON),
			m->ear, m->since, m->to };
	return a->answer;
}

static fl_time hour_of(fl_time t)
{
	return t - t % FL_HOUR;
}

static void add_minute(struct fl_loss *loss, const struct fl_minute *m)
{
	loss->received += m->received;
	loss->missed += m->missed;
	loss->listened += m->first ? m->to - m->from : 0;
}

static void judge(struct fl_ledger *l, const struct fl_minute *m)
{
	struct hour_key key;
	memset(&key, 0, sizeof key);
	key.presence = m->presence;
	key.by = m->by;
	key.from = hour_of(m->from);
	bool added;
	struct hour *h = fl_table_add(&l->losses, &key, &added);
	if (!h) {                    /* round by number: the oldest */
		h = fl_table_rename(&l->losses, l->loss_hand, &key);
		l->loss_hand = (l->loss_hand + 1) % FL_LEDGER_LOSSES;
		added = true;
	}
	if (added) {
		h->loss.from = key.from;
		h->loss.by = (enum fl_loss_by)m->by;
	}
	add_minute(&h->loss, m);
	struct fl_cadence *c = cadence_at(l, m->cadence);
	c->received += m->received;
	c->missed += m->missed;
}

static const struct fl_minute *minute_at(const struct fl_ledger *l, size_t i)
{
	return &l->minutes[(l->minute_first + i) % FL_LEDGER_MINUTES];
}

/* Judge those that are old enough, and the oldest for which there is no room. */
static void judge_old(struct fl_ledger *l, fl_time now, size_t room)
{
	struct asked asked = { .known = false };
	while (l->minute_count) {
		const struct fl_minute *m = minute_at(l, 0);
		if (m->to > now - JUDGED_AFTER && l->minute_count <= room)
			return;
		if (counts(l, m, &asked))
			judge(l, m);
		l->minute_first = (l->minute_first + 1) % FL_LEDGER_MINUTES;
		l->minute_count--;
	}
}

/* By what this minute of each presence is counted, and since when. */
static void look_ahead(struct fl_ledger *l, const struct fl_observation *o,
		       const struct fl_minute_row *row)
{
	const struct fl_cadence *c = fl_ledger_numbered(l, row->stream);
	if (!c || c->key.ear != o->ear || (!row->received && !row->missed && !c->came))
		return;
	struct fl_presence *p = presence_at(l, c->presence);
	if (p->minute.to != o->to) {
		p->minute.to = o->to;
		p->minute.since = o->from;
		p->minute.by = FL_LOSS_BY_BEATS;
		p->minute.told = false;
	}
	if (row->received || row->missed)
		p->minute.by = FL_LOSS_BY_NUMBERS;
	if (c->came && c->counted_from < p->minute.since)
		p->minute.since = c->counted_from;
}

static void keep(struct fl_ledger *l, const struct fl_observation *o,
		 const struct fl_minute_row *row)
{
	struct fl_cadence *c = fl_ledger_numbered(l, row->stream);
	if (!c || c->key.ear != o->ear)
		return;
	struct fl_presence *p = presence_at(l, c->presence);
	const bool numbers = row->received || row->missed;
	const bool counted = p->minute.to == o->to &&
		(p->minute.by == FL_LOSS_BY_NUMBERS ? numbers : c->came > 0);
	if (counted) {
		judge_old(l, o->to, FL_LEDGER_MINUTES - 1);
		l->minutes[(l->minute_first + l->minute_count++) % FL_LEDGER_MINUTES] =
			(struct fl_minute){
				.cadence = (uint32_t)fl_table_number(&l->cadences, c),
				.presence = c->presence, .ear = o->ear,
				.by = p->minute.by, .first = !p->minute.told,
				.from = o->from, .to = o->to,
				.since = p->minute.by == FL_LOSS_BY_NUMBERS
					? o->from - REACHES_BACK : p->minute.since,
				.received = numbers ? row->received : c->came,
				.missed = numbers ? row->missed : c->missing,
			};
		p->minute.told = true;
	}
	c->came = c->missing = 0;
}

void fl_loss_minute(struct fl_ledger *l, const struct fl_observation *o)
{
	/* A journal may say anything. */
	if (o->from < 0 || o->to <= o->from || o->to - o->from > FL_HOUR)
		return;
	for (size_t i = 0; i < o->minute.n; i++)
		look_ahead(l, o, &o->minute.rows[i]);
	for (size_t i = 0; i < o->minute.n; i++)
		keep(l, o, &o->minute.rows[i]);
	judge_old(l, o->to, FL_LEDGER_MINUTES);
}

/* ---- reading ---- */

struct listing {
	struct fl_loss *out;
	size_t room, n;
};

static int order(const struct fl_loss *a, fl_time from, enum fl_loss_by by)
{
	return a->from != from ? (a->from < from ? -1 : 1)
	     : a->by != by ? (a->by < by ? -1 : 1) : 0;
}

/* The row of this hour in a list by time, made where there is none; NULL: it
 * is older than all that there is room for. */
static struct fl_loss *row_of(struct listing *list, fl_time from, enum fl_loss_by by)
{
	size_t at = list->n;
	while (at > 0 && order(&list->out[at - 1], from, by) > 0)
		at--;
	if (at > 0 && order(&list->out[at - 1], from, by) == 0)
		return &list->out[at - 1];
	if (list->n == list->room && at == 0)
		return NULL;
	if (list->n == list->room) {
		memmove(list->out, list->out + 1, --at * sizeof *list->out);
	} else {
		memmove(list->out + at + 1, list->out + at,
			(list->n++ - at) * sizeof *list->out);
	}
	list->out[at] = (struct fl_loss){ .from = from, .by = by };
	return &list->out[at];
}

size_t fl_ledger_loss(const struct fl_ledger *l, uint32_t presence,
		      struct fl_loss *out, size_t room)
{
	struct listing list = { .out = out, .room = room };
	struct asked asked = { .known = false };
	for (size_t i = 0; i < l->losses.n; i++) {
		const struct hour *h = fl_table_at(&l->losses, i);
		struct fl_loss *row = h->key.presence == presence
			? row_of(&list, h->loss.from, h->loss.by) : NULL;
		if (row)
			*row = h->loss;
	}
	for (size_t i = 0; i < l->minute_count; i++) {
		const struct fl_minute *m = minute_at(l, i);
		struct fl_loss *row = m->presence == presence && counts(l, m, &asked)
			? row_of(&list, hour_of(m->from), (enum fl_loss_by)m->by) : NULL;
		if (row)
			add_minute(row, m);
	}
	return list.n;
}

size_t fl_ledger_stream_loss(const struct fl_ledger *l, uint32_t presence,
			     struct fl_size_sample *out, size_t room)
{
	const struct fl_presence *p = presence_at(l, presence);
	struct asked asked = { .known = false };
	size_t n = 0;
	for (uint32_t i = 0; i < p->cadence_count && n < room; i++) {
		const struct fl_cadence *c = cadence_of(l, presence, i);
		if (!c || c->frames == 0)
			continue;
		struct fl_size_sample s = {
			.octets = (double)c->octets / (double)c->frames,
			.received = c->received, .missed = c->missed,
		};
		for (size_t k = 0; k < l->minute_count; k++) {
			const struct fl_minute *m = minute_at(l, k);
			if (m->cadence != p->cadences[i] || !counts(l, m, &asked))
				continue;
			s.received += m->received;
			s.missed += m->missed;
		}
		if (s.received)
			out[n++] = s;
	}
	return n;
}
