/* test_returns.c -- what a station says as it comes back, and what of that.
 *
 * Source  the sequences: what common stacks sent in a lab of namespaces, and
 *         traps of public accounts; the expected ways: judgement
 */
#include "test.h"

#include "ledger/ledger.h"

#include <math.h>

enum { STATIONS = 4, MOST_SIGNS = 12, CANNOT_TELL = FL_RETURNS };
#define START (INT64_C(1700000000) * FL_SECOND)

struct boat {
	struct fl_ledger *ledger;
	struct fl_observer to;
	uint64_t order;
	fl_time now;
};

/* A sign so many ms after the station is back; station 0 unless said. */
struct sign {
	int ms;
	enum fl_fact_kind kind;
	unsigned aspect;
	const char *text;
	uint32_t number;
	unsigned station;
};

static struct fl_mac mac_of(unsigned k)
{
	return (struct fl_mac){ { 0x02, 0, 0, 0, 0, (uint8_t)(k + 1) } };
}

static void tell(struct boat *b, struct fl_observation o)
{
	o.order = b->order++;
	b->to.observe(b->to.context, &o);
}

static struct boat begin(void)
{
	struct boat b = { .ledger = fl_ledger_new(), .now = START };
	assert_non_null(b.ledger);
	b.to = fl_ledger_observer(b.ledger);
	tell(&b, (struct fl_observation){ .kind = FL_OBSERVED_EAR, .from = START,
		.to = START, .listening = { FL_EAR_LISTENS, 0, "eth0", "" } });
	for (uint32_t k = 0; k < STATIONS; k++)
		tell(&b, (struct fl_observation){ .kind = FL_OBSERVED_STREAM,
			.from = START, .to = START,
			.stream = { .number = k, .mac = mac_of(k),
				.group = { { 255, 255, 255, 255, 255, 255 } },
				.port = 2000, .protocol = 17,
				.kind = FL_STREAM_GROUP, .unasked = true } });
	return b;
}

static void end(struct boat *b)
{
	tell(b, (struct fl_observation){ .kind = FL_OBSERVED_EAR, .from = b->now,
		.to = b->now, .listening = { FL_EAR_ENDS, 0, "eth0", "" } });
}

/* Seconds in which the stations of `heard` (a bit each) beat, and the signs
 * that fall into them, from `back` on. */
static void seconds(struct boat *b, int n, unsigned heard, const struct sign *signs,
		    fl_time back)
{
	for (int s = 0; s < n; s++) {
		for (size_t i = 0; signs && i < MOST_SIGNS && signs[i].text; i++) {
			const fl_time at = back + signs[i].ms * FL_MILLISECOND;
			if (at < b->now || at >= b->now + FL_SECOND)
				continue;
			tell(b, (struct fl_observation){ .kind = FL_OBSERVED_SIGN,
				.from = at, .to = at, .sign = { .kind = signs[i].kind,
				.aspect = signs[i].aspect, .mac = mac_of(signs[i].station),
				.number = signs[i].number, .count = 1,
				.text = signs[i].text, .other_text = "", .third_text = "" } });
		}
		struct fl_heard rows[STATIONS];
		size_t rows_n = 0;
		for (unsigned k = 0; k < STATIONS; k++)
			if (heard >> k & 1)
				rows[rows_n++] = (struct fl_heard){ k, 500, true };
		tell(b, (struct fl_observation){ .kind = FL_OBSERVED_SECOND,
			.from = b->now, .to = b->now + FL_SECOND,
			.second = { .heard = rows, .n = rows_n, .frames = (uint32_t)rows_n } });
		b->now += FL_SECOND;
	}
}

/* Station 0, or all of `gone`, is away for so long and comes back so. */
static void away(struct boat *b, int length, unsigned gone, const struct sign *signs)
{
	const fl_time back = b->now + length * FL_SECOND;
	seconds(b, length, 15u & ~gone, signs, back);
	seconds(b, 40, 15, signs, back);
}

static const struct fl_dropout *newest(const struct boat *b)
{
	size_t n;
	const struct fl_dropout *d = fl_ledger_dropouts(b->ledger, &n);
	while (n-- > 0)
		if (d[n].presence == 0)
			return &d[n];
	fail();
	return NULL;
}

