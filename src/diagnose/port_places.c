#define _GNU_SOURCE   /* strcasestr */
#include "diagnose/port_places.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

/* "lower-switch" and "Lower Switch" are one name: letters and digits count. */
static bool same_name(const char *a, const char *b)
{
	while (*a || *b) {
		if (*a && !isalnum((unsigned char)*a))
			a++;
		else if (*b && !isalnum((unsigned char)*b))
			b++;
		else if (tolower((unsigned char)*a++) != tolower((unsigned char)*b++))
			return false;
	}
	return true;
}

static bool is_called(const struct fl_station *s, const char *name)
{
	if (s->system && s->system[0] && same_name(s->system, name))
		return true;
	for (size_t i = 0; i < s->name_count; i++)
		if (same_name(s->names[i], name))
			return true;
	return false;
}

static int owner_of(const struct fl_case *c, struct fl_mac mac)
{
	size_t n;
	const struct fl_station *s = fl_ledger_stations(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		if (fl_mac_equal(s[i].mac, mac))
			return c->matching->owner[i];
	return FL_NO_DEVICE;
}

struct fl_place fl_switch_of(struct fl_case *c, struct fl_mac mac)
{
	const struct fl_plan *plan = c->plan;
	const struct fl_station *s = fl_ledger_find(c->ledger, mac);
	const int device = owner_of(c, mac);
	for (size_t i = 0; s && i < plan->switch_count; i++)
		if (is_called(s, plan->switches[i].name))
			return (struct fl_place){ FL_PLACE_SWITCH, (int)i, 0 };
	if (device >= 0 && plan->devices[device].ports)
		return (struct fl_place){ FL_PLACE_DEVICE, device, 0 };
	for (size_t i = 0; i < plan->device_count; i++)
		if (plan->devices[i].ports)
			return (struct fl_place){ FL_PLACE_NOWHERE, FL_NONE, 0 };
	if (device < 0 && plan->switch_count == 1)
		return (struct fl_place){ FL_PLACE_SWITCH, 0, 0 };
	return (struct fl_place){ FL_PLACE_NOWHERE, FL_NONE, 0 };
}

int fl_port_number(const char *name)
{
	size_t at = strlen(name);
	while (at && isdigit((unsigned char)name[at - 1]))
		at--;
	const long number = strtol(name + at, NULL, 10);
	return number > 0 && number <= FL_PLAN_PORTS ? (int)number : 0;
}

int fl_run_at(const struct fl_plan *plan, struct fl_place place, struct fl_place *other)
{
	for (size_t i = 0; i < plan->run_count; i++)
		for (int end = 0; end < 2; end++) {
			const struct fl_place *e = &plan->runs[i].ends[end];
			if (e->kind != place.kind || e->index != place.index ||
			    e->port != place.port)
				continue;
			*other = plan->runs[i].ends[!end];
			return (int)i;
		}
	return FL_NONE;
}

uint32_t fl_run_carries(const struct fl_plan *plan, int run)
{
	if (run == FL_NONE)
		return 0;
	const struct fl_run *r = &plan->runs[run];
	for (size_t i = 0; i < r->joint_count; i++)
		if (strcasestr(r->joints[i], "D-coded") || strcasestr(r->joints[i], "D coded"))
			return 100;
	return (uint32_t)r->mbit;
}

static struct fl_port_place own_place(struct fl_case *c, const struct fl_port_state *s)
{
	const struct fl_seat *seat = &c->plan->laptop;
	struct fl_port_place out = { .name = s->now.name, .run = FL_NONE };
	struct fl_place other;
	switch (seat->kind) {
	case FL_SEAT_PORT:
		out.place = seat->place;
		out.station = fl_plan_place_text(c->plan, seat->place, c->region);
		break;
	case FL_SEAT_IN_PLACE:
		out.place = seat->place;
		out.run = fl_run_at(c->plan, seat->place, &other);
		if (out.run != FL_NONE)
			out.station = fl_plan_place_text(c->plan, other, c->region);
		break;
	case FL_SEAT_IN_RUN:
		out.run = seat->run;
		break;
	case FL_SEAT_DIRECT:
		out.place = seat->place;
		out.station = fl_plan_place_text(c->plan, seat->place, c->region);
		break;
	case FL_SEAT_UNKNOWN:
		break;
	}
	return out;
}

struct fl_port_place fl_port_place(struct fl_case *c, const struct fl_port_state *s)
{
	if (fl_mac_is_none(s->now.of))
		return own_place(c, s);
	struct fl_port_place out = { .place = fl_switch_of(c, s->now.of), .run = FL_NONE };
	const int in_name = fl_port_number(s->now.name);
	/* A name without a number in it is no numbered port: the switch itself, or
	 * a bridge within it. */
	const int number = in_name ? in_name
		: !s->now.name[0] && s->now.index <= FL_PLAN_PORTS ? (int)s->now.index : 0;
	struct fl_place other;
	const char *of = out.place.kind == FL_PLACE_NOWHERE ? fl_name_of(c, s->now.of)
		: fl_plan_place_text(c->plan, out.place, c->region);
	out.name = number ? fl_region_format(c->region, "port %d of %s", number, of)
		: fl_region_format(c->region, "%s of %s", s->now.name, of);
	if (out.place.kind == FL_PLACE_NOWHERE || !number)
		return out;
	out.place.port = number;
	out.run = fl_run_at(c->plan, out.place, &other);
	if (out.run != FL_NONE)
		out.station = fl_plan_place_text(c->plan, other, c->region);
	return out;
}
