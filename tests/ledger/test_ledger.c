#include "test.h"

#include "ledger/ledger.h"

#include <math.h>

/* A small boat told second by second: station k sends its stream at beats
 * that a rule gives, in ms; absent where the rule says so. */
enum { STATIONS = 4 };
#define START (INT64_C(1700000000) * FL_SECOND)

struct boat {
	struct fl_ledger *ledger;
	struct fl_observer to;
	uint64_t order;
	fl_time now;
};

static struct fl_mac mac_of(unsigned k)
{
	return (struct fl_mac){ { 0x02, 0, 0, 0, 0, (uint8_t)k } };
}

static void tell(struct boat *b, struct fl_observation o)
{
	o.order = b->order++;
	b->to.observe(b->to.context, &o);
}

static void begin(struct boat *b)
{
	*b = (struct boat){ .ledger = fl_ledger_new(), .now = START };
	assert_non_null(b->ledger);
	b->to = fl_ledger_observer(b->ledger);
	tell(b, (struct fl_observation){ .kind = FL_OBSERVED_EAR, .from = START,
		.to = START, .listening = { FL_EAR_LISTENS, 0, "eth0", "" } });
	for (uint32_t k = 0; k < STATIONS; k++)
		tell(b, (struct fl_observation){ .kind = FL_OBSERVED_STREAM,
			.from = START, .to = START,
			.stream = { .number = k, .mac = mac_of(k),
				.group = { { 255, 255, 255, 255, 255, 255 } },
				.port = 2000, .protocol = 17,
				.kind = FL_STREAM_GROUP, .unasked = true } });
}

static void end(struct boat *b)
{
	tell(b, (struct fl_observation){ .kind = FL_OBSERVED_EAR, .from = b->now,
		.to = b->now, .listening = { FL_EAR_ENDS, 0, "eth0", "" } });
}

/* One second in which the stations of `heard` (a bit each) were heard at
 * `ms`; those of `many` more than once. */
static void second(struct boat *b, unsigned heard, unsigned many, uint16_t ms)
{
	struct fl_heard rows[STATIONS];
	size_t n = 0;
	for (unsigned k = 0; k < STATIONS; k++)
		if (heard >> k & 1)
			rows[n++] = (struct fl_heard){ k, ms, many >> k & 1 };
	tell(b, (struct fl_observation){ .kind = FL_OBSERVED_SECOND, .from = b->now,
		.to = b->now + FL_SECOND, .second = { .heard = rows, .n = n,
		.frames = (uint32_t)n } });
	b->now += FL_SECOND;
}

static void starts(struct boat *b, unsigned k, fl_time at)
{
	tell(b, (struct fl_observation){ .kind = FL_OBSERVED_SIGN, .from = at, .to = at,
		.sign = { .kind = FL_FACT_STARTING, .mac = mac_of(k), .count = 1,
			.text = "", .other_text = "", .third_text = "" } });
}

static const struct fl_dropout *dropouts(const struct boat *b, size_t *n)
{
	return fl_ledger_dropouts(b->ledger, n);
}

/* The rule: 6 beats after 100 heard. A beat of 2 s, its tolerance of 1 s. */
static void a_station_that_stops_is_a_dropout_with_its_times(void **state)
{
	(void)state;
	struct boat b;
	begin(&b);
	for (int i = 0; i < 240; i++)
		second(&b, 1u | (i % 2 ? 0u : 2u), 1, 250);
	const fl_time last = b.now - 2 * FL_SECOND + 250 * FL_MILLISECOND;
	size_t n;
	/* Its sixth beat was due 12 s after the last: surely missed after 13,
	 * and 1.75 s of these had passed. */
	for (int i = 0; i < 11; i++) {
		second(&b, 1, 1, 250);
		(void)dropouts(&b, &n);
		assert_int_equal(n, 0);
	}
	second(&b, 1, 1, 250);
	const struct fl_dropout *d = dropouts(&b, &n);
	assert_int_equal(n, 1);
	assert_int_equal(d[0].last, last);
	assert_int_equal(d[0].missed, last + 3 * FL_SECOND);
	assert_int_equal(d[0].first, 0);
	assert_true(d[0].log_chance < log(1e-8));
	second(&b, 3, 1, 250);
	assert_int_equal(dropouts(&b, &n)[0].first, b.now - 750 * FL_MILLISECOND);
	assert_int_equal(n, 1);
	end(&b);
	fl_ledger_free(b.ledger);
}

