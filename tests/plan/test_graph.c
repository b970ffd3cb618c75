#include "test.h"

#include "plan/reading.h"

static struct fl_graph *graph_of(const struct fl_plan *plan)
{
	struct fl_graph *graph = fl_graph_new(plan, region);
	assert_non_null(graph);
	return graph;
}

/* The keys on a device's way, in their order, with "; " between. */
static const char *way(const struct fl_plan *plan, const struct fl_graph *graph,
		       const char *device)
{
	const size_t d = (size_t)device_named(plan, device);
	const char *text = "";
	for (size_t p = 0; p < graph->part_count; p++)
		if (fl_graph_on_way(graph, d, p))
			text = fl_region_format(region, "%s%s%s", text,
						*text ? "; " : "", graph->parts[p].key);
	return text;
}

/* The devices a part hides, one letter each: their first. */
static const char *hidden_by(const struct fl_plan *plan,
			     const struct fl_graph *graph, const char *key)
{
	for (size_t p = 0; p < graph->part_count; p++) {
		if (strcmp(graph->parts[p].key, key) != 0)
			continue;
		const char *text = "";
		for (size_t d = 0; d < plan->device_count; d++)
			if (fl_graph_on_way(graph, d, p))
				text = fl_region_format(region, "%s%c", text,
							plan->devices[d].name[0]);
		return text;
	}
	fail_msg("no part %s", key);
	return NULL;
}

static bool has_part(const struct fl_graph *graph, const char *key)
{
	for (size_t p = 0; p < graph->part_count; p++)
		if (strcmp(graph->parts[p].key, key) == 0)
			return true;
	return false;
}

/* fairlead-plan(5), first example. */
static void ways_of_the_short_form(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(SHORT_FORM);
	const struct fl_graph *g = graph_of(p);
	assert_string_equal(way(p, g, "arch radar"),
		"laptop lead; port 5 of lower switch; run W7; port 3 of lower switch; "
		"switch lower switch; feed breaker 12; device arch radar; "
		"settings of arch radar; filter in lower switch");
	assert_string_equal(way(p, g, "camera"),
		"laptop lead; port 5 of lower switch; switch lower switch; "
		"filter in lower switch; run helm display - lower switch 1; "
		"port of helm display to lower switch; port 1 of lower switch; "
		"feed breaker 9; device helm display; run camera - helm display 2; "
		"port 2 of helm display; device camera; settings of camera");
	assert_true(g->reachable[0] && g->reachable[1] && g->reachable[2]);
	assert_string_equal(g->parts[0].key, "laptop lead");
	assert_string_equal(g->parts[2].text,
			    "W7: arch radar - arch bulkhead - lower switch 3");
}

/* Duffield, "Network Tomography of Binary Network Performance
 * Characteristics", IEEE Transactions on Information Theory 52(12), 2006:
 * root-A; A-{B,C}; B-{1,2}; C-{3,4}. A link hides the leaves below it, and
 * links of a chain without a branch have the same leaves. */
