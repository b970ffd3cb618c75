/* test_situations.c -- what a technician meets, and where the trade looks first.
 *
 * Source  common practice, unless a row says otherwise: the quick look before
 *         the long job, what several missing have in common before one of them,
 *         the laptop's own lead before the boat
 */
#include "test.h"

#include "diagnose/diagnose.h"
#include "listen.h"

#include "base/text.h"

/* Two switches; %s: faults and what else is on board. */
static const char base[] =
	"boat Storm Petrel\n"
	"listen 150, start 1777713142, seed 11, snap 128\n"
	"feed breaker 9, volts 24\nfeed breaker 10\nfeed breaker 12\nfeed breaker 14\n"
	"switch lower switch, ports 8, feed breaker 9, with link-local flooding\n"
	"switch mast switch, ports 5, feed breaker 10\n"
	"device helm display, kind display, mac 02:1b:c5:00:00:11, address 172.20.0.11, feed breaker 9\n"
	"device sounder, kind sounder, mac 02:1b:c5:00:00:41, address 172.20.0.41, feed breaker 14, rate 2\n"
	"device pilot gateway, kind gateway, mac 02:1b:c5:00:00:51, address 172.20.0.51, feed breaker 9\n"
	"device arch radar, kind radar, mac 02:1b:c5:00:00:21, address 172.20.0.21, feed breaker 12, rate 4, boots in 40\n"
	"device camera, kind camera, mac 02:1b:c5:00:00:31, address 172.20.0.31, feed breaker 12, boots in 20\n"
	"device mast weather, kind weather, mac 02:1b:c5:00:00:71, address 172.20.0.71, feed breaker 14\n"
	"run W1, helm display, lower switch 1\n"
	"run W2, sounder, lower switch 2\n"
	"run W6, pilot gateway, lower switch 6\n"
	"run W7, arch radar, lower switch 3, joint arch bulkhead\n"
	"run W8, camera, mast switch 3\n"
	"run W9, mast weather, mast switch 2\n"
	"run T1, mast switch 1, lower switch 8, joint mast foot\n"
	"laptop lower switch 5\n";

struct situation {
	const char *name, *faults;
	const char *step;            /* in the first step, or NULL: no step  */
	const char *look;            /* in where to look first, or NULL      */
	const char *finding;         /* that is found, or NULL               */
};

static const struct situation rows[] = {
	{ "the laptop's own lead is broken", "fault laptop lead, dead\n",
	  "Another lead for the laptop", "the laptop's own lead", "nothing-heard" },
	{ "the near switch has no supply", "fault feed breaker 9, off\n",
	  "Another lead for the laptop", "the laptop's own lead", "nothing-heard" },
	{ "the near switch is dead", "fault switch lower switch, dead\n",
	  "Another lead for the laptop", "the laptop's own lead", "nothing-heard" },
	{ "a radar asleep", "fault device arch radar, asleep\n",
	  "the light at port 3 of lower switch", "arch radar itself", "device-missing" },
	{ "a radar's cable is cut", "fault run W7, dead\n",
	  "the light at port 3 of lower switch", "cable W7", "device-missing" },
	{ "a switch port is dead", "fault port lower switch 3, dead\n",
	  "the light at port 3 of lower switch", "port 3 of lower switch",
	  "device-missing" },
	{ "a plug works loose", "fault run W7, flaps, every 40, for 1.2 2\n",
	  "the light at port 3 of lower switch", "cable W7", "device-comes-and-goes" },
	{ "a plug gives way while listening", "fault run W2, dead, from 60\n",
	  "the light at port 2 of lower switch", "cable W2", "device-missing" },
	{ "a fuse is blown, two are gone", "fault feed breaker 12, off\n",
	  "Meter breaker 12", "breaker 12", "device-missing" },
	{ "a fuse blows while listening", "fault feed breaker 12, off, from 60\n",
	  "Meter breaker 12", "breaker 12", "device-missing" },
	{ "a fuse is blown, gear of two switches is gone", "fault feed breaker 14, off\n",
	  "Meter breaker 14", "breaker 14", "device-missing" },
	{ "a supply sags as the engine is started",
	  "fault feed breaker 12, sags, from 60, to 60.5\n",
	  "Meter breaker 12", "breaker 12", "device-restarts" },
	{ "one device falls silent once and comes back, nobody knows how",
	  "fault device pilot gateway, reboots, from 60, to 60.3\n",
	  "both plugs of W6", "pilot gateway itself", "device-comes-and-goes" },
	{ "one device starts anew by itself, its stack says so",
	  "device chart display, kind display, mac 02:1b:c5:00:00:12, address 172.20.0.12, "
	  "feed breaker 9, with dhcp, boots in 15\nrun W3, chart display, lower switch 7\n"
	  "fault device chart display, reboots, from 60, to 60.3\n",
	  "Meter ", "chart display itself", "device-restarts" },
	{ "one device is switched off while listening",
	  "fault device sounder, off, from 60\n",
	  "the light at port 2 of lower switch", "sounder itself", "device-missing" },
	{ "the cable to the mast is cut", "fault run T1, dead\n",
	  "the lights of mast switch", "cable T1", "device-missing" },
	{ "a connector at the mast foot comes and goes",
	  "fault run T1, flaps, every 60, for 30 32\n",
	  "the light at port", "cable T1", "device-comes-and-goes" },
	{ "the mast switch is dead", "fault switch mast switch, dead\n",
	  "the lights of mast switch", "breaker 10", "device-missing" },
	{ "the mast switch's breaker is off", "fault feed breaker 10, off\n",
	  "the lights of mast switch", "breaker 10", "device-missing" },
	{ "a camera that is powered over its cable is gone",
	  "device deck camera, kind camera, mac 02:1b:c5:00:00:32, address 172.20.0.32, feed run W4\n"
	  "run W4, deck camera, lower switch 4\nfault run W4, dead\n",
	  "the light at port 4 of lower switch", "cable W4", "device-missing" },
	{ "a run drops frames, the rest is well",
	  "fault run W2, loses 0.1\n", "light at port 2", "cable W2", "frames-lost" },
	{ "a second address server",
	  "device shore router, kind router, mac 02:1b:c5:00:00:61, address 192.168.8.1, "
	  "feed breaker 9, with no place in the plan\nrun W5, shore router, lower switch 7\n"
	  "device chart display, kind display, mac 02:1b:c5:00:00:12, address 172.20.0.12, "
	  "feed breaker 9, with address server\nrun W3, chart display, lower switch 4\n"
	  "device tablet, kind instrument, mac 02:1b:c5:00:00:13, address 172.20.0.13, "
	  "feed breaker 9, boots in 4, with dhcp, with broadcast answers\n"
	  "run W4, tablet, mast switch 4\n"
	  "fault device shore router, serves, from 20\nfault device tablet, reboots, from 30, to 31\n",
	  NULL, "the server that the plan does not name", "two-address-servers" },
	{ "one device is set to another network",
	  "device engine gateway, kind gateway, mac 02:1b:c5:00:00:52, address 192.168.1.52, "
	  "feed breaker 9\nrun W4, engine gateway, lower switch 4\n",
	  NULL, "its address settings", "address-outside-network" },
	{ "two stations use one address",
	  "fault device camera, takes 172.20.0.41, from 30\n",
	  NULL, "the address settings of both", "address-conflict" },
	{ "a loop of cables, a storm",
	  "fault switch lower switch, storms, from 60, to 63, rate 2200\n",
	  NULL, "a cable that joins two ports", "traffic-storm" },
	{ "nothing is wrong", "", NULL, NULL, NULL },
};