/* The way that is above 0.8, the chances even beforehand. */
static int told(const struct fl_dropout *d)
{
	double sum = 0;
	for (size_t r = 0; r < FL_RETURNS; r++)
		sum += exp(d->returned[r]);
	for (size_t r = 0; r < FL_RETURNS; r++)
		if (exp(d->returned[r]) / sum > 0.8)
			return (int)r;
	return CANNOT_TELL;
}

#define STARTS(ms, by, text) { ms, FL_FACT_STARTING, FL_BY_##by, text, 0, 0 }
#define LINKS(ms, by, text) { ms, FL_FACT_LINKING, FL_BY_##by, text, 0, 0 }
#define NUMBER(ms, how, text, n) { ms, FL_FACT_NUMBERED, FL_NUMBER_##how, text, n, 0 }

/* All mechanisms, long ago. */
static const struct sign everything[MOST_SIGNS] = {
	STARTS(0, STACK, "DAD"), STARTS(0, ADDRESS, "DISCOVER"),
	STARTS(0, SERVICES, "mDNS probe"),
};

static const struct row {
	const char *what;
	bool shown;                  /* it has shown all mechanisms before   */
	int  length;                 /* s                                    */
	struct sign signs[MOST_SIGNS];
	int  way;
} rows[] = {
	{ "link: a report from its own address alone", false, 8,
	  { LINKS(12, STACK, "MLD") }, FL_OWN_LINK },
	{ "link: and a client that sees its carrier", false, 8,
	  { LINKS(12, STACK, "MLD"), LINKS(1150, ADDRESS, "INIT-REBOOT"),
	    LINKS(1300, ADDRESS, "ARP probe") }, FL_OWN_LINK },
	{ "link: its numbers ran on", false, 8,
	  { LINKS(12, STACK, "MLD"), LINKS(400, NUMBERS, "lines") }, FL_OWN_LINK },
	{ "power: all of it", false, 20,
	  { STARTS(24, STACK, "MLD from ::"), STARTS(170, STACK, "DAD"),
	    STARTS(1060, ADDRESS, "DISCOVER"), LINKS(1100, STACK, "MLD"),
	    STARTS(3100, SERVICES, "mDNS probe") }, FL_REBOOTED },
	{ "power: a client with a memory", false, 20,
	  { STARTS(24, STACK, "MLD from ::"), LINKS(1030, ADDRESS, "INIT-REBOOT"),
	    STARTS(3100, SERVICES, "mDNS probe") }, FL_REBOOTED },
	{ "power: services taken back before they are announced", false, 20,
	  { STARTS(24, STACK, "DAD"),
	    { 4600, FL_FACT_LEAVING, FL_BY_SERVICES, "upnp:rootdevice", 0, 0 } },
	  FL_REBOOTED },
	{ "power: numbers begin anew", false, 20,
	  { STARTS(1060, ADDRESS, "DISCOVER"), STARTS(5000, NUMBERS, "lines") },
	  FL_REBOOTED },
	{ "trap: a DISCOVER after a blink is no boot", false, 6,
	  { STARTS(900, ADDRESS, "DISCOVER") }, CANNOT_TELL },
	{ "trap: solicitations of an old backoff", false, 8,
	  { LINKS(300, STACK, "router solicitation") }, CANNOT_TELL },
	{ "trap: a boot number alone may be a daemon's", false, 20,
	  { NUMBER(4000, CHANGES, "BOOTID", 8) }, CANNOT_TELL },
	{ "trap: a boot number told ahead is no start", false, 8,
	  { LINKS(12, STACK, "MLD"), NUMBER(900, AHEAD, "BOOTID", 9) }, FL_OWN_LINK },
	{ "a clock that stands at less", false, 20,
	  { STARTS(1060, ADDRESS, "DISCOVER"), NUMBER(9000, RUNS, "uptime", 900) },
	  FL_REBOOTED },
	{ "a daemon: its names alone, and nothing else of what it could", true, 10,
	  { STARTS(900, SERVICES, "mDNS probe") }, FL_SOFTWARE },
	{ "nothing, and nothing known of it", false, 8, { { 0 } }, CANNOT_TELL },
};

