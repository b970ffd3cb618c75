/* test_unsteady_boats.c -- random boats with a part that comes and goes: how
 * the devices come back must lead to it. The limit is judgement. */
#include "test.h"

#include "caused.h"

#include "diagnose/diagnose.h"
#include "listen.h"

enum { BOATS = 120, SEED = 53000 };    /* seeds that nothing was tuned with */


/* Something was seen of the fault; *hit: its part is among the first. */
static bool judge(uint64_t seed, enum sim_cause_kind kind, bool *hit)
{
	static struct fl_plan_faults faults;
	const struct sim_options options = {
		.cause = kind, .mode = SIM_COMES_AND_GOES, .loss = 0.005, .slow = true,
		.jitter = 0.05, .seconds = 1800, .every = 250,
	};
	struct sim_boat *boat = sim_boat_random(seed, &options);
	struct fl_ledger *ledger = fl_ledger_new();
	struct fl_region *region = fl_region_new(64 << 20);
	assert_true(boat && ledger && region);
	assert_true(listen_to(boat, 0, seed, fl_ledger_observer(ledger)));
	char *text = sim_plan_text(boat);
	const struct fl_plan *plan = fl_plan_read(text, strlen(text), region, &faults);
	assert_non_null(plan);
	const struct fl_answer *a = fl_diagnose(ledger, plan, (struct fl_texts){ 0 }, region);
	assert_non_null(a);
	const struct sim_cause cause = sim_cause(boat, 0);
	const bool seen = a->suspect_count > 0 && a->no_fault < 0.5;
	*hit = seen && is_among_first(a, &cause, 1);
	free(text);
	fl_region_free(region);
	fl_ledger_free(ledger);
	sim_boat_free(boat);
	return seen;
}

static void the_part_that_comes_and_goes_is_among_the_first(void **state)
{
	static const enum sim_cause_kind causes[] = {
		SIM_RUN, SIM_PORT, SIM_SWITCH, SIM_FEED, SIM_DEVICE,
	};
	unsigned seen = 0, hits = 0;
	(void)state;
	for (uint64_t i = 0; i < BOATS; i++) {
		bool hit;
		seen += judge(SEED + i, causes[i % 5], &hit);
		hits += hit;
	}
	print_message("%u boats, seen %u, among the first %u\n", BOATS, seen, hits);
	assert_true(seen * 2 > BOATS);
	assert_true(hits * 10 >= seen * 9);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(the_part_that_comes_and_goes_is_among_the_first),
	};
	return FL_RUN(tests);
}
