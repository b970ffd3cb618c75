#include "source/stamp.h"

enum {
	BINARY   = 0x80,           /* the power is one of 2, not of 10        */
	POWER    = 0x7f,
	WHOLE    = 9,              /* 10^-9 s is a nanosecond                 */
	TENS_MAX = 19,             /* 10^19 is the largest in 64 bits         */
};

/* 10^n, n at most TENS_MAX. */
static uint64_t tens(unsigned n)
{
	uint64_t v = 1;
	while (n--)
		v *= 10;
	return v;
}

uint64_t fl_clock_ticks_a_second(uint8_t resolution)
{
	const unsigned power = resolution & POWER;
	if (resolution & BINARY)
		return power < 64 ? UINT64_C(1) << power : UINT64_MAX;
	return power <= TENS_MAX ? tens(power) : UINT64_MAX;
}

struct fl_clock fl_clock_new(uint8_t resolution, int64_t offset_seconds)
{
	struct fl_clock clock = { .resolution = resolution };
	if (resolution <= WHOLE) {
		clock.factor = tens(WHOLE - resolution);
		clock.limit = INT64_MAX / clock.factor;
	}
	if (offset_seconds > INT64_MAX / FL_SECOND)
		clock.offset = INT64_MAX;
	else if (offset_seconds < INT64_MIN / FL_SECOND)
		clock.offset = INT64_MIN;
	else
		clock.offset = offset_seconds * FL_SECOND;
	return clock;
}

/* ticks * 10^9 / 2^power. The product takes 94 bits: `high` counts its units
 * of 2^32, `low` is what lies below them. */
static fl_time binary_time(uint64_t ticks, unsigned power)
{
	const uint64_t lower = (ticks & UINT32_MAX) * FL_SECOND;
	const uint64_t high = (ticks >> 32) * FL_SECOND + (lower >> 32);
	const uint64_t low = lower & UINT32_MAX;
	if (power >= 32)
		return power < 96 ? (fl_time)(high >> (power - 32)) : 0;
	if (high >> (31 + power))
		return INT64_MAX;
	return (fl_time)(high << (32 - power) | low >> power);
}

fl_time fl_clock_slow(const struct fl_clock *clock, uint64_t ticks)
{
	const unsigned power = clock->resolution & POWER;
	if (clock->resolution & BINARY)
		return binary_time(ticks, power);
	if (power <= WHOLE)
		return INT64_MAX;
	const unsigned finer = power - WHOLE;
	return finer <= TENS_MAX ? (fl_time)(ticks / tens(finer)) : 0;
}
