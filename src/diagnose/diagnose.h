/* diagnose.h -- ledger and plan in, an answer out: a pure function.
 *
 * Owns    the answer and all its texts lie in the region given
 * Errors  NULL: the region is full
 */
#ifndef FL_DIAGNOSE_DIAGNOSE_H
#define FL_DIAGNOSE_DIAGNOSE_H

#include "diagnose/answer.h"
#include "ledger/ledger.h"
#include "plan/plan.h"

/* `plan` may be NULL: none was given. `warnings` come from the inputs. */
struct fl_answer *fl_diagnose(const struct fl_ledger *ledger,
			      const struct fl_plan *plan,
			      struct fl_texts warnings,
			      struct fl_region *region);
/* Exit status of design: 0 nothing wrong, 1 something is wrong on the boat,
 * 3 nothing was heard at all. */
int fl_answer_status(const struct fl_answer *answer);

#endif
