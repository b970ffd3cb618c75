#include "test.h"

#include "cli/events.h"

/* A small boat told second by second, and looked at after each: station k
 * sends once a second, 0 and 1 are devices of the plan, 2 and 3 are not. */
enum { STATIONS = 4, EARS = 2 };
#define START (INT64_C(1700000000) * FL_SECOND)      /* 22:13:20 UTC */
#define COUNT(array) (sizeof (array) / sizeof (array)[0])

static struct {
	struct fl_ledger *ledger;
	struct fl_observer to;
	struct fl_events *events;
	uint64_t order;
	fl_time now;
	struct fl_answer answer;
	struct fl_answer_device devices[2];
	struct fl_answer_station stations[STATIONS];
	struct fl_answer_port port;
} b;

static struct fl_mac mac_of(unsigned k)
{
	return (struct fl_mac){ { 0x02, 0, 0, 0, 0, (uint8_t)k } };
}

static void tell(struct fl_observation o)
{
	o.order = b.order++;
	b.to.observe(b.to.context, &o);
}

static void begin(void)
{
	static const char *fish[] = { "fish finder" };
	memset(&b, 0, sizeof b);
	b.ledger = fl_ledger_new();
	b.events = fl_events_new();
	assert_true(b.ledger && b.events);
	b.to = fl_ledger_observer(b.ledger);
	b.now = START;
	b.devices[0].name = "arch radar";
	b.devices[1].name = "camera";
	for (unsigned k = 0; k < STATIONS; k++) {
		b.stations[k].mac = mac_of(k);
		b.stations[k].planned = k < 2 ? b.devices[k].name : NULL;
		b.stations[k].first_heard = START + k * FL_SECOND;
	}
	b.stations[2].guess = "perhaps a phone";
	b.stations[3].names = (struct fl_texts){ fish, 1 };
	b.answer = (struct fl_answer){ .planned = true, .devices = b.devices,
		.device_count = 2, .stations = b.stations, .station_count = 2 };
	for (uint16_t ear = 0; ear < EARS; ear++) {
		tell((struct fl_observation){ .kind = FL_OBSERVED_EAR, .ear = ear,
			.from = START, .to = START,
			.listening = { FL_EAR_LISTENS, 0, ear ? "eth1" : "eth0", "" } });
		for (uint32_t k = 0; k < STATIONS; k++)
			tell((struct fl_observation){ .kind = FL_OBSERVED_STREAM,
				.ear = ear, .from = START, .to = START,
				.stream = { .number = ear * STATIONS + k, .mac = mac_of(k),
					.group = { { 255, 255, 255, 255, 255, 255 } },
					.port = 2000, .protocol = 17,
					.kind = FL_STREAM_GROUP, .unasked = true } });
	}
}

static void end(void)
{
	fl_events_free(b.events);
	fl_ledger_free(b.ledger);
}

static void look(void)
{
	b.answer.to = b.now;
	fl_events_look(b.events, &b.answer, b.ledger);
}

static void hear(uint16_t ear, unsigned heard)
{
	struct fl_heard rows[STATIONS];
	size_t n = 0;
	for (unsigned k = 0; k < STATIONS; k++)
		if (heard >> k & 1)
			rows[n++] = (struct fl_heard){ ear * STATIONS + k, 500, true };
	tell((struct fl_observation){ .kind = FL_OBSERVED_SECOND, .ear = ear,
		.from = b.now, .to = b.now + FL_SECOND,
		.second = { .heard = rows, .n = n, .frames = (uint32_t)n } });
}

static void seconds(int n, unsigned heard)
{
	for (; n > 0; n--) {
		hear(0, heard);
		b.now += FL_SECOND;
		look();
	}
}

/* All that was told and not yet taken is this. */
static void took(const char *const *expected, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		const char *text = fl_events_take(b.events);
		assert_non_null(text);
		assert_string_equal(text, expected[i]);
	}
	assert_null(fl_events_take(b.events));
}

#define TOOK(...) took((const char *const[]){ __VA_ARGS__ }, \
	COUNT(((const char *const[]){ __VA_ARGS__ })))

/* Each thing once, however often it is looked at; a silence is told with the
 * time of the last frame. */
static void a_silence_and_its_end_are_told_once(void **state)
{
	(void)state;
	begin();
	seconds(100, 15);
	took(NULL, 0);
	seconds(30, 14);
	TOOK("22:14:59 arch radar fell silent.");
	seconds(30, 15);
	look();
	TOOK("22:15:30 arch radar is heard again after 31 s.");
	/* ... also when what was said of it is long forgotten. */
	for (int i = 0; i < FL_EVENTS_KEPT; i++)
		fl_events_say(b.events, b.now, "mark");
	while (fl_events_take(b.events))
		;
	seconds(5, 15);
	took(NULL, 0);
	seconds(30, 14);
	TOOK("22:16:04 arch radar fell silent.");
	for (int i = 0; i < FL_EVENTS_KEPT; i++)
		fl_events_say(b.events, b.now, "mark");
	while (fl_events_take(b.events))
		;
	seconds(5, 14);
	took(NULL, 0);
	end();
}

