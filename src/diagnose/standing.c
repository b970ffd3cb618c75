/* standing.c -- how each planned device stands: heard, silent, absent. */
#include "diagnose/firm.h"
#include "diagnose/inner.h"

#include <math.h>
#include <string.h>

/* P(unheard for t | it is there) = sum of w max(0, 1 - t / T), plus the share
 * that speaks only when spoken to. Judgement; DEVELOPERS.md, "Never heard". */
static double unheard_of(const char *kind, double t)
{
	static const double periods[] = { 1, 5, 30, 300, 900 };
	static const struct { double shares[5], never; } rows[] = {
		{ { .50, .30, .17, .02, .005 }, .005 },   /* instruments */
		{ { .45, .20, .24, .07, .02 },  .02 },    /* all others  */
	};
	static const char *const instruments[] = {
		"radar", "sounder", "camera", "display", "autopilot", "gateway",
		"weather", "ais", "gnss",
	};
	size_t row = 1;
	for (size_t i = 0; kind && i < sizeof instruments / sizeof instruments[0]; i++)
		if (strcmp(kind, instruments[i]) == 0)
			row = 0;
	double p = rows[row].never;
	for (size_t i = 0; i < 5; i++)
		p += rows[row].shares[i] * fmax(0, 1 - t / periods[i]);
	return p;
}

/* True if a stream that a switch may hold back is heard here although the
 * laptop asked for no group. */
static bool place_floods(const struct fl_ledger *ledger)
{
	size_t n;
	const struct fl_cadence *all = fl_ledger_cadences(ledger, &n);
	for (size_t i = 0; i < n; i++)
		if (all[i].filterable && all[i].gap_count)
			return true;
	return false;
}

static bool cadence_due(const struct fl_case *c, const struct fl_device *d)
{
	return d->cadence > 0 && (!d->cadence_to_group || c->floods);
}

static enum fl_state never_heard(const struct fl_case *c, size_t i,
				 const struct fl_standing *s)
{
	const struct fl_device *d = &c->plan->devices[i];
	if (c->graph->unplugged[i])
		return FL_STATE_UNPLUGGED;
	if (d->woken_by >= 0 && !c->standing[d->woken_by].present)
		return FL_STATE_ASLEEP;
	if (cadence_due(c, d) && s->unheard < 1e-8)
		return FL_STATE_ABSENT;
	return FL_STATE_UNHEARD;
}

static void add_dropouts(const struct fl_case *c, uint32_t presence,
			 struct fl_standing *s)
{
	size_t n;
	const struct fl_dropout *all = fl_ledger_dropouts(c->ledger, &n);
	for (size_t i = 0; i < n; i++) {
		const struct fl_dropout *d = &all[i];
		if (d->presence != presence || d->deaf || d->kind == FL_SOFT)
			continue;
		/* What somebody did at work is no fault once it is over. */
		if (d->first && fl_ledger_working(c->ledger, d->last, d->missed))
			continue;
		const enum fl_return way = fl_way_told(d);
		if (d->kind == FL_BLINK) {
			s->blinks += way != FL_SOFTWARE && way != FL_PAUSED;
			continue;
		}
		s->dropouts++;
		s->starts += d->spoke ? way == FL_REBOOTED : d->started;
		if (d->first)
			continue;
		s->open = (int)i;
		s->left = d->left;
	}
}

static void add_presence(const struct fl_case *c, uint32_t number,
			 const struct fl_presence *p, struct fl_standing *s)
{
	struct fl_standing here = { .open = -1 };
	uint64_t due, heard;
	add_dropouts(c, number, &here);
	fl_ledger_due(c->ledger, number, &due, &heard);
	s->heard = true;
	s->dropouts += here.dropouts;
	s->blinks += here.blinks;
	s->starts += here.starts;
	/* Heard at one ear is heard. */
	if (here.open < 0)
		s->present = true;
	else
		s->open = here.open;
	s->left |= here.left;
	if (p->last > s->last)
		s->last = p->last;
	if (due > s->due) {
		s->due = due;
		s->beats = heard;
	}
}

