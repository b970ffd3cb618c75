/* firm.h -- how long listening must last before a silence means something.
 *
 * Source  the silence rule (stats/silence.h) over the plan's cadences
 */
#ifndef FL_DIAGNOSE_FIRM_H
#define FL_DIAGNOSE_FIRM_H

#include "plan/plan.h"

/* Time within which every planned device with a cadence, that no switch can
 * hold back, is heard or absent, whatever the boat does: the slowest cadence
 * times the beats needed, and its tolerance. *unknown counts the devices of
 * which nothing can be promised. 0: of none can it. */
fl_time fl_firm_within(const struct fl_plan *plan, size_t *unknown);

#endif
