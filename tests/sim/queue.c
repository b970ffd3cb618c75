/* queue.c -- what is to happen, earliest first: a binary heap. */
#include "run.h"

#include <stdlib.h>

static bool earlier(const struct sim_event *a, const struct sim_event *b)
{
	return a->at != b->at ? a->at < b->at : a->order < b->order;
}

void sim_push(struct sim *sim, struct sim_event event)
{
	if (event.at >= sim->end)
		return;
	if (sim->n == sim->room) {
		sim->room = sim->room ? 2 * sim->room : 256;
		sim->heap = realloc(sim->heap, sim->room * sizeof *sim->heap);
		if (!sim->heap)
			abort();
	}
	event.order = sim->order++;
	size_t i = sim->n++;
	for (; i && earlier(&event, &sim->heap[(i - 1) / 2]); i = (i - 1) / 2)
		sim->heap[i] = sim->heap[(i - 1) / 2];
	sim->heap[i] = event;
}

struct sim_event sim_pop(struct sim *sim)
{
	const struct sim_event first = sim->heap[0], last = sim->heap[--sim->n];
	size_t i = 0;
	for (size_t child; (child = 2 * i + 1) < sim->n; i = child) {
		if (child + 1 < sim->n &&
		    earlier(&sim->heap[child + 1], &sim->heap[child]))
			child++;
		if (!earlier(&sim->heap[child], &last))
			break;
		sim->heap[i] = sim->heap[child];
	}
	sim->heap[i] = last;
	return first;
}
