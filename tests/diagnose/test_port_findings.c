/* test_port_findings.c -- each finding about a link: a port that has it, and one
 * that looks like it and has not. Counts and times are made up. */
#include "told.h"

#define BIT(counter) (1u << FL_COUNT_##counter)

enum {
	TO_100 = FL_MODE_10_HALF | FL_MODE_10_FULL | FL_MODE_100_HALF | FL_MODE_100_FULL,
	TO_1000 = TO_100 | FL_MODE_1000_FULL,
};

static const char plan[] =
	"[segment]\nname = Storm Petrel\n%s\n"
	"[switch lower switch]\nports = 8\n"
	"[device radar]\nmac = 02:1b:c5:00:00:21\n"
	"[device camera]\nmac = 02:1b:c5:00:00:31\n"
	"[run W7]\nfrom = radar\nto = lower switch port 3\n"
	"[run W8]\nfrom = camera\nto = lower switch port 4\n%s\n";

static const char *plan_with(const char *segment, const char *run)
{
	static char text[2000];
	(void)snprintf(text, sizeof text, plan, segment, run);
	return text;
}

static struct fl_port linked(uint32_t mbit, enum fl_duplex duplex)
{
	return (struct fl_port){ .there = true, .enabled = true, .link = true,
		.flaps_counted = true, .mbit = mbit, .duplex = duplex,
		.counted = BIT(CRC) };
}

/* What one own port is found to have; NULL: not this. */
static const struct fl_answer_finding *found(struct told *t, const char *plan_text,
					     struct fl_port port, const char *id)
{
	*t = told_begin(plan_text);
	told_port(t, 0, port);
	return told_finding(t, id);
}

/* IEEE Std 802.3 table 40-12: 1000BASE-T needs pins 4-5 and 7-8 beside those of
 * 100BASE-TX, so a link that both ends could run at 1000 points to these. */
static void a_link_slower_than_both_ends_can_do_points_to_its_pairs(void **state)
{
	(void)state;
	struct told t;
	struct fl_port p = linked(100, FL_DUPLEX_FULL);
	p.ours = p.theirs = TO_1000;
	const struct fl_answer_finding *f = found(&t, NULL, p, "link-slow");
	assert_non_null(f);
	assert_int_equal(f->severity, FL_FAULT);
	assert_true(told_says(f, "pins 4-5 and 7-8"));
	told_end(&t);
}

/* IEEE Std 802.3 clause 28: what one end cannot do is not slow. */
static void a_link_as_fast_as_one_end_can_do_is_not_slow(void **state)
{
	(void)state;
	struct told t;
	struct fl_port p = linked(100, FL_DUPLEX_FULL);
	p.ours = TO_1000;
	p.theirs = TO_100;
	assert_null(found(&t, NULL, p, "link-slow"));
	told_end(&t);
	p.theirs = 0;                        /* not told */
	assert_null(found(&t, NULL, p, "link-slow"));
	told_end(&t);
}

/* IEC 61076-2-101: a D-coded M12 has two pairs, so 100 Mbit/s is all it does. */
static void a_run_that_carries_no_more_is_not_slow(void **state)
{
	(void)state;
	static const char *const runs[] = { "joints = hull M12 D-coded", "speed = 100" };
	struct told t;
	struct fl_port p = linked(100, FL_DUPLEX_FULL);
	p.ours = p.theirs = TO_1000;
	for (size_t i = 0; i < 2; i++) {
		assert_null(found(&t, plan_with("laptop = in place of camera", runs[i]), p,
				  "link-slow"));
		assert_string_equal(t.answer->ports[0].run, "W8");
		assert_string_equal(t.answer->ports[0].station, "lower switch 4");
		told_end(&t);
	}
	assert_non_null(found(&t, plan_with("laptop = in place of camera",
					    "joints = hull M12 X-coded"), p, "link-slow"));
	told_end(&t);
}

static void tell_speeds(struct told *t, uint8_t last, uint64_t can, uint64_t does)
{
	told_beats(t, last, false, 1, 0, 20);
	told_sign(t, 1, (struct fl_observation){ .sign = { .kind = FL_FACT_NEIGHBOUR,
		.mac = told_mac(last), .number = FL_IS_STATION,
		.speeds = can << 32 | does } });
	told_seconds(t, 0, 20);
}

/* IEEE Std 802.1AB annex F, MAC/PHY: a device tells what its port can do and
 * does. Its switch may do no more, so it is a remark; by the plan's speed it is
 * nothing. */
