/* ledger.h -- what was heard of every station, and when it fell silent.
 *
 * The ledger hears observations and nothing else, concludes only when a
 * second is told, and stamps what it concludes with the times of beats. The
 * same observations in the same order give the same ledger.
 *
 * Units   listening time in ns since 1970
 * Owns    its tables, allocated at the start, and its texts; what the
 *         reading functions give out is borrowed until the next observation
 * Errors  NULL from fl_ledger_new(): no memory. Beyond a ceiling nothing new
 *         is kept, and `lost` counts it
 * Ceiling the enum below
 */
#ifndef FL_LEDGER_LEDGER_H
#define FL_LEDGER_LEDGER_H

#include "event/observation.h"
#include "stats/silence.h"
#include "stats/size_fit.h"
#include "stats/spread.h"

enum {
	FL_LEDGER_EARS = 64, FL_LEDGER_STATIONS = 2048, FL_LEDGER_PRESENCES = 4096,
	FL_LEDGER_STREAMS = 8192, FL_LEDGER_DROPOUTS = 16384,
	FL_LEDGER_CLAIMS = 4096, FL_LEDGER_SERVERS = 64,
	FL_LEDGER_ACTS = 1024, FL_LEDGER_PORTS = 512, FL_LEDGER_DEAF = 4096,
	FL_LEDGER_NOTES = 256, FL_LEDGER_EDGES = 64,
	FL_LEDGER_LOSSES = 8192,         /* hours of presences               */
	FL_LEDGER_MINUTES = 16384,       /* of streams, not yet judged       */
	FL_LEDGER_TROUBLES = 1024,       /* storms, and frames dropped here  */
	FL_NETWORK_TIMES = 8, FL_NETWORK_PAUSING = 16, FL_PORT_TIMES = 8,
	FL_STATION_NAMES = 6, FL_STATION_SERVICES = 12,
	FL_STATION_NUMBERS = 4, FL_BINS = 7,
	FL_PRESENCE_CADENCES = 34,       /* over what tally keeps of one     */
	FL_LEDGER_TEXT = 4 << 20,        /* octets of all texts              */
};

struct fl_ear_state {
	bool        open, ever;
	const char *name, *place;
	fl_time     since, until;        /* listened                         */
	int64_t     deaf, away;          /* ns of it; of `deaf`, nobody
					  * listened                         */
	uint64_t    frames, octets, own, errors, checked, crowd, lost;
	uint32_t    asked;               /* frames that we sent              */
	uint64_t    group_frames, repeats;
	uint32_t    repeat_seconds;      /* see traffic-loop                 */
	fl_time     repeat_from, repeat_to;
	uint32_t    storm_seconds;       /* see traffic-storm                */
	uint32_t    busiest;             /* frames in its busiest second     */
	fl_time     busiest_at;
	fl_time     storm_from, storm_to;
};

/* What tells one stream from another. */
struct fl_stream_key {
	uint16_t      ear, vlan;
	struct fl_mac mac, group;
	uint16_t      port;
	uint8_t       protocol, kind;    /* enum fl_stream_kind              */
};

/* One stream of a station at an ear, and the beat it keeps. */
struct fl_cadence {
	struct fl_stream_key key;
	uint32_t presence;               /* number of its presence           */
	bool     unasked, filterable;
	fl_time  first, last;            /* beats; last 0: none yet          */
	bool     last_many;
	int64_t  gaps[FL_SPREAD_MAX];    /* between beats, the newest ones   */
	uint32_t gap_count;              /* all; the array holds the last    */
	int64_t  period, spread;         /* of beats, ns; 0: not known yet   */
	bool     steady;                 /* may start a silence              */
	bool     stopped;                /* it once did while others went on */
	struct fl_beats beats;
	uint64_t frames, octets;
	uint32_t gap_median;             /* between frames, microseconds     */
	fl_time  counted_from;           /* beats of this minute, for loss   */
	uint32_t came, missing;
	uint64_t received, missed;       /* of minutes that were judged      */
};

/* A bin of some seconds of a station that sends at random. */
struct fl_bin {
	int64_t  first, current;         /* numbers of the full ones         */
	uint32_t full, empty;            /* empty: in short runs             */
	struct fl_beats beats;
};

