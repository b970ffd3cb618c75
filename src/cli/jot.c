/* jot.c -- note what somebody did or saw, beside what is heard meanwhile.
 *
 * It writes a file of its own, so it can be called while another terminal
 * listens; the two are merged by time when they are read.
 */
#include "cli/answer.h"
#include "cli/jot_acts.h"
#include "cli/visit_heard.h"
#include "visit/visit.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { VISIT, KIND, OPTIONS };
/* Another jot is done within milliseconds. */
enum { TRIES = 40, BETWEEN_MS = 50 };
enum { NOTE_ROOM = 4 << 20 };

const struct fl_option fl_jot_options[] = {
	[VISIT]   = { "--visit", "DIR", "the folder of this visit; else FAIRLEAD_VISIT, "
		      "else where you are" },
	[KIND]    = { "--kind", "KIND", "of the battery metered: lead or lithium" },
	[OPTIONS] = { NULL, NULL, NULL },
};

/* ---- what the visit knows ---- */

/* The visit's plan; a plan that cannot be read checks no name, and keeps
 * nobody from noting. */
static struct fl_judging *open_plan(const char *folder)
{
	char path[FL_VISIT_PATH];
	struct fl_error error = { 0 };
	static struct fl_plan_faults faults;
	struct fl_judging *j = fl_judge_new();
	if (!j)
		fputs("fairlead jot: no memory\n", stderr);
	else if (fl_visit_has(folder, FL_VISIT_PLAN) &&
		 fl_visit_path(folder, FL_VISIT_PLAN, path) &&
		 !fl_judge_plan(j, path, &faults, &error))
		fprintf(stderr, "fairlead jot: %s has a fault, so names are not checked\n",
			path);
	return j;
}

static void say_acts(struct fl_region *region, const struct fl_jotted *jotted,
		     const char *act)
{
	const char *form;
	if (jotted->wrong) {
		fprintf(stderr, "fairlead jot %s\n", jotted->wrong);
		return;
	}
	fputs("fairlead jot: there is no act \"", stderr);
	fl_put_clean(stderr, act);
	fputs("\". One of:\n", stderr);
	for (size_t i = 0; (form = fl_jot_form(i, region)); i++)
		fprintf(stderr, "  fairlead jot %s\n", form);
}

/* ---- noting and listing ---- */

static void put_line(const struct fl_act *act)
{
	char day[16], clock[FL_TIME_TEXT];
	const time_t s = (time_t)(act->at / FL_SECOND);
	struct tm tm = { 0 };
	(void)localtime_r(&s, &tm);
	(void)strftime(day, sizeof day, "%Y-%m-%d", &tm);
	printf("%s %s  %s%s%s%s%s\n", day, fl_time_clock(act->at, clock),
	       fl_hand_name(act->act), act->name[0] ? " " : "", act->name,
	       act->text[0] ? " " : "", act->text);
}

static struct fl_visit *open_hand(const char *folder, struct fl_error *error)
{
	const struct timespec between = { 0, BETWEEN_MS * FL_MILLISECOND };
	struct fl_visit *v = NULL;
	for (int i = 0; i < TRIES && !v; i++) {
		if (i)
			(void)nanosleep(&between, NULL);
		*error = (struct fl_error){ 0 };
		v = fl_visit_open(folder, FL_VISIT_HAND, NULL, error);
		if (!v && error->status != FL_FULL)
			break;
	}
	return v;
}

static enum fl_exit write_down(const char *folder, fl_time at,
			       const struct fl_jotted *jotted)
{
	struct fl_error error = { 0 };
	const struct fl_observation o = {
		.kind = FL_OBSERVED_HAND, .from = at, .to = at,
		.hand = { .act = jotted->act, .name = jotted->name, .text = jotted->text },
	};
	struct fl_visit *v = open_hand(folder, &error);
	if (v) {
		fl_visit_write(v, &o);
		if (fl_visit_close(v, &error)) {
			put_line(&(struct fl_act){ at, jotted->act, jotted->name,
						   jotted->text });
			return FL_EXIT_WELL;
		}
	}
	fl_say_error(&error);
	return FL_EXIT_USAGE;
}

