/* loops.c -- who wakes, speaks for or powers himself in the end.
 *
 * Nodes are numbered devices first, then switches. What a node leans on is
 * followed breadth first; a node that comes back to itself is in a loop, and
 * each loop is told once, at its first node.
 */
#include "plan/reader.h"

enum { NODES = FL_PLAN_DEVICES + FL_PLAN_SWITCHES };

typedef size_t lean(const struct fl_plan *, int node,
		    int on[static FL_DEVICE_FEEDS]);

static size_t one(int device, int on[static FL_DEVICE_FEEDS])
{
	on[0] = device;
	return device != FL_NONE;
}

static size_t wakers(const struct fl_plan *plan, int node,
		     int on[static FL_DEVICE_FEEDS])
{
	const bool device = (size_t)node < plan->device_count;
	return one(device ? plan->devices[node].woken_by : FL_NONE, on);
}

static size_t speakers(const struct fl_plan *plan, int node,
		       int on[static FL_DEVICE_FEEDS])
{
	const bool device = (size_t)node < plan->device_count;
	return one(device ? plan->devices[node].behind : FL_NONE, on);
}

static struct fl_place place_of(const struct fl_plan *plan, int node)
{
	const int devices = (int)plan->device_count;
	if (node < devices)
		return (struct fl_place){ FL_PLACE_DEVICE, node, 0 };
	return (struct fl_place){ FL_PLACE_SWITCH, node - devices, 0 };
}

static size_t sources(const struct fl_plan *plan, int node,
		      int on[static FL_DEVICE_FEEDS])
{
	const struct fl_place fed = place_of(plan, node);
	const struct fl_supply *supplies;
	const size_t n = fl_supplies(plan, fed, &supplies);
	size_t found = 0;
	for (size_t i = 0; i < n; i++) {
		const struct fl_place source =
			fl_supply_source(plan, fed, supplies[i]);
		if (source.kind == FL_PLACE_DEVICE)
			on[found++] = source.index;
		else if (source.kind == FL_PLACE_SWITCH)
			on[found++] = source.index + (int)plan->device_count;
	}
	return found;
}

/* Every node that `node` leans on, near or far. */
static void follow(const struct fl_plan *plan, lean *next, int node,
		   bool reached[static NODES])
{
	int queue[NODES + 1] = { node };
	int on[FL_DEVICE_FEEDS];
	size_t at = 0, n = 1;
	memset(reached, 0, NODES * sizeof *reached);
	while (at < n) {
		const size_t count = next(plan, queue[at++], on);
		for (size_t i = 0; i < count; i++) {
			if (reached[on[i]])
				continue;
			reached[on[i]] = true;
			queue[n++] = on[i];
		}
	}
}

static void loop_fault(struct fl_reader *r, int node, const char *key,
		       const char *text)
{
	const struct fl_place place = place_of(r->plan, node);
	const enum fl_section section = place.kind == FL_PLACE_DEVICE
		? FL_SECTION_DEVICE : FL_SECTION_SWITCH;
	struct fl_span where = fl_reader_said(r, section, key, place.index);
	if (!where.line)
		where = (struct fl_span){ .column = 1, .line =
			fl_thing_line(r->plan, section, place.index) };
	fl_reader_fault(r, where,
		FL_WORDS(r, text, fl_place_name(r->plan, place)),
		"follow the names in a circle and break it at one of them");
}

static void check(struct fl_reader *r, lean *next, const char *key,
		  const char *text)
{
	const int nodes = (int)(r->plan->device_count + r->plan->switch_count);
	bool told[NODES] = { false }, reached[NODES], back[NODES];
	for (int i = 0; i < nodes; i++) {
		if (told[i])
			continue;
		follow(r->plan, next, i, reached);
		if (!reached[i])
			continue;
		for (int j = i; j < nodes; j++) {
			if (!reached[j])
				continue;
			follow(r->plan, next, j, back);
			told[j] = told[j] || back[i];
		}
		loop_fault(r, i, key, text);
	}
}

void fl_reader_check_loops(struct fl_reader *r)
{
	check(r, wakers, "woken by", "%s wakes itself in the end");
	check(r, speakers, "behind", "%s is behind itself in the end");
	check(r, sources, "feed", "%s powers itself in the end");
}
