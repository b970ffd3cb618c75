#include "test.h"

#include "tally/inner.h"

/* One stream of a tally, fed with numbers by hand. */
struct fed {
	struct fl_tally *tally;
	struct stream *stream;
	fl_time t;
};

#define START (INT64_C(1700000000) * FL_SECOND)

static void nothing(void *context, const struct fl_observation *o)
{
	(void)context;
	(void)o;
}

static struct fed begin(void)
{
	static const struct fl_packet packet = {
		.source = { { 2, 0, 0, 0, 0, 1 } }, .target = { { 1, 0, 0x5e, 0, 0, 1 } },
		.ethertype = 0x0800, .protocol = 17, .to_port = 60001,
		.layer = FL_LAYER_TRANSPORT,
	};
	struct fed f = { fl_tally_new("eth0", NULL, (struct fl_observer){ NULL, nothing }),
			 NULL, START };
	assert_non_null(f.tally);
	f.stream = fl_tally_stream(f.tally, 0, &packet, START);
	assert_non_null(f.stream);
	return f;
}

static void number(struct fed *f, enum fl_sequence whose, uint32_t size, uint64_t key,
		   uint32_t n, fl_time after)
{
	struct fl_facts facts = { 0 };
	struct fl_fact *fact = fl_say(&facts, FL_FACT_SEQUENCE);
	fact->aspect = whose;
	fact->seconds = size;
	fact->speeds = key;
	fact->number = n;
	f->t += after;
	fl_tally_number(f->tally, f->stream, &facts, f->t);
}

static void rtp(struct fed *f, uint32_t n)
{
	number(f, FL_SEQUENCE_RTP, 65536, 1, n & 0xffff, 10 * FL_MILLISECOND);
}

/* The first and the eight that show it to be a row count for nothing. */
static void prove(struct fed *f, uint32_t last)
{
	for (uint32_t i = last - 8; i != last + 1; i++)
		rtp(f, i);
}

static void told(struct fed *f, uint32_t received, uint32_t missed)
{
	struct fl_minute_row row = { 0 };
	fl_tally_numbers_told(f->tally, f->stream, &row);
	assert_int_equal(row.received, received);
	assert_int_equal(row.missed, missed);
}

static void end(struct fed *f)
{
	fl_tally_free(f->tally);
}

/* RFC 3550 section 5.1: the number goes up by one for each packet; 65535 is
 * followed by 0. */
static void numbers_are_counted_across_their_wrap(void **state)
{
	(void)state;
	struct fed f = begin();
	prove(&f, 65530);
	for (uint32_t n = 65531; n <= 65536 + 100; n++)
		if (n != 65534 && n != 65536)
			rtp(&f, n);
	told(&f, 104, 2);
	told(&f, 0, 0);
	end(&f);
}

/* IEC 61162-450 section 7.2, from memory: lines count 1 to 999 and begin at 1
 * again, so 999 then 1 has none lost and 998 then 2 has two; one public sender
 * goes by way of 0. */
static void line_counts_begin_again_at_one_or_at_zero(void **state)
{
	(void)state;
	for (int zero = 0; zero < 2; zero++) {
		struct fed f = begin();
		for (uint32_t n = 980; n <= 999; n++)
			number(&f, FL_SEQUENCE_LINES, 999, 7, n, FL_SECOND / 10);
		if (zero)
			number(&f, FL_SEQUENCE_LINES, 999, 7, 0, FL_SECOND / 10);
		for (uint32_t n = 1; n <= 998; n++)
			number(&f, FL_SEQUENCE_LINES, 999, 7, n, FL_SECOND / 10);
		number(&f, FL_SEQUENCE_LINES, 999, 7, 2, FL_SECOND / 10);
		told(&f, 11 + 998 + 1, 2);
		end(&f);
	}
}

/* Common practice: what comes twice or late by a little was not lost. */
static void again_and_late_are_no_loss(void **state)
{
	(void)state;
	struct fed f = begin();
	prove(&f, 1000);
	const uint32_t order[] = { 1001, 1001, 1003, 1002, 1002, 1006, 1004, 1005, 1000 };
	for (size_t i = 0; i < sizeof order / sizeof order[0]; i++)
		rtp(&f, order[i]);
	told(&f, 6, 0);
	end(&f);
}

/* Judgement: more than three in a row over at least a second are a gap; three
 * are loss, and so are many in less than a second. */
static void a_gap_is_no_loss(void **state)
{
	(void)state;
	struct fed f = begin();
	prove(&f, 1000);
	number(&f, FL_SEQUENCE_RTP, 65536, 1, 1005, FL_SECOND);
	told(&f, 0, 0);
	number(&f, FL_SEQUENCE_RTP, 65536, 1, 1009, FL_SECOND);
	told(&f, 1, 3);
	number(&f, FL_SEQUENCE_RTP, 65536, 1, 1040, FL_SECOND - 1);
	told(&f, 1, 30);
	/* Who is late over a gap is not counted either. */
	number(&f, FL_SEQUENCE_RTP, 65536, 1, 1051, FL_SECOND);
	rtp(&f, 1049);
	told(&f, 0, 0);
	end(&f);
}

/* Judgement: a number that falls far begins a row anew, which proves itself
 * anew; after a second it cannot be told from a gap, and then goes on. */