static enum fl_exit note(const char *folder, const char *kind, int argc, char **argv)
{
	struct timespec now;
	struct fl_jotted jotted;
	enum fl_exit status = FL_EXIT_USAGE;
	/* The moment of the call, not of the lock. */
	clock_gettime(CLOCK_REALTIME, &now);
	const fl_time at = now.tv_sec * FL_SECOND + now.tv_nsec;
	struct fl_judging *j = open_plan(folder);
	struct fl_region *region = fl_region_new(NOTE_ROOM);
	if (j && region && fl_jot_read(fl_judge_planned(j), argc, argv, kind, region, &jotted))
		status = write_down(folder, at, &jotted);
	else if (j && region)
		say_acts(region, &jotted, argc ? argv[0] : "");
	fl_region_free(region);
	fl_judge_free(j);
	return status;
}

/* Two steps may end in the same reading. */
static bool wanted_before(const struct fl_answer *a, size_t step)
{
	for (size_t i = 0; i < step; i++)
		if (a->steps[i].then && strcmp(a->steps[i].then, a->steps[step].then) == 0)
			return true;
	return false;
}

/* What the answer of this visit would like to be told next. */
static void list_wanted(const struct fl_answer *a)
{
	bool told = false;
	for (size_t i = 0; a && i < a->step_count; i++) {
		const struct fl_answer_step *s = &a->steps[i];
		if (!s->then || wanted_before(a, i))
			continue;
		if (!told)
			puts("\nTell me next what you see or do:");
		told = true;
		printf("  fairlead %s\n      %s\n", s->then, s->action);
	}
}

/* Notes, and the marks of whoever listened, in the order of their times. */
static enum fl_exit list(const char *folder)
{
	struct fl_judging *j = open_plan(folder);
	if (!j)
		return FL_EXIT_USAGE;
	size_t n;
	const bool read = fl_hear_visit(j, folder);
	const struct fl_act *done = fl_ledger_acts(fl_judge_ledger(j), &n);
	fl_say_warnings(j);
	for (size_t i = 0; i < n; i++)
		put_line(&done[i]);
	if (n == FL_LEDGER_ACTS)
		puts("There may be more: no more than these are kept apart.");
	if (n == 0 && read)
		puts("Nothing was noted yet.");
	list_wanted(read ? fl_judge_answer(j) : NULL);
	fl_judge_free(j);
	return read ? FL_EXIT_WELL : FL_EXIT_USAGE;
}

/* The folder of the visit; NULL: none is meant, which was said. */
static const char *folder_of(const char *named)
{
	const char *folder = named ? named : getenv("FAIRLEAD_VISIT");
	if (folder && folder[0] && access(folder, F_OK) == 0)
		return folder;
	if (folder && folder[0]) {   /* a word mistyped makes no visit */
		fprintf(stderr, "fairlead jot: %s: there is no such folder\n", folder);
		return NULL;
	}
	if (fl_visit_has(".", FL_VISIT_JOURNAL) || fl_visit_has(".", FL_VISIT_PLAN))
		return ".";
	fputs("fairlead jot: there is no visit here; go to its folder, or name it with "
	      "--visit or FAIRLEAD_VISIT\n", stderr);
	return NULL;
}

enum fl_exit fl_jot_command(const struct fl_command *command, int argc, char **argv)
{
	const char *values[OPTIONS] = { NULL };
	enum fl_exit status = FL_EXIT_USAGE;
	if (!fl_options(command, &argc, argv, values, &status))
		return status;
	const char *folder = folder_of(values[VISIT]);
	if (!folder)
		return FL_EXIT_USAGE;
	return argc ? note(folder, values[KIND], argc, argv) : list(folder);
}
