/* hands_tell.c -- what was metered and done, in sentences: a reading with what
 * it says, an action with what the network did after it. */
#include "diagnose/inner.h"

#include "diagnose/supply.h"
#include "plan/named.h"

#include <math.h>
#include <string.h>

enum { SHOWN = 4 };

static bool is_battery(const struct fl_act *act)
{
	return act->act == FL_HAND_METER && strcmp(act->name, "battery") == 0;
}

bool fl_battery_before(const struct fl_case *c, const struct fl_act *act,
		       struct fl_reading *battery)
{
	size_t n;
	const struct fl_act *acts = fl_ledger_acts(c->ledger, &n);
	struct fl_reading plug;
	for (size_t i = n; i-- > 0 && fl_reading_read(act->text, &plug);)
		if (is_battery(&acts[i]) && fl_reading_read(acts[i].text, battery) &&
		    battery->resting == plug.resting && battery->loaded == plug.loaded)
			return true;
	return false;
}

static const char *battery_words(struct fl_case *c, const struct fl_reading *r)
{
	const enum fl_supplied said = fl_judge_battery(r);
	static const char *const rows[] = {
		[FL_SUPPLY_UNTOLD] = "no test of the battery in this state",
		[FL_SUPPLY_WELL] = "full", [FL_SUPPLY_FUSE_WELL] = "full",
		[FL_SUPPLY_LOW] = "not full",
		[FL_SUPPLY_BAD] = "empty; bad if it has rested for 24 h",
		[FL_SUPPLY_BATTERY] = "not full",
		[FL_SUPPLY_OFF] = "nothing there: its switch or main fuse first",
	};
	if (said == FL_SUPPLY_LOW && !r->lithium)
		return fl_region_format(c->region, "about %.0f in 100 charged",
					fl_rest_charge(fl_reading_twelve(r)));
	return rows[said];
}

/* What the lead alone takes, by both forms, so that what is lost beyond it is
 * at a holder, joint or the boat's wiring. */
static const char *lead_words(struct fl_case *c, const struct fl_reading *r,
			      const struct fl_reading *battery)
{
	const double feet = r->metres / 0.3048, mils = r->square_mm * 1973.525;
	if (r->amperes <= 0 || feet <= 0 || mils <= 0)
		return "";
	const double least = fl_drop_metres(r->amperes, r->metres, r->square_mm);
	const double most = fl_drop_feet(r->amperes, feet, mils);
	const double allowed = 0.03 * fabs(battery ? battery->volts : r->volts);
	const double lost = battery ? fabs(battery->volts) - fabs(r->volts) : 0;
	const char *thin = most > allowed
		? fl_region_format(c->region, ", which is thin: ABYC E-11 wants %.1f mm2",
			fl_least_circular_mils(r->amperes, feet, allowed) / 1973.525) : "";
	return fl_region_format(c->region, " The lead itself takes %.2f to %.2f V%s%s.",
		least, most, thin, !battery ? ""
		: lost > most + 0.1 ? fl_region_format(c->region,
			"; %.1f V more are lost at a holder, joint or in the boat's "
			"wiring", lost - most)
		: "; nothing more is lost");
}

static void tell_meter(struct fl_case *c, const struct fl_act *act)
{
	static const char *const plugs[] = {
		[FL_SUPPLY_UNTOLD] = "says nothing",
		[FL_SUPPLY_WELL] = "its supply is well",
		[FL_SUPPLY_FUSE_WELL] = "clears the fuse only; meter it under load",
		[FL_SUPPLY_LOW] = "low: the fuse first",
		[FL_SUPPLY_BAD] = "fuse or holder first, then the lead",
		[FL_SUPPLY_BATTERY] = "low as the battery is: charge that first",
		[FL_SUPPLY_OFF] = "no supply: breaker and fuse first, then the lead",
	};
	static const char *const loads[] = { "", " under load", " without load" };
	static const char *const rests[] = { "", " at rest", " while charging",
					     " with the engine on" };
	struct fl_reading r, battery;
	if (!fl_reading_read(act->text, &r))
		return;
	const bool both = !is_battery(act) && fl_battery_before(c, act, &battery);
	const struct fl_reading *other = both ? &battery : NULL;
	fl_texts_add(c, &c->answer->story, fl_region_format(c->region,
		"%s%s %.1f V%s%s: %s.%s%s", is_battery(act) ? "Battery" : "Plug of ",
		is_battery(act) ? "" : act->name, fabs(r.volts), loads[r.loaded],
		rests[r.resting],
		is_battery(act) ? battery_words(c, &r) : plugs[fl_judge_plug(&r, other)],
		r.volts < 0 ? " The meter's leads were the wrong way round." : "",
		is_battery(act) ? "" : lead_words(c, &r, other)));
}

