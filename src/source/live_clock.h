/* live_clock.h -- listening time out of stamps, whatever is done to the wall
 * clock.
 *
 * The kernel stamps frames by CLOCK_REALTIME. Listening time runs on by
 * CLOCK_BOOTTIME instead, so a stamp is brought back by how far the wall
 * clock was moved against it: t = stamp - shift. A clock that is only slewed
 * takes CLOCK_BOOTTIME along (clock_gettime(2)), so the shift changes by steps
 * alone. Frames that lay in the ring while the clock was set bear the old
 * scale; of the two readings of such a stamp that one is right which lies
 * between the last frame handed over and now.
 *
 * CLOCK_BOOTTIME less CLOCK_MONOTONIC grows while the host sleeps, and only
 * then (clock_gettime(2)).
 *
 * Takes   readings of the clocks; reads none itself
 * Owns    nothing: plain values of the caller
 */
#ifndef FL_SOURCE_LIVE_CLOCK_H
#define FL_SOURCE_LIVE_CLOCK_H

#include "base/time.h"

#include <stdbool.h>

/* A frame becomes readable at most so long after its stamp: the time after
 * which the kernel gives up a block that is not full, and as much again for
 * a timer that is late. */
#define FL_LIVE_RETIRE (100 * FL_MILLISECOND)
#define FL_LIVE_UNSEEN (2 * FL_LIVE_RETIRE)

struct fl_live_reading {
	fl_time real, boot, awake;   /* CLOCK_REALTIME, _BOOTTIME, _MONOTONIC */
	fl_time slack;               /* taken within so long                  */
};

struct fl_live_clock {
	struct fl_live_reading last;
	fl_time  anchor;             /* real less boot, at the start          */
	fl_time  shift, before;      /* of the wall clock: now, and until the
				      * last change                           */
	fl_time  turned;             /* when that change was noticed          */
	uint32_t turns;              /* how many were                         */
};

struct fl_live_clock_news {
	fl_time moved;               /* the wall clock was set by this; 0     */
	bool    slept;
	fl_time from, to;            /* of the sleep, at most                 */
};

/* What one ear knows of it. */
struct fl_live_turn {
	uint32_t turns;              /* that its frames have passed           */
	fl_time  last;               /* nothing older than this will come     */
	fl_time  stamp;              /* of its last frame                     */
};

void fl_live_clock_start(struct fl_live_clock *clock, struct fl_live_reading r);
/* Right after the start: listening time begins at t or later. A wall
 * clock that stands before it is one that was set back. */
void fl_live_clock_not_before(struct fl_live_clock *clock, fl_time t);
struct fl_live_clock_news fl_live_clock_read(struct fl_live_clock *clock,
					     struct fl_live_reading r);
/* Listening time of the last reading. */
fl_time fl_live_clock_now(const struct fl_live_clock *clock);
/* Listening time of an ear's next frame, in the order of its ring. Read the
 * clocks after the frame was taken and before it is placed. */
fl_time fl_live_clock_place(const struct fl_live_clock *clock,
			    struct fl_live_turn *turn, fl_time stamp);
/* At listening time t or later the ear's ring was found empty. */
void fl_live_clock_drained(const struct fl_live_clock *clock,
			   struct fl_live_turn *turn, fl_time t);

#endif
