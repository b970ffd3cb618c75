/* things.c -- devices, switches, runs and feeds found by their names, and made
 * where they are first used.
 *
 * Takes   names with letter case aside (of A to Z) and inner blanks folded
 * Refuses a name that is too long, holds a mark of the format or what is no
 *         text; one name for a device and a switch; "laptop", which is ours
 * Ceiling FL_PLAN_DEVICES and its like, each told once
 */
#include "plan/reader.h"

static const struct { const char *what; size_t ceiling; } kinds[] = {
	[FL_SECTION_DEVICE] = { "device", FL_PLAN_DEVICES },
	[FL_SECTION_SWITCH] = { "switch", FL_PLAN_SWITCHES },
	[FL_SECTION_RUN]    = { "run", FL_PLAN_RUNS },
	[FL_SECTION_FEED]   = { "feed", FL_PLAN_FEEDS },
};

static size_t count_of(const struct fl_plan *plan, enum fl_section kind)
{
	switch (kind) {
	case FL_SECTION_DEVICE: return plan->device_count;
	case FL_SECTION_SWITCH: return plan->switch_count;
	case FL_SECTION_RUN:    return plan->run_count;
	case FL_SECTION_FEED:   return plan->feed_count;
	default:                return 0;
	}
}

/* NULL for a run without a label. */
static const char *name_of(const struct fl_plan *plan, enum fl_section kind,
			   size_t i)
{
	switch (kind) {
	case FL_SECTION_DEVICE: return plan->devices[i].name;
	case FL_SECTION_SWITCH: return plan->switches[i].name;
	case FL_SECTION_RUN:    return plan->runs[i].name;
	case FL_SECTION_FEED:   return plan->feeds[i].name;
	default:                return NULL;
	}
}

int fl_thing_line(const struct fl_plan *plan, enum fl_section kind, int i)
{
	switch (kind) {
	case FL_SECTION_DEVICE: return plan->devices[i].line;
	case FL_SECTION_SWITCH: return plan->switches[i].line;
	case FL_SECTION_RUN:    return plan->runs[i].line;
	case FL_SECTION_FEED:   return plan->feeds[i].line;
	default:                return 0;
	}
}

static int append(struct fl_plan *plan, enum fl_section kind, const char *name,
		  int line)
{
	switch (kind) {
	case FL_SECTION_DEVICE:
		plan->devices[plan->device_count] = (struct fl_device){
			.name = name, .line = line,
			.woken_by = FL_NONE, .behind = FL_NONE };
		return (int)plan->device_count++;
	case FL_SECTION_SWITCH:
		plan->switches[plan->switch_count] = (struct fl_switch){
			.name = name, .line = line };
		return (int)plan->switch_count++;
	case FL_SECTION_RUN:
		plan->runs[plan->run_count] = (struct fl_run){
			.name = name, .line = line };
		return (int)plan->run_count++;
	case FL_SECTION_FEED:
		plan->feeds[plan->feed_count] = (struct fl_feed){
			.name = name, .line = line };
		return (int)plan->feed_count++;
	default:
		return FL_NONE;
	}
}

int fl_plan_find(const struct fl_plan *plan, enum fl_section kind,
		 struct fl_span name)
{
	const size_t n = count_of(plan, kind);
	for (size_t i = 0; i < n; i++) {
		const char *known = name_of(plan, kind, i);
		if (known && fl_span_is(name, known))
			return (int)i;
	}
	return FL_NONE;
}

const char *fl_reader_text(struct fl_reader *r, struct fl_span s, size_t most)
{
	char folded[FL_TEXT_MAX], clean[FL_TEXT_MAX + 1];
	const size_t n = fl_span_fold(s, folded, sizeof folded);
	if (n > most) {
		fl_reader_fault(r, s,
			FL_WORDS(r, "%s is too long", fl_reader_quote(r, s)),
			FL_WORDS(r, "use at most %zu octets", most));
		return NULL;
	}
	struct fl_cursor c = fl_cursor(folded, n);
	if (fl_text_clean(fl_rest(&c), clean) != n ||
	    memcmp(clean, folded, n) != 0) {
		fl_reader_fault(r, s,
			FL_WORDS(r, "%s holds what is no text",
				fl_reader_quote(r, s)),
			"save the plan as UTF-8 and leave control characters "
			"out");
		return NULL;
	}
	return fl_region_text(r->region, folded, n);
}

