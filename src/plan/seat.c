/* seat.c -- where the laptop is joined.
 *
 *   lower switch 5, lower switch port 5, port 5 of lower switch, lower switch
 *   in place of NAME           NAME is unplugged, the laptop has its plug
 *   own switch in W7           an own switch cut into a run; instead of a
 *   own switch in NAME         label, the device at its end
 *   direct NAME                plugged straight into NAME
 */
#include "plan/reader.h"

static const struct fl_seat unknown = {
	FL_SEAT_UNKNOWN, { FL_PLACE_NOWHERE, FL_NONE, 0 }, FL_NONE };

static struct fl_seat at_device(struct fl_reader *r, enum fl_seat_kind kind,
				struct fl_span name)
{
	const int device = fl_reader_device(r, name);
	if (device == FL_NONE)
		return unknown;
	return (struct fl_seat){ kind, { FL_PLACE_DEVICE, device, 0 },
				 FL_NONE };
}

/* A run by its label or, if it has none, by the device at its end. */
static struct fl_seat in_run(struct fl_reader *r, struct fl_span name)
{
	int run = fl_plan_find(r->plan, FL_SECTION_RUN, name);
	const int device = fl_plan_find(r->plan, FL_SECTION_DEVICE, name);
	size_t found = 0;
	for (size_t i = 0; run == FL_NONE && i < r->plan->run_count; i++)
		if (fl_run_end(&r->plan->runs[i], (struct fl_place){
			    FL_PLACE_DEVICE, device, 0 }) != FL_NONE)
			found = found ? SIZE_MAX : i + 1;
	if (found && found != SIZE_MAX)
		run = (int)found - 1;
	if (run != FL_NONE)
		return (struct fl_seat){ FL_SEAT_IN_RUN, unknown.place, run };
	fl_reader_fault(r, name,
		FL_WORDS(r,
			found
				? "more than one run ends at %s"
				: "no run is called %s",
			fl_reader_quote(r, name)),
		"name the label of a run, or a device at the end of one run");
	return unknown;
}

/* A port that the plan gives to a cable is free only if that is unplugged. */
static bool port_is_free(struct fl_reader *r, struct fl_place place,
			 struct fl_span s)
{
	for (size_t i = 0; place.port && i < r->plan->run_count; i++) {
		const struct fl_run *run = &r->plan->runs[i];
		for (int end = 0; end < 2; end++) {
			if (!fl_place_equal(run->ends[end], place))
				continue;
			const char *other =
				fl_place_name(r->plan, run->ends[!end]);
			fl_reader_fault(r, s,
				FL_WORDS(r,
					"port %d of %s holds the cable of %s "
					"(line %d)", place.port,
					fl_place_name(r->plan, place), other,
					run->line),
				FL_WORDS(r,
					"name a free port, or say \"in place "
					"of %s\"", other));
			return false;
		}
	}
	return true;
}

/* The ports that this plan says, 0 where it leaves them open. */
static int ports_said(const struct fl_reader *r, struct fl_place place)
{
	if (place.kind == FL_PLACE_SWITCH)
		return r->plan->switches[place.index].ports;
	if (!r->closed && !fl_reader_said(r, FL_SECTION_DEVICE, "ports",
					  place.index).line)
		return 0;
	return r->plan->devices[place.index].ports;
}

static struct fl_seat at_port(struct fl_reader *r, struct fl_span s)
{
	const struct fl_place place = fl_reader_place(r, s, FL_SIDE_SEAT);
	if (place.kind == FL_PLACE_NOWHERE)
		return unknown;
	const int ports = ports_said(r, place);
	const char *name = fl_place_name(r->plan, place);
	if (!fl_place_has_ports(r->plan, place))
		fl_reader_fault(r, s,
			FL_WORDS(r, "%s has no ports", name),
			FL_WORDS(r, "say \"direct %s\" or \"in place of %s\"",
				name, name));
	else if (ports && place.port > ports)
		fl_reader_fault(r, s,
			FL_WORDS(r, "%s has %d ports, not %d", name, ports,
				place.port),
			"name one of its ports, or mend the plan's ports =");
	else if (port_is_free(r, place, s))
		return (struct fl_seat){ FL_SEAT_PORT, place, FL_NONE };
	return unknown;
}

static struct fl_seat read_seat(struct fl_reader *r, struct fl_span s)
{
	if (fl_span_opens(&s, "in place of"))
		return at_device(r, FL_SEAT_IN_PLACE, s);
	if (fl_span_opens(&s, "direct"))
		return at_device(r, FL_SEAT_DIRECT, s);
	if (fl_span_opens(&s, "own switch in")) {
		(void)(fl_span_opens(&s, "run") || fl_span_opens(&s, "cable"));
		return in_run(r, s);
	}
	return at_port(r, s);
}

static bool agrees(struct fl_seat a, struct fl_seat b)
{
	return a.kind == b.kind && a.run == b.run &&
	       fl_place_agrees(a.place, b.place);
}

void fl_reader_seat(struct fl_reader *r, struct fl_span s)
{
	const struct fl_seat seat = read_seat(r, s);
	struct fl_seat *laptop = &r->plan->laptop;
	if (seat.kind == FL_SEAT_UNKNOWN)
		return;
	if (r->seat.line && !agrees(seat, *laptop)) {
		fl_reader_fault(r, s,
			FL_WORDS(r, "the laptop was put elsewhere in line %d",
				r->seat.line),
			"keep one of the two lines");
		return;
	}
	const int port = r->seat.line ? laptop->place.port : 0;
	*laptop = seat;
	if (!laptop->place.port)
		laptop->place.port = port;
	r->seat = s;
}

bool fl_plan_seat(struct fl_plan *plan, const char *text,
		  struct fl_region *region, struct fl_plan_faults *faults)
{
	struct fl_reader r = { .plan = plan, .region = region,
			       .faults = faults, .closed = true };
	*faults = (struct fl_plan_faults){ 0 };
	fl_reader_seat(&r, fl_span_trim((struct fl_span){
		text, strlen(text), 0, 1 }));
	if (faults->n > 1)
		faults->n = 1;
	return faults->n == 0;
}