static void what_was_heard_silent_and_deaf_adds_up(void **state)
{
	(void)state;
	struct boat b;
	begin(&b);
	for (int i = 0; i < 300; i++)
		second(&b, i < 100 || i > 140 ? 3 : 1, 3, 500);
	tell(&b, (struct fl_observation){ .kind = FL_OBSERVED_EAR, .from = b.now,
		.to = b.now + 30 * FL_SECOND,
		.listening = { FL_EAR_DEAF, 0, "eth0", "asleep" } });
	b.now += 30 * FL_SECOND;
	for (int i = 0; i < 100; i++)
		second(&b, 3, 3, 500);
	end(&b);
	size_t n, presences;
	const struct fl_presence *p = fl_ledger_presences(b.ledger, &presences);
	const struct fl_dropout *d = dropouts(&b, &n);
	assert_int_equal(n, 1);
	for (uint32_t k = 0; k < 2; k++) {
		struct fl_span spans[16];
		const size_t count = fl_ledger_spans(b.ledger, k, spans, 16);
		fl_time at = p[k].first, sum[3] = { 0 };
		for (size_t i = 0; i < count; i++) {
			assert_int_equal(spans[i].from, at);
			at = spans[i].to;
			sum[spans[i].kind] += spans[i].to - spans[i].from;
		}
		assert_int_equal(at, b.now);
		assert_int_equal(sum[FL_SPAN_DEAF], 30 * FL_SECOND);
		assert_int_equal(sum[FL_SPAN_SILENT], k == 1 ? d[0].first - d[0].last : 0);
		assert_int_equal(sum[0] + sum[1] + sum[2], b.now - p[k].first);
	}
	fl_ledger_free(b.ledger);
}

/* Nobody is silent while the laptop could not hear. */
static void when_nobody_is_heard_and_all_are_back_the_ear_was_deaf(void **state)
{
	(void)state;
	struct boat b;
	begin(&b);
	for (int i = 0; i < 200; i++)
		second(&b, i < 100 || i >= 115 ? 15 : 0, 15, 500);
	end(&b);
	size_t n;
	const struct fl_deaf_span *deaf = fl_ledger_deaf(b.ledger, &n);
	assert_int_equal(n, 1);
	assert_int_equal(deaf[0].to - deaf[0].from, 16 * FL_SECOND);
	const struct fl_dropout *d = dropouts(&b, &n);
	for (size_t i = 0; i < n; i++)
		assert_true(d[i].deaf || d[i].kind != FL_DROPOUT);
	fl_ledger_free(b.ledger);
}

/* ... but two that start anew were away, and so was everybody. */
static void when_two_start_anew_they_were_away(void **state)
{
	(void)state;
	struct boat b;
	begin(&b);
	for (int i = 0; i < 200; i++) {
		if (i == 115)
			starts(&b, 0, b.now), starts(&b, 1, b.now);
		second(&b, i < 100 || i >= 115 ? 15 : 0, 15, 500);
	}
	end(&b);
	size_t n, kept = 0;
	(void)fl_ledger_deaf(b.ledger, &n);
	assert_int_equal(n, 0);
	const struct fl_dropout *d = dropouts(&b, &n);
	for (size_t i = 0; i < n; i++)
		kept += d[i].kind == FL_DROPOUT && !d[i].deaf;
	assert_int_equal(kept, 4);
	assert_true(d[0].started && d[1].started);
	fl_ledger_free(b.ledger);
}

/* What a station sends while it boots neither ends its dropout nor begins
 * another: stream 2 belongs to a station whose beat is stream 2 alone. */
static void a_dropout_lasts_until_the_beat_is_back(void **state)
{
	(void)state;
	struct boat b;
	begin(&b);
	tell(&b, (struct fl_observation){ .kind = FL_OBSERVED_STREAM,
		.from = START, .to = START,
		.stream = { .number = 3, .mac = mac_of(2),
			.group = { { 0x33, 0x33, 0, 0, 0, 1 } }, .protocol = 58,
			.kind = FL_STREAM_GROUP, .unasked = true } });
	for (int i = 0; i < 120; i++)
		second(&b, 5, 5, 500);
	const fl_time last = b.now - 500 * FL_MILLISECOND;
	for (int i = 0; i < 30; i++)
		second(&b, 1, 1, 500);
	starts(&b, 2, b.now);
	for (int i = 0; i < 8; i++)
		second(&b, i % 3 ? 1 : 9, 1, 500);   /* boot frames */
	second(&b, 5, 5, 500);
	size_t n;
	const struct fl_dropout *d = dropouts(&b, &n);
	assert_int_equal(n, 1);
	assert_int_equal(d[0].last, last);
	assert_int_equal(d[0].first, b.now - 500 * FL_MILLISECOND);
	assert_true(d[0].started);
	fl_ledger_free(b.ledger);
}

