/* steps.c -- what to do next, in the trade's order: the quick looks first.
 *
 * One row a step: which kind of part it looks at, its minutes, and the
 * function that words it. A step that touches supply, antenna or mast brings
 * its caution; none ever proposes to unplug a device that steers.
 *
 * Source  common practice for the order; minutes are judgement, for runs
 *         within reach on a boat of 10 to 15 m
 */
#include "diagnose/inner.h"

#include "plan/named.h"

#include <string.h>

enum { SHOWN = 7 };

struct target {
	struct fl_case *c;
	const struct fl_part *part;
	const char *away;            /* devices it keeps away, in words      */
	int    device;               /* one of them                          */
	bool   several;
	bool   radar;                /* one is behind it, heard or not       */
};

static const char *const supply_caution =
	"Supply: switch off and meter before you touch a fuse or lead; local codes "
	"and a licensed electrician decide.";
static const char *const radar_caution =
	"Radar: nobody near the antenna when it is woken; standby and breaker off "
	"before plugs are parted or anybody goes aloft.";
static const char *const mast_caution =
	"Mast: power off what stands there before plugs are parted; nobody goes aloft "
	"alone.";
static const char *const power_caution =
	"Power goes over this cable: switch it off before a plug is parted.";

static bool feeds_somebody(const struct fl_plan *plan, int run)
{
	for (size_t i = 0; i < plan->device_count; i++)
		for (size_t k = 0; k < plan->devices[i].feed_count; k++)
			if (plan->devices[i].feeds[k].kind == FL_FEED_RUN &&
			    plan->devices[i].feeds[k].index == run)
				return true;
	for (size_t i = 0; i < plan->switch_count; i++)
		for (size_t k = 0; k < plan->switches[i].feed_count; k++)
			if (plan->switches[i].feeds[k].kind == FL_FEED_RUN &&
			    plan->switches[i].feeds[k].index == run)
				return true;
	return false;
}

static bool is_aloft(const char *name)
{
	return name && (strstr(name, "mast") || strstr(name, "Mast"));
}

static bool run_is_aloft(const struct target *t, const struct fl_run *run)
{
	const struct fl_plan *plan = t->c->plan;
	bool aloft = false;
	for (size_t i = 0; i < run->joint_count; i++)
		aloft |= is_aloft(run->joints[i]);
	for (size_t i = 0; i < 2; i++)
		aloft |= is_aloft(fl_plan_place_text(plan, run->ends[i], t->c->region));
	return aloft;
}

/* What a step with hands at this part brings into danger, the worst first; who
 * only looks at a light is in none. */
static const char *caution_for(const struct target *t)
{
	const struct fl_plan *plan = t->c->plan;
	const bool is_run = t->part->kind == FL_PART_RUN;
	switch (t->part->kind) {
	case FL_PART_FEED:
		return supply_caution;
	case FL_PART_PORT:
		return t->radar && !t->several ? radar_caution : NULL;
	case FL_PART_RUN:
	case FL_PART_DEVICE:
	case FL_PART_FILTER:
		if (t->radar)
			return radar_caution;
		if (is_run ? run_is_aloft(t, &plan->runs[t->part->index])
			   : t->device >= 0 && is_aloft(plan->devices[t->device].name))
			return mast_caution;
		return is_run && feeds_somebody(plan, t->part->index) ? power_caution : NULL;
	case FL_PART_LAPTOP:
	case FL_PART_SWITCH:
	case FL_PART_SETTINGS:
		return NULL;
	}
	return NULL;
}

static bool leave_alone(const struct target *t)
{
	return t->device >= 0 && t->c->plan->devices[t->device].leave;
}

static const char *ends_of(struct fl_case *c, const struct fl_run *run)
{
	return fl_region_format(c->region, "%s and %s",
		fl_plan_place_text(c->plan, run->ends[0], c->region),
		fl_plan_place_text(c->plan, run->ends[1], c->region));
}

static const char *cable(struct fl_case *c, const struct fl_run *run)
{
	return run->name ? run->name
	     : fl_region_format(c->region, "the cable between %s", ends_of(c, run));
}

/* ---- what to type afterwards ---- */

static const char *then_light(struct fl_case *c, struct fl_place port)
{
	return fl_region_format(c->region, "jot light %s dark", fl_quoted(c,
		port.port ? fl_plan_port_handle(c->plan, port, c->region)
			  : fl_plan_place_text(c->plan, port, c->region)));
}

static const char *then_run(struct fl_case *c, const char *act, const struct target *t)
{
	return fl_region_format(c->region, "jot %s %s", act,
		fl_quoted(c, fl_plan_run_handle(c->plan, t->part->index)));
}

