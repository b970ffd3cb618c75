/* caused.h -- is what the simulator broke among the parts that are named? */
#ifndef FL_TESTS_DIAGNOSE_CAUSED_H
#define FL_TESTS_DIAGNOSE_CAUSED_H

#include "diagnose/answer.h"

#include <sim.h>
#include <stdio.h>
#include <string.h>

/* In one of the first `groups` sets of equals. */
static inline bool is_among_first(const struct fl_answer *a, const struct sim_cause *cause,
				  int groups)
{
	char part[300];
	const bool whole = strncmp(cause->part, "run ", 4) == 0 ||
			   strncmp(cause->part, "port ", 5) == 0;
	snprintf(part, sizeof part, "%s%s%s", whole ? "" : cause->kind, whole ? "" : " ",
		 cause->part);
	for (size_t i = 0; i < a->suspect_count; i++) {
		const struct fl_answer_suspect *s = &a->suspects[i];
		if (s->group >= groups)
			continue;
		if (strcmp(s->part, part) == 0)
			return true;
		for (size_t k = 0; k < s->equals.n; k++)
			if (strcmp(s->equals.at[k], part) == 0)
				return true;
	}
	return false;
}

#endif
