/* test_sim.c -- what the simulator's frames are, how often they come, and how
 * many are lost. What each fault does: test_faults.c. */
#include "small_boat.h"

/* RFC 1071 section 2: a sum over octets that hold their own checksum is all
 * ones. IEEE Std 802.3 section 4.2.3.3: 64 octets with the FCS at least. */
static void every_frame_is_whole(void **state)
{
	(void)state;
	const struct heard heard = run_text(
		"fault feed breaker 2, sags, every 100\n"
		"fault feed breaker 3, off, from 50, to 60\n"
		"fault device camera, leaves, from 550\n"
		"fault run A, flaps, every 40\n");
	assert_true(heard.frames > 1000);
	assert_false(heard.badly_summed);
	assert_false(heard.short_frame);
	assert_false(heard.disordered);
}

/* By the scenario: 10 a second and one in 2 s; jitter of 2 % of a period. */
static void keeps_the_rates_asked_for(void **state)
{
	(void)state;
	const struct heard heard = run_text("");
	assert_in_range(heard.of[RADAR], 6000 + 300 - 2, 6000 + 300 + 2);
	assert_in_range(heard.of[WIND], 599, 601);
	assert_true(heard.longest_of[WIND] <= 1040000000);
	assert_in_range(heard.of[TARGETS], 100, 200);   /* 150, at random */
	assert_true(heard.longest_of[TARGETS] > 8 * INT64_C(1000000000));
}

static void same_seed_same_octets(void **state)
{
	(void)state;
	struct sim_boat *boat = read_boat("fault run T, loses 0.1\n");
	const struct heard a = run(boat, 0), b = run(boat, 0);
	assert_memory_equal(&a, &b, sizeof a);
	const struct heard c = run_beside(boat, 0, 6, boat);
	assert_true(c.hash[WIND] != a.hash[WIND]);
	sim_boat_free(boat);
}

/* LLDP stays on its link (IEEE Std 802.1AB section 7.1): the far switch is
 * heard only where the near one forwards what it should not. */
static void link_local_frames_stay_on_their_link(void **state)
{
	(void)state;
	assert_int_equal(run_text("").of[FAR], 0);
	struct sim_boat *boat =
		read_boat_with(", with link-local flooding", "");
	assert_in_range(run(boat, 0).of[FAR], 19, 21);
	sim_boat_free(boat);
}

/* Times of the radar's frames. */
struct times { sim_time at[80000]; size_t n; };

static void note_radar(void *context, const struct sim_frame *frame)
{
	struct times *times = context;
	if (frame->node != RADAR)
		return;
	assert_true(times->n < sizeof times->at / sizeof *times->at);
	times->at[times->n++] = frame->time;
}

static struct times *times_of_radar(const char *fault, struct sim_heard *radar)
{
	struct times *times = calloc(1, sizeof *times);
	assert_non_null(times);
	const struct sim_sink sink = { times, note_radar };
	struct sim_boat *boat = read_boat(fault);
	sim_run(boat, 6000, 0, &sink);
	*radar = sim_heard(boat, RADAR);
	assert_int_equal(times->n, radar->frames);
	assert_int_equal(sim_heard(boat, WIND).lost, 0);
	sim_boat_free(boat);
	return times;
}

struct lost { double share, together; };   /* together: mean in one burst */

/* Held against the same boat without loss: what is not there was lost. */
static struct lost lost_of(const char *fault)
{
	struct sim_heard sent_by, heard_of;
	struct times *sent = times_of_radar("", &sent_by);
	struct times *got = times_of_radar(fault, &heard_of);
	size_t lost = 0, bursts = 0, j = 0;
	bool before = false;
	for (size_t i = 0; i < sent->n; i++) {
		const bool here = j < got->n && got->at[j] == sent->at[i];
		j += here;
		lost += !here;
		bursts += !here && !before;
		before = !here;
	}
	assert_int_equal(j, got->n);
	assert_int_equal(lost, heard_of.lost);
	const struct lost of = { (double)lost / (double)sent->n,
				 (double)lost / (double)bursts };
	free(sent);
	free(got);
	return of;
}

static void is_between(double low, double x, double high)
{
	if (!(x > low && x < high))
		fail_msg("%g is not between %g and %g", x, low, high);
}

/* Arithmetic: 63 000 frames, four standard deviations about what was asked.
 * Singly lost ones stand together by chance, 1 / (1 - p) of them. Bursts of
 * mean length L widen the share by the square root of 2 L; there are 63 000
 * p / L of them, and the mean of n such lengths has L / sqrt n. */
