#include "stats/limits.h"

#include <gsl/gsl_cdf.h>

void fl_limits_share(uint64_t k, uint64_t n, double tail, double *low, double *high)
{
	const double hits = (double)k, misses = (double)(n - k);
	*low = k == 0 || n == 0 ? 0 : gsl_cdf_beta_Pinv(tail, hits, misses + 1);
	*high = k >= n ? 1 : gsl_cdf_beta_Qinv(tail, hits + 1, misses);
}
