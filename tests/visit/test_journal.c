#include "test.h"

#include "tally/merge.h"
#include "visit/journal.h"

#include <unistd.h>

enum { MOST = 64 };

/* A listener that writes every observation down again. */
struct copy { FILE *out; size_t n; };

static void write_down(void *context, const struct fl_observation *o)
{
	struct copy *copy = context;
	struct fl_observation again = *o;
	again.order = copy->n++;
	assert_true(fl_journal_write(copy->out, &again));
}

static const struct fl_mac mac = { { 0x02, 0, 0, 0, 0, 7 } };

/* One of each kind, with every member set. */
static size_t each_kind(struct fl_observation out[MOST], struct fl_heard heard[2],
			struct fl_minute_row rows[1])
{
	const uint8_t four[4] = { 172, 20, 0, 21 };
	const struct fl_ip ip = fl_ip_from4(four);
	heard[0] = (struct fl_heard){ 3, 999, true };
	heard[1] = (struct fl_heard){ 1, 0, false };
	rows[0] = (struct fl_minute_row){ 3, 1500, 900000, 40000, 41000, 30, 2 };
	size_t n = 0;
#define NEXT out[n] = (struct fl_observation){ .order = n, .from = 1000 + (fl_time)n, \
		.to = 2000 + (fl_time)n }, out[n++]
	NEXT.listening.change = FL_EAR_LISTENS;
	out[0].listening.name = "eth0";
	out[0].listening.text = "lower switch 5";
	out[0].listening.amount = -7;
	NEXT.kind = FL_OBSERVED_STREAM;
	out[1].stream = (struct fl_seen_stream){ .number = 3, .mac = mac,
		.group = { { 1, 0, 0x5e, 0x7f, 0xff, 0xfa } }, .vlan = 7, .port = 1900,
		.protocol = 17, .kind = FL_STREAM_GROUP, .unasked = true,
		.filterable = true };
	NEXT.kind = FL_OBSERVED_SECOND;
	out[2].second.heard = heard;
	out[2].second.n = 2;
	out[2].second.frames = 9;
	out[2].second.octets = UINT64_C(5000000000);
	out[2].second.repeats = 2;
	NEXT.kind = FL_OBSERVED_MINUTE;
	out[3].minute.rows = rows;
	out[3].minute.n = 1;
	NEXT.kind = FL_OBSERVED_EDGE;
	out[4].edge.mac = mac;
	NEXT.kind = FL_OBSERVED_WHO;
	out[5].who.mac = mac;
	out[5].who.field = FL_ID_NAME;
	out[5].who.ip = ip;
	out[5].who.text = "sj\xc3\xb6 \"radar\"";
	NEXT.kind = FL_OBSERVED_SIGN;
	out[6].sign.kind = FL_FACT_SERVES;
	out[6].sign.aspect = FL_SERVES_ADDRESSES;
	out[6].sign.mac = mac;
	out[6].sign.ip = out[6].sign.other = ip;
	out[6].sign.number = 16;
	out[6].sign.seconds = 3600;
	out[6].sign.speeds = UINT64_C(1000) << 32 | 100;
	out[6].sign.count = 2;
	out[6].sign.text = "a";
	out[6].sign.other_text = "b";
	out[6].sign.third_text = "c";
	NEXT.kind = FL_OBSERVED_HAND;
	out[7].hand.act = FL_HAND_MARK;
	out[7].hand.name = "";
	out[7].hand.text = "wiggled the mast plug";
	NEXT.kind = FL_OBSERVED_PORT;
	out[8].port = (struct fl_port){
		.name = "eth1", .there = true, .enabled = true, .link = true,
		.flaps_counted = true, .ups = 3, .downs = 2, .mbit = 100,
		.duplex = FL_DUPLEX_FULL, .ours = 63, .theirs = 15,
		.energy = FL_NO, .signal = 5, .signal_most = 7, .why = "no cable",
		.counted = 1u << FL_COUNT_SENT | 1u << FL_COUNT_CRC,
	};
	out[8].port.counts[FL_COUNT_CRC] = UINT64_C(1) << 40;
	NEXT.kind = FL_OBSERVED_PORT;
	out[9].port = (struct fl_port){ .of = mac, .name = "", .index = 3,
		.there = true, .enabled = true, .why = "trap" };
	for (int act = 0; act < FL_HANDS; act++) {
		NEXT.kind = FL_OBSERVED_HAND;
		out[n - 1].hand.act = (enum fl_hand)act;
		out[n - 1].hand.name = "arch radar";
		out[n - 1].hand.text = "-12.4V load 4A 22m 1.5mm2";
	}
#undef NEXT
	return n;
}

