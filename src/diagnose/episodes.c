/* episodes.c -- what the ledger holds, as evidence to weigh. */
#include "diagnose/inner.h"

#include "diagnose/numbers.h"

#include <math.h>
#include <string.h>

static int device_of(const struct fl_case *c, uint32_t presence)
{
	size_t n, stations;
	const struct fl_presence *p = fl_ledger_presences(c->ledger, &n);
	const struct fl_station *s = fl_ledger_stations(c->ledger, &stations);
	for (size_t i = 0; i < stations; i++)
		if (fl_mac_equal(s[i].mac, p[presence].mac))
			return c->matching->owner[i];
	return FL_NO_DEVICE;
}

/* A device that would have been heard within `length` from `at` had it been
 * there, and was: it stayed. Less is no evidence. */
static bool stayed(const struct fl_case *c, size_t device, fl_time at, fl_time length)
{
	const struct fl_standing *s = &c->standing[device];
	return s->present && s->due >= 10 && s->cadence > 0 && s->last > at &&
	       s->cadence * 18 / 10 + 300 * FL_MILLISECOND < length;
}

static void keep_episode(struct fl_evidence *e, const struct fl_episode *g)
{
	for (size_t i = 0; i < e->episode_count; i++)
		if (fl_devices_equal(&e->episodes[i].fell, &g->fell) &&
		    fl_devices_equal(&e->episodes[i].stayed, &g->stayed) &&
		    e->episodes[i].open == g->open) {
			e->episodes[i].count++;
			return;
		}
	if (e->episode_count < FL_EVIDENCE_EPISODES)
		e->episodes[e->episode_count++] = *g;
}

/* Gather the dropouts whose beginnings share one instant with that of `first`;
 * those taken are marked. */
static void gather(struct fl_case *c, struct fl_evidence *e,
		   const struct fl_dropout *all, size_t n, size_t first, bool *taken)
{
	struct fl_episode g = { .count = 1 };
	fl_time from = all[first].last, to = all[first].missed, length = INT64_MAX;
	for (size_t i = first; i < n; i++) {
		const int device = device_of(c, all[i].presence);
		if (taken[i] || all[i].last > to || all[i].missed < from)
			continue;
		taken[i] = true;
		if (device < 0)
			continue;
		from = all[i].last > from ? all[i].last : from;
		to = all[i].missed < to ? all[i].missed : to;
		fl_devices_add(&g.fell, (size_t)device);
		const fl_time end = all[i].first ? all[i].first : c->to;
		g.open |= all[i].first == 0;
		length = end - all[i].last < length ? end - all[i].last : length;
	}
	for (size_t d = 0; d < e->devices; d++)
		if (!fl_devices_has(&g.fell, d) && stayed(c, d, to, length))
			fl_devices_add(&g.stayed, d);
	keep_episode(e, &g);
}

static bool gather_episodes(struct fl_case *c, struct fl_evidence *e)
{
	size_t n;
	const struct fl_dropout *all = fl_ledger_dropouts(c->ledger, &n);
	bool *taken = fl_region_array(c->region, n + 1, sizeof *taken);
	if (!taken)
		return false;
	e->background = FL_BACKGROUND;
	for (size_t i = 0; i < n; i++) {
		const int device = device_of(c, all[i].presence);
		taken[i] = all[i].deaf || all[i].left || all[i].kind == FL_SOFT || device < 0;
		if (!taken[i] && all[i].kind == FL_BLINK)
			e->background = FL_BLINKS;
	}
	for (size_t i = 0; i < n; i++)
		if (!taken[i])
			gather(c, e, all, n, i, taken);
	return true;
}

static void see_devices(const struct fl_case *c, struct fl_evidence *e)
{
	for (size_t i = 0; i < e->devices; i++) {
		const struct fl_standing *s = &c->standing[i];
		e->unheard[i] = s->heard ? 1e-4 : fmin(fmax(s->unheard, 1e-12), 0.999);
		e->seen[i] = s->state == FL_STATE_UNPLUGGED || s->left ||
			       s->state == FL_STATE_REPLACED ? FL_SEEN_NOTHING
			     : s->heard ? FL_SEEN_HEARD : FL_SEEN_NEVER;
	}
}

bool fl_gather(struct fl_case *c, struct fl_evidence *e)
{
	see_devices(c, e);
	return gather_episodes(c, e);
}
