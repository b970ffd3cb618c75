/* network.h -- a plan as vertices and edges, for graph.c.
 *
 * Vertices are the devices, then the switches, then the laptop; edges are
 * the runs, and whatever joins the laptop to them. To ask what a part hides
 * is to take it away and look who is still reached.
 *
 * Owns    all in the region given
 */
#ifndef FL_PLAN_NETWORK_H
#define FL_PLAN_NETWORK_H

#include "plan/graph.h"

struct fl_edge {
	int ends[2];     /* vertices; FL_NONE: unplugged there              */
	int run;         /* FL_NONE: the laptop's own lead                  */
	int part;        /* RUN, or LAPTOP                                  */
	int ports[2];    /* PORT at either end, FL_NONE: none there         */
};

struct fl_vertex {
	int  first, count;   /* into `near`                                 */
	int  part;           /* DEVICE or SWITCH                            */
	int  filter;         /* FILTER of a switch, else FL_NONE            */
	bool forwards;       /* a switch, or a device with ports            */
	bool bypass;         /* forwards unpowered                          */
};

struct fl_network {
	const struct fl_plan *plan;
	struct fl_vertex *vertices;  int vertex_count;
	struct fl_edge   *edges;     int edge_count;
	int *near;           /* edges of each vertex, one behind the other  */
	int *feed_parts;     /* FEED of each feed                           */
	int laptop;          /* its vertex                                  */
	int laptop_part;
	/* Scratch of one question. */
	bool *alive, *reached;
	int  *queue;
};

/* The edges and vertices of a plan, parts left open. NULL: no room. */
struct fl_network *fl_network_new(const struct fl_plan *plan,
				  struct fl_region *region);
/* Fill in `alive` and `reached` as they are with this part taken away
 * (FL_NONE: none). */
void fl_network_without(struct fl_network *net, int part);
/* After that: true if nothing this device says gets to any neighbour, which
 * is all that can be asked of one whose way to the laptop is not known. */
bool fl_network_mute(const struct fl_network *net, int device, int part);

#endif
