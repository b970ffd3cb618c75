/* hands.c -- what hands saw of lights, plugs and displays, as evidence.
 *
 * A sight speaks only of now: it counts if a device it bears on is away and
 * was away by then. Of several of one kind at one place the newest counts.
 *
 * Source  numbers.h
 */
#include "diagnose/inner.h"

#include "diagnose/numbers.h"
#include "diagnose/supply.h"
#include "plan/named.h"

#include <math.h>
#include <string.h>

enum sight {
#define SIGHT(id, ...) SIGHT_##id,
	FL_SIGHT_ROWS(SIGHT)
#undef SIGHT
	NO_SIGHT,
};

enum { ELSEWHERE, BY_RUN, BY_PORT, BY_DEVICE, BY_FEED, BY_SWITCH, WHERES };

static const double chances[][WHERES] = {
#define SIGHT(id, ...) [SIGHT_##id] = { __VA_ARGS__ },
	FL_SIGHT_ROWS(SIGHT)
#undef SIGHT
};

/* What one act saw, and of what: `at` devices whose own way it bears on. */
struct seen {
	struct fl_case *c;
	enum sight sight;
	int device, feed, on;        /* FL_NONE: not it; on: the switch      */
	struct fl_place port;
	int run;
	const struct fl_graph *shown;   /* ways to the display               */
};

bool fl_feeds(const struct fl_plan *plan, int device, int feed)
{
	for (size_t i = 0; device >= 0 && i < plan->devices[device].feed_count; i++)
		if (plan->devices[device].feeds[i].kind == FL_FEED_SUPPLY &&
		    plan->devices[device].feeds[i].index == feed)
			return true;
	return false;
}

static bool switch_fed(const struct fl_plan *plan, int on, int feed)
{
	for (size_t i = 0; on >= 0 && i < plan->switches[on].feed_count; i++)
		if (plan->switches[on].feeds[i].kind == FL_FEED_SUPPLY &&
		    plan->switches[on].feeds[i].index == feed)
			return true;
	return false;
}

/* The same part where the display is in the laptop's stead. */
static bool on_shown_way(const struct seen *s, const struct fl_part *part)
{
	for (size_t i = 0; i < s->shown->part_count; i++)
		if (strcmp(s->shown->parts[i].key, part->key) == 0)
			return fl_graph_on_way(s->shown, (size_t)s->device, i);
	return false;
}

static int where(const struct seen *s, const struct fl_part *p)
{
	const struct fl_plan *plan = s->c->plan;
	static const int rows[] = {
		[FL_PART_RUN] = BY_RUN, [FL_PART_PORT] = BY_PORT,
		[FL_PART_DEVICE] = BY_DEVICE, [FL_PART_FEED] = BY_FEED,
		[FL_PART_SWITCH] = BY_SWITCH, [FL_PART_LAPTOP] = ELSEWHERE,
		[FL_PART_SETTINGS] = ELSEWHERE, [FL_PART_FILTER] = ELSEWHERE,
	};
	bool at = false;
	if (s->shown)
		return on_shown_way(s, p) ? rows[p->kind] : ELSEWHERE;
	if (p->kind == FL_PART_RUN)
		at = p->index == s->run;
	else if (p->kind == FL_PART_PORT)
		at = s->port.port && p->place.kind == s->port.kind &&
		     p->place.index == s->port.index && p->place.port == s->port.port;
	else if (p->kind == FL_PART_DEVICE)
		at = p->index == s->device;
	else if (p->kind == FL_PART_SWITCH)
		at = p->index == s->on;
	else if (p->kind == FL_PART_FEED)
		at = p->index == s->feed || fl_feeds(plan, s->device, p->index) ||
		     switch_fed(plan, s->on, p->index);
	return at ? rows[p->kind] : ELSEWHERE;
}

static void weigh(const struct seen *s)
{
	const double *row = chances[s->sight];
	for (size_t i = 0; i < s->c->graph->part_count; i++) {
		const double dead = row[where(s, &s->c->graph->parts[i])];
		const double some = FL_SIGHT_UNSTEADY * dead +
				    (1 - FL_SIGHT_UNSTEADY) * row[ELSEWHERE];
		s->c->hands[i * FL_MODES + FL_DEAD] += log(dead / row[ELSEWHERE]);
		s->c->hands[i * FL_MODES + FL_UNSTEADY] += log(some / row[ELSEWHERE]);
	}
}

static bool is_away(const struct fl_case *c, size_t device, fl_time at)
{
	const struct fl_standing *s = &c->standing[device];
	return !s->present && (!s->heard || s->last <= at);
}

/* A device that this bears on is away, and was by then. */
static bool bears(const struct seen *s, fl_time at)
{
	for (size_t i = 0; i < s->c->plan->device_count; i++)
		if (((int)i == s->device || fl_feeds(s->c->plan, (int)i, s->feed) ||
		     s->on != FL_NONE) && is_away(s->c, i, at))
			return true;
	return false;
}

/* ---- one function an act ---- */

static enum sight lit(const char *text, bool own)
{
	return strcmp(text, "lit") == 0 ? own ? SIGHT_OWN_LIT : SIGHT_PORT_LIT
	     : strcmp(text, "dark") == 0 ? own ? SIGHT_OWN_DARK : SIGHT_PORT_DARK
	     : strcmp(text, "fault") == 0 ? own ? SIGHT_OWN_FAULT : SIGHT_PORT_FAULT
	     : NO_SIGHT;
}