static bool has_mark(struct fl_span s)
{
	for (size_t i = 0; i < s.n; i++)
		if (s.at[i] && strchr(",=[]", s.at[i]))
			return true;
	return false;
}

const char *fl_reader_name(struct fl_reader *r, struct fl_span s)
{
	if (s.n && !has_mark(s))
		return fl_reader_text(r, s, FL_PLAN_NAME);
	fl_reader_fault(r, s,
		s.n
			? FL_WORDS(r, "%s cannot be a name",
			  	fl_reader_quote(r, s))
			: "a name is missing here",
		"a name has letters, digits and blanks, but none of , = [ ]");
	return NULL;
}

/* A device and a switch are told apart by name alone. */
static bool taken_by_other(struct fl_reader *r, enum fl_section kind,
			   struct fl_span name)
{
	const enum fl_section other =
		kind == FL_SECTION_DEVICE ? FL_SECTION_SWITCH :
		kind == FL_SECTION_SWITCH ? FL_SECTION_DEVICE : FL_SECTION_NONE;
	if (other == FL_SECTION_NONE)
		return false;
	if (fl_span_is(name, "laptop")) {
		fl_reader_fault(r, name,
			"'laptop' is your own machine, not a part of the boat",
			"say laptop = PLACE in [segment] or [wiring]");
		return true;
	}
	const int i = fl_plan_find(r->plan, other, name);
	if (i == FL_NONE)
		return false;
	fl_reader_fault(r, name,
		FL_WORDS(r, "%s is a %s here, and a %s in line %d",
			fl_reader_quote(r, name), kinds[kind].what,
			kinds[other].what, fl_thing_line(r->plan, other, i)),
		"give one of them another name");
	return true;
}

int fl_reader_make(struct fl_reader *r, enum fl_section kind,
		   struct fl_span name)
{
	const int known = fl_plan_find(r->plan, kind, name);
	if (known != FL_NONE)
		return known;
	if (taken_by_other(r, kind, name))
		return FL_NONE;
	if (count_of(r->plan, kind) == kinds[kind].ceiling) {
		if (!(r->told >> kind & 1))
			fl_reader_fault(r, name,
				FL_WORDS(r, "%s is one %s too many",
					fl_reader_quote(r, name),
					kinds[kind].what),
				FL_WORDS(r, "a plan holds at most %zu of them",
					kinds[kind].ceiling));
		r->told |= 1u << kind;
		return FL_NONE;
	}
	const char *kept = fl_reader_name(r, name);
	return kept ? append(r->plan, kind, kept, name.line) : FL_NONE;
}

int fl_reader_device(struct fl_reader *r, struct fl_span name)
{
	const int device = fl_plan_find(r->plan, FL_SECTION_DEVICE, name);
	if (device != FL_NONE)
		return device;
	const char *names[FL_PLAN_DEVICES];
	for (size_t i = 0; i < r->plan->device_count; i++)
		names[i] = r->plan->devices[i].name;
	fl_reader_fault(r, name,
		FL_WORDS(r, "no device of this plan is called %s",
			fl_reader_quote(r, name)),
		fl_reader_mean(r, name, names, r->plan->device_count,
			"name a device that has a [device] section or a line "
			"in [wiring]"));
	return FL_NONE;
}

const char *fl_place_name(const struct fl_plan *plan, struct fl_place place)
{
	switch (place.kind) {
	case FL_PLACE_DEVICE: return plan->devices[place.index].name;
	case FL_PLACE_SWITCH: return plan->switches[place.index].name;
	default:              return "nowhere";
	}
}
