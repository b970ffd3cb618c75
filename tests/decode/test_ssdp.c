#include "decoding.h"

#include "decode/ssdp.h"

/* UPnP Device Architecture 1.1 section 1.2.2, the form of an announcement. */
#define ALIVE_WITH(boot) \
	"NOTIFY * HTTP/1.1\r\nHOST: 239.255.255.250:1900\r\n" \
	"CACHE-CONTROL: max-age=1800\r\n" \
	"LOCATION: http://172.16.0.9:80/d.xml\r\nNT: upnp:rootdevice\r\n" \
	"NTS: ssdp:alive\r\nSERVER: os/1 UPnP/2.0 p/1\r\n" \
	"USN: uuid:00000000-0000-0000-0000-000000000009::upnp:rootdevice\r\n" \
	"BOOTID.UPNP.ORG: " boot "\r\nCONFIGID.UPNP.ORG: 1\r\n\r\n"
#define ALIVE ALIVE_WITH("125")

static const struct run *run_of(const char *text)
{
	const struct fl_packet packet = { .layer = FL_LAYER_TRANSPORT };
	return run_decoder("ssdp", &packet, (const uint8_t *)text, strlen(text));
}

static enum fl_status read_of(const char *text, struct fl_ssdp *m)
{
	struct fl_cursor c = fl_cursor(text, strlen(text));
	return fl_ssdp_read(&c, m);
}

static void reads_each_field_of_an_announcement(void **state)
{
	(void)state;
	struct fl_ssdp m;
	assert_int_equal(read_of(ALIVE, &m), FL_OK);
	assert_int_equal(m.kind, FL_SSDP_NOTIFY);
	assert_int_equal(m.nts, FL_SSDP_ALIVE);
	is_text(m.host, "239.255.255.250:1900");
	is_text(m.location, "http://172.16.0.9:80/d.xml");
	is_text(m.nt, "upnp:rootdevice");
	is_text(m.server, "os/1 UPnP/2.0 p/1");
	is_text(m.usn, "uuid:00000000-0000-0000-0000-000000000009::upnp:rootdevice");
	assert_true(m.max_age.told && m.boot_id.told && m.config_id.told);
	assert_int_equal(m.max_age.value, 1800);
	assert_int_equal(m.boot_id.value, 125);
	assert_int_equal(m.config_id.value, 1);
	assert_false(m.next_boot_id.told);
}

/* Section 1.2.2: BOOTID is the same in repeats and grows with each start. */
static void an_announcement_tells_service_software_and_boot_number(void **state)
{
	(void)state;
	const struct run *r = run_of(ALIVE);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 3);
	const struct fl_fact *f = r->facts.at;
	is_fact(&f[0], FL_FACT_IDENTITY, FL_ID_SERVICE);
	is_text(f[0].text, "upnp:rootdevice");
	assert_int_equal(f[0].seconds, 1800);
	is_fact(&f[1], FL_FACT_IDENTITY, FL_ID_SOFTWARE);
	is_text(f[1].text, "os/1 UPnP/2.0 p/1");
	is_fact(&f[2], FL_FACT_NUMBERED, 0);
	is_text(f[2].text, "BOOTID");
	assert_int_equal(f[2].number, 125);
	assert_int_equal(run_of(ALIVE_WITH("124"))->facts.at[2].number, 124);
}

/* RFC 9112 section 2.1: an empty line ends the fields. */
static void every_truncation_says_nothing(void **state)
{
	(void)state;
	const struct fl_packet packet = { .layer = FL_LAYER_TRANSPORT };
	refuses_every_truncation("ssdp", &packet, OCTETS(ALIVE));
}

/* RFC 9110 section 5.1: names in either case; RFC 9112 section 2.2: LF alone
 * may end a line; section 5.1: blanks around a value are not of it. */
static void tolerates_case_blanks_and_bare_line_feeds(void **state)
{
	(void)state;
	struct fl_ssdp m;
	assert_int_equal(read_of("notify * http/1.1\nnt:upnp:rootdevice\n"
		"Nts :\tSSDP:Alive \ncache-control: no-cache=\"x\", Max-Age = 60\n"
		"X-Other:\n\n", &m), FL_OK);
	assert_int_equal(m.nts, FL_SSDP_ALIVE);
	is_text(m.nt, "upnp:rootdevice");
	assert_int_equal(m.max_age.value, 60);
}

/* Section 1.2.3. */
static void a_byebye_is_a_leave(void **state)
{
	(void)state;
	const struct run *r = run_of("NOTIFY * HTTP/1.1\r\nNT: upnp:rootdevice\r\n"
		"NTS: ssdp:byebye\r\nUSN: uuid:9\r\nBOOTID.UPNP.ORG: 125\r\n\r\n");
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_LEAVING, FL_BY_SERVICES);
	is_text(r->facts.at[0].text, "upnp:rootdevice");
}

