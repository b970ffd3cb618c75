#include "test.h"

#include "cli/keys.h"

static struct {
	int n;
	enum fl_hand act;
	char text[FL_KEYS_TYPED + 1];
} told;

static void hand(void *context, enum fl_hand act, const char *text)
{
	assert_ptr_equal(context, &told);
	told.n++;
	told.act = act;
	assert_true(strlen(text) <= FL_KEYS_TYPED);
	strcpy(told.text, text);
}

static struct fl_keys begin(enum fl_keys_view view)
{
	memset(&told, 0, sizeof told);
	return fl_keys_begin(view, hand, &told);
}

static void press_all(struct fl_keys *k, const char *ascii)
{
	for (; *ascii; ascii++)
		fl_keys_press(k, *ascii);
}

static void a_mark_is_typed_and_kept(void **state)
{
	(void)state;
	struct fl_keys k = begin(FL_KEYS_SCREEN);
	press_all(&k, "mseated wnq plug");   /* keys are letters now */
	assert_true(k.typing);
	assert_false(k.quit);
	assert_int_equal(told.n, 0);
	fl_keys_press(&k, FL_KEY_ENTER);
	assert_false(k.typing);
	assert_int_equal(told.n, 1);
	assert_int_equal(told.act, FL_HAND_MARK);
	assert_string_equal(told.text, "seated wnq plug");
}

/* Judgement: both hands are at a plug, so Enter alone marks the moment. */
static void an_empty_mark_is_a_mark(void **state)
{
	(void)state;
	struct fl_keys k = begin(FL_KEYS_SCREEN);
	fl_keys_press(&k, 'm');
	fl_keys_press(&k, FL_KEY_ENTER);
	assert_int_equal(told.n, 1);
	assert_string_equal(told.text, "");
}

static void escape_drops_a_mark_and_its_text(void **state)
{
	(void)state;
	struct fl_keys k = begin(FL_KEYS_SCREEN);
	press_all(&k, "mno");
	fl_keys_press(&k, FL_KEY_ESCAPE);
	assert_false(k.typing);
	fl_keys_press(&k, 'm');
	fl_keys_press(&k, FL_KEY_ENTER);
	assert_int_equal(told.n, 1);
	assert_string_equal(told.text, "");
}

/* RFC 3629 section 3: a character of 1, 2, 3 and 4 octets; each goes whole. */
static void backspace_takes_a_character(void **state)
{
	(void)state;
	struct fl_keys k = begin(FL_KEYS_SCREEN);
	static const int typed[] = { 'm', 'a', 0xe9, 0x6e2f, 0x1f4e1 };
	for (size_t i = 0; i < sizeof typed / sizeof typed[0]; i++)
		fl_keys_press(&k, typed[i]);
	assert_string_equal(k.typed, "a\xc3\xa9\xe6\xb8\xaf\xf0\x9f\x93\xa1");
	static const size_t left[] = { 6, 3, 1, 0, 0 };
	for (size_t i = 0; i < sizeof left / sizeof left[0]; i++) {
		fl_keys_press(&k, FL_KEY_BACKSPACE);
		assert_int_equal(strlen(k.typed), left[i]);
	}
}

/* The ceiling of the journal's text; a character that would pass it is not
 * begun. */
static void a_mark_is_never_over_its_ceiling(void **state)
{
	(void)state;
	struct fl_keys k = begin(FL_KEYS_SCREEN);
	fl_keys_press(&k, 'm');
	for (int i = 0; i < 100; i++)
		fl_keys_press(&k, 0x6e2f);
	assert_int_equal(strlen(k.typed), FL_KEYS_TYPED / 3 * 3);
	press_all(&k, "abc");
	assert_int_equal(strlen(k.typed), FL_KEYS_TYPED);
}

static void what_is_no_text_is_not_typed(void **state)
{
	(void)state;
	struct fl_keys k = begin(FL_KEYS_SCREEN);
	fl_keys_press(&k, 'm');
	static const int none[] = { 0, 3, '\t', 0x1b, 0x7f, 0x9b, 0xd800, 0xdfff,
		FL_KEY_NONE, FL_KEY_RESIZED, FL_KEY_LOST, 0x7fffffff, -5 };
	for (size_t i = 0; i < sizeof none / sizeof none[0]; i++)
		fl_keys_press(&k, none[i]);
	assert_true(k.typing);
	assert_string_equal(k.typed, "");
}

static void next_goes_round_by_way_of_none(void **state)
{
	(void)state;
	struct fl_keys k = begin(FL_KEYS_SCREEN);
	fl_keys_press(&k, 'n');
	assert_int_equal(k.chosen, -1);
	fl_keys_rows(&k, 2);
	static const int expected[] = { 0, 1, -1, 0, 1 };
	for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++) {
		fl_keys_press(&k, 'n');
		assert_int_equal(k.chosen, expected[i]);
	}
	fl_keys_rows(&k, 1);
	assert_int_equal(k.chosen, -1);
}

static void work_goes_on_and_off(void **state)
{
	(void)state;
	struct fl_keys k = begin(FL_KEYS_SCREEN);
	fl_keys_press(&k, 'w');
	assert_true(k.working);
	assert_int_equal(told.act, FL_HAND_WORK);
	assert_string_equal(told.text, "on");
	fl_keys_press(&k, 'w');
	assert_false(k.working);
	assert_string_equal(told.text, "off");
	assert_int_equal(told.n, 2);
}

static void space_marks_only_where_hands_are_full(void **state)
{
	(void)state;
	struct fl_keys k = begin(FL_KEYS_SCREEN);
	fl_keys_press(&k, ' ');
	assert_int_equal(told.n, 0);
	k = begin(FL_KEYS_WIGGLE);
	press_all(&k, " wn");
	assert_int_equal(told.n, 1);
	assert_int_equal(told.act, FL_HAND_MARK);
	fl_keys_press(&k, 'q');
	assert_true(k.quit);
}

static void every_key_has_its_words(void **state)
{
	(void)state;
	char words[80], few[8];
	assert_string_equal(fl_keys_words(FL_KEYS_SCREEN, words, sizeof words),
			    "m mark  n next device  w work on/off  q quit");
	assert_string_equal(fl_keys_words(FL_KEYS_WIGGLE, words, sizeof words),
			    "space mark  m mark with words  q quit");
	assert_int_equal(strlen(fl_keys_words(FL_KEYS_SCREEN, few, sizeof few)), 7);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_mark_is_typed_and_kept),
		cmocka_unit_test(an_empty_mark_is_a_mark),
		cmocka_unit_test(escape_drops_a_mark_and_its_text),
		cmocka_unit_test(backspace_takes_a_character),
		cmocka_unit_test(a_mark_is_never_over_its_ceiling),
		cmocka_unit_test(what_is_no_text_is_not_typed),
		cmocka_unit_test(next_goes_round_by_way_of_none),
		cmocka_unit_test(work_goes_on_and_off),
		cmocka_unit_test(space_marks_only_where_hands_are_full),
		cmocka_unit_test(every_key_has_its_words),
	};
	return FL_RUN(tests);
}
