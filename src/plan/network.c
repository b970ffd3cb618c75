/* network.c -- who is reached from the laptop when one part is taken away.
 *
 * Reaching is breadth first over the edges that stand, through the vertices
 * that forward; so loops in the wiring need no care, and where two ways of
 * different parts lead to a device only what lies on both hides it.
 */
#include "plan/network.h"

#include "plan/reader.h"

static int vertex_of(const struct fl_plan *plan, struct fl_place place)
{
	switch (place.kind) {
	case FL_PLACE_DEVICE: return place.index;
	case FL_PLACE_SWITCH: return (int)plan->device_count + place.index;
	default:              return FL_NONE;
	}
}

static struct fl_edge *add_edge(struct fl_network *net, int run, int from,
				int to)
{
	struct fl_edge *edge = &net->edges[net->edge_count++];
	*edge = (struct fl_edge){ { from, to }, run, FL_NONE,
				  { FL_NONE, FL_NONE } };
	return edge;
}

static bool touches(const struct fl_edge *edge, int v)
{
	return edge->ends[0] == v || edge->ends[1] == v;
}

/* The run that a device's own plug is on: the first that names it first. */
static int own_run(const struct fl_plan *plan, struct fl_place device)
{
	int own = FL_NONE;
	for (size_t i = 0; i < plan->run_count; i++) {
		const int end = fl_run_end(&plan->runs[i], device);
		if (end == 0)
			return (int)i;
		if (end == 1 && own == FL_NONE)
			own = (int)i;
	}
	return own;
}

/* With the seat unknown: what most runs lead to, of what forwards if any. */
static int hub(const struct fl_network *net)
{
	int best = FL_NONE, most = 0;
	for (int v = 0; v < net->laptop; v++) {
		int count = 0;
		for (int e = 0; e < net->edge_count; e++)
			count += touches(&net->edges[e], v);
		if (count && net->vertices[v].forwards)
			count += FL_PLAN_RUNS;
		if (count > most) {
			most = count;
			best = v;
		}
	}
	return best;
}

/* The laptop has the plug of this device, at whichever end of its run. */
static void take_plug(struct fl_network *net, struct fl_place device)
{
	const int run = own_run(net->plan, device);
	if (run == FL_NONE)
		return;
	const int end = fl_run_end(&net->plan->runs[run], device);
	net->edges[run].ends[end] = net->laptop;
}

/* A device with one plug cannot be at the laptop and at its run. */
static void plug_straight(struct fl_network *net, struct fl_place device)
{
	const int v = vertex_of(net->plan, device);
	const bool one_plug = !net->vertices[v].forwards;
	for (int e = 0; e < net->edge_count; e++)
		for (int end = 0; end < 2; end++)
			if (one_plug && net->edges[e].ends[end] == v)
				net->edges[e].ends[end] = FL_NONE;
	(void)add_edge(net, FL_NONE, net->laptop, v);
}

static void cut_into(struct fl_network *net, int run)
{
	const int far = net->edges[run].ends[1];
	net->edges[run].ends[1] = net->laptop;
	(void)add_edge(net, run, net->laptop, far);
}

static void seat_laptop(struct fl_network *net)
{
	const struct fl_seat *seat = &net->plan->laptop;
	int v;
	switch (seat->kind) {
	case FL_SEAT_PORT:
		v = vertex_of(net->plan, seat->place);
		(void)add_edge(net, FL_NONE, net->laptop, v);
		break;
	case FL_SEAT_IN_PLACE:
		take_plug(net, seat->place);
		break;
	case FL_SEAT_IN_RUN:
		cut_into(net, seat->run);
		break;
	case FL_SEAT_DIRECT:
		plug_straight(net, seat->place);
		break;
	case FL_SEAT_UNKNOWN:
		v = hub(net);
		if (v != FL_NONE)
			(void)add_edge(net, FL_NONE, net->laptop, v);
		break;
	}
}

static void set_vertices(struct fl_network *net)
{
	const struct fl_plan *plan = net->plan;
	for (int v = 0; v < net->vertex_count; v++)
		net->vertices[v] = (struct fl_vertex){
			.part = FL_NONE, .filter = FL_NONE, .forwards = true };
	for (size_t d = 0; d < plan->device_count; d++) {
		net->vertices[d].forwards = plan->devices[d].ports > 0;
		net->vertices[d].bypass = plan->devices[d].bypass;
	}
}

/* For each vertex the edges at it: counted, then laid down in order. */
static void index_edges(struct fl_network *net)
{
	int first = 0;
	for (int v = 0; v < net->vertex_count; v++) {
		struct fl_vertex *vertex = &net->vertices[v];
		vertex->first = first;
		for (int e = 0; e < net->edge_count; e++)
			if (touches(&net->edges[e], v))
				net->near[first++] = e;
		vertex->count = first - vertex->first;
	}
}

