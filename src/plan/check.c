/* check.c -- what only the whole plan can show.
 *
 * Refuses a run with one end or none; a port used twice, or beyond those that
 *         are there; a device with several cables and no ports; a MAC or
 *         Internet address that two devices share; loops (loops.c)
 */
#include "plan/reader.h"

static struct fl_span at_line(int line)
{
	return (struct fl_span){ .line = line ? line : 1, .column = 1 };
}

static struct fl_span said_or_line(const struct fl_reader *r,
				   enum fl_section section, const char *key,
				   int thing)
{
	const struct fl_span said = fl_reader_said(r, section, key, thing);
	return said.line ? said
			 : at_line(fl_thing_line(r->plan, section, thing));
}

static int cables_at(const struct fl_plan *plan, struct fl_place thing,
		     int *highest)
{
	int n = 0;
	*highest = 0;
	for (size_t i = 0; i < plan->run_count; i++) {
		const int end = fl_run_end(&plan->runs[i], thing);
		if (end == FL_NONE)
			continue;
		n++;
		if (plan->runs[i].ends[end].port > *highest)
			*highest = plan->runs[i].ends[end].port;
	}
	return n;
}

/* A device that others are plugged into has the ports that are used, unless
 * the plan says how many. One that has several cables must be such. */
static void settle_ports(struct fl_reader *r, int i)
{
	struct fl_device *d = &r->plan->devices[i];
	const struct fl_place thing = { FL_PLACE_DEVICE, i, 0 };
	const struct fl_place seat = r->plan->laptop.place;
	int highest;
	const int cables = cables_at(r->plan, thing, &highest);
	if (fl_reader_said(r, FL_SECTION_DEVICE, "ports", i).line)
		return;
	if (r->hosts[i]) {
		d->ports = cables > highest ? cables : highest;
		if (r->plan->laptop.kind == FL_SEAT_PORT &&
		    seat.kind == FL_PLACE_DEVICE && seat.index == i &&
		    seat.port > d->ports)
			d->ports = seat.port;
	} else if (cables > 1) {
		fl_reader_fault(r, at_line(d->line),
			FL_WORDS(r, "%s has %d cables, but no ports", d->name,
				cables),
			FL_WORDS(r,
				"say ports = %d in [device %s], or mend a line",
				cables, d->name));
	}
}

static void check_ends(struct fl_reader *r, int i)
{
	const struct fl_run *run = &r->plan->runs[i];
	const bool from = run->ends[0].kind != FL_PLACE_NOWHERE;
	const bool to = run->ends[1].kind != FL_PLACE_NOWHERE;
	const struct fl_span where = at_line(run->line);
	const char *name = run->name ? run->name : "this cable";
	if (!from && !to)
		fl_reader_fault(r, where,
			FL_WORDS(r, "run %s has no ends", name),
			"say from = and to =, or its label in [wiring]");
	else if (!from || !to)
		fl_reader_fault(r, where,
			FL_WORDS(r, "run %s has one end only", name),
			from ? "say to = PLACE" : "say from = PLACE");
	else if (run->ends[0].kind == run->ends[1].kind &&
		 run->ends[0].index == run->ends[1].index)
		fl_reader_fault(r, where,
			FL_WORDS(r, "%s has both ends at %s", name,
				fl_place_name(r->plan, run->ends[0])),
			"name two different places behind from = and to =");
}

static int ports_of(const struct fl_plan *plan, struct fl_place place)
{
	return place.kind == FL_PLACE_SWITCH ? plan->switches[place.index].ports
	     : place.kind == FL_PLACE_DEVICE ? plan->devices[place.index].ports
	     : 0;
}

static void check_port(struct fl_reader *r, const struct fl_run *run,
		       struct fl_place place)
{
	const int ports = ports_of(r->plan, place);
	const char *name = fl_place_name(r->plan, place);
	if (place.kind == FL_PLACE_DEVICE && place.port && !ports)
		fl_reader_fault(r, at_line(run->line),
			FL_WORDS(r, "%s has no ports", name),
			FL_WORDS(r,
				"say ports = N in [device %s], or leave the "
				"number out", name));
	else if (ports && place.port > ports)
		fl_reader_fault(r, at_line(run->line),
			FL_WORDS(r, "%s has %d ports, not %d", name, ports,
				place.port),
			"name one of its ports, or mend ports =");
}

/* The first run, before this end of this one, that is plugged in here too. */
static const struct fl_run *user_before(const struct fl_plan *plan,
					size_t run, int end)
{
	const struct fl_place place = plan->runs[run].ends[end];
	for (size_t i = 0; i < run; i++)
		for (int e = 0; e < 2; e++)
			if (fl_place_equal(plan->runs[i].ends[e], place))
				return &plan->runs[i];
	return NULL;
}

static void check_used_twice(struct fl_reader *r, size_t i, int end)
{
	const struct fl_run *run = &r->plan->runs[i];
	const struct fl_place place = run->ends[end];
	const struct fl_run *other = user_before(r->plan, i, end);
	if (!place.port || !other)
		return;
	const int late = other->line > run->line ? other->line : run->line;
	const int early = other->line > run->line ? run->line : other->line;
	fl_reader_fault(r, at_line(late),
		FL_WORDS(r, "port %d of %s is used in line %d already",
			place.port, fl_place_name(r->plan, place), early),
		"a port takes one plug: mend one of the two lines");
}

/* Device i has under this key what an earlier device has. */
static void shared(struct fl_reader *r, const char *key, int i, int earlier,
		   const char *value, const char *remedy)
{
	const struct fl_span first =
		said_or_line(r, FL_SECTION_DEVICE, key, earlier);
	fl_reader_fault(r, said_or_line(r, FL_SECTION_DEVICE, key, i),
		FL_WORDS(r, "%s is %s as well, in line %d", value,
			r->plan->devices[earlier].name, first.line), remedy);
}

static void check_mac(struct fl_reader *r, int i, struct fl_mac mac)
{
	char text[FL_MAC_TEXT];
	for (int j = 0; j < i; j++) {
		const struct fl_device *other = &r->plan->devices[j];
		for (size_t k = 0; k < other->mac_count; k++)
			if (fl_mac_equal(other->macs[k], mac))
				shared(r, "mac", i, j, fl_mac_text(mac, text),
				       "a MAC address is one device's own");
	}
}

static void check_address(struct fl_reader *r, int i)
{
	const struct fl_ip ip = r->plan->devices[i].address;
	char text[FL_IP_TEXT];
	for (int j = 0; j < i && !fl_ip_is_none(ip); j++)
		if (fl_ip_equal(r->plan->devices[j].address, ip))
			shared(r, "address", i, j, fl_ip_text(ip, text),
			       "two devices with one address never both work");
}

void fl_reader_check(struct fl_reader *r)
{
	struct fl_plan *plan = r->plan;
	for (size_t i = 0; i < plan->device_count; i++) {
		settle_ports(r, (int)i);
		for (size_t m = 0; m < plan->devices[i].mac_count; m++)
			check_mac(r, (int)i, plan->devices[i].macs[m]);
		check_address(r, (int)i);
	}
	for (size_t i = 0; i < plan->run_count; i++) {
		check_ends(r, (int)i);
		for (int end = 0; end < 2; end++) {
			check_port(r, &plan->runs[i], plan->runs[i].ends[end]);
			check_used_twice(r, i, end);
		}
	}
	fl_reader_check_loops(r);
}
