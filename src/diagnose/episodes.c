/* episodes.c -- which dropouts began together.
 *
 * A dropout began between the last frame before it and the first beat that was
 * missed. Those that share one instant are one episode: the largest such set
 * first, then the largest of the others. Who fell, who surely stayed, and who
 * was away already and so was blind to it, belongs to the episode.
 */
#include "diagnose/inner.h"

#include <stdlib.h>
#include <string.h>

#define WIDE    (10 * FL_SECOND)   /* so wide, it may fit several: judgement */
#define OFF_FOR (5 * FL_MINUTE)    /* all away so long were switched off     */

struct bound {
	fl_time from, to;
	uint32_t dropout;
	bool taken;
};

struct end { fl_time to; size_t bound; };

struct sweep {
	struct fl_case *c;
	struct bound *at;              /* by `from`                          */
	size_t n;
	struct end *ends;              /* of one stretch, by `to`            */
};

int fl_device_of(const struct fl_case *c, const struct fl_dropout *d)
{
	return c->device_of[d->presence];
}

/* Looked up once: dropouts are many more than presences. */
static bool find_devices(struct fl_case *c)
{
	size_t n, stations;
	const struct fl_presence *p = fl_ledger_presences(c->ledger, &n);
	const struct fl_station *s = fl_ledger_stations(c->ledger, &stations);
	c->device_of = fl_region_array(c->region, n + 1, sizeof *c->device_of);
	for (size_t i = 0; c->device_of && i < n; i++) {
		c->device_of[i] = FL_NO_DEVICE;
		for (size_t k = 0; k < stations; k++)
			if (fl_mac_equal(s[k].mac, p[i].mac))
				c->device_of[i] = c->matching->owner[k];
	}
	return c->device_of != NULL;
}

bool fl_is_away(const struct fl_case *c, const struct fl_dropout *d)
{
	return !d->deaf && !d->left && d->kind != FL_SOFT &&
	       (c->plan->device_count == 0 || fl_device_of(c, d) >= 0);
}

/* ---- who stayed, who was blind ---- */

/* A device that would have been heard within `length` from `at` had it been
 * there, and was: it stayed. Less is no evidence. */
static bool stayed(const struct fl_case *c, size_t device, fl_time at, fl_time length)
{
	const struct fl_standing *s = &c->standing[device];
	return s->present && s->due >= 10 && s->cadence > 0 && s->last > at &&
	       s->cadence * 18 / 10 + 300 * FL_MILLISECOND < length;
}

static void see_others(struct fl_case *c, struct fl_happening *h)
{
	size_t n;
	const struct fl_dropout *all = fl_ledger_dropouts(c->ledger, &n);
	for (size_t i = 0; i < n; i++) {
		if (all[i].deaf || all[i].last > h->from_latest ||
		    (all[i].first && all[i].first <= h->from))
			continue;
		const int device = fl_device_of(c, &all[i]);
		if (device >= 0 && !fl_devices_has(&h->fell, (size_t)device))
			fl_devices_add(&h->blind, (size_t)device);
	}
	for (size_t d = 0; d < c->plan->device_count; d++)
		if (!fl_devices_has(&h->fell, d) && !fl_devices_has(&h->blind, d) &&
		    stayed(c, d, h->from_latest, h->shortest))
			fl_devices_add(&h->stayed, d);
}

/* ---- one episode ---- */

/* Everybody who was there fell, and nobody was back for minutes: somebody
 * switched the network off, as at the end of a day. */
static bool network_off(const struct fl_case *c, const struct fl_happening *h)
{
	size_t there = 0;
	for (size_t i = 0; i < c->plan->device_count; i++)
		there += c->standing[i].heard && !fl_devices_has(&h->blind, i);
	return h->fallen >= 3 && h->fallen == there && h->shortest >= OFF_FOR;
}

static void add_dropout(struct fl_case *c, struct fl_happening *h,
			const struct bound *b)
{
	size_t n;
	const struct fl_dropout *d = &fl_ledger_dropouts(c->ledger, &n)[b->dropout];
	const int device = fl_device_of(c, d);
	const fl_time length = (d->first ? d->first : c->to) - d->last;
	h->from = b->from > h->from ? b->from : h->from;
	h->from_latest = h->n == 0 || b->to < h->from_latest ? b->to : h->from_latest;
	h->to = d->first > h->to ? d->first : h->to;
	h->open |= d->first == 0;
	h->working |= fl_ledger_working(c->ledger, d->last, d->missed);
	h->shortest = h->n == 0 || length < h->shortest ? length : h->shortest;
	h->dropouts[h->n++] = b->dropout;
	if (device < 0 || fl_devices_has(&h->fell, (size_t)device))
		return;
	fl_devices_add(&h->fell, (size_t)device);
	h->fallen++;
}

/* Take all of the bounds from..end that hold `at`, or of the wide ones only. */
static void take(struct sweep *s, size_t from, size_t end, fl_time at)
{
	struct fl_case *c = s->c;
	struct fl_happening *h = &c->happenings[c->happening_count++];
	size_t n = 0;
	for (size_t i = from; i < end; i++)
		n += !s->at[i].taken && s->at[i].from <= at && at <= s->at[i].to;
	h->dropouts = fl_region_array(c->region, n + 1, sizeof *h->dropouts);
	for (size_t i = from; h->dropouts && i < end; i++)
		if (!s->at[i].taken && s->at[i].from <= at && at <= s->at[i].to) {
			s->at[i].taken = true;
			add_dropout(c, h, &s->at[i]);
		}
}

