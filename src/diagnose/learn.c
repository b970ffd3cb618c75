#include "diagnose/learn.h"

#include "diagnose/match.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

static const struct fl_plan no_plan = { .name = "" };

/* A name that a plan can hold: its own marks become spaces. */
static void plain(const char *from, char *to, size_t room)
{
	size_t n = 0;
	for (; *from && n + 1 < room; from++)
		to[n++] = strchr("[]=;#,\"", *from) ? ' ' : *from;
	/* Not in the middle of a character (RFC 3629 section 3). */
	while (n && *from && ((unsigned char)*from & 0xc0) == 0x80)
		n--, from--;
	while (n && to[n - 1] == ' ')
		n--;
	to[n] = '\0';
}

static bool taken(const struct fl_lesson *l, const struct fl_plan *plan,
		  const char *name, size_t but)
{
	for (size_t i = 0; i < but; i++)
		if (strcasecmp(l->learnt[i].name, name) == 0)
			return true;
	for (size_t i = 0; i < plan->device_count; i++)
		if (strcasecmp(plan->devices[i].name, name) == 0)
			return true;
	for (size_t i = 0; i < plan->switch_count; i++)
		if (strcasecmp(plan->switches[i].name, name) == 0)
			return true;
	return false;
}

/* What it announces, else its kind, else "station"; numbered where taken. */
static void name_it(struct fl_lesson *l, const struct fl_plan *plan, size_t i,
		    const struct fl_station *s)
{
	struct fl_learnt *d = &l->learnt[i];
	char base[48];
	plain(s->name_count ? s->names[0] : s->system && s->system[0] ? s->system
	      : s->kind && s->kind[0] ? s->kind : "station", base, sizeof base);
	if (base[0] == '\0')
		(void)snprintf(base, sizeof base, "station");
	(void)snprintf(d->name, sizeof d->name, "%s", base);
	for (unsigned k = 2; taken(l, plan, d->name, i); k++)
		(void)snprintf(d->name, sizeof d->name, "%s %u", base, k);
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

static const char *some(const char *text)
{
	return text && text[0] ? text : NULL;
}

static void learn(struct fl_lesson *l, const struct fl_ledger *ledger,
		  const struct fl_plan *plan, const struct fl_station *s)
{
	struct fl_learnt *d = &l->learnt[l->n];
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
	if (c && c->steady) {
		d->cadence = fl_cadence_interval(c);
		d->cadence_to_group = c->filterable;
	}
	name_it(l, plan, l->n, s);
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
		learn(out, ledger, plan, &stations[i]);
		out->same[out->n] = m->owner[i] < 0 ? FL_NONE : m->owner[i];
		out->n++;
	}
	return true;
}
