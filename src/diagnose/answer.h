/* answer.h -- what fairlead has to say, as plain values for render to lay out.
 *
 * Shapes  arrays and NUL-closed texts; sentences are whole and end in a stop
 * Units   times are listening time in ns since 1970; probabilities 0 to 1
 * Owns    an answer and all that hangs on it lie in one region
 */
#ifndef FL_DIAGNOSE_ANSWER_H
#define FL_DIAGNOSE_ANSWER_H

#include "base/address.h"
#include "base/region.h"
#include "base/time.h"
#include "event/port.h"
#include "ledger/ledger.h"

enum fl_state {
#define STATE(id, word, words, known) FL_STATE_##id,
#include "diagnose/states.def"
#undef STATE
};

const char *fl_state_word(enum fl_state state);    /* "asleep_or_missing" */
const char *fl_state_words(enum fl_state state);   /* "asleep or missing" */

/* "restarted", "own link lost"; FL_RETURNS: "cannot be told". */
const char *fl_way_words(enum fl_return way);

enum fl_severity { FL_REMARK, FL_DOUBT, FL_FAULT };

struct fl_texts {
	const char **at;
	size_t n;
};

/* One dropout: begin lies between last and first missed; to 0: still silent. */
struct fl_answer_dropout {
	fl_time from, to;
	enum fl_return way;          /* FL_RETURNS: cannot be told           */
};

/* Frames lost on the way, as far as that could be counted. */
struct fl_answer_loss {
	bool     known;
	uint64_t received, missed;
	double   low, high;          /* 95 in 100 limits of the share missed,
				      * if frames are lost one by one       */
	bool     grows_with_size;    /* of frames, beyond chance             */
};

/* "31 of 4120 frames (0.5 to 1.1 in 100)". */
enum { FL_LOSS_TEXT = 112 };
const char *fl_loss_text(const struct fl_answer_loss *loss, char out[static FL_LOSS_TEXT]);

struct fl_answer_device {
	const char   *name;
	const char   *kind;          /* NULL: not known                      */
	enum fl_state state;
	const struct fl_mac *macs;   /* stations it was matched to           */
	size_t        mac_count;
	const struct fl_ip *addresses;
	size_t        address_count;
	bool          ever_heard;
	fl_time       last_heard;    /* where ever_heard                     */
	fl_time       cadence;       /* 0: none known                        */
	uint64_t      due, heard;    /* beats                                */
	const struct fl_answer_dropout *dropouts;
	size_t        dropout_count;
	const char   *software;      /* announced, NULL                      */
	struct fl_answer_loss loss;
	fl_time       boot_least, boot_most;   /* 0: not learned             */
};

struct fl_answer_station {
	struct fl_mac mac;
	struct fl_texts names;       /* announced                            */
	const struct fl_ip *addresses;
	size_t        address_count;
	const char   *planned;       /* the device it belongs to, NULL       */
	const char   *guess;         /* "perhaps a phone", NULL              */
	const char   *kind, *software, *maker, *model, *serial;   /* or NULL */
	struct fl_texts services;
	fl_time       first_heard, last_heard;
	uint64_t      frames;
	fl_time       cadence;       /* 0: none known                        */
	bool          cadence_to_group;
};

struct fl_answer_ear {
	const char *name;            /* of the interface, or of the file     */
	const char *place;           /* "lower switch port 5", NULL          */
	uint64_t frames, octets;
	uint64_t errors;             /* frames marked damaged                */
	bool     errors_known;       /* some frame told whether it was whole */
	uint64_t lost;               /* dropped by the capturing host        */
	uint64_t own;                /* sent by the capturing host           */
	double   error_low, error_high;   /* 95 in 100 limits of their share,
				      * where they are known                 */
};

/* What happened at one time to one or several devices. */
enum fl_happened { FL_HAPPENED_AWAY, FL_HAPPENED_NETWORK_OFF, FL_HAPPENED_WORK };
struct fl_answer_episode {
	const char *id;              /* stable: "e1", in order of time       */
	enum fl_happened what;
	fl_time  from, from_latest;  /* it began between these               */
	fl_time  to;                 /* 0: it lasts                          */
	struct fl_texts fell, stayed, blind;   /* devices                    */
	struct fl_texts marks;       /* what was marked near its beginning   */
	double   returned[FL_RETURNS];   /* add up to one with the next      */
	double   cannot_tell;
	const char *text;            /* one sentence                         */
};

