/* feeds.c -- what feeds a device or switch; all of it is needed.
 *
 *   breaker 12, wake wire      feeds; they come into being
 *   port 4 of lower switch     power over the run that ends there, its other
 *   lower switch 4             end being what is fed
 *   run W7, cable W7, W7       power over this run
 *
 * Ceiling FL_DEVICE_FEEDS
 */
#include "plan/reader.h"

size_t fl_supplies(const struct fl_plan *plan, struct fl_place fed,
		   const struct fl_supply **supplies)
{
	if (fed.kind == FL_PLACE_DEVICE) {
		*supplies = plan->devices[fed.index].feeds;
		return plan->devices[fed.index].feed_count;
	}
	*supplies = plan->switches[fed.index].feeds;
	return plan->switches[fed.index].feed_count;
}

struct fl_place fl_supply_source(const struct fl_plan *plan,
				 struct fl_place fed, struct fl_supply supply)
{
	const struct fl_place none = { FL_PLACE_NOWHERE, FL_NONE, 0 };
	if (supply.kind != FL_FEED_RUN)
		return none;
	const struct fl_run *run = &plan->runs[supply.index];
	const int end = fl_run_end(run, fed);
	return end == FL_NONE ? none : run->ends[!end];
}

void fl_reader_supply(struct fl_reader *r, struct fl_place fed,
		      struct fl_supply supply, struct fl_span where)
{
	if (supply.index == FL_NONE)
		return;
	const bool device = fed.kind == FL_PLACE_DEVICE;
	struct fl_device *d = device ? &r->plan->devices[fed.index] : NULL;
	struct fl_switch *s = device ? NULL : &r->plan->switches[fed.index];
	struct fl_supply *feeds = device ? d->feeds : s->feeds;
	size_t *count = device ? &d->feed_count : &s->feed_count;
	for (size_t i = 0; i < *count; i++)
		if (feeds[i].kind == supply.kind &&
		    feeds[i].index == supply.index)
			return;
	if (*count < FL_DEVICE_FEEDS) {
		feeds[(*count)++] = supply;
		return;
	}
	fl_reader_fault(r, where,
		FL_WORDS(r, "%s is one feed too many",
			fl_reader_quote(r, where)),
		FL_WORDS(r, "at most %d feed one device", FL_DEVICE_FEEDS));
}

/* The run at this port that ends at what is fed; one whose port there is not
 * said will do, and then says it. */
static int run_at(struct fl_plan *plan, struct fl_place fed,
		  struct fl_place port)
{
	int loose = FL_NONE;
	for (size_t i = 0; i < plan->run_count; i++) {
		const int end = fl_run_end(&plan->runs[i], fed);
		if (end == FL_NONE)
			continue;
		const struct fl_place other = plan->runs[i].ends[!end];
		if (fl_place_equal(other, port))
			return (int)i;
		if (fl_place_agrees(other, port))
			loose = (int)i;
	}
	if (loose != FL_NONE) {
		struct fl_run *run = &plan->runs[loose];
		run->ends[!fl_run_end(run, fed)] = port;
	}
	return loose;
}

/* A device that is wired nowhere yet is joined by what powers it. */
static int new_run(struct fl_reader *r, struct fl_place fed,
		   struct fl_place port, struct fl_span item)
{
	struct fl_plan *plan = r->plan;
	for (size_t i = 0; i < plan->run_count; i++)
		if (fl_run_end(&plan->runs[i], fed) != FL_NONE)
			return FL_NONE;
	if (plan->run_count == FL_PLAN_RUNS)
		return FL_NONE;
	plan->runs[plan->run_count] = (struct fl_run){
		.ends = { fed, port }, .line = item.line };
	return (int)plan->run_count++;
}

static void power_over(struct fl_reader *r, struct fl_place fed, int run,
		       struct fl_span item)
{
	fl_reader_supply(r, fed, (struct fl_supply){ FL_FEED_RUN, run }, item);
}

static void feed_from_port(struct fl_reader *r, struct fl_place fed,
			   struct fl_span item)
{
	const struct fl_place port = fl_reader_place(r, item, FL_SIDE_END);
	if (port.kind == FL_PLACE_NOWHERE)
		return;
	int run = port.port && fl_place_has_ports(r->plan, port)
		? run_at(r->plan, fed, port) : FL_NONE;
	if (run == FL_NONE && port.port && fl_place_has_ports(r->plan, port))
		run = new_run(r, fed, port, item);
	if (run != FL_NONE) {
		power_over(r, fed, run, item);
		return;
	}
	fl_reader_fault(r, item,
		FL_WORDS(r, "no run leads from %s to %s",
			fl_reader_quote(r, item), fl_place_name(r->plan, fed)),
		"name the port that its own cable is plugged into");
}

static void feed_over_run(struct fl_reader *r, struct fl_place fed, int run,
			  struct fl_span item)
{
	if (run != FL_NONE && fl_run_end(&r->plan->runs[run], fed) != FL_NONE) {
		power_over(r, fed, run, item);
		return;
	}
	fl_reader_fault(r, item,
		FL_WORDS(r,
			run == FL_NONE
				? "no run is called %s"
				: "run %s does not end at %s",
			fl_reader_quote(r, item), fl_place_name(r->plan, fed)),
		"power comes over a device's own run: name that one");
}

static bool names_port(const struct fl_plan *plan, struct fl_span item)
{
	struct fl_span base = item, of = item;
	int port;
	if (!fl_span_port(&base, &port))
		return fl_plan_find(plan, FL_SECTION_SWITCH, item) != FL_NONE ||
		       fl_plan_find(plan, FL_SECTION_DEVICE, item) != FL_NONE;
	return fl_span_opens(&of, "port") ||
	       fl_plan_find(plan, FL_SECTION_SWITCH, base) != FL_NONE ||
	       fl_plan_find(plan, FL_SECTION_DEVICE, base) != FL_NONE;
}

void fl_reader_feed(struct fl_reader *r, struct fl_place fed,
		    struct fl_span item)
{
	const struct fl_plan *plan = r->plan;
	const int feed = fl_plan_find(plan, FL_SECTION_FEED, item);
	const int run = fl_plan_find(plan, FL_SECTION_RUN, item);
	struct fl_span label = item;
	if (feed != FL_NONE && run != FL_NONE)
		fl_reader_fault(r, item,
			FL_WORDS(r, "%s is both a feed and a run",
				fl_reader_quote(r, item)),
			"write 'run X' if power comes over the run, or rename "
			"one");
	else if (run != FL_NONE)
		feed_over_run(r, fed, run, item);
	else if (fl_span_opens(&label, "run") || fl_span_opens(&label, "cable"))
		feed_over_run(r, fed, fl_plan_find(plan, FL_SECTION_RUN, label),
			      label);
	else if (feed == FL_NONE && names_port(plan, item))
		feed_from_port(r, fed, item);
	else
		fl_reader_supply(r, fed, (struct fl_supply){ FL_FEED_SUPPLY,
			fl_reader_make(r, FL_SECTION_FEED, item) }, item);
}
