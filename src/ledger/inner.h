/* inner.h -- what the files of ledger/ share, and nobody else. */
#ifndef FL_LEDGER_INNER_H
#define FL_LEDGER_INNER_H

#include "base/region.h"
#include "base/table.h"
#include "ledger/ledger.h"

/* An ear's hunt for a time when nobody at all was heard. */
struct fl_quiet {
	bool    pending;
	fl_time from, to;                /* last frame before, first after   */
	fl_time judge_at;
	uint32_t due;                    /* stations                         */
	double  frames_due;
};

/* A short silence, kept until the second in which it ended is told. */
struct fl_edge {
	uint16_t ear;
	struct fl_mac mac;
	fl_time last, first;
};

/* A minute of a stream, kept until all is known that could leave it out. */
struct fl_minute {
	uint32_t cadence, presence;
	uint16_t ear;
	uint8_t  by;                     /* enum fl_loss_by                  */
	bool     first;                  /* of its presence's in this minute */
	fl_time  from, to;
	fl_time  since;                  /* what is counted goes back so far */
	uint32_t received, missed;
};

/* Time of an ear whose losses are not the way's. */
struct fl_trouble {
	uint16_t ear;
	fl_time  from, to;
};

struct fl_ledger {
	struct fl_region *texts;
	struct fl_ear_state ears[FL_LEDGER_EARS];
	struct fl_quiet quiet[FL_LEDGER_EARS];
	fl_time  heard_any[FL_LEDGER_EARS];      /* newest frame at the ear  */
	fl_time  deaf_until[FL_LEDGER_EARS];
	size_t   ear_count;
	struct fl_table stations, presences, cadences, claims, servers;
	size_t   station_hand, presence_hand, cadence_hand, claim_hand;
	uint32_t *by_number;             /* stream number: cadence + 1       */
	struct fl_dropout *dropouts;   size_t dropout_count;
	struct fl_deaf_span *deaf;     size_t deaf_count;
	struct fl_port_state ports[FL_LEDGER_PORTS]; size_t port_count;
	struct fl_note notes[FL_LEDGER_NOTES]; size_t note_count;
	struct fl_act acts[FL_LEDGER_ACTS];    size_t act_count;
	struct fl_edge edges[FL_LEDGER_EDGES]; size_t edge_count;
	struct fl_table losses;        size_t loss_hand;
	struct fl_minute *minutes;       /* a ring, oldest first             */
	size_t   minute_first, minute_count;
	struct fl_trouble troubles[FL_LEDGER_TROUBLES]; size_t trouble_count;
	struct fl_network_state network;
	fl_time  from, now;
	int64_t  clock_moved;
	fl_time  stepped;                /* the clock, last: by ear step_ear */
	uint16_t step_ear;
	uint64_t lost;
};

static inline struct fl_presence *presence_at(const struct fl_ledger *l, size_t i)
{
	return fl_table_at(&l->presences, i);
}

static inline struct fl_cadence *cadence_at(const struct fl_ledger *l, size_t i)
{
	return fl_table_at(&l->cadences, i);
}

/* The i-th cadence of presence `number`, NULL where it was turned over. */
static inline struct fl_cadence *cadence_of(const struct fl_ledger *l,
					    uint32_t number, uint32_t i)
{
	struct fl_cadence *c = cadence_at(l, presence_at(l, number)->cadences[i]);
	return c->presence == number ? c : NULL;
}

/* ledger.c */
struct fl_station *fl_ledger_station(struct fl_ledger *, struct fl_mac mac);
/* Copy of a text, kept; "" when there is no more room. */
const char *fl_ledger_keep(struct fl_ledger *, const char *text);
/* The entry of this key, made if need be in place of one that `idle` allows
 * to be forgotten; NULL and counted as lost where there is none. */
void *fl_ledger_entry(struct fl_ledger *, struct fl_table *, size_t *hand,
		      const void *key, bool *added,
		      bool (*idle)(const struct fl_ledger *, const void *));
/* deaf.c: time in which an ear could not hear. */
bool fl_deaf_overlaps(const struct fl_ledger *, uint16_t ear, fl_time from, fl_time to);
void fl_deaf_add(struct fl_ledger *, uint16_t ear, fl_time from, fl_time to,
		 const char *why);
