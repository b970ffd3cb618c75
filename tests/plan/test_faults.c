#include "test.h"

#include "plan/reading.h"

struct row {
	const char *text;
	int line, column;
	const char *says, *remedy;
};

/* Source: fairlead-plan(5), which says what each key, name and place may be.
 * Each text has this one fault. */
static const struct row rows[] = {
	/* Lines and sections. */
	{ "radar = lower switch\n", 1, 1, "no section", "[wiring]" },
	{ "[device radar\nkind = x\n", 1, 1, "no closing bracket", "[device" },
	{ "[wiring] radar\n", 1, 10, "more behind", "new line" },
	{ "[wiring]\n  radar lower switch 3\n", 2, 3, "no =", "key = value" },
	{ "[wiring]\n = lower switch 3\n", 2, 2, "before the =", "key = value" },
	{ "[segment]\nname = ; later\n", 2, 1, "behind the =", "fill it in" },
	{ "[devise radar]\n", 1, 2, "'devise' is no section", "did you mean 'device'?" },
	{ "[boat]\n", 1, 2, "'boat' is no section", "the sections are" },
	{ "[device]\n", 1, 2, "has no name", "[device NAME]" },
	{ "[wiring lower]\n", 1, 2, "takes no name", "[wiring]" },
	{ "\xff\xfe[\0", 1, 1, "UTF-16", "UTF-8" },
	/* Keys. */
	{ "[device r]\ncadance = 2 s\n", 2, 1, "'cadance' is no key", "did you mean 'cadence'?" },
	{ "[device r]\nwoken_by = r2\n", 2, 1, "'woken_by' is no key", "did you mean 'woken by'?" },
	{ "[feed b]\nmakers plate = x\n", 2, 1, "is no key", "its keys are volts, fuse" },
	{ "[device r]\nkind = radar\n\n[device R]\nkind = sonar\n", 5, 8, "in line 2", "keep one" },
	{ "[run a]\nfrom = x\nto = y\nfrom = z\n", 4, 8, "in line 2", "keep one" },
	/* Values. */
	{ "[device r]\nmac = 02:1b:c5:00:00\n", 2, 7, "no MAC address", "02:1b:c5:00:00:21" },
	{ "[device r]\nmac = 02:00:00:00:00:01, 01:00:5e:00:00:01\n", 2, 26, "no MAC address", "02:" },
	{ "[device r]\naddress = 172.20.0.999\n", 2, 11, "no address", "172.20.0.21" },
	{ "[device r]\naddress = 239.0.0.1\n", 2, 11, "no address", "172.20.0.21" },
	{ "[device r]\ncadence = often\n", 2, 11, "'often' is not an interval", "2 s" },
	{ "[device r]\ncadence = 2 s to everyone\n", 2, 11, "not an interval", "500 ms" },
	{ "[device r]\nports = 129\n", 2, 9, "no number of ports", "1 to 128" },
	{ "[device r]\nports = 0\n", 2, 9, "no number of ports", "1 to 128" },
	{ "[device r]\nleave = maybe\n", 2, 9, "neither yes nor no", "yes or no" },
	{ "[device r]\nserves = coffee\n", 2, 10, "'coffee'", "serves = addresses" },
	{ "[feed b]\nvolts = 12.4.1\n", 2, 9, "not a voltage", "12,4" },
	{ "[feed b]\nfuse = 15 W\n", 2, 8, "not a fuse", "15 A" },
	{ "[feed b]\nvolts = 1234567890\n", 2, 9, "not a voltage", "1000 V" },
	{ "[run a]\nfrom = x\nto = y\nlength = 60\n", 4, 10, "not a length", "60 ft" },
	{ "[run a]\nfrom = x\nto = y\nlength = 18 miles\n", 4, 10, "not a length", "18 m" },
	{ "[run a]\nfrom = x\nto = y\nspeed = 99\n", 4, 9, "no speed", "100" },
	{ "[segment]\nlog down = port is gone\n", 2, 12, "does not say where", "one %" },
	{ "[segment]\nlog up = a % b, % and %\n", 2, 17, "does not say where", "one %" },
	{ "[segment]\nlog up = %,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,%,"
	  "%,%,%,%,%\n", 2, 74, "one too many", "at most 32" },
	/* Names. */
	{ "[device a,b]\n", 1, 9, "cannot be a name", "none of ," },
	{ "[wiring]\na]b = s 1\n", 2, 1, "cannot be a name", "none of ," },
	{ "[device ab\x01]\n", 1, 9, "no text", "control" },
	{ "[device ab\xff]\n", 1, 9, "no text", "UTF-8" },
	{ "[device 12345678901234567890123456789012345678901234567890123456789012345]\n",
	  1, 9, "too long", "64" },
	{ "[device lower]\n[switch lower]\n", 1, 9, "a switch in line 2", "another name" },
	{ "[device laptop]\n", 1, 9, "your own machine", "laptop = PLACE" },
	{ "[device r]\nwoken by = helm\n[device helm 1]\n", 2, 12, "called 'helm'", "did you mean 'helm 1'?" },
	{ "[device r]\nbehind = gateway\n", 2, 10, "called 'gateway'", "[device]" },
	/* Wiring. */
	{ "[wiring]\nradar = lower switch 3, seven\n", 2, 25, "'seven' is neither", "'run X'" },
	{ "[wiring]\nradar = lower switch 3, , W7\n", 2, 25, "between two commas", "'run X'" },
	{ "[wiring]\nradar = W7, breaker 12, via deck plug\n", 2, 9,
	  "'W7' is no switch", "first the switch" },
	{ "[wiring]\nradar = lower switch 3, W7, W8\n", 2, 29, "second label", "via" },
	{ "[wiring]\nradar = lower switch 0\n", 2, 9, "no number of a port", "1 to 128" },
	{ "[wiring]\nradar = lower switch 129\n", 2, 9, "no number of a port", "1 to 128" },
	{ "[wiring]\nradar = radar 2\n", 2, 9, "into itself", "leads to" },
	{ "[wiring]\na = s 1, W7\nb = s 2, W7\n", 3, 10, "other ends in line 2", "one label" },
	{ "[wiring]\na = s 1, W7\n[run W7]\nfrom = b\nto = s port 1\n", 2, 10,
	  "other ends", "one label" },
	{ "[wiring]\na = s 1, x\n[run x]\nfrom = b\nto = s 2\n[feed x]\n", 2, 10, "both a feed and a run", "'run X'" },
	{ "[wiring]\nlaptop = s 5\nlaptop = s 6\n", 3, 10, "elsewhere in line 2", "keep one" },
	{ "[segment]\nlaptop = s 5\n[wiring]\nlaptop = t\n", 4, 10, "elsewhere in line 2", "keep one" },
	{ "[wiring]\nradar = s 3\nlaptop = s 3\n", 3, 10, "holds the cable of radar", "in place of radar" },
	/* Places that may mean two things. */
	{ "[wiring]\nhelm = s 1\nhelm 2 = s 2\ncamera = helm 2\n", 4, 10,
	  "may be a name, or port 2 of helm", "'port 2 of helm'" },
	{ "[wiring]\na = switch 1\n[switch switch 1]\nports = 4\n[switch switch]\n", 2, 5,
	  "may be a name", "'port 1 of switch'" },
	/* The whole plan. */
	{ "[wiring]\na = s 1\nb = s 1\n", 3, 1, "used in line 2", "one plug" },
	{ "[switch s]\nports = 4\n[wiring]\na = s 5\n", 4, 1, "4 ports, not 5", "mend ports" },
	{ "[device d]\nports = 2\n[wiring]\nc = d 3\n", 4, 1, "2 ports, not 3", "mend ports" },
	{ "[device d]\n[run a]\nfrom = x\nto = d port 2\n", 2, 1, "d has no ports", "ports = N" },
	{ "[wiring]\na = s 1\na = s 2\n", 2, 1, "a has 2 cables", "ports = 2" },
	{ "[run a]\nfrom = x\n", 1, 1, "one end only", "to = PLACE" },
	{ "[run a]\nlength = 3 m\n", 1, 1, "no ends", "from = and to =" },
	{ "[run a]\nfrom = x\nto = x\n", 1, 1, "both ends at x", "two different" },
	{ "[device a]\nmac = 02:00:00:00:00:01\n[device b]\nmac = 02-00-00-00-00-01\n", 4, 7,
	  "is a as well, in line 2", "one device's own" },
	{ "[device a]\naddress = 172.20.0.1\n[device b]\naddress = 172.20.0.1\n", 4, 11,
	  "is a as well, in line 2", "never both" },
	/* Loops. */
	{ "[device a]\nwoken by = b\n[device b]\nwoken by = a\n", 2, 12, "a wakes itself", "circle" },
	{ "[device a]\nbehind = a\n", 2, 10, "behind itself", "circle" },
	{ "[device a]\nports = 2\nfeed = run W1\n[device b]\nports = 2\nfeed = run W1\n"
	  "[run W1]\nfrom = a port 1\nto = b port 1\n", 3, 8, "a powers itself", "circle" },
	/* Feeds. */
	{ "[device a]\nfeed = run W9\n", 2, 12, "no run is called 'W9'", "own run" },
	{ "[device a]\nfeed = run W9\n[wiring]\nb = s 1, W9\n", 2, 12, "does not end at a", "own run" },
	{ "[device a]\nfeed = port 4 of s\n[wiring]\na = s 3\n", 2, 8, "no run leads from", "own cable" },
	{ "[device a]\nfeed = W9\n[feed W9]\n[run W9]\nfrom = a\nto = s port 1\n", 2, 8,
	  "both a feed and a run", "'run X'" },
	/* Seats. */
	{ "[segment]\nlaptop = in place of radar\n", 2, 22, "called 'radar'", "name a device" },
	{ "[segment]\nlaptop = own switch in W7\n", 2, 24, "no run is called 'W7'", "label" },
	{ "[segment]\nlaptop = radar\n[device radar]\n", 2, 10, "radar has no ports", "direct radar" },
	{ "[segment]\nlaptop = s 9\n[switch s]\nports = 8\n", 2, 10, "8 ports, not 9", "mend" },
};

