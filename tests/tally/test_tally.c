#include "test.h"

#include "listen.h"
#include "visit/journal.h"

/* ---- a boat's frames, kept, to be handed over in many ways ---- */

struct kept { struct fl_frame *at; uint8_t *octets; size_t n, used; };
enum { MOST = 20000, ROOM = 16 << 20 };

static void keep(void *context, const struct sim_frame *f)
{
	struct kept *k = context;
	if (k->n == MOST || k->used + f->captured > ROOM)
		return;
	uint8_t *octets = k->octets + k->used;
	memcpy(octets, f->at, f->captured);
	k->used += f->captured;
	k->at[k->n++] = (struct fl_frame){ .time = f->time, .at = octets,
		.captured = f->captured, .length = f->length, .link = FL_LINK_ETHERNET };
}

static struct kept boat(uint64_t seed, double seconds)
{
	const struct sim_options options = { .loss = 0.01, .slow = true, .jitter = 0.1 };
	struct kept k = { calloc(MOST, sizeof *k.at), malloc(ROOM), 0, 0 };
	struct sim_boat *b = sim_boat_random(seed, &options);
	sim_run(b, seconds, seed, &(struct sim_sink){ &k, keep });
	sim_boat_free(b);
	assert_true(k.n > 200 && k.n < MOST);
	return k;
}

static void drop(struct kept *k)
{
	free(k->at);
	free(k->octets);
}

static void write_down(void *context, const struct fl_observation *o)
{
	assert_true(fl_journal_write(context, o));
}

struct told { char *text; size_t n; FILE *out; struct fl_tally *tally; struct fl_frame_sink sink; };

static void begin(struct told *t)
{
	*t = (struct told){ 0 };
	t->out = open_memstream(&t->text, &t->n);
	t->tally = fl_tally_new("eth0", NULL, (struct fl_observer){ t->out, write_down });
	t->sink = fl_tally_sink(t->tally);
	t->sink.ear(t->sink.context, &(struct fl_ear_event){
		.news = FL_EAR_OPENED, .link = FL_LINK_ETHERNET, .name = "eth0" });
}

static const struct fl_tally_counts *end(struct told *t)
{
	static struct fl_tally_counts counts;
	fl_tally_end(t->tally);
	counts = *fl_tally_counts(t->tally);
	fl_tally_free(t->tally);
	fclose(t->out);
	return &counts;
}

/* ---- tests ---- */

/* Extra, missing or late promises, and batches of any size, change no octet. */
static void ticks_and_batches_change_nothing(void **state)
{
	(void)state;
	struct kept k = boat(7, 120);
	struct told plain;
	begin(&plain);
	plain.sink.frames(plain.sink.context, k.at, k.n);
	end(&plain);
	uint32_t random = 99;
	for (int trial = 0; trial < 20; trial++) {
		struct told t;
		begin(&t);
		for (size_t i = 0; i < k.n;) {
			random = random * 1664525u + 1013904223u;
			size_t batch = 1 + (random >> 16) % 300;
			batch = batch > k.n - i ? k.n - i : batch;
			if (random >> 31 && i)
				fl_tally_advance(t.tally, k.at[i].time - (random >> 20) % 3 *
						 FL_SECOND / 2);
			t.sink.frames(t.sink.context, &k.at[i], batch);
			i += batch;
		}
		end(&t);
		assert_string_equal(t.text, plain.text);
		free(t.text);
	}
	free(plain.text);
	drop(&k);
}

/* RFC 768, RFC 3164: a log line of 02:00:00:00:00:09 in words that only its user
 * knows. */
static void words_of_the_user_make_a_log_line_a_ports_state(void **state)
{
	(void)state;
	static const uint8_t octets[] =
		"\x02\0\0\0\0\x01" "\x02\0\0\0\0\x09" "\x08\x00"
		"\x45\0\0\x2f\0\0\0\0\x40\x11\0\0" "\xac\x10\0\x02" "\xac\x10\0\x01"
		"\x02\x02\x02\x02\0\x1b\0\0" "<13>port 3: is gone";
	const struct fl_frame frame = { .time = FL_SECOND * 1777713247, .at = octets,
		.captured = sizeof octets - 1, .length = sizeof octets - 1,
		.link = FL_LINK_ETHERNET };
	const struct fl_log_word word = { "port % is gone", false };
	for (size_t n = 0; n < 2; n++) {
		struct told t;
		begin(&t);
		fl_tally_log_words(t.tally, (struct fl_log_words){ n, &word });
		t.sink.frames(t.sink.context, &frame, 1);
		assert_int_equal(end(&t)->decoded, 1);
		assert_int_equal(strstr(t.text, "\"kind\":\"port\"") != NULL, n);
		assert_int_equal(strstr(t.text, "\"name\":\"3\"") != NULL, n);
		free(t.text);
	}
}