/* ---- the sweep ---- */

static int by_from(const void *a, const void *b)
{
	const struct bound *x = a, *y = b;
	if (x->from != y->from)
		return x->from < y->from ? -1 : 1;
	return x->dropout < y->dropout ? -1 : 1;
}

static int by_to(const void *a, const void *b)
{
	const struct end *x = a, *y = b;
	return x->to < y->to ? -1 : x->to > y->to;
}

/* The instant that most of the bounds from..end hold; 0: none is left. */
static fl_time fullest(const struct sweep *s, size_t from, size_t end)
{
	size_t open = 0, most = 0, e = 0;
	fl_time at = 0;
	for (size_t i = from; i < end; i++) {
		if (s->at[i].taken)
			continue;
		for (; e < end - from && s->ends[e].to < s->at[i].from; e++)
			open -= !s->at[s->ends[e].bound].taken;
		if (++open > most) {
			most = open;
			at = s->at[i].from;
		}
	}
	return at;
}

/* Bounds from..end overlap each other in a chain. */
static void take_stretch(struct sweep *s, size_t from, size_t end)
{
	for (size_t i = from; i < end; i++)
		s->ends[i - from] = (struct end){ s->at[i].to, i };
	qsort(s->ends, end - from, sizeof *s->ends, by_to);
	for (fl_time at; (at = fullest(s, from, end)) != 0;)
		take(s, from, end, at);
}

static void take_all(struct sweep *s)
{
	qsort(s->at, s->n, sizeof *s->at, by_from);
	for (size_t from = 0, end; from < s->n; from = end) {
		fl_time to = s->at[from].to;
		for (end = from + 1; end < s->n && s->at[end].from <= to; end++)
			to = s->at[end].to > to ? s->at[end].to : to;
		take_stretch(s, from, end);
	}
}

/* A wide bound joins the one episode that it fits; of several, none. */
static void join(struct sweep *s, size_t narrow)
{
	struct fl_case *c = s->c;
	for (size_t i = 0; i < s->n; i++) {
		struct fl_happening *fit = NULL;
		size_t fits = 0;
		for (size_t k = 0; k < narrow; k++)
			if (c->happenings[k].from <= s->at[i].to &&
			    c->happenings[k].from_latest >= s->at[i].from) {
				fit = &c->happenings[k];
				fits++;
			}
		if (fits > 1) {
			s->at[i].taken = true;
			c->happenings[c->happening_count].dropouts =
				fl_region_array(c->region, 1, sizeof(uint32_t));
			if (c->happenings[c->happening_count].dropouts)
				add_dropout(c, &c->happenings[c->happening_count++], &s->at[i]);
		} else if (fits == 1) {
			uint32_t *more = fl_region_array(c->region, fit->n + 1, sizeof *more);
			s->at[i].taken = true;
			if (!more)
				continue;
			memcpy(more, fit->dropouts, fit->n * sizeof *more);
			fit->dropouts = more;
			add_dropout(c, fit, &s->at[i]);
		}
	}
}

static int by_time(const void *a, const void *b)
{
	const struct fl_happening *x = a, *y = b;
	if (x->from != y->from)
		return x->from < y->from ? -1 : 1;
	return x->dropouts[0] < y->dropouts[0] ? -1 : 1;
}

/* The dropouts whose bounds are wide, or those whose are not. */
static void choose(struct sweep *s, const struct fl_dropout *all, size_t n, bool wide)
{
	s->n = 0;
	for (uint32_t i = 0; i < n; i++)
		if (fl_is_away(s->c, &all[i]) && (all[i].missed - all[i].last > WIDE) == wide)
			s->at[s->n++] = (struct bound){ all[i].last, all[i].missed, i, false };
}

bool fl_happened(struct fl_case *c)
{
	size_t n;
	const struct fl_dropout *all = fl_ledger_dropouts(c->ledger, &n);
	struct sweep s = { .c = c };
	s.at = fl_region_array(c->region, n + 1, sizeof *s.at);
	s.ends = fl_region_array(c->region, n + 1, sizeof *s.ends);
	c->happenings = fl_region_array(c->region, n + 1, sizeof *c->happenings);
	if (!s.at || !s.ends || !c->happenings || !find_devices(c))
		return false;
	choose(&s, all, n, false);
	take_all(&s);
	const size_t narrow = c->happening_count;
	choose(&s, all, n, true);
	join(&s, narrow);
	size_t left = 0;
	for (size_t i = 0; i < s.n; i++)
		if (!s.at[i].taken)
			s.at[left++] = s.at[i];
	s.n = left;
	take_all(&s);
	qsort(c->happenings, c->happening_count, sizeof *c->happenings, by_time);
	for (size_t i = 0; i < c->happening_count; i++) {
		struct fl_happening *h = &c->happenings[i];
		see_others(c, h);
		h->what = h->working ? FL_HAPPENED_WORK
			: network_off(c, h) ? FL_HAPPENED_NETWORK_OFF : FL_HAPPENED_AWAY;
	}
	return !fl_region_full(c->region);
}