static void tells_each_fault_at_its_place(void **state)
{
	(void)state;
	int wrong = 0;
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct row *row = &rows[i];
		const struct fl_plan_fault *f = &faults.at[0];
		if (read_text(row->text) || faults.n != 1 || f->line != row->line || f->column != row->column ||
		    !strstr(f->text, row->says) || !strstr(f->remedy, row->remedy)) {
			for (size_t k = 0; k < faults.n; k++)
				print_error("%d:%d: %s; %s\n", faults.at[k].line,
					    faults.at[k].column, faults.at[k].text,
					    faults.at[k].remedy);
			print_error("but expected %d:%d: %s; %s\nof %s\n", row->line,
				    row->column, row->says, row->remedy, row->text);
			wrong++;
		}
	}
	assert_int_equal(wrong, 0);
}

/* fairlead-plan(5): all faults in one go, in the order of the lines. */
static void tells_all_faults_in_one_go(void **state)
{
	(void)state;
	assert_null(read_text("[segment]\nnmae = Storm Petrel\n"
			      "[device radar]\nmac = nonsense\nwoken by = nobody\n"
			      "[wiring]\nradar = lower switch 3, what\n"
			      "sounder = lower switch 3\n"));
	static const int lines[] = { 2, 4, 5, 7, 8 };
	assert_int_equal(faults.n, 5);
	for (size_t i = 0; i < 5; i++)
		assert_int_equal(faults.at[i].line, lines[i]);
	assert_false(faults.more);
}

