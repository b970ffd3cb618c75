#include "test.h"

#include "base/cursor.h"
#include "base/error.h"
#include "base/region.h"
#include "base/table.h"
#include "base/text.h"
#include "base/time.h"

/* ---- cursor ---- */

static void the_first_refusal_sticks(void **state)
{
	(void)state;
	const uint8_t bytes[] = { 1, 2, 3 };
	struct fl_cursor c = fl_cursor(bytes, sizeof bytes);
	assert_int_equal(fl_u16(&c), 0x0102);
	assert_int_equal(fl_u32(&c), 0);
	assert_int_equal(c.status, FL_SHORT);
	assert_int_equal(c.where, 2);
	fl_refuse(&c, FL_MALFORMED, "later");
	assert_int_equal(c.status, FL_SHORT);
	assert_int_equal(fl_u8(&c), 0);
	assert_int_equal(fl_left(&c), 1);
}

static void a_child_cannot_reach_its_sibling(void **state)
{
	(void)state;
	const uint8_t bytes[] = { 1, 2, 3, 4 };
	struct fl_cursor c = fl_cursor(bytes, sizeof bytes);
	struct fl_cursor child = fl_sub(&c, 2);
	assert_int_equal(fl_be(&child, 3), 0);
	assert_int_equal(child.status, FL_SHORT);
	assert_int_equal(fl_u8(&c), 3);
	fl_join(&c, &child);
	assert_int_equal(c.status, FL_SHORT);
	struct fl_cursor nothing = fl_cursor(NULL, 0);
	assert_int_equal(fl_left(&nothing), 0);
	assert_int_equal(fl_u8(&nothing), 0);
	assert_int_equal(nothing.status, FL_SHORT);
	const uint8_t little[] = { 0x78, 0x56, 0x34, 0x12 };
	struct fl_cursor l = fl_cursor(little, 4);
	assert_int_equal(fl_le(&l, 4), 0x12345678);
}

/* ---- addresses ---- */

/* RFC 1112 section 6.4 and RFC 2464 section 7: how a group becomes a MAC;
 * RFC 4541 section 2.1.2: 224.0.0.0/24 is never held back. */