/* A switch's clock runs on: it is told once a minute, not each time. */
static void a_clock_that_runs_on_is_told_once_a_minute(void **state)
{
	(void)state;
	static uint8_t octets[121][70];
	static struct fl_frame frames[121];
	static const uint8_t head[] =
		"\x02\0\0\0\0\x01" "\x02\0\0\0\0\x09" "\x08\x00"
		"\x45\0\0\x38\0\0\0\0\x40\x11\0\0" "\xac\x10\0\x02" "\xac\x10\0\x01"
		"\x18\xc7\x18\xc7\0\x24\0\0" "\0\0\0\x05\0\0\0\x01\xac\x10\0\x02"
		"\0\0\0\0\0\0\0\0";
	for (size_t i = 0; i < 121; i++) {
		memcpy(octets[i], head, sizeof head - 1);
		const size_t up = 1000 * (i + 1);         /* ms */
		octets[i][sizeof head - 1 + 1] = (uint8_t)(up >> 16);
		octets[i][sizeof head - 1 + 2] = (uint8_t)(up >> 8);
		octets[i][sizeof head - 1 + 3] = (uint8_t)up;
		frames[i] = (struct fl_frame){ .at = octets[i], .captured = 70,
			.length = 70, .link = FL_LINK_ETHERNET,
			.time = FL_SECOND * (1777713247 + (fl_time)i) };
	}
	struct told t;
	begin(&t);
	t.sink.frames(t.sink.context, frames, 121);
	assert_int_equal(end(&t)->decoded, 121);
	size_t told = 0;
	for (const char *at = t.text; (at = strstr(at, "\"NUMBERED\"")); at++)
		told++;
	assert_int_equal(told, 3);
	free(t.text);
}

/* A wall clock set back by an hour: the listening clock runs on. */
static void a_clock_set_back_is_a_step_and_no_silence(void **state)
{
	(void)state;
	struct kept k = boat(8, 90);
	struct told t;
	for (size_t i = k.n / 2; i < k.n; i++)
		k.at[i].time -= FL_HOUR;
	begin(&t);
	t.sink.frames(t.sink.context, k.at, k.n);
	end(&t);
	static const char words[] = "\"change\":\"stepped\",\"amount\":";
	const char *step = strstr(t.text, words);
	assert_non_null(step);
	assert_true(llabs(atoll(step + sizeof words - 1) + FL_HOUR) < 5 * FL_SECOND);
	assert_null(strstr(step + sizeof words, "stepped"));
	assert_null(strstr(t.text, "\"change\":\"deaf\""));
	free(t.text);
	drop(&k);
}

/* Stamps that leap to the end of time and back, again and again, break no sum
 * (the sanitizer sees it) and the listening clock never runs back. */
static void a_clock_turned_without_end_breaks_nothing(void **state)
{
	(void)state;
	static const uint8_t octets[60] = { 255, 255, 255, 255, 255, 255, 2, 0, 0, 0, 0, 9, 8, 6 };
	struct told t;
	begin(&t);
	for (int i = 0; i < 200; i++) {
		const struct fl_frame f = { .at = octets, .captured = 60, .length = 60,
			.link = FL_LINK_ETHERNET,
			.time = i % 10 ? INT64_MIN : INT64_MAX };
		t.sink.frames(t.sink.context, &f, 1);
		fl_tally_advance(t.tally, INT64_MAX);
	}
	t.sink.ear(t.sink.context, &(struct fl_ear_event){
		.news = FL_EAR_UNTIL, .time = INT64_MAX, .name = "" });
	end(&t);
	long long last = 0;
	for (const char *at = t.text; (at = strstr(at, "\"second\"")) != NULL; at++) {
		const long long to = atoll(strstr(at, "\"to\":") + 5);
		assert_true(to >= last);
		last = to;
	}
	free(t.text);
}

/* Of a long time without any frame nothing can be said, nor is it told second
 * by second: a stamp a year ahead must not make 31 million of them. */
