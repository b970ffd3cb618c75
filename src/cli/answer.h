/* answer.h -- what every command does that ends in an answer: takes the plan
 * its options name, and puts the answer out.
 */
#ifndef FL_CLI_ANSWER_H
#define FL_CLI_ANSWER_H

#include "cli/cli.h"
#include "cli/judge.h"

/* What the options say of the plan; NULL where not given. */
struct fl_plan_wanted {
	const char *command;         /* "read", for messages                 */
	const char *plan, *missing, *at;
	char  **text;                /* the plan's octets, for the caller to
				      * free(); NULL: not wanted             */
	size_t *octets;
};

/* False: the plan or the call was wrong, which was said. */
bool fl_take_plan(struct fl_judging *judging, const struct fl_plan_wanted *wanted);
/* Put the answer on standard output as this output ("text", "json"). */
enum fl_exit fl_put_answer(struct fl_judging *judging, const char *command,
			   const char *output);
void fl_say_warnings(const struct fl_judging *judging);

#endif