static const char *then_device(const struct target *t, const char *act, const char *rest)
{
	return t->device < 0 ? NULL : fl_region_format(t->c->region, "jot %s %s %s", act,
		fl_quoted(t->c, t->c->plan->devices[t->device].name), rest);
}

static bool word_own_lead(const struct target *t, struct fl_answer_step *s)
{
	s->action = "Another lead for the laptop, then another port of the switch.";
	s->if_better = "heard now: the old lead or port.";
	s->if_not = "nothing changed: it was not the lead.";
	(void)t;
	return true;
}

static bool word_light(const struct target *t, struct fl_answer_step *s)
{
	s->action = fl_region_format(t->c->region, "Look at the light at %s.", t->part->key);
	const struct fl_seat *seat = &t->c->plan->laptop;
	const bool own = seat->kind == FL_SEAT_PORT &&
			 seat->place.index == t->part->place.index &&
			 seat->place.port == t->part->place.port;
	s->if_better = own ? "lit: the laptop has a link to it."
		: t->several ? "lit: the cable carries a link."
		: fl_region_format(t->c->region,
			"lit: the cable carries a link; wake %s at a display.", t->away);
	s->if_not = "dark: the port, the cable or the supply.";
	s->then = then_light(t->c, t->part->place);
	return true;
}

/* The first display that is heard. */
static const char *display_of(const struct fl_case *c)
{
	for (size_t i = 0; i < c->plan->device_count; i++) {
		const char *kind = c->plan->devices[i].kind;
		if (kind && strcmp(kind, "display") == 0 && c->standing[i].present)
			return c->plan->devices[i].name;
	}
	return NULL;
}

static bool word_wake(const struct target *t, struct fl_answer_step *s)
{
	/* Who is back needs no waking. */
	if (t->device < 0 || t->c->standing[t->device].present)
		return false;
	const char *name = t->c->plan->devices[t->device].name;
	s->action = fl_region_format(t->c->region,
		"Wake %s at a display; see whether its list shows it.", name);
	s->if_better = "back: it was asleep or switched off.";
	const char *display = display_of(t->c);
	if (display)
		s->then = fl_region_format(t->c->region, "jot shows %s %s no",
			fl_quoted(t->c, display), fl_quoted(t->c, name));
	s->if_not = "still away: go on.";
	return true;
}

static bool word_switch(const struct target *t, struct fl_answer_step *s)
{
	s->action = fl_region_format(t->c->region,
		"Look at the lights of %s: power, and each port.",
		t->c->plan->switches[t->part->index].name);
	s->if_better = "lit: the switch has its supply.";
	s->then = fl_region_format(t->c->region, "jot light %s dark",
		fl_quoted(t->c, t->c->plan->switches[t->part->index].name));
	s->if_not = "all dark: its supply, its breaker or the switch.";
	return true;
}

/* Of one device alone: a run between switches carries too many. */
static bool word_exchange(const struct target *t, struct fl_answer_step *s)
{
	struct fl_case *c = t->c;
	const struct fl_place mine = t->part->place;
	struct fl_place other;
	int run;
	if (t->several || leave_alone(t) || !fl_may_exchange(c, mine, &run, &other))
		return false;
	const char *a = fl_plan_port_handle(c->plan, mine, c->region);
	const char *b = fl_plan_port_handle(c->plan, other, c->region);
	s->action = fl_region_format(c->region, "Exchange the plugs of %s and %s.",
		fl_plan_place_text(c->plan, mine, c->region),
		fl_plan_place_text(c->plan, other, c->region));
	s->if_better = fl_region_format(c->region, "%s back: port %d.", t->away, mine.port);
	s->if_not = fl_region_format(c->region, "still away: %s or %s. Plug back what you "
				     "exchanged.", cable(c, &c->plan->runs[run]), t->away);
	s->then = fl_region_format(c->region, "jot exchange %s %s", fl_quoted(c, a),
				   fl_quoted(c, b));
	return true;
}

static bool word_seat(const struct target *t, struct fl_answer_step *s)
{
	struct fl_case *c = t->c;
	const struct fl_run *run = &c->plan->runs[t->part->index];
	if (leave_alone(t))
		return false;
	s->action = run->joint_count
		? fl_region_format(c->region, "Open, look, seat: %s, then both plugs of %s.",
				   fl_list(c, run->joints, run->joint_count), cable(c, run))
		: fl_region_format(c->region, "Open, look, seat: both plugs of %s.",
				   cable(c, run));
	s->if_better = "back: a plug or joint; clean or renew it.";
	s->then = then_run(c, "seat", t);
	s->if_not = "still away: go on.";
	return true;
}

