/* plan.h -- the expected devices of a boat, and how they are wired and fed.
 *
 * Shapes  arrays of each kind of thing; things name each other by index,
 *         FL_NONE where there is none
 * Owns    a plan and all its texts lie in the region it was read into
 * Errors  every fault of the file in one go, each with line, column, what was
 *         wrong and what would be right; a plan with a fault is not used
 * Ceiling the enum below, each told as a fault of the plan; a file of 1 MiB
 */
#ifndef FL_PLAN_PLAN_H
#define FL_PLAN_PLAN_H

#include "base/address.h"
#include "base/log_words.h"
#include "base/region.h"
#include "base/text.h"
#include "base/time.h"

enum {
	FL_NONE = -1,
	FL_PLAN_DEVICES = 256, FL_PLAN_SWITCHES = 64, FL_PLAN_RUNS = 512,
	FL_PLAN_FEEDS = 256, FL_PLAN_PORTS = 128, FL_PLAN_FAULTS = 200,
	FL_PLAN_LOG_WORDS = 32, FL_DEVICE_MACS = 8, FL_DEVICE_FEEDS = 8, FL_RUN_JOINTS = 8,
};

/* Where a run ends, or where the laptop sits. */
enum fl_place_kind {
	FL_PLACE_NOWHERE, FL_PLACE_DEVICE, FL_PLACE_SWITCH,
};

struct fl_place {
	enum fl_place_kind kind;
	int index;    /* of the device or switch                           */
	int port;     /* 0: not said. Only a switch, or a device with
		       * ports, has numbered ports                         */
};

/* What feeds a device or switch. */
enum fl_feed_kind {
	FL_FEED_SUPPLY,   /* a breaker, fuse and lead, a wake wire, an injector */
	FL_FEED_RUN,      /* powered over this run, from its other end         */
};

struct fl_supply {
	enum fl_feed_kind kind;
	int index;        /* of the feed, or of the run                        */
};

struct fl_device {
	const char *name;
	const char *kind;             /* "radar"; NULL: not said             */
	struct fl_mac macs[FL_DEVICE_MACS];
	size_t      mac_count;
	struct fl_ip address;         /* none: not said                      */
	const char *glob;             /* pattern for an announced name, NULL */
	const char *service;          /* pattern for an announced service    */
	const char *software;         /* ">= 4.2" as written, NULL           */
	fl_time     cadence;          /* 0: not said                         */
	bool        cadence_to_group; /* a switch may hold it back           */
	struct fl_supply feeds[FL_DEVICE_FEEDS];   /* all of them needed     */
	size_t      feed_count;
	int         woken_by;         /* device, or FL_NONE                  */
	int         behind;           /* device it is heard through          */
	int         ports;            /* 0: not a switch                     */
	bool        bypass;           /* forwards unpowered                  */
	bool        leave;            /* steers: nobody unplugs it           */
	bool        weather;          /* its plug stands in the weather      */
	bool        serves_addresses; /* the plan's address server           */
	int         line;             /* of the file, for messages           */
};

struct fl_switch {
	const char *name;
	int         ports;            /* 0: not said                         */
	struct fl_supply feeds[FL_DEVICE_FEEDS];
	size_t      feed_count;
	int         line;
};

struct fl_run {
	const char *name;             /* "W7", or NULL: has no label         */
	struct fl_place ends[2];
	const char *joints[FL_RUN_JOINTS];
	size_t      joint_count;
	double      metres;           /* 0: not said                         */
	int         mbit;             /* 0: not said                         */
	bool        weather;
	int         line;
};

struct fl_feed {
	const char *name;
	double      volts, fuse_amps; /* 0: not said                         */
	int         line;
};

/* Where the laptop is joined. */
enum fl_seat_kind {
	FL_SEAT_UNKNOWN,     /* nobody said                                  */
	FL_SEAT_PORT,        /* at a switch, port said or not                */
	FL_SEAT_IN_PLACE,    /* in place of a device: that one is unplugged  */
	FL_SEAT_IN_RUN,      /* an own switch cut into a run                 */
	FL_SEAT_DIRECT,      /* plugged straight into a device               */
};

struct fl_seat {
	enum fl_seat_kind kind;
	struct fl_place place;   /* PORT; the device for IN_PLACE and DIRECT */
	int run;                 /* IN_RUN                                   */
};

struct fl_plan {
	const char *name;        /* of the segment, "" if not said           */
	struct fl_device *devices;  size_t device_count;
	struct fl_switch *switches; size_t switch_count;
	struct fl_run    *runs;     size_t run_count;
	struct fl_feed   *feeds;    size_t feed_count;
	struct fl_seat    laptop;
	struct fl_log_word log_words[FL_PLAN_LOG_WORDS];
	size_t      log_word_count;
	bool              wired; /* at least one run stands in it            */
};

struct fl_plan_fault {
	int line, column;        /* 1 the first; column counts octets        */
	const char *text;        /* what is wrong                            */
	const char *remedy;      /* what would be right                      */
};

struct fl_plan_faults {
	size_t n;
	bool   more;             /* the ceiling cut the list                 */
	struct fl_plan_fault at[FL_PLAN_FAULTS];
};

/* Read a plan from n octets of text into `region`. NULL: it has faults, all
 * of which are in `faults` (texts in `region`). An empty text is a plan
 * without devices. */
struct fl_plan *fl_plan_read(const char *text, size_t n,
			     struct fl_region *region,
			     struct fl_plan_faults *faults);
/* How its switches log a link; none where there is no plan. */
static inline struct fl_log_words fl_plan_log_words(const struct fl_plan *plan)
{
	return plan ? (struct fl_log_words){ plan->log_word_count, plan->log_words }
		    : (struct fl_log_words){ 0 };
}
/* A plan of one device of this name with no wiring (`--missing NAME`). */
struct fl_plan *fl_plan_of_one(const char *name, struct fl_region *region);

/* Read where the laptop is joined, as after `--at`: "lower switch 5", "lower
 * switch port 5", "in place of NAME", "own switch in W7", "direct NAME".
 * False and one fault (line 0): not a place of this plan. */
bool fl_plan_seat(struct fl_plan *plan, const char *text,
		  struct fl_region *region, struct fl_plan_faults *faults);

/* Names for people, in `region`: "W7: arch radar - arch bulkhead - lower
 * switch 3", "arch radar - lower switch 3 (no label)", "lower switch 3",
 * "in place of camera". */
const char *fl_plan_run_text(const struct fl_plan *plan, int run,
			     struct fl_region *region);
const char *fl_plan_place_text(const struct fl_plan *plan,
			       struct fl_place place, struct fl_region *region);
const char *fl_plan_seat_text(const struct fl_plan *plan,
			      struct fl_region *region);

#endif
