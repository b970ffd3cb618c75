#include "stats/silence.h"

#include <math.h>

enum { WINDOW = 10000 };
enum { LONGEST = 400 };   /* P_n is below any use long before */

void fl_beats_count(struct fl_beats *beats, uint32_t missed)
{
	if (missed > LONGEST)
		missed = LONGEST;
	beats->heard++;
	beats->missed += missed;
	if (missed) {
		beats->after_miss += missed;
		beats->after_miss_missed += missed - 1;
	}
	if (beats->heard + beats->missed <= WINDOW)
		return;
	beats->heard /= 2;
	beats->missed /= 2;
	beats->after_miss /= 2;
	beats->after_miss_missed /= 2;
}

static double factor(const struct fl_beats *b, uint32_t j)
{
	const double r = (1.0 + b->missed + j) / (21.0 + b->heard + b->missed + j);
	const double c = (0.5 + b->after_miss_missed) / (10.0 + b->after_miss);
	if (j == 0)
		return fmax(r, 1e-4);
	return fmax(r, fmax(0.05, c));
}

double fl_silence_log(const struct fl_beats *beats, uint32_t n)
{
	double sum = 0;
	for (uint32_t j = 0; j < n && j < LONGEST; j++)
		sum += log(factor(beats, j));
	return sum;
}

uint32_t fl_silence_needed(const struct fl_beats *beats, double limit)
{
	double sum = 0;
	uint32_t n = 0;
	while (sum >= limit && n < LONGEST)
		sum += log(factor(beats, n++));
	return n;
}