static const struct fl_answer *judge(const char *faults, struct fl_region *region,
				     struct fl_ledger *ledger)
{
	static struct fl_plan_faults wrong;
	char why[200] = "", scenario[8192];
	snprintf(scenario, sizeof scenario, "%s%s", base, faults);
	struct sim_boat *boat = sim_boat_read(scenario, why, sizeof why);
	if (!boat)
		fail_msg("%s\n%s", why, faults);
	assert_true(listen_to(boat, 0, 0, fl_ledger_observer(ledger)));
	char *text = sim_plan_text(boat);
	const struct fl_plan *plan = fl_plan_read(text, strlen(text), region, &wrong);
	assert_non_null(plan);
	free(text);
	sim_boat_free(boat);
	return fl_diagnose(ledger, plan, (struct fl_texts){ 0 }, region);
}

static bool holds(const char *text, const char *part)
{
	return part ? text && strstr(text, part) : !text;
}

static bool finds(const struct fl_answer *a, const char *id)
{
	bool found = false, wrong = false;
	for (size_t i = 0; i < a->finding_count; i++) {
		found |= id && strcmp(a->findings[i].id, id) == 0;
		wrong |= a->findings[i].severity != FL_REMARK;
	}
	return id ? found : !wrong;
}

/* Whatever a step says of a fuse, a plug or a waking radar has its caution. */
static bool is_careful(const struct fl_answer_step *s)
{
	static const struct { const char *action, *caution; } must[] = {
		{ "Meter ", "Supply: " }, { "Wake arch radar", "Radar: nobody near" },
		{ "W7", "Radar: " }, { "mast foot", "Mast: " },
		{ "W9", "Mast: " },
	};
	for (size_t i = 0; i < sizeof must / sizeof must[0]; i++)
		if (strstr(s->action, must[i].action) &&
		    !(s->caution && strstr(s->caution, must[i].caution)))
			return false;
	return true;
}

static bool check(const struct situation *s)
{
	struct fl_region *region = fl_region_new(64 << 20);
	struct fl_ledger *ledger = fl_ledger_new();
	assert_true(region && ledger);
	const struct fl_answer *a = judge(s->faults, region, ledger);
	assert_non_null(a);
	const char *step = a->step_count ? a->steps[0].action : NULL;
	bool right = holds(step, s->step) && holds(a->look, s->look) && finds(a, s->finding);
	for (size_t i = 0; i < a->step_count; i++)
		right &= is_careful(&a->steps[i]);
	/* Two lines of 80 columns hold the headline. */
	right &= strlen(a->what) + (a->look ? strlen(a->look) : 0) <= 160 - 20;
	if (!right) {
		print_error("%s: %s. Look: %s\n", s->name, a->what, a->look ? a->look : "-");
		for (size_t i = 0; i < a->step_count; i++)
			print_error("   step %zu: %s [%s]\n", i + 1, a->steps[i].action,
				    a->steps[i].caution ? a->steps[i].caution : "-");
		for (size_t i = 0; i < a->suspect_count; i++)
			print_error("   %.2f %s\n", a->suspects[i].probability, a->suspects[i].part);
		for (size_t i = 0; i < a->finding_count; i++)
			print_error("   %s: %s\n", a->findings[i].id, a->findings[i].text);
	}
	fl_ledger_free(ledger);
	fl_region_free(region);
	return right;
}

static void the_trade_looks_there_first(void **state)
{
	(void)state;
	size_t missed = 0;
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		missed += !check(&rows[i]);
	assert_int_equal(missed, 0);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(the_trade_looks_there_first),
	};
	return FL_RUN(tests);
}
