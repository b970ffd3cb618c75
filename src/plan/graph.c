/* graph.c -- every part that can be at fault, and whom it hides.
 *
 * Each part in turn is taken away, and whoever is then no longer heard has it
 * on its way. So several feeds, power over runs, bypasses, loops and double
 * wiring are one rule and no cases (they are network.c's).
 *
 * Ceiling that of the plan: at most 2 * FL_PLAN_DEVICES + 2 *
 *         FL_PLAN_SWITCHES + 3 * FL_PLAN_RUNS + FL_PLAN_FEEDS + 3 parts
 */
#include "plan/network.h"

#include "plan/reader.h"

#include <stdlib.h>

/* A part before it has its number, which is then written to `slot`. */
struct draft {
	struct fl_part part;
	int line, order;
	int *slot;
};

struct drafts {
	const struct fl_plan *plan;
	struct fl_region *region;
	struct draft *at;
	int n;
};

static struct fl_part *add(struct drafts *drafts, enum fl_part_kind kind,
			   int index, int line, int *slot)
{
	struct draft *draft = &drafts->at[drafts->n];
	*draft = (struct draft){
		{ .kind = kind, .index = index,
		  .place = { FL_PLACE_NOWHERE, FL_NONE, 0 } },
		line, drafts->n++, slot };
	return &draft->part;
}

/* `text` NULL: people read the key. */
static void name(struct drafts *drafts, struct fl_part *part,
		 const char *kind, const char *subject, const char *text)
{
	part->key = fl_region_format(drafts->region, "%s %s", kind, subject);
	part->text = text ? text : part->key;
}

static void add_laptop(struct drafts *drafts, struct fl_network *net)
{
	struct fl_part *part = add(drafts, FL_PART_LAPTOP, FL_NONE, 0,
				   &net->laptop_part);
	part->key = "laptop lead";
	part->text = "the laptop's own lead and adapter";
}

static bool in_weather(const struct fl_plan *plan, const struct fl_run *run)
{
	for (int end = 0; end < 2; end++)
		if (run->ends[end].kind == FL_PLACE_DEVICE &&
		    plan->devices[run->ends[end].index].weather)
			return true;
	return run->weather;
}

static const char *place_text(struct drafts *drafts, struct fl_place place)
{
	return fl_plan_place_text(drafts->plan, place, drafts->region);
}

/* A run without a label goes by its two ends. */
static const char *run_name(struct drafts *drafts, const struct fl_run *run)
{
	if (run->name)
		return run->name;
	return fl_region_format(drafts->region, "%s - %s",
				place_text(drafts, run->ends[0]),
				place_text(drafts, run->ends[1]));
}

/* A whole run, or the half of it that leads to this end. */
static void add_run(struct drafts *drafts, struct fl_edge *edge, int half)
{
	const struct fl_run *run = &drafts->plan->runs[edge->run];
	struct fl_region *region = drafts->region;
	struct fl_part *part = add(drafts, FL_PART_RUN, edge->run, run->line,
				   &edge->part);
	const char *label = run_name(drafts, run);
	part->weather = in_weather(drafts->plan, run);
	if (half == FL_NONE) {
		part->key = fl_region_format(region, "run %s", label);
		part->text = fl_plan_run_text(drafts->plan, edge->run, region);
		return;
	}
	part->place = run->ends[half];
	const char *end = place_text(drafts, part->place);
	part->key = fl_region_format(region, "run %s to %s", label, end);
	part->text = fl_region_format(region, "%s from your own switch to %s",
				      label, end);
}

/* `user` is whose plug it takes, for a port that has no number. */
static void add_port(struct drafts *drafts, struct fl_place place,
		     const char *user, int line, int *slot)
{
	if (!fl_place_has_ports(drafts->plan, place))
		return;
	struct fl_region *region = drafts->region;
	struct fl_part *part = add(drafts, FL_PART_PORT, place.index, line,
				   slot);
	const char *of = fl_place_name(drafts->plan, place);
	part->place = place;
	part->key = place.port
		? fl_region_format(region, "port %d of %s", place.port, of)
		: fl_region_format(region, "port of %s to %s", of, user);
	part->text = part->key;
}

static void add_edges(struct drafts *drafts, struct fl_network *net)
{
	const struct fl_plan *plan = drafts->plan;
	for (int e = 0; e < net->edge_count; e++) {
		struct fl_edge *edge = &net->edges[e];
		const struct fl_seat *seat = &plan->laptop;
		if (edge->run == FL_NONE && seat->kind == FL_SEAT_PORT)
			add_port(drafts, seat->place, "the laptop", 0,
				 &edge->ports[1]);
		if (edge->run == FL_NONE)
			continue;
		const bool cut = seat->kind == FL_SEAT_IN_RUN &&
				 seat->run == edge->run;
		add_run(drafts, edge, cut ? e != edge->run : FL_NONE);
		const struct fl_run *run = &plan->runs[edge->run];
		for (int end = 0; end < 2; end++)
			if (edge->ends[end] != net->laptop)
				add_port(drafts, run->ends[end],
					 fl_place_name(plan, run->ends[!end]),
					 run->line, &edge->ports[end]);
	}
}

