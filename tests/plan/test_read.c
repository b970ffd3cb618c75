#include "test.h"

#include "plan/reading.h"

static void is_place(struct fl_place place, enum fl_place_kind kind, int index,
		     int port)
{
	assert_int_equal(place.kind, kind);
	assert_int_equal(place.index, index);
	assert_int_equal(place.port, port);
}

/* fairlead-plan(5), first example. */
static void reads_the_short_form(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(SHORT_FORM);
	assert_string_equal(p->name, "");
	assert_true(p->wired);
	assert_int_equal(p->device_count, 3);
	assert_string_equal(p->devices[0].name, "arch radar");
	assert_string_equal(p->devices[1].name, "helm display");
	assert_string_equal(p->devices[2].name, "camera");
	assert_int_equal(p->switch_count, 1);
	assert_string_equal(p->switches[0].name, "lower switch");
	assert_int_equal(p->switches[0].ports, 0);
	assert_int_equal(p->run_count, 3);
	assert_string_equal(p->runs[0].name, "W7");
	is_place(p->runs[0].ends[0], FL_PLACE_DEVICE, 0, 0);
	is_place(p->runs[0].ends[1], FL_PLACE_SWITCH, 0, 3);
	assert_int_equal(p->runs[0].joint_count, 1);
	assert_string_equal(p->runs[0].joints[0], "arch bulkhead");
	assert_null(p->runs[1].name);
	is_place(p->runs[1].ends[0], FL_PLACE_DEVICE, 1, 0);
	is_place(p->runs[1].ends[1], FL_PLACE_SWITCH, 0, 1);
	is_place(p->runs[2].ends[0], FL_PLACE_DEVICE, 2, 0);
	is_place(p->runs[2].ends[1], FL_PLACE_DEVICE, 1, 2);
	assert_int_equal(p->feed_count, 2);
	assert_string_equal(p->feeds[0].name, "breaker 12");
	assert_string_equal(p->feeds[1].name, "breaker 9");
	assert_int_equal(p->devices[0].feed_count, 1);
	assert_int_equal(p->devices[0].feeds[0].kind, FL_FEED_SUPPLY);
	assert_int_equal(p->devices[0].feeds[0].index, 0);
	assert_int_equal(p->devices[1].feeds[0].index, 1);
	assert_int_equal(p->devices[1].ports, 2);   /* used as one with ports */
	assert_int_equal(p->devices[2].feed_count, 1);
	assert_int_equal(p->devices[2].feeds[0].kind, FL_FEED_RUN);
	assert_int_equal(p->devices[2].feeds[0].index, 2);
	assert_int_equal(p->laptop.kind, FL_SEAT_PORT);
	is_place(p->laptop.place, FL_PLACE_SWITCH, 0, 5);
}

static void is_long_form(const struct fl_plan *p)
{
	const struct fl_device *d = &p->devices[device_named(p, "arch radar")];
	const uint8_t four[] = { 172, 20, 0, 21 };
	const struct fl_mac mac = { { 0x02, 0x1b, 0xc5, 0, 0, 0x21 } };
	assert_string_equal(p->name, "Storm Petrel");
	assert_string_equal(d->kind, "radar");
	assert_int_equal(d->mac_count, 1);
	assert_true(fl_mac_equal(d->macs[0], mac));
	assert_true(fl_ip_equal(d->address, fl_ip_from4(four)));
	assert_string_equal(d->software, ">= 4.2");
	assert_int_equal(d->cadence, 2 * FL_SECOND);
	assert_false(d->cadence_to_group);
	assert_int_equal(d->feed_count, 2);
	assert_string_equal(p->feeds[d->feeds[0].index].name, "breaker 12");
	assert_string_equal(p->feeds[d->feeds[1].index].name, "wake wire");
	assert_string_equal(p->devices[d->woken_by].name, "helm display");
	assert_int_equal(d->behind, FL_NONE);
	assert_int_equal(p->switches[0].ports, 8);
	assert_string_equal(p->feeds[p->switches[0].feeds[0].index].name, "breaker 9");
	const struct fl_run *run = &p->runs[run_named(p, "W7")];
	is_place(run->ends[0], FL_PLACE_DEVICE, device_named(p, "arch radar"), 0);
	is_place(run->ends[1], FL_PLACE_SWITCH, 0, 3);
	assert_int_equal(run->joint_count, 1);
	assert_true(run->metres == 18.0);
	assert_int_equal(run->mbit, 100);
	const struct fl_feed *feed = &p->feeds[d->feeds[0].index];
	assert_true(feed->volts == 12.0 && feed->fuse_amps == 15.0);
	is_place(p->laptop.place, FL_PLACE_SWITCH, 0, 5);
}