static struct boat boat_of(const struct row *row)
{
	static const struct sign numbers[MOST_SIGNS] = {
		NUMBER(0, CHANGES, "BOOTID", 7), NUMBER(0, RUNS, "uptime", 5000),
	};
	struct boat b = begin();
	seconds(&b, 5, 15, NULL, 0);
	/* Its numbers, as it says them again and again. */
	seconds(&b, 5, 15, numbers, b.now);
	if (row->shown)
		away(&b, 12, 1, everything);
	seconds(&b, 120, 15, NULL, 0);
	away(&b, row->length, 1, row->signs);
	end(&b);
	return b;
}

static void each_way_back_is_told_by_its_signs(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct boat b = boat_of(&rows[i]);
		const struct fl_dropout *d = newest(&b);
		print_message("%s: %d (%.1f %.1f %.1f %.1f %.1f)\n", rows[i].what, told(d),
			d->returned[0], d->returned[1], d->returned[2], d->returned[3],
			d->returned[4]);
		assert_int_equal(told(d), rows[i].way);
		fl_ledger_free(b.ledger);
	}
}

/* By the rule: silence of a mechanism that was heard before is a sign; that of
 * one never heard is none, nor is any where everybody fell. */
static void nothing_counts_only_where_it_could_have_been_heard(void **state)
{
	(void)state;
	const struct row known = { NULL, true, 8, { { 0 } }, 0 };
	const struct row unknown = { NULL, false, 8, { { 0 } }, 0 };
	struct boat b = boat_of(&known), c = boat_of(&unknown), all = begin();
	const uint32_t said = 1u << FL_BY_STACK | 1u << FL_BY_ADDRESS | 1u << FL_BY_SERVICES;
	assert_int_equal(newest(&b)->spoke & said, said);
	assert_true(newest(&b)->returned[FL_REBOOTED] < -log(20));
	assert_int_equal(newest(&c)->spoke & said, 0);
	/* One starts anew, so that it was no deaf time of the laptop's. */
	static const struct sign two[MOST_SIGNS] = {
		{ 10, FL_FACT_STARTING, FL_BY_STACK, "DAD", 0, 1 },
		{ 10, FL_FACT_STARTING, FL_BY_STACK, "DAD", 0, 2 },
	};
	seconds(&all, 120, 15, NULL, 0);
	away(&all, 12, 1, everything);
	seconds(&all, 60, 15, NULL, 0);
	away(&all, 12, 15, two);
	end(&all);
	assert_int_equal(newest(&all)->deaf, false);
	assert_int_equal(newest(&all)->spoke & said, 0);
	fl_ledger_free(b.ledger);
	fl_ledger_free(c.ledger);
	fl_ledger_free(all.ledger);
}

/* Boots of one device agree within 3 s and 6 in 100: judgement. */
static void a_boot_time_is_learned_and_met(void **state)
{
	(void)state;
	struct boat b = begin();
	fl_time least, most;
	seconds(&b, 120, 15, NULL, 0);
	assert_false(fl_ledger_boot_time(b.ledger, mac_of(0), &least, &most));
	for (int i = 0; i < 3; i++)
		away(&b, 40 + i % 2, 1, everything);
	assert_true(fl_ledger_boot_time(b.ledger, mac_of(0), &least, &most));
	assert_true(least <= 41 * FL_SECOND && most >= 40 * FL_SECOND);
	assert_true(most - least <= 4 * FL_SECOND);
	assert_true(newest(&b)->spoke >> FL_BY_BOOT_TIME & 1);
	/* An hour without power is no boot of an hour. */
	away(&b, 600, 1, everything);
	assert_false(newest(&b)->spoke >> FL_BY_BOOT_TIME & 1);
	fl_time same_least, same_most;
	assert_true(fl_ledger_boot_time(b.ledger, mac_of(0), &same_least, &same_most));
	assert_int_equal(same_most, most);
	assert_int_equal(same_least, least);
	/* Too short for one: silence of the same kind says less of a restart. */
	away(&b, 20, 1, NULL);
	const double short_one = newest(&b)->returned[FL_REBOOTED];
	away(&b, 41, 1, NULL);
	assert_true(newest(&b)->returned[FL_REBOOTED] > short_one + 1);
	assert_false(fl_ledger_boot_time(b.ledger, mac_of(1), &least, &most));
	end(&b);
	fl_ledger_free(b.ledger);
}

