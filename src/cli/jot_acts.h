/* jot_acts.h -- what can be noted, and the words of a call made into a note.
 *
 * Names are held against the plan of the visit; where there is none they are
 * kept as they were given.
 */
#ifndef FL_CLI_JOT_ACTS_H
#define FL_CLI_JOT_ACTS_H

#include "event/observation.h"
#include "plan/plan.h"

struct fl_jotted {
	enum fl_hand act;
	const char *name, *text;     /* as the journal holds them            */
	const char *wrong;           /* what would be right, where it is not */
};

/* False: no such act, or `wrong` tells what is wrong with it. `chemistry` is
 * "lead", "lithium" or NULL. */
bool fl_jot_read(const struct fl_plan *plan, int argc, char **argv,
		 const char *chemistry, struct fl_region *region, struct fl_jotted *out);
/* "meter WHERE VOLTS ..."; NULL past the last. */
const char *fl_jot_form(size_t i, struct fl_region *region);

#endif