/* fairlead-plan(5), second example; "woken by" needs the display known. */
static void reads_the_long_form(void **state)
{
	(void)state;
	is_long_form(read_good(LONG_FORM "[device helm display]\nkind = display\n"));
}

/* fairlead-plan(5): both forms may stand in one file, in either order. */
static void joins_the_short_and_the_long_form(void **state)
{
	(void)state;
	for (int turn = 0; turn < 2; turn++) {
		const struct fl_plan *p = read_good(turn ? LONG_FORM SHORT_FORM
							 : SHORT_FORM LONG_FORM);
		is_long_form(p);
		assert_int_equal(p->device_count, 3);
		assert_int_equal(p->switch_count, 1);
		assert_int_equal(p->run_count, 3);
		assert_int_equal(p->feed_count, 3);
		/* A run stands where it is first said, in either form. */
		assert_int_equal(p->runs[run_named(p, "W7")].line, turn ? 18 : 2);
	}
}

/* An unlabelled line in [wiring] is the [run] that has its two ends. */
static void joins_a_cable_without_label_by_its_ends(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(
		"[wiring]\nradar = lower switch, via bulkhead\n"
		"[run W7]\nfrom = lower switch port 3\nto = radar\nlength = 60 ft\n");
	assert_int_equal(p->run_count, 1);
	is_place(p->runs[0].ends[0], FL_PLACE_SWITCH, 0, 3);
	is_place(p->runs[0].ends[1], FL_PLACE_DEVICE, 0, 0);
	assert_string_equal(p->runs[0].joints[0], "bulkhead");
	/* International yard and pound agreement, 1959: 1 ft = 0.3048 m. */
	assert_true(p->runs[0].metres > 18.28799 && p->runs[0].metres < 18.28801);
}

/* fairlead-plan(5): the least plan. */
static void reads_the_least_plan(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good("[wiring]\nradar = lower switch");
	assert_int_equal(p->device_count, 1);
	is_place(p->runs[0].ends[1], FL_PLACE_SWITCH, 0, 0);
	assert_int_equal(p->laptop.kind, FL_SEAT_UNKNOWN);
	const struct fl_plan *empty = read_good("");
	assert_int_equal(empty->device_count, 0);
	assert_false(empty->wired);
	const struct fl_plan *one = fl_plan_of_one(" radar ", region);
	assert_string_equal(one->devices[0].name, "radar");
	assert_int_equal(one->devices[0].behind, FL_NONE);
	assert_false(one->wired);
	assert_null(fl_plan_of_one("", region));
}

/* fairlead-plan(5): texts with a comma between, the port's name left open. */
static void reads_how_switches_log_a_link(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good("[segment]\nlog up = % is  back\n"
		"log down = port % is gone, lost carrier at %\n");
	const struct fl_log_words words = fl_plan_log_words(p);
	assert_int_equal(words.n, 3);
	assert_string_equal(words.at[0].text, "% is back");
	assert_true(words.at[0].up);
	assert_string_equal(words.at[1].text, "port % is gone");
	assert_string_equal(words.at[2].text, "lost carrier at %");
	assert_false(words.at[1].up || words.at[2].up);
	assert_int_equal(fl_plan_log_words(NULL).n, 0);
}

/* A plan without wiring names devices, not runs. */
static void reads_devices_without_wiring(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(
		"[device gateway]\nserves = addresses\nports = 3\nbypass = yes\n"
		"leave = yes\nweather = yes\n"
		"[device wind]\nbehind = GATEWAY\nname = wind*\nservice = _wind._udp\n"
		"cadence = 500 ms to a group\n");
	assert_false(p->wired);
	const struct fl_device *g = &p->devices[0], *w = &p->devices[1];
	assert_true(g->serves_addresses && g->bypass && g->leave && g->weather);
	assert_int_equal(g->ports, 3);
	assert_int_equal(w->behind, 0);
	assert_string_equal(w->glob, "wind*");
	assert_string_equal(w->service, "_wind._udp");
	assert_int_equal(w->cadence, 500 * FL_MILLISECOND);
	assert_true(w->cadence_to_group);
	assert_false(w->leave);
}

