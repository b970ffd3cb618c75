/* named.h -- the things of a plan by the names that a person types.
 *
 * Letter case aside and blanks folded, as in the plan itself. A run may be
 * called by its label or by the device at its end; a port by its number alone
 * where only one switch can be meant.
 *
 * Owns    texts lie in the region given, or in the plan's
 */
#ifndef FL_PLAN_NAMED_H
#define FL_PLAN_NAMED_H

#include "plan/plan.h"

enum fl_named_kind {
	FL_NAMED_DEVICE = 1, FL_NAMED_SWITCH = 2, FL_NAMED_RUN = 4,
	FL_NAMED_FEED = 8, FL_NAMED_JOINT = 16, FL_NAMED_PORT = 32,
};

struct fl_named {
	enum fl_named_kind kind;
	int index;               /* device, switch, run or feed; the run of a
				  * joint                                     */
	struct fl_place place;   /* PORT                                      */
	const char *name;        /* as the plan has it                        */
};

/* Find `text` among these kinds, the first kind of the list above that has
 * it. False: the plan has none. */
bool fl_plan_named(const struct fl_plan *plan, const char *text, unsigned kinds,
		   struct fl_region *region, struct fl_named *out);
/* What would be right instead: "did you mean 'arch radar'?", or some names. */
const char *fl_plan_instead(const struct fl_plan *plan, const char *text,
			    unsigned kinds, struct fl_region *region);
/* The shortest that names this run or port again: "W7", "3". */
const char *fl_plan_run_handle(const struct fl_plan *plan, int run);
const char *fl_plan_port_handle(const struct fl_plan *plan, struct fl_place port,
				struct fl_region *region);

#endif
