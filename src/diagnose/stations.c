/* stations.c -- who was heard, planned or not, and at which ears. */
#include "diagnose/damage.h"
#include "diagnose/inner.h"

#include <string.h>

const struct fl_ip *fl_addresses_of(struct fl_case *c, struct fl_mac mac, size_t *n)
{
	enum { MOST = 8 };
	size_t all;
	const struct fl_claimed *claims = fl_ledger_claims(c->ledger, &all);
	struct fl_ip *list = fl_region_array(c->region, MOST, sizeof *list);
	*n = 0;
	for (size_t i = 0; list && i < all && *n < MOST; i++)
		if (claims[i].count && fl_mac_equal(claims[i].mac, mac))
			list[(*n)++] = claims[i].ip;
	return list;
}

static const char *planned_name(const struct fl_case *c, struct fl_mac mac)
{
	size_t n;
	const struct fl_station *s = fl_ledger_stations(c->ledger, &n);
	for (size_t i = 0; c->matching && i < n; i++)
		if (fl_mac_equal(s[i].mac, mac))
			return c->matching->owner[i] < 0 ? NULL
			     : c->plan->devices[c->matching->owner[i]].name;
	return NULL;
}

const char *fl_name_of(struct fl_case *c, struct fl_mac mac)
{
	char text[FL_MAC_TEXT];
	const char *planned = planned_name(c, mac);
	if (planned)
		return planned;
	const struct fl_station *s = fl_ledger_find(c->ledger, mac);
	fl_mac_text(mac, text);
	return s && s->name_count
		? fl_region_format(c->region, "%s (%s)", s->names[0], text)
		: fl_region_format(c->region, "%s", text);
}

/* What a station that is not in the plan may be; NULL: no idea. Judgement. */
static const char *guess(const struct fl_station *s)
{
	if (s->bridges)
		return "a switch, by its spanning-tree messages";
	if (s->capabilities & FL_IS_BRIDGE)
		return "a switch, as it says";
	if (s->asked_address && fl_mac_is_local(s->mac) && s->name_count == 0 &&
	    s->service_count == 0 && !s->system)
		return "asks for an address, perhaps a phone";
	return NULL;
}

bool fl_show_stations(struct fl_case *c)
{
	struct fl_answer *a = c->answer;
	size_t n;
	const struct fl_station *all = fl_ledger_stations(c->ledger, &n);
	a->stations = fl_region_array(c->region, n + 1, sizeof *a->stations);
	if (!a->stations)
		return false;
	for (size_t i = 0; i < n; i++) {
		const struct fl_station *s = &all[i];
		if (s->seconds == 0)
			continue;   /* only spoken of */
		const struct fl_cadence *cadence = fl_ledger_best_cadence(c->ledger, s->mac);
		struct fl_answer_station *out = &a->stations[a->station_count++];
		*out = (struct fl_answer_station){
			.mac = s->mac, .planned = planned_name(c, s->mac),
			.guess = guess(s), .kind = s->kind, .software = s->software,
			.maker = s->maker, .model = s->model, .serial = s->serial,
			.first_heard = s->first, .last_heard = s->last,
			.frames = s->frames,
			.cadence = cadence ? fl_cadence_interval(cadence) : 0,
			.cadence_to_group = cadence && cadence->filterable,
		};
		for (size_t k = 0; k < s->name_count; k++)
			fl_texts_add(c, &out->names, s->names[k]);
		for (size_t k = 0; k < s->service_count; k++)
			fl_texts_add(c, &out->services, s->services[k]);
		out->addresses = fl_addresses_of(c, s->mac, &out->address_count);
		a->anything_heard = true;
	}
	return true;
}

bool fl_show_ears(struct fl_case *c)
{
	struct fl_answer *a = c->answer;
	size_t n;
	const struct fl_ear_state *ears = fl_ledger_ears(c->ledger, &n);
	a->ears = fl_region_array(c->region, n + 1, sizeof *a->ears);
	if (!a->ears)
		return false;
	for (size_t i = 0; i < n; i++) {
		const struct fl_ear_state *e = &ears[i];
		if (!e->ever)
			continue;
		struct fl_answer_ear *out = &a->ears[a->ear_count++];
		*out = (struct fl_answer_ear){
			.name = e->name, .place = e->place[0] ? e->place : NULL,
			.frames = e->frames, .octets = e->octets,
			.errors = e->errors,
			.errors_known = e->errors || e->checked,
			.lost = e->lost, .own = e->own,
		};
		fl_damage_of_ear(out);
		a->frames += e->frames;
		if (e->until - e->since - e->away > a->listened)
			a->listened = e->until - e->since - e->away;
		if (e->deaf - e->away > a->deaf)
			a->deaf = e->deaf - e->away;
	}
	return true;
}