/* How a station that was away came back. */
enum fl_return {
	FL_REBOOTED, FL_OWN_LINK,        /* itself; the link of its own port */
	FL_UNAWARE,                      /* something farther up             */
	FL_SOFTWARE,                     /* a daemon of it started anew      */
	FL_PAUSED,                       /* it stopped sending by itself     */
	FL_RETURNS,
};

/* What it says as it does. */
enum fl_return_sign {
#define RETURN_SIGN(id, mechanism, ...) FL_RETURN_##id,
#include "ledger/return_signs.def"
#undef RETURN_SIGN
	FL_RETURN_SIGNS,
};

/* Beside what spoke, the length of its absence, and that it was the length of
 * its boots before. */
enum { FL_BY_LENGTH = FL_BY_SWITCH + 1, FL_BY_BOOT_TIME };

/* A station at an ear; the first two members are its key. */
struct fl_presence {
	uint16_t ear;
	struct fl_mac mac;
	uint32_t seconds;                /* heard in so many                 */
	fl_time  first, last;            /* frames                           */
	fl_time  held;                   /* last before the first starting
					  * sign; equal to last if none      */
	bool     starting;               /* a sign spoke, no steady beat yet */
	uint32_t starting_seconds;       /* heard in so many seconds since   */
	double   silence;                /* ln P_n now                       */
	fl_time  silence_latest;         /* ... it began at the latest then  */
	fl_time  quiet_until;            /* end of the last one below 1e-4   */
	uint32_t missed;                 /* beats missed now                 */
	int      dropout;                /* open one, or -1                  */
	fl_time  away_until;             /* end of the last dropout          */
	struct fl_bin bins[FL_BINS];
	uint32_t steady_streams;         /* 0: judged by bins                */
	uint32_t cadences[FL_PRESENCE_CADENCES];   /* their numbers          */
	uint32_t cadence_count;
	bool     quiet_due;              /* see deaf.c                      */
	uint32_t starts;                 /* starting signs, one a second     */
	fl_time  last_start, last_leave;
	int      returning;              /* dropout whose return is not yet
					  * concluded, or -1                */
	fl_time  sign_at[FL_RETURN_SIGNS];   /* the newest of each           */
	fl_time  shown_at[FL_BY_LENGTH];     /* the first of each mechanism  */
	fl_time  boot_least, boot_most;  /* what its boots had in common     */
	struct {                         /* the newest minute, see loss.c    */
		fl_time to, since;
		uint8_t by;
		bool told;
	} minute;
};

enum fl_dropout_kind {
	FL_DROPOUT,                      /* P < 1e-8                         */
	FL_SOFT,                         /* ended with 1e-8 < P < 1e-4       */
	FL_BLINK,                        /* a fast stream's short silence    */
};

struct fl_dropout {
	enum fl_dropout_kind kind;
	uint32_t presence;
	fl_time  last;                   /* last frame heard before          */
	fl_time  missed;                 /* it began at the latest then      */
	fl_time  first;                  /* heard again; 0: still silent     */
	double   log_chance;             /* ln P_n when it was concluded     */
	bool     deaf;                   /* withdrawn: nobody could hear     */
	bool     started;                /* a starting sign was heard at its
					  * end                              */
	bool     left;                   /* it said goodbye before           */
	bool     filterable;             /* only streams that a switch may
					  * hold back fell silent            */
	double   returned[FL_RETURNS];   /* ln L of the signs at its end, the
					  * best 0; all 0: nothing spoke     */
	uint32_t spoke;                  /* bits of the mechanisms that did,
					  * FL_BY_LENGTH and so on too      */
};

/* Numbers of a station received and missed within one hour of listening, by
 * what they were counted. A minute is counted by one of the two. */
enum fl_loss_by { FL_LOSS_BY_NUMBERS, FL_LOSS_BY_BEATS };
struct fl_loss {
	fl_time  from;                   /* of its hour                      */
	enum fl_loss_by by;
	uint64_t received, missed;
	int64_t  listened;               /* ns of the minutes counted        */
};

