/* limits.h -- exact limits of a count and of a share.
 *
 * Source  F. Garwood, "Fiducial limits for the Poisson distribution",
 *         Biometrika 28 (1936); C. J. Clopper and E. S. Pearson, Biometrika
 *         26 (1934); NIST/SEMATECH e-Handbook section 7.2.4.2
 * Units   `level`: of two sides together, 0.95 leaves 0.025 at each
 * Errors  a share of none is anything: 0 to 1
 */
#ifndef FL_STATS_LIMITS_H
#define FL_STATS_LIMITS_H

#include <stdint.h>

struct fl_limits { double low, high; };

/* Of the mean of a count, k having been counted. */
struct fl_limits fl_count_limits(uint64_t k, double level);
/* Of a share, k of n having been counted; k over n is taken as n. */
struct fl_limits fl_share_limits(uint64_t k, uint64_t n, double level);

#endif
