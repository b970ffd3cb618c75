/* tree.c -- the way from each node to the laptop.
 *
 * A breadth-first walk from the laptop's switch; a second way (a ring) is
 * never used, as behind a spanning tree.
 */
#include "boat.h"

int sim_other_end(const struct sim_run *run, int node)
{
	return run->ends[run->ends[0].node == node].node;
}

static void reach(struct sim_boat *boat, int from, int run)
{
	const struct sim_place *ends = boat->runs[run].ends;
	if (ends[0].node != from && ends[1].node != from)
		return;
	const int next = sim_other_end(&boat->runs[run], from);
	if (boat->up_run[next] != SIM_NONE || next == boat->laptop.node)
		return;
	boat->up[next] = from;
	boat->up_run[next] = run;
	boat->order[boat->order_count++] = next;
}

bool sim_tree_make(struct sim_boat *boat)
{
	size_t unjoined = 0;
	for (size_t i = 0; i < boat->node_count; i++) {
		boat->up[i] = boat->up_run[i] = SIM_NONE;
		unjoined += (boat->nodes[i].does & SIM_OWN) != 0;
	}
	boat->order[0] = boat->laptop.node;
	boat->order_count = 1;
	for (size_t done = 0; done < boat->order_count; done++) {
		for (size_t run = 0; run < boat->run_count; run++)
			reach(boat, boat->order[done], (int)run);
	}
	return boat->order_count + unjoined == boat->node_count;
}
