#include "stats/spread.h"

#include <stdlib.h>
#include <string.h>

static int by_size(const void *a, const void *b)
{
	const int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
	return (x > y) - (x < y);
}

int64_t fl_quantile(const int64_t *numbers, size_t n, double q)
{
	int64_t sorted[FL_SPREAD_MAX];
	if (n == 0)
		return 0;
	if (n > FL_SPREAD_MAX)
		n = FL_SPREAD_MAX;
	memcpy(sorted, numbers, n * sizeof *sorted);
	qsort(sorted, n, sizeof *sorted, by_size);
	return sorted[(size_t)(q * (double)(n - 1) + 0.5)];
}

int64_t fl_fold_spread(const int64_t *gaps, size_t n, int64_t period)
{
	int64_t off[FL_SPREAD_MAX];
	if (n > FL_SPREAD_MAX)
		n = FL_SPREAD_MAX;
	for (size_t i = 0; i < n; i++) {
		int64_t m = period > 0 ? (gaps[i] + period / 2) / period : 1;
		if (m < 1)
			m = 1;
		off[i] = llabs(gaps[i] - m * period);
	}
	return fl_quantile(off, n, 0.75);
}