/* With one look at the end the same is told. */
static void what_ended_before_it_was_looked_at_is_told_too(void **state)
{
	(void)state;
	begin();
	for (int i = 0; i < 160; i++, b.now += FL_SECOND)
		hear(0, i < 100 || i >= 130 ? 15 : 14);
	look();
	TOOK("22:14:59 arch radar fell silent.",
	     "22:15:30 arch radar is heard again after 31 s.");
	end();
}

static void several_that_fall_together_are_told_one_by_one(void **state)
{
	(void)state;
	begin();
	b.answer.station_count = STATIONS;
	seconds(100, 15);
	TOOK("22:13:22 a station not in the plan: 02:00:00:00:00:02, perhaps a phone.",
	     "22:13:23 a station not in the plan: fish finder.");
	seconds(30, 2);
	TOOK("22:14:59 arch radar fell silent.",
	     "22:14:59 02:00:00:00:00:02 fell silent.",
	     "22:14:59 fish finder fell silent.");
	end();
}

static void a_blink_is_told_once_and_may_become_a_silence(void **state)
{
	(void)state;
	begin();
	b.answer.station_count = STATIONS;
	seconds(100, 15);
	while (fl_events_take(b.events))
		;
	tell((struct fl_observation){ .kind = FL_OBSERVED_EDGE, .from = b.now,
		.to = b.now, .edge = { mac_of(1), b.now - 2 * FL_SECOND,
			b.now - FL_SECOND / 2 } });
	seconds(20, 15);
	TOOK("22:14:58 camera was away for 1.5 s.");
	seconds(3, 15);
	seconds(2, 13);              /* silent, then a sign of its start     */
	tell((struct fl_observation){ .kind = FL_OBSERVED_SIGN, .from = b.now,
		.to = b.now, .sign = { .kind = FL_FACT_STARTING, .mac = mac_of(1),
			.aspect = FL_BY_STACK, .count = 1, .text = "",
			.other_text = "", .third_text = "" } });
	seconds(40, 13);
	TOOK("22:15:22 camera fell silent.");
	end();
}

/* Judgement: what one ear hears is not silent. */
static void what_another_ear_hears_is_not_silent(void **state)
{
	(void)state;
	begin();
	b.answer.station_count = 1;
	for (int i = 0; i < 200; i++) {
		hear(0, i < 100 ? 15 : 14);
		hear(1, i < 150 ? 15 : 14);
		b.now += FL_SECOND;
		look();
		if (i == 140)
			took(NULL, 0);
	}
	const char *only = fl_events_take(b.events);
	assert_non_null(only);
	assert_non_null(strstr(only, "arch radar fell silent."));
	assert_null(fl_events_take(b.events));
	end();
}

static void what_two_ears_lose_at_once_is_told_once(void **state)
{
	(void)state;
	begin();
	for (int i = 0; i < 160; i++) {
		const unsigned heard = i < 100 || i >= 130 ? 15 : 14;
		hear(0, heard);
		hear(1, heard);
		b.now += FL_SECOND;
		look();
	}
	TOOK("22:14:59 arch radar fell silent.",
	     "22:15:30 arch radar is heard again after 31 s.");
	end();
}

static void deaf_time_is_told_as_such(void **state)
{
	(void)state;
	begin();
	seconds(100, 15);
	tell((struct fl_observation){ .kind = FL_OBSERVED_EAR, .from = b.now,
		.to = b.now + 30 * FL_SECOND,
		.listening = { FL_EAR_DEAF, 0, "eth0", "asleep" } });
	b.now += 30 * FL_SECOND;
	seconds(100, 15);
	TOOK("22:15:00 could not hear for 30 s (asleep): nobody is called silent "
	     "for it.");
	/* Heard by nobody for a while and then by all: the ledger's judgement. */
	for (int i = 0; i < 200; i++, b.now += FL_SECOND)
		hear(0, i < 100 || i >= 115 ? 15 : 0);
	tell((struct fl_observation){ .kind = FL_OBSERVED_EAR, .from = b.now,
		.to = b.now + 10 * FL_SECOND,
		.listening = { FL_EAR_DEAF, 0, "eth0", "asleep" } });
	b.now += 10 * FL_SECOND;
	look();
	TOOK("22:18:49 could not hear for 16 s (nobody at all was heard, and nobody "
	     "had restarted): nobody is called silent for it.");
	/* It may go on; told is what has ended. */
	seconds(2, 15);
	took(NULL, 0);
	seconds(1, 15);
	TOOK("22:20:30 could not hear for 10 s (asleep): nobody is called silent "
	     "for it.");
	end();
}

