/* test_learn.c -- what is learnt from a boat finds nothing wrong in it, and
 * finds out the one device whose frames are then taken away. */
#define _GNU_SOURCE   /* strcasestr */
#include "test.h"

#include "diagnose/diagnose.h"
#include "diagnose/learn.h"
#include "source/capfile.h"
#include "tally/tally.h"

#include <glob.h>

/* Between file and tally: the frames of one station are left out. */
struct filter {
	struct fl_frame_sink to;
	struct fl_mac without;
};

static void pass_frames(void *context, const struct fl_frame *frames, size_t n)
{
	const struct filter *f = context;
	for (size_t i = 0; i < n; i++)
		if (frames[i].captured < 12 ||
		    memcmp(frames[i].at + 6, f->without.b, 6) != 0)
			f->to.frames(f->to.context, &frames[i], 1);
}

static void pass_ear(void *context, const struct fl_ear_event *event)
{
	const struct filter *f = context;
	f->to.ear(f->to.context, event);
}

static struct fl_ledger *hear(const char *path, struct fl_mac without)
{
	struct fl_ledger *ledger = fl_ledger_new();
	struct fl_tally *tally = fl_tally_new("x", NULL, fl_ledger_observer(ledger));
	struct filter filter = { fl_tally_sink(tally), without };
	struct fl_error error = { 0 };
	struct fl_capfile *file = fl_capfile_open(path,
		&(struct fl_frame_sink){ &filter, pass_frames, pass_ear }, &error);
	assert_non_null(file);
	while (fl_capfile_pump(file, 256) == FL_OK)
		;
	assert_int_equal(fl_capfile_summary(file)->error.status, FL_OK);
	fl_capfile_close(file);
	fl_tally_end(tally);
	fl_tally_free(tally);
	return ledger;
}

static struct fl_plan *learn(const struct fl_ledger *ledger, struct fl_region *region)
{
	static struct fl_plan_faults faults;
	struct fl_lesson lesson;
	struct fl_text text;
	assert_true(fl_text_init(&text, 1 << 20));
	assert_true(fl_learn(ledger, NULL, region, &lesson));
	assert_true(fl_plan_write(&text, lesson.learnt, lesson.n));
	struct fl_plan *plan = fl_plan_read(text.at, text.n, region, &faults);
	for (size_t i = 0; !plan && i < faults.n; i++)
		print_error("%d: %s; %s\n", faults.at[i].line, faults.at[i].text,
			    faults.at[i].remedy);
	assert_non_null(plan);
	fl_text_close(&text);
	return plan;
}

static bool is_missing(enum fl_state state)
{
	return state == FL_STATE_ABSENT || state == FL_STATE_SILENT;
}

/* All but one are heard as before; the one is missing if it kept a beat, and
 * not heard if it did not. */
static void take_away(const char *path, const struct fl_plan *plan, size_t gone)
{
	const struct fl_device *d = &plan->devices[gone];
	struct fl_region *region = fl_region_new(64 << 20);
	struct fl_ledger *ledger = hear(path, d->macs[0]);
	const struct fl_answer *a = fl_diagnose(ledger, plan, (struct fl_texts){ 0 }, region);
	assert_non_null(a);
	assert_int_equal(a->device_count, plan->device_count);
	for (size_t i = 0; i < a->device_count; i++) {
		const enum fl_state state = a->devices[i].state;
		if (i != gone)
			assert_false(is_missing(state) || state == FL_STATE_UNHEARD);
		else if (d->cadence && !d->cadence_to_group && d->cadence <= 5 * FL_SECOND)
			assert_true(is_missing(state));
		else
			assert_true(is_missing(state) || state == FL_STATE_UNHEARD);
	}
	assert_non_null(strcasestr(a->what, d->name));
	fl_ledger_free(ledger);
	fl_region_free(region);
}

/* What the boat itself shows wrong stays wrong, learnt or not. */
static bool is_well(const char *path)
{
	static const char *const ill[] = { "one-address-twice", "two-address-servers",
		"storm", "radar-falls-silent", "laptop-lead" };
	for (size_t i = 0; i < sizeof ill / sizeof ill[0]; i++)
		if (strstr(path, ill[i]))
			return false;
	return true;
}

static void learn_and_read(const char *path)
{
	struct fl_region *region = fl_region_new(64 << 20);
	struct fl_ledger *ledger = hear(path, (struct fl_mac){ { 0 } });
	const struct fl_plan *plan = learn(ledger, region);
	const struct fl_answer *a = fl_diagnose(ledger, plan, (struct fl_texts){ 0 }, region);
	assert_non_null(a);
	for (size_t i = 0; i < a->finding_count; i++)
		assert_int_equal(a->findings[i].severity, FL_REMARK);
	assert_int_equal(fl_answer_status(a), 0);
	assert_true(a->firm);
	assert_string_equal(a->what, "nothing wrong heard");
	for (size_t i = 0; i < plan->device_count; i++)
		take_away(path, plan, i);
	fl_ledger_free(ledger);
	fl_region_free(region);
}

static void each_demo_boat_is_learnt_and_then_well(void **state)
{
	(void)state;
	glob_t found;
	size_t boats = 0;
	assert_int_equal(glob(FL_TOP "/captures/*/frames.pcapng", 0, NULL, &found), 0);
	for (size_t i = 0; i < found.gl_pathc; i++)
		if (is_well(found.gl_pathv[i])) {
			learn_and_read(found.gl_pathv[i]);
			boats++;
		}
	globfree(&found);
	assert_true(boats >= 6);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(each_demo_boat_is_learnt_and_then_well),
	};
	return FL_RUN(tests);
}
