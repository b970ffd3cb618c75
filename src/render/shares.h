/* shares.h -- shares of one as whole parts, rounded so that their sum holds.
 *
 * Source  the method of the largest remainder, but for ties: equal shares
 *         get equal parts, and where not all of them can get one more, none
 *         does. The sum of the parts is so never above the rounded sum of
 *         the shares.
 */
#ifndef FL_RENDER_SHARES_H
#define FL_RENDER_SHARES_H

#include <stddef.h>

/* out[i] = share[i] in whole 1/parts; what is not above 0 counts as 0. */
void fl_shares(const double *share, size_t n, unsigned parts, unsigned *out);

#endif