static void devices_are_told_when_first_heard(void **state)
{
	(void)state;
	begin();
	b.answer.station_count = 2;
	seconds(5, 0);
	b.devices[1].ever_heard = true;
	b.devices[1].last_heard = b.now;
	seconds(5, 2);
	TOOK("22:13:21 first heard: camera.");
	b.answer.planned = false;
	b.answer.station_count = STATIONS;
	seconds(5, 2);
	TOOK("22:13:22 first heard: 02:00:00:00:00:02, perhaps a phone.",
	     "22:13:23 first heard: fish finder.");
	end();
}

static void port(bool link, uint32_t flaps, uint32_t mbit)
{
	b.port = (struct fl_answer_port){ .name = "eth1", .link = link,
		.flaps = flaps, .flaps_known = true, .mbit = mbit };
	b.answer.ports = &b.port;
	b.answer.port_count = 1;
	b.now += FL_SECOND;
	look();
	look();
}

/* The kernel counts losses of carrier, so one between two looks is not lost. */
static void each_loss_of_the_own_link_is_told(void **state)
{
	(void)state;
	begin();
	port(true, 5, 1000);
	took(NULL, 0);
	port(false, 6, 0);
	TOOK("22:13:22 the link of eth1 went down.");
	port(true, 6, 1000);
	TOOK("22:13:23 the link of eth1 came back.");
	port(true, 7, 1000);
	TOOK("22:13:24 the link of eth1 went down and came back.");
	port(true, 10, 100);
	TOOK("22:13:25 the link of eth1 went down and came back, 3 times.");
	port(true, 10, 10);
	TOOK("22:13:26 the link of eth1 now runs at 10 Mbit/s.");
	end();
}

static void a_port_without_link_and_a_clock_that_moved_are_told(void **state)
{
	(void)state;
	begin();
	port(false, 0, 0);
	TOOK("22:13:21 eth1 has no link.");
	b.answer.clock_moved = -3600 * FL_SECOND;
	look();
	look();
	TOOK("22:13:21 the wall clock was set back by 1 h 0 min.");
	end();
}

/* Judgement: a silence is known late, and stands where it began; of what is
 * taken the order is that of telling. */
static void sentences_lie_in_the_order_of_their_times(void **state)
{
	(void)state;
	begin();
	seconds(100, 15);
	seconds(3, 14);
	fl_events_say(b.events, b.now, "mark: plug\x1b[2J seated");
	seconds(30, 14);
	const struct fl_texts all = fl_events_texts(b.events);
	assert_int_equal(all.n, 2);
	assert_string_equal(all.at[0], "22:14:59 arch radar fell silent.");
	assert_string_equal(all.at[1], "22:15:03 mark: plug?[2J seated");
	TOOK("22:15:03 mark: plug?[2J seated", "22:14:59 arch radar fell silent.");
	end();
}

static void the_last_200_are_kept(void **state)
{
	(void)state;
	begin();
	for (int i = 0; i < 1000; i++) {
		char text[16];
		(void)snprintf(text, sizeof text, "%d", i);
		fl_events_say(b.events, START, text);
	}
	const struct fl_texts all = fl_events_texts(b.events);
	assert_int_equal(all.n, FL_EVENTS_KEPT);
	assert_string_equal(all.at[0], "22:13:20 800");
	assert_string_equal(all.at[199], "22:13:20 999");
	assert_string_equal(fl_events_take(b.events), "22:13:20 800");
	end();
}

int main(void)
{
	(void)setenv("TZ", "UTC", 1);
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_silence_and_its_end_are_told_once),
		cmocka_unit_test(what_ended_before_it_was_looked_at_is_told_too),
		cmocka_unit_test(several_that_fall_together_are_told_one_by_one),
		cmocka_unit_test(a_blink_is_told_once_and_may_become_a_silence),
		cmocka_unit_test(what_another_ear_hears_is_not_silent),
		cmocka_unit_test(what_two_ears_lose_at_once_is_told_once),
		cmocka_unit_test(deaf_time_is_told_as_such),
		cmocka_unit_test(devices_are_told_when_first_heard),
		cmocka_unit_test(each_loss_of_the_own_link_is_told),
		cmocka_unit_test(a_port_without_link_and_a_clock_that_moved_are_told),
		cmocka_unit_test(sentences_lie_in_the_order_of_their_times),
		cmocka_unit_test(the_last_200_are_kept),
	};
	return FL_RUN(tests);
}