static void add_cadence(const struct fl_case *c, struct fl_mac mac,
			struct fl_standing *s)
{
	const struct fl_cadence *cadence = fl_ledger_best_cadence(c->ledger, mac);
	const fl_time interval = cadence ? fl_cadence_interval(cadence) : 0;
	if (interval > 0 && (s->cadence == 0 || interval < s->cadence))
		s->cadence = interval;
	size_t n;
	const struct fl_cadence *all = fl_ledger_cadences(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		if (fl_mac_equal(all[i].key.mac, mac) && !all[i].filterable)
			s->only_groups = false;
}

static void stand(struct fl_case *c, size_t i)
{
	const struct fl_device *d = &c->plan->devices[i];
	const struct fl_matched *m = &c->matching->devices[i];
	struct fl_standing *s = &c->standing[i];
	size_t stations, presences;
	const struct fl_station *station = fl_ledger_stations(c->ledger, &stations);
	const struct fl_presence *presence = fl_ledger_presences(c->ledger, &presences);
	*s = (struct fl_standing){ .open = -1, .only_groups = true };
	for (size_t k = 0; k < m->n; k++) {
		const struct fl_mac mac = station[m->stations[k]].mac;
		for (uint32_t p = 0; p < presences; p++)
			if (fl_mac_equal(presence[p].mac, mac) && presence[p].seconds)
				add_presence(c, p, &presence[p], s);
		add_cadence(c, mac, s);
	}
	if (s->present)
		s->open = -1;
	if (!s->heard) {
		s->only_groups = d->cadence > 0 && d->cadence_to_group;
		s->unheard = cadence_due(c, d) ? exp(fl_firm_log(d, c->seconds))
					       : unheard_of(d->kind, c->seconds);
	}
}

static enum fl_state state_of(const struct fl_case *c, size_t i)
{
	const struct fl_standing *s = &c->standing[i];
	if (!s->heard)
		return never_heard(c, i, s);
	if (!s->present)
		return FL_STATE_SILENT;
	if (c->matching->devices[i].replaced)
		return FL_STATE_REPLACED;
	if (s->dropouts && s->starts * 2 > s->dropouts)
		return FL_STATE_RESTARTS;
	return s->dropouts || s->blinks >= 2 ? FL_STATE_UNSTEADY : FL_STATE_HEARD;
}

/* A device that is silent or not there while a station of its name, that no
 * device owns, is heard: it was replaced. */
static void find_replacement(struct fl_case *c, size_t i)
{
	struct fl_matched *m = &c->matching->devices[i];
	size_t n;
	const struct fl_station *stations = fl_ledger_stations(c->ledger, &n);
	for (size_t s = 0; s < n; s++) {
		if (c->matching->owner[s] != FL_NO_DEVICE || !stations[s].seconds ||
		    stations[s].last <= c->standing[i].last ||
		    !fl_match_name(&c->plan->devices[i], &stations[s]))
			continue;
		m->replaced = true;
		m->replacement = stations[s].mac;
		c->matching->owner[s] = (int)i;
		c->standing[i].state = FL_STATE_REPLACED;
		c->standing[i].present = true;
		c->standing[i].open = -1;
		return;
	}
}

bool fl_stand(struct fl_case *c)
{
	const size_t n = c->plan->device_count;
	c->standing = fl_region_array(c->region, n + 1, sizeof *c->standing);
	if (!c->standing)
		return false;
	c->floods = place_floods(c->ledger);
	for (size_t i = 0; i < n; i++)
		stand(c, i);
	for (size_t i = 0; i < n; i++)
		c->standing[i].state = state_of(c, i);
	for (size_t i = 0; i < n; i++)
		if (!c->standing[i].present && c->standing[i].state != FL_STATE_UNPLUGGED)
			find_replacement(c, i);
	return true;
}

static bool known(enum fl_state state)
{
	static const bool rows[] = {
#define STATE(id, word, words, known) [FL_STATE_##id] = known,
#include "diagnose/states.def"
#undef STATE
	};
	return rows[state];
}

static void show_dropouts(struct fl_case *c, size_t device,
			  struct fl_answer_device *out)
{
	size_t n, presences, stations;
	const struct fl_dropout *all = fl_ledger_dropouts(c->ledger, &n);
	const struct fl_presence *p = fl_ledger_presences(c->ledger, &presences);
	const struct fl_station *s = fl_ledger_stations(c->ledger, &stations);
	const struct fl_matched *m = &c->matching->devices[device];
	struct fl_answer_dropout *list = NULL;
	for (int pass = 0; pass < 2; pass++) {
		if (pass)
			list = fl_region_array(c->region, out->dropout_count + 1, sizeof *list);
		out->dropout_count = 0;
		for (size_t i = 0; i < n; i++)
			for (size_t k = 0; k < m->n; k++) {
				if (all[i].deaf || all[i].kind == FL_SOFT ||
				    !fl_mac_equal(p[all[i].presence].mac,
						  s[m->stations[k]].mac))
					continue;
				if (list)
					list[out->dropout_count] = (struct fl_answer_dropout){
						all[i].last, all[i].first,
						fl_way_told(&all[i]) };
				out->dropout_count++;
			}
	}
	out->dropouts = list;
	out->dropout_count = list ? out->dropout_count : 0;
}

static void show_stations(struct fl_case *c, size_t device,
			  struct fl_answer_device *out)
{
	const struct fl_matched *m = &c->matching->devices[device];
	size_t n;
	const struct fl_station *stations = fl_ledger_stations(c->ledger, &n);
	struct fl_mac *macs = fl_region_array(c->region, m->n + 2, sizeof *macs);
	for (size_t k = 0; macs && k < m->n; k++) {
		const struct fl_station *s = &stations[m->stations[k]];
		macs[out->mac_count++] = s->mac;
		out->software = s->software ? s->software : out->software;
	}
	if (macs && m->replaced && out->mac_count == 0)
		macs[out->mac_count++] = m->replacement;
	out->macs = macs;
	if (out->mac_count)
		out->addresses = fl_addresses_of(c, macs[0], &out->address_count);
}

bool fl_show_devices(struct fl_case *c)
{
	struct fl_answer *a = c->answer;
	a->device_count = c->plan->device_count;
	a->devices = fl_region_array(c->region, a->device_count + 1, sizeof *a->devices);
	if (!a->devices)
		return false;
	a->firm = a->device_count > 0;
	for (size_t i = 0; i < a->device_count; i++) {
		const struct fl_device *d = &c->plan->devices[i];
		const struct fl_standing *s = &c->standing[i];
		struct fl_answer_device *out = &a->devices[i];
		*out = (struct fl_answer_device){
			.name = d->name, .kind = d->kind, .state = s->state,
			.ever_heard = s->heard, .last_heard = s->last,
			.cadence = s->cadence ? s->cadence : d->cadence,
			.due = s->due, .heard = s->beats,
		};
		show_dropouts(c, i, out);
		show_stations(c, i, out);
		for (size_t k = 0; k < out->mac_count && !out->boot_most; k++)
			(void)fl_ledger_boot_time(c->ledger, out->macs[k],
						  &out->boot_least, &out->boot_most);
		a->firm &= known(s->state);
	}
	return true;
}
