/* stamp.h -- ticks of a capture's clock as nanoseconds since 1970.
 *
 * Source  draft-ietf-opsawg-pcapng section 4.2, if_tsresol and if_tsoffset
 * Takes   any resolution 10^-0 .. 10^-127 or 2^-0 .. 2^-127, any ticks, any
 *         offset
 * Errors  none: what does not fit a fl_time becomes the nearest that does;
 *         fractions of a nanosecond are dropped
 */
#ifndef FL_SOURCE_STAMP_H
#define FL_SOURCE_STAMP_H

#include "base/time.h"

/* Resolutions as if_tsresol spells them. */
enum { FL_MICROSECONDS = 6, FL_NANOSECONDS = 9 };

struct fl_clock {
	uint64_t factor;           /* ns a tick, where that is whole          */
	uint64_t limit;            /* the most ticks that may be multiplied   */
	fl_time  offset;
	uint8_t  resolution;       /* if_tsresol                              */
};

struct fl_clock fl_clock_new(uint8_t resolution, int64_t offset_seconds);
/* How many ticks a second has; UINT64_MAX for more than that. */
uint64_t fl_clock_ticks_a_second(uint8_t resolution);
/* ns of more ticks than `limit`, the offset left out. */
fl_time fl_clock_slow(const struct fl_clock *clock, uint64_t ticks);

/* Usual clocks cost one product and no division. */
static inline fl_time fl_clock_time(const struct fl_clock *clock, uint64_t ticks)
{
	const fl_time t = ticks <= clock->limit ? (fl_time)(ticks * clock->factor)
						: fl_clock_slow(clock, ticks);
	/* t is not negative, so the sum can only pass the upper end. */
	return clock->offset > INT64_MAX - t ? INT64_MAX : t + clock->offset;
}

#endif
