#include "stats/recurrence.h"

#include <gsl/gsl_cdf.h>

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

enum {
	PLACEMENTS = 999,
	ENOUGH = 20,                 /* as even ones: the chance is plain    */
	A_QUARTER = 4,               /* of the whole time is the longest     */
	FINE = 2,                    /* frequencies to one turn of the whole */
};

#define AT_ONE 0.01

double fl_rayleigh(const double *angles, size_t n, double *z)
{
	double x = 0, y = 0;
	for (size_t i = 0; i < n; i++) {
		x += cos(angles[i]);
		y += sin(angles[i]);
	}
	const double r2 = x * x + y * y, k = (double)n;
	*z = n ? r2 / k : 0;
	return n ? exp(sqrt(1 + 4 * k + 4 * (k * k - r2)) - (1 + 2 * k)) : 1;
}

/* The largest statistic over all frequencies, 4 to n turns in the whole time;
 * `turns` is where. Each event's direction is turned on by one step a
 * frequency, which costs no sine. */
static double largest(const double *events, size_t n, double from, double span,
		      double *turns)
{
	double x[FL_RECURRENCE_EVENTS], y[FL_RECURRENCE_EVENTS];
	double dx[FL_RECURRENCE_EVENTS], dy[FL_RECURRENCE_EVENTS], best = 0;
	for (size_t i = 0; i < n; i++) {
		const double angle = 2 * M_PI * (events[i] - from) / span;
		x[i] = cos(A_QUARTER * angle);
		y[i] = sin(A_QUARTER * angle);
		dx[i] = cos(angle / FINE);
		dy[i] = sin(angle / FINE);
	}
	const size_t last = (n > A_QUARTER ? 2 * n - A_QUARTER : 1) * FINE;
	for (size_t f = 0; f <= last; f++) {
		double sum_x = 0, sum_y = 0;
		for (size_t i = 0; i < n; i++) {
			const double next = x[i] * dx[i] - y[i] * dy[i];
			sum_x += x[i];
			sum_y += y[i];
			y[i] = x[i] * dy[i] + y[i] * dx[i];
			x[i] = next;
		}
		const double z = (sum_x * sum_x + sum_y * sum_y) / (double)n;
		/* Even at a period is even at half of it: the longest counts. */
		if (z <= best * 1.02)
			continue;
		best = z;
		*turns = A_QUARTER + (double)f / FINE;
	}
	return best;
}

/* SplitMix64 (from memory: its three constants), as a share of one. */
static double random_share(uint64_t *state)
{
	uint64_t z = *state += 0x9e3779b97f4a7c15u;
	z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
	z = (z ^ z >> 27) * 0x94d049bb133111ebu;
	return (double)((z ^ z >> 31) >> 11) * 0x1p-53;
}

static double placed(const struct fl_stretch *listened, size_t n, double whole,
		     uint64_t *state)
{
	double at = random_share(state) * whole;
	for (size_t i = 0; i + 1 < n; i++) {
		const double length = listened[i].to - listened[i].from;
		if (at < length)
			return listened[i].from + at;
		at -= length;
	}
	return listened[n - 1].from + at;
}

struct fl_recurrence fl_recurs(const double *events, size_t n,
			       const struct fl_stretch *listened, size_t stretches)
{
	double whole = 0, turns = 0, unused, random[FL_RECURRENCE_EVENTS];
	for (size_t i = 0; i < stretches; i++)
		whole += listened[i].to - listened[i].from;
	if (n > FL_RECURRENCE_EVENTS) {
		events += n - FL_RECURRENCE_EVENTS;
		n = FL_RECURRENCE_EVENTS;
	}
	if (n < FL_RECURRENCE_LEAST || whole <= 0)
		return (struct fl_recurrence){ 0, 1 };
	const double from = listened[0].from, span = listened[stretches - 1].to - from;
	const double seen = largest(events, n, from, span, &turns);
	for (size_t i = 0; i < n; i++)
		random[i] = 2 * M_PI * (events[i] - from) / span * turns;
	/* What chance makes at one period, it makes more often at any of many. */
	if (fl_rayleigh(random, n, &unused) > AT_ONE)
		return (struct fl_recurrence){ 0, 1 };
	uint64_t state = 1;
	size_t as_even = 0, tried = 0;
	while (tried < PLACEMENTS && as_even < ENOUGH) {
		for (size_t i = 0; i < n; i++)
			random[i] = placed(listened, stretches, whole, &state);
		as_even += largest(random, n, from, span, &unused) >= seen;
		tried++;
	}
	return (struct fl_recurrence){
		span / turns, (1 + (double)as_even) / (1 + (double)tried),
	};
}

double fl_met_by_chance(size_t hits, size_t n, double share)
{
	if (hits == 0)
		return 1;
	return gsl_cdf_binomial_Q((unsigned)hits - 1, fmin(share, 1), (unsigned)n);
}
