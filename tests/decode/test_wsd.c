#include "decode/decoding.h"

#include "decode/wsd.h"

static const struct fl_packet datagram = { .layer = FL_LAYER_TRANSPORT };

#define NS_2005 "http://schemas.xmlsoap.org/ws/2005/04/discovery"
#define NS_2009 "http://docs.oasis-open.org/ws-dd/ns/discovery/2009/01"
#define ENVELOPE(ns, header, body) \
	"<?xml version=\"1.0\" encoding=\"utf-8\"?>" \
	"<soap:Envelope xmlns:soap=\"http://www.w3.org/2003/05/soap-envelope\" " \
	"xmlns:wsa=\"http://schemas.xmlsoap.org/ws/2004/08/addressing\" " \
	"xmlns:wsd=\"" ns "\" " \
	"xmlns:wsdp=\"http://schemas.xmlsoap.org/ws/2006/02/devprof\">" \
	"<soap:Header>" header "</soap:Header><soap:Body>" body "</soap:Body>" \
	"</soap:Envelope>"
#define ENDPOINT "<wsa:EndpointReference><wsa:Address>" \
	"urn:uuid:37f86d35-e6ac-4241-964f-1d9ae46fb366" \
	"</wsa:Address></wsa:EndpointReference>"
#define SEQUENCE(instance, number) "<wsd:AppSequence InstanceId=\"" instance "\" " \
	"SequenceId=\"urn:uuid:369a7d7b-5f87-48a4-aa9a-189edf2a8772\" " \
	"MessageNumber=\"" number "\"></wsd:AppSequence>"
/* The Hello that the documentation of a published implementation shows, put
 * together from its values; its form is WS-Discovery's, section 4.1. */
#define HELLO_HEADER "<wsa:To>urn:schemas-xmlsoap-org:ws:2005:04:discovery</wsa:To>" \
	"<wsa:Action>" NS_2005 "/Hello</wsa:Action><wsa:MessageID>" \
	"urn:uuid:0f5d604c-81ac-4abc-8010-51dbffad55f2</wsa:MessageID>"
#define HELLO_WITH(types) ENVELOPE(NS_2005, HELLO_HEADER SEQUENCE("2", "14"), \
	"<wsd:Hello>" ENDPOINT "<wsd:Types>" types "</wsd:Types>" \
	"<wsd:MetadataVersion>2</wsd:MetadataVersion></wsd:Hello>")
#define HELLO HELLO_WITH("wsdp:Device")
#define PROBE(types) ENVELOPE(NS_2009, "", \
	"<wsd:Probe><wsd:Types>" types "</wsd:Types></wsd:Probe>")

static const struct run *run_of(const char *text)
{
	return run_decoder("wsd", &datagram, (const uint8_t *)text, strlen(text));
}

static enum fl_status read_of(const char *text, struct fl_wsd *m)
{
	struct fl_cursor c = fl_cursor(text, strlen(text));
	return fl_wsd_read(&c, m);
}

static void reads_every_part_of_a_hello(void **state)
{
	(void)state;
	struct fl_wsd m;
	assert_int_equal(read_of(HELLO, &m), FL_OK);
	assert_int_equal(m.kind, FL_WSD_HELLO);
	assert_true(m.sequenced);
	assert_int_equal(m.instance, 2);
	assert_int_equal(m.number, 14);
	is_text(fl_wsd_slice(&m, FL_WSD_SEQUENCE),
		"urn:uuid:369a7d7b-5f87-48a4-aa9a-189edf2a8772");
	is_text(fl_wsd_slice(&m, FL_WSD_ACTION), NS_2005 "/Hello");
	is_text(fl_wsd_slice(&m, FL_WSD_MESSAGE),
		"urn:uuid:0f5d604c-81ac-4abc-8010-51dbffad55f2");
	is_text(fl_wsd_slice(&m, FL_WSD_ENDPOINT),
		"urn:uuid:37f86d35-e6ac-4241-964f-1d9ae46fb366");
	is_text(fl_wsd_slice(&m, FL_WSD_TYPES), "wsdp:Device");
	is_text(fl_wsd_slice(&m, FL_WSD_SCOPES), "");
	is_text(fl_wsd_slice(&m, FL_WSD_VERSION), "2");
}

/* WS-Discovery 1.1 section 7: InstanceId grows with each start, MessageNumber
 * with each message in it. */
