/* library.c -- the library's face over the joined stages. */
#include <fairlead/fairlead.h>

#include "cli/judge.h"
#include "render/render.h"

#include <stdlib.h>
#include <string.h>

enum { OUTPUT_ROOM = 64 << 20 };

static enum fl_status take(struct fl_judging *j, const char *plan, const char *place)
{
	struct fl_plan_faults *faults = calloc(1, sizeof *faults);
	struct fl_error error = { 0 };
	enum fl_status status = faults ? FL_OK : FL_NO_MEMORY;
	if (faults && plan && !fl_judge_plan(j, plan, faults, &error))
		status = error.status != FL_OK ? FL_SYSTEM : FL_MALFORMED;
	else if (faults && place && !fl_judge_at(j, place, faults))
		status = FL_MALFORMED;
	free(faults);
	return status;
}

static enum fl_status put(struct fl_judging *j, const char *output, char **text)
{
	struct fl_text out;
	const struct fl_answer *answer = fl_judge_answer(j);
	if (!answer || !fl_text_init(&out, OUTPUT_ROOM))
		return FL_NO_MEMORY;
	if (fl_render(answer, output, 0, &out)) {
		*text = out.at;
		return FL_OK;
	}
	const bool full = out.full;
	fl_text_close(&out);
	return full ? FL_NO_MEMORY : FL_UNSUPPORTED;
}

enum fl_status fl_judge_captures(const char *const *paths, size_t n, const char *plan,
				 const char *place, const char *output, char **text)
{
	*text = NULL;
	struct fl_judging *j = fl_judge_new();
	if (!j)
		return FL_NO_MEMORY;
	enum fl_status status = take(j, plan, place);
	if (status == FL_OK && fl_judge_listen(j, paths, n) == 0)
		status = FL_SHORT;
	if (status == FL_OK)
		status = put(j, output, text);
	fl_judge_free(j);
	return status;
}
