#include "diagnose/learn.h"

#include "diagnose/match.h"

#include <stdio.h>

static const struct fl_plan no_plan = { .name = "" };

/* What it announces, else its kind, else "station"; the writer tells apart
 * those that are called the same. */
static void name_it(struct fl_learnt *d, const struct fl_station *s)
{
	(void)snprintf(d->name, sizeof d->name, "%s", s->name_count ? s->names[0]
		: s->system && s->system[0] ? s->system
		: s->kind && s->kind[0] ? s->kind : "station");
}

/* The one address it always used; none where it used several. */
static struct fl_ip address_of(const struct fl_ledger *l, struct fl_mac mac)
{
	size_t n, found = 0;
	struct fl_ip one = { { 0 } };
	const struct fl_claimed *claims = fl_ledger_claims(l, &n);
	for (size_t i = 0; i < n; i++)
		if (claims[i].count && fl_ip_is4(claims[i].ip) &&
		    fl_mac_equal(claims[i].mac, mac)) {
			one = claims[i].ip;
			found++;
		}
	return found == 1 ? one : (struct fl_ip){ { 0 } };
}

/* A person's number: a twentieth of its decade is as near as it need be. */
static fl_time rounded(fl_time interval)
{
	fl_time step = FL_MILLISECOND;
	while (step * 200 <= interval)
		step *= 10;
	step = step * 10 / 20 < FL_MILLISECOND ? FL_MILLISECOND : step * 10 / 20;
	return (interval + step / 2) / step * step;
}

static const char *some(const char *text)
{
	return text && text[0] ? text : NULL;
}

static void learn(struct fl_learnt *d, const struct fl_ledger *ledger,
		  const struct fl_station *s)
{
	const struct fl_cadence *c = fl_ledger_best_cadence(ledger, s->mac);
	d->kind = some(s->kind);
	d->announced = s->name_count ? s->names[0] : some(s->system);
	d->service = s->service_count ? s->services[0] : NULL;
	d->software = some(s->software);
	d->maker = some(s->maker);
	d->model = some(s->model);
	d->macs = &s->mac;
	d->mac_count = 1;
	d->address = address_of(ledger, s->mac);
	if (c) {
		d->cadence = rounded(fl_cadence_interval(c));
		d->cadence_to_group = c->filterable;
	}
	name_it(d, s);
}

bool fl_learn(const struct fl_ledger *ledger, const struct fl_plan *plan,
	      struct fl_region *region, struct fl_lesson *out)
{
	size_t n;
	const struct fl_station *stations = fl_ledger_stations(ledger, &n);
	plan = plan ? plan : &no_plan;
	const struct fl_matching *m = fl_match(ledger, plan, region);
	*out = (struct fl_lesson){
		.learnt = fl_region_array(region, n + 1, sizeof *out->learnt),
		.same = fl_region_array(region, n + 1, sizeof *out->same),
	};
	if (!m || !out->learnt || !out->same)
		return false;
	for (size_t i = 0; i < n && out->n < FL_PLAN_DEVICES; i++) {
		if (stations[i].seconds == 0)
			continue;
		learn(&out->learnt[out->n], ledger, &stations[i]);
		out->same[out->n] = m->owner[i] < 0 ? FL_NONE : m->owner[i];
		out->n++;
	}
	return true;
}
