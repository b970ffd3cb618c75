/* test_two_faults.c -- random boats with two parts at fault at once, with none,
 * and with a run that loses frames. The limits are judgement. */
#include "test.h"

#include "caused.h"

#include "diagnose/diagnose.h"
#include "listen.h"

#include <stdlib.h>

enum { BOATS = 40, HEALTHY = 20, SEED = 61000 };   /* nothing was tuned with */

struct judged {
	struct sim_boat *boat;
	struct fl_ledger *ledger;
	struct fl_region *region;
	const struct fl_answer *answer;
};

static void forget(struct judged *j)
{
	fl_region_free(j->region);
	fl_ledger_free(j->ledger);
	sim_boat_free(j->boat);
}

static struct judged judge(struct sim_boat *boat, uint64_t seed)
{
	static struct fl_plan_faults faults;
	struct judged j = { boat, fl_ledger_new(), fl_region_new(64 << 20), NULL };
	assert_true(j.boat && j.ledger && j.region);
	assert_true(listen_to(boat, 0, seed, fl_ledger_observer(j.ledger)));
	char *text = sim_plan_text(boat);
	const struct fl_plan *plan = fl_plan_read(text, strlen(text), j.region, &faults);
	assert_non_null(plan);
	j.answer = fl_diagnose(j.ledger, plan, (struct fl_texts){ 0 }, j.region);
	assert_non_null(j.answer);
	free(text);
	return j;
}

/* The boat of this seed, with the fault of a second boat of the same seed: the
 * same devices and wires, another draw of what is wrong. */
static struct sim_boat *boat_with_two(uint64_t seed, enum sim_cause_kind one,
				      enum sim_cause_kind other)
{
	struct sim_options options = {
		.cause = one, .mode = SIM_STANDING, .loss = 0.002, .slow = true,
		.jitter = 0.05, .seconds = 900, .every = 150, .switches = 3,
	};
	char why[200];
	struct sim_boat *first = sim_boat_random(seed, &options);
	options.cause = other;
	options.mode = SIM_COMES_AND_GOES;
	struct sim_boat *second = sim_boat_random(seed, &options);
	const char *fault = strstr(sim_boat_text(second), "\nfault ");
	assert_non_null(fault);
	const size_t n = strlen(sim_boat_text(first)) + strlen(fault) + 2;
	char *text = malloc(n);
	assert_non_null(text);
	snprintf(text, n, "%s%s", sim_boat_text(first), fault + 1);
	struct sim_boat *both = sim_boat_read(text, why, sizeof why);
	if (!both)
		fail_msg("%s", why);
	free(text);
	sim_boat_free(first);
	sim_boat_free(second);
	return both;
}


/* Each is seen by somebody: one who is away all along, one who went and came
 * back, as the simulator has it. */
static bool both_are_visible(const struct judged *j)
{
	bool away = false, flaps = false;
	for (size_t i = 0; i < sim_node_count(j->boat); i++) {
		const struct sim_heard h = sim_heard(j->boat, i);
		away |= h.planned && !h.is_switch && h.frames == 0 && h.cadence > 0;
	}
	for (size_t i = 0; i < j->answer->episode_count; i++)
		flaps |= j->answer->episodes[i].fell.n > 0;
	return away && flaps;
}

static void two_parts_at_fault_are_both_among_the_first(void **state)
{
	static const enum sim_cause_kind causes[] = {
		SIM_RUN, SIM_FEED, SIM_DEVICE, SIM_PORT,
	};
	unsigned seen = 0, hits = 0;
	(void)state;
	for (uint64_t i = 0; seen < BOATS && i < 8 * BOATS; i++) {
		const uint64_t seed = SEED + i;
		struct judged j = judge(boat_with_two(seed, causes[i % 4],
						      causes[(i / 4 + i + 1) % 4]), seed);
		const struct sim_cause one = sim_cause(j.boat, 0);
		const struct sim_cause other = sim_cause(j.boat, 1);
		if (strcmp(one.part, other.part) != 0 && both_are_visible(&j)) {
			const bool hit = is_among_first(j.answer, &one, 3) &&
					 is_among_first(j.answer, &other, 3);
			seen++;
			hits += hit;
			if (!hit)
				print_message("boat %llu: %s %s and %s %s\n",
					(unsigned long long)seed, one.kind, one.part,
					other.kind, other.part);
		}
		forget(&j);
	}
	print_message("%u boats, both among the first three in %u\n", seen, hits);
	assert_int_equal(seen, BOATS);
	assert_true(hits * 10 >= seen * 8);
}

/* The chances of an answer add up to one, whatever is listed. */
static void a_boat_with_nothing_wrong_names_nobody(void **state)
{
	(void)state;
	for (uint64_t i = 0; i < HEALTHY; i++) {
		struct judged j = judge(sim_boat_random(SEED + i, &(struct sim_options){
			.cause = SIM_NOTHING, .loss = 0.005, .slow = true, .jitter = 0.05,
			.seconds = 900 }), SEED + i);
		const struct fl_answer *a = j.answer;
		double sum = a->no_fault + a->other + a->rest;
		for (size_t k = 0; k < a->hypothesis_count; k++)
			sum += a->hypotheses[k].probability;
		assert_true(sum > 1 - 1e-9 && sum < 1 + 1e-9);
		if (a->suspect_count && a->no_fault < 0.1)
			fail_msg("boat %d: %s at %g", (int)i, a->suspects[0].part,
				 a->suspects[0].probability);
		forget(&j);
	}
}

/* A run that loses 2 to 25 in 100, beside a boat that loses 2 in 1000. */
static void a_run_that_loses_frames_is_among_the_first(void **state)
{
	unsigned named = 0, hits = 0;
	(void)state;
	for (uint64_t i = 0; i < BOATS; i++) {
		struct judged j = judge(sim_boat_random(SEED + i, &(struct sim_options){
			.cause = SIM_RUN, .mode = SIM_DROPS, .loss = 0.002, .slow = true,
			.jitter = 0.05, .seconds = 1800 }), SEED + i);
		const struct sim_cause cause = sim_cause(j.boat, 0);
		const bool seen = j.answer->suspect_count > 0 && j.answer->no_fault < 0.1;
		named += seen;
		hits += seen && is_among_first(j.answer, &cause, 3);
		forget(&j);
	}
	print_message("%u boats, %u named, among the first three in %u\n", BOATS, named,
		      hits);
	assert_true(named * 2 > BOATS);
	assert_true(hits * 10 >= named * 9);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(two_parts_at_fault_are_both_among_the_first),
		cmocka_unit_test(a_boat_with_nothing_wrong_names_nobody),
		cmocka_unit_test(a_run_that_loses_frames_is_among_the_first),
	};
	return FL_RUN(tests);
}
