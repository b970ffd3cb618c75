/* boat.h -- a boat as the simulator holds it.
 *
 * Devices and switches are one kind of thing, the node: a switch may speak
 * (LLDP, spanning tree) and a device may have ports.
 *
 * Ceiling the enum below; a scenario that wants more is refused
 */
#ifndef SIM_BOAT_H
#define SIM_BOAT_H

#include "packet.h"
#include "prng.h"
#include "sim.h"

enum {
	SIM_NODES = 64, SIM_RUNS = 96, SIM_FEEDS = 64, SIM_FAULTS = 64,
	SIM_NODE_FEEDS = 4, SIM_JOINTS = 4, SIM_NAME = 48, SIM_NONE = -1,
};

/* Before every start and after every end. */
#define SIM_BEFORE (INT64_MIN / 4)
#define SIM_AFTER  (INT64_MAX / 4)
#define SIM_SECOND INT64_C(1000000000)

static inline sim_time sim_seconds(double s)
{
	return (sim_time)(s * 1e9 + (s < 0 ? -0.5 : 0.5));
}

/* What a node says again and again. Each has its time in node.every. */
enum sim_stream {
	SIM_BULK,      /* echoes, soundings, pictures: the maker's multicast */
	SIM_STATUS,    /* the maker's own announcement, multicast            */
	SIM_TEXT,      /* sentences, broadcast                               */
	SIM_TARGETS,   /* at random, broadcast                               */
	SIM_ARPS,      /* requests for a neighbour, at random                */
	SIM_QUERIES,   /* mDNS                                               */
	SIM_SSDP, SIM_LLDP, SIM_BPDU,
	SIM_STREAMS,
};

/* What else a node does: bits of node.does. */
enum sim_does {
	SIM_MDNS      = 1 << 0,
	SIM_IPV6      = 1 << 1,
	SIM_GROUPS    = 1 << 2,   /* sends membership reports           */
	SIM_DHCP      = 1 << 3,   /* asks for its address               */
	SIM_CARRIER   = 1 << 4,   /* asks anew when its link comes up   */
	SIM_FLAG      = 1 << 5,   /* wants answers by broadcast         */
	SIM_SERVES    = 1 << 6,   /* hands out addresses                */
	SIM_RTP       = 1 << 7,   /* its bulk stream is RTP             */
	SIM_FLOODS    = 1 << 8,   /* forwards link-local groups         */
	SIM_SNOOPS    = 1 << 9,   /* holds back groups nobody asks for  */
	SIM_BYPASS    = 1 << 10,  /* forwards unpowered                 */
	SIM_LEAVE     = 1 << 11,  /* steers: nobody unplugs it          */
	SIM_UNPLANNED = 1 << 12,
	SIM_OWN       = 1 << 13,  /* the laptop's own system            */
};

/* A kind of device and its habits, before the scenario changes them. */
struct sim_kind {
	const char *name;
	double   every[SIM_STREAMS];   /* s, 0 never       */
	int      size;                 /* of a bulk frame  */
	unsigned does;
};

struct sim_place { int node, port; };   /* port 0: has no number */

struct sim_node {
	char     name[SIM_NAME];
	const struct sim_kind *kind;
	bool     is_switch;
	int      ports;                /* 0: none                          */
	uint8_t  mac[6], address[4];
	double   every[SIM_STREAMS];
	int      size;
	unsigned does;
	double   boots_in, jitter;
	double   joins;                /* s, switched on then; 0: before    */
	int      feeds[SIM_NODE_FEEDS];
	size_t   feed_count;
	char     powered_by[SIM_NAME]; /* a run's label, "" none           */
	int      fed_over;             /* that run, or SIM_NONE            */
	int      woken_by;
};

struct sim_run {
	char   label[SIM_NAME];
	struct sim_place ends[2];
	char   joints[SIM_JOINTS][SIM_NAME];
	size_t joint_count;
	bool   weather;                /* a plug of it stands outside */
	double metres, loss, burst_frames, burst_ms;
};

