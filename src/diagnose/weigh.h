/* weigh.h -- the evidence weighed: no fault, every part alone, every two
 * parts together, a cause in no plan. Evidence and odds in, chances out.
 *
 * Shapes  parts are the numbers of the list given
 * Owns    all in the region given
 * Errors  NULL: the region is full
 * Ceiling pairs only of the FL_WEIGH_COLUMNS likeliest sets of parts that hide
 *         the same; boats have a tenth of it
 */
#ifndef FL_DIAGNOSE_WEIGH_H
#define FL_DIAGNOSE_WEIGH_H

#include "base/region.h"
#include "diagnose/evidence.h"

enum { FL_WEIGH_COLUMNS = 512, FL_NO_PART = -1 };

struct fl_candidate {
	struct fl_hidden hidden;
	double odds[FL_MODES];       /* in thousandths; 0: cannot be so      */
	int    group;                /* of those that sound the same, from 0 */
};

/* These parts, in whatever modes. */
struct fl_hypothesis {
	int    parts[2];             /* the second FL_NO_PART: alone         */
	double p;
};

struct fl_posterior {
	double none, other, rest;    /* rest: of all that are not listed     */
	double *part, *group;        /* that it is one at fault; or holds it */
	struct fl_hypothesis *list;  /* each above FL_LISTED; the likeliest
				      * first                                */
	size_t n;
	size_t weighed, pruned;      /* pairs of columns and modes           */
};

#define FL_LISTED 2e-3

/* prune: leave out pairs that cannot matter, see weigh.c. */
struct fl_posterior *fl_weigh(const struct fl_evidence *e,
			      const struct fl_candidate *parts, size_t n,
			      bool prune, struct fl_region *region);

#endif
