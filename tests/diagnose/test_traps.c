/* test_traps.c -- what looks like a fault of addresses and is none.
 *
 * Source  RFC 5227 sections 1.1 and 2.1.1 (a probe claims nothing), RFC 1027 (one
 *         answers for others); the rest is common practice
 */
#include "told.h"

static void claims(struct told *t, double at, uint8_t station, uint8_t address,
		   enum fl_claim how)
{
	told_sign(t, at, (struct fl_observation){ .sign = {
		.kind = FL_FACT_CLAIM, .aspect = how, .mac = told_mac(station),
		.ip = { { 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xff, 0xff, 172, 20, 0, address } } } });
}

/* Stations 1 to 5 are heard for two minutes, each with its own address. */
static struct told five_stations(void)
{
	struct told t = told_begin(NULL);
	for (uint8_t s = 1; s <= 5; s++) {
		told_beats(&t, s, false, 1, 0, 120);
		claims(&t, 1, s, s, FL_CLAIM_USES);
	}
	told_seconds(&t, 0, 60);
	return t;
}

static bool conflict(struct told *t)
{
	told_seconds(t, 60, 120);
	const bool found = told_finding(t, "address-conflict");
	told_end(t);
	return found;
}

/* The others of this file differ from this one in a single thing. */
static void two_users_of_one_address_clash(void **state)
{
	(void)state;
	struct told t = five_stations();
	claims(&t, 60, 2, 1, FL_CLAIM_USES);
	assert_true(conflict(&t));
}

static void who_probes_an_address_does_not_use_it(void **state)
{
	(void)state;
	struct told t = five_stations();
	claims(&t, 60, 2, 1, FL_CLAIM_PROBES);
	assert_false(conflict(&t));
}

static void who_announces_its_own_again_and_again_is_one(void **state)
{
	(void)state;
	struct told t = five_stations();
	for (int i = 0; i < 5; i++)
		claims(&t, 60 + i, 1, 1, FL_CLAIM_USES);
	assert_false(conflict(&t));
}

static void a_gateway_that_answers_for_all_takes_no_address(void **state)
{
	(void)state;
	struct told t = five_stations();
	for (uint8_t address = 1; address <= 4; address++)
		claims(&t, 60 + address, 5, address, FL_CLAIM_USES);
	assert_false(conflict(&t));
}

static void a_unit_put_in_place_of_a_silent_one_inherits_its_address(void **state)
{
	(void)state;
	struct told t = told_begin(NULL);
	told_beats(&t, 1, false, 1, 0, 40);
	told_beats(&t, 2, false, 1, 50, 120);
	claims(&t, 1, 1, 1, FL_CLAIM_USES);
	told_seconds(&t, 0, 60);
	claims(&t, 60, 2, 1, FL_CLAIM_USES);
	assert_false(conflict(&t));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(two_users_of_one_address_clash),
		cmocka_unit_test(who_probes_an_address_does_not_use_it),
		cmocka_unit_test(who_announces_its_own_again_and_again_is_one),
		cmocka_unit_test(a_gateway_that_answers_for_all_takes_no_address),
		cmocka_unit_test(a_unit_put_in_place_of_a_silent_one_inherits_its_address),
	};
	return FL_RUN(tests);
}