struct sim_feed { char name[SIM_NAME]; double volts, fuse; };

enum sim_subject {
	SIM_ON_RUN, SIM_ON_PORT, SIM_ON_SWITCH, SIM_ON_FEED, SIM_ON_DEVICE,
	SIM_ON_LEAD,
};

enum sim_verb {
	SIM_DEAD, SIM_FLAPS, SIM_ASLEEP_FROM, SIM_LEAVES, SIM_TAKES,
	SIM_SERVES_FROM, SIM_STORMS, SIM_LOSES, SIM_DAMAGES, SIM_FILTERS,
};

struct sim_fault {
	enum sim_subject subject;
	enum sim_verb    verb;
	const char *word;              /* the verb as the scenario wrote it  */
	int      index;                /* run, node or feed                  */
	struct sim_place place;        /* of ON_PORT                         */
	char     part[SIM_NAME + 32];
	sim_time from, to;
	double   every, shortest, longest;   /* FLAPS, s; every 0: once      */
	double   chance, burst_frames, burst_ms, rate, age;
	uint8_t  address[4];
};

struct sim_spans { struct sim_span *at; size_t n, room; };

/* When each part did not do its work, of one run of the simulator. */
struct sim_timeline {
	struct sim_spans run[SIM_RUNS];      /* no link                      */
	struct sim_spans feed[SIM_FEEDS];    /* no volts                     */
	struct sim_spans off[SIM_NODES];     /* off, or booting              */
	struct sim_spans cut[SIM_NODES];     /* its way to the laptop        */
	struct sim_spans link[SIM_NODES];    /* its own link                 */
	struct sim_spans silent[SIM_NODES];  /* off or cut                   */
};

struct sim_count { uint64_t frames, lost; sim_time first, last; };

struct sim_boat {
	char     name[SIM_NAME];
	char    *text;
	sim_time start;
	double   seconds;
	uint64_t seed;
	uint32_t snap;                 /* of bulk frames, 0 whole            */
	bool     fcs, no_plan;
	char     interface[SIM_NAME];
	struct sim_place laptop;
	struct sim_run   lead;
	struct sim_node  nodes[SIM_NODES];   size_t node_count;
	struct sim_run   runs[SIM_RUNS];     size_t run_count;
	struct sim_feed  feeds[SIM_FEEDS];   size_t feed_count;
	struct sim_fault faults[SIM_FAULTS]; size_t fault_count;
	/* The tree as seen from the laptop, nearest first. */
	int      up[SIM_NODES], up_run[SIM_NODES];   /* next node, run to it */
	int      order[SIM_NODES];
	size_t   order_count;
	/* Of the last run. */
	struct sim_timeline time;
	struct sim_count    count[SIM_NODES];
	uint64_t            protocol[16];
	sim_time            heard_to;
};

/* kinds.c */
extern const struct sim_kind sim_kinds[];
extern const char *const sim_stream_words[SIM_STREAMS];
const struct sim_kind *sim_kind(const char *name);
/* The bit for a word after "with", 0: no such word. */
unsigned sim_does_bit(const char *word);
/* Seconds between the announcements its presence is judged by; 0: none. */
double sim_cadence(const struct sim_node *node);
const char *sim_protocol_name(size_t i);   /* NULL past the last */

/* timeline.c */
void sim_timeline_make(struct sim_boat *boat, uint64_t seed, sim_time end);
void sim_timeline_free(struct sim_timeline *timeline);
/* True if t lies in a span; t never falls from call to call. */
bool sim_in_spans(const struct sim_spans *spans, size_t *cursor, sim_time t);

/* tree.c */
bool sim_tree_make(struct sim_boat *boat);   /* false: a node is not joined */
/* The node whose port a run of `node` ends at, other than itself. */
int sim_other_end(const struct sim_run *run, int node);

/* plan_text.c */
void sim_run_key(const struct sim_boat *boat, int run, char *out, size_t n);

#endif
