/* scale.h -- what evidence.c, standing states, episodes and loss of a
 * hypothesis share: the evidence with its logarithms taken once. */
#ifndef FL_DIAGNOSE_SCALE_H
#define FL_DIAGNOSE_SCALE_H

#include "diagnose/evidence.h"

/* A dead part that died while we listened hides nobody all along. */
enum { FL_SCALE_MODES = FL_MODES + 1, FL_DIED = FL_MODES };
enum { FL_SHARES = 4, FL_PAIR_SHARES = 5, FL_BACKGROUNDS = 6, FL_LOSSES = 8 };

struct fl_scale {
	const struct fl_evidence *e;
	struct fl_region *region;
	/* ln P(seen as it was) with nobody hiding it, and what one fault and
	 * two faults before it add to that. */
	double stands;
	double (*one)[FL_SCALE_MODES];
	double (*two)[FL_SCALE_MODES][FL_SCALE_MODES];
	struct fl_devices never;
	double episodes, by_chance;  /* how many; sum of ln pi_0             */
	double *chance;              /* ln pi_0 of each                      */
	/* ln P(loss) of each device. */
	struct fl_devices counted;
	double (*background)[FL_BACKGROUNDS], background_sum[FL_BACKGROUNDS];
	double (*drops)[FL_LOSSES];
	double (*both)[FL_LOSSES][FL_LOSSES];   /* two parts drop its frames */
};

struct fl_column {
	const struct fl_hidden *hidden;
	double stands[FL_SCALE_MODES];
	double *fits;                /* ln pi of each episode                */
	double *most;                /* ln of the most it gets beside another */
	double shares[FL_SHARES];    /* sums over all episodes               */
	double background[FL_BACKGROUNDS], drops[FL_LOSSES];
};

/* ln of a mean of exp(at[0..n-1]). */
double fl_log_mean(const double *at, size_t n);

/* chance_of_episodes.c */
bool   fl_episodes_scale(struct fl_scale *s);
bool   fl_episodes_column(const struct fl_scale *s, struct fl_column *c);
/* ln P(all episodes but `own`, each -1 or one that has its cause already |
 * these unsteady parts). */
double fl_episodes_log(const struct fl_scale *s, const struct fl_column *const *unsteady,
		       size_t n, const int own[2]);
double fl_episodes_at_most(const struct fl_scale *s,
			   const struct fl_column *const unsteady[2]);
/* The same of a cause in no plan: as many as an unsteady part's. */
double fl_episodes_other(const struct fl_scale *s);

/* chance_of_loss.c */
bool   fl_loss_scale(struct fl_scale *s);
void   fl_loss_column(const struct fl_scale *s, struct fl_column *c);
/* ln P(loss | these parts drop frames). */
double fl_loss_log(const struct fl_scale *s, const struct fl_column *const *drops,
		   size_t n);

#endif
