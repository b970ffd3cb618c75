/* test_healthy.c -- healthy boats for eight hours each: losses of one frame in two
 * hundred, alone or in bursts, make no dropout. */
#include "test.h"

#include "ledger/ledger.h"
#include "listen.h"

#include <stdbool.h>
#include <unistd.h>

/* A sanitizer's build runs ten times slower; it runs a tenth of the boats. */
#if defined(__SANITIZE_ADDRESS__)
enum { BOATS = 12 };
#else
enum { BOATS = 60 };
#endif
#define HOURS 8.0

/* Where frames are lost, and how many together. */
struct losses { double run, burst_ms, lead, lead_burst; bool whole_bulk; };

/* Presences of all boats, and those of them that were judged by many beats. */
static size_t presences_seen, presences_judged;

static size_t dropouts_of(uint64_t seed, const struct losses *losses)
{
	const struct sim_options options = {
		.cause = SIM_NOTHING, .loss = losses->run,
		.burst_ms = losses->burst_ms, .lead_loss = losses->lead,
		.lead_burst = losses->lead_burst, .slow = !losses->whole_bulk,
		.jitter = seed % 2 ? 0.02 : 0.2,
	};
	struct sim_boat *boat = sim_boat_random(seed, &options);
	struct fl_ledger *ledger = fl_ledger_new();
	assert_true(boat && ledger);
	assert_true(listen_to(boat, (losses->whole_bulk ? 1 : HOURS) * 3600, seed, fl_ledger_observer(ledger)));
	size_t n, found = 0, presences;
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
	for (uint32_t i = 0; i < presences; i++) {
		uint64_t due, heard;
		fl_ledger_due(ledger, i, &due, &heard);
		presences_judged += due > 100;
	}
	presences_seen += presences;
	fl_ledger_free(ledger);
	sim_boat_free(boat);
	return found;
}

/* FAIRLEAD_BOATS asks for another number of boats, by hand. */
static void some_boats(uint64_t first, const struct losses *losses)
{
	const char *asked = getenv("FAIRLEAD_BOATS");
	const uint64_t boats = asked ? (uint64_t)atoi(asked) : BOATS / 3;
	size_t found = 0;
	assert_true(boats > 0);
	for (uint64_t seed = 0; seed < boats; seed++)
		found += dropouts_of(first + seed, losses);
	assert_int_equal(found, 0);
	/* Not by judging nobody. */
	assert_true(presences_judged * 2 > presences_seen);
}

static void losses_alone_make_no_dropout(void **state)
{
	(void)state;
	some_boats(50000, &(struct losses){ .run = 0.005 });
}

/* Interference hits all of a run for a while: 0.3 s on average, some 2 s. */
static void bursts_in_time_make_no_dropout(void **state)
{
	(void)state;
	some_boats(60000, &(struct losses){ .run = 0.005, .burst_ms = 300 });
}

/* At the laptop's own lead frames are lost one after another, whoever sent them.
 * Twenty of a thinned boat's would be ten seconds: so long a burst is tried on bulk
 * as it is, for an hour. */
static void bursts_of_frames_at_the_lead_make_no_dropout(void **state)
{
	(void)state;
	for (int mean = 2; mean <= 8; mean += 3)
		some_boats(61000 + 1000 * (uint64_t)mean,
			   &(struct losses){ .lead = 0.005, .lead_burst = mean });
	some_boats(81000, &(struct losses){ .lead = 0.005, .lead_burst = 20,
					    .whole_bulk = true });
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(losses_alone_make_no_dropout),
		cmocka_unit_test(bursts_in_time_make_no_dropout),
		cmocka_unit_test(bursts_of_frames_at_the_lead_make_no_dropout),
	};
	return FL_RUN(tests);
}
