/* test_episodes.c -- what fell together, what stayed, how it came back and how
 * that is told, by boats of the simulator. The scenarios are made up. */
#include "test.h"

#include "diagnose/diagnose.h"
#include "listen.h"

static const char base[] =
	"boat Storm Petrel\n"
	"listen %d, start 1777713142, seed 5, snap 128\n"
	"feed breaker 9\nfeed breaker 12\n"
	"switch lower switch, ports 8, feed breaker 9\n"
	"device radar, kind radar, mac 02:1b:c5:00:00:21, address 172.20.0.21, feed breaker 12, rate 10, boots in 41\n"
	"device camera, kind camera, mac 02:1b:c5:00:00:31, address 172.20.0.31, feed breaker 12, status 1, boots in 30\n"
	"device sounder, kind sounder, mac 02:1b:c5:00:00:41, address 172.20.0.41, feed breaker 9, rate 5\n"
	"device gateway, kind gateway, mac 02:1b:c5:00:00:51, address 172.20.0.51, feed breaker 9\n"
	"run W1, radar, lower switch 1\nrun W2, camera, lower switch 2\n"
	"run W3, sounder, lower switch 3\nrun W4, gateway, lower switch 4\n"
	"laptop lower switch 5\n%s";

/* What a hand did, so many seconds after the start. */
struct hand { int at; enum fl_hand act; const char *text; };

struct told {
	struct fl_ledger *ledger;
	struct fl_region *region;
	const struct fl_answer *answer;
	const struct hand *hands;
	fl_time since;
};

/* Hands are told in the order of time, as a visit does. */
static void pass(void *context, const struct fl_observation *o)
{
	struct told *t = context;
	const struct fl_observer to = fl_ledger_observer(t->ledger);
	if (!t->since && o->kind == FL_OBSERVED_EAR)
		t->since = o->to;
	while (t->hands && t->hands->text && t->since + t->hands->at * FL_SECOND <= o->to) {
		const fl_time at = t->since + t->hands->at * FL_SECOND;
		const struct fl_observation hand = { .kind = FL_OBSERVED_HAND,
			.from = at, .to = at,
			.hand = { t->hands->act, "", t->hands->text } };
		to.observe(to.context, &hand);
		t->hands++;
	}
	to.observe(to.context, o);
}

static struct told judge(int seconds, const char *faults, const struct hand *hands,
			 bool planned)
{
	static struct fl_plan_faults plan_faults;
	char text[4096], why[200] = "";
	struct told t = { .ledger = fl_ledger_new(), .region = fl_region_new(64 << 20),
			  .hands = hands };
	snprintf(text, sizeof text, base, seconds, faults);
	struct sim_boat *boat = sim_boat_read(text, why, sizeof why);
	if (!boat)
		fail_msg("%s", why);
	assert_true(listen_to(boat, 0, 0, (struct fl_observer){ &t, pass }));
	char *written = sim_plan_text(boat);
	const struct fl_plan *plan = planned
		? fl_plan_read(written, strlen(written), t.region, &plan_faults) : NULL;
	t.answer = fl_diagnose(t.ledger, plan, (struct fl_texts){ 0 }, t.region);
	assert_non_null(t.answer);
	for (size_t i = 0; i < t.answer->episode_count; i++)
		print_message("  %s\n", t.answer->episodes[i].text);
	free(written);
	sim_boat_free(boat);
	return t;
}

static void drop(struct told *t)
{
	fl_ledger_free(t->ledger);
	fl_region_free(t->region);
}

static bool holds(const struct fl_texts *list, const char *text)
{
	for (size_t i = 0; i < list->n; i++)
		if (strstr(list->at[i], text))
			return true;
	return false;
}

static const struct fl_answer_finding *finding(const struct fl_answer *a, const char *id)
{
	for (size_t i = 0; i < a->finding_count; i++)
		if (strcmp(a->findings[i].id, id) == 0)
			return &a->findings[i];
	return NULL;
}

static void a_sagging_feed_is_one_episode_of_those_it_feeds(void **state)
{
	(void)state;
	struct told t = judge(400, "fault feed breaker 12, off, from 120, to 120.6\n"
			      "fault feed breaker 12, off, from 260, to 260.6\n", NULL, true);
	const struct fl_answer *a = t.answer;
	assert_int_equal(a->episode_count, 2);
	for (size_t i = 0; i < 2; i++) {
		const struct fl_answer_episode *e = &a->episodes[i];
		assert_int_equal(e->what, FL_HAPPENED_AWAY);
		assert_int_equal(e->fell.n, 2);
		assert_true(holds(&e->fell, "radar") && holds(&e->fell, "camera"));
		assert_true(holds(&e->stayed, "sounder") && holds(&e->stayed, "gateway"));
		assert_true(e->returned[FL_REBOOTED] > 0.8);
		assert_non_null(strstr(e->text, "both restarted within"));
		const fl_time begin = a->from +
			(i ? 260 : 120) * FL_SECOND;
		assert_true(e->from <= begin + FL_SECOND && e->from_latest >= begin);
	}
	assert_string_equal(a->episodes[0].id, "e1");
	assert_null(strstr(a->episodes[0].text, "as learned"));
	assert_non_null(strstr(a->episodes[1].text, "(boots as learned)"));
	assert_non_null(finding(a, "device-restarts"));
	assert_null(finding(a, "device-comes-and-goes"));
	assert_string_equal(a->suspects[0].part, "feed breaker 12");
	assert_true(a->suspects[0].probability > 0.9);
	/* What a restart takes: 41 s and some to its first steady beat. */
	assert_true(a->devices[0].boot_most > 38 * FL_SECOND &&
		    a->devices[0].boot_most < 50 * FL_SECOND);
	drop(&t);
}

