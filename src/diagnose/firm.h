/* firm.h -- how long listening must last before a silence means something.
 *
 * Source  the silence rule (stats/silence.h), with ten beats heard taken as
 *         given: the planned cadence was heard on another day
 */
#ifndef FL_DIAGNOSE_FIRM_H
#define FL_DIAGNOSE_FIRM_H

#include "plan/plan.h"

/* ln of the chance that a device which is there, and has this planned cadence,
 * is not heard once in `seconds` of listening. */
double fl_firm_log(const struct fl_device *device, double seconds);
/* Listening time in which every device with a planned cadence that no switch
 * holds back is heard or absent, whatever becomes of the boat. *unknown
 * counts the devices of which that cannot be said. 0: it is said of none. */
fl_time fl_firm_within(const struct fl_plan *plan, size_t *unknown);

#endif
