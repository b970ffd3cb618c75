#include "decode/decoding.h"

#include "decode/ber.h"
#include "decode/snmp.h"

static const struct fl_packet traps = { .layer = FL_LAYER_TRANSPORT };

#define MIB_2  "\x2b\x06\x01\x02\x01"
#define UPTIME "\x30\x0f\x06\x08" MIB_2 "\x01\x03\x00\x43\x03\x01\xe2\x40"
/* snmpTrapOID.0 and a trap of RFC 3418 section 2 */
#define TRAP(n) "\x30\x17\x06\x0a\x2b\x06\x01\x06\x03\x01\x01\x04\x01\x00" \
	"\x06\x09\x2b\x06\x01\x06\x03\x01\x01\x05" n
#define COLUMN(n, value) "\x30\x0f\x06\x0a" MIB_2 "\x02\x02\x01" n "\x03" \
	"\x02\x01" value
/* RFC 3416 sections 3 and 4.2.6: request 1, uptime 123456, a trap, and the
 * variables of RFC 2863 section 6 for interface 3. */
#define LINK_2(pdu, trap, admin, oper) \
	"\x30\x75\x02\x01\x01\x04\x06public" pdu "\x68\x02\x01\x01\x02\x01\x00" \
	"\x02\x01\x00\x30\x5d" UPTIME TRAP(trap) \
	COLUMN("\x01", "\x03") COLUMN("\x07", admin) COLUMN("\x08", oper)
#define LINK_DOWN_2 LINK_2("\xa7", "\x03", "\x01", "\x02")

/* RFC 1157 section 4.1.6, RFC 1215 section 2: a trap of version 1 has the
 * generic number, and of the interface its index. */
#define TRAP_1(enterprise, generic, specific) \
	"\x30\x3b\x02\x01\x00\x04\x06public\xa4\x2e\x06\x08" enterprise \
	"\x40\x04\xac\x10\x00\x02\x02\x01" generic "\x02\x01" specific \
	"\x43\x03\x01\xe2\x40\x30\x11" COLUMN("\x01", "\x03")
#define SOMEBODY "\x2b\x06\x01\x04\x01\x86\x8d\x1f"
#define LINK_DOWN_1 TRAP_1(SOMEBODY, "\x02", "\x00")
/* RFC 4188: notifications of version 1 come from 1.3.6.1.2.1.17. */
#define BRIDGE_1(specific) \
	"\x30\x26\x02\x01\x00\x04\x06public\xa4\x19\x06\x06" MIB_2 "\x11" \
	"\x40\x04\xac\x10\x00\x02\x02\x01\x06\x02\x01" specific \
	"\x43\x01\x05\x30\x00"
#define BRIDGE_2(notification) \
	"\x30\x47\x02\x01\x01\x04\x06public\xa7\x3a\x02\x01\x01\x02\x01\x00" \
	"\x02\x01\x00\x30\x2f" UPTIME \
	"\x30\x16\x06\x0a\x2b\x06\x01\x06\x03\x01\x01\x04\x01\x00" \
	"\x06\x08" MIB_2 "\x11\x00" notification \
	"\x30\x04\x06\x00\x05\x00"

static const struct run *run_of(const char *octets, size_t n)
{
	return run_decoder("snmp", &traps, (const uint8_t *)octets, n);
}
#define RUN(message) run_of(message, sizeof(message) - 1)

static void is_uptime(const struct fl_fact *f, uint32_t ticks)
{
	is_fact(f, FL_FACT_NUMBERED, FL_NUMBER_RUNS);
	is_text(f->text, "uptime");
	assert_int_equal(f->number, ticks);
	assert_int_equal(f->seconds, 0);
}

static void is_port(const struct fl_fact *f, uint32_t index, bool link,
		    bool enabled)
{
	is_fact(f, FL_FACT_PORT, 0);
	is_text(f->text, "trap");
	assert_int_equal(f->port->index, index);
	assert_int_equal(f->port->link, link);
	assert_int_equal(f->port->enabled, enabled);
	assert_true(f->port->there);
	assert_int_equal(f->port->counted, 0);
}