static char *written(size_t *length)
{
	struct fl_observation o[MOST];
	struct fl_heard heard[2];
	struct fl_minute_row rows[1];
	char *text = NULL;
	FILE *out = open_memstream(&text, length);
	const size_t n = each_kind(o, heard, rows);
	assert_true(fl_journal_begin(out, "00c0ffee"));
	for (size_t i = 0; i < n; i++)
		assert_true(fl_journal_write(out, &o[i]));
	fclose(out);
	return text;
}

/* Replay a text and write down what was handed over. */
static char *replay(const char *text, size_t n, struct fl_journal_summary *summary)
{
	char path[] = "/tmp/fairlead-journal.XXXXXX";
	const int fd = mkstemp(path);
	assert_true(fd >= 0);
	assert_int_equal(write(fd, text, n), n);
	close(fd);
	char *again = NULL;
	size_t length = 0;
	struct copy copy = { open_memstream(&again, &length), 0 };
	assert_true(fl_journal_begin(copy.out, "00c0ffee"));
	struct fl_error error = { 0 };
	struct fl_journal *j = fl_journal_open(path,
		(struct fl_observer){ &copy, write_down }, &error);
	assert_non_null(j);
	while (fl_journal_pump(j, 3) == FL_OK)
		;
	*summary = *fl_journal_summary(j);
	fl_journal_close(j);
	fclose(copy.out);
	unlink(path);
	return again;
}

static void what_is_written_replays_to_the_same_octets(void **state)
{
	(void)state;
	size_t n;
	struct fl_journal_summary s;
	char *first = written(&n);
	char *second = replay(first, n, &s);
	assert_string_equal(first, second);
	assert_int_equal(s.lines, 10 + FL_HANDS);
	assert_int_equal(s.gaps + s.skipped + s.torn, 0);
	free(first);
	free(second);
}

static void a_torn_last_line_is_left_out_and_told(void **state)
{
	(void)state;
	size_t n;
	struct fl_journal_summary s;
	char *first = written(&n);
	char *second = replay(first, n - 1, &s);
	assert_true(s.torn);
	assert_int_equal(s.lines, 9 + FL_HANDS);
	assert_int_equal(strncmp(first, second, strlen(second)), 0);
	free(first);
	free(second);
}

/* fairlead-journal(5): a line that is not understood has its place in the order,
 * and one line lost is one place, however many follow. */
static void lines_lost_doubled_or_unknown_are_counted(void **state)
{
	(void)state;
	struct fl_journal_summary s;
	static const char text[] =
		"{\"journal\":1,\"minor\":7}\n"
		"{\"kind\":\"edge\",\"ear\":0,\"order\":0,\"from\":1,\"to\":2,\"mac\":\"02:00:00:00:00:07\"}\n"
		"{\"kind\":\"edge\",\"ear\":0,\"order\":2,\"from\":1,\"to\":2,\"mac\":\"02:00:00:00:00:07\"}\n"
		"{\"kind\":\"dropout\",\"said\":\"radar silent\"}\n"
		"{\"kind\":\"weather\",\"ear\":0}\n"
		"[1,2]\nnonsense\n"
		"{\"kind\":\"edge\",\"ear\":0,\"order\":3,\"from\":-1,\"to\":2}\n"
		"{\"kind\":\"edge\",\"ear\":0,\"order\":4,\"from\":1,\"to\":9223372036854775807}\n"
		"{\"kind\":\"edge\",\"ear\":0,\"order\":5,\"from\":1,\"to\":2,\"mac\":\"02:00:00:00:00:07\"}\n";
	free(replay(text, sizeof text - 1, &s));
	assert_int_equal(s.lines, 3);
	assert_int_equal(s.gaps, 1);
	assert_int_equal(s.skipped, 5);
	assert_int_equal(s.error.status, FL_OK);
	static const char newer[] = "{\"journal\":2}\n";
	free(replay(newer, sizeof newer - 1, &s));
	assert_int_equal(s.error.status, FL_UNSUPPORTED);
}

/* A journal is a file, and files are hostile. */
static void hostile_texts_are_cleaned_again(void **state)
{
	(void)state;
	struct fl_journal_summary s;
	static const char text[] =
		"{\"kind\":\"who\",\"ear\":0,\"order\":0,\"from\":1,\"to\":2,"
		"\"mac\":\"02:00:00:00:00:07\",\"field\":0,\"text\":\"a\\u001b[2Jb\"}\n";
	char *again = replay(text, sizeof text - 1, &s);
	assert_non_null(strstr(again, "a?[2Jb"));
	assert_null(strstr(again, "\\u001b"));
	free(again);
}

