/* names.c -- runs, places and the laptop's seat as people read them; what is
 * said of a place or seat can be read back. */
#include "plan/named.h"
#include "plan/reader.h"

const char *fl_plan_place_text(const struct fl_plan *plan,
			       struct fl_place place, struct fl_region *region)
{
	const char *name = fl_place_name(plan, place);
	if (!place.port)
		return name;
	const size_t n = strlen(name);
	const bool digit = n && name[n - 1] >= '0' && name[n - 1] <= '9';
	return fl_region_format(region, "%s%s %d", name, digit ? " port" : "",
				place.port);
}

const char *fl_plan_run_text(const struct fl_plan *plan, int number,
			     struct fl_region *region)
{
	const struct fl_run *run = &plan->runs[number];
	const char *text = fl_plan_place_text(plan, run->ends[0], region);
	for (size_t i = 0; i < run->joint_count; i++)
		text = fl_region_format(region, "%s - %s", text,
					run->joints[i]);
	const char *to = fl_plan_place_text(plan, run->ends[1], region);
	return run->name
		? fl_region_format(region, "%s: %s - %s", run->name, text, to)
		: fl_region_format(region, "%s - %s (no label)", text, to);
}

const char *fl_plan_seat_text(const struct fl_plan *plan,
			      struct fl_region *region)
{
	const struct fl_seat *seat = &plan->laptop;
	switch (seat->kind) {
	case FL_SEAT_PORT:
		return fl_plan_place_text(plan, seat->place, region);
	case FL_SEAT_IN_PLACE:
		return fl_region_format(region, "in place of %s",
					fl_place_name(plan, seat->place));
	case FL_SEAT_DIRECT:
		return fl_region_format(region, "direct %s",
					fl_place_name(plan, seat->place));
	case FL_SEAT_IN_RUN:
		return fl_region_format(region, "own switch in %s",
					fl_plan_run_handle(plan, seat->run));
	case FL_SEAT_UNKNOWN:
		break;
	}
	return "a place that nobody named";
}
