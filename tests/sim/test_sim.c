#include "test.h"

#include "sim.h"

enum { MOST_NODES = 64 };

/* Two switches, five devices. A test adds to the near switch (first %s), and
 * faults (second). */
#define BASE \
	"boat test\n" \
	"listen 600, seed 5\n" \
	"feed breaker 1\nfeed breaker 2\nfeed breaker 3\n" \
	"switch near, ports 8, feed breaker 1, boots in 10, lldp 30" \
	", bpdu 2%s\n" \
	"switch far, ports 8, feed breaker 1, boots in 10, lldp 30\n" \
	"device radar, kind radar, feed breaker 2, boots in 30, rate 10\n" \
	"device camera, kind camera, feed breaker 2, boots in 12\n" \
	"device display, kind display, feed breaker 3, boots in 40" \
	", with dhcp\n" \
	"device wind, kind weather, feed breaker 3, boots in 5\n" \
	"device targets, kind AIS, feed breaker 3\n" \
	"run A, radar, far 1\nrun B, camera, far 2\nrun C, display, near 1\n" \
	"run D, wind, near 2\nrun E, targets, near 3\nrun T, far 8, near 8\n" \
	"laptop near 5\n%s"
enum { NEAR, FAR, RADAR, CAMERA, DISPLAY, WIND, TARGETS, NODES };

/* What a sink remembers of a run. */
struct heard {
	uint64_t frames, damaged, hash[MOST_NODES];
	uint64_t of[MOST_NODES];
	sim_time last, last_of[MOST_NODES];
	sim_time longest_of[MOST_NODES];   /* gap */
	bool     disordered, badly_summed, short_frame;
};

static uint64_t mix(uint64_t hash, const uint8_t *octets, size_t n)
{
	for (size_t i = 0; i < n; i++)     /* FNV-1a */
		hash = (hash ^ octets[i]) * 0x100000001b3;
	return hash;
}

/* RFC 1071 section 4.1, "C": the plain loop over a copy of the words, with a
 * carry added at once; no code of the simulator. */
static uint16_t plain_sum(const uint8_t *octets, size_t n, uint16_t sum)
{
	for (size_t i = 0; i < n; i++) {
		const uint32_t word = i % 2 ? octets[i]
					    : (uint32_t)octets[i] << 8;
		const uint32_t next = sum + word;
		sum = (uint16_t)((next & 0xffff) + (next >> 16));
	}
	return sum;
}

static size_t be16(const uint8_t *at)
{
	return (size_t)at[0] << 8 | at[1];
}

static bool ip4_sums_hold(const uint8_t *ip)
{
	const size_t header = (ip[0] & 15u) * 4, n = be16(ip + 2) - header;
	const uint8_t *payload = ip + header;
	if (plain_sum(ip, header, 0) != 0xffff)
		return false;
	const bool udp = ip[9] == 17;
	const uint16_t pseudo = udp ? plain_sum(ip + 12, 8, (uint16_t)(17 + n))
				    : 0;
	return plain_sum(payload, n, pseudo) == 0xffff &&
	       (!udp || be16(payload + 4) == n);
}

static bool ip6_sums_hold(const uint8_t *ip)
{
	const size_t options = ip[6] == 0 ? 8 : 0, n = be16(ip + 4) - options;
	const uint16_t pseudo = plain_sum(ip + 8, 32, (uint16_t)(58 + n));
	return plain_sum(ip + 40 + options, n, pseudo) == 0xffff;
}

static bool sums_hold(const struct sim_frame *frame)
{
	switch (be16(frame->at + 12)) {
	case 0x0800: return ip4_sums_hold(frame->at + 14);
	case 0x86dd: return ip6_sums_hold(frame->at + 14);
	default:     return true;
	}
}

static void listen(void *context, const struct sim_frame *frame)
{
	struct heard *heard = context;
	const int node = frame->node;
	heard->disordered |= frame->time < heard->last;
	heard->last = frame->time;
	heard->short_frame |= frame->length < 60;
	if (frame->captured == frame->length && !frame->damaged)
		heard->badly_summed |= !sums_hold(frame);
	heard->damaged += frame->damaged;
	heard->frames++;
	const sim_time gap = frame->time - heard->last_of[node];
	if (heard->of[node]++ && gap > heard->longest_of[node])
		heard->longest_of[node] = gap;
	heard->last_of[node] = frame->time;
	heard->hash[node] = mix(heard->hash[node] ^ (uint64_t)frame->time,
				frame->at, frame->captured);
}

