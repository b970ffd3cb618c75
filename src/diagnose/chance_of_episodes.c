/* chance_of_episodes.c -- ln P(episodes | chance and up to two unsteady parts).
 *
 * Each episode has one cause. The parts and chance have shares w of all of
 * them; the mean over a grid of shares is taken. n episodes weigh as
 * m = n / (1 + 0.1 (n - 1)), so like ones as ten at most: the tables are not
 * so right that a hundred of them were a hundred proofs.
 */
#include "diagnose/scale.h"

#include "diagnose/numbers.h"

#include <math.h>

static const double shares_alone[FL_SHARES] = FL_SHARES_ALONE;
static const double shares_of_two[FL_PAIR_SHARES] = FL_SHARES_OF_TWO;

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

bool fl_episodes_scale(struct fl_scale *s)
{
	const size_t n = s->e->episode_count;
	s->chance = fl_region_array(s->region, n + 1, sizeof *s->chance);
	if (!s->chance)
		return false;
	for (size_t i = 0; i < n; i++) {
		const struct fl_episode *g = &s->e->episodes[i];
		s->chance[i] = fits_background(s->e, g);
		s->episodes += g->count;
		s->by_chance += g->count * s->chance[i];
	}
	return true;
}

/* ln of one episode's chance, the part having this share of all. */
static double alone(const struct fl_scale *s, const struct fl_column *c, size_t share,
		    size_t episode)
{
	const double w = shares_alone[share];
	return fl_log_add(log1p(-w) + s->chance[episode], log(w) + c->fits[episode]);
}

/* ln of the most that it gets beside another part. */
static double most_of_two(const struct fl_scale *s, const struct fl_column *c,
			  size_t episode)
{
	return fl_log_add(log(FL_CHANCE_OF_TWO) + s->chance[episode],
			  log1p(-FL_CHANCE_OF_TWO) + c->fits[episode]);
}

bool fl_episodes_column(const struct fl_scale *s, struct fl_column *c)
{
	const size_t n = s->e->episode_count;
	c->fits = fl_region_array(s->region, n + 1, sizeof *c->fits);
	c->most = fl_region_array(s->region, n + 1, sizeof *c->most);
	if (!c->fits || !c->most)
		return false;
	for (size_t i = 0; i < n; i++) {
		const struct fl_episode *g = &s->e->episodes[i];
		c->fits[i] = fits(s->e, g, c->hidden);
		c->most[i] = most_of_two(s, c, i);
		for (size_t k = 0; k < FL_SHARES; k++)
			c->shares[k] += g->count * alone(s, c, k, i);
	}
	return true;
}

/* ln of the Poisson chance of n background episodes. */
static double background_log(const struct fl_evidence *e, double n)
{
	const double mean = e->background * (double)e->devices * e->hours;
	return n * log(fmax(mean, 1e-12)) - mean - lgamma(n + 1);
}

/* ln of the negative binomial chance of n episodes of so many unsteady parts,
 * all of one rate: their shapes and means add up. */
static double unsteady_log(const struct fl_evidence *e, double n, double parts)
{
	const double shape = FL_UNSTEADY_SHAPE * parts;
	const double mean = FL_UNSTEADY_RATE * e->hours * parts;
	return lgamma(n + shape) - lgamma(shape) - lgamma(n + 1) +
	       shape * log(shape / (shape + mean)) +
	       n * log(fmax(mean / (shape + mean), 1e-12));
}

static double tempered(double sum, double n)
{
	return n > 0 ? sum / (1 + FL_LIKE_EPISODES * (n - 1)) : 0;
}

/* ln of one episode's chance, the first part having this share of two's. */
static double shared(const struct fl_scale *s, const struct fl_column *const two[2],
		     double share, size_t episode)
{
	const double at[3] = { s->chance[episode], two[0]->fits[episode],
			       two[1]->fits[episode] };
	const double high = fmax(at[0], fmax(at[1], at[2]));
	const double left = 1 - FL_CHANCE_OF_TWO;
	return high + log(FL_CHANCE_OF_TWO * exp(at[0] - high) +
			  left * share * exp(at[1] - high) +
			  left * (1 - share) * exp(at[2] - high));
}

static double of_two(const struct fl_scale *s, const struct fl_column *const two[2])
{
	double at[FL_PAIR_SHARES];
	for (size_t k = 0; k < FL_PAIR_SHARES; k++) {
		double sum = 0;
		for (size_t i = 0; i < s->e->episode_count; i++)
			sum += s->e->episodes[i].count * shared(s, two, shares_of_two[k], i);
		at[k] = tempered(sum, s->episodes);
	}
	return fl_log_mean(at, FL_PAIR_SHARES) + unsteady_log(s->e, s->episodes, 2);
}

double fl_episodes_at_most(const struct fl_scale *s,
			   const struct fl_column *const two[2])
{
	double sum = 0;
	for (size_t i = 0; i < s->e->episode_count; i++)
		sum += s->e->episodes[i].count * fmax(two[0]->most[i], two[1]->most[i]);
	return tempered(sum, s->episodes) + unsteady_log(s->e, s->episodes, 2);
}

double fl_episodes_log(const struct fl_scale *s, const struct fl_column *const *unsteady,
		       size_t parts, const int own[2])
{
	double n = s->episodes, chance = s->by_chance, at[FL_SHARES] = { 0 };
	if (parts == 2)
		return of_two(s, unsteady);
	for (size_t k = 0; parts && k < FL_SHARES; k++)
		at[k] = unsteady[0]->shares[k];
	for (size_t i = 0; i < 2; i++) {
		if (own[i] < 0)
			continue;
		const double count = s->e->episodes[own[i]].count;
		n -= count;
		chance -= count * s->chance[own[i]];
		for (size_t k = 0; parts && k < FL_SHARES; k++)
			at[k] -= count * alone(s, unsteady[0], k, (size_t)own[i]);
	}
	if (!parts)
		return tempered(chance, n) + background_log(s->e, n);
	for (size_t k = 0; k < FL_SHARES; k++)
		at[k] = tempered(at[k], n);
	return fl_log_mean(at, FL_SHARES) + unsteady_log(s->e, n, 1);
}

double fl_episodes_other(const struct fl_scale *s)
{
	return unsteady_log(s->e, s->episodes, 1) + tempered(s->by_chance, s->episodes);
}
