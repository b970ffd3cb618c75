#include "test.h"

#include "plan/reading.h"

#include "plan/write.h"

enum { ROOM = 1 << 20 };

static const struct fl_mac mac_a = { { 0x02, 0, 0, 0, 0, 0x0a } };
static const struct fl_mac mac_b = { { 0x02, 0, 0, 0, 0, 0x0b } };

static struct fl_learnt learnt(const char *name)
{
	struct fl_learnt l = { .kind = NULL };
	(void)snprintf(l.name, sizeof l.name, "%s", name);
	return l;
}

static struct fl_learnt radar(void)
{
	static const uint8_t four[] = { 172, 20, 0, 21 };
	struct fl_learnt l = learnt("arch radar");
	l.kind = "radar";
	l.announced = "RADAR-21";
	l.service = "_radar._udp";
	l.software = "4.2";
	l.maker = "a maker";
	l.model = "; [model]";
	l.macs = &mac_a;
	l.mac_count = 1;
	l.address = fl_ip_from4(four);
	l.cadence = 2 * FL_SECOND;
	l.cadence_to_group = true;
	return l;
}

static const struct fl_plan *written(const struct fl_learnt *list, size_t n,
				     struct fl_text *out)
{
	assert_true(fl_text_init(out, ROOM));
	assert_true(fl_plan_write(out, list, n));
	return read_good(out->at);
}

/* write.h: what is written reads back as what was learnt. */
static void a_written_plan_reads_back(void **state)
{
	(void)state;
	const struct fl_learnt list[] = { radar(), learnt("camera") };
	struct fl_text out;
	const struct fl_plan *p = written(list, 2, &out);
	assert_int_equal(p->device_count, 2);
	const struct fl_device *d = &p->devices[0];
	assert_string_equal(d->name, "arch radar");
	assert_string_equal(d->kind, "radar");
	assert_string_equal(d->glob, "RADAR-21");
	assert_string_equal(d->service, "_radar._udp");
	assert_string_equal(d->software, "4.2");
	assert_int_equal(d->mac_count, 1);
	assert_true(fl_mac_equal(d->macs[0], mac_a));
	assert_true(fl_ip_equal(d->address, list[0].address));
	assert_int_equal(d->cadence, 2 * FL_SECOND);
	assert_true(d->cadence_to_group);
	assert_false(p->wired);
	assert_non_null(strstr(out.at, "[wiring]\n"));
	assert_non_null(strstr(out.at, "\n; arch radar =\n"));
	assert_non_null(strstr(out.at, "\n; camera =\n"));
	fl_text_close(&out);
	p = written(NULL, 0, &out);
	assert_int_equal(p->device_count, 0);
	fl_text_close(&out);
}

/* write.h: names are hostile, may be alike and may mean us; still each is a
 * device of its own. */
static void hostile_names_are_made_fit(void **state)
{
	(void)state;
	static const char *const names[] = { "a]b", "x=y, z", "; gone", "camera",
		"Camera", "laptop", "", "# x", "tab\there", "\xff\xfe", "[wiring]",
		"123456789012345678901234567890123456789012345678901234567890123",
		"1234567890123456789012345678901234567890123456789012345678\xc3\xa9\xc3\xa9" };
	enum { N = sizeof names / sizeof names[0] };
	struct fl_learnt list[N];
	for (size_t i = 0; i < N; i++) {
		list[i] = learnt(names[i]);
		list[i].kind = "a;b";
		list[i].announced = "we; [are] #1 * here\\";
		list[i].service = "a  b";
		list[i].software = i % 2 ? "4;2" : "4.2  b";
		list[i].maker = "line\nbreak";
		list[i].macs = &mac_a;   /* one MAC for all: said once */
		list[i].mac_count = 1;
	}
	struct fl_text out;
	const struct fl_plan *p = written(list, N, &out);
	assert_int_equal(p->device_count, N);
	assert_string_equal(p->devices[0].name, "a-b");
	assert_string_equal(p->devices[4].name, "Camera (2)");
	assert_string_equal(p->devices[5].name, "laptop (2)");
	assert_string_equal(p->devices[6].name, "device");
	assert_string_equal(p->devices[0].glob, "we? ?are? ?1 ? here?");
	assert_string_equal(p->devices[0].service, "a ?b");
	assert_null(p->devices[0].software);
	assert_int_equal(p->devices[0].mac_count, 1);
	assert_int_equal(p->devices[1].mac_count, 0);
	fl_text_close(&out);
}

/* plan.h: a plan holds FL_PLAN_DEVICES; the others are counted. */
static void devices_beyond_the_ceiling_are_counted(void **state)
{
	(void)state;
	enum { N = FL_PLAN_DEVICES + 44 };
	static struct fl_learnt list[N];
	for (size_t i = 0; i < N; i++)
		list[i] = learnt("camera");
	struct fl_text out;
	const struct fl_plan *p = written(list, N, &out);
	assert_int_equal(p->device_count, FL_PLAN_DEVICES);
	assert_non_null(strstr(out.at, "; 44 more were heard"));
	fl_text_close(&out);
}

