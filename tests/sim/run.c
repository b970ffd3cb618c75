/* run.c -- the boat lived through: events in the order of time, and which of
 * the frames reach the laptop.
 *
 * One heap holds everything that is to happen. A node's streams and what it
 * says at its start belong to one life of it; when its life ends, what was
 * still to come is dropped as it is met. Every node draws from its own random
 * numbers, so a fault of one does not change what the others say.
 *
 * Source  RFC 2131 section 4.1 (the client's times)
 */
#include "run.h"

#include <stdlib.h>
#include <string.h>

/* ---- address servers ---- */

static bool is_cut(const struct sim *sim, int node, sim_time t)
{
	size_t cursor = 0;
	return sim_in_spans(&sim->boat->time.cut[node], &cursor, t);
}

/* Servers that hear this client: taken to be those on its side of a cut. */
static size_t servers_for(const struct sim *sim, int client, sim_time t,
			  int servers[SIM_NODES])
{
	size_t n = 0;
	for (size_t i = 0; i < sim->boat->node_count; i++) {
		if (sim->life[i].up && sim->life[i].voice.serves &&
		    (int)i != client &&
		    is_cut(sim, (int)i, t) == is_cut(sim, client, t))
			servers[n++] = (int)i;
	}
	return n;
}

/* Answers come by broadcast only to a client that asks for that (RFC 2131
 * section 4.1); others the laptop does not hear. */
static void answer(struct sim *sim, int server, int message, int client,
		   sim_time at)
{
	if (sim->boat->nodes[client].does & SIM_FLAG)
		sim_say_later(sim, server, message, client, at);
}

/* RFC 2131 section 4.4.1: a client probes what it was given. */
static void say_granted(struct sim *sim, int client, sim_time t)
{
	sim_say_later(sim, client, SIM_ARP_PROBE, client, t);
	sim_say_later(sim, client, SIM_ARP_ANNOUNCE, client,
		      t + 2 * SIM_SECOND);
	sim_say_later(sim, client, SIM_ARP_ANNOUNCE, client,
		      t + 4 * SIM_SECOND);
}

static void discover(struct sim *sim, int client, sim_time t)
{
	struct sim_life *life = &sim->life[client];
	int servers[SIM_NODES];
	const size_t n = servers_for(sim, client, t, servers);
	const sim_time ms = SIM_SECOND / 1000;
	if (n == 0) {
		const double wait = life->tries +
			sim_between(&life->voice.prng, -1, 1);
		sim_say_later(sim, client, SIM_DISCOVER, client,
			      t + sim_seconds(wait));
		if (life->tries < 64)
			life->tries *= 2;
		return;
	}
	for (size_t i = 0; i < n; i++) {
		sim_say_later(sim, servers[i], SIM_ARP_CANDIDATE, client,
			  t + 1 * ms + (sim_time)i * ms / 4);
		answer(sim, servers[i], SIM_OFFER, client,
		       t + 30 * ms + (sim_time)i * 4 * ms);
	}
	const int chosen = servers[sim_below(&life->voice.prng, n)];
	sim_say_later(sim, client, SIM_REQUEST, chosen, t + 60 * ms);
	answer(sim, chosen, SIM_ACK, client, t + 64 * ms);
	say_granted(sim, client, t + 100 * ms);
}

/* ---- storms ---- */

/* A device repeats one frame of its own; about a switch that is part of a
 * loop, broadcasts of several devices go round. */
static void brew(struct sim *sim, const struct sim_fault *fault)
{
	struct sim_storm *storm = &sim->storm;
	const size_t most = fault->subject == SIM_ON_SWITCH ? STORM_FRAMES : 1;
	storm->n = 0;
	for (size_t i = 0; i < sim->boat->node_count && storm->n < most; i++) {
		const struct sim_node *node = &sim->boat->nodes[i];
		if (node->does & SIM_OWN || (most == 1 ? (int)i != fault->index
						       : node->is_switch))
			continue;
		sim_say_arp_announce(&storm->frame[storm->n],
				     &sim->life[i].voice);
		storm->node[storm->n++] = (int)i;
	}
}

static void storm(struct sim *sim, struct sim_event event)
{
	const struct sim_fault *fault = &sim->boat->faults[event.which];
	struct sim_storm *storm = &sim->storm;
	if (event.at >= fault->to)
		return;
	if (storm->n == 0)
		brew(sim, fault);
	if (storm->n == 0)
		return;
	const size_t i = storm->next++ % storm->n;
	if (sim_way_is_open(sim, storm->node[i], SIM_TO_ALL, event.at))
		sim_pass(sim, storm->node[i], &storm->frame[i],
			 SIM_ARP_ANNOUNCE, event.at);
	event.at += sim_seconds(1 / fault->rate);
	sim_push(sim, event);
}

/* ---- events ---- */

