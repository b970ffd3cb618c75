/* test_groups.c -- a group that is wanted and not sent, and what looks like it.
 * Stations, groups and times are made up. */
#include "told.h"

static const char plan[] =
	"[segment]\nname = Storm Petrel\nlaptop = lower switch port 5\n"
	"[switch lower switch]\nports = 8\n"
	"[device helm display]\nkind = display\nmac = 02:1b:c5:00:00:11\n"
	"[device radar]\nkind = radar\nmac = 02:1b:c5:00:00:21\n"
	"[device sounder]\nkind = sounder\nmac = 02:1b:c5:00:00:41\n"
	"[run W1]\nfrom = helm display\nto = lower switch port 1\n"
	"[run W7]\nfrom = radar\nto = lower switch port 3\n"
	"[run W2]\nfrom = sounder\nto = lower switch port 2\n";

enum { DISPLAY = 0x11, RADAR = 0x21, SOUNDER = 0x41 };

static void says(struct told *t, double at, uint8_t of, enum fl_want what,
		 const char *group)
{
	struct fl_observation o = { .sign = { .kind = FL_FACT_WANTS, .aspect = what,
		.mac = told_mac(of) } };
	assert_true(fl_ip_parse(group, strlen(group), &o.sign.ip));
	told_sign(t, at, o);
}

/* The three are here; the sounder sends to 225.1.2.3, the group of told_beats(). */
static struct told begin(bool through)
{
	struct told t = told_begin(plan);
	told_beats(&t, DISPLAY, false, 1, 0, 600);
	told_beats(&t, RADAR, false, 2, 0, 600);
	if (through)
		told_beats(&t, SOUNDER, true, 1, 0, 600);
	told_beats(&t, SOUNDER, false, 2, 0, 600);
	if (through)
		says(&t, 2, DISPLAY, FL_WANTS_GROUP, "225.1.2.3");
	return t;
}

static const struct fl_answer_finding *found(struct told *t)
{
	return told_finding(t, "group-unanswered");
}

/* Common practice: a display asks for the picture of a radar that sleeps. */
static void a_group_that_is_wanted_and_not_sent_is_a_doubt(void **state)
{
	(void)state;
	struct told t = begin(true);
	says(&t, 5, DISPLAY, FL_WANTS_GROUP, "239.77.0.1");
	told_seconds(&t, 0, 120);
	const struct fl_answer_finding *f = found(&t);
	assert_non_null(f);
	assert_int_equal(f->severity, FL_DOUBT);
	assert_string_equal(f->subject, "helm display");
	assert_string_equal(f->text, "helm display wants the group 239.77.0.1 that nobody "
		"sends: its sender is asleep, filtered or set to another group.");
	told_end(&t);
}

/* A trap: discovery, clocks and the link's own groups are wanted by many and sent
 * by few. RFC 5771, RFC 2365 section 9, RFC 4291 section 2.7; 239.192.0.0/24 from
 * memory. */
static void ordinary_groups_never_count(void **state)
{
	(void)state;
	static const char *const groups[] = {
		"224.0.0.251", "224.0.0.252", "239.255.255.250", "239.255.255.253",
		"224.0.1.129", "224.0.1.1", "239.192.0.3", "ff02::fb", "ff02::1:ff00:11",
		"ff12::77", "ff05::c", "ff05::1:3",
	};
	struct told t = begin(true);
	for (size_t i = 0; i < sizeof groups / sizeof groups[0]; i++)
		says(&t, 5, DISPLAY, FL_WANTS_GROUP, groups[i]);
	told_seconds(&t, 0, 120);
	size_t n;
	(void)fl_ledger_wanted(t.ledger, &n);
	assert_int_equal(n, 1);
	assert_null(found(&t));
	told_end(&t);
}

/* RFC 4291 section 2.7: a group of the site that nobody assigned counts as well. */
static void groups_of_ipv6_beyond_the_link_count(void **state)
{
	(void)state;
	struct told t = begin(true);
	says(&t, 5, DISPLAY, FL_WANTS_GROUP, "ff15::77:1");
	told_seconds(&t, 0, 120);
	assert_non_null(found(&t));
	assert_true(told_says(found(&t), "ff15::77:1"));
	told_end(&t);
}

/* A trap: what was sent a moment ago is answered. Judgement: a minute. */
static void what_was_sent_a_moment_ago_is_answered(void **state)
{
	(void)state;
	struct told t = begin(true);
	told_beats(&t, RADAR, true, 1, 0, 100);
	for (size_t i = 0; i < 2; i++)
		says(&t, 5, DISPLAY, FL_WANTS_GROUP, i ? "225.1.2.3" : "239.129.2.3");
	told_seconds(&t, 0, 150);
	assert_null(found(&t));
	told_end(&t);
}

/* A minute must have passed, deaf time taken out; and it must still be wanted. */
static void a_group_wanted_for_a_moment_is_nothing(void **state)
{
	(void)state;
	struct told t = begin(true);
	told_seconds(&t, 0, 100);
	says(&t, 100, DISPLAY, FL_WANTS_GROUP, "239.77.0.1");
	told_seconds(&t, 100, 150);
	assert_null(found(&t));
	told_end(&t);
	t = begin(true);
	says(&t, 5, DISPLAY, FL_WANTS_GROUP, "239.77.0.1");
	told_seconds(&t, 0, 60);
	says(&t, 60, DISPLAY, FL_WANTS_NO_GROUP, "239.77.0.1");
	told_seconds(&t, 60, 300);
	assert_null(found(&t));
	told_end(&t);
}