static void a_hello_tells_types_and_numbers(void **state)
{
	(void)state;
	const struct run *r = run_of(HELLO);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 3);
	const struct fl_fact *f = r->facts.at;
	is_fact(&f[0], FL_FACT_IDENTITY, FL_ID_SERVICE);
	is_text(f[0].text, "Device");
	is_fact(&f[1], FL_FACT_NUMBERED, FL_NUMBER_CHANGES);
	is_text(f[1].text, "InstanceId");
	assert_int_equal(f[1].number, 2);
	is_text(f[1].third_text, "urn:uuid:37f86d35-e6ac-4241-964f-1d9ae46fb366");
	is_fact(&f[2], FL_FACT_SEQUENCE, FL_SEQUENCE_MESSAGES);
	assert_int_equal(f[2].number, 14);
	assert_int_equal(f[2].seconds, 0);
}

/* Section 7: a message number is unique within instance and sequence. */
static void each_instance_has_a_row_of_its_own(void **state)
{
	(void)state;
#define BYE(instance, number) ENVELOPE(NS_2009, SEQUENCE(instance, number), \
	"<wsd:Bye>" ENDPOINT "</wsd:Bye>")
	const uint64_t row = run_of(BYE("2", "14"))->facts.at[2].speeds;
	assert_true(run_of(BYE("2", "15"))->facts.at[2].speeds == row);
	assert_true(run_of(BYE("3", "14"))->facts.at[2].speeds != row);
}

/* Section 4.2. */
static void a_bye_is_a_leave(void **state)
{
	(void)state;
	const struct run *r = run_of(BYE("2", "15"));
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 3);
	is_fact(&r->facts.at[0], FL_FACT_LEAVING, FL_BY_SERVICES);
	is_text(r->facts.at[0].text, "urn:uuid:37f86d35-e6ac-4241-964f-1d9ae46fb366");
	is_fact(&r->facts.at[1], FL_FACT_NUMBERED, FL_NUMBER_CHANGES);
	is_fact(&r->facts.at[2], FL_FACT_SEQUENCE, FL_SEQUENCE_MESSAGES);
}

/* Section 5.3; ONVIF Core Specification section 7 (types, scopes), RFC 3986
 * section 2.1 ("%20" is a blank). */
static void a_match_is_an_answer_with_kind_and_name(void **state)
{
	(void)state;
	const struct run *r = run_of(ENVELOPE(NS_2009, "",
		"<wsd:ProbeMatches><wsd:ProbeMatch>" ENDPOINT
		"<wsd:Types> dn:NetworkVideoTransmitter\n</wsd:Types><wsd:Scopes>"
		"onvif://www.onvif.org/name/Fore%20deck "
		"onvif://www.onvif.org/hardware/C%1 http://a/name/b</wsd:Scopes>"
		"</wsd:ProbeMatch></wsd:ProbeMatches>"));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_ANSWER);
	assert_int_equal(r->facts.n, 4);
	const struct fl_fact *f = r->facts.at;
	is_text(f[0].text, "NetworkVideoTransmitter");
	is_fact(&f[1], FL_FACT_IDENTITY, FL_ID_KIND);
	is_text(f[1].text, "camera");
	is_fact(&f[2], FL_FACT_IDENTITY, FL_ID_NAME);
	is_text(f[2].text, "Fore deck");
	is_fact(&f[3], FL_FACT_IDENTITY, FL_ID_MODEL);
	is_text(f[3].text, "C%1");
}

/* Sections 5.2 and 6.2. */
static void a_probe_wants_types_and_a_resolve_an_endpoint(void **state)
{
	(void)state;
	const struct run *r = run_of(PROBE("wsdp:Device x:Other"));
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 2);
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_SERVICE);
	is_text(r->facts.at[0].text, "Device");
	is_text(r->facts.at[1].text, "Other");
	r = run_of(ENVELOPE(NS_2005, "", "<wsd:Resolve>" ENDPOINT "</wsd:Resolve>"));
	assert_int_equal(r->facts.n, 1);
	is_fact(&r->facts.at[0], FL_FACT_WANTS, FL_WANTS_SERVICE);
	is_text(r->facts.at[0].text, "urn:uuid:37f86d35-e6ac-4241-964f-1d9ae46fb366");
	r = run_of(ENVELOPE(NS_2005, "", "<wsd:ResolveMatches/>"));
	assert_int_equal(r->manner, FL_ANSWER);
}

/* Section 7: xs:unsignedInt; a number that is none is not told. */
static void numbers_have_32_bits(void **state)
{
	(void)state;
	struct fl_wsd m;
	assert_int_equal(read_of(BYE("4294967295", "0"), &m), FL_OK);
	assert_true(m.sequenced);
	assert_int_equal(m.instance, UINT32_MAX);
	static const char *const others[] = {
		BYE("4294967296", "1"), BYE("", "1"), BYE("-1", "1"), BYE("1", "x"),
		BYE("99999999999999999999999", "1"),
	};
	for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
		assert_int_equal(read_of(others[i], &m), FL_OK);
		assert_false(m.sequenced);
	}
}