static void turn_on(struct sim *sim, int index, sim_time t)
{
	struct sim_life *life = &sim->life[index];
	life->up = true;
	life->since = t;
	life->number++;
	life->tries = 4;
	life->voice.boots++;
	life->voice.id = 1;
	life->voice.bulk_made = false;
	life->voice.asked = (uint32_t)sim_next(&life->voice.prng);
	memset(life->voice.count, 0, sizeof life->voice.count);
	sim_boot(sim, index, t);
}

static void turn_off(struct sim *sim, int index)
{
	sim->life[index].up = false;
	sim->life[index].number++;
}

static void link_up(struct sim *sim, int index, sim_time t)
{
	struct sim_life *life = &sim->life[index];
	if (!life->up)
		return;
	life->since = t;
	sim_link(sim, index, t);
}

/* Its announcements; the owner, if there is one, defends itself (RFC 5227
 * section 2.4). */
static void take_address(struct sim *sim, const struct sim_fault *fault,
			 sim_time t)
{
	struct sim_voice *voice = &sim->life[fault->index].voice;
	memcpy(voice->address, fault->address, 4);
	voice->bulk_made = false;
	sim_say_later(sim, fault->index, SIM_ARP_ANNOUNCE, fault->index, t + 1);
	sim_say_later(sim, fault->index, SIM_ARP_ANNOUNCE, fault->index,
		  t + 2 * SIM_SECOND);
	for (int i = 0; i < (int)sim->boat->node_count; i++) {
		if (i != fault->index &&
		    memcmp(sim->life[i].voice.address, fault->address, 4) == 0)
			sim_say_later(sim, i, SIM_ARP_ANNOUNCE, i,
				  t + SIM_SECOND / 50);
	}
}

static void say_once(struct sim *sim, const struct sim_event *event)
{
	struct sim_voice *voice = &sim->life[event->node].voice;
	const struct sim_voice *other = &sim->life[event->other].voice;
	voice->other = other->node;
	voice->other_asked = other->asked;
	voice->server = other->address;
	sim_say(sim, event->node, event->which, event->at);
	if (event->which == SIM_DISCOVER)
		discover(sim, event->node, event->at);
}

/* A device to ask for. Never one of its own address: to ask for that is to
 * announce it (RFC 5227 section 1.1). */
static const struct sim_node *neighbour(struct sim *sim, int asker)
{
	const size_t n = sim->boat->node_count;
	struct sim_voice *voice = &sim->life[asker].voice;
	const size_t first = sim_below(&voice->prng, n);
	for (size_t i = 0; i < n; i++) {
		const struct sim_node *node =
			&sim->boat->nodes[(first + i) % n];
		if (!node->is_switch && !(node->does & SIM_UNPLANNED) &&
		    memcmp(node->address, voice->address, 4) != 0)
			return node;
	}
	return NULL;
}

static void say_again(struct sim *sim, const struct sim_event *event)
{
	struct sim_voice *voice = &sim->life[event->node].voice;
	if (event->which == SIM_ARPS)
		voice->other = neighbour(sim, event->node);
	if (event->which != SIM_ARPS || voice->other)
		sim_say(sim, event->node, event->which, event->at);
	sim_repeat(sim, event->node, event->which, event->due);
}

static void happen(struct sim *sim, struct sim_event event)
{
	struct sim_life *life = &sim->life[event.node];
	switch ((enum sim_what)event.what) {
	case SIM_SAY:
		if (life->up && event.life == life->number)
			say_once(sim, &event);
		break;
	case SIM_REPEAT:
		if (life->up && event.life == life->number)
			say_again(sim, &event);
		break;
	case SIM_ON:
		turn_on(sim, event.node, event.at);
		break;
	case SIM_OFF:
		turn_off(sim, event.node);
		break;
	case SIM_LINK_UP:
		link_up(sim, event.node, event.at);
		break;
	case SIM_GO:
		if (life->up)
			sim_leave(sim, event.node, event.at);
		break;
	case SIM_TAKE:
		take_address(sim, &sim->boat->faults[event.which], event.at);
		break;
	case SIM_SERVE:
	case SIM_STOP_SERVING:
		life->voice.serves = event.what == SIM_SERVE;
		break;
	case SIM_STORM:
		storm(sim, event);
		break;
	}
}

/* ---- the beginning ---- */

static void plan_life(struct sim *sim, int index)
{
	const struct sim_timeline *time = &sim->boat->time;
	const struct sim_spans *off = &time->off[index];
	const struct sim_spans *link = &time->link[index];
	struct sim_event event = { .node = (uint16_t)index };
	for (size_t i = 0; i < off->n; i++) {
		if (off->at[i].to <= 0)
			continue;
		event.what = SIM_OFF;
		event.at = off->at[i].from < 0 ? 0 : off->at[i].from;
		sim_push(sim, event);
		event.what = SIM_ON;
		event.at = off->at[i].to;
		sim_push(sim, event);
	}
	event.what = SIM_LINK_UP;
	for (size_t i = 0; i < link->n; i++) {
		event.at = link->at[i].to;
		if (event.at > 0)
			sim_push(sim, event);
	}
}

