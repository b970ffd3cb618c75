#include "decode/decoding.h"

#include "decode/iec450.h"

static const struct fl_packet group = { .layer = FL_LAYER_TRANSPORT };

/* IEC 61162-450 clause 7.2: the token with its NUL, then lines, each with its
 * TAG block. The sentence is a common example of IEC 61162-1. */
#define TOKEN "UdPbC\0"
#define RMC "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A"
#define FIRST "\\s:GP0001,n:1*16\\" RMC "\r\n"

static const struct run *run_of(const char *octets, size_t n)
{
	return run_decoder("iec450", &group, (const uint8_t *)octets, n);
}
#define RUN(message) run_of(message, sizeof(message) - 1)

static void a_line_tells_its_count(void **state)
{
	(void)state;
	const struct run *r = RUN(TOKEN FIRST);
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->manner, FL_UNASKED);
	assert_int_equal(r->facts.n, 1);
	const struct fl_fact *f = &r->facts.at[0];
	is_fact(f, FL_FACT_SEQUENCE, FL_SEQUENCE_LINES);
	assert_int_equal(f->number, 1);
	assert_int_equal(f->seconds, 999);
}

/* Clause 7.2: a source counts its own lines. */
static void each_source_has_a_row_of_its_own(void **state)
{
	(void)state;
	const struct run *r = RUN(TOKEN FIRST "\\s:GP0001,n:2*15\\" RMC "\r\n"
		"\\s:RA0001,d:EI0001,n:999*65\\" RMC "\r\n"
		"\\s:HE0001,n:42*3B\\" RMC "\r\n");
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 4);
	const struct fl_fact *f = r->facts.at;
	assert_int_equal(f[1].number, 2);
	assert_int_equal(f[2].number, 999);
	assert_int_equal(f[3].number, 42);
	assert_true(f[0].speeds == f[1].speeds);
	assert_true(f[0].speeds != f[2].speeds);
	assert_true(f[2].speeds != f[3].speeds);
}

static void reads_source_destination_and_sentence(void **state)
{
	(void)state;
	static const char m[] = TOKEN "\\g:1-2-34*59\\\\s:RA0001,d:EI0001,n:999*65\\"
		"$RATTM,1*00\r\n" "$GPHDT,1.0,T*00";
	struct fl_cursor c = fl_cursor(m, sizeof m - 1);
	struct fl_iec450_line line;
	assert_int_equal(fl_iec450_begin(&c), FL_OK);
	assert_true(fl_iec450_next(&c, &line));
	is_text(line.source, "RA0001");
	is_text(line.destination, "EI0001");
	is_text(line.sentence, "$RATTM,1*00");
	assert_true(line.counted);
	assert_int_equal(line.number, 999);
	assert_true(fl_iec450_next(&c, &line));
	assert_null(line.source.at);
	assert_false(line.counted);
	is_text(line.sentence, "$GPHDT,1.0,T*00");
	assert_false(fl_iec450_next(&c, &line));
	assert_int_equal(c.status, FL_OK);
}

/* "AIVDM/AIVDO protocol decoding", the example of a TAG block: both sums hold.
 * Its count has six digits: it is generic NMEA 0183, not a line's of 1 to 999
 * (from memory). */
static void a_count_of_more_than_999_is_no_line_count(void **state)
{
	(void)state;
	const struct run *r = RUN(TOKEN "\\g:1-2-73874,n:157036,s:r003669945,"
		"c:1241544035*4A\\!AIVDM,1,1,,B,15N4cJ`005Jrek0H@9n`DW5608EP,0*13\r\n");
	assert_int_equal(r->status, FL_OK);
	assert_int_equal(r->facts.n, 0);
}

