/* size_fit.h -- do long frames get lost more often than short ones?
 *
 * Bits that are hit one by one lose a frame of L octets with the chance
 * 1 - exp(-8 L b); whole frames that are dropped, with 1 - exp(-a) at any
 * length. The two together are fitted over streams of one station, and b > 0
 * is held against b = 0 by the likelihood ratio.
 *
 * Source  S. G. Self and K.-Y. Liang, J. Am. Stat. Assoc. 82, 1987: at the
 *         border b = 0 the statistic is half of the time zero, else
 *         chi-square with one degree of freedom
 * Errors  fewer than two lengths, or nothing missed: chance 1
 */
#ifndef FL_STATS_SIZE_FIT_H
#define FL_STATS_SIZE_FIT_H

#include <stddef.h>
#include <stdint.h>

struct fl_size_sample {
	double   octets;             /* mean, of the stream's frames */
	uint64_t received, missed;
};

struct fl_size_fit {
	double whole, bit;           /* a and b                      */
	double ratio;                /* twice the gain in ln L       */
	double chance;               /* of such a ratio where b is 0 */
};

struct fl_size_fit fl_size_fit(const struct fl_size_sample *samples, size_t n);

#endif
