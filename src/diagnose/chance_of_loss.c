/* chance_of_loss.c -- ln P(frames missing | up to two parts that drop frames).
 *
 * All devices have one background in common, whose mean is not known: the mean
 * over a grid. So a boat that loses everywhere accuses nobody, only a device
 * unlike the others does. Behind a part that drops frames they have the mean
 * of that part, over a grid too; behind two of them what either drops.
 */
#include "diagnose/scale.h"

#include "diagnose/numbers.h"

#include <math.h>

static const double means[FL_BACKGROUNDS] = FL_LOST_BACKGROUND;
static const double spreads[FL_BACKGROUNDS] = FL_LOST_SPREADS;
static const double dropped[FL_LOSSES] = FL_LOST_DROPS;

/* ln of the beta-binomial, without the number of orders, which all share. */
static double lost_log(const struct fl_evidence *e, size_t device, double mean,
		       double spread)
{
	const double a = mean * spread, b = spread - a;
	const double k = (double)e->missed[device], h = (double)e->received[device];
	return lgamma(k + a) + lgamma(h + b) - lgamma(k + h + spread) -
	       lgamma(a) - lgamma(b) + lgamma(spread);
}

static void scale_device(struct fl_scale *s, size_t i)
{
	for (size_t k = 0; k < FL_BACKGROUNDS; k++) {
		s->background[i][k] = lost_log(s->e, i, means[k], spreads[k]);
		s->background_sum[k] += s->background[i][k];
	}
	for (size_t k = 0; k < FL_LOSSES; k++) {
		s->drops[i][k] = lost_log(s->e, i, dropped[k], FL_LOST_DROPS_SPREAD);
		for (size_t j = 0; j < FL_LOSSES; j++)
			s->both[i][k][j] = lost_log(s->e, i,
				1 - (1 - dropped[k]) * (1 - dropped[j]),
				FL_LOST_DROPS_SPREAD);
	}
	fl_devices_add(&s->counted, i);
}

bool fl_loss_scale(struct fl_scale *s)
{
	const size_t n = s->e->devices + 1;
	s->background = fl_region_array(s->region, n, sizeof *s->background);
	s->drops = fl_region_array(s->region, n, sizeof *s->drops);
	s->both = fl_region_array(s->region, n, sizeof *s->both);
	if (!s->background || !s->drops || !s->both)
		return false;
	for (size_t i = 0; i < s->e->devices; i++)
		if (s->e->received[i] + s->e->missed[i])
			scale_device(s, i);
	return true;
}

void fl_loss_column(const struct fl_scale *s, struct fl_column *c)
{
	for (size_t i = 0; i < s->e->devices; i++) {
		if (!fl_devices_has(&s->counted, i) ||
		    !fl_devices_has(&c->hidden->behind, i))
			continue;
		for (size_t k = 0; k < FL_BACKGROUNDS; k++)
			c->background[k] += s->background[i][k];
		for (size_t k = 0; k < FL_LOSSES; k++)
			c->drops[k] += s->drops[i][k];
	}
}

/* Frames of these devices go through both. */
static bool shared_by(const struct fl_scale *s, const struct fl_column *const two[2],
		      struct fl_devices *set)
{
	uint64_t any = 0;
	for (size_t w = 0; w < FL_EVIDENCE_WORDS; w++)
		any |= set->bits[w] = s->counted.bits[w] &
			two[0]->hidden->behind.bits[w] & two[1]->hidden->behind.bits[w];
	return any != 0;
}

/* Of those behind both, in the mean over both parts' grids. */
static double behind_two(const struct fl_scale *s, const struct fl_column *const two[2],
			 const struct fl_devices *set)
{
	double at[FL_LOSSES * FL_LOSSES];
	for (size_t k = 0; k < FL_LOSSES; k++)
		for (size_t j = 0; j < FL_LOSSES; j++) {
			double sum = two[0]->drops[k] + two[1]->drops[j];
			for (size_t i = 0; i < s->e->devices; i++)
				if (fl_devices_has(set, i))
					sum += s->both[i][k][j] - s->drops[i][k] -
					       s->drops[i][j];
			at[k * FL_LOSSES + j] = sum;
		}
	return fl_log_mean(at, FL_LOSSES * FL_LOSSES);
}

double fl_loss_log(const struct fl_scale *s, const struct fl_column *const *drops,
		   size_t n)
{
	struct fl_devices set = { { 0 } };
	double at[FL_BACKGROUNDS], sum = 0;
	const bool both = n == 2 && shared_by(s, drops, &set);
	for (size_t k = 0; k < FL_BACKGROUNDS; k++) {
		at[k] = s->background_sum[k];
		for (size_t i = 0; i < n; i++)
			at[k] -= drops[i]->background[k];
		for (size_t i = 0; both && i < s->e->devices; i++)
			if (fl_devices_has(&set, i))
				at[k] += s->background[i][k];
	}
	if (both)
		sum = behind_two(s, drops, &set);
	for (size_t i = 0; !both && i < n; i++)
		sum += fl_log_mean(drops[i]->drops, FL_LOSSES);
	return sum + fl_log_mean(at, FL_BACKGROUNDS);
}