/* write.h: false where the text's ceiling was reached. */
static void a_full_text_is_told(void **state)
{
	(void)state;
	const struct fl_learnt one = radar();
	struct fl_text out;
	assert_true(fl_text_init(&out, 200));
	assert_false(fl_plan_write(&out, &one, 1));
	fl_text_close(&out);
}

/* Put more behind a plan that stands, and read the whole. */
static const struct fl_plan *added(const char *standing,
				   const struct fl_learnt *list,
				   const int *same, size_t n, struct fl_text *out)
{
	const struct fl_plan *plan = read_good(standing);
	assert_true(fl_text_init(out, ROOM));
	assert_true(fl_plan_write_more(out, plan, standing, strlen(standing),
				       list, same, n));
	const struct fl_plan *whole = read_good(fl_region_format(region, "%s%s",
							 standing, out->at));
	return whole;
}

/* write.h: a device of the plan gets the keys it does not have, no other. */
static void adding_fills_in_and_changes_nothing(void **state)
{
	(void)state;
	static const char *const ends[] = { "\n", "\r\n", "" };
	const struct fl_learnt list[] = { radar(), learnt("new camera") };
	const int same[] = { 0, FL_NONE };
	for (size_t i = 0; i < 3; i++) {
		const char *standing = fl_region_format(region,
			"[device mast radar]%skind = mast thing%s; mine, do not touch%s",
			i == 1 ? "\r\n" : "\n", i == 1 ? "\r\n" : "\n", ends[i]);
		struct fl_text out;
		const struct fl_plan *p = added(standing, list, same, 2, &out);
		assert_int_equal(p->device_count, 2);
		assert_string_equal(p->devices[0].name, "mast radar");
		assert_string_equal(p->devices[0].kind, "mast thing");
		assert_int_equal(p->devices[0].mac_count, 1);
		assert_int_equal(p->devices[0].cadence, 2 * FL_SECOND);
		assert_string_equal(p->devices[1].name, "new camera");
		assert_non_null(strstr(out.at, "; new camera ="));
		assert_null(strstr(out.at, "; mast radar ="));
		size_t lf = 0, crlf = 0;
		for (const char *c = out.at; *c; c++) {
			lf += *c == '\n';
			crlf += *c == '\n' && c > out.at && c[-1] == '\r';
		}
		assert_int_equal(crlf, i == 1 ? lf : 0);
		fl_text_close(&out);
	}
}

/* write.h: nothing to add, nothing written; and so learning twice adds
 * nothing the second time. */
static void learning_twice_adds_nothing(void **state)
{
	(void)state;
	const struct fl_learnt list[] = { radar(), learnt("camera") };
	const int same[] = { 0, 1 };
	struct fl_text fresh, more;
	(void)written(list, 2, &fresh);
	(void)added(fresh.at, list, same, 2, &more);
	assert_int_equal(more.n, 0);
	fl_text_close(&more);
	fl_text_close(&fresh);
}

/* fairlead-plan(5): a MAC or address is one device's own; a new name must not
 * turn a place that stands into one of two things. */
static void adding_makes_no_fault_in_what_stands(void **state)
{
	(void)state;
	static const char standing[] =
		"[wiring]\nradar = lower switch 3, breaker 12\ncamera 2 = hub 4\n"
		"[device radar]\nmac = 02:00:00:00:00:0a\naddress = 172.20.0.21\n";
	struct fl_learnt list[] = { radar(), learnt("lower switch 3"),
		learnt("Lower Switch"), learnt("camera"), learnt("hub port 4"),
		learnt("breaker 12"), learnt("breaker"), learnt("radar"), radar() };
	enum { N = sizeof list / sizeof list[0] };
	int same[N];
	for (size_t i = 0; i < N; i++)
		same[i] = FL_NONE;
	same[7] = same[8] = 0;
	list[1].macs = &mac_b;
	list[1].mac_count = 1;
	struct fl_text out;
	const struct fl_plan *p = added(standing, list, same, N, &out);
	assert_int_equal(p->device_count, 2 + 7);
	assert_int_equal(p->run_count, 2);
	assert_int_equal(p->runs[0].ends[1].kind, FL_PLACE_SWITCH);
	const int at = device_named(p, "lower switch 3 (2)");
	assert_true(fl_mac_equal(p->devices[at].macs[0], mac_b));
	fl_text_close(&out);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		PLAN_TEST(a_written_plan_reads_back),
		PLAN_TEST(hostile_names_are_made_fit),
		PLAN_TEST(devices_beyond_the_ceiling_are_counted),
		PLAN_TEST(a_full_text_is_told),
		PLAN_TEST(adding_fills_in_and_changes_nothing),
		PLAN_TEST(learning_twice_adds_nothing),
		PLAN_TEST(adding_makes_no_fault_in_what_stands),
	};
	return FL_RUN(tests);
}
