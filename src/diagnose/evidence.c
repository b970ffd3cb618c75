#include "diagnose/evidence.h"

#include "diagnose/numbers.h"

#include <math.h>
#include <string.h>

bool fl_devices_equal(const struct fl_devices *a, const struct fl_devices *b)
{
	return memcmp(a, b, sizeof *a) == 0;
}

double fl_log_add(double a, double b)
{
	const double high = fmax(a, b), low = fmin(a, b);
	return low == -INFINITY ? high : high + log1p(exp(low - high));
}

/* The standing state: ln P(heard or never heard), device by device; a fault
 * hides what is behind it with probability `hides`. */
static double standing(const struct fl_evidence *e, const struct fl_devices *behind,
		       double hides)
{
	double sum = 0;
	for (size_t i = 0; i < e->devices; i++) {
		const double through = fl_devices_has(behind, i) ? 1 - hides : 1;
		const double heard = (1 - FL_LEAK) * (1 - e->unheard[i]) * through;
		if (e->seen[i] == FL_SEEN_HEARD)
			sum += log(heard);
		else if (e->seen[i] == FL_SEEN_NEVER)
			sum += log(1 - heard);
	}
	return sum;
}

/* ln sum of P(way back | share) L(way back), of one of the fallen. */
static double came_back(const struct fl_back *back, const double share[FL_RETURNS])
{
	double sum = 0;
	for (size_t r = 0; r < FL_RETURNS; r++)
		sum += share[r] * exp(back->log[r]);
	return log(sum);
}

/* The same of all of the fallen; NULL: each may have a cause of its own. */
static double all_came_back(const struct fl_episode *g, const struct fl_hidden *hidden)
{
	static const double touched[FL_TOUCHES][FL_RETURNS] = {
#define BACK(touch, ...) [FL_TOUCH_##touch] = { __VA_ARGS__ },
		FL_BACK_ROWS(BACK)
#undef BACK
	};
	static const double by_chance[FL_RETURNS] = FL_BACK_BY_CHANCE;
	double sum = 0;
	for (size_t i = 0; i < g->back_count; i++) {
		const struct fl_back *b = &g->backs[i];
		const bool behind = hidden && fl_devices_has(&hidden->behind, b->device);
		sum += came_back(b, behind ? touched[hidden->touch[b->device]] : by_chance);
	}
	return sum;
}

/* ln pi: the fallen and those who stayed, and how they came back, if this fault
 * was the cause of the episode. */
static double fits(const struct fl_evidence *e, const struct fl_episode *g,
		   const struct fl_hidden *hidden)
{
	double sum = all_came_back(g, hidden);
	for (size_t i = 0; i < e->devices; i++) {
		const double fell = fl_devices_has(&hidden->behind, i) ? FL_FELL_BEHIND
							      : FL_FELL_ELSEWHERE;
		if (fl_devices_has(&g->fell, i))
			sum += log(fell);
		else if (fl_devices_has(&g->stayed, i))
			sum += log(1 - fell);
	}
	return sum;
}

/* ln pi_0: somebody switched one device off, any of them; that several fell
 * at once by chance is as rare as each further one. */
static double fits_background(const struct fl_evidence *e, const struct fl_episode *g)
{
	double fallen = 0;
	for (size_t i = 0; i < e->devices; i++)
		fallen += fl_devices_has(&g->fell, i);
	return -log((double)e->devices) + (fallen - 1) * log(FL_FELL_ELSEWHERE) +
	       all_came_back(g, NULL);
}

static double episodes_of(const struct fl_evidence *e)
{
	double n = 0;
	for (size_t i = 0; i < e->episode_count; i++)
		n += e->episodes[i].count;
	return n;
}

/* ln of the Poisson chance of n background episodes. */
static double background_log(const struct fl_evidence *e, double n)
{
	const double mean = e->background * (double)e->devices * e->hours;
	return n * log(fmax(mean, 1e-12)) - mean - lgamma(n + 1);
}

/* ln of the negative binomial chance of n episodes of an unsteady part. */
static double unsteady_log(const struct fl_evidence *e, double n)
{
	const double shape = FL_UNSTEADY_SHAPE;
	const double mean = FL_UNSTEADY_RATE * e->hours;
	return lgamma(n + shape) - lgamma(shape) - lgamma(n + 1) +
	       shape * log(shape / (shape + mean)) +
	       n * log(fmax(mean / (shape + mean), 1e-12));
}

/* m sum over groups of (n_g / n) ln(w_0 pi_0 + w pi): like episodes count as
 * at most ten. `except` (or NULL) is explained elsewhere. */
static double shares_log(const struct fl_evidence *e, const struct fl_hidden *hidden,
			 double w, const struct fl_episode *except)
{
	double n = 0, sum = 0;
	for (size_t i = 0; i < e->episode_count; i++) {
		const struct fl_episode *g = &e->episodes[i];
		if (g == except)
			continue;
		const double chance = log1p(-w) + fits_background(e, g);
		const double fault = w > 0 ? log(w) + fits(e, g, hidden) : -INFINITY;
		n += g->count;
		sum += g->count * fl_log_add(chance, fault);
	}
	return n > 0 ? sum / (1 + FL_LIKE_EPISODES * (n - 1)) : 0;
}

static double unsteady(const struct fl_evidence *e, const struct fl_hidden *hidden)
{
	static const double shares[] = { 0.5, 0.8, 0.95, 0.99 };
	double sum = -INFINITY;
	for (size_t i = 0; i < 4; i++)
		sum = fl_log_add(sum, shares_log(e, hidden, shares[i], NULL) - log(4));
	return standing(e, &hidden->behind, FL_HIDES_UNSTEADY) +
	       unsteady_log(e, episodes_of(e)) + sum;
}

/* Dead all along, or died while we listened: then one episode, open at the
 * end, is its own, and those behind it had been heard before. */
static double dead(const struct fl_evidence *e, const struct fl_hidden *hidden)
{
	static const struct fl_devices nobody;
	const double n = episodes_of(e);
	const double all_along = log1p(-FL_DIED_NOW) +
		standing(e, &hidden->behind, FL_HIDES_DEAD) +
		background_log(e, n) + shares_log(e, hidden, 0, NULL);
	double now = -INFINITY;
	for (size_t i = 0; i < e->episode_count; i++) {
		const struct fl_episode *g = &e->episodes[i];
		if (!g->open)
			continue;
		now = fl_log_add(now, log(FL_DIED_NOW) + standing(e, &nobody, 0) +
			fits(e, g, hidden) + background_log(e, n - g->count) +
			shares_log(e, hidden, 0, g));
	}
	return fl_log_add(all_along, now);
}

double fl_explains(const struct fl_evidence *e, const struct fl_hidden *hidden,
		   enum fl_mode mode)
{
	if (mode == FL_DEAD)
		return dead(e, hidden);
	if (mode == FL_UNSTEADY)
		return unsteady(e, hidden);
	return standing(e, &hidden->behind, FL_HIDES_DROPS) +
	       background_log(e, episodes_of(e)) + shares_log(e, hidden, 0, NULL);
}

double fl_explains_other(const struct fl_evidence *e)
{
	static const struct fl_hidden nobody;
	double sum = 0;
	for (size_t i = 0; i < e->devices; i++)
		if (e->seen[i] != FL_SEEN_NOTHING)
			sum += log(e->seen[i] == FL_SEEN_NEVER ? FL_OTHER_HIDES
							       : FL_OTHER_SHOWS);
	return sum + unsteady_log(e, episodes_of(e)) + shares_log(e, &nobody, 0, NULL);
}