/* RFC 2863 section 6, linkDown: left up for down, with the state wanted. */
static void a_link_that_went_is_told_with_the_state_wanted(void **state)
{
	(void)state;
	const struct run *r = RUN(LINK_DOWN_2);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 2);
	is_port(&r->facts.at[0], 3, false, true);
	is_uptime(&r->facts.at[1], 123456);
}

/* RFC 2863 ifAdminStatus: 2 is down, so somebody wanted it. */
static void a_port_switched_off_is_told_as_not_enabled(void **state)
{
	(void)state;
	is_port(&RUN(LINK_2("\xa7", "\x03", "\x02", "\x02"))->facts.at[0], 3,
		false, false);
}

/* RFC 3416 section 4.2.7: an inform says the same, and wants an answer. */
static void an_inform_tells_what_a_trap_does(void **state)
{
	(void)state;
	const struct run *r = RUN(LINK_2("\xa6", "\x04", "\x01", "\x01"));
	assert_int_equal(r->status, FL_OK);
	is_port(&r->facts.at[0], 3, true, true);
}

/* RFC 1215 section 2.1.3 and 2.1.4 */
static void a_trap_of_version_1_tells_the_port(void **state)
{
	(void)state;
	const struct run *r = RUN(LINK_DOWN_1);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 2);
	is_port(&r->facts.at[0], 3, false, true);
	is_uptime(&r->facts.at[1], 123456);
	is_port(&RUN(TRAP_1(SOMEBODY, "\x03", "\x00"))->facts.at[0], 3, true, true);
}

/* RFC 1215 section 2.1.1 and 2.1.2; RFC 3418 section 2. */
static void a_start_is_told_by_its_trap(void **state)
{
	(void)state;
	const struct run *r = RUN(TRAP_1(SOMEBODY, "\x00", "\x00"));
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_STARTING, FL_BY_NUMBERS);
	is_text(r->facts.at[0].text, "coldStart");
	r = RUN(LINK_2("\xa7", "\x02", "\x01", "\x01"));
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_STARTING, FL_BY_NUMBERS);
	is_text(r->facts.at[0].text, "warmStart");
}

/* RFC 4188 section 4, and RFC 3584 section 3.1 for version 1. */
static void a_new_root_and_a_changed_tree_are_changes(void **state)
{
	(void)state;
	for (int i = 0; i < 4; i++) {
		const struct run *r = i == 0 ? RUN(BRIDGE_1("\x01"))
				    : i == 1 ? RUN(BRIDGE_1("\x02"))
				    : i == 2 ? RUN(BRIDGE_2("\x01"))
					     : RUN(BRIDGE_2("\x02"));
		assert_int_equal(r->status, FL_OK);
		assert_int_equal(r->facts.n, 2);
		is_fact(&r->facts.at[0], FL_FACT_TOPOLOGY, 0);
		assert_int_equal(r->facts.at[0].number, 1);
	}
}

/* RFC 1157 section 4.1.6: 4 is a wrong community, 6 an enterprise's own. */
static void other_traps_tell_only_the_time(void **state)
{
	(void)state;
	const struct run *r = RUN(TRAP_1(SOMEBODY, "\x04", "\x00"));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 1);
	is_uptime(&r->facts.at[0], 123456);
	assert_int_equal(RUN(TRAP_1(SOMEBODY, "\x06", "\x01"))->facts.n, 1);
	assert_int_equal(RUN(BRIDGE_1("\x03"))->facts.n, 1);
}

/* RFC 2863: ifDescr and ifName name a port; X.690 clause 8.19.2: the index
 * below a column, 300, takes two octets. */
#define NAMED(column, length, name) \
	"\x30\x36\x02\x01\x00\x04\x06public\xa4\x29\x06\x03\x2b\x06\x01" \
	"\x40\x04\xac\x10\x00\x02\x02\x01\x03\x02\x01\x00\x43\x01\x05" \
	"\x30\x13\x30\x11\x06\x0b" column "\x82\x2c\x04" length name

static void a_name_and_an_index_are_read_of_any_column(void **state)
{
	(void)state;
	const struct run *r = RUN(NAMED(MIB_2 "\x02\x02\x01\x02", "\x02", "p7"));
	assert_int_equal(r->status, FL_OK);
	is_port(&r->facts.at[0], 300, true, true);
	is_text(r->facts.at[0].other_text, "p7");
}

