/* spread.h -- the middle of few numbers, and how far they lie from a beat.
 *
 * Units   whatever the numbers have; n up to FL_SPREAD_MAX
 * Errors  0 for no numbers
 */
#ifndef FL_STATS_SPREAD_H
#define FL_STATS_SPREAD_H

#include <stddef.h>
#include <stdint.h>

enum { FL_SPREAD_MAX = 64 };

/* The q-th quantile, q in 0 to 1: the number at rank floor(q (n - 1) + 1/2). */
int64_t fl_quantile(const int64_t *numbers, size_t n, double q);
/* The 75th percentile of |gap - m period|, m the nearest whole number of at
 * least 1: a lost beat makes a gap of two periods, which is no spread. */
int64_t fl_fold_spread(const int64_t *gaps, size_t n, int64_t period);

#endif
