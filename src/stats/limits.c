#include "stats/limits.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdbool.h>

/* The inverses of GSL 2.7 end the process where they do not converge, which
 * at 0 of 100 000 they do not. The distributions themselves do, within the
 * bounds below, and rise: halving finds the limit to the last digit. */
enum { HALVINGS = 160 };

/* Beyond these the continued fraction of the incomplete beta does not end in
 * time. The closed forms used there leave 0.0249 to 0.0251 where 0.025 should
 * be left (seen by putting their limits into the distribution). */
#define MANY_COUNTED 1e5
#define MANY_EACH    1e4
#define MANY_ALL     1e6

static double count_limit(double k, double side, bool high)
{
	double low = 0, top = k + 20 * sqrt(k) + 800;
	for (int i = 0; i < HALVINGS; i++) {
		const double m = low + (top - low) / 2;
		const bool below = high ? gsl_cdf_gamma_Q(m, k, 1) > side
					: gsl_cdf_gamma_P(m, k, 1) < side;
		*(below ? &low : &top) = m;
	}
	return low;
}

/* E. B. Wilson and M. M. Hilferty, "The distribution of chi-square", 1931. */
static double many_counted(double k, double z)
{
	const double root = 1 - 1 / (9 * k) + z / (3 * sqrt(k));
	return k * root * root * root;
}

struct fl_limits fl_count_limits(uint64_t k, double level)
{
	const double side = (1 - level) / 2, n = (double)k;
	const double z = gsl_cdf_ugaussian_Qinv(side);
	if (n > MANY_COUNTED)
		return (struct fl_limits){ many_counted(n, -z), many_counted(n + 1, z) };
	return (struct fl_limits){
		.low = k == 0 ? 0 : count_limit(n, side, false),
		.high = count_limit(n + 1, side, true),
	};
}

static double share_limit(double a, double b, double side, bool high)
{
	double low = 0, top = 1;
	for (int i = 0; i < HALVINGS; i++) {
		const double m = low + (top - low) / 2;
		const bool below = high ? gsl_cdf_beta_Q(m, a, b) > side
					: gsl_cdf_beta_P(m, a, b) < side;
		*(below ? &low : &top) = m;
	}
	return low;
}

/* E. B. Wilson, "Probable inference", 1927, with half a case for continuity
 * (R. G. Newcombe, Statistics in Medicine 17, 1998, method 4). */
static double many_of_many(double k, double n, double z)
{
	const double at = k + (z > 0 ? 0.5 : -0.5);
	const double p = at / n, zz = z * z;
	return (p + zz / (2 * n) + z * sqrt((p * (1 - p) + zz / (4 * n)) / n)) /
	       (1 + zz / n);
}

/* Of at most one half, where no digit is lost. */
static struct fl_limits lesser_share(double k, double n, double level)
{
	const double side = (1 - level) / 2;
	const double z = gsl_cdf_ugaussian_Qinv(side);
	if (n > MANY_ALL && k > MANY_EACH)
		return (struct fl_limits){ many_of_many(k, n, -z), many_of_many(k, n, z) };
	return (struct fl_limits){
		.low = k <= 0 ? 0 : share_limit(k, n - k + 1, side, false),
		.high = share_limit(k + 1, n - k, side, true),
	};
}

struct fl_limits fl_share_limits(uint64_t k, uint64_t n, double level)
{
	if (n == 0)
		return (struct fl_limits){ 0, 1 };
	const uint64_t of = k < n ? k : n;
	if (of <= n / 2)
		return lesser_share((double)of, (double)n, level);
	const struct fl_limits other = lesser_share((double)(n - of), (double)n, level);
	return (struct fl_limits){ 1 - other.high, 1 - other.low };
}
