/* timeline.c -- from faults to spans in which a part did not do its work.
 *
 * Shapes  spans are sorted and apart; [from, to)
 * Owns    the spans of the boat's timeline, until the next run
 */
#include "boat.h"

#include <stdlib.h>
#include <string.h>

bool sim_in_spans(const struct sim_spans *spans, size_t *cursor, sim_time t)
{
	while (*cursor < spans->n && spans->at[*cursor].to <= t)
		++*cursor;
	return *cursor < spans->n && spans->at[*cursor].from <= t;
}

static void add(struct sim_spans *spans, sim_time from, sim_time to)
{
	if (spans->n == spans->room) {
		spans->room = spans->room ? 2 * spans->room : 8;
		spans->at = realloc(spans->at, spans->room * sizeof *spans->at);
		if (!spans->at)
			abort();
	}
	spans->at[spans->n++] = (struct sim_span){ from, to };
}

static void add_all(struct sim_spans *spans, const struct sim_spans *more)
{
	for (size_t i = 0; i < more->n; i++)
		add(spans, more->at[i].from, more->at[i].to);
}

static int by_begin(const void *a, const void *b)
{
	const struct sim_span *x = a, *y = b;
	return (x->from > y->from) - (x->from < y->from);
}

/* Sort, and join spans that touch. */
static void tidy(struct sim_spans *spans)
{
	if (spans->n == 0)
		return;
	qsort(spans->at, spans->n, sizeof *spans->at, by_begin);
	size_t kept = 0;
	for (size_t i = 1; i < spans->n; i++) {
		struct sim_span *last = &spans->at[kept];
		if (spans->at[i].from > last->to)
			spans->at[++kept] = spans->at[i];
		else if (spans->at[i].to > last->to)
			last->to = spans->at[i].to;
	}
	spans->n = kept + 1;
}

/* The spans of one fault; the same for every caller of one run. */
static void add_fault(struct sim_spans *spans, const struct sim_boat *boat,
		      size_t i, uint64_t seed, sim_time end)
{
	const struct sim_fault *fault = &boat->faults[i];
	if (fault->verb == SIM_DEAD || fault->verb == SIM_ASLEEP_FROM)
		add(spans, fault->from, fault->to);
	if (fault->verb == SIM_LEAVES)   /* its goodbyes take 20 ms */
		add(spans, fault->from + SIM_SECOND / 50, fault->to);
	if (fault->verb != SIM_FLAPS)
		return;
	struct sim_prng prng = sim_prng(seed, 1000 + i);
	const sim_time stop = fault->to < end ? fault->to : end;
	sim_time at = fault->from < 0 ? 0 : fault->from;
	if (fault->every > 0)
		at += sim_seconds(sim_exponential(&prng, fault->every));
	while (at < stop) {
		const sim_time to = at + sim_seconds(
			sim_between(&prng, fault->shortest, fault->longest));
		add(spans, at, to);
		if (fault->every <= 0)
			return;
		at = to + SIM_SECOND / 2 +
			sim_seconds(sim_exponential(&prng, fault->every));
	}
}

struct making {
	struct sim_boat *boat;
	uint64_t seed;
	sim_time end;
	bool     begun[SIM_NODES];
};

static void add_faults(struct making *making, struct sim_spans *spans,
		       enum sim_subject subject, int index)
{
	const struct sim_boat *boat = making->boat;
	for (size_t i = 0; i < boat->fault_count; i++) {
		if (boat->faults[i].subject == subject &&
		    boat->faults[i].index == index)
			add_fault(spans, boat, i, making->seed, making->end);
	}
}

static void add_port(struct making *making, struct sim_spans *spans,
		     struct sim_place place)
{
	const struct sim_boat *boat = making->boat;
	for (size_t i = 0; i < boat->fault_count; i++) {
		const struct sim_fault *fault = &boat->faults[i];
		if (fault->subject == SIM_ON_PORT && place.port &&
		    fault->place.node == place.node &&
		    fault->place.port == place.port)
			add_fault(spans, boat, i, making->seed, making->end);
	}
}