struct fl_network *fl_network_new(const struct fl_plan *plan,
				  struct fl_region *region)
{
	struct fl_network *net = fl_region_take(region, sizeof *net);
	if (!net)
		return NULL;
	const size_t vertices = plan->device_count + plan->switch_count + 1;
	const size_t edges = plan->run_count + 1;
	*net = (struct fl_network){
		.plan = plan, .laptop_part = FL_NONE,
		.laptop = (int)vertices - 1, .vertex_count = (int)vertices,
		.vertices = fl_region_array(region, vertices,
					    sizeof *net->vertices),
		.edges = fl_region_array(region, edges, sizeof *net->edges),
		.near = fl_region_array(region, 2 * edges, sizeof *net->near),
		.feed_parts = fl_region_array(region, plan->feed_count,
					      sizeof *net->feed_parts),
		.alive = fl_region_array(region, vertices, sizeof *net->alive),
		.reached = fl_region_array(region, vertices,
					   sizeof *net->reached),
		.queue = fl_region_array(region, vertices, sizeof *net->queue),
	};
	if (fl_region_full(region))
		return NULL;
	set_vertices(net);
	for (size_t i = 0; i < plan->run_count; i++)
		(void)add_edge(net, (int)i,
			       vertex_of(plan, plan->runs[i].ends[0]),
			       vertex_of(plan, plan->runs[i].ends[1]));
	seat_laptop(net);
	index_edges(net);
	return net;
}

static bool stands(const struct fl_edge *edge, int part)
{
	return part == FL_NONE ||
	       (edge->part != part && edge->ports[0] != part &&
		edge->ports[1] != part);
}

/* Edge and run have one number; a run cut in two has its other half last. */
static bool carries_power(const struct fl_network *net, int run, int part)
{
	const struct fl_edge *last = &net->edges[net->edge_count - 1];
	return stands(&net->edges[run], part) &&
	       (last->run != run || stands(last, part));
}

static bool is_fed(const struct fl_network *net, struct fl_place fed, int part)
{
	const struct fl_supply *supplies;
	const size_t n = fl_supplies(net->plan, fed, &supplies);
	for (size_t i = 0; i < n; i++) {
		const struct fl_supply s = supplies[i];
		if (s.kind == FL_FEED_SUPPLY) {
			if (part != FL_NONE && net->feed_parts[s.index] == part)
				return false;
			continue;
		}
		const int source = vertex_of(net->plan,
			fl_supply_source(net->plan, fed, s));
		if (source != FL_NONE && !net->alive[source])
			return false;
		if (!carries_power(net, s.index, part))
			return false;
	}
	return true;
}

static struct fl_place place_of(const struct fl_network *net, int v)
{
	const int devices = (int)net->plan->device_count;
	if (v < devices)
		return (struct fl_place){ FL_PLACE_DEVICE, v, 0 };
	return (struct fl_place){ FL_PLACE_SWITCH, v - devices, 0 };
}

/* What is dead kills what it powers, until nobody more dies. */
static void find_alive(struct fl_network *net, int part)
{
	bool more = true;
	for (int v = 0; v < net->vertex_count; v++)
		net->alive[v] = part == FL_NONE ||
				net->vertices[v].part != part;
	while (more) {
		more = false;
		for (int v = 0; v < net->laptop; v++) {
			if (!net->alive[v] ||
			    is_fed(net, place_of(net, v), part))
				continue;
			net->alive[v] = false;
			more = true;
		}
	}
}

static bool passes(const struct fl_network *net, int v, int part)
{
	const struct fl_vertex *vertex = &net->vertices[v];
	return (net->alive[v] || vertex->bypass) &&
	       (part == FL_NONE || vertex->filter != part);
}

static const struct fl_edge *edge_at(const struct fl_network *net,
				     const struct fl_vertex *vertex, int i)
{
	return &net->edges[net->near[vertex->first + i]];
}

static int far_end(const struct fl_edge *edge, int v)
{
	return edge->ends[edge->ends[0] == v];
}

void fl_network_without(struct fl_network *net, int part)
{
	int at = 0, n = 0;
	find_alive(net, part);
	for (int v = 0; v < net->vertex_count; v++)
		net->reached[v] = false;
	if (part != FL_NONE && part == net->laptop_part)
		return;
	net->reached[net->laptop] = true;
	net->queue[n++] = net->laptop;
	while (at < n) {
		const int v = net->queue[at++];
		const struct fl_vertex *vertex = &net->vertices[v];
		if (!vertex->forwards || !passes(net, v, part))
			continue;
		for (int i = 0; i < vertex->count; i++) {
			const struct fl_edge *edge = edge_at(net, vertex, i);
			const int to = far_end(edge, v);
			if (to == FL_NONE || net->reached[to] ||
			    !stands(edge, part))
				continue;
			net->reached[to] = true;
			net->queue[n++] = to;
		}
	}
}

bool fl_network_mute(const struct fl_network *net, int device, int part)
{
	const struct fl_vertex *vertex = &net->vertices[device];
	int ways = 0;
	if (!net->alive[device] ||
	    (part != FL_NONE && part == net->laptop_part))
		return true;
	for (int i = 0; i < vertex->count; i++) {
		const struct fl_edge *edge = edge_at(net, vertex, i);
		const int to = far_end(edge, device);
		if (to == FL_NONE)
			continue;
		if (stands(edge, part) && passes(net, to, part))
			return false;
		ways++;
	}
	return ways > 0;
}