static void plan_faults(struct sim *sim)
{
	static const enum sim_what starts[] = {
		[SIM_LEAVES] = SIM_GO, [SIM_TAKES] = SIM_TAKE,
		[SIM_SERVES_FROM] = SIM_SERVE, [SIM_STORMS] = SIM_STORM,
		[SIM_FILTERS] = SIM_SAY,
	};
	for (size_t i = 0; i < sim->boat->fault_count; i++) {
		const struct sim_fault *fault = &sim->boat->faults[i];
		struct sim_event event = { .node = (uint16_t)fault->index,
			.what = (uint16_t)starts[fault->verb],
			.which = (uint16_t)i,
			.at = fault->from < 0 ? 0 : fault->from };
		if (event.what == SIM_SAY)      /* judged frame by frame */
			continue;
		sim_push(sim, event);
		if (event.what == SIM_SERVE) {
			event.what = SIM_STOP_SERVING;
			event.at = fault->to;
			sim_push(sim, event);
		}
	}
}

/* The losses on the way of a node, and whether a link-local group gets
 * through to the laptop: from its own switch, or where all flood. */
static void plan_way(struct sim *sim, int index)
{
	const struct sim_boat *boat = sim->boat;
	struct sim_life *life = &sim->life[index];
	life->link_only_near = true;
	for (int at = index; at != SIM_NONE; at = boat->up[at]) {
		if (at != index && boat->nodes[at].ports)
			life->link_only_near &=
				(boat->nodes[at].does & SIM_FLOODS) != 0;
		for (size_t i = 0; i < sim->losses.n; i++) {
			if (sim->losses.at[i].run == boat->up_run[at])
				life->losses[life->loss_count++] = (int)i;
		}
	}
	if (boat->nodes[index].does & SIM_OWN)
		life->loss_count = 0;
}

/* The port a node's frames leave by, on their way to the laptop. */
static int port_towards_laptop(const struct sim_boat *boat, int index)
{
	if (boat->up_run[index] == SIM_NONE)
		return boat->laptop.port;
	const struct sim_place *ends = boat->runs[boat->up_run[index]].ends;
	return ends[ends[0].node != index].port;
}

static void start_node(struct sim *sim, int index, uint64_t seed)
{
	const struct sim_node *node = &sim->boat->nodes[index];
	const struct sim_spans *off = &sim->boat->time.off[index];
	struct sim_life *life = &sim->life[index];
	struct sim_voice *voice = &life->voice;
	size_t first = 0;
	*voice = (struct sim_voice){ .boat = sim->boat, .node = node,
		.prng = sim_prng(seed, (uint64_t)index),
		.serves = node->does & SIM_SERVES,
		.port = port_towards_laptop(sim->boat, index) };
	memcpy(voice->address, node->address, 4);
	voice->id = (uint16_t)sim_next(&voice->prng);
	voice->boots = 1 + (uint32_t)sim_below(&voice->prng, 50);
	voice->asked = (uint32_t)sim_next(&voice->prng);
	for (int i = 0; i < SIM_STREAMS; i++)
		voice->count[i] = (uint32_t)sim_below(&voice->prng, 60000);
	life->since = SIM_BEFORE;
	plan_way(sim, index);
	if (node->does & SIM_OWN) {
		sim_push(sim, (struct sim_event){ .at = SIM_SECOND / 5,
			.what = SIM_ON, .node = (uint16_t)index });
	} else if (!sim_in_spans(off, &first, 0)) {
		life->up = true;
		sim_start_streams(sim, index, 0, 0);
	}
	plan_life(sim, index);
}

sim_time sim_run(struct sim_boat *boat, double seconds, uint64_t seed,
		 const struct sim_sink *sink)
{
	struct sim *sim = calloc(1, sizeof *sim);
	if (!sim)
		abort();
	seed = seed ? seed : boat->seed;
	sim->boat = boat;
	sim->sink = sink;
	sim->end = sim_seconds(seconds > 0 ? seconds : boat->seconds);
	sim->damage = sim_prng(seed, 3000);
	memset(boat->count, 0, sizeof boat->count);
	memset(boat->protocol, 0, sizeof boat->protocol);
	boat->heard_to = boat->start + sim->end;
	sim_timeline_make(boat, seed, sim->end);
	sim_losses_make(&sim->losses, boat, seed);
	for (size_t i = 0; i < boat->node_count; i++)
		start_node(sim, (int)i, seed);
	plan_faults(sim);
	while (sim->n)
		happen(sim, sim_pop(sim));
	free(sim->heap);
	free(sim);
	return boat->heard_to;
}
