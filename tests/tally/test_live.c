#include "test.h"

#include "tally/tally.h"

/* What was told, by kind. */
struct told {
	fl_time  deaf, seconds_to;
	unsigned seconds, deaf_rows, steps, ports, marks;
	int64_t  step;
	fl_time  port_at, listens, ends;
	char     why[64];
	fl_time  port_before_second;   /* the second told last before it */
};

static void hear_ear(struct told *t, const struct fl_observation *o)
{
	switch (o->listening.change) {
	case FL_EAR_LISTENS: t->listens = o->from; break;
	case FL_EAR_ENDS:    t->ends = o->to; break;
	case FL_EAR_STEPPED: t->steps++; t->step = o->listening.amount; break;
	case FL_EAR_DEAF:
		t->deaf += o->to - o->from;
		t->deaf_rows++;
		(void)snprintf(t->why, sizeof t->why, "%s", o->listening.text);
		break;
	default: break;
	}
}

static void take(void *context, const struct fl_observation *o)
{
	struct told *t = context;
	if (o->kind == FL_OBSERVED_EAR)
		hear_ear(t, o);
	if (o->kind == FL_OBSERVED_SECOND) {
		t->seconds++;
		t->seconds_to = o->to;
	}
	if (o->kind == FL_OBSERVED_PORT) {
		t->ports++;
		t->port_at = o->to;
		t->port_before_second = t->seconds_to;
	}
	t->marks += o->kind == FL_OBSERVED_HAND;
}

static const fl_time start = INT64_C(1777713247) * FL_SECOND;

static void say(struct fl_tally *tally, enum fl_ear_news news, fl_time at, const char *name)
{
	const struct fl_frame_sink sink = fl_tally_sink(tally);
	sink.ear(sink.context, &(struct fl_ear_event){ .news = news, .time = at,
		.link = FL_LINK_ETHERNET, .name = name, .amount = 3 * FL_HOUR });
}

static struct fl_tally *live(struct told *t)
{
	*t = (struct told){ 0 };
	struct fl_tally *tally = fl_tally_new("eth1", NULL, (struct fl_observer){ t, take });
	fl_tally_live(tally);
	say(tally, FL_EAR_OPENED, 0, "eth1");
	say(tally, FL_EAR_SINCE, start, "");
	return tally;
}

static void end(struct fl_tally *tally, fl_time at)
{
	say(tally, FL_EAR_UNTIL, at, "");
	fl_tally_end(tally);
	fl_tally_free(tally);
}

/* An hour without one frame is an hour listened, second by second. */
static void silence_is_listened_to_without_a_frame(void **state)
{
	(void)state;
	struct told t;
	struct fl_tally *tally = live(&t);
	for (int s = 1; s <= 3600; s++)
		fl_tally_advance(tally, start + s * FL_SECOND);
	assert_int_equal(t.seconds, 3600);
	end(tally, start + 3601 * FL_SECOND);
	assert_int_equal(t.listens, start);
	assert_int_equal(t.ends, start + 3601 * FL_SECOND);
	assert_int_equal(t.deaf, 0);
}

/* Deaf time is told while it lasts, adds up, and keeps its first reason. */
static void deaf_time_is_told_second_by_second_and_adds_up(void **state)
{
	(void)state;
	struct told t;
	struct fl_tally *tally = live(&t);
	fl_tally_advance(tally, start + 2 * FL_SECOND);
	say(tally, FL_EAR_DEAFENED, start + 2 * FL_SECOND + 300 * FL_MILLISECOND, "no link");
	say(tally, FL_EAR_DEAFENED, start + 3 * FL_SECOND, "something else");
	fl_tally_advance(tally, start + 5 * FL_SECOND);
	assert_int_equal(t.deaf, 2700 * FL_MILLISECOND);
	assert_int_equal(t.deaf_rows, 3);
	say(tally, FL_EAR_HEARS, start + 6 * FL_SECOND + 500 * FL_MILLISECOND, "");
	fl_tally_advance(tally, start + 9 * FL_SECOND);
	end(tally, start + 9 * FL_SECOND);
	assert_int_equal(t.deaf, 4200 * FL_MILLISECOND);
	assert_string_equal(t.why, "no link");
}

/* What comes by another way waits for its second, as frames do. */
static void ports_and_marks_are_told_with_their_second(void **state)
{
	(void)state;
	struct told t;
	struct fl_tally *tally = live(&t);
	fl_tally_also(tally, &(struct fl_observation){ .kind = FL_OBSERVED_PORT,
		.to = start + 3500 * FL_MILLISECOND, .port = { .name = "eth1" } });
	fl_tally_also(tally, &(struct fl_observation){ .kind = FL_OBSERVED_HAND,
		.to = start + 3600 * FL_MILLISECOND, .hand = { .text = "" } });
	fl_tally_advance(tally, start + 3 * FL_SECOND);
	assert_int_equal(t.ports + t.marks, 0);
	fl_tally_advance(tally, start + 4 * FL_SECOND);
	assert_int_equal(t.ports, 1);
	assert_int_equal(t.marks, 1);
	assert_int_equal(t.port_at, start + 3500 * FL_MILLISECOND);
	assert_int_equal(t.port_before_second, start + 3 * FL_SECOND);
	end(tally, start + 5 * FL_SECOND);
}

/* On a silent network a mark may be the last there is: nothing said is lost. */
static void a_mark_behind_the_last_frame_is_told(void **state)
{
	(void)state;
	struct told t;
	struct fl_tally *tally = live(&t);
	fl_tally_advance(tally, start + 2 * FL_SECOND);
	fl_tally_also(tally, &(struct fl_observation){ .kind = FL_OBSERVED_HAND,
		.to = start + 5 * FL_SECOND, .hand = { .text = "" } });
	end(tally, start + 2500 * FL_MILLISECOND);
	assert_int_equal(t.marks, 1);
	assert_int_equal(t.ends, start + 5 * FL_SECOND + 1);
}

/* A live source takes the steps out of its stamps; they are only told. */
static void a_moved_clock_is_told_and_moves_nothing(void **state)
{
	(void)state;
	struct told t;
	struct fl_tally *tally = live(&t);
	fl_tally_advance(tally, start + 2 * FL_SECOND);
	say(tally, FL_EAR_MOVED, start + 2 * FL_SECOND, "");
	fl_tally_advance(tally, start + 4 * FL_SECOND);
	assert_int_equal(t.steps, 1);
	assert_int_equal(t.step, 3 * FL_HOUR);
	assert_int_equal(t.seconds, 4);
	end(tally, start + 4 * FL_SECOND);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(silence_is_listened_to_without_a_frame),
		cmocka_unit_test(deaf_time_is_told_second_by_second_and_adds_up),
		cmocka_unit_test(ports_and_marks_are_told_with_their_second),
		cmocka_unit_test(a_mark_behind_the_last_frame_is_told),
		cmocka_unit_test(a_moved_clock_is_told_and_moves_nothing),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
