/* sim.h -- a boat's segment as the laptop hears it: scenario in, frames and
 * the truth out.
 *
 * The simulator shares no code with the program under test, so that a wrong
 * reading of a standard cannot hide in both. Its own reading of each standard
 * is checked by a third party's (read_back.py).
 *
 *     char why[200];
 *     struct sim_boat *boat = sim_boat_read(text, why, sizeof why);
 *     sim_run(boat, 0, 1, &sink);
 *     ... sim_plan_text(boat), sim_truth_json(boat)
 *     sim_boat_free(boat);
 *
 * Shapes  one boat, run as often as wanted; each run starts from nothing and
 *         the truth speaks of the last one
 * Units   times in ns; a scenario's times are seconds from its start
 * Owns    a boat is freed by its caller, as is every char * returned
 * Errors  NULL and one sentence with the line; memory running out aborts
 * Ceiling the enum in boat.h, each told as a fault of the scenario
 *
 * The same scenario and seed give the same octets on every machine: no
 * libm, own random numbers, no clock.
 */
#ifndef SIM_H
#define SIM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

typedef int64_t sim_time;   /* ns */

struct sim_boat;

struct sim_frame {
	sim_time       time;       /* since 1970                             */
	const uint8_t *at;         /* dies when the sink returns             */
	uint32_t       captured;   /* octets at `at`, an asked-for FCS too   */
	uint32_t       length;     /* octets on the wire, counted likewise   */
	bool           outbound;   /* the laptop's own system sent it        */
	bool           damaged;    /* its FCS does not hold                  */
	int            node;       /* sender, as sim_heard() numbers them    */
};

struct sim_sink {
	void *context;
	void (*frame)(void *context, const struct sim_frame *frame);
};

/* Read a scenario (its language: read.c). */
struct sim_boat *sim_boat_read(const char *text, char *why, size_t n);
void sim_boat_free(struct sim_boat *boat);

/* What is wrong with a random boat, and how it shows. */
enum sim_cause_kind {
	SIM_NOTHING, SIM_RUN, SIM_PORT, SIM_SWITCH, SIM_FEED, SIM_DEVICE,
	SIM_ASLEEP, SIM_LEAD, SIM_CAUSE_KINDS,
};
enum sim_mode {
	SIM_STANDING,         /* since before the laptop came                */
	SIM_DIES,             /* in the middle of listening                  */
	SIM_COMES_AND_GOES,   /* flaps, sags, reboots; ASLEEP: goes to sleep */
	SIM_DROPS,            /* RUN and LEAD lose frames; others as above   */
	SIM_MODES,
};

struct sim_options {
	enum sim_cause_kind cause;
	enum sim_mode mode;
	double seconds;           /* 0: 180                                  */
	double every;             /* mean between flaps; 0: seconds / 12     */
	double jitter;            /* 0: 0.02; up to 0.2                      */
	double loss;              /* background loss of every run            */
	double burst;             /* mean frames lost together; 0: 1         */
	double burst_ms;          /* or mean ms in which all are lost; 0: no */
	double lead_loss;         /* of the laptop's lead                    */
	double lead_burst;        /* mean frames lost together there; 0: 1   */
	int    devices, switches; /* 0: 4 to 20, 1 to 4                      */
	bool   slow;              /* bulk streams at 2 frames/s, for speed   */
	bool   powered;           /* some devices are fed over their run     */
	bool   snooping;          /* some switches hold groups back          */
};

/* A boat made up from a seed: 4 to 20 devices on a tree of switches. */
struct sim_boat *sim_boat_random(uint64_t seed,
				 const struct sim_options *options);
/* The scenario a boat was read from, to show and to keep. */
const char *sim_boat_text(const struct sim_boat *boat);

/* Hand every frame the laptop hears in `seconds` to the sink, in the order of
 * time. 0 seconds or seed 0: as the scenario says. Returns the end of
 * listening, since 1970. */
sim_time sim_run(struct sim_boat *boat, double seconds, uint64_t seed,
		 const struct sim_sink *sink);
sim_time sim_start(const struct sim_boat *boat);

/* The plan of this boat: devices, cadences, wiring, feeds, laptop's place. */
char *sim_plan_text(const struct sim_boat *boat);
/* False: the scenario says "no plan". */
bool sim_wants_plan(const struct sim_boat *boat);
/* Causes, who was heard when, frames by protocol: of the last run. */
char *sim_truth_json(const struct sim_boat *boat);

/* One fault of the scenario. `part` reads "run W7", "port 3 of lower switch",
 * "laptop lead", or is the name of a switch, feed or device. */
struct sim_cause {
	const char *kind, *part, *mode;
	sim_time    from, to;      /* since the start                        */
};
size_t sim_cause_count(const struct sim_boat *boat);
struct sim_cause sim_cause(const struct sim_boat *boat, size_t i);

struct sim_span { sim_time from, to; };   /* since the start, half open */

/* What became of one device or switch in the last run. */
struct sim_heard {
	const char    *name, *kind;
	const uint8_t *mac;
	bool           planned, is_switch;
	uint64_t       frames;       /* heard                                */
	uint64_t       lost;         /* sent over a live way and lost        */
	sim_time       first, last;  /* heard, since 1970; 0 never           */
	double         cadence;      /* s, 0: none that is steady            */
	const struct sim_span *silent;   /* off, booting or cut off          */
	size_t         silent_count;
};
size_t sim_node_count(const struct sim_boat *boat);
struct sim_heard sim_heard(const struct sim_boat *boat, size_t i);

/* Frames as a pcapng file: one interface, nanoseconds, its end told. */
struct sim_pcapng;
struct sim_pcapng *sim_pcapng_open(FILE *file, const struct sim_boat *boat);
void sim_pcapng_frame(void *pcapng, const struct sim_frame *frame);
/* Ends the file (which stays open) and says whether all was written. */
bool sim_pcapng_close(struct sim_pcapng *pcapng, sim_time end);

#endif
