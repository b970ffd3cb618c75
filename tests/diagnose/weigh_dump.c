/* weigh_dump.c -- random small boats' evidence, odds and the posterior that
 * the program makes of them, one line of JSON each; brute_force.py reads them.
 *
 *     weigh_dump FIRST_SEED BOATS
 */
#include "random_evidence.h"

#include <jansson.h>

#include <stdio.h>
#include <stdlib.h>

static json_t *numbers(const double *at, size_t n)
{
	json_t *list = json_array();
	for (size_t i = 0; i < n; i++)
		json_array_append_new(list, json_real(at[i]));
	return list;
}

static json_t *set(const struct fl_devices *devices)
{
	json_t *list = json_array();
	for (size_t i = 0; i < FL_PLAN_DEVICES; i++)
		if (fl_devices_has(devices, i))
			json_array_append_new(list, json_integer((json_int_t)i));
	return list;
}

static json_t *devices_of(const struct fl_evidence *e)
{
	static const char *const words[] = { "nothing", "heard", "never" };
	json_t *list = json_array();
	for (size_t i = 0; i < e->devices; i++)
		json_array_append_new(list, json_pack("{s:s,s:f,s:I,s:I}",
			"seen", words[e->seen[i]], "unheard", e->unheard[i],
			"received", (json_int_t)e->received[i],
			"missed", (json_int_t)e->missed[i]));
	return list;
}

static json_t *episodes_of(const struct fl_evidence *e)
{
	json_t *list = json_array();
	for (size_t i = 0; i < e->episode_count; i++) {
		const struct fl_episode *g = &e->episodes[i];
		json_t *backs = json_array();
		for (size_t k = 0; k < g->back_count; k++)
			json_array_append_new(backs, json_pack("{s:i,s:o}",
				"device", (int)g->backs[k].device,
				"log", numbers(g->backs[k].log, FL_RETURNS)));
		json_array_append_new(list, json_pack("{s:o,s:o,s:b,s:f,s:o}",
			"fell", set(&g->fell), "stayed", set(&g->stayed),
			"open", g->open, "count", g->count, "backs", backs));
	}
	return list;
}

static json_t *parts_of(const struct fl_candidate *parts, size_t n)
{
	static const char *const words[] = { "far", "link", "power", "itself" };
	json_t *list = json_array();
	for (size_t i = 0; i < n; i++) {
		size_t first = 0;
		while (!fl_devices_has(&parts[i].hidden.behind, first))
			first++;
		json_array_append_new(list, json_pack("{s:o,s:s,s:o}",
			"behind", set(&parts[i].hidden.behind),
			"touch", words[parts[i].hidden.touch[first]],
			"odds", numbers(parts[i].odds, FL_MODES)));
	}
	return list;
}

static json_t *posterior(const struct fl_posterior *p, size_t n)
{
	json_t *list = json_array();
	for (size_t i = 0; i < p->n; i++)
		json_array_append_new(list, json_pack("[i,i,f]", p->list[i].parts[0],
						      p->list[i].parts[1], p->list[i].p));
	return json_pack("{s:f,s:f,s:f,s:o,s:o,s:I}", "none", p->none, "other", p->other,
		"rest", p->rest, "parts", numbers(p->part, n), "list", list,
		"pruned", (json_int_t)p->pruned);
}

static bool dump(uint64_t seed)
{
	struct fl_candidate parts[16] = { 0 };
	struct draw d = { seed };
	struct fl_region *region = fl_region_new(64 << 20);
	struct fl_evidence *e = fl_region_take(region, sizeof *e);
	if (!e)
		return false;
	e->devices = 4 + draw_below(&d, 5);
	const size_t n = 6 + draw_below(&d, 7);
	draw_parts(&d, parts, n - 1, e->devices);
	parts[n - 1] = parts[0];     /* two of one column */
	const size_t guilty = 1 + draw_below(&d, 2);
	const size_t episodes = draw_below(&d, 7);
	if (!draw_evidence(&d, e, parts, n, guilty, episodes, region))
		return false;
	const struct fl_posterior *whole = fl_weigh(e, parts, n, false, region);
	const struct fl_posterior *pruned = fl_weigh(e, parts, n, true, region);
	if (!whole || !pruned)
		return false;
	json_t *line = json_pack("{s:I,s:f,s:f,s:o,s:o,s:o,s:o,s:o}",
		"seed", (json_int_t)seed, "hours", e->hours, "background", e->background,
		"devices", devices_of(e), "episodes", episodes_of(e),
		"parts", parts_of(parts, n), "whole", posterior(whole, n),
		"pruned", posterior(pruned, n));
	json_dumpf(line, stdout, JSON_COMPACT | JSON_REAL_PRECISION(17));
	putchar('\n');
	json_decref(line);
	fl_region_free(region);
	return true;
}

int main(int argc, char **argv)
{
	if (argc != 3)
		return 2;
	const uint64_t seed = strtoull(argv[1], NULL, 10);
	const uint64_t boats = strtoull(argv[2], NULL, 10);
	for (uint64_t i = 0; i < boats; i++)
		if (!dump(seed + i))
			return 1;
	return 0;
}