static void a_device_that_runs_slower_than_it_can_is_remarked(void **state)
{
	(void)state;
	struct told t = told_begin(plan_with("", ""));
	tell_speeds(&t, 0x31, 1000, 100);
	const struct fl_answer_finding *f = told_finding(&t, "link-slow");
	assert_non_null(f);
	assert_int_equal(f->severity, FL_REMARK);
	assert_string_equal(f->subject, "camera");
	told_end(&t);
	t = told_begin(plan_with("", "speed = 100"));
	tell_speeds(&t, 0x31, 1000, 100);
	assert_null(told_finding(&t, "link-slow"));
	told_end(&t);
}

/* IEEE Std 802.3 section 28.2.3.1: who hears nothing advertised runs half. An
 * end that can do nothing else is made so. */
static void half_duplex_is_found_where_more_was_possible(void **state)
{
	(void)state;
	struct told t;
	struct fl_port p = linked(100, FL_DUPLEX_HALF);
	p.ours = TO_100;
	const struct fl_answer_finding *f = found(&t, NULL, p, "link-half-duplex");
	assert_non_null(f);
	assert_int_equal(f->severity, FL_DOUBT);
	told_end(&t);
	p.theirs = FL_MODE_10_HALF;
	p.mbit = 10;
	assert_null(found(&t, NULL, p, "link-half-duplex"));
	told_end(&t);
}

/* A port after its counters ran on from nothing. */
static void tell_counts(struct told *t, struct fl_port p)
{
	struct fl_port before = p;
	memset(before.counts, 0, sizeof before.counts);
	told_port(t, 0, before);
	told_port(t, 60, p);
}

/* What counters mean together, as the trade reads them: counters of RFC 3635 and
 * RFC 2819, duplex mismatch after IEEE Std 802.3 section 28.2.3.1 (late
 * collisions at the half end, pieces at the full one), fragments "entirely
 * normal" on half duplex (RFC 2819), a missing buffer the laptop's own matter
 * (Linux Documentation/networking/statistics.rst). */
static const struct signature {
	const char *what;
	enum fl_duplex duplex;
	struct { enum fl_counter counter; uint64_t count; } counts[3];
	const char *found, *not_found;
} signatures[] = {
	{ "check sums, full duplex, no late collisions: the run", FL_DUPLEX_FULL,
	  { { FL_COUNT_CRC, 12 } }, "port-errors", "duplex-mismatch" },
	{ "symbols and check sums: the medium, not the ends", FL_DUPLEX_FULL,
	  { { FL_COUNT_CRC, 12 }, { FL_COUNT_FRAGMENTS, 5 }, { FL_COUNT_SYMBOL, 9 } },
	  "port-errors", "duplex-mismatch" },
	{ "late collisions at the half end", FL_DUPLEX_HALF,
	  { { FL_COUNT_LATE_COLLISIONS, 3 } }, "duplex-mismatch", "port-errors" },
	{ "check sums and pieces at the full end", FL_DUPLEX_FULL,
	  { { FL_COUNT_CRC, 40 }, { FL_COUNT_FRAGMENTS, 9 } }, "duplex-mismatch", NULL },
	{ "collisions on half duplex are how it works", FL_DUPLEX_HALF,
	  { { FL_COUNT_COLLISIONS, 900 } }, "link-half-duplex", "duplex-mismatch" },
	{ "pieces on half duplex are entirely normal", FL_DUPLEX_HALF,
	  { { FL_COUNT_FRAGMENTS, 900 } }, "link-half-duplex", "port-errors" },
	{ "pieces on full duplex are never normal", FL_DUPLEX_FULL,
	  { { FL_COUNT_FRAGMENTS, 900 } }, "port-errors", "duplex-mismatch" },
	{ "errors of kinds that a switch does not tell apart", FL_DUPLEX_FULL,
	  { { FL_COUNT_ERRORS, 40 } }, "port-errors", "duplex-mismatch" },
	{ "no buffer: the laptop, not the network", FL_DUPLEX_FULL,
	  { { FL_COUNT_MISSED, 900 } }, NULL, "port-errors" },
	{ "well-formed frames of a strange length are no damage", FL_DUPLEX_FULL,
	  { { FL_COUNT_UNDERSIZE, 30 }, { FL_COUNT_OVERSIZE, 30 } }, NULL, "port-errors" },
};