/* Namespaces in XML 1.0: a name of another one is another name. */
static void another_namespace_says_nothing(void **state)
{
	(void)state;
	const struct run *r = run_of(ENVELOPE("urn:other", SEQUENCE("2", "14"),
		"<wsd:Hello>" ENDPOINT "<wsd:Types>a:B</wsd:Types></wsd:Hello>"));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 0);
}

static void every_truncation_says_nothing(void **state)
{
	(void)state;
	refuses_every_truncation("wsd", &datagram, OCTETS(HELLO));
}

/* Judgement: some senders close the text with a NUL. */
static void a_nul_behind_the_text_is_passed_over(void **state)
{
	(void)state;
	assert_int_equal(run_decoder("wsd", &datagram, (const uint8_t *)HELLO,
				     sizeof HELLO)->facts.n, 3);
}

/* SOAP Version 1.2 section 5: no declaration, so nothing is expanded. */
static void broken_rules_are_refused_by_their_clauses(void **state)
{
	(void)state;
	refuses(run_of("<!DOCTYPE e [<!ENTITY a \"aaaa\">"
		"<!ENTITY b \"&a;&a;\">]><e>&b;</e>"),
		"SOAP Version 1.2 section 5:", 12);
	refuses(run_of("<!DOCTYPE e SYSTEM \"file:///etc/passwd\"><e/>"),
		"SOAP Version 1.2 section 5:", 39);
	refuses(run_of("<Enclosure/>"), "SOAP Version 1.2 section 5.1:", 0);
	refuses(run_of("<Envelope><a></b></Envelope>"),
		"Extensible Markup Language 1.0 section 2.1:", 15);
	refuses(run_of("<Envelope>&unknown;</Envelope>"),
		"Extensible Markup Language 1.0 section 2.1:", 10);
	refuses(run_of("no XML at all"),
		"Extensible Markup Language 1.0 section 2.1:", 0);
}

/* wsd.h: octets, depth, memory, length of a text. */
static void messages_have_ceilings(void **state)
{
	(void)state;
	static char m[FL_WSD_OCTETS_MAX + 2];
	memset(m, ' ', sizeof m - 1);
	memcpy(m, "<Envelope/>", 11);
	assert_int_equal(run_of(m)->status, FL_FULL);
	m[FL_WSD_OCTETS_MAX] = '\0';
	assert_int_equal(run_of(m)->status, FL_OK);

	char deep[16 * FL_WSD_DEPTH_MAX] = "<Envelope>";
	for (int i = 0; i < FL_WSD_DEPTH_MAX; i++)
		strcat(deep, "<a>");
	assert_int_equal(run_of(deep)->status, FL_FULL);
	memset(deep, 0, sizeof deep);
	strcpy(deep, "<Envelope>");
	for (int i = 1; i < FL_WSD_DEPTH_MAX; i++)
		strcat(deep, "<a>");
	assert_int_equal(run_of(deep)->status, FL_SHORT);

	/* As many names of attributes as go in: the parser keeps each. */
	size_t n = (size_t)sprintf(m, "<Envelope");
	for (unsigned i = 0; n < FL_WSD_OCTETS_MAX - 16; i++)
		n += (size_t)sprintf(m + n, " a%x=\"\"", i);
	strcpy(m + n, "/>");
	assert_int_equal(run_of(m)->status, FL_FULL);
}

static void a_long_text_is_cut(void **state)
{
	(void)state;
	static char text[2 * FL_WSD_TEXT_MAX + 1];
	static char m[4096];
	memset(text, 'x', sizeof text - 1);
	sprintf(m, PROBE("%s"), text);
	struct fl_wsd wsd;
	assert_int_equal(read_of(m, &wsd), FL_OK);
	assert_int_equal(wsd.text[FL_WSD_TYPES].n, FL_WSD_TEXT_MAX);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_every_part_of_a_hello),
		cmocka_unit_test(a_hello_tells_types_and_numbers),
		cmocka_unit_test(each_instance_has_a_row_of_its_own),
		cmocka_unit_test(a_bye_is_a_leave),
		cmocka_unit_test(a_match_is_an_answer_with_kind_and_name),
		cmocka_unit_test(a_probe_wants_types_and_a_resolve_an_endpoint),
		cmocka_unit_test(numbers_have_32_bits),
		cmocka_unit_test(another_namespace_says_nothing),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(a_nul_behind_the_text_is_passed_over),
		cmocka_unit_test(broken_rules_are_refused_by_their_clauses),
		cmocka_unit_test(messages_have_ceilings),
		cmocka_unit_test(a_long_text_is_cut),
	};
	return FL_RUN(tests);
}