static void a_line_over_the_ceiling_is_refused(void **state)
{
	(void)state;
	struct fl_journal_summary s;
	char *text = malloc(2 * FL_JOURNAL_LINE);
	memset(text, ' ', 2 * FL_JOURNAL_LINE);
	free(replay(text, 2 * FL_JOURNAL_LINE, &s));
	assert_int_equal(s.error.status, FL_MALFORMED);
	free(text);
}

/* ---- several sources ---- */

static void two_sources_become_one_in_order_of_time(void **state)
{
	(void)state;
	char *text = NULL;
	size_t length;
	struct copy copy = { open_memstream(&text, &length), 0 };
	struct fl_merge *m = fl_merge_new(2, (struct fl_observer){ &copy, write_down });
	for (size_t input = 0; input < 2; input++) {
		const struct fl_observer in = fl_merge_input(m, input);
		struct fl_observation o = { .kind = FL_OBSERVED_EAR };
		o.listening.name = input ? "eth1" : "eth0";
		o.listening.text = "";
		in.observe(in.context, &o);
		o = (struct fl_observation){ .kind = FL_OBSERVED_STREAM,
			.stream = { .number = 5, .mac = mac } };
		in.observe(in.context, &o);
		for (fl_time s = 1; s < 4; s++) {
			struct fl_heard heard = { 5, (uint16_t)input, false };
			o = (struct fl_observation){ .kind = FL_OBSERVED_SECOND,
				.from = s - 1, .to = s, .second = { .heard = &heard, .n = 1 } };
			in.observe(in.context, &o);
		}
	}
	fl_merge_release(m, 2);
	fl_merge_release(m, INT64_MAX);
	assert_false(fl_merge_full(m));
	fl_merge_free(m);
	fclose(copy.out);
	assert_int_equal(copy.n, 10);
	/* Both ears first, then second by second; stream 5 of each has a number
	 * of its own. */
	const char *at = text;
	static const char *const expected[] = {
		"\"name\":\"eth0\"", "\"stream\":0", "\"name\":\"eth1\"", "\"stream\":1",
		"\"heard\":[0,0]", "\"heard\":[1,1]", "\"heard\":[0,0]", "\"heard\":[1,1]",
	};
	for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++) {
		at = strstr(at, expected[i]);
		assert_non_null(at);
	}
	free(text);
}

static struct fl_observation ear(enum fl_ear_change change, fl_time at)
{
	struct fl_observation o = { .kind = FL_OBSERVED_EAR, .from = at, .to = at };
	o.listening.change = change;
	o.listening.name = "eth0";
	o.listening.text = "";
	return o;
}

/* The first input listens, the second is somebody's hand that belongs to no ear;
 * ear 63 of its line is made nothing of. */
static void what_a_hand_did_stands_at_its_time_without_an_ear(void **state)
{
	(void)state;
	char *text = NULL;
	size_t length;
	struct copy copy = { open_memstream(&text, &length), 0 };
	struct fl_merge *m = fl_merge_new(2, (struct fl_observer){ &copy, write_down });
	const struct fl_observer in = fl_merge_input(m, 0), by_hand = fl_merge_input(m, 1);
	struct fl_observation o = ear(FL_EAR_LISTENS, 0);
	in.observe(in.context, &o);
	for (fl_time s = 10; s <= 30; s += 10) {
		o = (struct fl_observation){ .kind = FL_OBSERVED_SECOND,
			.from = s - 10, .to = s };
		in.observe(in.context, &o);
		o = (struct fl_observation){ .kind = FL_OBSERVED_HAND, .ear = 63,
			.from = s - 5, .to = s - 5, .hand = { .name = "", .text = "" } };
		if (s != 20)
			by_hand.observe(by_hand.context, &o);
		o = (struct fl_observation){ .kind = FL_OBSERVED_PORT,
			.from = s - 2, .to = s - 2, .port = { .name = "eth0", .why = "" } };
		if (s == 30)
			by_hand.observe(by_hand.context, &o);   /* of no ear known there */
	}
	fl_merge_release(m, INT64_MAX);
	assert_false(fl_merge_full(m));
	fl_merge_free(m);
	fclose(copy.out);
	static const char *const expected[] = {
		"\"listens\"", "{\"kind\":\"hand\",\"ear\":0,\"order\":1,\"from\":5,",
		"\"to\":10,", "\"to\":20,", "{\"kind\":\"hand\",\"ear\":0,\"order\":4,\"from\":25,",
		"\"to\":30,",
	};
	const char *at = text;
	for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++) {
		at = strstr(at, expected[i]);
		assert_non_null(at);
	}
	assert_int_equal(copy.n, 6);
	free(text);
}

/* fairlead-journal(5): a port's line is told at one moment; so it stands at its
 * time among those of another ear. */
