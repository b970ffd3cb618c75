/* read.c -- the answer out of captures or journals. */
#include "cli/answer.h"
#include "visit/visit.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

enum { VISIT, PLAN, MISSING, AT, JSON, JOURNAL, OPTIONS };
enum { VISIT_PATHS = 2 };

const struct fl_option fl_read_options[] = {
	[VISIT]   = { "--visit", "DIR", "the plan and the journals of this folder" },
	[PLAN]    = { "--plan", "FILE", "hold what is heard against this plan" },
	[MISSING] = { "--missing", "NAME", "no plan: this one device is missing" },
	[AT]      = { "--at", "PLACE", "where the laptop was joined: \"lower switch 5\"" },
	[JSON]    = { "--json", NULL, "one object for programs in place of text" },
	[JOURNAL] = { "--journal", "FILE", "write down all that the answer rests on" },
	[OPTIONS] = { NULL, NULL, NULL },
};

static enum fl_exit judge(struct fl_judging *j, const char **values,
			  const char *const *paths, size_t n)
{
	FILE *journal = NULL;
	if (values[JOURNAL]) {
		journal = fopen(values[JOURNAL], "wxe");
		if (!journal) {
			fprintf(stderr, "fairlead: %s: cannot be written (%s)\n",
				values[JOURNAL], strerror(errno));
			return FL_EXIT_USAGE;
		}
		fl_judge_journal(j, journal);
	}
	const size_t opened = fl_judge_listen(j, paths, n);
	bool written = fl_judge_journal_written(j);
	if (journal && (fclose(journal) != 0 || !written))
		fprintf(stderr, "fairlead: %s: not written whole (%s)\n",
			values[JOURNAL], strerror(errno));
	if (opened == 0) {
		fl_say_warnings(j);
		return FL_EXIT_SILENT;
	}
	return fl_put_answer(j, "read", values[JSON] ? "json" : "text");
}

/* What a visit adds to the call. Its plan is that of the folder unless the call
 * names another; its journal is always looked for, so that its lack is told. */
struct visit { char plan[FL_VISIT_PATH], journal[FL_VISIT_PATH], hand[FL_VISIT_PATH]; };

static bool take_visit(struct visit *v, const char **values, const char **paths, size_t *n)
{
	const char *folder = values[VISIT];
	if (!fl_visit_path(folder, FL_VISIT_PLAN, v->plan) ||
	    !fl_visit_path(folder, FL_VISIT_JOURNAL, v->journal) ||
	    !fl_visit_path(folder, FL_VISIT_HAND, v->hand)) {
		fputs("fairlead read: the name of the folder is too long\n", stderr);
		return false;
	}
	if (!values[PLAN] && !values[MISSING] && fl_visit_has(folder, FL_VISIT_PLAN))
		values[PLAN] = v->plan;
	paths[(*n)++] = v->journal;
	if (fl_visit_has(folder, FL_VISIT_HAND))
		paths[(*n)++] = v->hand;
	return true;
}

static enum fl_exit judge_all(const char **values, const char *const *paths, size_t n)
{
	struct fl_judging *j = fl_judge_new();
	if (!j) {
		fputs("fairlead read: no memory\n", stderr);
		return FL_EXIT_SILENT;
	}
	const struct fl_plan_wanted wanted = {
		"read", values[PLAN], values[MISSING], values[AT], NULL, NULL,
	};
	const enum fl_exit status = fl_take_plan(j, &wanted) ? judge(j, values, paths, n)
							 : FL_EXIT_USAGE;
	fl_judge_free(j);
	return status;
}

enum fl_exit fl_read_command(const struct fl_command *command, int argc, char **argv)
{
	const char *values[OPTIONS] = { NULL };
	enum fl_exit status = FL_EXIT_USAGE;
	struct visit visit;
	size_t n = 0;
	if (!fl_options(command, &argc, argv, values, &status))
		return status;
	if (argc == 0 && !values[VISIT]) {
		fputs("fairlead read: give at least one capture, - for standard input, or "
		      "--visit\n", stderr);
		return FL_EXIT_USAGE;
	}
	const char **paths = calloc((size_t)argc + VISIT_PATHS, sizeof *paths);
	if (!paths) {
		fputs("fairlead read: no memory\n", stderr);
		return FL_EXIT_SILENT;
	}
	if (!values[VISIT] || take_visit(&visit, values, paths, &n)) {
		for (int i = 0; i < argc; i++)
			paths[n++] = argv[i];
		status = judge_all(values, paths, n);
	}
	free(paths);
	return status;
}