static void ways_of_the_tomography_tree(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(
		"[wiring]\nlaptop = switch A 1\n"
		"switch B 1 = switch A 2, L1\nswitch C 1 = switch A 3, L2\n"
		"1st = switch B 2, L3\n2nd = switch B 3, L4\n"
		"3rd = switch C 2, L5\n4th = switch C 3, L6\n");
	const struct fl_graph *g = graph_of(p);
	static const char *const rows[][2] = {
		{ "laptop lead", "1234" }, { "port 1 of switch A", "1234" },
		{ "switch switch A", "1234" }, { "filter in switch A", "1234" },
		{ "run L1", "12" }, { "port 2 of switch A", "12" },
		{ "port 1 of switch B", "12" }, { "switch switch B", "12" },
		{ "filter in switch B", "12" },
		{ "run L2", "34" }, { "switch switch C", "34" },
		{ "run L3", "1" }, { "port 2 of switch B", "1" },
		{ "device 1st", "1" }, { "settings of 1st", "1" },
		{ "run L4", "2" }, { "run L5", "3" }, { "run L6", "4" },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		assert_string_equal(hidden_by(p, g, rows[i][0]), rows[i][1]);
}

/* plan.h: all of a device's feeds are needed, a switch's too. */
static void every_feed_is_needed(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(
		"[wiring]\nradar = s 1, breaker 1\nsounder = s 2, breaker 2\nlaptop = s 5\n"
		"[device radar]\nfeed = wake wire\n[switch s]\nfeed = breaker 9\n");
	const struct fl_graph *g = graph_of(p);
	assert_string_equal(hidden_by(p, g, "feed breaker 1"), "r");
	assert_string_equal(hidden_by(p, g, "feed wake wire"), "r");
	assert_string_equal(hidden_by(p, g, "feed breaker 2"), "s");
	assert_string_equal(hidden_by(p, g, "feed breaker 9"), "rs");
}

/* graph.h: where power comes over a run, that run, its port and the switch
 * that feeds are in the supply of all that hangs on it. */
static void power_over_runs_is_followed(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(
		"[wiring]\n"
		"mast switch 1 = deck switch 4, W1, powered by it\n"
		"radar = mast switch 2, W2, powered by it\n"
		"wind = mast switch 3, W3, breaker 3\n"
		"laptop = mast switch 8\n"
		"[switch deck switch]\nfeed = breaker 1\n");
	const struct fl_graph *g = graph_of(p);
	/* The data of both stay above; the power comes from below. */
	static const char *const below[] = { "run W1", "port 4 of deck switch",
		"port 1 of mast switch", "switch deck switch", "feed breaker 1" };
	for (size_t i = 0; i < sizeof below / sizeof below[0]; i++)
		assert_string_equal(hidden_by(p, g, below[i]), "rw");
	assert_string_equal(hidden_by(p, g, "filter in deck switch"), "");
	assert_string_equal(hidden_by(p, g, "run W2"), "r");
	assert_string_equal(hidden_by(p, g, "port 2 of mast switch"), "r");
}

/* graph.h: a device that is a switch passes others on, unpowered only with a
 * bypass; its settings hide nobody else. */
static void a_bypass_forwards_unpowered(void **state)
{
	(void)state;
	static const char *const bypass[] = { "no", "yes" };
	for (int i = 0; i < 2; i++) {
		const struct fl_plan *p = read_good(fl_region_format(region,
			"[device display]\nports = 3\nbypass = %s\nfeed = breaker 9\n"
			"[wiring]\ndisplay = s 1\ncamera = display 2\nlaptop = s 5\n",
			bypass[i]));
		const struct fl_graph *g = graph_of(p);
		assert_string_equal(hidden_by(p, g, "device display"), i ? "d" : "dc");
		assert_string_equal(hidden_by(p, g, "feed breaker 9"), i ? "d" : "dc");
		assert_string_equal(hidden_by(p, g, "settings of display"), "d");
		assert_string_equal(hidden_by(p, g, "run display - s 1"), "dc");
	}
}

/* graph.h: the whole way of what speaks for a device is on its own. Who wakes
 * whom is no way. */
static void behind_adds_the_whole_way(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(
		"[wiring]\ngateway = s 1, W1, breaker 4\nlaptop = s 5\nhelm = s 2, W2\n"
		"[device wind]\nbehind = gateway\nfeed = breaker 7\n"
		"[device vane]\nbehind = wind\n[device radar]\nwoken by = helm\n");
	const struct fl_graph *g = graph_of(p);
	assert_string_equal(hidden_by(p, g, "run W1"), "gwv");
	assert_string_equal(hidden_by(p, g, "device gateway"), "gwv");
	assert_string_equal(hidden_by(p, g, "feed breaker 4"), "gwv");
	assert_string_equal(hidden_by(p, g, "feed breaker 7"), "wv");
	assert_string_equal(hidden_by(p, g, "device wind"), "wv");
	assert_string_equal(hidden_by(p, g, "device helm"), "h");
	assert_true(g->reachable[device_named(p, "vane")]);
	assert_false(g->reachable[device_named(p, "radar")]);
}

/* Menger's theorem, the case of one: only what lies on every way cuts a
 * device off. A ring of three switches. */
static void in_a_ring_only_what_is_on_both_ways_hides(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(
		"[wiring]\nlaptop = switch A 1\n"
		"switch A 2 = switch B 2, R1\nswitch B 3 = switch C 3, R2\n"
		"switch C 2 = switch A 3, R3\n"
		"radar = switch B 1, W1\nsounder = switch C 1, W2\n");
	const struct fl_graph *g = graph_of(p);
	static const char *const ring[] = { "run R1", "run R2", "run R3" };
	for (size_t i = 0; i < 3; i++)
		assert_string_equal(hidden_by(p, g, ring[i]), "");
	assert_string_equal(hidden_by(p, g, "switch switch A"), "rs");
	assert_string_equal(hidden_by(p, g, "switch switch B"), "r");
	assert_string_equal(hidden_by(p, g, "filter in switch C"), "s");
}

#define BOAT "[wiring]\nradar = upper switch 1, W1\ncamera = upper switch 2, W2\n" \
	"upper switch 8 = lower switch 8, W8\n"                           \
	"display = lower switch 1, W3\nsounder = display 2, W4\n"         \
	"pilot = lower switch 2, W5\n"

static const struct fl_plan *seated(const char *seat)
{
	struct fl_plan *p = read_good(BOAT);
	if (!fl_plan_seat(p, seat, region, &faults))
		fail_msg("%s", faults.at[0].text);
	return p;
}

/* graph.h: at a port of a switch. */
static void seat_at_a_port(void **state)
{
	(void)state;
	const struct fl_plan *p = seated("upper switch 5");
	const struct fl_graph *g = graph_of(p);
	assert_string_equal(hidden_by(p, g, "port 5 of upper switch"), "rcdsp");
	assert_string_equal(hidden_by(p, g, "switch upper switch"), "rcdsp");
	assert_string_equal(hidden_by(p, g, "run W8"), "dsp");
	assert_string_equal(hidden_by(p, g, "switch lower switch"), "dsp");
	assert_string_equal(hidden_by(p, g, "run W1"), "r");
	p = seated("lower switch");
	g = graph_of(p);
	assert_string_equal(hidden_by(p, g, "port of lower switch to the laptop"), "rcdsp");
}

/* graph.h: in place of a device its own run is the laptop's path. */
static void seat_in_place_of_a_device(void **state)
{
	(void)state;
	const struct fl_plan *p = seated("in place of radar");
	const struct fl_graph *g = graph_of(p);
	assert_true(g->unplugged[device_named(p, "radar")]);
	assert_false(g->unplugged[device_named(p, "camera")]);
	assert_false(g->reachable[device_named(p, "radar")]);
	assert_string_equal(hidden_by(p, g, "run W1"), "cdsp");
	assert_string_equal(hidden_by(p, g, "port 1 of upper switch"), "cdsp");
	assert_string_equal(way(p, g, "radar"),
			    "laptop lead; device radar; settings of radar");
	/* Whoever hangs at the device that was unplugged hangs in the air. */
	p = seated("in place of display");
	g = graph_of(p);
	assert_false(g->reachable[device_named(p, "sounder")]);
	assert_string_equal(hidden_by(p, g, "run W3"), "rcp");
}

/* graph.h: an own switch splits the run; each half hides its side. */
static void seat_in_a_run(void **state)
{
	(void)state;
	const struct fl_plan *p = seated("own switch in W8");
	const struct fl_graph *g = graph_of(p);
	assert_string_equal(hidden_by(p, g, "run W8 to upper switch 8"), "rc");
	assert_string_equal(hidden_by(p, g, "run W8 to lower switch 8"), "dsp");
	assert_string_equal(hidden_by(p, g, "switch upper switch"), "rc");
	assert_string_equal(hidden_by(p, g, "laptop lead"), "rcdsp");
	assert_false(has_part(g, "run W8"));
	size_t halves = 0;
	for (size_t i = 0; i < g->part_count; i++)
		halves += g->parts[i].kind == FL_PART_RUN &&
			  g->parts[i].index == run_named(p, "W8");
	assert_int_equal(halves, 2);
}

/* graph.h: straight into a device nothing of the boat lies between. */
static void seat_straight_into_a_device(void **state)
{
	(void)state;
	const struct fl_plan *p = seated("direct radar");
	const struct fl_graph *g = graph_of(p);
	assert_string_equal(way(p, g, "radar"),
			    "laptop lead; device radar; settings of radar");
	assert_true(g->reachable[device_named(p, "radar")]);
	assert_false(g->reachable[device_named(p, "camera")]);
	/* One that has ports passes the others on. */
	p = seated("direct display");
	g = graph_of(p);
	assert_true(g->reachable[device_named(p, "camera")]);
	assert_string_equal(hidden_by(p, g, "device display"), "rcdsp");
	assert_string_equal(hidden_by(p, g, "run W3"), "rcp");
}

/* graph.h: unknown, a way ends where most runs lead to. */
static void seat_unknown_ends_at_the_hub(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good(BOAT);
	const struct fl_graph *g = graph_of(p);
	/* Three runs at each switch: the first counts. */
	assert_string_equal(hidden_by(p, g, "switch upper switch"), "rcdsp");
	assert_string_equal(hidden_by(p, g, "laptop lead"), "rcdsp");
	assert_string_equal(hidden_by(p, g, "run W8"), "dsp");
	assert_string_equal(hidden_by(p, g, "run W1"), "r");
}

/* graph.h: without wiring a way is the lead, the device, its settings and
 * its feeds. */
static void without_wiring_the_device_is_still_named(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good("[device radar]\nfeed = breaker 1\n"
					    "[segment]\nlaptop = lower switch 5\n");
	const struct fl_graph *g = graph_of(p);
	assert_string_equal(way(p, g, "radar"), "laptop lead; device radar; "
			    "settings of radar; feed breaker 1");
	assert_false(g->reachable[0]);
	p = fl_plan_of_one("radar", region);
	g = graph_of(p);
	assert_string_equal(way(p, g, "radar"),
			    "laptop lead; device radar; settings of radar");
	p = read_good("");
	assert_int_equal(graph_of(p)->part_count, 1);
}

/* graph.h: wired, but not to where the laptop is: what surely hides it. */
static void of_an_island_the_own_run_is_known(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good("[wiring]\nradar = far switch 3, W7\n"
					    "pilot = near switch 1\nlaptop = near switch 5\n");
	const struct fl_graph *g = graph_of(p);
	assert_false(g->reachable[0]);
	assert_string_equal(way(p, g, "radar"), "laptop lead; run W7; "
		"port 3 of far switch; switch far switch; device radar; "
		"settings of radar; filter in far switch");
}

/* graph.h: a run is in the weather if one of its plugs is. */
static void weather_is_on_the_run(void **state)
{
	(void)state;
	const struct fl_plan *p = read_good("[wiring]\nradar = s 1, W1\npilot = s 2, W2\n"
		"wind = s 3, W3\n[device radar]\nweather = yes\n[run W3]\nweather = yes\n");
	const struct fl_graph *g = graph_of(p);
	for (size_t i = 0; i < g->part_count; i++)
		if (g->parts[i].kind == FL_PART_RUN)
			assert_int_equal(g->parts[i].weather, g->parts[i].index != run_named(p, "W2"));
}

/* plan.h: the ceilings; a plan of that size is graphed within its region. */
static void the_largest_plan_is_graphed(void **state)
{
	(void)state;
	static char text[1 << 16];
	size_t n = (size_t)snprintf(text, sizeof text, "[wiring]\nlaptop = switch 0 126\n");
	for (int s = 1; s < FL_PLAN_SWITCHES; s++)
		n += (size_t)snprintf(text + n, sizeof text - n,
			"switch %d port 127 = switch %d port 128, powered by it\n", s, s - 1);
	for (int d = 0; d < FL_PLAN_DEVICES; d++)
		n += (size_t)snprintf(text + n, sizeof text - n,
			"d%d = switch %d port %d, breaker %d\n", d,
			d % FL_PLAN_SWITCHES, d / FL_PLAN_SWITCHES + 1, d);
	const struct fl_plan *p = read_good(text);
	const struct fl_graph *g = graph_of(p);
	assert_true(g->reachable[FL_PLAN_DEVICES - 1]);
	struct fl_region *small = fl_region_new(1000);
	assert_null(fl_graph_new(p, small));
	fl_region_free(small);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		PLAN_TEST(ways_of_the_short_form),
		PLAN_TEST(ways_of_the_tomography_tree),
		PLAN_TEST(every_feed_is_needed),
		PLAN_TEST(power_over_runs_is_followed),
		PLAN_TEST(a_bypass_forwards_unpowered),
		PLAN_TEST(behind_adds_the_whole_way),
		PLAN_TEST(in_a_ring_only_what_is_on_both_ways_hides),
		PLAN_TEST(seat_at_a_port),
		PLAN_TEST(seat_in_place_of_a_device),
		PLAN_TEST(seat_in_a_run),
		PLAN_TEST(seat_straight_into_a_device),
		PLAN_TEST(seat_unknown_ends_at_the_hub),
		PLAN_TEST(without_wiring_the_device_is_still_named),
		PLAN_TEST(of_an_island_the_own_run_is_known),
		PLAN_TEST(weather_is_on_the_run),
		PLAN_TEST(the_largest_plan_is_graphed),
	};
	return FL_RUN(tests);
}
