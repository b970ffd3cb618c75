#include "decode/decoding.h"

#include "decode/syslog.h"

static const struct fl_packet datagram = { .layer = FL_LAYER_TRANSPORT };

static const struct run *run_of(const char *text)
{
	return run_decoder("syslog", &datagram, (const uint8_t *)text, strlen(text));
}

static struct fl_syslog read_of(const char *text)
{
	struct fl_syslog m;
	struct fl_cursor c = fl_cursor(text, strlen(text));
	assert_int_equal(fl_syslog_read(&c, &m), FL_OK);
	return m;
}

/* RFC 5424 section 6.5, examples 1 and 2 (1: without its byte order mark). */
static void reads_the_examples_of_rfc_5424(void **state)
{
	(void)state;
	struct fl_syslog m = read_of("<34>1 2003-10-11T22:14:15.003Z "
		"mymachine.example.com su - ID47 - "
		"'su root' failed for lonvick on /dev/pts/8");
	assert_true(m.priority_told);
	assert_int_equal(m.facility, 4);
	assert_int_equal(m.severity, 2);
	assert_int_equal(m.version, 1);
	is_text(m.host, "mymachine.example.com");
	is_text(m.text, "'su root' failed for lonvick on /dev/pts/8");
	m = read_of("<165>1 2003-08-24T05:14:15.000003-07:00 192.0.2.1 myproc "
		    "8710 - - %% It's time to make the do-nuts.");
	assert_int_equal(m.facility, 20);
	assert_int_equal(m.severity, 5);
	is_text(m.host, "192.0.2.1");
	is_text(m.text, "%% It's time to make the do-nuts.");
}

/* RFC 5424 section 6.5, examples 3 and 4; section 6.3.3 (escapes). */
static void reads_past_structured_data(void **state)
{
	(void)state;
	struct fl_syslog m = read_of("<165>1 2003-10-11T22:14:15.003Z "
		"mymachine.example.com evntslog - ID47 [exampleSDID@32473 iut=\"3\" "
		"eventSource=\"Application\" eventID=\"1011\"]"
		"[examplePriority@32473 class=\"high\"]");
	is_text(m.text, "");
	m = read_of("<165>1 - - - - - [a@32473 b=\"x]\\\"y\"] words");
	is_text(m.host, "-");
	is_text(m.text, "words");
}

/* RFC 3164 section 5.4, example 1. */
static void reads_the_example_of_rfc_3164(void **state)
{
	(void)state;
	const struct fl_syslog m = read_of("<34>Oct 11 22:14:15 mymachine su: "
		"'su root' failed for lonvick on /dev/pts/8");
	assert_int_equal(m.facility, 4);
	assert_int_equal(m.severity, 2);
	assert_int_equal(m.version, 0);
	is_text(m.text, "Oct 11 22:14:15 mymachine su: "
		"'su root' failed for lonvick on /dev/pts/8");
}

/* RFC 3164 section 4.3.3: without a PRI it is 13; section 4.1.1: at most 191. */
static void a_priority_that_is_none_is_text(void **state)
{
	(void)state;
	static const char *const texts[] = { "X", "<>X", "<192>X", "<1911>X", "<1", "<x>" };
	for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
		const struct fl_syslog m = read_of(texts[i]);
		assert_false(m.priority_told);
		assert_int_equal(m.facility, 1);
		assert_int_equal(m.severity, 5);
		is_text(m.text, texts[i]);
	}
	assert_int_equal(read_of("<191>X").severity, 7);
	assert_int_equal(read_of("<0>X").facility, 0);
}

/* Judgement: forms that logs take, from memory. */
static void a_link_is_told_in_the_words_of_many(void **state)
{
	(void)state;
	static const struct { const char *text, *port; bool up, enabled; } rows[] = {
		{ "<189>Oct 11 22:14:15 sw1 Port 3 link down", "3", false, true },
		{ "<189>Oct 11 22:14:15 sw1 LINK: port 12: Link up.", "12", true, true },
		{ "<189>44: Interface ethernet1/0/3, changed state to down",
		  "ethernet1/0/3", false, true },
		{ "<189>44: Interface ethernet1/0/3, changed state to "
		  "administratively down", "ethernet1/0/3", false, false },
		{ "<189>44: Interface 1:3, changed state to up", "1:3", true, true },
		{ "<190>1 - sw1 - - - - Link down on port 7", "7", false, true },
		{ "<190>1 - sw1 - - - - LINK UP ON INTERFACE ge-0/0/7.", "ge-0/0/7",
		  true, true },
		{ "<6>kernel: eth1: Link is Down", "eth1", false, true },
		{ "<6>kernel: eth1: Link is Up - 1Gbps/Full", "eth1", true, true },
		{ "<6>x (port 5) link status changed to down", "5", false, true },
		{ "Port 3 link down", "3", false, true },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct run *r = run_of(rows[i].text);
		assert_int_equal(r->status, FL_OK);
		assert_int_equal(r->manner, FL_UNASKED);
		assert_int_equal(r->facts.n, 1);
		const struct fl_fact *f = &r->facts.at[0];
		is_fact(f, FL_FACT_PORT, 0);
		is_text(f->text, "syslog");
		is_text(f->other_text, rows[i].port);
		assert_int_equal(f->port->index, 0);
		assert_int_equal(f->port->link, rows[i].up);
		assert_int_equal(f->port->enabled, rows[i].enabled);
	}
}

