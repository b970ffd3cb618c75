/* judge.h -- the stages joined: captures and a plan in, an answer out.
 *
 * The one part of cli/ that the library holds too: it neither prints, exits
 * nor reads the command line.
 *
 * Owns    a judging owns its ledger, plan and answer until fl_judge_free()
 * Errors  each input that cannot be read, or is cut, becomes a warning of the
 *         answer; only when none could be read is there no answer
 */
#ifndef FL_CLI_JUDGE_H
#define FL_CLI_JUDGE_H

#include "base/error.h"
#include "diagnose/answer.h"
#include "ledger/ledger.h"
#include "plan/plan.h"

#include <stdio.h>

struct fl_judging;

struct fl_judging *fl_judge_new(void);
void fl_judge_free(struct fl_judging *judging);

/* Read a plan file. False: faults, or the file could not be read (error). */
bool fl_judge_plan(struct fl_judging *judging, const char *path,
		   struct fl_plan_faults *faults, struct fl_error *error);
/* The same, and the file's octets too, for the caller to free(). */
bool fl_judge_plan_text(struct fl_judging *judging, const char *path, char **text,
			size_t *n, struct fl_plan_faults *faults,
			struct fl_error *error);
/* A plan of this one device, in place of a file or added to none. */
void fl_judge_missing(struct fl_judging *judging, const char *name);
/* Where the laptop was joined. False and a fault: no place of the plan. */
bool fl_judge_at(struct fl_judging *judging, const char *place,
		 struct fl_plan_faults *faults);
/* Write every observation to `out` as a journal too. */
void fl_judge_journal(struct fl_judging *judging, FILE *out);
/* Listen to n captures or journals, merged by time. How many could be read,
 * at least in part. */
size_t fl_judge_listen(struct fl_judging *judging, const char *const *paths, size_t n);
/* Where whoever listens live hands its observations. */
struct fl_observer fl_judge_observer(struct fl_judging *judging);
const char *fl_judge_place(const struct fl_judging *judging);
/* Check sum of the plan's text; NULL: there is no plan. */
const char *fl_judge_plan_sum(const struct fl_judging *judging);
/* The answer; NULL: no memory. */
const struct fl_answer *fl_judge_answer(struct fl_judging *judging);
const struct fl_ledger *fl_judge_ledger(const struct fl_judging *judging);
const struct fl_plan *fl_judge_planned(const struct fl_judging *judging);
/* Sentences about the inputs: not read, cut, drops, link types not read. */
struct fl_texts fl_judge_warnings(const struct fl_judging *judging);
/* False: the journal could not be written whole. */
bool fl_judge_journal_written(const struct fl_judging *judging);

#endif