static void a_restart_is_no_loss(void **state)
{
	(void)state;
	const struct { uint32_t from; fl_time after; uint32_t received; } rows[] = {
		{ 20000, 30 * FL_SECOND, 50 - 9 }, { 20000, FL_SECOND / 2, 50 - 9 },
		{ 60000, FL_SECOND / 2, 50 - 9 }, { 60000, 30 * FL_SECOND, 50 - 1 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct fed f = begin();
		prove(&f, rows[i].from);
		f.t += rows[i].after;
		for (uint32_t n = 100; n < 150; n++)
			rtp(&f, n);
		told(&f, rows[i].received, 0);
		end(&f);
	}
}

/* Numbers at random, and two senders under one key, are no numbers: never a
 * loss. After a minute's silence the row is looked at again. */
static void what_is_no_row_of_numbers_is_let_alone(void **state)
{
	(void)state;
	struct fed f = begin();
	uint32_t random = 5;
	for (int i = 0; i < 5000; i++) {
		random = random * 1664525u + 1013904223u;
		rtp(&f, random >> 16);
	}
	told(&f, 0, 0);
	end(&f);
	f = begin();
	for (uint32_t i = 0; i < 5000; i++)
		rtp(&f, i % 2 ? 40000 + i : i);
	told(&f, 0, 0);
	f.t += 2 * FL_MINUTE;
	prove(&f, 20000);
	rtp(&f, 20001);
	rtp(&f, 20003);
	told(&f, 2, 1);
	end(&f);
}

/* Four rows of one stream, each for itself; a fifth is not counted. */
static void rows_of_one_stream_are_told_apart(void **state)
{
	(void)state;
	struct fed f = begin();
	for (uint32_t i = 0; i < 100; i++)
		for (uint64_t key = 1; key <= 5; key++)
			if (i != 50 || key != 2)
				number(&f, FL_SEQUENCE_LINES, 999, key,
				       (uint32_t)(i + 100 * key) % 999 + 1, FL_MILLISECOND);
	told(&f, 4 * 91 - 1, 1);
	end(&f);
}

/* Judgement: a message number may be used up by what goes elsewhere. */
static void holes_of_message_numbers_accuse_nobody(void **state)
{
	(void)state;
	struct fed f = begin();
	for (uint32_t n = 1; n < 100; n++)
		if (n % 20)
			number(&f, FL_SEQUENCE_MESSAGES, 0, 3, n, FL_SECOND);
	told(&f, 95 - 9, 0);
	end(&f);
}

static void identify(struct fed *f, uint32_t n, fl_time after)
{
	f->t += after;
	if (f->stream->runs_on != RUNS_OFF)
		fl_tally_identify(f->stream, (uint16_t)n, f->t);
	f->stream->last = f->t;
}

/* RFC 791 section 3.1 asks only for numbers that differ; hosts that take the
 * next one are seen by it. Up to the first hole it clears, then never again:
 * to count on would tell of the good times alone. */
static void an_identification_clears_until_its_first_hole(void **state)
{
	(void)state;
	struct fed f = begin();
	for (uint32_t n = 65500; n < 65600; n++)
		identify(&f, n, 10 * FL_MILLISECOND);
	told(&f, 100 - 17, 0);
	identify(&f, 65600, 10 * FL_MILLISECOND);
	identify(&f, 65602, 10 * FL_MILLISECOND);
	for (uint32_t n = 65603; n < 70000; n++)
		identify(&f, n, 10 * FL_MILLISECOND);
	told(&f, 1, 0);
	end(&f);
}

/* Judgement: over a silence it says nothing, and goes on. Numbers that never
 * run on (RFC 6864 section 4.1: any, zero mostly) are soon let alone. */
static void an_identification_goes_on_after_a_gap(void **state)
{
	(void)state;
	struct fed f = begin();
	for (uint32_t n = 0; n < 50; n++)
		identify(&f, n, 10 * FL_MILLISECOND);
	told(&f, 50 - 17, 0);
	identify(&f, 900, 20 * FL_SECOND);
	identify(&f, 901, 10 * FL_MILLISECOND);
	told(&f, 1, 0);
	end(&f);
	f = begin();
	for (uint32_t n = 0; n < 64; n++)
		identify(&f, 7919 * n + 5, 10 * FL_MILLISECOND);
	assert_int_equal(f.stream->runs_on, RUNS_OFF);
	told(&f, 0, 0);
	end(&f);
}

/* Frames that bear both kinds of numbers are counted once. */
static void a_frame_is_counted_by_one_number(void **state)
{
	(void)state;
	struct fed f = begin();
	for (uint32_t n = 0; n < 100; n++) {
		rtp(&f, n);
		identify(&f, n, 0);
	}
	told(&f, 100 - 9, 0);
	end(&f);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(numbers_are_counted_across_their_wrap),
		cmocka_unit_test(line_counts_begin_again_at_one_or_at_zero),
		cmocka_unit_test(again_and_late_are_no_loss),
		cmocka_unit_test(a_gap_is_no_loss),
		cmocka_unit_test(a_restart_is_no_loss),
		cmocka_unit_test(what_is_no_row_of_numbers_is_let_alone),
		cmocka_unit_test(rows_of_one_stream_are_told_apart),
		cmocka_unit_test(holes_of_message_numbers_accuse_nobody),
		cmocka_unit_test(an_identification_clears_until_its_first_hole),
		cmocka_unit_test(an_identification_goes_on_after_a_gap),
		cmocka_unit_test(a_frame_is_counted_by_one_number),
	};
	return FL_RUN(tests);
}
