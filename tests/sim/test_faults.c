/* test_faults.c -- what each fault does to whom, and to nobody else. */
#include "small_boat.h"

enum {   /* sets of nodes */
	R = 1 << RADAR, C = 1 << CAMERA, D = 1 << DISPLAY, W = 1 << WIND,
	T = 1 << TARGETS, N = 1 << NEAR, F = 1 << FAR,
	ALL = R | C | D | W | T | N | F,
};

/* By the wiring of `base`. `silenced` is a set of nodes; all others say the
 * very same octets at the very same times as without the fault. */
static void silences_exactly(const char *fault, unsigned silenced)
{
	const struct heard well = run_text(""), ill = run_text(fault);
	for (int i = 0; i < NODES; i++) {
		if (silenced & 1u << i)
			assert_int_equal(ill.of[i], 0);
		else
			assert_true(ill.hash[i] == well.hash[i]);
	}
}

static void standing_faults_silence_who_they_should(void **state)
{
	(void)state;
	silences_exactly("fault run A, dead\n", R);
	silences_exactly("fault port far 1, dead\n", R);
	silences_exactly("fault device radar, dead\n", R);
	silences_exactly("fault device radar, asleep\n", R);
	silences_exactly("fault run T, dead\n", R | C | F);
	silences_exactly("fault port near 8, dead\n", R | C | F);
	silences_exactly("fault switch far, dead\n", R | C | F);
	silences_exactly("fault feed breaker 2, off\n", R | C);
	silences_exactly("fault feed breaker 3, off\n", D | W | T);
	silences_exactly("fault feed breaker 1, off\n", ALL);
	silences_exactly("fault switch near, dead\n", ALL);
	silences_exactly("fault laptop lead, dead\n", ALL);
	silences_exactly("fault port near 5, dead\n", ALL);
}

/* A fault that comes, and perhaps goes: who is silent for a while, and who
 * else says something other than he would have. */
struct passing { const char *fault; unsigned silenced, touched; };

static const struct passing passing[] = {
	{ "run A, flaps, every 40", R, 0 },
	{ "run A, dead, from 100, to 130", R, 0 },
	{ "run T, flaps, every 60", R | C | F, 0 },
	{ "port far 2, flaps, every 50", C, 0 },
	{ "port near 8, dead, from 100, to 130", R | C | F, 0 },
	{ "feed breaker 2, sags, every 100", R | C, 0 },
	{ "feed breaker 3, off, from 100, to 101", D | W | T, 0 },
	{ "switch far, reboots, every 90", R | C | F, 0 },
	{ "switch far, off, from 100, to 101", R | C | F, 0 },
	{ "switch near, dead, from 100, to 130", ALL, 0 },
	{ "device camera, reboots, every 100", C, 0 },
	{ "device camera, off, from 300", C, 0 },
	{ "device radar, asleep, from 100, to 200", R, 0 },
	{ "device wind, leaves, from 300", W, 0 },
	{ "laptop lead, flaps, every 60", ALL, 0 },
	{ "laptop lead, dead, from 100, to 130", ALL, 0 },
	{ "device wind, takes 172.20.1.3, from 60", 0, W | R },
	{ "device wind, serves, from 60", 0, 0 },
	{ "device wind, storms, from 60, to 62", 0, W },
	{ "switch near, storms, from 60, to 62", 0, R | C | D },
	{ "run A, loses 0.1", 0, R },
	{ "laptop lead, loses 0.1", 0, ALL },
	{ "laptop lead, damages 0.1", 0, ALL },
	{ "switch far, filters, from 60", 0, R | C },
};

static void is_as_silent_as(const struct passing *row)
{
	char line[120];
	snprintf(line, sizeof line, "fault %s\n", row->fault);
	struct sim_boat *faulty = read_boat(line), *sound = read_boat("");
	const struct heard ill = run(faulty, 0);
	const struct heard well = run_beside(sound, 0, 0, faulty);
	for (int i = 0; i < NODES; i++) {
		const bool silenced = row->silenced & 1u << i;
		const bool touched = row->touched & 1u << i;
		const size_t spans = sim_heard(faulty, (size_t)i).silent_count;
		if (silenced != (spans > 0))
			fail_msg("%s: node %d has %zu silences", row->fault, i,
				 spans);
		if (ill.in_silence[i] != 0)
			fail_msg("%s: node %d is heard", row->fault, i);
		if (silenced && i != FAR && well.in_silence[i] == 0)
			fail_msg("%s: node %d loses nothing", row->fault, i);
		if (!silenced && !touched && ill.hash[i] != well.hash[i])
			fail_msg("%s: node %d differs", row->fault, i);
		if (touched && i != NEAR && i != FAR &&
		    ill.hash[i] == well.hash[i])
			fail_msg("%s: node %d is as before", row->fault, i);
	}
	sim_boat_free(faulty);
	sim_boat_free(sound);
}