static bool word_swap(const struct target *t, struct fl_answer_step *s)
{
	const struct fl_run *run = &t->c->plan->runs[t->part->index];
	if (leave_alone(t))
		return false;
	s->action = fl_region_format(t->c->region,
		"A cable known to be good, over the deck, in place of %s.",
		cable(t->c, run));
	s->then = then_run(t->c, "swap", t);
	s->if_better = fl_region_format(t->c->region, "back: %s.", cable(t->c, run));
	s->if_not = t->several ? "still away: a port at either end, or what is behind."
		: fl_region_format(t->c->region, "still away: the port or %s.", t->away);
	return true;
}

static bool word_meter(const struct target *t, struct fl_answer_step *s)
{
	s->action = fl_region_format(t->c->region,
		"Meter %s: at the battery, then at the power plug under load.",
		t->part->text);
	const bool doubled = t->c->plan->feeds[t->part->index].volts > 18;
	s->if_better = doubled ? "24.8 V or more at both: the supply is well."
		: "12.4 V or more at both: the supply is well.";
	const char *reading = doubled ? "24.8 load" : "12.4 load";
	s->then = fl_feeds(t->c->plan, t->device, t->part->index)
		? then_device(t, "meter", reading)
		: fl_region_format(t->c->region, "jot meter %s %s",
				   fl_quoted(t->c, t->part->text), reading);
	s->if_not = "good at the battery, low at the plug: the fuse first, then the lead.";
	return true;
}

static bool word_filter(const struct target *t, struct fl_answer_step *s)
{
	s->action = fl_region_format(t->c->region,
		"Join %s at a plain switch, or turn its group filter off.", t->away);
	s->if_better = "back: the filter.";
	s->if_not = "still away: not the filter.";
	return true;
}

/* ---- the same order for a device of which no wiring is known ---- */

static bool word_its_light(const struct target *t, struct fl_answer_step *s)
{
	s->action = fl_region_format(t->c->region,
		"Look at the light of the port that %s's data cable is in.", t->away);
	s->if_better = "lit: the cable carries a link.";
	s->then = then_device(t, "light", "dark");
	s->if_not = "dark: the cable, the port or the supply.";
	return true;
}

static bool word_its_plugs(const struct target *t, struct fl_answer_step *s)
{
	if (leave_alone(t))
		return false;
	s->action = fl_region_format(t->c->region,
		"Open, look, seat: both plugs of %s's data cable.", t->away);
	s->if_better = "back: a plug; clean or renew it.";
	s->if_not = "still away: go on.";
	return true;
}

static bool word_its_cable(const struct target *t, struct fl_answer_step *s)
{
	if (leave_alone(t))
		return false;
	s->action = fl_region_format(t->c->region,
		"A cable known to be good in place of %s's data cable.", t->away);
	s->if_better = "back: the cable.";
	s->if_not = "still away: its port, its supply or itself.";
	return true;
}

static bool word_its_supply(const struct target *t, struct fl_answer_step *s)
{
	s->action = fl_region_format(t->c->region,
		"Meter the battery, then %s's power plug under load.", t->away);
	s->if_better = "12.4 V or more at both: the supply is well.";
	s->then = then_device(t, "meter", "12.4 load");
	s->if_not = "low at the plug: the fuse first, then the lead.";
	s->caution = supply_caution;
	return true;
}

/* Who is seen to start anew lost its power, or fell over: no cable does that. */
static bool starts_anew(const struct target *t)
{
	return t->device >= 0 && t->c->standing[t->device].starts;
}

static bool word_supply_first(const struct target *t, struct fl_answer_step *s)
{
	return starts_anew(t) && word_its_supply(t, s);
}

static bool word_supply_last(const struct target *t, struct fl_answer_step *s)
{
	return !starts_anew(t) && word_its_supply(t, s);
}

static bool word_its_software(const struct target *t, struct fl_answer_step *s)
{
	s->action = fl_region_format(t->c->region,
		"Compare the software of %s and of the display.", t->away);
	s->if_better = "they fit: it is not the software.";
	s->then = then_device(t, "software", "VERSION");
	s->if_not = "one is older: bring it up to date.";
	return true;
}

enum wiring { EITHER, WIRED, UNWIRED };

