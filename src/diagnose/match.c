#define _GNU_SOURCE   /* FNM_CASEFOLD */
#include "diagnose/match.h"

#include <fnmatch.h>
#include <string.h>
#include <strings.h>

static bool like(const char *glob, const char *text)
{
	return glob && text && fnmatch(glob, text, FNM_CASEFOLD) == 0;
}

bool fl_match_name(const struct fl_device *d, const struct fl_station *s)
{
	for (size_t i = 0; d->glob && i < s->name_count; i++)
		if (like(d->glob, s->names[i]))
			return true;
	if (d->glob && s->system && like(d->glob, s->system))
		return true;
	for (size_t i = 0; d->service && i < s->service_count; i++)
		if (like(d->service, s->services[i]))
			return true;
	return false;
}

static bool has_mac(const struct fl_device *d, struct fl_mac mac)
{
	for (size_t i = 0; i < d->mac_count; i++)
		if (fl_mac_equal(d->macs[i], mac))
			return true;
	return false;
}

static bool has_address(const struct fl_ledger *l, struct fl_mac mac, struct fl_ip ip)
{
	size_t n;
	const struct fl_claimed *claims = fl_ledger_claims(l, &n);
	for (size_t i = 0; i < n; i++)
		if (claims[i].count && fl_ip_equal(claims[i].ip, ip) &&
		    fl_mac_equal(claims[i].mac, mac))
			return true;
	return false;
}

struct matcher {
	const struct fl_ledger *ledger;
	const struct fl_plan *plan;
	const struct fl_station *stations;
	size_t n;
	struct fl_matching *matching;
};

static bool fits(const struct matcher *m, const struct fl_device *d,
		 const struct fl_station *s, enum fl_matched_by by)
{
	switch (by) {
	case FL_BY_MAC:  return has_mac(d, s->mac);
	case FL_BY_NAME: return fl_match_name(d, s);
	/* An address is lent to others: it counts only where no MAC is known. */
	case FL_BY_IP:   return d->mac_count == 0 && !fl_ip_is_none(d->address) &&
				has_address(m->ledger, s->mac, d->address);
	case FL_BY_NOTHING: break;
	}
	return false;
}

/* Give device `i` the stations that fit by this means. By MAC several may be
 * its own; by name or address only one can be, and two are told. */
static void give(struct matcher *m, size_t i, enum fl_matched_by by)
{
	const struct fl_device *d = &m->plan->devices[i];
	struct fl_matched *row = &m->matching->devices[i];
	uint32_t found[FL_MATCH_STATIONS];
	size_t n = 0;
	for (uint32_t s = 0; s < m->n && n < FL_MATCH_STATIONS; s++)
		if (m->matching->owner[s] == FL_NO_DEVICE &&
		    m->stations[s].seconds && fits(m, d, &m->stations[s], by))
			found[n++] = s;
	if (n == 0)
		return;
	row->by = by;
	if (by != FL_BY_MAC && n > 1) {
		row->ambiguous = true;
		memcpy(row->rivals, found, n * sizeof found[0]);
		row->rival_count = n;
		n = 1;
	}
	for (size_t k = 0; k < n; k++) {
		row->stations[row->n++] = found[k];
		m->matching->owner[found[k]] = (int)i;
	}
	if (by == FL_BY_NAME && d->mac_count) {
		row->replaced = true;
		row->replacement = m->stations[found[0]].mac;
	}
}

struct fl_matching *fl_match(const struct fl_ledger *ledger,
			     const struct fl_plan *plan,
			     struct fl_region *region)
{
	struct matcher m = { .ledger = ledger, .plan = plan };
	m.stations = fl_ledger_stations(ledger, &m.n);
	m.matching = fl_region_take(region, sizeof *m.matching);
	if (!m.matching)
		return NULL;
	m.matching->devices = fl_region_array(region, plan->device_count + 1,
					      sizeof *m.matching->devices);
	m.matching->owner = fl_region_array(region, m.n + 1, sizeof *m.matching->owner);
	if (!m.matching->devices || !m.matching->owner)
		return NULL;
	for (size_t s = 0; s < m.n; s++)
		m.matching->owner[s] = FL_NO_DEVICE;
	static const enum fl_matched_by order[] = { FL_BY_MAC, FL_BY_NAME, FL_BY_IP };
	for (size_t k = 0; k < 3; k++)
		for (size_t i = 0; i < plan->device_count; i++)
			if (m.matching->devices[i].by == FL_BY_NOTHING)
				give(&m, i, order[k]);
	return m.matching;
}
