/* test_outages.c -- cut runs on unseen boats: each cut of at least six due beats
 * is found, soon, and began when the ledger says.
 *
 * Frames are lost in bursts at the laptop's lead (mean 2 to 20 frames together),
 * beats jitter by up to a fifth of their interval, some switches hold groups back.
 * The truth is the simulator's.
 * Bounds: the project's own promises (DEVELOPERS.md, "Silence").
 */
#include "test.h"

#include "ledger/ledger.h"
#include "listen.h"

#include <math.h>
#include <unistd.h>

#if defined(__SANITIZE_ADDRESS__)
enum { BOATS = 6 };
#else
enum { BOATS = 60 };
#endif
enum { SECONDS = 3600, WARM = 400, CUTS = 20, MOST = 40000, LEAST_BEATS = 6,
       SNOOPS = 4 };

/* When each dropout was concluded, by its number. */
struct watcher {
	struct fl_ledger *ledger;
	struct fl_observer to;
	fl_time concluded[FL_LEDGER_DROPOUTS];
	size_t known;
};

static void watch(void *context, const struct fl_observation *o)
{
	struct watcher *w = context;
	size_t n;
	w->to.observe(w->to.context, o);
	(void)fl_ledger_dropouts(w->ledger, &n);
	for (; w->known < n; w->known++)
		w->concluded[w->known] = fl_ledger_to(w->ledger);
}

struct tally_of_all {
	size_t cuts, found, inside, narrow, delays;
	double delay[MOST];          /* due beats until it was known          */
};

static uint32_t random_of(uint32_t *state)
{
	return (*state = *state * 1664525u + 1013904223u) >> 8;
}

/* A healthy boat whose lead loses frames in bursts, some of its runs cut. */
static struct sim_boat *boat_of(uint64_t seed)
{
	uint32_t state = (uint32_t)seed;
	const struct sim_options options = {
		.cause = SIM_NOTHING, .seconds = SECONDS, .slow = true,
		.jitter = seed % 3 == 0 ? 0.2 : 0.02, .snooping = seed % SNOOPS == 0,
		.lead_loss = 0.002, .lead_burst = 2 + random_of(&state) % 19,
	};
	struct sim_boat *plain = sim_boat_random(seed, &options);
	char *text = NULL, why[200];
	size_t n;
	FILE *out = open_memstream(&text, &n);
	fprintf(out, "%s", sim_boat_text(plain));
	const size_t nodes = sim_node_count(plain);
	for (int i = 0; i < CUTS; i++) {
		const double from = WARM + i * ((double)(SECONDS - WARM - 100) / CUTS) +
				    (double)(random_of(&state) % 1000) / 1000;
		fprintf(out, "fault run W%u, dead, from %.3f, to %.3f\n",
			1 + (unsigned)(random_of(&state) % (nodes > 4 ? 4 : nodes)), from,
			from + 6 + (double)(random_of(&state) % 60000) / 1000);
	}
	fclose(out);
	struct sim_boat *boat = sim_boat_read(text, why, sizeof why);
	if (!boat)
		fail_msg("%s in\n%s", why, text);
	free(text);
	sim_boat_free(plain);
	return boat;
}

static const struct fl_dropout *dropout_at(const struct watcher *w, const uint8_t *mac,
					   fl_time from, fl_time to, size_t *number)
{
	size_t n, presences;
	const struct fl_dropout *d = fl_ledger_dropouts(w->ledger, &n);
	const struct fl_presence *p = fl_ledger_presences(w->ledger, &presences);
	for (size_t i = 0; i < n; i++)
		if (memcmp(p[d[i].presence].mac.b, mac, 6) == 0 && !d[i].deaf &&
		    d[i].kind != FL_SOFT && d[i].last < to &&
		    (d[i].first == 0 || d[i].first > from)) {
			*number = i;
			return &d[i];
		}
	return NULL;
}

