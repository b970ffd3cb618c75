#include "test.h"

#include "event/fact.h"

/* What does not fit is not kept in part: fact.h, "Errors". */
static void keeps_a_text_whole_or_not_at_all(void **state)
{
	(void)state;
	static struct fl_facts facts;
	static const uint8_t text[FL_KEPT_MAX + 1] = "arch radar";
	const struct fl_slice first = fl_keep(&facts, (struct fl_slice){ text, 10 });
	assert_int_equal(first.n, 10);
	assert_true(first.at != text);
	assert_memory_equal(first.at, "arch radar", 10);
	const struct fl_slice most = { text, FL_KEPT_MAX - 10 };
	const struct fl_slice over = { text, FL_KEPT_MAX - 9 };
	assert_int_equal(fl_keep(&facts, over).n, 0);
	assert_true(facts.spilled);
	assert_int_equal(facts.kept_n, 10);
	assert_int_equal(fl_keep(&facts, most).n, FL_KEPT_MAX - 10);
	assert_memory_equal(first.at, "arch radar", 10);
	assert_int_equal(fl_keep(&facts, (struct fl_slice){ NULL, 0 }).n, 0);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(keeps_a_text_whole_or_not_at_all),
	};
	return FL_RUN(tests);
}