static void a_stream_that_stops_while_its_station_goes_on_is_no_dropout(void **state)
{
	(void)state;
	struct boat b;
	begin(&b);
	tell(&b, (struct fl_observation){ .kind = FL_OBSERVED_STREAM,
		.from = START, .to = START,
		.stream = { .number = 1, .mac = mac_of(0),
			.group = { { 0x01, 0x00, 0x5e, 0, 0, 9 } }, .protocol = 17,
			.kind = FL_STREAM_GROUP, .unasked = true } });
	for (int i = 0; i < 400; i++)
		second(&b, 1u << 2 | (i % 2 ? 0u : 2u) | (i < 200 ? 1u : 0u), 5, 500);
	size_t n;
	(void)dropouts(&b, &n);
	assert_int_equal(n, 0);
	end(&b);
	fl_ledger_free(b.ledger);
}

/* A station that sends at random, once in 4 s on average: silence for 90 s is
 * a dropout, and none is invented in an hour before. */
static void a_random_sender_is_judged_by_bins(void **state)
{
	(void)state;
	struct boat b;
	uint32_t random = 12345;
	size_t n;
	begin(&b);
	for (int i = 0; i < 3600; i++) {
		random = random * 1664525u + 1013904223u;
		second(&b, 1u | (random >> 30 ? 0u : 2u), 1,
		       (uint16_t)((random >> 10) % 1000));
	}
	(void)dropouts(&b, &n);
	size_t invented = 0;
	for (size_t i = 0; i < n; i++)
		invented += dropouts(&b, &n)[i].kind == FL_DROPOUT;
	assert_int_equal(invented, 0);
	for (int i = 0; i < 240; i++)
		second(&b, 1, 1, 500);
	const struct fl_dropout *d = dropouts(&b, &n);
	assert_true(n > 0 && d[n - 1].kind == FL_DROPOUT && d[n - 1].first == 0);
	fl_ledger_free(b.ledger);
}

static void a_table_full_of_strangers_keeps_who_is_heard(void **state)
{
	(void)state;
	struct boat b;
	begin(&b);
	for (int i = 0; i < 30; i++)
		second(&b, 1, 1, 500);
	for (uint32_t i = 0; i < 3 * FL_LEDGER_STATIONS; i++) {
		const struct fl_mac made_up = { { 0x06, 1, 0, (uint8_t)(i >> 16),
						  (uint8_t)(i >> 8), (uint8_t)i } };
		tell(&b, (struct fl_observation){ .kind = FL_OBSERVED_STREAM,
			.from = b.now, .to = b.now,
			.stream = { .number = 1, .mac = made_up, .protocol = 17,
				.kind = FL_STREAM_GROUP, .unasked = true } });
		if (i % 8 == 0)
			second(&b, 3, 1, 500);
	}
	for (int i = 0; i < 30; i++)
		second(&b, 1, 1, 500);
	const struct fl_station *s = fl_ledger_find(b.ledger, mac_of(0));
	assert_non_null(s);
	assert_true(s->seconds >= 60);
	size_t n;
	(void)fl_ledger_stations(b.ledger, &n);
	assert_true(n <= FL_LEDGER_STATIONS);
	(void)dropouts(&b, &n);
	assert_int_equal(n, 0);
	fl_ledger_free(b.ledger);
}

