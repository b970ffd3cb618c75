#include "plan/named.h"

#include "plan/reader.h"

enum { MOST_NAMES = 1024, SHOWN = 4 };

static struct fl_span span_of(const char *text)
{
	return fl_span_trim((struct fl_span){ text, strlen(text), 1, 1 });
}

/* The one run that ends at this device; FL_NONE: none, or several. */
static int only_run_of(const struct fl_plan *plan, int device)
{
	const struct fl_place end = { FL_PLACE_DEVICE, device, 0 };
	int found = FL_NONE;
	for (size_t i = 0; i < plan->run_count; i++) {
		if (fl_run_end(&plan->runs[i], end) == FL_NONE)
			continue;
		if (found != FL_NONE)
			return FL_NONE;
		found = (int)i;
	}
	return found;
}

const char *fl_plan_run_handle(const struct fl_plan *plan, int number)
{
	const struct fl_run *run = &plan->runs[number];
	if (run->name)
		return run->name;
	const bool first = run->ends[0].kind == FL_PLACE_DEVICE;
	return fl_place_name(plan, run->ends[!first]);
}

static bool find_run(const struct fl_plan *plan, struct fl_span s, struct fl_named *out)
{
	out->index = fl_plan_find(plan, FL_SECTION_RUN, s);
	const int device = fl_plan_find(plan, FL_SECTION_DEVICE, s);
	if (out->index == FL_NONE && device != FL_NONE)
		out->index = only_run_of(plan, device);
	if (out->index == FL_NONE)
		return false;
	out->name = fl_plan_run_handle(plan, out->index);
	return true;
}

static bool find_joint(const struct fl_plan *plan, struct fl_span s, struct fl_named *out)
{
	for (size_t i = 0; i < plan->run_count; i++)
		for (size_t k = 0; k < plan->runs[i].joint_count; k++)
			if (fl_span_is(s, plan->runs[i].joints[k])) {
				out->index = (int)i;
				out->name = plan->runs[i].joints[k];
				return true;
			}
	return false;
}

/* A number alone is a port of the only switch, else of the laptop's. */
static struct fl_place meant_switch(const struct fl_plan *plan)
{
	const struct fl_place seat = plan->laptop.place;
	if (plan->switch_count == 1)
		return (struct fl_place){ FL_PLACE_SWITCH, 0, 0 };
	if (plan->laptop.kind == FL_SEAT_PORT && seat.kind == FL_PLACE_SWITCH)
		return (struct fl_place){ FL_PLACE_SWITCH, seat.index, 0 };
	return (struct fl_place){ FL_PLACE_NOWHERE, FL_NONE, 0 };
}

static bool find_port(const struct fl_plan *plan, struct fl_span s,
		      struct fl_region *region, struct fl_named *out)
{
	struct fl_span base = s;
	struct fl_place p = { FL_PLACE_NOWHERE, FL_NONE, 0 };
	int port = 0;
	if (fl_span_count(s, &port) || (fl_span_port(&base, &port) &&
					fl_span_is(base, "port"))) {
		p = meant_switch(plan);
	} else if (port) {
		p.index = fl_plan_find(plan, FL_SECTION_SWITCH, base);
		p.kind = p.index == FL_NONE ? FL_PLACE_DEVICE : FL_PLACE_SWITCH;
		if (p.index == FL_NONE)
			p.index = fl_plan_find(plan, FL_SECTION_DEVICE, base);
	}
	if (p.index == FL_NONE || !fl_place_has_ports(plan, p))
		return false;
	const int most = p.kind == FL_PLACE_SWITCH ? plan->switches[p.index].ports
						   : plan->devices[p.index].ports;
	if (port < 1 || port > (most ? most : FL_PLAN_PORTS))
		return false;
	p.port = port;
	out->place = p;
	out->name = fl_plan_place_text(plan, p, region);
	return true;
}