static void add_things(struct drafts *drafts, struct fl_network *net)
{
	const struct fl_plan *plan = drafts->plan;
	struct fl_vertex *v = net->vertices;
	for (int i = 0; i < (int)plan->device_count; i++, v++) {
		const struct fl_device *d = &plan->devices[i];
		name(drafts, add(drafts, FL_PART_DEVICE, i, d->line, &v->part),
		     "device", d->name, d->name);
		name(drafts, add(drafts, FL_PART_SETTINGS, i, d->line, NULL),
		     "settings of", d->name, NULL);
	}
	for (int i = 0; i < (int)plan->switch_count; i++, v++) {
		const struct fl_switch *s = &plan->switches[i];
		name(drafts, add(drafts, FL_PART_SWITCH, i, s->line, &v->part),
		     "switch", s->name, s->name);
		name(drafts, add(drafts, FL_PART_FILTER, i, s->line,
				 &v->filter), "filter in", s->name, NULL);
	}
	for (int i = 0; i < (int)plan->feed_count; i++)
		name(drafts, add(drafts, FL_PART_FEED, i, plan->feeds[i].line,
				 &net->feed_parts[i]), "feed",
		     plan->feeds[i].name, plan->feeds[i].name);
}

static int in_file_order(const void *a, const void *b)
{
	const struct draft *x = a, *y = b;
	if (x->line != y->line)
		return x->line < y->line ? -1 : 1;
	if (x->part.kind != y->part.kind)
		return x->part.kind < y->part.kind ? -1 : 1;
	return x->order < y->order ? -1 : x->order > y->order;
}

static bool make_parts(struct fl_graph *graph, struct fl_network *net,
		       struct fl_region *region)
{
	const struct fl_plan *plan = net->plan;
	const size_t most = 3 + 2 * plan->device_count +
			    2 * plan->switch_count + 3 * plan->run_count +
			    plan->feed_count;
	struct drafts drafts = { plan, region,
		fl_region_array(region, most, sizeof *drafts.at), 0 };
	if (!drafts.at)
		return false;
	add_laptop(&drafts, net);
	add_edges(&drafts, net);
	add_things(&drafts, net);
	qsort(drafts.at, (size_t)drafts.n, sizeof *drafts.at, in_file_order);
	graph->part_count = (size_t)drafts.n;
	graph->parts = fl_region_array(region, graph->part_count,
				       sizeof *graph->parts);
	for (int i = 0; graph->parts && i < drafts.n; i++) {
		graph->parts[i] = drafts.at[i].part;
		if (drafts.at[i].slot)
			*drafts.at[i].slot = i;
	}
	return !fl_region_full(region);
}

static uint64_t *row(const struct fl_graph *graph, size_t device)
{
	return graph->way + device * graph->words;
}

static void put_on_way(struct fl_graph *graph, size_t device, size_t part)
{
	row(graph, device)[part / 64] |= UINT64_C(1) << part % 64;
}

bool fl_graph_on_way(const struct fl_graph *graph, size_t device, size_t part)
{
	return row(graph, device)[part / 64] >> part % 64 & 1;
}

/* Who is heard with this part taken away, against with all in place. */
static void judge_part(struct fl_graph *graph, struct fl_network *net, int part)
{
	const struct fl_part *p = &graph->parts[part];
	fl_network_without(net, part);
	for (size_t d = 0; d < net->plan->device_count; d++) {
		const bool heard = graph->reachable[d]
			? net->reached[d] && net->alive[d]
			: !fl_network_mute(net, (int)d, part);
		const bool own = p->kind == FL_PART_SETTINGS &&
				 p->index == (int)d;
		if (!heard || own)
			put_on_way(graph, d, (size_t)part);
	}
}

/* What speaks for a device hides it, as does whatever hides that. */
static void add_speakers(struct fl_graph *graph, const struct fl_plan *plan)
{
	for (size_t d = 0; d < plan->device_count; d++) {
		int speaker = plan->devices[d].behind;
		size_t left = plan->device_count;   /* a chain, no circle */
		while (speaker != FL_NONE && left-- > 0) {
			const uint64_t *his = row(graph, (size_t)speaker);
			for (size_t w = 0; w < graph->words; w++)
				row(graph, d)[w] |= his[w];
			graph->reachable[d] = graph->reachable[speaker];
			speaker = plan->devices[speaker].behind;
		}
	}
}

struct fl_graph *fl_graph_new(const struct fl_plan *plan,
			      struct fl_region *region)
{
	struct fl_network *net = fl_network_new(plan, region);
	struct fl_graph *graph = fl_region_take(region, sizeof *graph);
	if (!net || !graph || !make_parts(graph, net, region))
		return NULL;
	graph->words = (graph->part_count + 63) / 64;
	graph->way = fl_region_array(region, plan->device_count * graph->words,
				     sizeof *graph->way);
	graph->reachable = fl_region_array(region, plan->device_count,
					   sizeof *graph->reachable);
	graph->unplugged = fl_region_array(region, plan->device_count,
					   sizeof *graph->unplugged);
	if (fl_region_full(region))
		return NULL;
	if (plan->laptop.kind == FL_SEAT_IN_PLACE)
		graph->unplugged[plan->laptop.place.index] = true;
	fl_network_without(net, FL_NONE);
	for (size_t d = 0; d < plan->device_count; d++)
		graph->reachable[d] = net->reached[d];
	for (size_t p = 0; p < graph->part_count; p++)
		judge_part(graph, net, (int)p);
	add_speakers(graph, plan);
	return graph;
}