static void a_port_keeps_its_ear_and_its_time(void **state)
{
	(void)state;
	char *text = NULL;
	size_t length;
	struct copy copy = { open_memstream(&text, &length), 0 };
	struct fl_merge *m = fl_merge_new(2, (struct fl_observer){ &copy, write_down });
	for (size_t input = 0; input < 2; input++) {
		const struct fl_observer in = fl_merge_input(m, input);
		struct fl_observation o = ear(FL_EAR_LISTENS, 0);
		o.listening.name = input ? "eth1" : "eth0";
		in.observe(in.context, &o);
		o = (struct fl_observation){ .kind = FL_OBSERVED_PORT,
			.from = input ? 3 : 7, .to = input ? 3 : 7,
			.port = { .name = o.listening.name, .why = "" } };
		in.observe(in.context, &o);
	}
	fl_merge_release(m, INT64_MAX);
	fl_merge_free(m);
	fclose(copy.out);
	const char *at = strstr(text, "{\"kind\":\"port\",\"ear\":1,\"order\":2,\"from\":3,");
	assert_non_null(at);
	assert_non_null(strstr(at, "{\"kind\":\"port\",\"ear\":0,\"order\":3,\"from\":7,"));
	free(text);
}

/* A journal that was killed and gone on with says "listens" twice and "ends"
 * once: one ear, as when it is replayed alone. */
static void an_ear_that_never_ended_is_the_same_ear(void **state)
{
	(void)state;
	char *text = NULL;
	size_t length;
	struct copy copy = { open_memstream(&text, &length), 0 };
	struct fl_merge *m = fl_merge_new(2, (struct fl_observer){ &copy, write_down });
	const struct fl_observer in = fl_merge_input(m, 0);
	for (fl_time t = 0; t < 3; t++) {
		const struct fl_observation o = ear(t < 2 ? FL_EAR_LISTENS : FL_EAR_ENDS, t);
		in.observe(in.context, &o);
	}
	fl_merge_release(m, INT64_MAX);
	fl_merge_free(m);
	fclose(copy.out);
	assert_int_equal(copy.n, 3);
	assert_null(strstr(text, "\"ear\":1"));
	free(text);
}

static void count_marks(void *context, const struct fl_observation *o)
{
	*(int *)context += o->kind == FL_OBSERVED_HAND;
}

/* journal.h: what is appended behind the end is handed over once, and a line
 * that stood there without its end when it is whole. */
static void a_reader_goes_on_behind_the_end(void **state)
{
	(void)state;
	static const char line[] = "{\"kind\":\"hand\",\"ear\":0,\"order\":%d,"
		"\"from\":1,\"to\":1,\"act\":\"mark\",\"text\":\"x\"}";
	char path[] = "/tmp/fairlead-follow.XXXXXX";
	struct fl_error error = { 0 };
	int marks = 0;
	FILE *out = fdopen(mkstemp(path), "w");
	assert_non_null(out);
	struct fl_journal *j = fl_journal_open(path, (struct fl_observer){ &marks, count_marks },
					       &error);
	assert_non_null(j);
	assert_int_equal(fl_journal_pump(j, 9), FL_END);
	fprintf(out, "{\"journal\":1}\n");
	fprintf(out, line, 0);
	fflush(out);
	fl_journal_go_on(j);
	assert_int_equal(fl_journal_pump(j, 9), FL_END);
	assert_true(fl_journal_summary(j)->torn);
	assert_int_equal(marks, 0);
	fprintf(out, "\n");
	fprintf(out, line, 1);
	fprintf(out, "\n");
	fclose(out);
	for (int i = 0; i < 2; i++) {
		fl_journal_go_on(j);
		assert_int_equal(fl_journal_pump(j, 9), FL_END);
		assert_int_equal(marks, 2);
	}
	assert_false(fl_journal_summary(j)->torn);
	assert_int_equal(fl_journal_summary(j)->gaps, 0);
	fl_journal_close(j);
	(void)unlink(path);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_reader_goes_on_behind_the_end),
		cmocka_unit_test(what_is_written_replays_to_the_same_octets),
		cmocka_unit_test(a_torn_last_line_is_left_out_and_told),
		cmocka_unit_test(lines_lost_doubled_or_unknown_are_counted),
		cmocka_unit_test(hostile_texts_are_cleaned_again),
		cmocka_unit_test(a_line_over_the_ceiling_is_refused),
		cmocka_unit_test(two_sources_become_one_in_order_of_time),
		cmocka_unit_test(what_a_hand_did_stands_at_its_time_without_an_ear),
		cmocka_unit_test(a_port_keeps_its_ear_and_its_time),
		cmocka_unit_test(an_ear_that_never_ended_is_the_same_ear),
	};
	return FL_RUN(tests);
}