/* A node is off while it or any of its feeds is, and boots thereafter. Its
 * feed may be a run that another node feeds: that one first. */
static void make_off(struct making *making, int index)
{
	struct sim_boat *boat = making->boat;
	struct sim_timeline *time = &boat->time;
	const struct sim_node *node = &boat->nodes[index];
	struct sim_spans *off = &time->off[index];
	if (making->begun[index])
		return;
	making->begun[index] = true;
	add_faults(making, off, node->is_switch ? SIM_ON_SWITCH : SIM_ON_DEVICE,
		   index);
	if (node->joins > 0)
		add(off, SIM_BEFORE, sim_seconds(node->joins));
	for (size_t i = 0; i < node->feed_count; i++)
		add_all(off, &time->feed[node->feeds[i]]);
	if (node->fed_over != SIM_NONE) {
		const struct sim_run *run = &boat->runs[node->fed_over];
		const int source = sim_other_end(run, index);
		make_off(making, source);
		add_all(off, &time->off[source]);
		add_all(off, &time->run[node->fed_over]);
		add_port(making, off, run->ends[run->ends[0].node == index]);
	}
	tidy(off);
	for (size_t i = 0; i < off->n; i++)
		off->at[i].to += sim_seconds(node->boots_in);
	tidy(off);
}

static void make_way(struct making *making, int index)
{
	struct sim_boat *boat = making->boat;
	struct sim_timeline *time = &boat->time;
	struct sim_spans *cut = &time->cut[index], *link = &time->link[index];
	const int up = boat->up[index];
	if (up == SIM_NONE) {                   /* the laptop's own switch */
		add_faults(making, cut, SIM_ON_LEAD, 0);
		add_port(making, cut, boat->laptop);
	} else {
		const struct sim_run *run = &boat->runs[boat->up_run[index]];
		add_all(link, &time->run[boat->up_run[index]]);
		add_port(making, link, run->ends[0]);
		add_port(making, link, run->ends[1]);
		if (!(boat->nodes[up].does & SIM_BYPASS))
			add_all(link, &time->off[up]);
		tidy(link);
		add_all(cut, &time->cut[up]);
		add_all(cut, link);
	}
	tidy(cut);
	add_all(&time->silent[index], cut);
	add_all(&time->silent[index], &time->off[index]);
	tidy(&time->silent[index]);
}

void sim_timeline_make(struct sim_boat *boat, uint64_t seed, sim_time end)
{
	struct making making = { .boat = boat, .seed = seed, .end = end };
	sim_timeline_free(&boat->time);
	for (size_t i = 0; i < boat->run_count; i++) {
		add_faults(&making, &boat->time.run[i], SIM_ON_RUN, (int)i);
		tidy(&boat->time.run[i]);
	}
	for (size_t i = 0; i < boat->feed_count; i++) {
		add_faults(&making, &boat->time.feed[i], SIM_ON_FEED, (int)i);
		tidy(&boat->time.feed[i]);
	}
	for (size_t i = 0; i < boat->node_count; i++)
		make_off(&making, (int)i);
	for (size_t i = 0; i < boat->order_count; i++)
		make_way(&making, boat->order[i]);
}

static void free_all(struct sim_spans *spans, size_t n)
{
	for (size_t i = 0; i < n; i++)
		free(spans[i].at);
}

void sim_timeline_free(struct sim_timeline *timeline)
{
	free_all(timeline->run, SIM_RUNS);
	free_all(timeline->feed, SIM_FEEDS);
	free_all(timeline->off, SIM_NODES);
	free_all(timeline->cut, SIM_NODES);
	free_all(timeline->link, SIM_NODES);
	free_all(timeline->silent, SIM_NODES);
	memset(timeline, 0, sizeof *timeline);
}
