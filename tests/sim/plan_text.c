/* plan_text.c -- the plan that a technician who knows this boat would write.
 *
 * Devices, switches and labelled runs have sections of their own; a run
 * without a label is a line of [wiring].
 */
#include "boat.h"

#include <stdlib.h>
#include <string.h>

void sim_run_key(const struct sim_boat *boat, int index, char *out, size_t n)
{
	const struct sim_run *run = &boat->runs[index];
	const struct sim_place *to = &run->ends[1];
	if (*run->label)
		snprintf(out, n, "run %s", run->label);
	else if (to->port)
		snprintf(out, n, "run %s - %s %d",
			 boat->nodes[run->ends[0].node].name,
			 boat->nodes[to->node].name, to->port);
	else
		snprintf(out, n, "run %s - %s",
			 boat->nodes[run->ends[0].node].name,
			 boat->nodes[to->node].name);
}

static void put_place(FILE *out, const struct sim_boat *boat,
		      struct sim_place place)
{
	fputs(boat->nodes[place.node].name, out);
	if (place.port)
		fprintf(out, " port %d", place.port);
}

static void put_feeds(FILE *out, const struct sim_boat *boat,
		      const struct sim_node *node)
{
	const char *between = "feed = ";
	for (size_t i = 0; i < node->feed_count; i++, between = ", ")
		fprintf(out, "%s%s", between, boat->feeds[node->feeds[i]].name);
	if (node->fed_over != SIM_NONE) {
		fprintf(out, "%srun %s", between, node->powered_by);
		between = ", ";
	}
	if (*between == ',')
		fputc('\n', out);
}

static void put_device(FILE *out, const struct sim_boat *boat,
		       const struct sim_node *node)
{
	const uint8_t *m = node->mac, *a = node->address;
	const double cadence = sim_cadence(node);
	fprintf(out, "\n[device %s]\nkind = %s\n", node->name,
		node->kind->name);
	fprintf(out, "mac = %02x:%02x:%02x:%02x:%02x:%02x\n", m[0], m[1], m[2],
		m[3], m[4], m[5]);
	fprintf(out, "address = %u.%u.%u.%u\n", a[0], a[1], a[2], a[3]);
	if (cadence > 0)
		fprintf(out, "cadence = %g s\n", cadence);
	if (node->ports)
		fprintf(out, "ports = %d\n", node->ports);
	if (node->does & SIM_SERVES)
		fputs("serves = addresses\n", out);
	if (node->does & SIM_BYPASS)
		fputs("bypass = yes\n", out);
	if (node->does & SIM_LEAVE)
		fputs("leave = yes\n", out);
	put_feeds(out, boat, node);
	if (node->woken_by != SIM_NONE)
		fprintf(out, "woken by = %s\n",
			boat->nodes[node->woken_by].name);
}

static void put_switch(FILE *out, const struct sim_boat *boat,
		       const struct sim_node *node)
{
	fprintf(out, "\n[switch %s]\n", node->name);
	if (node->ports)
		fprintf(out, "ports = %d\n", node->ports);
	put_feeds(out, boat, node);
}

/* The plan knows nothing of the cable to a visitor. */
static bool is_planned(const struct sim_boat *boat, const struct sim_run *run)
{
	return !((boat->nodes[run->ends[0].node].does |
		  boat->nodes[run->ends[1].node].does) & SIM_UNPLANNED);
}

static void put_run(FILE *out, const struct sim_boat *boat,
		    const struct sim_run *run)
{
	fprintf(out, "\n[run %s]\nfrom = ", run->label);
	put_place(out, boat, run->ends[0]);
	fputs("\nto = ", out);
	put_place(out, boat, run->ends[1]);
	fputc('\n', out);
	for (size_t i = 0; i < run->joint_count; i++)
		fprintf(out, "%s%s", i ? ", " : "joints = ", run->joints[i]);
	if (run->joint_count)
		fputc('\n', out);
	if (run->metres > 0)
		fprintf(out, "length = %g m\n", run->metres);
	if (run->weather)
		fputs("weather = yes\n", out);
}

static void put_feed(FILE *out, const struct sim_feed *feed)
{
	fprintf(out, "\n[feed %s]\n", feed->name);
	if (feed->volts > 0)
		fprintf(out, "volts = %g\n", feed->volts);
	if (feed->fuse > 0)
		fprintf(out, "fuse = %g A\n", feed->fuse);
}

/* Runs without a label: "device = switch port, via joint". */
static void put_wiring(FILE *out, const struct sim_boat *boat)
{
	const char *head = "\n[wiring]\n";
	for (size_t i = 0; i < boat->run_count; i++) {
		const struct sim_run *run = &boat->runs[i];
		if (*run->label || !is_planned(boat, run))
			continue;
		fputs(head, out);
		head = "";
		fprintf(out, "%s = %s", boat->nodes[run->ends[0].node].name,
			boat->nodes[run->ends[1].node].name);
		if (run->ends[1].port)
			fprintf(out, " %d", run->ends[1].port);
		for (size_t j = 0; j < run->joint_count; j++)
			fprintf(out, ", via %s", run->joints[j]);
		fputc('\n', out);
	}
}

bool sim_wants_plan(const struct sim_boat *boat)
{
	return !boat->no_plan;
}

char *sim_plan_text(const struct sim_boat *boat)
{
	char *text = NULL;
	size_t n = 0;
	FILE *out = open_memstream(&text, &n);
	if (!out)
		abort();
	fprintf(out, "[segment]\nname = %s\nlaptop = ", boat->name);
	put_place(out, boat, boat->laptop);
	fputc('\n', out);
	for (size_t i = 0; i < boat->node_count; i++) {
		const struct sim_node *node = &boat->nodes[i];
		if (node->is_switch)
			put_switch(out, boat, node);
		else if (!(node->does & SIM_UNPLANNED))
			put_device(out, boat, node);
	}
	for (size_t i = 0; i < boat->run_count; i++) {
		const struct sim_run *run = &boat->runs[i];
		if (*run->label && is_planned(boat, run))
			put_run(out, boat, run);
	}
	for (size_t i = 0; i < boat->feed_count; i++)
		put_feed(out, &boat->feeds[i]);
	put_wiring(out, boat);
	fclose(out);
	return text;
}
