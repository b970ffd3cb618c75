/* test_ways_back.c -- 200 boats of the simulator with runs that flap, feeds
 * that sag, devices and switches that restart: is each way back the true one?
 *
 * Source  truth: the simulator's own times at which a device was off, its link
 *         was down, or the way beyond was cut; limits: judgement
 */
#include "test.h"

#include "ledger/ledger.h"
#include "listen.h"

#include <boat.h>
#include <math.h>

enum { BOATS = 200, SEED = 1170000 };  /* seeds that nothing was tuned with */
enum { CANNOT_TELL = FL_RETURNS };
static const char *const names[] = {
	"rebooted", "own link", "unaware", "software", "paused", "cannot tell",
};

struct counts {
	unsigned of[FL_RETURNS][FL_RETURNS + 1];   /* truth, said above 0.8 */
	unsigned sure, sure_and_wrong;             /* said above 0.9        */
};

static bool overlaps(const struct sim_spans *spans, fl_time from, fl_time to)
{
	for (size_t i = 0; i < spans->n; i++)
		if (spans->at[i].from < to && spans->at[i].to > from)
			return true;
	return false;
}

/* FL_RETURNS: nothing happened to it then. */
static enum fl_return truth_of(const struct sim_boat *boat, int node, fl_time from,
			       fl_time to)
{
	if (overlaps(&boat->time.off[node], from, to))
		return FL_REBOOTED;
	if (overlaps(&boat->time.link[node], from, to))
		return FL_OWN_LINK;
	return overlaps(&boat->time.cut[node], from, to) ? FL_UNAWARE : FL_RETURNS;
}

static int node_of(const struct sim_boat *boat, struct fl_mac mac)
{
	for (size_t i = 0; i < sim_node_count(boat); i++)
		if (memcmp(sim_heard(boat, i).mac, mac.b, sizeof mac.b) == 0)
			return (int)i;
	return -1;
}

static void count(struct counts *c, const struct fl_dropout *d, enum fl_return truth)
{
	double sum = 0;
	size_t said = CANNOT_TELL;
	for (size_t r = 0; r < FL_RETURNS; r++)
		sum += exp(d->returned[r]);
	for (size_t r = 0; r < FL_RETURNS; r++) {
		const double p = exp(d->returned[r]) / sum;
		said = p > 0.8 ? r : said;
		c->sure += p > 0.9;
		c->sure_and_wrong += p > 0.9 && r != truth;
	}
	c->of[truth][said]++;
}

static void judge(uint64_t seed, enum sim_cause_kind cause, struct counts *c)
{
	const struct sim_options options = {
		.cause = cause, .mode = SIM_COMES_AND_GOES, .loss = 0.005,
		.slow = true, .jitter = 0.05, .seconds = 1800, .every = 240,
	};
	struct sim_boat *boat = sim_boat_random(seed, &options);
	struct fl_ledger *ledger = fl_ledger_new();
	assert_non_null(boat);
	assert_non_null(ledger);
	assert_true(listen_to(boat, 0, seed, fl_ledger_observer(ledger)));
	size_t n, presences;
	const struct fl_dropout *d = fl_ledger_dropouts(ledger, &n);
	const struct fl_presence *p = fl_ledger_presences(ledger, &presences);
	for (size_t i = 0; i < n; i++) {
		const int node = node_of(boat, p[d[i].presence].mac);
		if (!d[i].first || d[i].deaf || d[i].left || d[i].kind == FL_SOFT || node < 0)
			continue;
		const enum fl_return truth = truth_of(boat, node,
			d[i].last - sim_start(boat), d[i].first - sim_start(boat));
		if (truth != FL_RETURNS)
			count(c, &d[i], truth);
	}
	fl_ledger_free(ledger);
	sim_boat_free(boat);
}

static void what_is_said_for_sure_is_true(void **state)
{
	static const enum sim_cause_kind causes[] = {
		SIM_RUN, SIM_PORT, SIM_SWITCH, SIM_FEED, SIM_DEVICE,
	};
	(void)state;
	struct counts c = { 0 };
	for (uint64_t i = 0; i < BOATS; i++)
		judge(SEED + i, causes[i % 5], &c);
	for (size_t t = 0; t <= FL_UNAWARE; t++)
		for (size_t s = 0; s <= FL_RETURNS; s++)
			print_message("%s said %s: %u\n", names[t], names[s], c.of[t][s]);
	print_message("%u of %u said above 0.9 are wrong\n", c.sure_and_wrong, c.sure);
	assert_true(c.sure > 100);
	assert_true(c.sure_and_wrong * 50 <= c.sure);
	/* Most restarts speak, and are told. */
	unsigned restarts = 0;
	for (size_t s = 0; s <= FL_RETURNS; s++)
		restarts += c.of[FL_REBOOTED][s];
	assert_true(c.of[FL_REBOOTED][FL_REBOOTED] * 10 > restarts * 6);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(what_is_said_for_sure_is_true),
	};
	return FL_RUN(tests);
}