static void groups_that_a_switch_may_hold_back(void **state)
{
	(void)state;
	const struct { struct fl_mac mac; bool filterable; } rows[] = {
		{ { { 0x01, 0x00, 0x5e, 0x00, 0x00, 0xfb } }, false },   /* 224.0.0.251     */
		{ { { 0x01, 0x00, 0x5e, 0x7f, 0xff, 0xfa } }, true },    /* 239.255.255.250 */
		{ { { 0x01, 0x00, 0x5e, 0x40, 0x00, 0x01 } }, true },    /* 239.192.0.1     */
		{ { { 0x33, 0x33, 0x00, 0x00, 0x00, 0x01 } }, false },   /* ff02::1         */
		{ { { 0x33, 0x33, 0x00, 0x00, 0x00, 0xfb } }, true },    /* ff02::fb        */
		{ { { 0xff, 0xff, 0xff, 0xff, 0xff, 0xff } }, false },
		{ { { 0x01, 0x80, 0xc2, 0x00, 0x00, 0x0e } }, false },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		assert_int_equal(fl_mac_is_filterable(rows[i].mac), rows[i].filterable);
	/* IEEE Std 802.1Q table 8-1: -00 to -0F stay on the cable. */
	assert_true(fl_mac_is_link_only(rows[6].mac));
	assert_false(fl_mac_is_link_only((struct fl_mac){ { 1, 0x80, 0xc2, 0, 0, 0x10 } }));
}

/* RFC 4291 section 2.5.5.2 (mapped form), RFC 5952 section 4 (spelling). */
static void addresses_read_back_as_they_were_written(void **state)
{
	(void)state;
	static const char *const good[] = { "192.0.2.1", "2001:db8::1", "fe80::1", "::" };
	char text[FL_IP_TEXT];
	struct fl_ip ip;
	for (size_t i = 0; i < 4; i++) {
		assert_true(fl_ip_parse(good[i], strlen(good[i]), &ip));
		assert_string_equal(fl_ip_text(ip, text), good[i]);
	}
	assert_false(fl_ip_parse("192.0.2.256", 11, &ip));
	assert_false(fl_ip_parse("192.0.2.1 ", 10, &ip));
	assert_true(fl_ip_parse("169.254.7.9", 11, &ip) && fl_ip_is_link_local(ip));
	assert_true(fl_ip_parse("172.20.3.4", 10, &ip));
	assert_string_equal(fl_ip_text(fl_ip_network(ip, 12), text), "172.16.0.0");
	assert_string_equal(fl_ip_text(fl_ip_network(ip, 32), text), "172.20.3.4");
	struct fl_mac mac;
	char m[FL_MAC_TEXT];
	static const char *const macs[] = { "02:1b:c5:00:00:21", "02-1B-C5-00-00-21",
					    "021b.c500.0021", "021bc5000021" };
	for (size_t i = 0; i < 4; i++) {
		assert_true(fl_mac_parse(macs[i], strlen(macs[i]), &mac));
		assert_string_equal(fl_mac_text(mac, m), macs[0]);
	}
	assert_false(fl_mac_parse("02:1b:c5:00:00", 14, &mac));
	assert_false(fl_mac_parse("02:1b:c5:00:00:21:1", 19, &mac));
	assert_false(fl_mac_parse("0g:1b:c5:00:00:21", 17, &mac));
}

/* ---- text ---- */

static void cleaned(const char *in, const char *out)
{
	char text[FL_TEXT_MAX + 1];
	fl_text_clean((struct fl_slice){ (const uint8_t *)in, strlen(in) }, text);
	assert_string_equal(text, out);
}

/* RFC 3629 sections 3, 4 and 10: no overlong form, no surrogate; Unicode
 * Standard Annex 9: the marks that turn the reading direction. */
static void hostile_text_comes_out_harmless(void **state)
{
	(void)state;
	cleaned("plain", "plain");
	cleaned("  padded \x20", "padded");
	cleaned("sj\xc3\xb6", "sj\xc3\xb6");
	cleaned("a\x1b[31mb", "a?[31mb");
	cleaned("a\x7f\tb", "a??b");
	cleaned("a\xc2\x9b" "b", "a?b");                  /* C1 control       */
	cleaned("a\xe2\x80\xae" "b", "a?b");              /* turns to left    */
	cleaned("\xc0\xaf\xe0\x80\xaf", "?????");         /* overlong slashes */
	cleaned("\xed\xa0\x80", "???");                   /* a surrogate      */
	cleaned("\xf4\x90\x80\x80", "????");              /* beyond U+10FFFF  */
	cleaned("cut \xe2\x82", "cut ??");
}

static void a_long_text_is_cut_between_characters(void **state)
{
	(void)state;
	char in[400], text[FL_TEXT_MAX + 1];
	for (size_t i = 0; i < 300; i += 2)
		memcpy(in + i, "\xc3\xb6", 2);
	assert_int_equal(fl_text_clean((struct fl_slice){ (uint8_t *)in, 300 }, text), 254);
	assert_int_equal(fl_text_columns(text), 127);
}

static void a_builder_keeps_to_its_ceiling(void **state)
{
	(void)state;
	struct fl_text t;
	assert_true(fl_text_init(&t, 10));
	fl_text_add(&t, "%s", "12345678");
	fl_text_add(&t, "%s", "abc");
	assert_true(t.full);
	assert_string_equal(t.at, "12345678");
	fl_text_add(&t, "%s", "90");
	assert_string_equal(t.at, "1234567890");
	fl_text_close(&t);
}

/* ---- memory ---- */

struct entry { uint32_t key; uint32_t value; };

static void a_table_finds_keeps_and_turns_over(void **state)
{
	(void)state;
	enum { N = 500 };
	struct fl_table t;
	bool added;
	assert_true(fl_table_init(&t, N, sizeof(uint32_t), sizeof(struct entry)));
	for (uint32_t i = 0; i < N; i++) {
		struct entry *e = fl_table_add(&t, &i, &added);
		assert_non_null(e);
		assert_true(added);
		e->value = i * 3;
	}
	uint32_t key = N;
	assert_null(fl_table_add(&t, &key, &added));
	/* Rename every second one: the others are still found, the old are not. */
	for (uint32_t i = 0; i < N; i += 2) {
		key = 10000 + i;
		const struct entry *e = fl_table_rename(&t, i, &key);
		assert_int_equal(e->value, 0);
	}
	for (uint32_t i = 0; i < N; i++) {
		const struct entry *e = fl_table_find(&t, &i);
		assert_int_equal(e != NULL, i % 2 == 1);
		if (e)
			assert_int_equal(e->value, i * 3);
		key = 10000 + i;
		assert_int_equal(fl_table_find(&t, &key) != NULL, i % 2 == 0);
	}
	fl_table_close(&t);
}

static void a_region_stops_at_its_ceiling(void **state)
{
	(void)state;
	struct fl_region *r = fl_region_new(100000);
	assert_non_null(fl_region_take(r, 60000));
	assert_false(fl_region_full(r));
	assert_null(fl_region_array(r, SIZE_MAX / 2, 4));
	assert_true(fl_region_full(r));
	assert_null(fl_region_take(r, 60000));
	assert_string_equal(fl_region_format(r, "%d", 42), "42");
	fl_region_free(r);
}

static void the_first_error_sticks(void **state)
{
	(void)state;
	struct fl_error e = { 0 };
	fl_error_set(&e, FL_SHORT, 0, 7, "first", "x");
	fl_error_set(&e, FL_FULL, 0, 9, "second", "y");
	assert_int_equal(e.status, FL_SHORT);
	assert_int_equal(e.offset, 7);
	assert_string_equal(e.subject, "x");
}

/* ---- time ---- */

/* RFC 3339 section 5.8, first example: 1985-04-12T23:20:50.52Z. */
static void times_are_spelt_as_rfc_3339_says(void **state)
{
	(void)state;
	char t[FL_TIME_TEXT];
	assert_string_equal(fl_time_utc(INT64_C(482196050520000000), t),
			    "1985-04-12T23:20:50.520Z");
	assert_string_equal(fl_time_utc(-1, t), "1969-12-31T23:59:59.999Z");
	assert_string_equal(fl_time_length(44 * FL_SECOND, t), "44 s");
	assert_string_equal(fl_time_length(130 * FL_SECOND, t), "2 min 10 s");
	assert_string_equal(fl_time_length(6 * FL_HOUR + 5 * FL_MINUTE, t), "6 h 5 min");
	assert_string_equal(fl_time_interval(40 * FL_MILLISECOND, t), "40 ms");
	assert_string_equal(fl_time_interval(500 * FL_MILLISECOND, t), "0.5 s");
	assert_string_equal(fl_time_interval(2 * FL_SECOND, t), "2 s");
	assert_string_equal(fl_time_lapse(500 * FL_MILLISECOND, t), "0.5 s");
	assert_string_equal(fl_time_lapse(7208 * FL_SECOND, t), "2 h 0 min");
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(the_first_refusal_sticks),
		cmocka_unit_test(a_child_cannot_reach_its_sibling),
		cmocka_unit_test(groups_that_a_switch_may_hold_back),
		cmocka_unit_test(addresses_read_back_as_they_were_written),
		cmocka_unit_test(hostile_text_comes_out_harmless),
		cmocka_unit_test(a_long_text_is_cut_between_characters),
		cmocka_unit_test(a_builder_keeps_to_its_ceiling),
		cmocka_unit_test(a_table_finds_keeps_and_turns_over),
		cmocka_unit_test(a_region_stops_at_its_ceiling),
		cmocka_unit_test(the_first_error_sticks),
		cmocka_unit_test(times_are_spelt_as_rfc_3339_says),
	};
	return FL_RUN(tests);
}
