/* test_hands.c -- what hands saw moves the suspects, and what they did is told
 * with what came of it. Boats are made by hand; the directions of the weights
 * are common practice, their sizes judgement (numbers.h). */
#include "test.h"

#include "told.h"

static const char plan[] =
	"[segment]\nlaptop = lower switch 5\n"
	"[switch lower switch]\nports = 8\n"
	"[device radar]\nkind = radar\nmac = 02:1b:c5:00:00:01\ncadence = 1 s\nfeed = breaker 12\n"
	"[device display]\nkind = display\nmac = 02:1b:c5:00:00:02\ncadence = 1 s\n"
	"[device sounder]\nmac = 02:1b:c5:00:00:03\ncadence = 1 s\n"
	"[run W7]\nfrom = radar\nto = lower switch 3\njoints = bulkhead\n"
	"[run W1]\nfrom = display\nto = lower switch 1\n"
	"[run W2]\nfrom = sounder\nto = lower switch 4\n"
	"[feed breaker 12]\n";

struct act { double at; enum fl_hand act; const char *name, *text; };

enum { LISTENED = 120, MOST_ACTS = 3 };

/* The radar is silent from `gone` to `back`. */
static struct told boat(double gone, double back, const struct act *acts)
{
	struct told t = told_begin(plan);
	size_t next = 0;
	told_beats(&t, 1, false, 1, 0.1, gone);
	told_beats(&t, 1, false, 1, back + 0.1, 1e9);
	told_beats(&t, 2, false, 1, 0.2, 1e9);
	told_beats(&t, 3, false, 1, 0.3, 1e9);
	for (int s = 0; s < LISTENED; s++) {
		for (; acts && next < MOST_ACTS && acts[next].name && acts[next].at <= s; next++)
			told_tell(&t, &(struct fl_observation){ .kind = FL_OBSERVED_HAND,
				.from = told_at(acts[next].at), .to = told_at(acts[next].at),
				.hand = { acts[next].act, acts[next].name,
					  acts[next].text } });
		told_second(&t, s, NULL);
	}
	told_judge(&t);
	return t;
}

/* How likely this part is against a cause in no plan, of which no hand sees
 * anything. */
static double share(const struct told *t, const char *part)
{
	for (size_t i = 0; i < t->answer->hypothesis_count; i++)
		if (t->answer->hypotheses[i].parts.n == 1 &&
		    strcmp(t->answer->hypotheses[i].parts.at[0], part) == 0)
			return t->answer->hypotheses[i].probability / t->answer->other;
	return 0;
}

static double share_with(const char *part, enum fl_hand act, const char *name,
			 const char *text)
{
	const struct act acts[MOST_ACTS] = { { 100, act, name, text } };
	struct told t = boat(30, 1e9, act == FL_HAND_MARK ? NULL : acts);
	const double p = share(&t, part);
	told_end(&t);
	return p;
}

#define BARE(part) share_with(part, FL_HAND_MARK, "", "")

static void a_light_tells_the_cable_from_the_device(void **state)
{
	(void)state;
	const double run = BARE("run W7"), device = BARE("device radar");
	assert_true(run > 0 && device > 0);
	assert_true(share_with("run W7", FL_HAND_LIGHT, "lower switch 3", "lit") < run / 2);
	assert_true(share_with("device radar", FL_HAND_LIGHT, "lower switch 3", "lit") /
		    share_with("run W7", FL_HAND_LIGHT, "lower switch 3", "lit") >
		    1.5 * device / run);
	assert_true(share_with("run W7", FL_HAND_LIGHT, "lower switch 3", "dark") > run);
	/* No light there, another port, and a port of no plan say nothing. */
	static const char *const names[] = { "lower switch 3", "lower switch 4", "upper 9" };
	static const char *const texts[] = { "none", "dark", "dark" };
	for (size_t i = 0; i < 3; i++)
		assert_true(share_with("run W7", FL_HAND_LIGHT, names[i], texts[i]) == run);
}

static void a_meter_accuses_and_clears_the_feed(void **state)
{
	(void)state;
	const double feed = BARE("feed breaker 12");
	assert_true(feed > 0);
	const double full = share_with("feed breaker 12", FL_HAND_METER, "radar", "12.5V load");
	const double idle = share_with("feed breaker 12", FL_HAND_METER, "radar", "12.5V idle");
	assert_true(full < idle && idle < feed);
	assert_true(share_with("feed breaker 12", FL_HAND_METER, "radar", "10.9V load") >
		    1.5 * feed);
	assert_true(share_with("feed breaker 12", FL_HAND_METER, "breaker 12", "10.9V load") >
		    1.5 * feed);
	assert_true(share_with("feed breaker 12", FL_HAND_METER, "sounder", "10.9V load") ==
		    feed);
}