/* A published sample of which the sum is wrong: 5D would be right. */
static void a_sum_that_does_not_hold_is_refused(void **state)
{
	(void)state;
	refuses(RUN(TOKEN "\\g:1-2-1130*5E\\" RMC "\r\n"),
		"IEC 61162-450 clause 7.2:", 17);
	assert_int_equal(RUN(TOKEN "\\g:1-2-1130*5D\\" RMC "\r\n")->status, FL_OK);
	refuses(RUN(TOKEN FIRST "\\s:GP0001,n:1*17\\" RMC "\r\n"),
		"IEC 61162-450 clause 7.2:", 6 + sizeof FIRST - 1 + 13);
	refuses(RUN(TOKEN "\\s:GP0001,n:1\\" RMC "\r\n"),
		"IEC 61162-450 clause 7.2:", 19);
}

/* The sum's digits may be small ones (judgement). */
static void sums_are_read_in_either_case(void **state)
{
	(void)state;
	assert_int_equal(RUN(TOKEN "\\s:HE0001,n:42*3b\\" RMC "\r\n")->facts.n, 1);
}

/* Cut in its TAG block a line says nothing; cut later its count holds. */
static void every_truncation_of_the_block_says_nothing(void **state)
{
	(void)state;
	static const char m[] = TOKEN FIRST;
	const size_t block = 6 + sizeof "\\s:GP0001,n:1*16\\" - 1;
	for (size_t cut = 0; cut < sizeof m; cut++)
		assert_int_equal(run_of(m, cut)->facts.n, cut >= block);
	refuses_every_truncation("iec450", &group, OCTETS(TOKEN));
}

/* IEC 61162-450 clause 7: files and other messages have other tokens. */
static void other_datagrams_are_not_read(void **state)
{
	(void)state;
	assert_int_equal(RUN("RaUdP\0" FIRST)->status, FL_UNSUPPORTED);
	assert_int_equal(RUN("NkPgN\0" FIRST)->status, FL_UNSUPPORTED);
	assert_int_equal(RUN("UdPbC " FIRST)->status, FL_UNSUPPORTED);
	assert_int_equal(RUN(RMC "\r\n")->status, FL_UNSUPPORTED);
}

/* Without both a source and a count there is no row. */
static void a_line_without_source_or_count_is_in_no_row(void **state)
{
	(void)state;
	assert_int_equal(RUN(TOKEN "\\s:GP0001*5F\\" RMC "\r\n")->facts.n, 0);
	assert_int_equal(RUN(TOKEN "\\n:1*65\\" RMC "\r\n")->facts.n, 0);
	assert_int_equal(RUN(TOKEN "\\s:GP0001,n:x*5F\\" RMC "\r\n")->facts.n, 0);
	assert_int_equal(RUN(TOKEN "\\s:GP0001,n:*27\\" RMC "\r\n")->facts.n, 0);
}

static void lines_have_a_ceiling(void **state)
{
	(void)state;
	char m[64 + FL_IEC450_LINES_MAX * 32] = TOKEN;
	size_t n = 6;
	static const char line[] = "\\s:GP0001,n:1*16\\$GPHDT\r\n";
	for (int i = 0; i < FL_IEC450_LINES_MAX; i++, n += sizeof line - 1)
		memcpy(m + n, line, sizeof line - 1);
	assert_int_equal(run_of(m, n)->status, FL_OK);
	assert_int_equal(run_of(m, n)->facts.n, FL_IEC450_LINES_MAX);
	memcpy(m + n, "$\r\n", 3);
	assert_int_equal(run_of(m, n + 3)->status, FL_FULL);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_line_tells_its_count),
		cmocka_unit_test(each_source_has_a_row_of_its_own),
		cmocka_unit_test(reads_source_destination_and_sentence),
		cmocka_unit_test(a_count_of_more_than_999_is_no_line_count),
		cmocka_unit_test(a_sum_that_does_not_hold_is_refused),
		cmocka_unit_test(sums_are_read_in_either_case),
		cmocka_unit_test(every_truncation_of_the_block_says_nothing),
		cmocka_unit_test(other_datagrams_are_not_read),
		cmocka_unit_test(a_line_without_source_or_count_is_in_no_row),
		cmocka_unit_test(lines_have_a_ceiling),
	};
	return FL_RUN(tests);
}