/* A stack that tells its groups anew lost its link, even if no beat is missed;
 * one that was heard a moment ago did not, and neither did one that starts. */
static void a_link_that_forms_anew_is_a_blink(void **state)
{
	(void)state;
	static const struct sign late[MOST_SIGNS] = { LINKS(450, STACK, "MLD") };
	static const struct sign soon[MOST_SIGNS] = { LINKS(700, STACK, "MLD") };
	struct boat b = begin();
	size_t n;
	seconds(&b, 120, 15, NULL, 0);
	seconds(&b, 30, 15, soon, b.now + 3 * FL_SECOND);   /* heard at 500 ms */
	(void)fl_ledger_dropouts(b.ledger, &n);
	assert_int_equal(n, 0);
	away(&b, 2, 1, late);
	end(&b);
	(void)fl_ledger_dropouts(b.ledger, &n);
	assert_int_equal(n, 1);
	assert_int_equal(newest(&b)->kind, FL_BLINK);
	assert_int_equal(told(newest(&b)), FL_OWN_LINK);
	fl_ledger_free(b.ledger);
}

/* A switch that starts anew, and one whose tree changes, speak against a
 * device that only paused. */
static void what_a_switch_says_counts_for_the_others(void **state)
{
	(void)state;
	static const struct sign cold[MOST_SIGNS] = {
		{ 500, FL_FACT_STARTING, FL_BY_NUMBERS, "coldStart", 0, 3 } };
	static const struct sign tree[MOST_SIGNS] = {
		{ 4670, FL_FACT_TOPOLOGY, 0, "8000.020000000009", 1, 3 } };
	const struct sign *const both[] = { cold, tree };
	for (size_t i = 0; i < 2; i++) {
		struct boat b = begin();
		seconds(&b, 120, 15, NULL, 0);
		away(&b, 8, 1, both[i]);
		end(&b);
		assert_true(newest(&b)->spoke >> FL_BY_SWITCH & 1);
		assert_true(newest(&b)->returned[FL_PAUSED] < -2);
		fl_ledger_free(b.ledger);
	}
}

static bool worked(const struct boat *b)
{
	const struct fl_dropout *d = newest(b);
	return fl_ledger_working(b->ledger, d->last, d->missed);
}

/* What begins between "on" and "off" is somebody's work. */
static void what_begins_at_work_is_marked_so(void **state)
{
	(void)state;
	struct boat b = begin();
	seconds(&b, 120, 15, NULL, 0);
	away(&b, 12, 1, NULL);
	assert_false(worked(&b));
	tell(&b, (struct fl_observation){ .kind = FL_OBSERVED_HAND, .from = b.now,
		.to = b.now, .hand = { FL_HAND_WORK, "", "on" } });
	away(&b, 12, 1, NULL);
	assert_true(worked(&b));
	tell(&b, (struct fl_observation){ .kind = FL_OBSERVED_HAND, .from = b.now,
		.to = b.now, .hand = { FL_HAND_WORK, "", "off" } });
	seconds(&b, 20, 15, NULL, 0);
	away(&b, 12, 1, NULL);
	assert_false(worked(&b));
	end(&b);
	fl_ledger_free(b.ledger);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(each_way_back_is_told_by_its_signs),
		cmocka_unit_test(nothing_counts_only_where_it_could_have_been_heard),
		cmocka_unit_test(a_boot_time_is_learned_and_met),
		cmocka_unit_test(a_link_that_forms_anew_is_a_blink),
		cmocka_unit_test(what_a_switch_says_counts_for_the_others),
		cmocka_unit_test(what_begins_at_work_is_marked_so),
	};
	return FL_RUN(tests);
}