static void a_flapping_run_is_told_from_its_device(void **state)
{
	(void)state;
	struct told t = judge(400, "fault run W1, dead, from 120, to 122.5\n"
			      "fault run W1, dead, from 260, to 262.5\n", NULL, true);
	const struct fl_answer *a = t.answer;
	assert_int_equal(a->episode_count, 2);
	assert_true(a->episodes[0].returned[FL_OWN_LINK] > 0.8);
	assert_string_equal(a->suspects[0].part, "run W1");
	for (size_t i = 0; i < a->suspect_count; i++)
		assert_true(a->suspects[i].group > 0 ||
			    strncmp(a->suspects[i].part, "device", 6) != 0);
	drop(&t);
}

/* Two that fall a minute apart are two; one that is away already is blind. */
static void who_is_away_already_is_blind(void **state)
{
	(void)state;
	struct told t = judge(400, "fault run W2, dead, from 120, to 300\n"
			      "fault run W1, dead, from 200, to 260\n", NULL, true);
	const struct fl_answer *a = t.answer;
	assert_int_equal(a->episode_count, 2);
	assert_true(holds(&a->episodes[0].fell, "camera"));
	assert_true(holds(&a->episodes[0].stayed, "radar"));
	assert_true(holds(&a->episodes[1].fell, "radar"));
	assert_true(holds(&a->episodes[1].blind, "camera"));
	drop(&t);
}

/* fairlead-jot(1): what happens at work is shown, and weighs nothing. */
static void work_is_shown_and_weighs_nothing(void **state)
{
	(void)state;
	static const struct hand hands[] = {
		{ 100, FL_HAND_WORK, "on" }, { 121, FL_HAND_MARK, "wiggled the mast plug" },
		{ 200, FL_HAND_WORK, "off" }, { 0, FL_HAND_MARK, NULL } };
	struct told t = judge(300, "fault run W1, dead, from 120, to 150\n", hands, true);
	assert_int_equal(t.answer->episode_count, 1);
	assert_int_equal(t.answer->episodes[0].what, FL_HAPPENED_WORK);
	assert_true(holds(&t.answer->episodes[0].marks, "wiggled"));
	assert_non_null(strstr(t.answer->episodes[0].text, "while somebody worked"));
	assert_int_equal(fl_answer_status(t.answer), 0);
	assert_true(t.answer->no_fault > 0.9);
	drop(&t);
	/* The same without it is a fault; a device still away after it too. */
	t = judge(300, "fault run W1, dead, from 120, to 150\n", NULL, true);
	assert_int_equal(fl_answer_status(t.answer), 1);
	drop(&t);
	t = judge(300, "fault run W1, dead, from 120\n", hands, true);
	assert_int_equal(fl_answer_status(t.answer), 1);
	assert_true(t.answer->no_fault < 0.1);
	drop(&t);
}

/* All devices away for minutes while a stranger goes on: switched off. */
static void a_network_switched_off_is_no_fault_of_a_part(void **state)
{
	(void)state;
	struct told t = judge(900,
		"feed breaker 20\n"
		"device tablet, kind gateway, mac 02:1b:c5:00:00:77, feed breaker 20, with no place in the plan\n"
		"run W7, tablet, lower switch 7\n"
		"fault run W1, dead, from 200, to 560\nfault run W2, dead, from 200, to 560\n"
		"fault run W3, dead, from 200, to 560\nfault run W4, dead, from 200, to 560\n",
		NULL, true);
	size_t off = 0;
	for (size_t i = 0; i < t.answer->episode_count; i++)
		off += t.answer->episodes[i].what == FL_HAPPENED_NETWORK_OFF;
	assert_int_equal(t.answer->episode_count, 1);
	assert_int_equal(off, 1);
	assert_non_null(strstr(t.answer->episodes[0].text, "switched off"));
	assert_true(t.answer->no_fault > 0.9);
	drop(&t);
}

static void what_recurs_is_told_and_what_meets_marks(void **state)
{
	(void)state;
	char faults[1024] = "";
	struct hand hands[10] = { { 0 } };
	for (int i = 0; i < 9; i++) {
		const int at = 130 + 240 * i;
		snprintf(faults + strlen(faults), sizeof faults - strlen(faults),
			 "fault run W1, dead, from %d, to %d.5\n", at, at + 2);
		hands[i] = (struct hand){ at - 3, FL_HAND_MARK, "pump" };
	}
	struct told t = judge(2300, faults, hands, true);
	assert_int_equal(t.answer->episode_count, 9);
	assert_true(holds(&t.answer->story, "It recurs every 4 min"));
	assert_true(holds(&t.answer->story, "9 of 9 began within 10 s of a mark"));
	assert_true(holds(&t.answer->episodes[8].marks, "pump"));
	drop(&t);
}

static void without_a_plan_stations_are_told(void **state)
{
	(void)state;
	struct told t = judge(300, "fault run W1, dead, from 120, to 150\n", NULL, false);
	assert_int_equal(t.answer->episode_count, 1);
	assert_int_equal(t.answer->episodes[0].fell.n, 1);
	assert_non_null(strstr(t.answer->episodes[0].fell.at[0], "02:1b:c5:00:00:21"));
	drop(&t);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_sagging_feed_is_one_episode_of_those_it_feeds),
		cmocka_unit_test(a_flapping_run_is_told_from_its_device),
		cmocka_unit_test(who_is_away_already_is_blind),
		cmocka_unit_test(work_is_shown_and_weighs_nothing),
		cmocka_unit_test(a_network_switched_off_is_no_fault_of_a_part),
		cmocka_unit_test(what_recurs_is_told_and_what_meets_marks),
		cmocka_unit_test(without_a_plan_stations_are_told),
	};
	return FL_RUN(tests);
}
