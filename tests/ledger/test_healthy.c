/* test_healthy.c -- a hundred healthy boats for eight hours each: losses of one
 * frame in two hundred, alone or in bursts, make no dropout. */
#include "test.h"

#include "ledger/ledger.h"
#include "listen.h"

#include <unistd.h>

/* A sanitizer's build runs ten times slower; it runs a tenth of the boats. */
#if defined(__SANITIZE_ADDRESS__)
enum { BOATS = 10 };
#else
enum { BOATS = 100 };
#endif
#define HOURS 8.0

static size_t dropouts_of(uint64_t seed, double burst_ms)
{
	const struct sim_options options = {
		.cause = SIM_NOTHING, .loss = 0.005, 
		.burst_ms = burst_ms, .slow = true,
		.jitter = seed % 2 ? 0.02 : 0.2,
	};
	struct sim_boat *boat = sim_boat_random(seed, &options);
	struct fl_ledger *ledger = fl_ledger_new();
	assert_true(boat && ledger);
	assert_true(listen_to(boat, HOURS * 3600, seed, fl_ledger_observer(ledger)));
	size_t n, found = 0, presences, judged = 0;
	const struct fl_dropout *d = fl_ledger_dropouts(ledger, &n);
	const struct fl_presence *p = fl_ledger_presences(ledger, &presences);
	for (size_t i = 0; i < n; i++)
		if (d[i].kind == FL_DROPOUT && !d[i].deaf) {
			char mac[FL_MAC_TEXT];
			printf("boat %llu: %s silent for %.1f s, ln P %.1f\n",
			       (unsigned long long)seed,
			       fl_mac_text(p[d[i].presence].mac, mac),
			       (double)(d[i].first - d[i].last) / 1e9, d[i].log_chance);
			found++;
		}
	/* Not by judging nobody. */
	for (uint32_t i = 0; i < presences; i++) {
		uint64_t due, heard;
		fl_ledger_due(ledger, i, &due, &heard);
		judged += due > 100;
	}
	assert_true(judged * 2 > presences);
	fl_ledger_free(ledger);
	sim_boat_free(boat);
	return found;
}

static void half_of_the_boats(uint64_t first, double burst_ms)
{
	size_t found = 0;
	for (uint64_t seed = 0; seed < BOATS / 2; seed++)
		found += dropouts_of(first + seed, burst_ms);
	assert_int_equal(found, 0);
}

static void losses_alone_make_no_dropout(void **state)
{
	(void)state;
	half_of_the_boats(50000, 0);
}

/* Interference hits all of a run for a while: 0.3 s on average, some 2 s. */
static void bursts_in_time_make_no_dropout(void **state)
{
	(void)state;
	half_of_the_boats(60000, 300);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(losses_alone_make_no_dropout),
		cmocka_unit_test(bursts_in_time_make_no_dropout),
	};
	return FL_RUN(tests);
}