static void counters_mean_what_the_trade_reads_in_them(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof signatures / sizeof signatures[0]; i++) {
		const struct signature *s = &signatures[i];
		struct told t = told_begin(NULL);
		struct fl_port p = linked(100, s->duplex);
		print_message("%s\n", s->what);
		p.counted |= BIT(RECEIVED);
		p.counts[FL_COUNT_RECEIVED] = 48210;
		for (size_t k = 0; k < 3 && s->counts[k].count; k++) {
			p.counted |= 1u << s->counts[k].counter;
			p.counts[s->counts[k].counter] = s->counts[k].count;
		}
		tell_counts(&t, p);
		if (s->found)
			assert_non_null(told_finding(&t, s->found));
		if (s->not_found)
			assert_null(told_finding(&t, s->not_found));
		told_end(&t);
	}
}

static enum fl_severity errors_of(uint64_t crc, uint64_t received, bool *any)
{
	struct told t = told_begin(NULL);
	struct fl_port p = linked(100, FL_DUPLEX_FULL);
	p.counted |= BIT(RECEIVED);
	p.counts[FL_COUNT_RECEIVED] = received;
	p.counts[FL_COUNT_CRC] = crc;
	tell_counts(&t, p);
	const struct fl_answer_finding *f = told_finding(&t, "port-errors");
	const enum fl_severity severity = f ? f->severity : FL_REMARK;
	*any = f;
	told_end(&t);
	return severity;
}

/* IEEE Std 802.3 clause 40.1: 1e-10 a bit, 1.2e-6 of frames of 1518 octets. So 1
 * in 100 million is as it should be; two while a plug is seated are a doubt; 12
 * of 48 210 are a fault; one of 48 210 may be chance. */
static void damaged_frames_are_a_fault_where_their_share_surely_exceeds_the_standard(void **state)
{
	(void)state;
	bool any;
	errors_of(1, 100000000, &any);
	assert_false(any);
	assert_int_equal(errors_of(12, 48210, &any), FL_FAULT);
	assert_int_equal(errors_of(2, 1000, &any), FL_DOUBT);
	assert_int_equal(errors_of(1, 48210, &any), FL_REMARK);
	assert_true(any);
	errors_of(0, 48210, &any);
	assert_false(any);
}

/* RFC 3635: check sums and alignment exclude each other; a bad symbol mostly
 * spoils a frame that is counted already. Limits: NIST/SEMATECH e-Handbook
 * 7.2.4.2, 10 of 100 from 0.0490047 to 0.1762226. */
static void no_damaged_frame_is_counted_twice(void **state)
{
	(void)state;
	struct told t = told_begin(NULL);
	struct fl_port p = linked(100, FL_DUPLEX_FULL);
	p.counted |= BIT(RECEIVED) | BIT(ALIGNMENT) | BIT(SYMBOL);
	p.counts[FL_COUNT_RECEIVED] = 90;
	p.counts[FL_COUNT_CRC] = 6;
	p.counts[FL_COUNT_ALIGNMENT] = 4;
	p.counts[FL_COUNT_SYMBOL] = 9;
	tell_counts(&t, p);
	told_judge(&t);
	assert_true(t.answer->ports[0].errors_counted);
	assert_int_equal(t.answer->ports[0].error_frames, 10);
	assert_float_equal(t.answer->ports[0].error_low, 0.0490047, 1e-6);
	assert_float_equal(t.answer->ports[0].error_high, 0.1762226, 1e-6);
	told_end(&t);
}

/* Common practice: not counted is not zero, and zero is counted. */
static void an_adapter_that_counts_no_errors_is_said_to(void **state)
{
	(void)state;
	struct told t;
	struct fl_port p = linked(100, FL_DUPLEX_FULL);
	assert_null(found(&t, NULL, p, "errors-not-counted"));
	assert_string_equal(t.answer->cannot_see.at[0], "bad frames on other runs");
	told_end(&t);
	p.counted = BIT(RECEIVED);
	assert_non_null(found(&t, NULL, p, "errors-not-counted"));
	assert_string_equal(t.answer->cannot_see.at[0], "bad frames (not counted here)");
	assert_false(t.answer->ports[0].errors_counted);
	told_end(&t);
}

static void tell_trap(struct told *t, double at, uint32_t index, bool enabled, bool link)
{
	told_port(t, at, (struct fl_port){ .of = told_mac(0x50), .index = index, .name = "",
		.enabled = enabled, .link = link, .why = "trap" });
}

/* RFC 2863: linkDown and linkUp with ifIndex; the plan says what sits there. A
 * port that was switched off by hand (ifAdminStatus down) did not lose its link. */
