/* graph.h -- what lies between each device and the laptop.
 *
 * Every part that can be at fault has a number. The way of a device is the
 * set of parts whose failure hides that device from the laptop; the feeds
 * of everything on the way belong to it too, as do the feeds' own runs and
 * switches where power comes over a run.
 *
 * Shapes  ways are bit sets over part numbers, one row a device
 * Owns    all in the region given
 * Errors  NULL: the region is full
 */
#ifndef FL_PLAN_GRAPH_H
#define FL_PLAN_GRAPH_H

#include "plan/plan.h"

enum fl_part_kind {
	FL_PART_LAPTOP,     /* the laptop's own lead, adapter and plug       */
	FL_PART_RUN,        /* cable, plugs and joints: index of the run     */
	FL_PART_PORT,       /* a port of a switch or of a device with ports  */
	FL_PART_SWITCH,
	FL_PART_FEED,       /* breaker, fuse, lead                           */
	FL_PART_DEVICE,     /* broken, asleep or switched off                */
	FL_PART_SETTINGS,   /* of a device                                   */
	FL_PART_FILTER,     /* a setting of a switch that holds groups back  */
};

struct fl_part {
	enum fl_part_kind kind;
	int index;               /* device, switch, run or feed              */
	struct fl_place place;   /* PORT: which one, its port 0 if not said;
				  * RUN cut in two: the end its half leads to */
	bool weather;            /* RUN: a plug stands in the weather        */
	const char *key;         /* "run W7", "port 3 of lower switch",
				  * "laptop lead": as programs read it       */
	const char *text;        /* "W7: arch radar - arch bulkhead - lower
				  * switch 3": as people read it             */
};

struct fl_graph {
	struct fl_part *parts;
	size_t    part_count;
	size_t    words;         /* 64-bit words of one row                  */
	uint64_t *way;           /* device_count rows: parts that hide it    */
	bool     *reachable;     /* device: its way to the laptop is known   */
	bool     *unplugged;     /* device: the laptop sits in its place     */
};

/* Build the graph of `plan`, its laptop seat included. With the seat unknown
 * each device's way ends at the switch or device that most runs lead to; the
 * laptop's lead is then still on every way. A device without wiring has a
 * way of the laptop's lead, itself, its settings and its feeds. A device that
 * is also a switch passes others through unless `bypass`; "behind" adds the
 * whole way of the device it is heard through; the seat in place of a device
 * leaves that device's own run to the others as the laptop's path, and makes
 * it "unplugged"; the seat in a run splits it at the laptop's own switch. */
struct fl_graph *fl_graph_new(const struct fl_plan *plan,
			      struct fl_region *region);
bool fl_graph_on_way(const struct fl_graph *graph, size_t device, size_t part);

#endif
