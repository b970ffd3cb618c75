#include "decode/decoding.h"

#include "decode/sflow.h"

static const struct fl_packet collector = { .layer = FL_LAYER_TRANSPORT };

/* Words of a datagram, as XDR writes them (RFC 4506 section 4.1). */
struct words { size_t n; uint8_t at[4096]; };

static void put(struct words *w, const uint32_t *words, size_t n)
{
	for (size_t i = 0; i < n; i++, w->n += 4)
		for (int shift = 24, k = 0; k < 4; k++, shift -= 8)
			w->at[w->n + (size_t)k] = (uint8_t)(words[i] >> shift);
}
#define PUT(w, ...) put(w, (const uint32_t[]){ __VA_ARGS__ }, \
	sizeof((const uint32_t[]){ __VA_ARGS__ }) / 4)

/* sFlow Version 5 section 5: agent 172.16.0.2, datagram 42, 600 s up. */
static void put_head(struct words *w, uint32_t samples)
{
	w->n = 0;
	PUT(w, 5, 1, 0xac100002, 0, 42, 600000, samples);
}

/* if_counters: interface 3 of Ethernet, 100 Mbit/s, full duplex, up and up. */
static void put_interface(struct words *w, uint32_t type)
{
	PUT(w, 1, 88, 3, type, 0, 100000000, 1, 3, 0, 1000000, 5000, 100, 10, 0,
	    7, 0, 0, 2000000, 6000, 50, 5, 0, 0, 0);
}

static void put_ethernet(struct words *w, uint32_t last)
{
	PUT(w, 2, 52, 2, 5, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, last);
}

/* A counters sample of both: alignment 2, FCS 5, ifInErrors 7. */
static void put_counters(struct words *w)
{
	PUT(w, 2, 168, 9, 3, 2);
	put_interface(w, 6);
	put_ethernet(w, 0);
}

static const struct run *run_of(const struct words *w)
{
	return run_decoder("sflow", &collector, w->at, w->n);
}

static void is_counted(const struct fl_port *p, enum fl_counter what, uint64_t n)
{
	assert_true(fl_port_counts(p, what));
	assert_int_equal(p->counts[what], n);
}

static void is_not_counted(const struct fl_port *p, enum fl_counter what)
{
	assert_false(fl_port_counts(p, what));
	assert_int_equal(p->counts[what], 0);
}

/* sFlow Version 5 section 5, if_counters and ethernet_counters. */
static void a_sample_tells_a_port_and_what_it_counted(void **state)
{
	(void)state;
	struct words w;
	put_head(&w, 1);
	put_counters(&w);
	assert_int_equal(w.n, 204);
	const struct run *r = run_of(&w);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[1], FL_FACT_PORT, 0);
	is_text(r->facts.at[1].text, "sFlow");
	const struct fl_port *p = r->facts.at[1].port;
	assert_int_equal(p->index, 3);
	assert_true(p->there && p->enabled && p->link);
	assert_int_equal(p->mbit, 100);
	assert_int_equal(p->duplex, FL_DUPLEX_FULL);
	is_counted(p, FL_COUNT_OCTETS_RECEIVED, 1000000);
	is_counted(p, FL_COUNT_RECEIVED, 5110);
	is_counted(p, FL_COUNT_OCTETS_SENT, 2000000);
	is_counted(p, FL_COUNT_SENT, 6055);
	is_counted(p, FL_COUNT_ALIGNMENT, 2);
	is_counted(p, FL_COUNT_CRC, 5);
	is_counted(p, FL_COUNT_SYMBOL, 0);
	is_counted(p, FL_COUNT_LATE_COLLISIONS, 0);
	is_counted(p, FL_COUNT_COLLISIONS, 0);
	is_not_counted(p, FL_COUNT_ERRORS);
	is_not_counted(p, FL_COUNT_UNDERSIZE);
}

/* Section 5: uptime in ms of 32 bits, which begins anew after 49.7 days. */
static void the_time_since_the_start_is_a_clock(void **state)
{
	(void)state;
	struct words w;
	put_head(&w, 0);
	const struct run *r = run_of(&w);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_NUMBERED, FL_NUMBER_RUNS);
	is_text(r->facts.at[0].text, "uptime");
	assert_int_equal(r->facts.at[0].number, 60000);
	assert_int_equal(r->facts.at[0].seconds, 429496730);
}

/* Section 5.3: "an unknown counter is all ones"; a sum of it is not known. */
static void a_counter_of_all_ones_is_not_counted(void **state)
{
	(void)state;
	struct words w;
	put_head(&w, 1);
	PUT(&w, 2, 168, 9, 3, 2,
	    1, 88, 3, 6, 0xffffffff, 0xffffffff, 0, 1, 0xffffffff, 0xffffffff,
	    5000, 0xffffffff, 10, 0, 7, 0, 0, 2000000, 6000, 50, 5, 0, 0, 0,
	    2, 52, 2, 0xffffffff, 0, 0xffffffff, 0, 0, 0xffffffff, 0, 0, 0, 0,
	    0, 0xffffffff);
	const struct run *r = run_of(&w);
	assert_int_equal(r->status, FL_OK);
	const struct fl_port *p = r->facts.at[1].port;
	assert_int_equal(p->mbit, 0);
	assert_int_equal(p->duplex, FL_DUPLEX_UNKNOWN);
	assert_true(p->enabled);
	assert_false(p->link);
	is_not_counted(p, FL_COUNT_OCTETS_RECEIVED);
	is_not_counted(p, FL_COUNT_RECEIVED);
	is_counted(p, FL_COUNT_SENT, 6055);
	is_counted(p, FL_COUNT_ALIGNMENT, 2);
	is_not_counted(p, FL_COUNT_CRC);
	is_not_counted(p, FL_COUNT_COLLISIONS);
	is_not_counted(p, FL_COUNT_LATE_COLLISIONS);
	is_not_counted(p, FL_COUNT_SYMBOL);
	is_counted(p, FL_COUNT_OVERSIZE, 0);
}

