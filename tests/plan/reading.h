/* reading.h -- a plan read in one call, for the tests of this stage. */
#ifndef FL_TESTS_PLAN_READING_H
#define FL_TESTS_PLAN_READING_H

#include "plan/graph.h"
#include "plan/plan.h"

static struct fl_region *region;
static struct fl_plan_faults faults;

static int open_region(void **state)
{
	(void)state;
	region = fl_region_new(16 << 20);
	return region ? 0 : -1;
}

static int close_region(void **state)
{
	(void)state;
	fl_region_free(region);
	return 0;
}

static inline struct fl_plan *read_text(const char *text)
{
	return fl_plan_read(text, strlen(text), region, &faults);
}

/* A plan that must be good; says what was wrong with it otherwise. */
static inline struct fl_plan *read_good(const char *text)
{
	struct fl_plan *plan = read_text(text);
	for (size_t i = 0; i < faults.n; i++)
		print_error("%d:%d: %s: %s\n", faults.at[i].line,
			    faults.at[i].column, faults.at[i].text, faults.at[i].remedy);
	assert_non_null(plan);
	assert_int_equal(faults.n, 0);
	return plan;
}

static inline int device_named(const struct fl_plan *plan, const char *name)
{
	for (size_t i = 0; i < plan->device_count; i++)
		if (strcmp(plan->devices[i].name, name) == 0)
			return (int)i;
	fail_msg("no device %s", name);
	return FL_NONE;
}

static inline int run_named(const struct fl_plan *plan, const char *name)
{
	for (size_t i = 0; i < plan->run_count; i++)
		if (plan->runs[i].name && strcmp(plan->runs[i].name, name) == 0)
			return (int)i;
	fail_msg("no run %s", name);
	return FL_NONE;
}

#define PLAN_TEST(name) cmocka_unit_test_setup_teardown(name, open_region, close_region)

/* The two forms as the manual shows them. */
#define SHORT_FORM                                                        \
	"[wiring]                        ; device = switch port, ...\n"  \
	"arch radar   = lower switch 3, W7, breaker 12, via arch bulkhead\n" \
	"helm display = lower switch 1, breaker 9\n"                      \
	"camera       = helm display 2, powered by it\n"                  \
	"laptop       = lower switch 5\n"

#define LONG_FORM                                                         \
	"[segment]\n"                                                     \
	"name   = Storm Petrel\n"                                         \
	"laptop = lower switch port 5\n"                                  \
	"\n"                                                              \
	"[device arch radar]\n"                                           \
	"kind     = radar\n"                                              \
	"mac      = 02:1b:c5:00:00:21     ; several allowed\n"            \
	"address  = 172.20.0.21\n"                                        \
	"software = >= 4.2\n"                                             \
	"cadence  = 2 s                   ; written by learn\n"           \
	"feed     = breaker 12, wake wire ; all needed\n"                 \
	"woken by = helm display\n"                                       \
	"\n"                                                              \
	"[switch lower switch]\n"                                         \
	"ports = 8\n"                                                     \
	"feed  = breaker 9\n"                                             \
	"\n"                                                              \
	"[run W7]\n"                                                      \
	"from   = arch radar\n"                                           \
	"to     = lower switch port 3     ; or a device with ports\n"     \
	"joints = arch bulkhead\n"                                        \
	"length = 18 m\n"                                                 \
	"speed  = 100\n"                                                  \
	"\n"                                                              \
	"[feed breaker 12]\n"                                             \
	"volts = 12\n"                                                    \
	"fuse  = 15 A\n"

#endif
