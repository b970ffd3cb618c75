#include "test.h"

#include "plan/reading.h"

/* fairlead-plan(5), "Where the laptop sits": what is written, what is read,
 * and that what is shown reads back as the same seat. */
static void reads_every_form_of_a_seat(void **state)
{
	(void)state;
	static const struct {
		const char *text;
		enum fl_seat_kind kind;
		enum fl_place_kind place;
		int port;
		const char *shown;
	} rows[] = {
		{ "lower switch 6", FL_SEAT_PORT, FL_PLACE_SWITCH, 6, "lower switch 6" },
		{ "Lower  Switch port 6", FL_SEAT_PORT, FL_PLACE_SWITCH, 6, "lower switch 6" },
		{ "port 6 of lower switch", FL_SEAT_PORT, FL_PLACE_SWITCH, 6, "lower switch 6" },
		{ "lower switch", FL_SEAT_PORT, FL_PLACE_SWITCH, 0, "lower switch" },
		{ "helm display 1", FL_SEAT_PORT, FL_PLACE_DEVICE, 1, "helm display 1" },
		{ "in place of Camera", FL_SEAT_IN_PLACE, FL_PLACE_DEVICE, 0, "in place of camera" },
		{ "direct arch radar", FL_SEAT_DIRECT, FL_PLACE_DEVICE, 0, "direct arch radar" },
		{ "own switch in w7", FL_SEAT_IN_RUN, FL_PLACE_NOWHERE, 0, "own switch in W7" },
		{ "own switch in cable W7", FL_SEAT_IN_RUN, FL_PLACE_NOWHERE, 0, "own switch in W7" },
		{ "own switch in camera", FL_SEAT_IN_RUN, FL_PLACE_NOWHERE, 0, "own switch in camera" },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct fl_plan *p = read_good(SHORT_FORM);
		assert_true(fl_plan_seat(p, rows[i].text, region, &faults));
		assert_int_equal(faults.n, 0);
		assert_int_equal(p->laptop.kind, rows[i].kind);
		assert_int_equal(p->laptop.place.kind, rows[i].place);
		assert_int_equal(p->laptop.place.port, rows[i].port);
		const char *shown = fl_plan_seat_text(p, region);
		assert_string_equal(shown, rows[i].shown);
		const struct fl_seat seat = p->laptop;
		assert_true(fl_plan_seat(p, shown, region, &faults));
		assert_int_equal(p->laptop.run, seat.run);
		assert_int_equal(p->laptop.place.index, seat.place.index);
	}
}

/* plan.h: not a place of this plan is one fault at line 0, and changes
 * nothing. */
static void refuses_what_is_no_place_of_the_plan(void **state)
{
	(void)state;
	static const struct { const char *text, *says, *remedy; } rows[] = {
		{ "mast switch 5", "called 'mast switch'", "of the plan" },
		{ "lower swich 5", "called 'lower swich'", "did you mean 'lower switch'?" },
		{ "", "called ''", "of the plan" },
		{ "lower switch 3", "holds the cable of arch radar", "in place of arch radar" },
		{ "arch radar", "has no ports", "direct arch radar" },
		{ "arch radar 2", "has no ports", "in place of arch radar" },
		{ "in place of arch rader", "no device", "did you mean 'arch radar'?" },
		{ "own switch in W8", "no run", "label" },
		{ "own switch in helm display", "more than one run", "label" },
		{ "direct lower switch", "no device", "name a device" },
		{ "helm display 3", "2 ports, not 3", "ports =" },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct fl_plan *p = read_good(SHORT_FORM);
		assert_false(fl_plan_seat(p, rows[i].text, region, &faults));
		assert_int_equal(faults.n, 1);
		assert_int_equal(faults.at[0].line, 0);
		if (!strstr(faults.at[0].text, rows[i].says) ||
		    !strstr(faults.at[0].remedy, rows[i].remedy))
			fail_msg("%s: %s; %s", rows[i].text, faults.at[0].text,
				 faults.at[0].remedy);
		assert_string_equal(fl_plan_seat_text(p, region), "lower switch 5");
		assert_int_equal(p->switch_count, 1);
		assert_int_equal(p->device_count, 3);
	}
}

/* fairlead-plan(5): `laptop =` in [segment] takes the same forms. */
static void reads_seats_of_the_plan_itself(void **state)
{
	(void)state;
	static const char *const seats[] = { "in place of camera",
		"own switch in W7", "direct camera", "helm display 4", "new switch 2" };
	for (size_t i = 0; i < sizeof seats / sizeof seats[0]; i++) {
		const struct fl_plan *p = read_good(fl_region_format(region,
			"[segment]\nlaptop = %s\n[wiring]\narch radar = s 1, W7\n"
			"helm display = s 2\ncamera = helm display 2\n", seats[i]));
		assert_string_equal(fl_plan_seat_text(p, region), seats[i]);
	}
	const struct fl_plan *p = read_good("[wiring]\nradar = s 1\n");
	assert_int_equal(p->laptop.kind, FL_SEAT_UNKNOWN);
	assert_non_null(fl_plan_seat_text(p, region));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		PLAN_TEST(reads_every_form_of_a_seat),
		PLAN_TEST(refuses_what_is_no_place_of_the_plan),
		PLAN_TEST(reads_seats_of_the_plan_itself),
	};
	return FL_RUN(tests);
}
