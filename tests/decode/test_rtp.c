#include "decode/decoding.h"

#include "decode/rtp.h"

static const struct fl_packet media = { .layer = FL_LAYER_TRANSPORT };

/* RFC 3550 section 5.1: version 2, marker, payload type 96, sequence number
 * 65535, time stamp 0x01020304, SSRC 0xdeadbeef. */
#define HEADER "\x80\xe0\xff\xff\x01\x02\x03\x04\xde\xad\xbe\xef"

static void a_packet_tells_its_number(void **state)
{
	(void)state;
	const struct run *r = run_decoder("rtp", &media, OCTETS(HEADER "media"));
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 1);
	const struct fl_fact *f = &r->facts.at[0];
	is_fact(f, FL_FACT_SEQUENCE, FL_SEQUENCE_RTP);
	assert_int_equal(f->number, 65535);
	assert_int_equal(f->seconds, 65536);
	assert_int_equal(f->speeds, 0xdeadbeef);
}

static void reads_every_field_of_the_header(void **state)
{
	(void)state;
	struct fl_rtp rtp;
	struct fl_cursor c = fl_cursor(HEADER, sizeof HEADER - 1);
	assert_int_equal(fl_rtp_read(&c, false, &rtp), FL_OK);
	assert_true(rtp.marker);
	assert_int_equal(rtp.type, 96);
	assert_int_equal(rtp.contributors, 0);
	assert_false(rtp.extended);
	assert_int_equal(rtp.sequence, 65535);
	assert_int_equal(rtp.timestamp, 0x01020304);
	assert_int_equal(rtp.source, 0xdeadbeef);
	assert_int_equal(rtp.padding, 0);
}

/* RFC 3550 sections 5.1 and 5.3.1: one contributor, an extension of one word,
 * two octets of padding. */
#define FULL "\xb1\x60\x00\x01\0\0\0\x01\0\0\0\x02" "\0\0\0\x03" \
	"\xbe\xde\x00\x01\0\0\0\0" "\x00\x02"

static void reads_past_contributors_and_extension_to_the_padding(void **state)
{
	(void)state;
	struct fl_rtp rtp;
	struct fl_cursor c = fl_cursor(FULL, sizeof FULL - 1);
	assert_int_equal(fl_rtp_read(&c, false, &rtp), FL_OK);
	assert_int_equal(rtp.contributors, 1);
	assert_true(rtp.extended);
	assert_int_equal(rtp.padding, 2);
}

static void every_truncation_says_nothing(void **state)
{
	(void)state;
	refuses_every_truncation("rtp", &media, OCTETS(HEADER));
	refuses_every_truncation("rtp", &media, OCTETS(FULL));
}

/* Judgement: where a capture cut the end off, the number still holds. */
static void a_packet_that_the_capture_cut_is_read_to_its_source(void **state)
{
	(void)state;
	const struct fl_packet cut = {
		.layer = FL_LAYER_TRANSPORT, .payload_cut = true,
	};
	const struct run *r = run_decoder("rtp", &cut, (const uint8_t *)FULL, 12);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 1);
	refuses_every_truncation("rtp", &cut, OCTETS(HEADER));
}

/* RFC 3550 section 5.1: the count of padding includes itself. */
static void padding_longer_than_the_packet_is_refused(void **state)
{
	(void)state;
	refuses(run_decoder("rtp", &media, OCTETS(
		"\xa0\x60\0\1\0\0\0\1\0\0\0\2" "\x00\x03")),
		"RFC 3550 section 5.1", 12);
	refuses(run_decoder("rtp", &media, OCTETS(
		"\xa0\x60\0\1\0\0\0\1\0\0\0\2" "\x00\x00")),
		"RFC 3550 section 5.1", 12);
}

/* RFC 3550 section 5.1 (version); RFC 3551 section 6: 35 to 71 and 77 to 95
 * are given to nobody, and 72 to 76 would be reports. */
static void what_is_no_such_stream_is_not_read(void **state)
{
	(void)state;
	uint8_t m[] = HEADER;
	const struct { uint8_t at, is; enum fl_status status; } rows[] = {
		{ 0, 0x40, FL_UNSUPPORTED }, { 0, 0xc0, FL_UNSUPPORTED },
		{ 1, 34, FL_OK },  { 1, 35, FL_UNSUPPORTED },
		{ 1, 72, FL_UNSUPPORTED }, { 1, 95, FL_UNSUPPORTED },
		{ 1, 96, FL_OK },  { 1, 0x80 | 127, FL_OK },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		memcpy(m, HEADER, sizeof m);
		m[rows[i].at] = rows[i].is;
		const struct run *r = run_decoder("rtp", &media, m, sizeof m - 1);
		assert_int_equal(r->status, rows[i].status);
		assert_int_equal(r->facts.n, rows[i].status == FL_OK);
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_packet_tells_its_number),
		cmocka_unit_test(reads_every_field_of_the_header),
		cmocka_unit_test(reads_past_contributors_and_extension_to_the_padding),
		cmocka_unit_test(every_truncation_says_nothing),
		cmocka_unit_test(a_packet_that_the_capture_cut_is_read_to_its_source),
		cmocka_unit_test(padding_longer_than_the_packet_is_refused),
		cmocka_unit_test(what_is_no_such_stream_is_not_read),
	};
	return FL_RUN(tests);
}
