/* write.h -- a plan from what was heard, or added to one that stands.
 *
 * Errors  false: the text's ceiling was reached
 */
#ifndef FL_PLAN_WRITE_H
#define FL_PLAN_WRITE_H

#include "plan/plan.h"

/* One device as learnt; texts are cleaned already. */
struct fl_learnt {
	char        name[64];          /* what the plan will call it         */
	const char *kind;              /* NULL: not known                    */
	const char *announced;         /* the name it announces, NULL        */
	const char *service, *software, *maker, *model;   /* NULL: not known */
	const struct fl_mac *macs;
	size_t      mac_count;
	struct fl_ip address;          /* none: not known or not stable      */
	fl_time     cadence;           /* 0: none                            */
	bool        cadence_to_group;
};

/* A whole new plan: [segment], one [device] each, and a [wiring] section
 * whose lines are blanks to fill in, behind `;`, with a line that says how. */
bool fl_plan_write(struct fl_text *out, const struct fl_learnt *learnt,
		   size_t n);
/* The text to put behind the `n` octets of a plan that stands, so that not
 * one octet of it changes: only devices and keys it does not have. For a
 * device that the plan has (matched by `same`, its index or FL_NONE, one for
 * each learnt device) the missing keys are written as a second section of
 * the same name, which the reader joins to the first. Writes nothing where
 * there is nothing to add. */
bool fl_plan_write_more(struct fl_text *out, const struct fl_plan *plan,
			const char *standing, size_t n,
			const struct fl_learnt *learnt, const int *same,
			size_t count);

#endif