/* What a hand did belongs to no ear, moves no clock, and is kept to a ceiling. */
static void acts_are_kept_in_order_up_to_their_ceiling(void **state)
{
	(void)state;
	struct boat b;
	begin(&b);
	const fl_time before = fl_ledger_to(b.ledger);
	for (fl_time i = 0; i < FL_LEDGER_ACTS + 3; i++)
		tell(&b, (struct fl_observation){ .kind = FL_OBSERVED_HAND,
			.ear = UINT16_MAX, .from = START + i, .to = START + i,
			.hand = { i ? FL_HAND_MARK : FL_HAND_WORK, "mast plug",
				  i ? "wiggled" : "on" } });
	size_t n;
	const struct fl_act *acts = fl_ledger_acts(b.ledger, &n);
	assert_int_equal(n, FL_LEDGER_ACTS);
	assert_int_equal(acts[0].act, FL_HAND_WORK);
	assert_string_equal(acts[0].text, "on");
	assert_int_equal(acts[n - 1].at, START + FL_LEDGER_ACTS - 1);
	assert_string_equal(acts[n - 1].name, "mast plug");
	assert_int_equal(fl_ledger_lost(b.ledger), 3);
	assert_int_equal(fl_ledger_to(b.ledger), before);
	fl_ledger_free(b.ledger);
}

static void hand(struct boat *b, fl_time at, enum fl_hand act, const char *text)
{
	tell(b, (struct fl_observation){ .kind = FL_OBSERVED_HAND, .from = at, .to = at,
		.hand = { act, "", text } });
}

/* fairlead-journal(5): notes stand at their time. Whoever listens reads them
 * when they are written, whoever replays merges them, once or twice. */
static void notes_stand_at_their_time_whenever_they_are_told(void **state)
{
	(void)state;
	struct boat b;
	size_t n;
	begin(&b);
	hand(&b, START + 9, FL_HAND_WORK, "off");
	hand(&b, START + 5, FL_HAND_MARK, "b");
	hand(&b, START + 5, FL_HAND_MARK, "a");
	hand(&b, START + 3, FL_HAND_WORK, "on");
	hand(&b, START + 5, FL_HAND_MARK, "b");
	const struct fl_act *acts = fl_ledger_acts(b.ledger, &n);
	assert_int_equal(n, 4);
	assert_string_equal(acts[0].text, "on");
	assert_string_equal(acts[1].text, "a");
	assert_string_equal(acts[2].text, "b");
	assert_string_equal(acts[3].text, "off");
	assert_false(fl_ledger_working(b.ledger, START, START + 2));
	assert_true(fl_ledger_working(b.ledger, START + 4, START + 4));
	assert_false(fl_ledger_working(b.ledger, START + 10, START + 12));
	fl_ledger_free(b.ledger);
}

/* Judgement: a step is told by every ear, at nearly the same time, and is one;
 * that of an ear which listens alone later counts too. */
static void a_step_of_the_clock_counts_once_whichever_ear_tells(void **state)
{
	(void)state;
	struct boat b;
	begin(&b);
	static const struct { uint16_t ear; int64_t at; } steps[] = {
		{ 0, 0 }, { 1, 1 }, { 1, 500 }, { 0, 501 },
	};
	for (size_t i = 0; i < 4; i++) {
		const fl_time t = START + steps[i].at * FL_SECOND;
		tell(&b, (struct fl_observation){ .kind = FL_OBSERVED_EAR, .from = t,
			.to = t, .ear = steps[i].ear,
			.listening = { FL_EAR_STEPPED, -7, "eth0", "" } });
	}
	assert_int_equal(fl_ledger_clock_moved(b.ledger), -14);
	assert_int_equal(fl_ledger_network(b.ledger)->clock_steps, 2);
	fl_ledger_free(b.ledger);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(notes_stand_at_their_time_whenever_they_are_told),
		cmocka_unit_test(a_step_of_the_clock_counts_once_whichever_ear_tells),
		cmocka_unit_test(a_station_that_stops_is_a_dropout_with_its_times),
		cmocka_unit_test(what_was_heard_silent_and_deaf_adds_up),
		cmocka_unit_test(when_nobody_is_heard_and_all_are_back_the_ear_was_deaf),
		cmocka_unit_test(when_two_start_anew_they_were_away),
		cmocka_unit_test(a_dropout_lasts_until_the_beat_is_back),
		cmocka_unit_test(a_stream_that_stops_while_its_station_goes_on_is_no_dropout),
		cmocka_unit_test(a_random_sender_is_judged_by_bins),
		cmocka_unit_test(a_table_full_of_strangers_keeps_who_is_heard),
		cmocka_unit_test(acts_are_kept_in_order_up_to_their_ceiling),
	};
	return FL_RUN(tests);
}