static bool find_thing(const struct fl_plan *plan, struct fl_span s,
		       enum fl_named_kind kind, struct fl_named *out)
{
	const enum fl_section section = kind == FL_NAMED_DEVICE ? FL_SECTION_DEVICE
		: kind == FL_NAMED_SWITCH ? FL_SECTION_SWITCH : FL_SECTION_FEED;
	const int i = out->index = fl_plan_find(plan, section, s);
	if (i == FL_NONE)
		return false;
	out->name = kind == FL_NAMED_DEVICE ? plan->devices[i].name
		  : kind == FL_NAMED_SWITCH ? plan->switches[i].name : plan->feeds[i].name;
	return true;
}

bool fl_plan_named(const struct fl_plan *plan, const char *text, unsigned kinds,
		   struct fl_region *region, struct fl_named *out)
{
	const struct fl_span s = span_of(text);
	*out = (struct fl_named){ .index = FL_NONE };
	for (unsigned kind = FL_NAMED_DEVICE; s.n && kind <= FL_NAMED_PORT; kind <<= 1) {
		if (!(kinds & kind))
			continue;
		out->kind = (enum fl_named_kind)kind;
		if (kind == FL_NAMED_RUN ? find_run(plan, s, out)
		  : kind == FL_NAMED_JOINT ? find_joint(plan, s, out)
		  : kind == FL_NAMED_PORT ? find_port(plan, s, region, out)
		  : find_thing(plan, s, out->kind, out))
			return true;
	}
	return false;
}

const char *fl_plan_port_handle(const struct fl_plan *plan, struct fl_place port,
				struct fl_region *region)
{
	const struct fl_place meant = meant_switch(plan);
	return meant.kind == port.kind && meant.index == port.index
		? fl_region_format(region, "%d", port.port)
		: fl_plan_place_text(plan, port, region);
}

/* ---- what would be right ---- */

struct names { const char *at[MOST_NAMES]; size_t n; };

static void offer(struct names *names, const char *name)
{
	for (size_t i = 0; name && i < names->n; i++)
		if (strcmp(names->at[i], name) == 0)
			return;
	if (name && names->n < MOST_NAMES)
		names->at[names->n++] = name;
}

static void offer_all(const struct fl_plan *plan, unsigned kinds,
		      struct fl_region *region, struct names *names)
{
	for (size_t i = 0; (kinds & FL_NAMED_DEVICE) && i < plan->device_count; i++)
		offer(names, plan->devices[i].name);
	for (size_t i = 0; (kinds & FL_NAMED_SWITCH) && i < plan->switch_count; i++)
		offer(names, plan->switches[i].name);
	for (size_t i = 0; (kinds & FL_NAMED_FEED) && i < plan->feed_count; i++)
		offer(names, plan->feeds[i].name);
	for (size_t i = 0; i < plan->run_count; i++) {
		const struct fl_run *run = &plan->runs[i];
		if (kinds & FL_NAMED_RUN)
			offer(names, fl_plan_run_handle(plan, (int)i));
		for (size_t k = 0; (kinds & FL_NAMED_JOINT) && k < run->joint_count; k++)
			offer(names, run->joints[k]);
		for (int end = 0; (kinds & FL_NAMED_PORT) && end < 2; end++)
			if (run->ends[end].port)
				offer(names, fl_plan_place_text(plan, run->ends[end],
								region));
	}
}

const char *fl_plan_instead(const struct fl_plan *plan, const char *text,
			    unsigned kinds, struct fl_region *region)
{
	struct names names = { .n = 0 };
	offer_all(plan, kinds, region, &names);
	const char *near = fl_nearest(span_of(text), names.at, names.n);
	if (near)
		return fl_region_format(region, "did you mean '%s'?", near);
	const char *list = "";
	for (size_t i = 0; i < names.n && i < SHOWN; i++)
		list = fl_region_format(region, "%s%s%s", list, i ? ", " : "", names.at[i]);
	return names.n == 0 ? "it has nothing of that kind"
	     : fl_region_format(region, "it has %s%s", list,
				names.n > SHOWN ? " and others" : "");
}