/* A terminal is no place for what a plan may hold. */
static void quotes_nothing_unclean(void **state)
{
	(void)state;
	assert_null(read_text("[device r]\n\x1b[31mkey = x\ncadence = \x1b[2J\n"));
	assert_int_equal(faults.n, 2);
	for (size_t i = 0; i < faults.n; i++)
		assert_null(strchr(faults.at[i].text, '\x1b'));
}

struct ceiling {
	const char *head, *line;   /* the line has the number twice          */
	int most;
	const char *says;
};

/* plan.h: the ceilings; one more of each is told, once. */
static void each_ceiling_is_told(void **state)
{
	(void)state;
	static const struct ceiling ceilings[] = {
		{ "", "[device d%d]\n;%d\n", FL_PLAN_DEVICES, "one device too many" },
		{ "", "[switch s%d]\n;%d\n", FL_PLAN_SWITCHES, "one switch too many" },
		{ "", "[feed f%d]\n;%d\n", FL_PLAN_FEEDS, "one feed too many" },
		{ "[device x]\nports=1\n[device y]\nports=1\n",
		  "[run r%d]\nfrom=x\nto=y\n;%d\n", FL_PLAN_RUNS, "one run too many" },
		{ "[device x]\nmac = 02:00:00:00:00:ff",
		  ",02:00:00:00:%02x:%02x", FL_DEVICE_MACS - 1, "one address too many" },
		{ "[device x]\nfeed = breaker 1000", ",breaker %d%d",
		  FL_DEVICE_FEEDS - 1, "one feed too many" },
		{ "[wiring]\nradar = s", ",via j%d%d", FL_RUN_JOINTS,
		  "one joint too many" },
	};
	static char text[1 << 16];
	for (size_t i = 0; i < sizeof ceilings / sizeof ceilings[0]; i++) {
		const struct ceiling *c = &ceilings[i];
		for (int over = 0; over < 3; over += 2) {
			size_t n = (size_t)snprintf(text, sizeof text, "%s", c->head);
			for (int k = 0; k < c->most + over; k++)
				n += (size_t)snprintf(text + n, sizeof text - n, c->line, k, k);
			const struct fl_plan *plan = read_text(text);
			if (!over && !plan)
				fail_msg("%s: %s", c->line, faults.at[0].text);
			if (!over)
				continue;
			assert_null(plan);
			assert_non_null(strstr(faults.at[0].text, c->says));
			assert_true(faults.n <= 2);
		}
	}
}

