/* evidence.c -- ln P(evidence | one fault or two): standing states here,
 * episodes in chance_of_episodes.c, loss in chance_of_loss.c. */
#include "diagnose/scale.h"

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

double fl_log_mean(const double *at, size_t n)
{
	double sum = -INFINITY;
	for (size_t i = 0; i < n; i++)
		sum = fl_log_add(sum, at[i]);
	return sum - log((double)n);
}

/* ---- the standing state ---- */

static const double hides[FL_SCALE_MODES] = {
	[FL_DEAD] = FL_HIDES_DEAD, [FL_UNSTEADY] = FL_HIDES_UNSTEADY,
	[FL_DROPS] = FL_HIDES_DROPS, [FL_DIED] = 0,
};

/* ln P(this device seen as it was), if so much gets through to us. */
static double seen_log(const struct fl_evidence *e, size_t device, double through)
{
	const double heard = (1 - FL_LEAK) * (1 - e->unheard[device]) * through;
	return e->seen[device] == FL_SEEN_HEARD ? log(heard)
	     : e->seen[device] == FL_SEEN_NEVER ? log(1 - heard) : 0;
}

/* The noisy-OR: what is heard takes each fault by itself, only what was never
 * heard knows whether there are two. */
static bool scale_standing(struct fl_scale *s)
{
	const struct fl_evidence *e = s->e;
	s->one = fl_region_array(s->region, e->devices + 1, sizeof *s->one);
	s->two = fl_region_array(s->region, e->devices + 1, sizeof *s->two);
	if (!s->one || !s->two)
		return false;
	for (size_t i = 0; i < e->devices; i++) {
		const double alone = seen_log(e, i, 1);
		s->stands += alone;
		if (e->seen[i] == FL_SEEN_NEVER)
			fl_devices_add(&s->never, i);
		for (size_t m = 0; m < FL_SCALE_MODES; m++)
			s->one[i][m] = seen_log(e, i, 1 - hides[m]) - alone;
		for (size_t m = 0; m < FL_SCALE_MODES; m++)
			for (size_t k = 0; k < FL_SCALE_MODES; k++)
				s->two[i][m][k] = seen_log(e, i,
					(1 - hides[m]) * (1 - hides[k])) - alone -
					s->one[i][m] - s->one[i][k];
	}
	return true;
}

static double standing(const struct fl_scale *s, const struct fl_column *const *columns,
		       const int *modes, size_t n)
{
	double sum = s->stands;
	for (size_t i = 0; i < n; i++)
		sum += columns[i]->stands[modes[i]];
	for (size_t w = 0; n == 2 && w < FL_EVIDENCE_WORDS; w++) {
		uint64_t bits = s->never.bits[w] & columns[0]->hidden->behind.bits[w] &
				columns[1]->hidden->behind.bits[w];
		for (size_t d = w * 64; bits; d++, bits >>= 1)
			if (bits & 1)
				sum += s->two[d][modes[0]][modes[1]];
	}
	return sum;
}

struct fl_scale *fl_scale_new(const struct fl_evidence *e, struct fl_region *region)
{
	struct fl_scale *s = fl_region_take(region, sizeof *s);
	if (!s)
		return NULL;
	s->e = e;
	s->region = region;
	return scale_standing(s) && fl_episodes_scale(s) && fl_loss_scale(s) ? s : NULL;
}

struct fl_column *fl_column_new(const struct fl_scale *s, const struct fl_hidden *hidden)
{
	struct fl_column *c = fl_region_take(s->region, sizeof *c);
	if (!c)
		return NULL;
	c->hidden = hidden;
	for (size_t i = 0; i < s->e->devices; i++)
		for (size_t m = 0; m < FL_SCALE_MODES; m++)
			if (fl_devices_has(&hidden->behind, i))
				c->stands[m] += s->one[i][m];
	fl_loss_column(s, c);
	return fl_episodes_column(s, c) ? c : NULL;
}

/* ---- hypotheses ---- */

/* One reading of a hypothesis: of the dead parts, own[i] is the episode with
 * which it died while we listened, -1: dead all along. */
static double reading(const struct fl_scale *s, const struct fl_fault *faults, size_t n,
		      const int own[2], bool at_most)
{
	const struct fl_column *columns[2], *unsteady[2], *drops[2];
	int modes[2];
	size_t unsteady_n = 0, drops_n = 0;
	double sum = 0;
	for (size_t i = 0; i < n; i++) {
		columns[i] = faults[i].column;
		modes[i] = own[i] >= 0 ? FL_DIED : (int)faults[i].mode;
		if (own[i] >= 0)
			sum += columns[i]->fits[own[i]];
		if (faults[i].mode == FL_DEAD)
			sum += own[i] >= 0 ? log(FL_DIED_NOW) : log1p(-FL_DIED_NOW);
		if (faults[i].mode == FL_UNSTEADY)
			unsteady[unsteady_n++] = columns[i];
		if (faults[i].mode == FL_DROPS)
			drops[drops_n++] = columns[i];
	}
	return sum + standing(s, columns, modes, n) + fl_loss_log(s, drops, drops_n) +
	       (at_most && unsteady_n == 2 ? fl_episodes_at_most(s, unsteady)
					   : fl_episodes_log(s, unsteady, unsteady_n, own));
}

static bool may_have_died_in(const struct fl_scale *s, const struct fl_fault *fault,
			     int episode)
{
	return episode < 0 || (fault->mode == FL_DEAD && s->e->episodes[episode].open);
}

/* All readings: each dead part was so all along, or died as an episode that is
 * open at the end; an episode has one cause, so never the same for two. */
static double explains(const struct fl_scale *s, const struct fl_fault *faults, size_t n,
		       bool at_most)
{
	const int none = -1;
	const int last[2] = {
		n > 0 && faults[0].mode == FL_DEAD ? (int)s->e->episode_count : 0,
		n > 1 && faults[1].mode == FL_DEAD ? (int)s->e->episode_count : 0,
	};
	double sum = -INFINITY;
	for (int a = none; a < last[0]; a++) {
		if (n > 0 && !may_have_died_in(s, &faults[0], a))
			continue;
		for (int b = none; b < last[1]; b++)
			if ((b != a || b == none) &&
			    (n < 2 || may_have_died_in(s, &faults[1], b)))
				sum = fl_log_add(sum, reading(s, faults, n,
						 (const int[2]){ a, b }, at_most));
	}
	return sum;
}

double fl_explains(const struct fl_scale *s, const struct fl_fault *faults, size_t n)
{
	return explains(s, faults, n, false);
}

double fl_explains_at_most(const struct fl_scale *s, const struct fl_fault faults[2])
{
	return explains(s, faults, 2, true);
}

double fl_explains_other(const struct fl_scale *s)
{
	double sum = 0;
	for (size_t i = 0; i < s->e->devices; i++)
		if (s->e->seen[i] != FL_SEEN_NOTHING)
			sum += log(s->e->seen[i] == FL_SEEN_NEVER ? FL_OTHER_HIDES
								  : FL_OTHER_SHOWS);
	return sum + fl_episodes_other(s) + fl_loss_log(s, NULL, 0);
}