static void every_truncation_says_nothing(void **state)
{
	(void)state;
	refuses_every_truncation("snmp", &traps, OCTETS(LINK_DOWN_2));
	refuses_every_truncation("snmp", &traps, OCTETS(LINK_DOWN_1));
}

/* RFC 3417 section 8 forbids 80; X.690 clause 8.3 wants octets. */
static void broken_rules_are_refused_by_their_clauses(void **state)
{
	(void)state;
	refuses(RUN("\x30\x80\x02\x01\x00\x00\x00"), "RFC 3417 section 8:", 1);
	refuses(RUN("\x1f\x81\x01\x00"), "ITU-T X.690 clause 8.1.2:", 0);
	refuses(RUN("\x31\x03\x02\x01\x00"), "RFC 1157 section 4:", 2);
	refuses(RUN("\x30\x05\x02\x00\x04\x01p"), "ITU-T X.690 clause 8.3:", 4);
	refuses(RUN("\x30\x06\x02\x01\x00\x02\x01\x00"), "RFC 1157 section 4:", 7);
}

/* RFC 3416 section 3: 2 is a response; RFC 3412 section 6: version 3. */
static void what_is_no_notification_is_not_read(void **state)
{
	(void)state;
	assert_int_equal(RUN("\x30\x0a\x02\x01\x01\x04\x01p\xa2\x02\x05\x00")
			 ->status, FL_UNSUPPORTED);
	assert_int_equal(RUN("\x30\x05\x02\x01\x03\x30\x00")->status,
			 FL_UNSUPPORTED);
}

/* X.690 clause 8.3.2: two's complement; the sign is the first octet's. */
static void an_integer_has_a_sign(void **state)
{
	(void)state;
	const struct { const char *octets; size_t n; int64_t is; } rows[] = {
		{ "\x00", 1, 0 }, { "\x7f", 1, 127 }, { "\xff", 1, -1 },
		{ "\x00\x80", 2, 128 }, { "\x80\x00", 2, -32768 },
		{ "\x7f\xff\xff\xff\xff\xff\xff\xff", 8, INT64_MAX },
		{ "\x80\0\0\0\0\0\0\0", 8, INT64_MIN },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct fl_cursor c = fl_cursor(rows[i].octets, rows[i].n);
		assert_true(fl_ber_integer(&c, "why") == rows[i].is);
		assert_int_equal(c.status, FL_OK);
	}
}

/* Judgement: no agent binds so many. */
static void bindings_have_a_ceiling(void **state)
{
	(void)state;
	static const uint8_t head[] = "\x30\x82\x01\xa2\x02\x01\x01\x04\x06public"
		"\xa7\x82\x01\x93\x02\x01\x01\x02\x01\x00\x02\x01\x00\x30\x82\x01\x86";
	uint8_t m[sizeof head - 1 + 65 * 6];
	memcpy(m, head, sizeof head - 1);
	for (size_t i = 0; i < 65; i++)
		memcpy(m + sizeof head - 1 + i * 6, "\x30\x04\x06\x00\x05\x00", 6);
	assert_int_equal(run_decoder("snmp", &traps, m, sizeof m)->status, FL_FULL);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_link_that_went_is_told_with_the_state_wanted),
		cmocka_unit_test(a_port_switched_off_is_told_as_not_enabled),
		cmocka_unit_test(an_inform_tells_what_a_trap_does),
		cmocka_unit_test(a_trap_of_version_1_tells_the_port),
		cmocka_unit_test(a_start_is_told_by_its_trap),
		cmocka_unit_test(a_new_root_and_a_changed_tree_are_changes),
		cmocka_unit_test(other_traps_tell_only_the_time),
		cmocka_unit_test(a_name_and_an_index_are_read_of_any_column),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(broken_rules_are_refused_by_their_clauses),
		cmocka_unit_test(what_is_no_notification_is_not_read),
		cmocka_unit_test(an_integer_has_a_sign),
		cmocka_unit_test(bindings_have_a_ceiling),
	};
	return FL_RUN(tests);
}