/* Whose cable is in the port: its run, and the device at its other end. */
static void follow(struct seen *s)
{
	const struct fl_plan *plan = s->c->plan;
	for (size_t r = 0; r < plan->run_count; r++)
		for (int end = 0; end < 2; end++) {
			const struct fl_place *at = plan->runs[r].ends;
			if (at[end].kind != s->port.kind || at[end].index != s->port.index ||
			    at[end].port != s->port.port)
				continue;
			s->run = (int)r;
			if (at[!end].kind == FL_PLACE_DEVICE)
				s->device = at[!end].index;
		}
}

/* A switch's own light tells of it and its supply as a device's does. */
static void see_light(struct seen *s, const struct fl_act *act)
{
	struct fl_named n;
	if (!fl_plan_named(s->c->plan, act->name, FL_NAMED_DEVICE | FL_NAMED_SWITCH |
			   FL_NAMED_PORT, s->c->region, &n))
		return;
	s->sight = lit(act->text, n.kind != FL_NAMED_PORT);
	if (n.kind == FL_NAMED_DEVICE) {
		s->device = n.index;
	} else if (n.kind == FL_NAMED_SWITCH) {
		s->on = n.index;
		s->sight = lit(act->text, false);
	} else {
		s->port = n.place;
		follow(s);
	}
}

static void see_meter(struct seen *s, const struct fl_act *act)
{
	struct fl_named n;
	struct fl_reading r;
	if (!fl_reading_read(act->text, &r) ||
	    !fl_plan_named(s->c->plan, act->name, FL_NAMED_DEVICE | FL_NAMED_SWITCH |
			   FL_NAMED_FEED, s->c->region, &n))
		return;
	static const enum sight rows[] = {
		[FL_SUPPLY_UNTOLD] = NO_SIGHT, [FL_SUPPLY_WELL] = SIGHT_PLUG_GOOD,
		[FL_SUPPLY_FUSE_WELL] = SIGHT_FUSE_GOOD, [FL_SUPPLY_LOW] = SIGHT_PLUG_BAD,
		[FL_SUPPLY_BAD] = SIGHT_PLUG_BAD, [FL_SUPPLY_BATTERY] = NO_SIGHT,
		[FL_SUPPLY_OFF] = SIGHT_PLUG_BAD,
	};
	struct fl_reading battery;
	const bool both = fl_battery_before(s->c, act, &battery);
	s->sight = rows[fl_judge_plug(&r, both ? &battery : NULL)];
	*(n.kind == FL_NAMED_DEVICE ? &s->device
	  : n.kind == FL_NAMED_SWITCH ? &s->on : &s->feed) = n.index;
}

/* The text is "yes DEVICE" or "no DEVICE". */
static void see_display(struct seen *s, const struct fl_act *act)
{
	struct fl_case *c = s->c;
	struct fl_named display, device;
	const bool yes = strncmp(act->text, "yes ", 4) == 0;
	if (!yes && strncmp(act->text, "no ", 3) != 0)
		return;
	if (!fl_plan_named(c->plan, act->name, FL_NAMED_DEVICE, c->region, &display) ||
	    !fl_plan_named(c->plan, act->text + (yes ? 4 : 3), FL_NAMED_DEVICE, c->region,
			   &device))
		return;
	struct fl_plan plan = *c->plan;
	plan.laptop = (struct fl_seat){ FL_SEAT_IN_PLACE,
		{ FL_PLACE_DEVICE, display.index, 0 }, FL_NONE };
	s->shown = fl_graph_new(&plan, c->region);
	s->device = device.index;
	s->sight = s->shown ? yes ? SIGHT_SHOWN : SIGHT_NOT_SHOWN : NO_SIGHT;
}

static bool is_newest(const struct fl_act *acts, size_t i, size_t n)
{
	const char *other = strchr(acts[i].text, ' ');
	for (size_t k = i + 1; k < n; k++) {
		const char *of = strchr(acts[k].text, ' ');
		if (acts[k].act == acts[i].act && strcmp(acts[k].name, acts[i].name) == 0 &&
		    (acts[i].act != FL_HAND_SHOWS ||
		     (other && of && strcmp(other, of) == 0)))
			return false;
	}
	return true;
}

bool fl_hands(struct fl_case *c)
{
	size_t n;
	const struct fl_act *acts = fl_ledger_acts(c->ledger, &n);
	c->hands = fl_region_array(c->region, (c->graph->part_count + 1) * FL_MODES,
				   sizeof *c->hands);
	for (size_t i = 0; c->hands && i < n; i++) {
		struct seen s = { .c = c, .sight = NO_SIGHT, .device = FL_NONE,
				  .feed = FL_NONE, .on = FL_NONE, .run = FL_NONE };
		void (*const see)(struct seen *, const struct fl_act *) =
			acts[i].act == FL_HAND_LIGHT ? see_light
			: acts[i].act == FL_HAND_METER ? see_meter
			: acts[i].act == FL_HAND_SHOWS ? see_display : NULL;
		if (!see || !is_newest(acts, i, n))
			continue;
		see(&s, &acts[i]);
		if (s.sight != NO_SIGHT && bears(&s, acts[i].at))
			weigh(&s);
	}
	return c->hands;
}

double fl_hand_log(const struct fl_case *c, size_t part, enum fl_mode mode)
{
	return c->hands[part * FL_MODES + (size_t)mode];
}
