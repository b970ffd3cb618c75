/* hear.c -- which frames reach the laptop, and the hearing of them.
 *
 * The way is judged before a message is built: most frames of a dead run are
 * never written.
 */
#include "run.h"

#include <string.h>

/* A switch on the way that lets go of a group nobody has asked for. */
static bool held_back(const struct sim *sim, int node, sim_time t)
{
	const struct sim_boat *boat = sim->boat;
	for (int at = node; at != SIM_NONE; at = boat->up[at]) {
		if (boat->nodes[at].does & SIM_SNOOPS)
			return true;
		for (size_t i = 0; i < boat->fault_count; i++) {
			const struct sim_fault *fault = &boat->faults[i];
			if (fault->verb != SIM_FILTERS || fault->index != at ||
			    t < fault->from || t >= fault->to)
				continue;
			const sim_time age = sim_seconds(fault->age);
			if (t - fault->from >= age &&
			    t - sim->life[node].since >= age)
				return true;
		}
	}
	return false;
}

static bool reaches(const struct sim *sim, int node, enum sim_reach reach,
		    sim_time t)
{
	switch (reach) {
	case SIM_TO_LINK:
		return sim->life[node].link_only_near;
	case SIM_TO_GROUP:
	case SIM_TO_QUERIER:
		return !held_back(sim, node, t);
	case SIM_TO_ALL:
	case SIM_TO_LOCAL:
		break;
	}
	return true;
}

static bool is_lost(struct sim *sim, const struct sim_life *life, sim_time t)
{
	bool lost = false;
	for (size_t i = 0; i < life->loss_count; i++)
		lost |= sim_loses(&sim->losses.at[life->losses[i]], t);
	return lost;
}

static bool is_damaged(struct sim *sim, sim_time t)
{
	for (size_t i = 0; i < sim->boat->fault_count; i++) {
		const struct sim_fault *fault = &sim->boat->faults[i];
		if (fault->verb == SIM_DAMAGES && t >= fault->from &&
		    t < fault->to && sim_chance(&sim->damage, fault->chance))
			return true;
	}
	return false;
}

/* Copy with the FCS behind it, or with a bit wrong, or both. */
static void finish_frame(struct sim *sim, struct sim_packet *copy,
			 struct sim_frame *frame)
{
	const uint32_t fcs = sim_fcs(frame->at, frame->length);
	memcpy(copy->b, frame->at, frame->length);
	if (frame->damaged) {
		const size_t bit = sim_below(&sim->damage, 8 * frame->length);
		copy->b[bit / 8] ^= (uint8_t)(1 << bit % 8);
	}
	frame->at = copy->b;
	if (!sim->boat->fcs)
		return;
	for (int i = 0; i < 4; i++)
		copy->b[frame->length++] = (uint8_t)(fcs >> 8 * i);
}

static void hear(struct sim *sim, int node, const struct sim_packet *packet,
		 int message, sim_time t)
{
	struct sim_boat *boat = sim->boat;
	struct sim_count *count = &boat->count[node];
	struct sim_packet copy;
	const bool own = boat->nodes[node].does & SIM_OWN;
	struct sim_frame frame = {
		.time = boat->start + t, .at = packet->b, .outbound = own,
		.length = (uint32_t)packet->n, .node = node,
		.damaged = !own && is_damaged(sim, t),
	};
	if (frame.damaged || boat->fcs)
		finish_frame(sim, &copy, &frame);
	frame.captured = frame.length;
	if (message == SIM_BULK && boat->snap && frame.length > boat->snap)
		frame.captured = boat->snap;
	if (count->frames++ == 0)
		count->first = frame.time;
	count->last = frame.time;
	boat->protocol[sim_sayings[message].protocol]++;
	if (sim->sink)
		sim->sink->frame(sim->sink->context, &frame);
}

/* True if the way is open and long enough; draws no random number. */
bool sim_way_is_open(struct sim *sim, int node, enum sim_reach reach,
			sim_time t)
{
	struct sim_life *life = &sim->life[node];
	return !sim_in_spans(&sim->boat->time.cut[node], &life->cut_at, t) &&
	       reaches(sim, node, reach, t);
}

void sim_pass(struct sim *sim, int node, const struct sim_packet *packet,
		 int message, sim_time t)
{
	if (is_lost(sim, &sim->life[node], t))
		sim->boat->count[node].lost++;
	else
		hear(sim, node, packet, message, t);
}

void sim_say(struct sim *sim, int node, int message, sim_time t)
{
	struct sim_voice *voice = &sim->life[node].voice;
	struct sim_packet fresh;
	const struct sim_packet *packet = &fresh;
	if (message < SIM_STREAMS)
		voice->count[message]++;
	if (!sim_way_is_open(sim, node, sim_sayings[message].reach, t))
		return;
	if (message == SIM_BULK)
		packet = sim_say_bulk(voice);
	else
		sim_sayings[message].build(&fresh, voice);
	sim_pass(sim, node, packet, message, t);
}