static void loses_the_share_asked_for_in_bursts_as_asked(void **state)
{
	(void)state;
	const struct lost single = lost_of("fault run A, loses 0.05\n");
	is_between(0.0465, single.share, 0.0535);
	is_between(1.03, single.together, 1.08);
	const struct lost frames = lost_of(
		"fault run A, loses 0.05, burst 20 frames\n");
	is_between(0.028, frames.share, 0.072);
	is_between(13.6, frames.together, 26.4);
	/* 3 s of 10.5 frames a second. */
	const struct lost ms = lost_of(
		"fault run A, loses 0.05, burst 3000 ms\n");
	is_between(0.022, ms.share, 0.078);
	is_between(18.9, ms.together, 44.1);
}

/* IEEE Std 802.3 section 3.2.9: CRC-32, whose residue over frame and FCS is
 * debb20e3 before the last inversion (from memory). */
static uint32_t residue(const uint8_t *octets, size_t n)
{
	uint32_t crc = 0xffffffff;
	for (size_t i = 0; i < 8 * n; i++) {
		const uint32_t bit = (uint32_t)octets[i / 8] >> i % 8;
		crc = (crc ^ bit) & 1 ? crc >> 1 ^ 0xedb88320 : crc >> 1;
	}
	return crc;
}

static void check_residue(void *context, const struct sim_frame *frame)
{
	uint64_t *count = context;
	const bool holds = residue(frame->at, frame->length) == 0xdebb20e3;
	assert_true(holds != frame->damaged);
	count[frame->damaged]++;
}

static void damaged_frames_have_a_wrong_fcs(void **state)
{
	(void)state;
	uint64_t count[2] = { 0 };
	const struct sim_sink sink = { count, check_residue };
	struct sim_boat *boat = read_boat(
		"listen 120, seed 9, fcs\nfault laptop lead, damages 0.1\n");
	sim_run(boat, 0, 0, &sink);
	assert_in_range(count[1], (count[0] + count[1]) / 13,
			(count[0] + count[1]) / 8);
	sim_boat_free(boat);
}

static void refuses(const char *more, const char *expected)
{
	char text[4096], why[200] = "";
	snprintf(text, sizeof text, BASE, "", more);
	assert_null(sim_boat_read(text, why, sizeof why));
	if (!strstr(why, expected))
		fail_msg("'%s' does not say '%s'", why, expected);
}

static void says_what_is_wrong_with_a_scenario(void **state)
{
	(void)state;
	refuses("fault run Z, dead\n", "line 20: 'Z' is not there");
	refuses("fault run A, sags\n", "cannot happen to 'A'");
	refuses("device x, kind kettle\n", "kind 'kettle' is not known");
	refuses("device x, colour red\n", "'colour red' means nothing");
	refuses("device x\n", "joined to nothing");
	refuses("run Y, wind, near 99\n", "no such port");
	refuses("sing loud\n", "'sing' is no statement");
}

static struct heard run_random(uint64_t seed, int cause, int mode)
{
	const struct sim_options options = {
		.cause = (enum sim_cause_kind)cause,
		.mode = (enum sim_mode)mode, .seconds = 60, .slow = true,
		.jitter = 0.2, .loss = 0.001, .burst = 2, .powered = true,
		.snooping = true };
	struct sim_boat *boat = sim_boat_random(seed, &options);
	const struct heard heard = run(boat, 0);
	assert_int_equal(sim_cause_count(boat), cause != SIM_NOTHING);
	assert_true(sim_node_count(boat) >= 5);
	char *plan = sim_plan_text(boat), *truth = sim_truth_json(boat);
	assert_non_null(strstr(plan, "laptop = "));
	assert_non_null(strstr(truth, "\"causes\""));
	free(plan);
	free(truth);
	sim_boat_free(boat);
	return heard;
}

static void random_boats_of_every_cause_run(void **state)
{
	(void)state;
	uint64_t seed = 1;
	for (int cause = 0; cause < SIM_CAUSE_KINDS; cause++) {
		for (int mode = 0; mode < SIM_MODES; mode++, seed += 3) {
			const struct heard a = run_random(seed, cause, mode);
			assert_false(a.disordered || a.badly_summed);
			assert_true(a.frames > 0 || cause == SIM_LEAD ||
				    cause == SIM_SWITCH || cause == SIM_FEED);
		}
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(every_frame_is_whole),
		cmocka_unit_test(keeps_the_rates_asked_for),
		cmocka_unit_test(same_seed_same_octets),
		cmocka_unit_test(link_local_frames_stay_on_their_link),
		cmocka_unit_test(loses_the_share_asked_for_in_bursts_as_asked),
		cmocka_unit_test(damaged_frames_have_a_wrong_fcs),
		cmocka_unit_test(says_what_is_wrong_with_a_scenario),
		cmocka_unit_test(random_boats_of_every_cause_run),
	};
	return FL_RUN(tests);
}