static void a_display_that_shows_it_clears_its_way(void **state)
{
	(void)state;
	const double run = BARE("run W7");
	assert_true(share_with("run W7", FL_HAND_SHOWS, "display", "yes radar") < run / 3);
	assert_true(share_with("run W7", FL_HAND_SHOWS, "display", "no radar") > run);
	assert_true(share_with("run W7", FL_HAND_SHOWS, "display", "perhaps") == run);
}

/* A sight speaks of now, and the newest of a kind is the one. */
static void an_old_sight_says_nothing(void **state)
{
	(void)state;
	static const struct act early[MOST_ACTS] = {
		{ 10, FL_HAND_LIGHT, "lower switch 3", "lit" } };
	static const struct act twice[MOST_ACTS] = {
		{ 90, FL_HAND_LIGHT, "lower switch 3", "lit" },
		{ 100, FL_HAND_LIGHT, "lower switch 3", "dark" } };
	struct told t = boat(30, 1e9, early);
	assert_true(share(&t, "run W7") == BARE("run W7"));
	told_end(&t);
	t = boat(30, 1e9, twice);
	assert_true(share(&t, "run W7") ==
		    share_with("run W7", FL_HAND_LIGHT, "lower switch 3", "dark"));
	told_end(&t);
}

static bool tells(const struct told *t, const char *text)
{
	for (size_t i = 0; i < t->answer->story.n; i++)
		if (strstr(t->answer->story.at[i], text))
			return true;
	return false;
}

static void what_came_of_an_action_is_told(void **state)
{
	(void)state;
	static const struct act seated[MOST_ACTS] = { { 50, FL_HAND_SEAT, "bulkhead", "" } };
	struct told t = boat(30, 60, seated);
	assert_true(tells(&t, "After you seated bulkhead at "));
	assert_true(tells(&t, "radar heard again, no dropout in "));
	told_end(&t);
	static const struct act exchanged[MOST_ACTS] = {
		{ 50, FL_HAND_EXCHANGE, "lower switch 3", "lower switch 4" } };
	t = boat(30, 1e9, exchanged);
	assert_true(tells(&t, "radar still away after "));
	assert_true(tells(&t, "sounder heard, no dropout in "));
	told_end(&t);
}

static void readings_are_told_with_what_they_say(void **state)
{
	(void)state;
	static const struct act metered[MOST_ACTS] = {
		{ 50, FL_HAND_METER, "battery", "12.5V rest" },
		{ 51, FL_HAND_METER, "radar", "-10.9V load" },
		{ 52, FL_HAND_METER, "battery", "no volts" } };
	struct told t = boat(30, 1e9, metered);
	assert_true(tells(&t, "Battery 12.5 V at rest: full."));
	assert_true(tells(&t, "Plug of radar 10.9 V under load: fuse or holder first, then "
			      "the lead. The meter's leads were the wrong way round."));
	told_end(&t);
}

/* Each step says what to type; a light parts the cable from the device. */
static void steps_say_what_to_type_and_what_they_part(void **state)
{
	(void)state;
	struct told t = boat(0, 1e9, NULL);
	static const char *const wanted[] = { "jot light 3 dark", "jot shows display radar no",
		"jot exchange 3 1", "jot seat W7", "jot swap W7" };
	for (size_t k = 0; k < sizeof wanted / sizeof wanted[0]; k++) {
		bool said = false;
		for (size_t i = 0; i < t.answer->step_count; i++)
			said |= t.answer->steps[i].then &&
				strcmp(t.answer->steps[i].then, wanted[k]) == 0;
		if (!said)
			fail_msg("no step says '%s'", wanted[k]);
	}
	told_end(&t);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_light_tells_the_cable_from_the_device),
		cmocka_unit_test(a_meter_accuses_and_clears_the_feed),
		cmocka_unit_test(a_display_that_shows_it_clears_its_way),
		cmocka_unit_test(an_old_sight_says_nothing),
		cmocka_unit_test(what_came_of_an_action_is_told),
		cmocka_unit_test(readings_are_told_with_what_they_say),
		cmocka_unit_test(steps_say_what_to_type_and_what_they_part),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
