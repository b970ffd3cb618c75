/* bench_weigh.c -- 60 devices, 200 parts, 500 episodes: all pairs weighed.
 *
 * Prints milliseconds with pairs pruned, with none pruned, and their ratio;
 * the least of three rounds each.
 */
#include "diagnose/random_evidence.h"

#include <stdio.h>
#include <time.h>

enum { DEVICES = 60, PARTS = 200, EPISODES = 500, ROUNDS = 3 };

static double now(void)
{
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static double weigh(const struct fl_evidence *e, const struct fl_candidate *parts,
		    bool prune)
{
	double least = INFINITY;
	for (int i = 0; i < ROUNDS; i++) {
		struct fl_region *region = fl_region_new(64 << 20);
		const double from = now();
		const struct fl_posterior *p = fl_weigh(e, parts, PARTS, prune, region);
		least = fmin(least, now() - from);
		if (p && i == 0)
			printf("%zu pairs, %zu pruned, no fault %.3g\n", p->weighed,
			       p->pruned, p->none);
		fl_region_free(region);
	}
	return least;
}

int main(void)
{
	static struct fl_candidate parts[PARTS];
	static struct fl_evidence e = { .devices = DEVICES };
	struct draw d = { 7 };
	struct fl_region *region = fl_region_new(64 << 20);
	draw_parts(&d, parts, PARTS, DEVICES);
	/* 500 in all: the rows hold two or so of a kind. */
	if (!draw_evidence(&d, &e, parts, PARTS, 2, FL_EVIDENCE_EPISODES, region))
		return 1;
	for (size_t i = 0; i < e.episode_count; i++)
		e.episodes[i].count = (double)EPISODES / FL_EVIDENCE_EPISODES;
	const double pruned = weigh(&e, parts, true), whole = weigh(&e, parts, false);
	printf("pruned %.1f ms, unpruned %.1f ms, ratio %.3f\n", pruned, whole,
	       pruned / whole);
	fl_region_free(region);
	return 0;
}