void fl_quiet_heard(struct fl_ledger *, uint16_t ear, fl_time t);
void fl_quiet_judge(struct fl_ledger *, uint16_t ear, fl_time now, bool at_once);
/* cadence.c */
void fl_cadence_beat(struct fl_ledger *, struct fl_cadence *, fl_time t, bool many);
/* Beats of this cadence that are surely missed at `now`, of those due after
 * `heard`. */
uint32_t fl_cadence_missed(const struct fl_cadence *, fl_time heard, fl_time now);
fl_time fl_cadence_tolerance(const struct fl_cadence *);
/* The shortest interval at which this presence is due, 0: none is known. */
fl_time fl_cadence_shortest(const struct fl_ledger *, uint32_t presence);
/* True if its station was heard well after this stream's last beat, and was not
 * silent as a whole meanwhile: only then did the stream stop by itself. */
bool fl_cadence_alone(const struct fl_presence *, const struct fl_cadence *);
/* bins.c */
void fl_bins_beat(struct fl_presence *, fl_time t);
/* The bin that tells a silence soonest; NULL where none tells any. */
const struct fl_bin *fl_bins_best(const struct fl_presence *, fl_time *width);
uint32_t fl_bins_missed(const struct fl_bin *, fl_time width, fl_time heard, fl_time now);
/* silence.c */
void fl_silence_judge(struct fl_ledger *, uint16_t ear, fl_time now);
/* The station was heard at t; `steady`: by a beat of a steady stream. */
void fl_silence_heard(struct fl_ledger *, struct fl_presence *, fl_time t, bool steady);
/* A beat came after so many missed ones that the station was away, though it came
 * back before that was concluded. */
void fl_silence_was(struct fl_ledger *, struct fl_presence *, const struct fl_cadence *,
		    double log);
void fl_silence_edge(struct fl_ledger *, const struct fl_observation *);
/* Judge the edges of this ear that ended before `now`. */
void fl_silence_blinks(struct fl_ledger *, uint16_t ear, fl_time now);
void fl_silence_started(struct fl_ledger *, struct fl_mac mac,
			enum fl_mechanism by, fl_time t);
/* loss.c */
bool fl_loss_open(struct fl_ledger *);           /* false: no memory */
void fl_loss_close(struct fl_ledger *);
/* A beat of a strict cadence came at t, `missed` after the one before. */
void fl_loss_beat(struct fl_cadence *, fl_time t, uint32_t missed);
/* Whatever is missing from..to is not the way's. */
void fl_loss_trouble(struct fl_ledger *, uint16_t ear, fl_time from, fl_time to);
void fl_loss_minute(struct fl_ledger *, const struct fl_observation *);
/* The cadence of a stream's number, NULL: none (ledger.c). */
struct fl_cadence *fl_ledger_numbered(struct fl_ledger *, uint32_t stream);
/* Its stack speaks as after its link came back. */
void fl_silence_linked(struct fl_ledger *, struct fl_mac mac, fl_time t);
/* acts.c */
void fl_acts_done(struct fl_ledger *, const struct fl_observation *);
/* returns.c */
/* The station of this dropout is heard again: from now on its return is open. */
void fl_returns_begin(struct fl_ledger *, const struct fl_dropout *d);
/* Conclude an open return of this presence, if there is one. */
void fl_returns_end(struct fl_ledger *, struct fl_presence *, fl_time now);
/* ... those of this ear that are due, or all of them. */
void fl_returns_judge(struct fl_ledger *, uint16_t ear, fl_time now, bool at_once);
void fl_returns_sign(struct fl_ledger *, const struct fl_observation *);
/* ports.c */
void fl_ports_hear(struct fl_ledger *, const struct fl_observation *);
/* This ear begins to listen anew; it had listened until then. */
void fl_ports_pause(struct fl_ledger *, uint16_t ear, fl_time until);
/* The port that this ear listens at; NULL: none was told of. */
struct fl_port_state *fl_ports_of(struct fl_ledger *, uint16_t ear);
/* A frame that a switch forwards was heard at t. */
void fl_ports_heard(struct fl_ledger *, uint16_t ear, fl_time t);
/* network.c */
void fl_network_said(struct fl_ledger *, const struct fl_observation *);
/* said.c */
void fl_said_who(struct fl_ledger *, const struct fl_observation *);
void fl_said_sign(struct fl_ledger *, const struct fl_observation *);

#endif
