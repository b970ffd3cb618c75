/* learn.c -- a plan out of captures, new or added to one that stands. */
#include "cli/cli.h"
#include "cli/judge.h"
#include "diagnose/learn.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { INTO, AT, OPTIONS };
enum { PLAN_ROOM = 1 << 20, LESSON_ROOM = 16 << 20 };

const struct fl_option fl_learn_options[] = {
	[INTO]    = { "--into", "FILE", "the plan to make or to add to; else standard output" },
	[AT]      = { "--at", "PLACE", "where the laptop was joined: \"lower switch 5\"" },
	[OPTIONS] = { NULL, NULL, NULL },
};

/* Beside `path` under a temporary name, then renamed: whoever looks sees the
 * old plan or the new one, whole. */
static bool replace(const char *path, const char *text, size_t n)
{
	char *beside = NULL;
	struct stat was;
	const mode_t mode = stat(path, &was) == 0 ? was.st_mode & 0777 : 0644;
	size_t room = strlen(path) + sizeof ".XXXXXX";
	beside = malloc(room);
	if (!beside)
		return false;
	(void)snprintf(beside, room, "%s.XXXXXX", path);
	const int fd = mkstemp(beside);
	FILE *out = fd < 0 ? NULL : fdopen(fd, "w");
	bool done = out && fwrite(text, 1, n, out) == n && fflush(out) == 0 &&
		    fchmod(fd, mode) == 0 && fsync(fd) == 0;
	if (out)
		done &= fclose(out) == 0;
	done = done && rename(beside, path) == 0;
	if (!done) {
		fprintf(stderr, "fairlead learn: %s: not written (%s)\n", path,
			strerror(errno));
		if (fd >= 0)
			unlink(beside);
	}
	free(beside);
	return done;
}

static bool put_plan(const char *path, const char *standing, size_t standing_n,
		     const struct fl_text *more)
{
	struct fl_text whole;
	if (!path)
		return fl_put(more->at, more->n);
	if (!fl_text_init(&whole, 2 * PLAN_ROOM))
		return false;
	fl_text_add(&whole, "%.*s", (int)standing_n, standing);
	const bool same = whole.n == standing_n;   /* no NUL within */
	fl_text_add(&whole, "%s", more->at);
	const bool done = same && !whole.full && replace(path, whole.at, whole.n);
	fl_text_close(&whole);
	return done;
}

static bool write_lesson(struct fl_judging *j, const char *into, const char *standing,
			 size_t standing_n)
{
	const struct fl_plan *plan = fl_judge_planned(j);
	struct fl_region *region = fl_region_new(LESSON_ROOM);
	struct fl_text out = { 0 };
	struct fl_lesson lesson;
	bool done = region && fl_text_init(&out, PLAN_ROOM) &&
		    fl_learn(fl_judge_ledger(j), plan, region, &lesson);
	done = done && (plan
		? fl_plan_write_more(&out, plan, standing, standing_n, lesson.learnt,
				     lesson.same, lesson.n)
		: fl_plan_write(&out, lesson.learnt, lesson.n));
	if (!done)
		fputs("fairlead learn: no memory for the plan\n", stderr);
	else if (plan && out.n == 0)
		fprintf(stderr, "%s: nothing to add\n", into);
	else
		done = put_plan(into, standing, standing_n, &out);
	if (done && into && out.n)
		fprintf(stderr, "%s: %zu stations heard; fill in the wiring\n", into, lesson.n);
	fl_text_close(&out);
	fl_region_free(region);
	return done;
}

/* The plan that stands at `path`, if one does. False: it has faults. */
static bool take_standing(struct fl_judging *j, const char *path, char **text, size_t *n)
{
	static struct fl_plan_faults faults;
	struct fl_error error = { 0 };
	if (!path || access(path, F_OK) != 0)
		return true;
	if (fl_judge_plan_text(j, path, text, n, &faults, &error))
		return true;
	if (error.status != FL_OK)
		fl_say_error(&error);
	fl_say_faults(path, &faults);
	return false;
}

static enum fl_exit learn(struct fl_judging *j, const char **values, int argc, char **argv)
{
	static struct fl_plan_faults faults;
	char *standing = NULL;
	size_t n = 0;
	enum fl_exit status = FL_EXIT_USAGE;
	if (!take_standing(j, values[INTO], &standing, &n))
		goto out;
	if (values[AT] && !fl_judge_at(j, values[AT], &faults)) {
		fl_say_faults("--at", &faults);
		goto out;
	}
	const size_t opened = fl_judge_listen(j, (const char *const *)argv, (size_t)argc);
	const struct fl_texts w = fl_judge_warnings(j);
	for (size_t i = 0; i < w.n; i++)
		fprintf(stderr, "fairlead: %s\n", w.at[i]);
	status = opened == 0 ? FL_EXIT_SILENT
	       : write_lesson(j, values[INTO], standing, n) ? FL_EXIT_WELL : FL_EXIT_USAGE;
out:
	free(standing);
	return status;
}

enum fl_exit fl_learn_command(const struct fl_command *command, int argc, char **argv)
{
	const char *values[OPTIONS] = { NULL };
	enum fl_exit status = FL_EXIT_USAGE;
	if (!fl_options(command, &argc, argv, values, &status))
		return status;
	if (argc == 0) {
		fputs("fairlead learn: give at least one capture, or - for standard "
		      "input\n", stderr);
		return FL_EXIT_USAGE;
	}
	struct fl_judging *j = fl_judge_new();
	if (!j) {
		fputs("fairlead learn: no memory\n", stderr);
		return FL_EXIT_SILENT;
	}
	status = learn(j, values, argc, argv);
	fl_judge_free(j);
	return status;
}
