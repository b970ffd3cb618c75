/* jot.c -- note what somebody did or saw, beside what is heard meanwhile.
 *
 * It writes a file of its own, so it can be called while another terminal
 * listens; the two are merged by time when they are read.
 */
#include "cli/answer.h"
#include "cli/visit_heard.h"
#include "base/text.h"
#include "visit/visit.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { VISIT, OPTIONS };
/* Another jot is done within milliseconds. */
enum { TRIES = 40, BETWEEN_MS = 50 };

const struct fl_option fl_jot_options[] = {
	[VISIT]   = { "--visit", "DIR", "the folder of this visit; else FAIRLEAD_VISIT, "
		      "else where you are" },
	[OPTIONS] = { NULL, NULL, NULL },
};

/* ---- the acts ---- */

static bool any_words(const char *text)
{
	return text[0] != '\0';
}

static bool on_or_off(const char *text)
{
	return strcmp(text, "on") == 0 || strcmp(text, "off") == 0;
}

static const struct act {
	enum fl_hand act;
	const char  *words;          /* what follows its name                */
	bool (*fits)(const char *text);
} acts[] = {
	{ FL_HAND_MARK, "TEXT...", any_words },
	{ FL_HAND_WORK, "on|off",  on_or_off },
};
enum { ACTS = sizeof acts / sizeof acts[0] };

/* The arguments from the second on as one text, cleaned and cut. */
static void join(int argc, char **argv, char out[FL_TEXT_MAX + 1])
{
	struct fl_text all;
	out[0] = '\0';
	if (!fl_text_init(&all, 1 << 20))
		return;
	for (int i = 1; i < argc; i++)
		fl_text_add(&all, "%s%s", i > 1 ? " " : "", argv[i]);
	fl_text_clean((struct fl_slice){ (const uint8_t *)all.at, all.n }, out);
	fl_text_close(&all);
}

static const struct act *act_of(int argc, char **argv, char text[FL_TEXT_MAX + 1])
{
	join(argc, argv, text);
	for (int i = 0; i < ACTS; i++)
		if (strcmp(argv[0], fl_hand_name(acts[i].act)) == 0 && acts[i].fits(text))
			return &acts[i];
	fputs("fairlead jot: what was done? One of:\n", stderr);
	for (int i = 0; i < ACTS; i++)
		fprintf(stderr, "  fairlead jot %s %s\n", fl_hand_name(acts[i].act),
			acts[i].words);
	return NULL;
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

static enum fl_exit note(const char *folder, int argc, char **argv)
{
	struct timespec now;
	char text[FL_TEXT_MAX + 1];
	struct fl_error error = { 0 };
	/* The moment of the call, not of the lock. */
	clock_gettime(CLOCK_REALTIME, &now);
	const struct act *act = act_of(argc, argv, text);
	if (!act)
		return FL_EXIT_USAGE;
	const fl_time at = now.tv_sec * FL_SECOND + now.tv_nsec;
	const struct fl_observation o = {
		.kind = FL_OBSERVED_HAND, .from = at, .to = at,
		.hand = { .act = act->act, .name = "", .text = text },
	};
	struct fl_visit *v = open_hand(folder, &error);
	if (v) {
		fl_visit_write(v, &o);
		if (fl_visit_close(v, &error)) {
			put_line(&(struct fl_act){ at, act->act, "", text });
			return FL_EXIT_WELL;
		}
	}
	fl_say_error(&error);
	return FL_EXIT_USAGE;
}

/* Notes, and the marks of whoever listened, in the order of their times. */
static enum fl_exit list(const char *folder)
{
	struct fl_judging *j = fl_judge_new();
	if (!j) {
		fputs("fairlead jot: no memory\n", stderr);
		return FL_EXIT_USAGE;
	}
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
	return argc == 0 ? list(folder) : note(folder, argc, argv);
}