/* Section 1.2.4: an update names the boot number that comes, no restart. */
static void an_update_tells_the_next_boot_number_ahead(void **state)
{
	(void)state;
	const struct run *r = run_of("NOTIFY * HTTP/1.1\r\nNT: upnp:rootdevice\r\n"
		"NTS: ssdp:update\r\nUSN: uuid:9\r\nBOOTID.UPNP.ORG: 125\r\n"
		"NEXTBOOTID.UPNP.ORG: 126\r\n\r\n");
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[1], FL_FACT_NUMBERED, 1);
	assert_int_equal(r->facts.at[1].number, 126);
}

/* Section 1.3.2: ST is what is searched for. */
static void a_search_wants_its_target(void **state)
{
	(void)state;
	const struct run *r = run_of("M-SEARCH * HTTP/1.1\r\n"
		"HOST: 239.255.255.250:1900\r\nMAN: \"ssdp:discover\"\r\nMX: 3\r\n"
		"ST: ssdp:all\r\n\r\n");
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_SERVICE);
	is_text(r->facts.at[0].text, "ssdp:all");
}

/* Section 1.3.3; 01-NLS is from memory of announcers before version 1.1. */
static void a_response_is_an_answer_of_a_service(void **state)
{
	(void)state;
	const struct run *r = run_of("HTTP/1.1 200 OK\r\nEXT:\r\nST: ssdp:all\r\n"
		"USN: uuid:9\r\n01-NLS: 5e1f\r\n\r\n");
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_ANSWER);
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_IDENTITY, FL_ID_SERVICE);
	is_fact(&r->facts.at[1], FL_FACT_NUMBERED, 0);
	is_text(r->facts.at[1].text, "01-NLS");
	is_text(r->facts.at[1].other_text, "5e1f");
}

/* Section 1.2.2: the number has 31 bits; what is none is not told. */
static void a_boot_number_has_31_bits(void **state)
{
	(void)state;
	struct fl_ssdp m;
	read_of(ALIVE_WITH("2147483647"), &m);
	assert_int_equal(m.boot_id.value, 0x7fffffff);
	read_of(ALIVE_WITH("2147483648"), &m);
	assert_false(m.boot_id.told);
	read_of(ALIVE_WITH("99999999999999999999999"), &m);
	assert_false(m.boot_id.told);
	read_of(ALIVE_WITH("-1"), &m);
	assert_false(m.boot_id.told);
	read_of(ALIVE_WITH("0"), &m);
	assert_true(m.boot_id.told);
	assert_int_equal(run_of(ALIVE_WITH("x"))->facts.n, 2);
}

static void broken_rules_are_refused_by_their_clauses(void **state)
{
	(void)state;
	static const struct { const char *text, *rule; size_t where; } rows[] = {
		{ "GET / HTTP/1.1\r\n\r\n",
		  "UPnP Device Architecture 1.1 section 1.1.1:", 0 },
		{ "NOTIFY * HTTP/1.1\r\nNT upnp\r\n\r\n",
		  "RFC 9112 section 5:", 19 },
		{ "NOTIFY * HTTP/1.1\r\nNTS: ssdp:alive\r\n\r\n",
		  "UPnP Device Architecture 1.1 section 1.2.2: NT is", 37 },
		{ "NOTIFY * HTTP/1.1\r\nNT: a\r\n\r\n",
		  "UPnP Device Architecture 1.1 section 1.2.2: NTS is", 27 },
		{ "M-SEARCH * HTTP/1.1\r\nMX: 3\r\n\r\n",
		  "UPnP Device Architecture 1.1 section 1.3.2: ST is", 29 },
		{ "HTTP/1.1 200 OK\r\nUSN: a\r\n\r\n",
		  "UPnP Device Architecture 1.1 section 1.3.3: ST is", 26 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		refuses(run_of(rows[i].text), rows[i].rule, rows[i].where);
	assert_int_equal(run_of("NOTIFY * HTTP/1.1\r\nNT: a\r\nNTS: b\r\n\r\n")
			 ->status, FL_UNSUPPORTED);
}

static void lines_have_a_ceiling(void **state)
{
	(void)state;
	char text[1024] = "NOTIFY * HTTP/1.1\r\nNT: a\r\nNTS: ssdp:alive\r\n";
	for (int i = 0; i < FL_SSDP_LINES_MAX - 3; i++)
		strcat(text, "A: b\r\n");
	const size_t n = strlen(text);
	strcat(text, "\r\n");
	assert_int_equal(run_of(text)->status, FL_OK);
	strcpy(text + n, "A: b\r\n\r\n");
	assert_int_equal(run_of(text)->status, FL_FULL);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_each_field_of_an_announcement),
		cmocka_unit_test(an_announcement_tells_service_software_and_boot_number),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(tolerates_case_blanks_and_bare_line_feeds),
		cmocka_unit_test(a_byebye_is_a_leave),
		cmocka_unit_test(an_update_tells_the_next_boot_number_ahead),
		cmocka_unit_test(a_search_wants_its_target),
		cmocka_unit_test(a_response_is_an_answer_of_a_service),
		cmocka_unit_test(a_boot_number_has_31_bits),
		cmocka_unit_test(broken_rules_are_refused_by_their_clauses),
		cmocka_unit_test(lines_have_a_ceiling),
	};
	return FL_RUN(tests);
}
