/* read_fault.c -- what goes wrong, and when: the "fault" lines. */
#include "fields.h"

#include <string.h>

static const char *const subjects[] = {
	[SIM_ON_RUN] = "run", [SIM_ON_PORT] = "port",
	[SIM_ON_SWITCH] = "switch",
	[SIM_ON_FEED] = "feed", [SIM_ON_DEVICE] = "device",
	[SIM_ON_LEAD] = "laptop lead",
};

#define ON(subject) (1u << SIM_ON_##subject)

/* What may happen to what. `shortest` and `longest`: s, of one flap. */
static const struct {
	const char *word;
	enum sim_verb verb;
	unsigned on;
	double shortest, longest;
} verbs[] = {
	{ "dead",    SIM_DEAD,  ON(RUN) | ON(PORT) | ON(SWITCH) | ON(DEVICE) |
				ON(LEAD), 0, 0 },
	{ "off",     SIM_DEAD,  ON(FEED) | ON(SWITCH) | ON(DEVICE), 0, 0 },
	{ "flaps",   SIM_FLAPS, ON(RUN) | ON(PORT) | ON(LEAD), 1, 3 },
	{ "sags",    SIM_FLAPS, ON(FEED), .2, 1 },
	{ "reboots", SIM_FLAPS, ON(SWITCH) | ON(DEVICE), .1, .5 },
	{ "asleep",  SIM_ASLEEP_FROM, ON(DEVICE), 0, 0 },
	{ "leaves",  SIM_LEAVES,  ON(DEVICE), 0, 0 },
	{ "takes",   SIM_TAKES,   ON(DEVICE), 0, 0 },
	{ "serves",  SIM_SERVES_FROM, ON(DEVICE), 0, 0 },
	{ "storms",  SIM_STORMS,  ON(DEVICE) | ON(SWITCH), 0, 0 },
	{ "loses",   SIM_LOSES,   ON(RUN) | ON(LEAD), 0, 0 },
	{ "damages", SIM_DAMAGES, ON(LEAD), 0, 0 },
	{ "filters", SIM_FILTERS, ON(SWITCH), 0, 0 },
};

static void read_subject(struct sim_reader *r, struct sim_fault *fault)
{
	const char *name = NULL;
	size_t i = 0;
	for (; i < sizeof subjects / sizeof *subjects && !name; i++)
		name = sim_value(r, subjects[i]);
	if (!name) {
		sim_refuse(r, "a fault is on a run, port, switch, feed, "
			   "device or the laptop lead");
		return;
	}
	fault->subject = (enum sim_subject)(i - 1);
	snprintf(fault->part, sizeof fault->part, "%.*s", SIM_NAME, name);
	switch (fault->subject) {
	case SIM_ON_RUN:
		fault->index = sim_find_run(r->boat, name);
		break;
	case SIM_ON_PORT:
		fault->place = sim_place(r, name);
		break;
	case SIM_ON_FEED:
		fault->index = sim_find_feed(r->boat, name);
		break;
	case SIM_ON_SWITCH:
	case SIM_ON_DEVICE:
		fault->index = sim_find_node(r->boat, name);
		break;
	case SIM_ON_LEAD:
		break;
	}
	if (fault->index == SIM_NONE)
		sim_refuse(r, "'%s' is not there", name);
}

/* The part's name as answers of the program call it. */
static void name_part(const struct sim_boat *boat, struct sim_fault *fault)
{
	char part[sizeof fault->part];
	strcpy(part, fault->part);
	if (fault->subject == SIM_ON_LEAD)
		strcpy(part, "laptop lead");
	else if (fault->subject == SIM_ON_RUN)
		sim_run_key(boat, fault->index, part, sizeof part);
	else if (fault->subject == SIM_ON_PORT)
		snprintf(part, sizeof part, "port %d of %s", fault->place.port,
			 boat->nodes[fault->place.node].name);
	strcpy(fault->part, part);
}

static void read_verb(struct sim_reader *r, struct sim_fault *fault)
{
	const char *text = NULL;
	size_t i = 0;
	for (; i < sizeof verbs / sizeof *verbs && !text; i++)
		text = sim_value(r, verbs[i].word);
	if (!text || !(verbs[i - 1].on & 1u << fault->subject)) {
		sim_refuse(r, "that cannot happen to '%s'", fault->part);
		return;
	}
	fault->verb = verbs[i - 1].verb;
	fault->word = verbs[i - 1].word;
	fault->shortest = verbs[i - 1].shortest;
	fault->longest = verbs[i - 1].longest;
	if (fault->verb == SIM_TAKES)
		sim_read_address(r, text, fault->address);
	if (fault->verb == SIM_LOSES || fault->verb == SIM_DAMAGES)
		fault->chance = sim_as_number(r, text);
}

void sim_read_fault(struct sim_reader *r)
{
	struct sim_boat *boat = r->boat;
	if (boat->fault_count == SIM_FAULTS) {
		sim_refuse(r, "too many faults");
		return;
	}
	struct sim_fault *fault = &boat->faults[boat->fault_count];
	read_subject(r, fault);
	read_verb(r, fault);
	fault->from = sim_time_of(r, "from", SIM_BEFORE);
	fault->to = sim_time_of(r, "to", SIM_AFTER);
	fault->every = sim_number(r, "every", 0);
	fault->rate = sim_number(r, "rate", 1000);
	fault->age = sim_number(r, "age", 260);
	fault->burst_frames = 1;
	sim_read_burst(r, &fault->burst_frames, &fault->burst_ms);
	const char *length = sim_value(r, "for");
	if (length && sscanf(length, "%lf %lf", &fault->shortest,
			     &fault->longest) == 1)
		fault->longest = fault->shortest;
	if (fault->to < fault->from || fault->longest < fault->shortest ||
	    fault->chance < 0 || fault->chance >= 1 || fault->rate <= 0)
		sim_refuse(r, "the numbers of this fault do not fit");
	if (!r->refused) {
		name_part(boat, fault);
		boat->fault_count++;
	}
}
