/* ways_back.c -- how a device came back, with even chances beforehand; said
 * only where the signs make it clear. */
#include "diagnose/inner.h"

#include <math.h>

#define CLEAR 0.8                  /* judgement */

bool fl_way_back(const struct fl_dropout *d, double p[static FL_RETURNS])
{
	double sum = 0, best = 0;
	for (size_t r = 0; r < FL_RETURNS; r++)
		sum += p[r] = exp(d->returned[r]);
	for (size_t r = 0; r < FL_RETURNS; r++) {
		p[r] /= sum;
		best = fmax(best, p[r]);
	}
	return d->first && d->spoke && best > CLEAR;
}

enum fl_return fl_way_told(const struct fl_dropout *d)
{
	double p[FL_RETURNS];
	if (fl_way_back(d, p))
		for (size_t r = 0; r < FL_RETURNS; r++)
			if (p[r] > CLEAR)
				return (enum fl_return)r;
	return FL_RETURNS;
}
