/* learn.h -- what was heard, as devices for a plan.
 *
 * Shapes  one learnt device a station, in the order they were first heard;
 *         `same` tells which device of the standing plan it is, FL_NONE none
 * Owns    all in the region given
 * Errors  false: the region is full
 */
#ifndef FL_DIAGNOSE_LEARN_H
#define FL_DIAGNOSE_LEARN_H

#include "ledger/ledger.h"
#include "plan/write.h"

struct fl_lesson {
	struct fl_learnt *learnt;
	int   *same;
	size_t n;
};

/* `plan` may be NULL: there is none yet. */
bool fl_learn(const struct fl_ledger *ledger, const struct fl_plan *plan,
	      struct fl_region *region, struct fl_lesson *out);

#endif
