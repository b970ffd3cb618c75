/* run.h -- a boat while it is lived through.
 *
 * Owns    the heap; everything else lies in struct sim, one a run
 */
#ifndef SIM_RUN_H
#define SIM_RUN_H

#include "loss.h"
#include "say.h"

enum sim_what { SIM_SAY, SIM_REPEAT, SIM_ON, SIM_OFF, SIM_LINK_UP,
	SIM_GO, SIM_TAKE, SIM_SERVE, SIM_STOP_SERVING, SIM_STORM };

struct sim_event {
	sim_time at, due;      /* due: of a stream, without jitter        */
	uint32_t order, life;  /* order: first in, first out at one time  */
	uint16_t node, what, which;
	uint16_t other;        /* whom a message is about                 */
};

enum { STORM_FRAMES = 3 };

struct sim_storm {
	struct sim_packet frame[STORM_FRAMES];
	int    node[STORM_FRAMES];
	size_t n, next;
};

/* One node as it lives. */
struct sim_life {
	struct sim_voice voice;
	uint32_t number;
	bool     up, link_only_near;
	sim_time since;          /* of its start, or its link's return     */
	size_t   cut_at;         /* cursor of sim_in_spans                 */
	int      losses[SIM_LOSSES];
	size_t   loss_count;
	double   tries;          /* s until the next DISCOVER              */
};

struct sim {
	struct sim_boat *boat;
	const struct sim_sink *sink;
	sim_time end;
	struct sim_event *heap;
	size_t   n, room;
	uint32_t order;
	struct sim_life life[SIM_NODES];
	struct sim_losses losses;
	struct sim_prng damage;
	struct sim_storm storm;
};

/* queue.c: what is to happen, earliest first, else first in first out. */
void sim_push(struct sim *sim, struct sim_event event);
struct sim_event sim_pop(struct sim *sim);

/* hear.c: say a message now, if it has a way to the laptop and is not lost. */
void sim_say(struct sim *sim, int node, int message, sim_time t);
bool sim_way_is_open(struct sim *sim, int node, enum sim_reach reach,
		     sim_time t);
void sim_pass(struct sim *sim, int node, const struct sim_packet *packet,
	      int message, sim_time t);

/* turns.c: what a node will say. `settle`: s before its streams begin. */
void sim_say_later(struct sim *sim, int node, int message, int other,
		   sim_time at);
void sim_repeat(struct sim *sim, int index, int stream, sim_time due);
void sim_start_streams(struct sim *sim, int index, sim_time t, double settle);
void sim_boot(struct sim *sim, int index, sim_time t);
void sim_link(struct sim *sim, int index, sim_time t);
void sim_leave(struct sim *sim, int index, sim_time t);

#endif