/* By the wiring of the small boat. The far switch says only what stays on its
 * link, so it is never heard. */
static void passing_faults_silence_who_they_should(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof passing / sizeof *passing; i++)
		is_as_silent_as(&passing[i]);
}

/* By the scenario: off for 1 s, then its own time to boot. */
static void devices_on_a_feed_return_in_their_own_time(void **state)
{
	(void)state;
	struct sim_boat *boat = read_boat(
		"fault feed breaker 2, off, from 100, to 101\n");
	const struct heard heard = run(boat, 0);
	assert_int_equal(sim_heard(boat, RADAR).silent[0].to,
			 131 * INT64_C(1000000000));
	assert_int_equal(sim_heard(boat, CAMERA).silent[0].to,
			 113 * INT64_C(1000000000));
	assert_int_equal(sim_heard(boat, DISPLAY).silent_count, 0);
	assert_true(heard.longest_of[RADAR] > 31 * INT64_C(1000000000));
	assert_true(heard.longest_of[RADAR] < 32 * INT64_C(1000000000));
	sim_boat_free(boat);
}

static void power_over_a_run_dies_with_the_run(void **state)
{
	(void)state;
	struct sim_boat *boat = read_boat(
		"device bell, kind camera, feed run P, boots in 20\n"
		"run P, bell, near 7\n"
		"fault run P, dead, from 100, to 102\n");
	run(boat, 0);
	const struct sim_heard bell = sim_heard(boat, NODES);
	assert_int_equal(bell.silent_count, 1);
	assert_int_equal(bell.silent[0].to, 122 * INT64_C(1000000000));
	sim_boat_free(boat);
}

/* RFC 4541 section 2.1.2: a group outside 224.0.0.0/24 goes only to ports
 * that asked for it; RFC 3376 section 8.4: a membership ages in 260 s. */
static void a_filter_lets_a_group_go_after_its_age(void **state)
{
	(void)state;
	struct sim_boat *boat =
		read_boat("fault switch far, filters, from 60\n");
	const struct heard heard = run(boat, 0);
	const sim_time start = sim_start(boat), s = INT64_C(1000000000);
	assert_true(heard.last_of[RADAR] < start + 320 * s);
	assert_true(heard.last_of[RADAR] > start + 319 * s);
	assert_true(heard.last_of[WIND] > start + 598 * s);
	sim_boat_free(boat);
}

static void count_arp(void *context, const struct sim_frame *frame)
{
	uint64_t *count = context;
	const uint8_t shared[4] = { 172, 20, 1, 3 };   /* the radar's */
	if (be16(frame->at + 12) == 0x0806 &&
	    memcmp(frame->at + 28, shared, 4) == 0)
		count[frame->node]++;
}

/* RFC 5227 section 2.4: the owner defends its address by announcing it. */
static void both_claim_a_taken_address(void **state)
{
	(void)state;
	uint64_t count[MOST_NODES] = { 0 };
	const struct sim_sink sink = { count, count_arp };
	struct sim_boat *boat = read_boat(
		"fault device wind, takes 172.20.1.3, from 60\n");
	sim_run(boat, 0, 0, &sink);
	assert_int_equal(count[WIND], 2);
	assert_int_equal(count[RADAR], 1);
	sim_boat_free(boat);
}

/* RFC 2131 section 3.1: a server answers who asks, and asks nobody. */
static void a_server_answers_who_starts(void **state)
{
	(void)state;
#define STARTS "fault device display, off, from 200, to 201\n"
	const struct heard none = run_text(STARTS);
	const struct heard early = run_text(
		STARTS "fault device wind, serves, from 60\n");
	const struct heard gone = run_text(
		STARTS "fault device wind, serves, from 60, to 150\n");
	assert_true(early.of[WIND] > none.of[WIND]);
	assert_true(gone.hash[WIND] == none.hash[WIND]);
}

static void a_storm_is_as_fast_as_asked(void **state)
{
	(void)state;
	const struct heard well = run_text(""), ill = run_text(
		"fault device wind, storms, from 60, to 62, rate 500\n");
	assert_int_equal(ill.of[WIND] - well.of[WIND], 1000);
	assert_int_equal(ill.of[RADAR], well.of[RADAR]);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(standing_faults_silence_who_they_should),
		cmocka_unit_test(passing_faults_silence_who_they_should),
		cmocka_unit_test(devices_on_a_feed_return_in_their_own_time),
		cmocka_unit_test(power_over_a_run_dies_with_the_run),
		cmocka_unit_test(a_filter_lets_a_group_go_after_its_age),
		cmocka_unit_test(both_claim_a_taken_address),
		cmocka_unit_test(a_server_answers_who_starts),
		cmocka_unit_test(a_storm_is_as_fast_as_asked),
	};
	return FL_RUN(tests);
}