/* One cut that the simulator says this node suffered. */
static void judge(struct tally_of_all *all, const struct watcher *w,
		  const struct sim_heard *h, fl_time from, fl_time to)
{
	const double beat = fmax(1, h->cadence);
	size_t number;
	all->cuts++;
	const struct fl_dropout *d = dropout_at(w, h->mac, from, to, &number);
	if (!d) {
		printf("not found: %s (every %.1f s), %.1f s at %.1f s\n", h->name,
		       h->cadence, (double)(to - from) / 1e9,
		       (double)(from - fl_ledger_from(w->ledger)) / 1e9);
		return;
	}
	all->found++;
	all->inside += d->last <= from && from <= d->missed;
	/* Tolerance: 1 s, or three spreads, which jitter of a fifth keeps below
	 * three fifths of the interval. */
	all->narrow += d->missed - d->last <=
		(fl_time)(1e9 * (beat + fmax(1, 0.6 * beat))) + FL_SECOND;
	const double waited = (double)(w->concluded[number] - from) / 1e9 / beat;
	if (all->delays < MOST)
		all->delay[all->delays++] = waited;
}

/* On a boat whose switches hold groups back: what beats here at the truth's pace? */
static bool is_heard(const struct watcher *w, const struct sim_heard *h)
{
	size_t n;
	const struct fl_cadence *c = fl_ledger_cadences(w->ledger, &n);
	const double beat = fmax(1, h->cadence);
	for (size_t i = 0; i < n; i++)
		if (memcmp(c[i].key.mac.b, h->mac, 6) == 0 && c[i].period > 0 &&
		    (double)c[i].period / 1e9 < 1.5 * beat)
			return true;
	return false;
}

static void judge_boat(struct tally_of_all *all, uint64_t seed)
{
	struct sim_boat *boat = boat_of(seed);
	struct watcher *w = calloc(1, sizeof *w);
	w->ledger = fl_ledger_new();
	w->to = fl_ledger_observer(w->ledger);
	assert_true(listen_to(boat, SECONDS, seed, (struct fl_observer){ w, watch }));
	for (size_t i = 0; i < sim_node_count(boat); i++) {
		const struct sim_heard h = sim_heard(boat, i);
		for (size_t k = 0; h.cadence > 0 && k < h.silent_count; k++) {
			const struct sim_span s = h.silent[k];
			const double beats = (double)(s.to - s.from) / 1e9 /
					     fmax(1, h.cadence);
			/* A hundred beats were heard before, and it came back. */
			if ((seed % SNOOPS == 0 && !is_heard(w, &h)) ||
			    beats < LEAST_BEATS || h.cadence * 100 > WARM ||
			    s.from < WARM * FL_SECOND / 2 ||
			    s.to > (SECONDS - 60) * FL_SECOND)
				continue;
			judge(all, w, &h, sim_start(boat) + s.from, sim_start(boat) + s.to);
		}
	}
	fl_ledger_free(w->ledger);
	free(w);
	sim_boat_free(boat);
}

static int by_size(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

static void cuts_are_found_soon_and_where_they_began(void **state)
{
	(void)state;
	static struct tally_of_all all;
	for (uint64_t seed = 0; seed < BOATS; seed++)
		judge_boat(&all, 70000 + seed);
	qsort(all.delay, all.delays, sizeof all.delay[0], by_size);
	const double median = all.delays ? all.delay[all.delays / 2] : 0;
	printf("%zu cuts: %zu found, begin inside the bound %zu, bound narrow %zu, "
	       "median delay %.1f beats\n", all.cuts, all.found, all.inside, all.narrow,
	       median);
	assert_true(all.cuts > 20 * BOATS / 4);
	assert_true((double)all.found >= 0.99 * (double)all.cuts);
	assert_true((double)all.inside >= 0.995 * (double)all.found);
	assert_true((double)all.narrow >= 0.995 * (double)all.found);
	assert_true(median <= 7);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(cuts_are_found_soon_and_where_they_began),
	};
	return FL_RUN(tests);
}