/* ---- before and after ---- */

struct after {
	uint32_t before, since;      /* dropouts                             */
	bool away, back, was_away;
};

static struct after compare(const struct fl_case *c, size_t device, fl_time at)
{
	size_t n;
	const struct fl_dropout *all = fl_ledger_dropouts(c->ledger, &n);
	struct after a = { .away = !c->standing[device].present };
	for (size_t i = 0; i < n; i++) {
		if (fl_device_of(c, &all[i]) != (int)device || !fl_is_away(c, &all[i]) ||
		    all[i].kind == FL_SOFT)
			continue;
		const bool spans = all[i].last <= at && (!all[i].first || all[i].first > at);
		a.was_away |= spans;
		a.back |= spans && all[i].first;
		a.before += all[i].last <= at;
		a.since += all[i].last > at;
	}
	return a;
}

static const char *after_words(struct fl_case *c, size_t device, fl_time at)
{
	const struct after a = compare(c, device, at);
	const char *name = c->plan->devices[device].name;
	char length[FL_TIME_TEXT];
	fl_time_length(c->to - at, length);
	if (a.away)
		return fl_region_format(c->region, "%s %s after %s", name,
			a.was_away || !c->standing[device].heard ? "still away"
								 : "away", length);
	return fl_region_format(c->region, "%s heard%s, %s in %s", name,
		a.back ? " again" : "", a.since == 0 ? "no dropout"
		: a.since == 1 ? "1 dropout"
		: fl_region_format(c->region, "%u dropouts", a.since), length);
}

/* Is this device one that the action concerns? */
static bool concerned(struct fl_case *c, const struct fl_act *act, size_t device)
{
	const unsigned kinds = FL_NAMED_RUN | FL_NAMED_JOINT;
	struct fl_named n;
	if (act->act == FL_HAND_MOVE || act->act == FL_HAND_SOFTWARE)
		return strcmp(c->plan->devices[device].name, act->name) == 0;
	const char *names[] = { act->name, act->text };
	const bool ports = act->act == FL_HAND_EXCHANGE;
	for (size_t k = 0; k < (ports ? 2 : 1); k++) {
		if (!fl_plan_named(c->plan, names[k], ports ? FL_NAMED_PORT : kinds,
				   c->region, &n))
			continue;
		for (size_t p = 0; p < c->graph->part_count; p++) {
			const struct fl_part *part = &c->graph->parts[p];
			const bool it = ports ? part->kind == FL_PART_PORT &&
				part->place.kind == n.place.kind &&
				part->place.index == n.place.index &&
				part->place.port == n.place.port
				: part->kind == FL_PART_RUN && part->index == n.index;
			if (it && fl_graph_on_way(c->graph, device, p))
				return true;
		}
	}
	return false;
}

static void tell_done(struct fl_case *c, const struct fl_act *act)
{
	static const struct { const char *did, *join; } forms[FL_HANDS] = {
		[FL_HAND_SWAP] = { "swapped", "" }, [FL_HAND_SEAT] = { "seated", "" },
		[FL_HAND_MOVE] = { "moved", " to " },
		[FL_HAND_EXCHANGE] = { "exchanged", " and " },
		[FL_HAND_SOFTWARE] = { "changed the software of", " to " },
	};
	enum { NAMED = 3 };
	const char *list = "";
	size_t named = 0;
	char at[FL_TIME_TEXT];
	if (act->act >= FL_HANDS || !forms[act->act].did)
		return;
	for (size_t i = 0; i < c->plan->device_count && named < NAMED; i++)
		if (concerned(c, act, i))
			list = fl_region_format(c->region, "%s%s%s", list,
				named++ ? "; " : "", after_words(c, i, act->at));
	if (named)
		fl_texts_add(c, &c->answer->story, fl_region_format(c->region,
			"After you %s %s%s%s at %s: %s.", forms[act->act].did, act->name,
			forms[act->act].join, act->text, fl_time_clock(act->at, at), list));
}

void fl_tell_hands(struct fl_case *c)
{
	size_t n, first = 0, told = 0;
	const struct fl_act *acts = fl_ledger_acts(c->ledger, &n);
	/* The newest ones, in the order of time. */
	for (size_t i = n; i-- > 0 && told < SHOWN;)
		if (acts[i].act != FL_HAND_MARK && acts[i].act != FL_HAND_WORK) {
			first = i;
			told++;
		}
	for (size_t i = first; told && i < n; i++) {
		if (acts[i].act == FL_HAND_METER)
			tell_meter(c, &acts[i]);
		else
			tell_done(c, &acts[i]);
	}
}