/* RFC 3376 section 8.4: where a querier asks, one who did not answer for 260 s
 * wants it no more. Where nobody asks, nobody says it again. */
static void a_membership_ends_where_it_is_asked_for(void **state)
{
	(void)state;
	for (int asked = 0; asked < 2; asked++) {
		struct told t = begin(true);
		says(&t, 5, DISPLAY, FL_WANTS_GROUP, "239.77.0.1");
		told_seconds(&t, 0, 130);
		if (asked)
			told_sign(&t, 130, (struct fl_observation){ .sign = {
				.kind = FL_FACT_SERVES, .aspect = FL_SERVES_QUERIES,
				.ip = fl_ip_from4((const uint8_t[4]){ 10, 0, 0, 2 }) } });
		told_seconds(&t, 130, 400);
		assert_int_equal(found(&t) == NULL, asked);
		told_end(&t);
	}
}

/* A trap, RFC 4541 section 2.1.2: behind a switch that filters groups an ear hears
 * none but its own. */
static void an_ear_that_hears_no_group_says_perhaps_held_back(void **state)
{
	(void)state;
	struct told t = begin(false);
	says(&t, 5, DISPLAY, FL_WANTS_GROUP, "239.77.0.1");
	told_seconds(&t, 0, 120);
	const struct fl_answer_finding *f = found(&t);
	assert_non_null(f);
	assert_int_equal(f->severity, FL_REMARK);
	assert_true(told_says(f, "perhaps held back here"));
	assert_false(told_says(f, "nobody sends"));
	told_end(&t);
}

/* One that sends to everybody and stopped to the group sleeps, or is filtered; one
 * that is silent altogether is missing, which is told by itself. */
static void who_sent_it_is_told_while_it_is_here(void **state)
{
	(void)state;
	for (int silent = 0; silent < 2; silent++) {
		struct told t = told_begin(plan);
		told_beats(&t, DISPLAY, false, 1, 0, 400);
		told_beats(&t, RADAR, true, 30, 0, 40);
		told_beats(&t, RADAR, false, 1, 0, silent ? 40 : 400);
		says(&t, 2, DISPLAY, FL_WANTS_GROUP, "225.1.2.3");
		told_seconds(&t, 0, 400);
		assert_int_equal(found(&t) == NULL, silent);
		if (!silent)
			assert_true(told_says(found(&t), "radar sent to it until"));
		told_end(&t);
	}
}

/* Common practice: called and not answered; sent, and wanted by nobody. */
static void who_calls_and_who_sends_elsewhere_are_named(void **state)
{
	(void)state;
	for (int caller = 0; caller < 2; caller++) {
		struct told t = begin(false);
		told_beats(&t, caller ? DISPLAY : RADAR, true, 1, 0, 200);
		says(&t, 5, DISPLAY, FL_WANTS_GROUP, "239.77.0.1");
		told_seconds(&t, 0, 200);
		assert_non_null(found(&t));
		assert_true(told_says(found(&t), caller
			? "helm display sends to the group 01:00:5e:01:02:03 all the while"
			: "radar sends to the group 01:00:5e:01:02:03, which nobody"));
		told_end(&t);
	}
}

/* One sender asleep may leave many groups unsent: one finding, the rest below. */
static void many_groups_are_one_finding(void **state)
{
	(void)state;
	struct told t = begin(true);
	for (int i = 1; i < 4; i++) {
		char group[32];
		snprintf(group, sizeof group, "239.77.0.%d", i);
		says(&t, 5, DISPLAY, FL_WANTS_GROUP, group);
	}
	told_seconds(&t, 0, 120);
	size_t n = 0;
	assert_true(told_says(found(&t), "helm display wants 239.77.0.3, and nobody"));
	for (size_t i = 0; i < t.answer->finding_count; i++)
		n += strcmp(t.answer->findings[i].id, "group-unanswered") == 0;
	assert_int_equal(n, 1);
	told_end(&t);
}

/* Anybody may report any group: the table stops at its ceiling. */
static void the_table_of_wants_is_bounded(void **state)
{
	(void)state;
	struct told t = begin(false);
	for (int i = 0; i < 2 * FL_LEDGER_WANTED; i++) {
		char group[32];
		snprintf(group, sizeof group, "239.77.%d.%d", i / 250, 1 + i % 250);
		says(&t, 5, DISPLAY, FL_WANTS_GROUP, group);
	}
	size_t n;
	(void)fl_ledger_wanted(t.ledger, &n);
	assert_int_equal(n, FL_LEDGER_WANTED);
	assert_int_equal(fl_ledger_lost(t.ledger), FL_LEDGER_WANTED);
	told_end(&t);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_group_that_is_wanted_and_not_sent_is_a_doubt),
		cmocka_unit_test(ordinary_groups_never_count),
		cmocka_unit_test(groups_of_ipv6_beyond_the_link_count),
		cmocka_unit_test(what_was_sent_a_moment_ago_is_answered),
		cmocka_unit_test(a_group_wanted_for_a_moment_is_nothing),
		cmocka_unit_test(a_membership_ends_where_it_is_asked_for),
		cmocka_unit_test(an_ear_that_hears_no_group_says_perhaps_held_back),
		cmocka_unit_test(who_sent_it_is_told_while_it_is_here),
		cmocka_unit_test(who_calls_and_who_sends_elsewhere_are_named),
		cmocka_unit_test(many_groups_are_one_finding),
		cmocka_unit_test(the_table_of_wants_is_bounded),
	};
	return FL_RUN(tests);
}