/* plan.h: a plan of 1 MiB, a list of FL_PLAN_FAULTS. */
static void large_texts_and_long_lists_are_cut(void **state)
{
	(void)state;
	enum { MOST = 1 << 20 };
	char *text = test_malloc(MOST + 1);
	memset(text, '\n', MOST + 1);
	assert_non_null(fl_plan_read(text, MOST, region, &faults));
	assert_null(fl_plan_read(text, MOST + 1, region, &faults));
	assert_int_equal(faults.n, 1);
	assert_non_null(strstr(faults.at[0].text, "1 MiB"));
	for (size_t i = 0; i + 4 < MOST; i += 4)
		memcpy(text + i, "bad\n", 4);
	assert_null(fl_plan_read(text, MOST, region, &faults));
	assert_int_equal(faults.n, FL_PLAN_FAULTS);
	assert_true(faults.more);
	test_free(text);
}

/* region.h: a full region refuses; the plan is then a fault, not a crash. */
static void a_full_region_is_a_fault(void **state)
{
	(void)state;
	struct fl_region *small = fl_region_new(1);
	assert_null(fl_plan_read(LONG_FORM, strlen(LONG_FORM), small, &faults));
	assert_true(faults.n >= 1);
	assert_int_equal(faults.at[0].line, 1);
	assert_null(fl_plan_of_one("radar", small));
	fl_region_free(small);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		PLAN_TEST(tells_each_fault_at_its_place),
		PLAN_TEST(tells_all_faults_in_one_go),
		PLAN_TEST(quotes_nothing_unclean),
		PLAN_TEST(each_ceiling_is_told),
		PLAN_TEST(large_texts_and_long_lists_are_cut),
		PLAN_TEST(a_full_region_is_a_fault),
	};
	return FL_RUN(tests);
}
