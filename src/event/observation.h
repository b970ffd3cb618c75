/* observation.h -- one entry of the ledger's input; the journal is their
 * sequence, in this order, and nothing else reaches the ledger.
 *
 * Units   times are listening time: ns since 1970 as the clock of the host
 *         that listened stood when it began, steps of that clock taken out
 * Owns    nothing: texts and rows are borrowed for the length of the call
 */
#ifndef FL_EVENT_OBSERVATION_H
#define FL_EVENT_OBSERVATION_H

#include "event/fact.h"
#include "event/port.h"
#include "base/time.h"

enum fl_observation_kind {
#define OBSERVATION(kind, name) FL_OBSERVED_##kind,
#include "event/observations.def"
#undef OBSERVATION
	FL_OBSERVATION_KINDS,
};

/* EAR: what happened to the listening itself. */
enum fl_ear_change {
	FL_EAR_LISTENS,     /* began; name, place                            */
	FL_EAR_DEAF,        /* could not hear from..to; text says why        */
	FL_EAR_STEPPED,     /* the wall clock jumped by `amount` ns          */
	FL_EAR_MISSED,      /* `amount` frames were dropped by the host      */
	FL_EAR_NOTED,       /* a comment in the capture                      */
	FL_EAR_ENDS,
	FL_EAR_ASKED,       /* we sent `amount` frames; text says what       */
};

/* EAR, DEAF: what its text says, as far as a listening host knows of itself. */
enum fl_deafness {
	FL_DEAF_OTHERWISE,
#define DEAFNESS(id, words) FL_DEAF_##id,
#include "event/deafness.def"
#undef DEAFNESS
};

/* HAND: what somebody did or saw; it belongs to no ear. */
enum fl_hand {
#define HAND(id, name) FL_HAND_##id,
#include "event/hands.def"
#undef HAND
	FL_HANDS,
};

/* STREAM: one source's frames to one group and port. */
enum fl_stream_kind {
	FL_STREAM_GROUP,    /* to a group or broadcast address               */
	FL_STREAM_DIRECT,   /* to one station                                */
};

struct fl_seen_stream {
	uint32_t      number;       /* of this journal; said anew if reused  */
	struct fl_mac mac;
	struct fl_mac group;
	uint16_t      vlan;
	uint16_t      port;         /* UDP target port, else ethertype or 0  */
	uint8_t       protocol;     /* IP protocol, 0 where not IP           */
	enum fl_stream_kind kind;
	bool          unasked;      /* may start a silence                   */
	bool          filterable;   /* a switch may hold it back             */
};

struct fl_heard {
	uint32_t stream;
	uint16_t ms;                /* 0 to 999, of its last frame in this second */
	bool     many;              /* two frames or more                    */
};

struct fl_minute_row {
	uint32_t stream;
	uint32_t frames, octets;
	uint32_t gap_median, gap_longest;   /* microseconds, 0: fewer than 2 */
	uint32_t received, missed;          /* numbers of its sequences      */
};

struct fl_observation {
	enum fl_observation_kind kind;
	fl_time  from, to;
	uint64_t order;             /* counts up by one in a journal         */
	uint16_t ear;
	union {
		struct {
			enum fl_ear_change change;
			int64_t     amount;
			const char *name, *text;
		} listening;
		struct fl_seen_stream stream;
		struct {
			const struct fl_heard *heard;
			size_t   n;
			uint32_t frames, group_frames, repeats;
			uint64_t octets;
			uint32_t own;        /* sent by the listening host   */
			uint32_t errors;     /* frames marked damaged        */
			uint32_t checked;    /* frames whose FCS was checked */
			uint32_t crowd;      /* frames of streams not kept   */
		} second;
		struct {
			const struct fl_minute_row *rows;
			size_t n;
		} minute;
		struct {
			struct fl_mac mac;
			fl_time last, first;
		} edge;
		struct {
			struct fl_mac mac;
			enum fl_identity field;
			struct fl_ip ip;
			const char *text;
		} who;
		struct {
			enum fl_fact_kind kind;      /* not IDENTITY         */
			unsigned      aspect;
			struct fl_mac mac;
			struct fl_ip  ip, other;
			uint32_t      number, seconds;
			uint64_t      speeds;
			uint32_t      count;         /* said since told last */
			const char   *text, *other_text, *third_text;
		} sign;
		struct fl_port port;
		struct {
			enum fl_hand act;
			const char *name;    /* of what, "" if of nothing    */
			const char *text;    /* MARK: in words; WORK: on, off */
		} hand;
	};
};

/* Takes one observation; what it needs of it, it copies. */
struct fl_observer {
	void *context;
	void (*observe)(void *context, const struct fl_observation *o);
};

/* An observation that waits, with copies of all it borrows. */
struct fl_kept_observation {
	struct fl_kept_observation *next;
	fl_time key;                /* for whoever lets it wait              */
	struct fl_observation o;
	_Alignas(max_align_t) unsigned char held[];
};

/* A copy for the caller to free(); NULL: no memory. */
struct fl_kept_observation *fl_observation_keep(const struct fl_observation *o);

const char *fl_observation_name(enum fl_observation_kind kind);
const char *fl_hand_name(enum fl_hand act);
/* The reason that these words say, FL_DEAF_OTHERWISE where it is none. */
enum fl_deafness fl_deafness_said(const char *text);

#endif
