#include "test.h"

#include "ledger/ledger.h"

static const fl_time start = INT64_C(1777713247) * FL_SECOND;

static void tell(struct fl_ledger *l, double at, struct fl_port port)
{
	const struct fl_observer o = fl_ledger_observer(l);
	port.name = "eth1";
	const fl_time t = start + (fl_time)(at * 1e9);
	o.observe(o.context, &(struct fl_observation){
		.kind = FL_OBSERVED_PORT, .from = t, .to = t, .port = port });
}

static struct fl_port port(bool link, uint32_t downs, uint64_t crc)
{
	struct fl_port p = { .there = true, .enabled = true, .link = link,
		.flaps_counted = true, .downs = downs, .why = "",
		.counted = 1u << FL_COUNT_CRC };
	p.counts[FL_COUNT_CRC] = crc;
	return p;
}

static const struct fl_port_state *only(const struct fl_ledger *l)
{
	size_t n;
	const struct fl_port_state *s = fl_ledger_ports(l, &n);
	assert_int_equal(n, 1);
	return s;
}

/* Ten losses between two messages are ten; what was before is nobody's. */
static void flaps_and_errors_are_differences_of_the_kernels_counts(void **state)
{
	(void)state;
	struct fl_ledger *l = fl_ledger_new();
	tell(l, 0, port(true, 41, 1000));
	tell(l, 2, port(true, 51, 1012));
	assert_int_equal(only(l)->flaps, 10);
	assert_int_equal(only(l)->counts[FL_COUNT_CRC], 12);
	fl_ledger_free(l);
}

/* Without a link from 1 s to 4.5 s. */
static void time_without_link_adds_up(void **state)
{
	(void)state;
	struct fl_ledger *l = fl_ledger_new();
	tell(l, 0, port(true, 1, 0));
	tell(l, 1, port(false, 2, 0));
	tell(l, 3, port(false, 2, 0));
	tell(l, 4.5, port(true, 2, 0));
	tell(l, 9, port(true, 2, 0));
	assert_int_equal(only(l)->without_link, 3500 * FL_MILLISECOND);
	assert_int_equal(only(l)->flaps, 1);
	fl_ledger_free(l);
}

/* A dongle pulled and put back counts from nothing: its going is one loss, and
 * what it had counted stays. */
static void a_port_made_anew_keeps_what_it_had(void **state)
{
	(void)state;
	struct fl_ledger *l = fl_ledger_new();
	tell(l, 0, port(true, 3, 100));
	tell(l, 1, port(true, 4, 105));
	tell(l, 2, (struct fl_port){ .why = "" });
	tell(l, 5, port(true, 1, 2));
	tell(l, 6, port(true, 2, 3));
	assert_int_equal(only(l)->flaps, 3);
	assert_int_equal(only(l)->counts[FL_COUNT_CRC], 8);
	fl_ledger_free(l);
}

/* RFC 2863 section 3.1.5: a counter may begin anew at a discontinuity. */
static void a_counter_that_fell_began_anew(void **state)
{
	(void)state;
	struct fl_ledger *l = fl_ledger_new();
	tell(l, 0, port(true, 0, 500));
	tell(l, 1, port(true, 0, 7));
	assert_int_equal(only(l)->counts[FL_COUNT_CRC], 7);
	fl_ledger_free(l);
}

static void listens(struct fl_ledger *l, double at)
{
	const struct fl_observer o = fl_ledger_observer(l);
	const fl_time t = start + (fl_time)(at * 1e9);
	o.observe(o.context, &(struct fl_observation){
		.kind = FL_OBSERVED_EAR, .from = t, .to = t,
		.listening = { FL_EAR_LISTENS, 0, "eth1", "" } });
}

static void second(struct fl_ledger *l, double at, uint32_t own)
{
	const struct fl_observer o = fl_ledger_observer(l);
	const fl_time t = start + (fl_time)(at * 1e9);
	o.observe(o.context, &(struct fl_observation){
		.kind = FL_OBSERVED_SECOND, .from = t - FL_SECOND, .to = t,
		.second = { .own = own } });
}

/* Judgement: nobody listened from 3 s to 100 s, so three losses, 40 errors and
 * the time without a link of then were heard by nobody; the link was lost from
 * 1 s to 3 s as far as anybody knows, and once after 100 s. */
static void what_happened_while_nobody_listened_was_not_heard(void **state)
{
	(void)state;
	struct fl_ledger *l = fl_ledger_new();
	listens(l, 0);
	tell(l, 0, port(true, 1, 10));
	tell(l, 1, port(false, 2, 10));
	second(l, 3, 0);
	listens(l, 100);
	tell(l, 100, port(true, 5, 50));
	assert_int_equal(only(l)->flaps, 1);
	assert_int_equal(only(l)->counts[FL_COUNT_CRC], 0);
	assert_int_equal(only(l)->without_link, 2 * FL_SECOND);
	assert_int_equal(only(l)->ups, 0);
	tell(l, 101, port(false, 6, 53));
	assert_int_equal(only(l)->flaps, 2);
	assert_int_equal(only(l)->counts[FL_COUNT_CRC], 3);
	fl_ledger_free(l);
}

/* Judgement: of 20 own frames of before a pause the count of sent ones had told
 * only 5, for whoever listened was killed; nothing came back. */
static void own_frames_of_before_a_pause_did_not_come_back(void **state)
{
	(void)state;
	struct fl_ledger *l = fl_ledger_new();
	struct fl_port p = port(true, 1, 0);
	p.counted |= 1u << FL_COUNT_SENT;
	listens(l, 0);
	tell(l, 0, p);
	second(l, 1, 5);
	p.counts[FL_COUNT_SENT] = 5;
	tell(l, 1, p);
	second(l, 3, 15);
	listens(l, 100);
	p.counts[FL_COUNT_SENT] = 900;
	tell(l, 100, p);
	p.counts[FL_COUNT_SENT] = 910;
	second(l, 101, 10);
	tell(l, 101, p);
	assert_int_equal(only(l)->returned, 0);
	fl_ledger_free(l);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(what_happened_while_nobody_listened_was_not_heard),
		cmocka_unit_test(own_frames_of_before_a_pause_did_not_come_back),
		cmocka_unit_test(flaps_and_errors_are_differences_of_the_kernels_counts),
		cmocka_unit_test(time_without_link_adds_up),
		cmocka_unit_test(a_port_made_anew_keeps_what_it_had),
		cmocka_unit_test(a_counter_that_fell_began_anew),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