/* A port of the listening host, or of a switch that told of it, over the whole
 * time. */
struct fl_answer_port {
	const char *name;            /* "eth1", "port 3 of lower switch"     */
	bool     own;                /* the listening host's                 */
	const char *run;             /* "W9", as the plan has it; NULL       */
	const char *station;         /* who sits there, NULL: not known      */
	bool     link;               /* now                                  */
	uint32_t mbit;               /* 0 not known                          */
	enum fl_duplex duplex;
	bool     flaps_known;
	uint32_t flaps;              /* times its carrier was lost           */
	fl_time  without_link;       /* in all                               */
	uint32_t counted;            /* bits by enum fl_counter              */
	uint64_t counts[FL_COUNTERS];   /* while we listened                 */
	uint32_t asked;              /* frames that we sent                  */
	double   error_low, error_high;   /* 95 in 100 limits of the share of
				      * damaged frames, where they are counted */
	bool     errors_counted;
	uint64_t error_frames;       /* all kinds that damage a frame        */
};

struct fl_answer_finding {
	const char      *id;         /* "device-missing"                     */
	enum fl_severity severity;
	const char      *subject;
	const char      *text;       /* one sentence                         */
	struct fl_texts  evidence;   /* a sentence each                      */
};

struct fl_answer_suspect {
	const char *part;            /* as programs read it: "run W7"        */
	const char *text;            /* as people read it                    */
	const char *piece;           /* "cable, plugs or joint"              */
	double      probability;
	int         group;           /* equals share a number, 0 the first   */
	int         parted_by;       /* step that splits the group, 1 the
				      * first; 0: none known                */
	struct fl_texts equals;      /* the others' `part`                   */
	struct fl_texts supports, speaks_against;   /* sentences             */
};

struct fl_answer_hypothesis {
	struct fl_texts parts;
	double probability;
};

struct fl_answer_step {
	const char *action;          /* "Light at port 3."                   */
	int         minutes;
	const char *if_better, *if_not;   /* sentences, or NULL              */
	const char *then;            /* what to type afterwards, or NULL     */
	const char *caution;         /* a sentence, or NULL                  */
};

struct fl_answer {
	const char *segment;         /* name of the segment, "" unknown      */
	const char *seat;            /* where the laptop was, NULL unknown   */
	bool     planned;            /* a plan with at least one device      */
	bool     wired;              /* ... and with runs                    */
	bool     firm;
	bool     live;               /* from ports now, not from files       */
	bool     anything_heard;     /* at least one foreign frame           */
	fl_time  from, to;           /* of the listening                     */
	int64_t  listened, deaf;     /* ns                                   */
	int64_t  clock_moved;        /* sum of the wall clock's steps, ns    */
	uint64_t frames;

	const char *what;            /* "arch radar is missing"              */
	const char *look;            /* "cable W7, its plugs, the arch
				      * bulkhead"; NULL: nowhere            */
	struct fl_texts story;       /* sentences between headline and list  */

	struct fl_answer_ear     *ears;       size_t ear_count;
	struct fl_answer_port    *ports;      size_t port_count;
	struct fl_answer_episode *episodes;   size_t episode_count;
	struct fl_answer_device  *devices;    size_t device_count;
	struct fl_answer_station *stations;   size_t station_count;
	struct fl_answer_finding *findings;   size_t finding_count;
	double no_fault, other, rest;
	struct fl_answer_hypothesis *hypotheses; size_t hypothesis_count;
	struct fl_answer_suspect *suspects;   size_t suspect_count;
	struct fl_answer_step    *steps;      size_t step_count;
	struct fl_texts cannot_see;
	struct fl_texts cautions;
	struct fl_texts warnings;    /* of the input: "x.pcap was cut at ..." */
};

#endif