static struct sim_boat *read_boat_with(const char *near, const char *more)
{
	char text[4096], why[200] = "";
	snprintf(text, sizeof text, BASE, near, more);
	struct sim_boat *boat = sim_boat_read(text, why, sizeof why);
	if (!boat)
		fail_msg("%s", why);
	return boat;
}

static struct sim_boat *read_boat(const char *more)
{
	return read_boat_with("", more);
}

static struct heard run(struct sim_boat *boat, double seconds)
{
	struct heard heard = { 0 };
	const struct sim_sink sink = { &heard, listen };
	sim_run(boat, seconds, 0, &sink);
	return heard;
}

static struct heard run_text(const char *more)
{
	struct sim_boat *boat = read_boat(more);
	const struct heard heard = run(boat, 0);
	sim_boat_free(boat);
	return heard;
}

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
	struct heard c = { 0 };
	const struct sim_sink sink = { &c, listen };
	sim_run(boat, 0, 6, &sink);
	assert_true(c.hash[WIND] != a.hash[WIND]);
	sim_boat_free(boat);
}

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

static void faults_silence_exactly_who_they_should(void **state)
{
	(void)state;
	enum { R = 1 << RADAR, C = 1 << CAMERA, D = 1 << DISPLAY, W = 1 << WIND,
	       T = 1 << TARGETS, N = 1 << NEAR, F = 1 << FAR,
	       all = R | C | D | W | T | N | F };
	silences_exactly("fault run A, dead\n", R);
	silences_exactly("fault port far 1, dead\n", R);
	silences_exactly("fault device radar, dead\n", R);
	silences_exactly("fault device radar, asleep\n", R);
	silences_exactly("fault run T, dead\n", R | C | F);
	silences_exactly("fault port near 8, dead\n", R | C | F);
	silences_exactly("fault switch far, dead\n", R | C | F);
	silences_exactly("fault feed breaker 2, off\n", R | C);
	silences_exactly("fault feed breaker 3, off\n", D | W | T);
	silences_exactly("fault feed breaker 1, off\n", all);
	silences_exactly("fault switch near, dead\n", all);
	silences_exactly("fault laptop lead, dead\n", all);
	silences_exactly("fault port near 5, dead\n", all);
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

static double share_lost(const char *fault, double *mean_gap)
{
	struct sim_boat *boat = read_boat(fault);
	const struct heard heard = run(boat, 6000);
	const struct sim_heard radar = sim_heard(boat, RADAR);
	assert_int_equal(heard.of[RADAR], radar.frames);
	assert_int_equal(sim_heard(boat, WIND).lost, 0);
	*mean_gap = (double)heard.longest_of[RADAR] / 1e9;
	sim_boat_free(boat);
	return (double)radar.lost / (double)(radar.lost + radar.frames);
}

/* Arithmetic: 63 000 frames; four standard deviations about what was asked,
 * which bursts of mean length L widen by the square root of 2 L. */
static void loses_the_share_asked_for(void **state)
{
	(void)state;
	double single, frames, ms;
	const double a = share_lost("fault run A, loses 0.05\n", &single);
	assert_true(a > 0.0465 && a < 0.0535);
	const double b = share_lost(
		"fault run A, loses 0.05, burst 20 frames\n", &frames);
	assert_true(b > 0.028 && b < 0.072);
	const double c = share_lost(
		"fault run A, loses 0.05, burst 3000 ms\n", &ms);
	assert_true(c > 0.025 && c < 0.075);
	assert_true(single < 1 && frames > 3 && ms > 6);
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

static void a_storm_is_as_fast_as_asked(void **state)
{
	(void)state;
	const struct heard well = run_text(""), ill = run_text(
		"fault device wind, storms, from 60, to 62, rate 500\n");
	assert_int_equal(ill.of[WIND] - well.of[WIND], 1000);
	assert_int_equal(ill.of[RADAR], well.of[RADAR]);
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
		cmocka_unit_test(faults_silence_exactly_who_they_should),
		cmocka_unit_test(link_local_frames_stay_on_their_link),
		cmocka_unit_test(devices_on_a_feed_return_in_their_own_time),
		cmocka_unit_test(power_over_a_run_dies_with_the_run),
		cmocka_unit_test(loses_the_share_asked_for),
		cmocka_unit_test(damaged_frames_have_a_wrong_fcs),
		cmocka_unit_test(a_filter_lets_a_group_go_after_its_age),
		cmocka_unit_test(both_claim_a_taken_address),
		cmocka_unit_test(a_storm_is_as_fast_as_asked),
		cmocka_unit_test(says_what_is_wrong_with_a_scenario),
		cmocka_unit_test(random_boats_of_every_cause_run),
	};
	return FL_RUN(tests);
}