static const struct {
	enum fl_part_kind kind;
	int minutes;
	enum wiring where;
	bool (*word)(const struct target *, struct fl_answer_step *);
} rows[] = {
	{ FL_PART_LAPTOP, 3,  EITHER,  word_own_lead },
	{ FL_PART_SWITCH, 2,  WIRED,   word_switch },
	{ FL_PART_PORT,   1,  WIRED,   word_light },
	{ FL_PART_DEVICE, 1,  UNWIRED, word_its_light },
	{ FL_PART_DEVICE, 1,  EITHER,  word_wake },
	{ FL_PART_DEVICE, 10, EITHER,  word_supply_first },
	{ FL_PART_PORT,   2,  WIRED,   word_exchange },
	{ FL_PART_RUN,    10, WIRED,   word_seat },
	{ FL_PART_DEVICE, 10, UNWIRED, word_its_plugs },
	{ FL_PART_RUN,    15, WIRED,   word_swap },
	{ FL_PART_DEVICE, 15, UNWIRED, word_its_cable },
	{ FL_PART_FEED,   10, EITHER,  word_meter },
	{ FL_PART_DEVICE, 10, EITHER,  word_supply_last },
	{ FL_PART_FILTER, 10, EITHER,  word_filter },
	{ FL_PART_DEVICE, 5,  UNWIRED, word_its_software },
};

static void aim(struct target *t)
{
	struct fl_case *c = t->c;
	const size_t part = (size_t)(t->part - c->graph->parts);
	const char *names[FL_PLAN_DEVICES];
	size_t n = 0;
	t->device = -1;
	for (size_t i = 0; i < c->plan->device_count; i++) {
		const struct fl_device *d = &c->plan->devices[i];
		if (!fl_graph_on_way(c->graph, i, part))
			continue;
		t->radar |= d->kind && strcmp(d->kind, "radar") == 0;
		if (c->standing[i].state == FL_STATE_HEARD)
			continue;
		names[n++] = c->plan->devices[i].name;
		if (t->device < 0 || c->plan->devices[i].leave)
			t->device = (int)i;
	}
	t->away = n ? fl_list(c, names, n) : "the device";
	t->several = n > 1;
}

/* Worth a step: an equal of the first, or likely by itself. */
static bool worth_a_step(const struct fl_answer_suspect *s)
{
	return s->group == 0 || s->probability >= 0.05;
}

/* The first step whose kind of look splits the first equals: a light tells the
 * device from its cable, exchanged plugs the port from both. */
static void part_equals(struct fl_case *c, size_t row)
{
	struct fl_answer *a = c->answer;
	bool has[FL_PART_FILTER + 1] = { false };
	for (size_t i = 0; i < a->suspect_count; i++) {
		const struct fl_part *p = a->suspects[i].group == 0
			? fl_part_of(c, a->suspects[i].part) : NULL;
		if (p)
			has[p->kind] = true;
	}
	const bool rest = has[FL_PART_RUN] || has[FL_PART_DEVICE];
	const bool parts = rows[row].word == word_light
		? has[FL_PART_DEVICE] && (has[FL_PART_RUN] || has[FL_PART_PORT])
		: rows[row].word == word_exchange && has[FL_PART_PORT] && rest;
	for (size_t i = 0; parts && i < a->suspect_count; i++)
		if (a->suspects[i].group == 0 && !a->suspects[i].parted_by)
			a->suspects[i].parted_by = (int)a->step_count;
}

static void add(struct fl_case *c, size_t row, const struct fl_answer_suspect *suspect)
{
	struct fl_answer *a = c->answer;
	struct target t = { .c = c };
	t.part = fl_part_of(c, suspect->part);
	if (!t.part || t.part->kind != rows[row].kind || a->step_count == SHOWN ||
	    (rows[row].where == WIRED && !c->plan->wired) ||
	    (rows[row].where == UNWIRED && c->plan->wired))
		return;
	aim(&t);
	struct fl_answer_step *s = &a->steps[a->step_count];
	*s = (struct fl_answer_step){ .minutes = rows[row].minutes };
	if (!rows[row].word(&t, s))
		return;
	a->step_count++;
	if (suspect->group == 0)
		part_equals(c, row);
	if (!s->caution)
		s->caution = caution_for(&t);
	for (size_t i = 0; s->caution && i < a->cautions.n; i++)
		if (a->cautions.at[i] == s->caution)
			return;
	if (s->caution)
		fl_texts_add(c, &a->cautions, s->caution);
}

bool fl_next(struct fl_case *c)
{
	struct fl_answer *a = c->answer;
	a->steps = fl_region_array(c->region, SHOWN, sizeof *a->steps);
	if (!a->steps)
		return false;
	for (size_t row = 0; row < sizeof rows / sizeof rows[0]; row++)
		for (size_t i = 0; i < a->suspect_count; i++)
			if (worth_a_step(&a->suspects[i]))
				add(c, row, &a->suspects[i]);
	return true;
}
