/* weigh.c -- every hypothesis of one part and of two.
 *
 * Parts with the same column (they hide the same, and touch it alike) are as
 * likely to have made the evidence: it is weighed once for all of them, and
 * the odds split it.
 *
 * What may be pruned: let S be the chance of all but the pairs. A pair of
 * columns and modes whose likelihood is at most B (fl_explains_at_most), times
 * its odds, below 1e-6 S / N, N the number of such pairs, is left out. All of
 * these together are then below 1e-6 of S, so below 1e-6 of the total.
 */
#include "diagnose/weigh.h"

#include "diagnose/numbers.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NEGLECTED 1e-6
enum { KEPT = 8192 };

struct column {
	struct fl_column *at;
	const struct fl_hidden *hidden;
	int    *parts;
	size_t  n;
	double  odds[FL_MODES];      /* of all its parts                     */
	double  log[FL_MODES];       /* ln P(evidence | one of them)         */
	double  share[FL_MODES];     /* ln of pairs with other columns       */
	double  rank;
};

struct work {
	const struct fl_candidate *parts;
	size_t n;
	struct fl_scale *scale;
	struct fl_region *region;
	struct column *columns;
	size_t column_count;
	double total, least;         /* ln; pairs below the least are left   */
	double *part, *within;       /* ln, a part; ln of twos in a group    */
	struct fl_hypothesis *kept;  /* p: ln                                */
	size_t kept_count;
	struct fl_posterior *out;
	bool prune;
};

static void add(double *sum, double log)
{
	*sum = fl_log_add(*sum, log);
}

/* ---- what is listed ---- */

static void drop_small(struct work *w)
{
	size_t n = 0;
	for (size_t i = 0; i < w->kept_count; i++)
		if (w->kept[i].p >= w->total + log(FL_LISTED))
			w->kept[n++] = w->kept[i];
	w->kept_count = n;
}

/* The total only grows: what is too small now will not be listed. At most
 * 1 / FL_LISTED can be above it, so there is always room after a clearing. */
static void keep(struct work *w, int a, int b, double log_p)
{
	if (log_p < w->total + log(FL_LISTED))
		return;
	if (w->kept_count == KEPT)
		drop_small(w);
	if (w->kept_count < KEPT)
		w->kept[w->kept_count++] = (struct fl_hypothesis){ { a, b }, log_p };
}

/* ---- one part ---- */

static struct column *column_of(struct work *w, const struct fl_hidden *hidden)
{
	for (size_t i = 0; i < w->column_count; i++)
		if (memcmp(w->columns[i].hidden, hidden, sizeof *hidden) == 0)
			return &w->columns[i];
	struct column *c = &w->columns[w->column_count];
	c->hidden = hidden;
	c->at = fl_column_new(w->scale, hidden);
	c->parts = fl_region_array(w->region, w->n, sizeof *c->parts);
	if (!c->at || !c->parts)
		return NULL;
	w->column_count++;
	return c;
}

static bool make_columns(struct work *w)
{
	for (size_t i = 0; i < w->n; i++) {
		struct column *c = column_of(w, &w->parts[i].hidden);
		if (!c)
			return false;
		c->parts[c->n++] = (int)i;
		for (size_t m = 0; m < FL_MODES; m++)
			c->odds[m] += w->parts[i].odds[m];
	}
	return true;
}

static void weigh_alone(struct work *w, struct column *c)
{
	c->rank = -INFINITY;
	for (int m = 0; m < FL_MODES; m++) {
		const struct fl_fault fault = { c->at, (enum fl_mode)m };
		c->share[m] = -INFINITY;
		c->log[m] = fl_explains(w->scale, &fault, 1);
		if (c->odds[m] > 0)
			add(&c->rank, log(c->odds[m]) + c->log[m]);
	}
	add(&w->total, c->rank);
}

static void share_alone(struct work *w, const struct column *c)
{
	for (size_t i = 0; i < c->n; i++) {
		double sum = -INFINITY;
		for (int m = 0; m < FL_MODES; m++)
			if (w->parts[c->parts[i]].odds[m] > 0)
				add(&sum, log(w->parts[c->parts[i]].odds[m]) + c->log[m]);
		w->part[c->parts[i]] = sum;
		keep(w, c->parts[i], FL_NO_PART, sum);
	}
}

/* ---- two parts ---- */

struct two { double log[FL_MODES][FL_MODES]; };

/* ln P(evidence | these), -INFINITY where it was pruned or cannot be. */
static bool weigh_two(struct work *w, const struct column *a, const struct column *b,
		      struct two *out)
{
	bool any = false;
	for (int m = 0; m < FL_MODES; m++)
		for (int k = 0; k < FL_MODES; k++) {
			const struct fl_fault faults[2] = {
				{ a->at, (enum fl_mode)m }, { b->at, (enum fl_mode)k } };
			const double odds = a->odds[m] * b->odds[k] / FL_ODDS_NONE;
			out->log[m][k] = -INFINITY;
			if (odds <= 0)
				continue;
			w->out->weighed++;
			if (w->prune && log(odds) +
			    fl_explains_at_most(w->scale, faults) < w->least) {
				w->out->pruned++;
				continue;
			}
			out->log[m][k] = fl_explains(w->scale, faults, 2);
			any = true;
		}
	return any;
}

/* ln of the odds of these two parts times the likelihood, all modes. */
static double odds_of_two(const struct work *w, const struct two *two, int a, int b)
{
	double sum = -INFINITY;
	for (int m = 0; m < FL_MODES; m++)
		for (int k = 0; k < FL_MODES; k++) {
			const double odds = w->parts[a].odds[m] * w->parts[b].odds[k];
			if (odds > 0 && two->log[m][k] > -INFINITY)
				add(&sum, log(odds / FL_ODDS_NONE) + two->log[m][k]);
		}
	return sum;
}