/* fairlead-plan(5), "Numbers". 12,4 is 12.4. */
static void reads_quantities(void **state)
{
	(void)state;
	static const struct { const char *text; double volts; } rows[] = {
		{ "12", 12 }, { "12,4", 12.4 }, { "12.4", 12.4 }, { "24V", 24 },
		{ "12.8 volts", 12.8 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		char text[80];
		(void)snprintf(text, sizeof text, "[feed b]\nvolts = %s\n", rows[i].text);
		assert_true(read_good(text)->feeds[0].volts == rows[i].volts);
	}
	const struct fl_plan *p = read_good(
		"[device a]\ncadence = 0,5 s\n[device b]\ncadence = 2 min\n"
		"[feed f]\nfuse = 500 mA\n"
		"[run x]\nfrom = a\nto = b\nspeed = 1 Gbit/s\nlength = 12,5m\nweather = yes");
	assert_int_equal(p->devices[0].cadence, FL_SECOND / 2);
	assert_int_equal(p->devices[1].cadence, 2 * FL_MINUTE);
	assert_true(p->feeds[0].fuse_amps == 0.5);
	assert_int_equal(p->runs[0].mbit, 1000);
	assert_true(p->runs[0].metres == 12.5 && p->runs[0].weather);
}

/* Octets of two plans, but for pointers and lines: all that was read. */
static void plans_are_equal(const struct fl_plan *a, const struct fl_plan *b)
{
	assert_int_equal(a->device_count, b->device_count);
	assert_int_equal(a->switch_count, b->switch_count);
	assert_int_equal(a->run_count, b->run_count);
	assert_int_equal(a->feed_count, b->feed_count);
	for (size_t i = 0; i < a->run_count; i++) {
		assert_string_equal(fl_plan_run_text(a, (int)i, region),
				    fl_plan_run_text(b, (int)i, region));
		assert_true(a->runs[i].metres == b->runs[i].metres);
	}
	for (size_t i = 0; i < a->device_count; i++) {
		assert_string_equal(a->devices[i].name, b->devices[i].name);
		assert_int_equal(a->devices[i].cadence, b->devices[i].cadence);
		assert_int_equal(a->devices[i].line, b->devices[i].line);
		assert_memory_equal(a->devices[i].feeds, b->devices[i].feeds,
				    sizeof a->devices[i].feeds);
	}
	assert_string_equal(fl_plan_seat_text(a, region), fl_plan_seat_text(b, region));
}

/* fairlead-plan(5): mark, line ends, tabs, letter case and blanks do not
 * matter. */
static void line_ends_marks_tabs_and_case_change_nothing(void **state)
{
	(void)state;
	static const char text[] = SHORT_FORM LONG_FORM;
	const struct fl_plan *plain = read_good(text);
	char crlf[2 * sizeof text + 3] = "\xef\xbb\xbf", tabs[2 * sizeof text];
	size_t n = 3, t = 0;
	for (const char *c = text; *c; c++) {
		if (*c == '\n')
			crlf[n++] = '\r';
		crlf[n++] = *c;
		if (*c == ' ')
			tabs[t++] = '\t';
		tabs[t++] = *c;
	}
	crlf[n] = tabs[t] = '\0';
	plans_are_equal(plain, read_good(crlf));
	const struct fl_plan *p = read_good(tabs);
	assert_string_equal(p->devices[0].name, "arch radar");
	plans_are_equal(plain, p);
	p = read_good("[Device Arch  Radar]\nWoken \t By = HELM display\n"
		      "# a comment\n[wiring]\nhelm Display = lower SWITCH 1 # here\n"
		      "ARCH RADAR = Lower  Switch 2 ; there\n");
	assert_int_equal(p->device_count, 2);
	assert_int_equal(p->switch_count, 1);
	assert_string_equal(p->devices[0].name, "Arch Radar");
	assert_int_equal(p->devices[0].woken_by, 1);
}

/* fairlead-plan(5): a section named twice is one; a value twice is once. */
static void joins_sections_of_one_name(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(
		"[device radar]\nkind = radar\n[device camera]\nkind = camera\n"
		"[device Radar]\ncadence = 2 s\nKind = radar\n");
	assert_int_equal(p->device_count, 2);
	assert_string_equal(p->devices[0].kind, "radar");
	assert_int_equal(p->devices[0].cadence, 2 * FL_SECOND);
}

/* fairlead-plan(5), "The short form": how what follows the place is told. */
static void tells_labels_feeds_and_joints_apart(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(
		"[wiring]\n"
		"a = hub 1, injector A, NET-12b, via mast plug, via deck plug\n"
		"b = hub 2, wake wire, run 17, main fuse\n"
		"c = hub 3, feed port battery bank, cable blue\n"
		"d = hub 4, nav panel, long one\n"
		"[feed nav panel]\nvolts = 12\n[run long one]\nlength = 30 m\n");
	assert_string_equal(p->runs[run_named(p, "NET-12b")].joints[1], "deck plug");
	assert_int_equal(p->devices[1].feed_count, 2);
	assert_string_equal(p->feeds[p->devices[2].feeds[0].index].name, "port battery bank");
	assert_string_equal(p->feeds[p->devices[3].feeds[0].index].name, "nav panel");
	(void)run_named(p, "17");
	(void)run_named(p, "blue");
	is_place(p->runs[run_named(p, "long one")].ends[1], FL_PLACE_SWITCH, 0, 4);
	assert_int_equal(p->run_count, 4);
}

/* fairlead-plan(5), "Feeds": power over a run, said in three ways. */
static void reads_power_over_a_run(void **state)
{
	(void)state;
	static const char *const ways[] = { "port 4 of lower switch",
		"lower switch port 4", "lower switch 4", "run W7", "cable w7", "W7" };
	for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
		char text[160];
		(void)snprintf(text, sizeof text, "[wiring]\ncamera = lower switch 4, W7\n"
			       "[device camera]\nfeed = %s\n", ways[i]);
		const struct fl_plan *p = read_good(text);
		assert_int_equal(p->devices[0].feed_count, 1);
		assert_int_equal(p->devices[0].feeds[0].kind, FL_FEED_RUN);
		assert_int_equal(p->devices[0].feeds[0].index, 0);
	}
	/* Its cable is then known, though no line says it. */
	const struct fl_plan *p = read_good("[switch lower]\n[device camera]\n"
					    "feed = port 4 of lower\n");
	assert_int_equal(p->run_count, 1);
	is_place(p->runs[0].ends[1], FL_PLACE_SWITCH, 0, 4);
}

