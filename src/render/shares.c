#include "render/shares.h"

#include <math.h>

/* Remainders closer than this are a tie: nearer is noise of the arithmetic. */
#define TIE 1e-9

static double scaled(double share, unsigned parts)
{
	return share > 0 ? share * parts : 0;
}

static double remainder_of(double share, unsigned parts)
{
	const double s = scaled(share, parts);
	return s - floor(s);
}

/* The largest remainder clearly below `bound`, and how many tie with it. */
static double next_remainder(const double *share, size_t n, unsigned parts,
			     double bound, size_t *count)
{
	double top = -1;
	for (size_t i = 0; i < n; i++) {
		const double r = remainder_of(share[i], parts);
		if (r < bound && r > top)
			top = r;
	}
	*count = 0;
	for (size_t i = 0; i < n; i++) {
		const double r = remainder_of(share[i], parts);
		*count += r <= top && r > top - TIE;
	}
	return top;
}

void fl_shares(const double *share, size_t n, unsigned parts, unsigned *out)
{
	double sum = 0, given = 0;
	for (size_t i = 0; i < n; i++) {
		const double s = scaled(share[i], parts);
		sum += s;
		given += floor(s);
		out[i] = (unsigned)floor(s);
	}
	double left = floor(sum + 0.5) - given, bound = 1;
	while (left >= 1) {
		size_t tied = 0;
		const double top =
			next_remainder(share, n, parts, bound, &tied);
		if (top <= 0 || (double)tied > left)
			return;
		for (size_t i = 0; i < n; i++) {
			const double r = remainder_of(share[i], parts);
			out[i] += r <= top && r > top - TIE;
		}
		left -= (double)tied;
		bound = top - TIE;
	}
}
