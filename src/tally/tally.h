/* tally.h -- frames in, seconds out: which streams were heard when, and what
 * stations said of themselves.
 *
 * One tally serves one source and all its ears. Frames come nearly in order
 * of time; a frame up to FL_LATENESS older than the newest still counts in
 * its own second. Time is an input: a frame, or fl_tally_advance(), promises
 * that nothing older will come, and only then is a second told, once and in
 * order. Extra, missing or late promises change nothing that is told.
 *
 * Units   times handed in are wall-clock stamps; times told are listening
 *         time: the same with the steps of the wall clock taken out
 * Owns    all its tables, allocated once; observations borrow from them
 * Errors  NULL: no memory. A table that is full turns the idlest entry over,
 *         and counts as `crowd` what it cannot keep
 * Ceiling the enum below
 */
#ifndef FL_TALLY_TALLY_H
#define FL_TALLY_TALLY_H

#include "base/log_words.h"
#include "event/frame.h"
#include "event/observation.h"

#define FL_LATENESS    (1200 * FL_MILLISECOND)
/* Nothing from anybody for so long, then frames again: not a silence that
 * anything can be said of. The laptop slept, or the whole network was off. */
#define FL_LONG_SILENCE (300 * FL_SECOND)

enum {
	FL_TALLY_EARS = 64, FL_TALLY_STREAMS = 4096, FL_TALLY_STATIONS = 4096,
	FL_TALLY_SAID = 8192,        /* different things said by stations    */
	FL_TALLY_NEW_A_SECOND = 64,  /* new streams kept in one second       */
	FL_TALLY_STREAMS_EACH = 32,  /* streams of one station at one ear    */
	FL_TALLY_SAID_A_SECOND = 256,
};

struct fl_tally_counts {
	uint64_t frames, own, twins, damaged, unread;  /* unread: no headers */
	uint64_t decoded, refused, bad_sums;
	uint64_t crowd;              /* frames of streams not kept           */
	uint64_t unsaid;             /* facts over FL_TALLY_SAID_A_SECOND    */
};

struct fl_tally;

/* `name` names ears whose interface has none; `place` is where they listen,
 * NULL if not known. Both are borrowed until fl_tally_free(). */
struct fl_tally *fl_tally_new(const char *name, const char *place,
			      struct fl_observer observer);
void fl_tally_free(struct fl_tally *tally);

/* How switches log a link besides the usual words; borrowed. Before the first
 * frame. */
void fl_tally_log_words(struct fl_tally *tally, struct fl_log_words words);

/* The sink to hand to a source. */
struct fl_frame_sink fl_tally_sink(struct fl_tally *tally);
/* The source is live: it says itself when it could not hear and when the clock
 * was moved, so a silence of any length is a silence. Before the first frame. */
void fl_tally_live(struct fl_tally *tally);
/* What came by another way than frames (PORT, HAND, an ear that ASKED), `to`
 * its stamp: it is told with the second in which it lies. */
void fl_tally_also(struct fl_tally *tally, const struct fl_observation *o);
/* The newest frame of this station at any ear (0: none is known), and what 99
 * in 100 gaps of its fastest stream are shorter than (0: not known yet). For
 * whoever cannot wait for the second's end. */
fl_time fl_tally_last(const struct fl_tally *tally, struct fl_mac mac, fl_time *usual);
/* No frame stamped before t will come any more on any ear. */
void fl_tally_advance(struct fl_tally *tally, fl_time t);
/* The source has ended: tell what is open, the last second cut where the
 * listening ended. */
void fl_tally_end(struct fl_tally *tally);
/* Up to here everything was told; INT64_MIN before the first frame, INT64_MAX
 * after the end. */
fl_time fl_tally_told(const struct fl_tally *tally);
const struct fl_tally_counts *fl_tally_counts(const struct fl_tally *tally);

#endif