/* Judgement: without the kinds, errors of no kind are better than none. */
static void errors_of_no_kind_are_told_where_no_kinds_are(void **state)
{
	(void)state;
	struct words w;
	put_head(&w, 1);
	PUT(&w, 2, 108, 9, 3, 1);
	put_interface(&w, 6);
	const struct fl_port *p = run_of(&w)->facts.at[1].port;
	is_counted(p, FL_COUNT_ERRORS, 7);
	is_not_counted(p, FL_COUNT_CRC);
}

/* Section 5: 4 is the same with a source of two words; record 1005 names the
 * port, padded to four octets (RFC 4506 section 4.11). */
static void an_expanded_sample_with_a_name_is_read(void **state)
{
	(void)state;
	struct words w;
	put_head(&w, 1);
	PUT(&w, 4, 128, 9, 0, 3, 2);
	put_interface(&w, 6);
	PUT(&w, 1005, 8, 2, 0x70370000);
	const struct run *r = run_of(&w);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 2);
	is_text(r->facts.at[1].other_text, "p7");
	assert_int_equal(r->facts.at[1].port->index, 3);
}

/* Section 5: flow samples (1), and what others put in (enterprise 99999),
 * have a length for being passed over. */
static void other_samples_and_records_are_passed_over(void **state)
{
	(void)state;
	struct words w;
	put_head(&w, 3);
	PUT(&w, 1, 8, 0x11111111, 0x22222222);
	PUT(&w, 99999u << 12 | 2, 4, 0);
	PUT(&w, 2, 120, 9, 3, 2, 1004, 4, 0);
	put_interface(&w, 6);
	const struct run *r = run_of(&w);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 2);
	assert_int_equal(r->facts.at[1].port->index, 3);
}

/* RFC 2863, ifType: 135 is a VLAN, which has no cable. */
static void what_is_no_ethernet_port_is_not_told(void **state)
{
	(void)state;
	struct words w;
	put_head(&w, 1);
	PUT(&w, 2, 108, 9, 3, 1);
	put_interface(&w, 135);
	const struct run *r = run_of(&w);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 1);
}

static void every_truncation_says_nothing(void **state)
{
	(void)state;
	struct words w;
	put_head(&w, 1);
	put_counters(&w);
	refuses_every_truncation("sflow", &collector, w.at, w.n);
}

/* Section 5: a record holds all of its structure, and lies in its sample. */
static void a_record_shorter_than_its_structure_is_refused(void **state)
{
	(void)state;
	struct words w;
	put_head(&w, 1);
	PUT(&w, 2, 24, 9, 3, 1, 2, 4, 0);
	const struct run *r = run_of(&w);
	assert_int_equal(r->status, FL_SHORT);
	assert_int_equal(r->facts.n, 0);
}

/* Versions 2 and 4 have other structures; an agent may have no address. */
static void other_versions_are_not_read(void **state)
{
	(void)state;
	struct words w = { 0 };
	PUT(&w, 4, 1, 0xac100002, 1, 2, 0);
	assert_int_equal(run_of(&w)->status, FL_UNSUPPORTED);
	w.n = 0;
	PUT(&w, 5, 0, 0, 0, 0, 0);
	assert_int_equal(run_of(&w)->status, FL_UNSUPPORTED);
}

/* Judgement: a datagram of 1500 octets holds a dozen ports. */
static void samples_records_and_ports_have_ceilings(void **state)
{
	(void)state;
	struct words w;
	put_head(&w, FL_SFLOW_SAMPLES_MAX + 1);
	assert_int_equal(run_of(&w)->status, FL_FULL);
	put_head(&w, 1);
	PUT(&w, 2, 12, 9, 3, FL_SFLOW_RECORDS_MAX + 1);
	assert_int_equal(run_of(&w)->status, FL_FULL);
	put_head(&w, FL_FACTS_PORTS);
	for (uint32_t i = 0; i <= FL_FACTS_PORTS; i++) {
		PUT(&w, 2, 108, 9, 3, 1);
		put_interface(&w, 6);
	}
	assert_int_equal(run_of(&w)->status, FL_OK);
	assert_int_equal(run_of(&w)->facts.port_n, FL_FACTS_PORTS);
	w.at[27] = FL_FACTS_PORTS + 1;
	assert_int_equal(run_of(&w)->status, FL_FULL);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_sample_tells_a_port_and_what_it_counted),
		cmocka_unit_test(the_time_since_the_start_is_a_clock),
		cmocka_unit_test(a_counter_of_all_ones_is_not_counted),
		cmocka_unit_test(errors_of_no_kind_are_told_where_no_kinds_are),
		cmocka_unit_test(an_expanded_sample_with_a_name_is_read),
		cmocka_unit_test(other_samples_and_records_are_passed_over),
		cmocka_unit_test(what_is_no_ethernet_port_is_not_told),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(a_record_shorter_than_its_structure_is_refused),
		cmocka_unit_test(other_versions_are_not_read),
		cmocka_unit_test(samples_records_and_ports_have_ceilings),
	};
	return FL_RUN(tests);
}
