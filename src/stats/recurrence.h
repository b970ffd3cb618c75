/* recurrence.h -- whether events come at even times, or near marks, beyond
 * chance.
 *
 * Source  Greenwood and Durand 1955 (chance of a Rayleigh statistic, the form
 *         of Zar, Biostatistical Analysis, section 27.1); Monte Carlo test of
 *         the largest statistic over all periods; binomial test
 * Units   seconds, radians, probabilities
 * Ceiling FL_RECURRENCE_EVENTS events, the newest of more
 */
#ifndef FL_STATS_RECURRENCE_H
#define FL_STATS_RECURRENCE_H

#include <stdbool.h>
#include <stddef.h>

enum { FL_RECURRENCE_EVENTS = 64, FL_RECURRENCE_LEAST = 5 };

/* A time that was listened, from..to. */
struct fl_stretch { double from, to; };

/* n R^2 of the directions (R their mean length), and its chance if they are
 * even all round. */
double fl_rayleigh(const double *angles, size_t n, double *z);

struct fl_recurrence {
	double period;               /* 0: none                              */
	double chance;               /* of so even times by accident         */
};

/* The period, at most a quarter of the whole time, at which events come most
 * evenly, and how often as many placed at random on the listened time come as
 * evenly at any; the placements are the same at each call. `events` ascend. */
struct fl_recurrence fl_recurs(const double *events, size_t n,
			       const struct fl_stretch *listened, size_t stretches);

/* Chance that `hits` or more of n fall where a share of the time lies. */
double fl_met_by_chance(size_t hits, size_t n, double share);

#endif
