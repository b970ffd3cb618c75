#include "stats/size_fit.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdbool.h>

/* ln L is concave in a and b: both slopes fall, and halving finds the top. */
enum { HALVINGS = 100 };

struct fit {
	const struct fl_size_sample *samples;
	size_t n;
	double most;                 /* no rate can be higher */
};

static double rate(const struct fl_size_sample *s, double a, double b)
{
	return a + 8 * s->octets * b;
}

static double log_likelihood(const struct fit *f, double a, double b)
{
	double sum = 0;
	for (size_t i = 0; i < f->n; i++) {
		const struct fl_size_sample *s = &f->samples[i];
		const double r = rate(s, a, b);
		sum += s->missed ? (double)s->missed * log(-expm1(-r)) : 0;
		sum -= (double)s->received * r;
	}
	return sum;
}

/* Of ln L along a, or along b. */
static double slope(const struct fit *f, double a, double b, bool along_b)
{
	double sum = 0;
	for (size_t i = 0; i < f->n; i++) {
		const struct fl_size_sample *s = &f->samples[i];
		const double one = (s->missed
			? (double)s->missed / expm1(rate(s, a, b)) : 0) -
			(double)s->received;
		sum += along_b ? 8 * s->octets * one : one;
	}
	return sum;
}

static double best_a(const struct fit *f, double b)
{
	double low = 0, high = f->most;
	for (int i = 0; i < HALVINGS; i++) {
		const double a = (low + high) / 2;
		*(slope(f, a, b, false) > 0 ? &low : &high) = a;
	}
	return low;
}

/* Along the ridge of the best a for each b its slope is that along b. */
static double best_b(const struct fit *f, double most)
{
	double low = 0, high = most;
	for (int i = 0; i < HALVINGS; i++) {
		const double b = (low + high) / 2;
		*(slope(f, best_a(f, b), b, true) > 0 ? &low : &high) = b;
	}
	return low;
}

struct fl_size_fit fl_size_fit(const struct fl_size_sample *samples, size_t n)
{
	struct fit f = { samples, n, 0 };
	struct fl_size_fit out = { .chance = 1 };
	double shortest = INFINITY, longest = 0;
	for (size_t i = 0; i < n; i++) {
		const double k = (double)samples[i].missed, r = (double)samples[i].received;
		f.most = fmax(f.most, log1p((k + 1) / (r + 1)));
		shortest = fmin(shortest, samples[i].octets);
		longest = fmax(longest, samples[i].octets);
	}
	double missed = 0;
	for (size_t i = 0; i < n; i++)
		missed += (double)samples[i].missed;
	if (n < 2 || missed <= 0 || shortest <= 0 || longest <= shortest)
		return out;
	const double flat = log_likelihood(&f, best_a(&f, 0), 0);
	out.bit = best_b(&f, f.most / (8 * shortest));
	out.whole = best_a(&f, out.bit);
	out.ratio = fmax(0, 2 * (log_likelihood(&f, out.whole, out.bit) - flat));
	out.chance = out.ratio > 0 ? gsl_cdf_chisq_Q(out.ratio, 1) / 2 : 1;
	return out;
}
