/* limits.h -- exact limits of a share and of a count.
 *
 * Source  Clopper and Pearson 1934; Garwood 1936; NIST/SEMATECH e-Handbook
 *         section 7.2.4.2
 */
#ifndef FL_STATS_LIMITS_H
#define FL_STATS_LIMITS_H

#include <stdint.h>

/* The shares between which that of k in n lies; `tail` on each side is 0.025
 * for 95 in 100. With n at 0: from 0 to 1. */
void fl_limits_share(uint64_t k, uint64_t n, double tail, double *low, double *high);

#endif