struct fl_station {
	struct fl_mac mac;
	fl_time  first, last;
	uint32_t seconds;
	uint64_t frames;
	const char *names[FL_STATION_NAMES];       size_t name_count;
	const char *services[FL_STATION_SERVICES]; size_t service_count;
	const char *model, *maker, *serial, *software, *hardware, *kind;
	uint32_t asked_address;          /* DISCOVERs and the like, since it
					  * last used an address            */
	uint32_t conflicts;              /* it said its address was taken    */
	const char *chassis, *port, *system;       /* LLDP, NULL none        */
	uint32_t capabilities;           /* enum fl_neighbour                */
	fl_time  neighbour_at;
	bool     bridges;                /* sends spanning-tree messages     */
	uint32_t can_mbit, does_mbit;    /* its port, by LLDP; 0 not told    */
	struct { uint32_t name, value; } numbers[FL_STATION_NUMBERS];
					 /* boot numbers it said, mixed     */
};

/* An Internet address and who claimed it. */
struct fl_claimed {
	struct fl_ip  ip;
	struct fl_mac mac;
	fl_time  first, last;
	uint32_t count, probes;
};

/* One who hands out addresses, routes or queries. */
struct fl_server {
	struct fl_ip ip;
	uint32_t service;                /* enum fl_service                  */
	struct fl_mac mac;               /* none: known by name only         */
	uint32_t answers, chosen;        /* it answered; a client chose it   */
	struct fl_ip network;            /* of what it gave; none unknown    */
	uint32_t prefix;
	fl_time  first, last;
};

/* A port of the listening host, over all that was told of it. */
struct fl_port_state {
	uint16_t ear;
	struct fl_port now;          /* as told last; texts are kept         */
	fl_time  first, last;        /* told                                 */
	uint32_t flaps;              /* carrier lost, by the kernel's count  */
	fl_time  without_link;       /* ns, as far as edges were told        */
	uint32_t counted;            /* bits by enum fl_counter              */
	uint64_t counts[FL_COUNTERS];   /* since told first                  */
	fl_time  fell[FL_PORT_TIMES];   /* carrier lost, the last ones round */
	uint32_t falls;                 /* edges told, all                   */
	fl_time  up_at;                 /* it got its link; 0: had it always */
	uint32_t ups, late;             /* links that came; nobody was heard
					 * then for as long as a spanning tree
					 * takes, which spoke meanwhile      */
	bool     waits;                 /* since up_at, for the first frame  */
	int64_t  late_least, late_most; /* ns                                */
	uint64_t own_at_first;          /* own frames heard when told first  */
	int64_t  returned;              /* own frames heard beyond those that
					 * it sent, the most                 */
	bool     paused;                /* nobody listened since it was told
					 * last                              */
};

/* Something somebody did or saw. */
struct fl_act {
	fl_time at;
	enum fl_hand act;
	const char *name, *text;
};

/* Why an ear that listened again later was deaf meanwhile. */
#define FL_NOT_LISTENING "not listening"

struct fl_deaf_span {
	uint16_t ear;
	fl_time  from, to;
	const char *why;
	enum fl_deafness kind;           /* what `why` says                  */
};

/* Who asks the port at its other end to be quiet (IEEE Std 802.3 annex 31B). */
struct fl_pausing {
	struct fl_mac mac;
	fl_time  first, last;
	uint64_t frames;
	double   busiest;                /* frames a second, when there were
					  * most                             */
	double   quanta;                 /* of 512 bit times a second, at most */
};

/* What was told of the network as a whole, beside its stations. */
struct fl_network_state {
	fl_time  tree_first, tree_last;  /* spanning-tree messages; 0: none  */
	uint32_t changes;                /* of the tree, at least so many    */
	fl_time  changed[FL_NETWORK_TIMES];   /* the first of them           */
	fl_time  change_last;            /* a change was signalled           */
	fl_time  queried;                /* IPv4 groups were asked for; 0:
					  * never                            */
	fl_time  groups_wanted;          /* somebody first wanted one that a
					  * switch may filter; 0: never      */
	struct fl_pausing pausing[FL_NETWORK_PAUSING]; size_t pausing_count;
	uint32_t clock_steps;
};

