/* many_boats.c -- judge many made-up boats, one line of JSON each:
 *
 *     {"seed":…,"cause":"run W7","mode":0,"plan":"…","first":["run W7",…],
 *      "states":{"arch radar":"absent",…}}
 *
 *     many_boats FIRST_SEED BOATS
 *
 * many_boats.py reads the lines and says, from the plan's text alone, which
 * parts no ear could tell apart from the true one.
 */
#include "listen.h"

#include "diagnose/diagnose.h"

#include <jansson.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The cause as the answer names parts. */
static const char *part_name(const struct sim_cause *cause, char out[200])
{
	const bool whole = strncmp(cause->part, "run ", 4) == 0 ||
			   strncmp(cause->part, "port ", 5) == 0 ||
			   strcmp(cause->part, "laptop lead") == 0;
	snprintf(out, 200, "%s%s%s", whole ? "" : cause->kind, whole ? "" : " ",
		 cause->part);
	return out;
}

static json_t *first_group(const struct fl_answer *a)
{
	json_t *list = json_array();
	for (size_t i = 0; i < a->suspect_count; i++) {
		const struct fl_answer_suspect *s = &a->suspects[i];
		if (s->group != 0)
			continue;
		json_array_append_new(list, json_string(s->part));
		for (size_t k = 0; k < s->equals.n; k++)
			json_array_append_new(list, json_string(s->equals.at[k]));
		break;
	}
	return list;
}

static json_t *states(const struct fl_answer *a)
{
	json_t *all = json_object();
	for (size_t i = 0; i < a->device_count; i++)
		json_object_set_new(all, a->devices[i].name,
				    json_string(fl_state_word(a->devices[i].state)));
	return all;
}

static bool judge(uint64_t seed, enum sim_cause_kind kind, enum sim_mode mode)
{
	static struct fl_plan_faults faults;
	const struct sim_options options = {
		.cause = kind, .mode = mode, .loss = 0.005, .slow = true, .jitter = 0.05,
		.seconds = 180,
	};
	struct sim_boat *boat = sim_boat_random(seed, &options);
	struct fl_ledger *ledger = fl_ledger_new();
	struct fl_region *region = fl_region_new(64 << 20);
	if (!boat || !ledger || !region || !listen_to(boat, 0, seed, fl_ledger_observer(ledger)))
		return false;
	char *text = sim_plan_text(boat);
	const struct fl_plan *plan = fl_plan_read(text, strlen(text), region, &faults);
	const struct fl_answer *a = plan
		? fl_diagnose(ledger, plan, (struct fl_texts){ 0 }, region) : NULL;
	if (!a)
		return false;
	char part[200];
	const struct sim_cause cause = sim_cause(boat, 0);
	json_t *line = json_pack("{s:I,s:s,s:i,s:s,s:o,s:o,s:f}", "seed", (json_int_t)seed,
		"cause", part_name(&cause, part), "mode", (int)mode, "plan", text,
		"first", first_group(a), "states", states(a), "no_fault", a->no_fault);
	json_dumpf(line, stdout, JSON_COMPACT);
	putchar('\n');
	json_decref(line);
	free(text);
	fl_region_free(region);
	fl_ledger_free(ledger);
	sim_boat_free(boat);
	return true;
}

int main(int argc, char **argv)
{
	if (argc != 3)
		return 2;
	const uint64_t seed = strtoull(argv[1], NULL, 10);
	const uint64_t boats = strtoull(argv[2], NULL, 10);
	for (uint64_t i = 0; i < boats; i++)
		if (!judge(seed + i, (enum sim_cause_kind)(1 + i % 7),
			   i % 2 ? SIM_DIES : SIM_STANDING)) {
			fprintf(stderr, "boat %llu could not be judged\n",
				(unsigned long long)(seed + i));
			return 1;
		}
	return 0;
}