static void a_switchs_port_that_flaps_is_named_as_the_plan_has_it(void **state)
{
	(void)state;
	struct told t = told_begin(plan_with("", ""));
	for (int i = 0; i < 3; i++) {
		tell_trap(&t, 10 * i, 3, true, false);
		tell_trap(&t, 10 * i + 2, 3, true, true);
	}
	tell_trap(&t, 40, 4, true, true);
	tell_trap(&t, 41, 4, false, false);
	const struct fl_answer_finding *f = told_finding(&t, "link-flaps");
	assert_non_null(f);
	assert_int_equal(f->severity, FL_FAULT);
	assert_string_equal(f->subject, "port 3 of lower switch");
	assert_true(told_says(f, "The link of port 3 of lower switch to radar was lost 3 times."));
	assert_int_equal(t.answer->ports[0].flaps, 3);
	assert_false(t.answer->ports[0].own);
	assert_string_equal(t.answer->ports[0].run, "W7");
	assert_int_equal(t.answer->ports[1].flaps, 0);
	assert_false(t.answer->live);
	told_end(&t);
}

/* RFC 2863 section 3.1.5: what a switch has counted before it was first heard of
 * is nobody's; a trap in between takes no count away. */
static void counts_of_a_switchs_port_are_differences_of_what_it_told(void **state)
{
	(void)state;
	struct told t = told_begin(plan_with("", ""));
	struct fl_port p = linked(100, FL_DUPLEX_FULL);
	p.of = told_mac(0x50);
	p.index = 3;
	p.name = "";
	p.counts[FL_COUNT_CRC] = 5000;
	told_port(&t, 0, p);
	tell_trap(&t, 5, 3, true, true);
	p.counts[FL_COUNT_CRC] = 5002;
	told_port(&t, 20, p);
	told_judge(&t);
	assert_int_equal(t.answer->port_count, 1);
	assert_int_equal(t.answer->ports[0].counts[FL_COUNT_CRC], 2);
	assert_int_equal(t.answer->ports[0].mbit, 100);
	told_end(&t);
}

static const struct fl_answer_finding *late_after(struct told *t, double late, bool tree,
						  int links)
{
	*t = told_begin(NULL);
	struct fl_port p = linked(100, FL_DUPLEX_FULL);
	for (int i = 0; i < links; i++) {
		const int at = 200 * i;
		p.link = false;
		told_port(t, at, p);
		p.link = true;
		told_port(t, at + 10, p);
		if (tree)
			told_sign(t, at + 12, (struct fl_observation){ .sign = {
				.kind = FL_FACT_TOPOLOGY, .mac = told_mac(0x50) } });
		t->stream_count = 0;
		told_beats(t, 0x21, false, 1, at + 10 + late, at + 199);
		told_seconds(t, at, at + 199);
	}
	return told_finding(t, "late-forwarding");
}

/* IEEE Std 802.1D-2004 table 17-1: forward delay 15 s, once to listen and once to
 * learn. Without a tree, or sooner, it is something else. */
static void a_spanning_tree_that_holds_the_port_back_is_found(void **state)
{
	(void)state;
	struct told t;
	const struct fl_answer_finding *f = late_after(&t, 31, true, 1);
	assert_non_null(f);
	assert_int_equal(f->severity, FL_DOUBT);
	told_end(&t);
	f = late_after(&t, 31, true, 2);
	assert_non_null(f);
	assert_int_equal(f->severity, FL_FAULT);
	told_end(&t);
	assert_null(late_after(&t, 31, false, 2));
	told_end(&t);
	assert_null(late_after(&t, 3, true, 2));
	told_end(&t);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_link_slower_than_both_ends_can_do_points_to_its_pairs),
		cmocka_unit_test(a_link_as_fast_as_one_end_can_do_is_not_slow),
		cmocka_unit_test(a_run_that_carries_no_more_is_not_slow),
		cmocka_unit_test(a_device_that_runs_slower_than_it_can_is_remarked),
		cmocka_unit_test(half_duplex_is_found_where_more_was_possible),
		cmocka_unit_test(counters_mean_what_the_trade_reads_in_them),
		cmocka_unit_test(damaged_frames_are_a_fault_where_their_share_surely_exceeds_the_standard),
		cmocka_unit_test(no_damaged_frame_is_counted_twice),
		cmocka_unit_test(an_adapter_that_counts_no_errors_is_said_to),
		cmocka_unit_test(a_switchs_port_that_flaps_is_named_as_the_plan_has_it),
		cmocka_unit_test(counts_of_a_switchs_port_are_differences_of_what_it_told),
		cmocka_unit_test(a_spanning_tree_that_holds_the_port_back_is_found),
	};
	return FL_RUN(tests);
}