struct fl_note {
	fl_time at;
	const char *text;
};

enum fl_span_kind { FL_SPAN_HEARD, FL_SPAN_SILENT, FL_SPAN_DEAF };

struct fl_span {
	enum fl_span_kind kind;
	fl_time from, to;
};

struct fl_ledger;

struct fl_ledger *fl_ledger_new(void);
void fl_ledger_free(struct fl_ledger *ledger);
/* The observer to hand to tally, merge or replay. */
struct fl_observer fl_ledger_observer(struct fl_ledger *ledger);

/* Everything below is read when an answer is wanted. Arrays are in the
 * order in which things were first heard, acts in that of their times. */
fl_time fl_ledger_from(const struct fl_ledger *ledger);   /* 0: never    */
fl_time fl_ledger_to(const struct fl_ledger *ledger);
/* Sum of the wall clock's steps. */
int64_t fl_ledger_clock_moved(const struct fl_ledger *ledger);
uint64_t fl_ledger_lost(const struct fl_ledger *ledger);
const struct fl_ear_state *fl_ledger_ears(const struct fl_ledger *, size_t *n);
const struct fl_station   *fl_ledger_stations(const struct fl_ledger *, size_t *n);
const struct fl_presence  *fl_ledger_presences(const struct fl_ledger *, size_t *n);
const struct fl_cadence   *fl_ledger_cadences(const struct fl_ledger *, size_t *n);
const struct fl_dropout   *fl_ledger_dropouts(const struct fl_ledger *, size_t *n);
const struct fl_claimed   *fl_ledger_claims(const struct fl_ledger *, size_t *n);
const struct fl_server    *fl_ledger_servers(const struct fl_ledger *, size_t *n);
const struct fl_deaf_span *fl_ledger_deaf(const struct fl_ledger *, size_t *n);
const struct fl_port_state *fl_ledger_ports(const struct fl_ledger *, size_t *n);
const struct fl_network_state *fl_ledger_network(const struct fl_ledger *);
const struct fl_act       *fl_ledger_acts(const struct fl_ledger *, size_t *n);
/* Somebody worked on the network at some time between these. */
bool fl_ledger_working(const struct fl_ledger *, fl_time from, fl_time to);
const struct fl_note      *fl_ledger_notes(const struct fl_ledger *, size_t *n);
/* The best steady cadence of a station: one that no switch holds back before
 * one that may be, then the one of most beats; NULL where it has none. */
const struct fl_cadence *fl_ledger_best_cadence(const struct fl_ledger *,
						struct fl_mac mac);
const struct fl_station *fl_ledger_find(const struct fl_ledger *,
					struct fl_mac mac);
/* Interval of a cadence as a person sees it: between frames where it is
 * fast, else between beats. 0: not known. */
fl_time fl_cadence_interval(const struct fl_cadence *cadence);
/* Beats due and heard of a presence, over what it is judged by. */
void fl_ledger_due(const struct fl_ledger *ledger, uint32_t presence,
		   uint64_t *due, uint64_t *heard);
/* Its loss, hour by hour, the newest `room`; how many were written. Whole minutes
 * that touch no dropout of anybody, deaf time or storm; by numbers where the
 * minute has any, else by beats. */
size_t fl_ledger_loss(const struct fl_ledger *ledger, uint32_t presence,
		      struct fl_loss *out, size_t room);
/* The same stream by stream, over the whole time. */
size_t fl_ledger_stream_loss(const struct fl_ledger *ledger, uint32_t presence,
			     struct fl_size_sample *out, size_t room);
/* How long this station takes from power to its first beat, as learned from
 * its restarts; false: not known. */
bool fl_ledger_boot_time(const struct fl_ledger *ledger, struct fl_mac mac,
			 fl_time *least, fl_time *most);
/* Cut the time from the presence's first frame to now into spans that meet
 * end to end; at most `room` are written, all are counted. */
size_t fl_ledger_spans(const struct fl_ledger *ledger, uint32_t presence,
		       struct fl_span *out, size_t room);

#endif