/* fairlead-plan(5), "Places": an uplink has a port at both ends, and "port"
 * may be a side of the boat. */
static void reads_places(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(
		"[wiring]\nupper switch 8 = lower switch port 7, W1\n"
		"camera port 2 = port 6 of lower switch\n"
		"camera port 1 = upper switch 1\n");
	assert_int_equal(p->switch_count, 2);
	assert_int_equal(p->device_count, 2);
	assert_string_equal(p->devices[0].name, "camera port 2");
	is_place(p->runs[0].ends[0], FL_PLACE_SWITCH, 0, 8);
	is_place(p->runs[0].ends[1], FL_PLACE_SWITCH, 1, 7);
	is_place(p->runs[1].ends[1], FL_PLACE_SWITCH, 1, 6);
	p = read_good("[switch switch 1]\n[device d]\nports = 3\n"
		      "[run a]\nfrom = d port 3\nto = switch 1 2\n");
	is_place(p->runs[0].ends[0], FL_PLACE_DEVICE, 0, 3);
	is_place(p->runs[0].ends[1], FL_PLACE_SWITCH, 0, 2);
	assert_string_equal(fl_plan_run_text(p, 0, region), "a: d 3 - switch 1 port 2");
}

/* plan.h: every run is shown by both ends. */
static void names_runs_places_and_seats(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(SHORT_FORM);
	assert_string_equal(fl_plan_run_text(p, 0, region),
			    "W7: arch radar - arch bulkhead - lower switch 3");
	assert_string_equal(fl_plan_run_text(p, 1, region),
			    "helm display - lower switch 1 (no label)");
	assert_string_equal(fl_plan_place_text(p, p->runs[2].ends[1], region),
			    "helm display 2");
	assert_string_equal(fl_plan_seat_text(p, region), "lower switch 5");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		PLAN_TEST(reads_the_short_form),
		PLAN_TEST(reads_the_long_form),
		PLAN_TEST(reads_how_switches_log_a_link),
		PLAN_TEST(joins_the_short_and_the_long_form),
		PLAN_TEST(joins_a_cable_without_label_by_its_ends),
		PLAN_TEST(reads_the_least_plan),
		PLAN_TEST(reads_devices_without_wiring),
		PLAN_TEST(reads_quantities),
		PLAN_TEST(line_ends_marks_tabs_and_case_change_nothing),
		PLAN_TEST(joins_sections_of_one_name),
		PLAN_TEST(tells_labels_feeds_and_joints_apart),
		PLAN_TEST(reads_power_over_a_run),
		PLAN_TEST(reads_places),
		PLAN_TEST(names_runs_places_and_seats),
	};
	return FL_RUN(tests);
}
