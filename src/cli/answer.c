#include "cli/answer.h"

#include "diagnose/diagnose.h"
#include "render/layout.h"
#include "render/render.h"

#include <stdlib.h>
#include <sys/ioctl.h>
#include <unistd.h>

enum { OUTPUT_ROOM = 64 << 20 };

static bool read_plan(struct fl_judging *j, const struct fl_plan_wanted *w,
		      struct fl_plan_faults *faults, struct fl_error *error)
{
	return w->text ? fl_judge_plan_text(j, w->plan, w->text, w->octets, faults, error)
		       : fl_judge_plan(j, w->plan, faults, error);
}

bool fl_take_plan(struct fl_judging *j, const struct fl_plan_wanted *w)
{
	static struct fl_plan_faults faults;
	struct fl_error error = { 0 };
	if (w->plan && w->missing) {
		fprintf(stderr, "fairlead %s: give --plan or --missing, not both\n",
			w->command);
		return false;
	}
	if (w->plan && !read_plan(j, w, &faults, &error)) {
		if (error.status != FL_OK)
			fl_say_error(&error);
		fl_say_faults(w->plan, &faults);
		return false;
	}
	if (w->missing)
		fl_judge_missing(j, w->missing);
	if (w->at && !fl_judge_at(j, w->at, &faults)) {
		fl_say_faults("--at", &faults);
		return false;
	}
	return true;
}

/* What COLUMNS says, as of POSIX's environment variables, else the terminal. */
static size_t columns(void)
{
	const char *told = getenv("COLUMNS");
	char *end = NULL;
	struct winsize size = { 0 };
	const long n = told && *told ? strtol(told, &end, 10) : 0;
	if (n > 0 && n < FL_COLUMNS && *end == '\0')
		return (size_t)n;
	if (n <= 0 && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0)
		return size.ws_col;
	return 0;
}

static bool put(const struct fl_answer *answer, const char *command, const char *output)
{
	struct fl_text out;
	if (!fl_text_init(&out, OUTPUT_ROOM))
		return false;
	const bool whole = fl_render(answer, output, columns(), &out);
	const bool done = whole && fl_put(out.at, out.n);
	fl_text_close(&out);
	if (!whole)
		fprintf(stderr, "fairlead %s: no memory for the answer\n", command);
	return done;
}

enum fl_exit fl_put_answer(struct fl_judging *j, const char *command, const char *output)
{
	const struct fl_answer *answer = fl_judge_answer(j);
	if (!answer) {
		fprintf(stderr, "fairlead %s: no memory for the answer\n", command);
		return FL_EXIT_SILENT;
	}
	return put(answer, command, output) ? (enum fl_exit)fl_answer_status(answer)
					    : FL_EXIT_SILENT;
}

static void say(const char *sentence)
{
	fputs("fairlead: ", stderr);
	fl_put_clean(stderr, sentence);
	fputc('\n', stderr);
}

void fl_say_warnings(const struct fl_judging *j)
{
	const struct fl_texts w = fl_judge_warnings(j);
	for (size_t i = 0; i < w.n; i++)
		say(w.at[i]);
}