static void a_long_time_without_frames_is_deaf(void **state)
{
	(void)state;
	struct kept k = boat(9, 60);
	struct told t;
	for (size_t i = k.n / 2; i < k.n; i++)
		k.at[i].time += 365 * 24 * FL_HOUR;
	begin(&t);
	t.sink.frames(t.sink.context, k.at, k.n);
	end(&t);
	assert_non_null(strstr(t.text, "\"change\":\"deaf\""));
	assert_true(t.n < 1 << 20);
	free(t.text);
	drop(&k);
}

static void a_frame_captured_twice_counts_once(void **state)
{
	(void)state;
	struct kept k = boat(10, 60);
	struct told once, twice;
	begin(&once);
	begin(&twice);
	for (size_t i = 0; i < k.n; i++) {
		once.sink.frames(once.sink.context, &k.at[i], 1);
		const struct fl_frame pair[2] = { k.at[i], k.at[i] };
		twice.sink.frames(twice.sink.context, pair, 2);
	}
	end(&once);
	const struct fl_tally_counts *counts = end(&twice);
	assert_true(counts->twins > k.n * 9 / 10);
	free(once.text);
	free(twice.text);
	drop(&k);
}

/* The laptop's own frames are nobody's presence, and damaged ones nobody's. */
static void own_and_damaged_frames_are_no_station(void **state)
{
	(void)state;
	static const uint8_t octets[60] = { 255, 255, 255, 255, 255, 255, 2, 0, 0, 0, 0, 9, 8, 6 };
	struct fl_frame f = { .time = FL_HOUR, .at = octets, .captured = 60, .length = 60,
		.link = FL_LINK_ETHERNET, .outbound = true };
	struct told t;
	begin(&t);
	t.sink.frames(t.sink.context, &f, 1);
	f.outbound = false;
	f.errors = FL_ERROR_CRC;
	t.sink.frames(t.sink.context, &f, 1);
	const struct fl_tally_counts *counts = end(&t);
	assert_int_equal(counts->own, 1);
	assert_int_equal(counts->damaged, 1);
	assert_null(strstr(t.text, "\"kind\":\"stream\""));
	assert_non_null(strstr(t.text, "\"own\":1"));
	assert_non_null(strstr(t.text, "\"errors\":1"));
	free(t.text);
}

/* A million made-up senders: the tables hold, and a real one is kept. */
static void a_flood_of_made_up_senders_is_bounded(void **state)
{
	(void)state;
	enum { FLOOD = 200000 };
	uint8_t octets[60] = { 255, 255, 255, 255, 255, 255, 2, 0, 0, 0, 0, 9, 0x88, 0xb5 };
	struct fl_frame f = { .at = octets, .captured = 60, .length = 60,
		.link = FL_LINK_ETHERNET };
	struct told t;
	begin(&t);
	for (uint32_t i = 0; i < FLOOD; i++) {
		f.time = FL_HOUR + i * FL_MILLISECOND / 4;
		const uint32_t who = i % 1000 ? i : 9;
		octets[8] = (uint8_t)(who >> 16), octets[9] = (uint8_t)(who >> 8);
		octets[10] = (uint8_t)who, octets[6] = i % 1000 ? 6 : 2;
		octets[20] = (uint8_t)i;
		t.sink.frames(t.sink.context, &f, 1);
	}
	const struct fl_tally_counts *counts = end(&t);
	assert_true(counts->crowd > FLOOD * 9 / 10);
	size_t streams = 0, real = 0;
	for (const char *at = t.text; (at = strstr(at, "\"kind\":\"stream\"")) != NULL; at++)
		streams++;
	for (const char *at = t.text; (at = strstr(at, "\"mac\":\"02:00:00:00:09:09\"")) != NULL; at++)
		real++;
	assert_true(streams <= FL_TALLY_NEW_A_SECOND * 52);
	assert_true(real >= 1);
	free(t.text);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(ticks_and_batches_change_nothing),
		cmocka_unit_test(words_of_the_user_make_a_log_line_a_ports_state),
		cmocka_unit_test(a_clock_that_runs_on_is_told_once_a_minute),
		cmocka_unit_test(a_clock_set_back_is_a_step_and_no_silence),
		cmocka_unit_test(a_clock_turned_without_end_breaks_nothing),
		cmocka_unit_test(a_long_time_without_frames_is_deaf),
		cmocka_unit_test(a_frame_captured_twice_counts_once),
		cmocka_unit_test(own_and_damaged_frames_are_no_station),
		cmocka_unit_test(a_flood_of_made_up_senders_is_bounded),
	};
	return FL_RUN(tests);
}