/* Judgement: a port's name has a digit; a word ends where it ends; the port of
 * a service is no port of a switch. */
static void other_words_tell_nothing(void **state)
{
	(void)state;
	static const char *const texts[] = {
		"<13>a link down", "<13>port 3 link downgraded", "<13>link down",
		"<13>host x port 80 is down", "<13>support 3 link",
		"<13>Interface eth1 is downloading", "<13>port 3 link", "<13>", "",
		"<13>transport 3", "<13>port number link down",
	};
	for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
		const struct run *r = run_of(texts[i]);
		assert_int_equal(r->status, FL_OK);
		assert_int_equal(r->facts.n, 0);
	}
}

/* decode.h: words of whoever reads come before the usual ones. */
static void words_of_the_user_tell_a_link(void **state)
{
	(void)state;
	static const struct log_case {
		const char *words; bool up; const char *text, *port;
	} rows[] = {
		{ "port % is gone", false, "<13>PORT 3, is gone!", "3" },
		{ "lost Carrier at %", false, "<13>x: lost carrier at p7.", "p7" },
		{ "% is back", true, "<13>sw: ge-0/0/1 is back", "ge-0/0/1" },
		/* The usual words would call it down. */
		{ "port % link down ended", true, "<13>port 3 link down ended", "3" },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const struct fl_log_word word = { rows[i].words, rows[i].up };
		struct fl_packet said = datagram;
		said.log_words = (struct fl_log_words){ 1, &word };
		const struct run *r = run_decoder("syslog", &said,
			(const uint8_t *)rows[i].text, strlen(rows[i].text));
		assert_int_equal(r->facts.n, 1);
		is_text(r->facts.at[0].other_text, rows[i].port);
		assert_int_equal(r->facts.at[0].port->link, rows[i].up);
		assert_true(r->facts.at[0].port->enabled);
	}
	assert_int_equal(run_of("<13>port 3 is gone")->facts.n, 0);
}

/* A log line has no end of its own: cut, it tells nothing before its state. */
static void every_truncation_tells_no_other_state(void **state)
{
	(void)state;
	static const char m[] = "<190>1 - sw1 - - - [a b=\"c\"] Port 3 link down";
	for (size_t cut = 0; cut < sizeof m; cut++) {
		const struct run *r = run_decoder("syslog", &datagram,
						  (const uint8_t *)m, cut);
		assert_int_equal(r->facts.n, cut >= sizeof m - 1);
	}
}

/* RFC 5424 section 6.3: "-" or an element in brackets. */
static void structured_data_of_another_form_is_refused(void **state)
{
	(void)state;
	refuses(run_of("<34>1 - - - - - x Port 3 link down"),
		"RFC 5424 section 6.3:", 15);
	assert_int_equal(run_of("<34>1 - - - - - [a b=\"]\" Port 3")->status,
			 FL_SHORT);
}

/* RFC 5424 section 6.1: 2048 octets. */
static void the_text_looked_at_has_a_ceiling(void **state)
{
	(void)state;
	static char m[FL_SYSLOG_LOOKED_AT + 64];
	memset(m, ' ', FL_SYSLOG_LOOKED_AT);
	strcpy(m + FL_SYSLOG_LOOKED_AT - 16, "Port 3 link down");
	assert_int_equal(run_of(m)->facts.n, 1);
	memset(m, ' ', FL_SYSLOG_LOOKED_AT);
	strcpy(m + FL_SYSLOG_LOOKED_AT - 15, "Port 3 link down");
	assert_int_equal(run_of(m)->facts.n, 0);
}

/* Judgement: no port has so long a name. */
static void a_ports_name_has_a_ceiling(void **state)
{
	(void)state;
	char m[128] = "<13>port ";
	memset(m + 9, '7', FL_SYSLOG_PORT_MAX);
	strcpy(m + 9 + FL_SYSLOG_PORT_MAX, " link down");
	assert_int_equal(run_of(m)->facts.n, 1);
	memset(m + 9, '7', FL_SYSLOG_PORT_MAX + 1);
	strcpy(m + 10 + FL_SYSLOG_PORT_MAX, " link down");
	assert_int_equal(run_of(m)->facts.n, 0);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_the_examples_of_rfc_5424),
		cmocka_unit_test(reads_past_structured_data),
		cmocka_unit_test(reads_the_example_of_rfc_3164),
		cmocka_unit_test(a_priority_that_is_none_is_text),
		cmocka_unit_test(a_link_is_told_in_the_words_of_many),
		cmocka_unit_test(other_words_tell_nothing),
		cmocka_unit_test(words_of_the_user_tell_a_link),
		cmocka_unit_test(every_truncation_tells_no_other_state),
		cmocka_unit_test(structured_data_of_another_form_is_refused),
		cmocka_unit_test(the_text_looked_at_has_a_ceiling),
		cmocka_unit_test(a_ports_name_has_a_ceiling),
	};
	return FL_RUN(tests);
}