static void share_apart(struct work *w, struct column *a, struct column *b,
			const struct two *two)
{
	double all = -INFINITY;
	for (int m = 0; m < FL_MODES; m++)
		for (int k = 0; k < FL_MODES; k++) {
			if (two->log[m][k] == -INFINITY)
				continue;
			const double log_p = two->log[m][k] +
				log(a->odds[m] * b->odds[k] / FL_ODDS_NONE);
			add(&a->share[m], log_p);
			add(&b->share[k], log_p);
			add(&all, log_p);
		}
	add(&w->total, all);
	const int group = w->parts[a->parts[0]].group;
	if (group == w->parts[b->parts[0]].group)
		add(&w->within[group], all);
	if (all < w->total + log(FL_LISTED))
		return;
	for (size_t i = 0; i < a->n; i++)
		for (size_t k = 0; k < b->n; k++)
			keep(w, a->parts[i], b->parts[k],
			     odds_of_two(w, two, a->parts[i], b->parts[k]));
}

/* Two of one column; the same part twice is no pair. */
static void share_within(struct work *w, const struct column *c, const struct two *two)
{
	for (size_t i = 0; i < c->n; i++)
		for (size_t k = i + 1; k < c->n; k++) {
			const int a = c->parts[i], b = c->parts[k];
			const double log_p = odds_of_two(w, two, a, b);
			add(&w->part[a], log_p);
			add(&w->part[b], log_p);
			add(&w->within[w->parts[a].group], log_p);
			add(&w->total, log_p);
			keep(w, a, b, log_p);
		}
}

static int by_rank(const void *x, const void *y)
{
	const struct column *a = x, *b = y;
	return a->rank != b->rank ? (a->rank < b->rank ? 1 : -1)
	     : a->parts[0] - b->parts[0];
}

static void weigh_twos(struct work *w)
{
	struct two two;
	qsort(w->columns, w->column_count, sizeof *w->columns, by_rank);
	const size_t n = w->column_count < FL_WEIGH_COLUMNS ? w->column_count
							   : FL_WEIGH_COLUMNS;
	const double pairs = (double)(n * (n + 1) / 2 * FL_MODES * FL_MODES);
	w->least = w->total + log(NEGLECTED / fmax(pairs, 1));
	for (size_t i = 0; i < n; i++) {
		struct column *a = &w->columns[i];
		if (a->n > 1 && weigh_two(w, a, a, &two))
			share_within(w, a, &two);
		for (size_t k = i + 1; k < n; k++)
			if (weigh_two(w, a, &w->columns[k], &two))
				share_apart(w, a, &w->columns[k], &two);
	}
	for (size_t i = 0; i < n; i++)
		for (size_t k = 0; k < w->columns[i].n; k++)
			for (size_t m = 0; m < FL_MODES; m++) {
				const struct column *c = &w->columns[i];
				const double odds = w->parts[c->parts[k]].odds[m];
				if (odds > 0)
					add(&w->part[c->parts[k]], c->share[m] +
					    log(odds / c->odds[m]));
			}
}

/* ---- the answer ---- */

static int by_p(const void *x, const void *y)
{
	const struct fl_hypothesis *a = x, *b = y;
	return a->p != b->p ? (a->p < b->p ? 1 : -1)
	     : a->parts[0] != b->parts[0] ? a->parts[0] - b->parts[0]
	     : a->parts[1] - b->parts[1];
}

static void conclude(struct work *w, double none, double other)
{
	struct fl_posterior *out = w->out;
	drop_small(w);
	out->none = exp(none - w->total);
	out->other = exp(other - w->total);
	out->list = w->kept;
	out->n = w->kept_count;
	double listed = 0;
	for (size_t i = 0; i < out->n; i++)
		listed += out->list[i].p = exp(out->list[i].p - w->total);
	qsort(out->list, out->n, sizeof *out->list, by_p);
	out->rest = fmax(0, 1 - out->none - out->other - listed);
	out->part = w->part;
	out->group = w->within;
	for (size_t i = 0; i < w->n; i++)
		out->group[i] = -exp(out->group[i] - w->total);
	for (size_t i = 0; i < w->n; i++) {
		out->part[i] = fmin(1, exp(out->part[i] - w->total));
		out->group[w->parts[i].group] += out->part[i];
	}
}

struct fl_posterior *fl_weigh(const struct fl_evidence *e,
			      const struct fl_candidate *parts, size_t n,
			      bool prune, struct fl_region *region)
{
	struct work w = { .parts = parts, .n = n, .prune = prune, .region = region,
			  .scale = fl_scale_new(e, region),
			  .out = fl_region_take(region, sizeof *w.out) };
	w.columns = fl_region_array(region, n + 1, sizeof *w.columns);
	w.part = fl_region_array(region, n + 1, sizeof *w.part);
	w.within = fl_region_array(region, n + 1, sizeof *w.within);
	w.kept = fl_region_array(region, KEPT, sizeof *w.kept);
	if (!w.scale || !w.out || !w.columns || !w.part || !w.within || !w.kept ||
	    !make_columns(&w))
		return NULL;
	const double none = log(FL_ODDS_NONE) + fl_explains(w.scale, NULL, 0);
	const double other = log(FL_ODDS_OTHER) + fl_explains_other(w.scale);
	w.total = fl_log_add(none, other);
	for (size_t i = 0; i < n; i++)
		w.within[i] = -INFINITY;
	for (size_t i = 0; i < w.column_count; i++)
		weigh_alone(&w, &w.columns[i]);
	for (size_t i = 0; i < w.column_count; i++)
		share_alone(&w, &w.columns[i]);
	weigh_twos(&w);
	conclude(&w, none, other);
	return w.out;
}
