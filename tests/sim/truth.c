/* truth.c -- what is wrong with the boat, and what could be heard of it. */
#include "boat.h"

#include <stdlib.h>
#include <string.h>

static const char *const cause_kinds[] = {
	[SIM_ON_RUN] = "run", [SIM_ON_PORT] = "port",
	[SIM_ON_SWITCH] = "switch",
	[SIM_ON_FEED] = "feed", [SIM_ON_DEVICE] = "device",
	[SIM_ON_LEAD] = "laptop lead",
};

size_t sim_cause_count(const struct sim_boat *boat)
{
	return boat->fault_count;
}

struct sim_cause sim_cause(const struct sim_boat *boat, size_t i)
{
	const struct sim_fault *fault = &boat->faults[i];
	return (struct sim_cause){ .kind = cause_kinds[fault->subject],
		.part = fault->part, .mode = fault->word,
		.from = fault->from, .to = fault->to };
}

size_t sim_node_count(const struct sim_boat *boat)
{
	return boat->node_count;
}

sim_time sim_start(const struct sim_boat *boat)
{
	return boat->start;
}

const char *sim_boat_text(const struct sim_boat *boat)
{
	return boat->text;
}

struct sim_heard sim_heard(const struct sim_boat *boat, size_t i)
{
	const struct sim_node *node = &boat->nodes[i];
	const struct sim_count *count = &boat->count[i];
	return (struct sim_heard){ .name = node->name, .kind = node->kind->name,
		.mac = node->mac, .is_switch = node->is_switch,
		.planned = !node->is_switch && !(node->does & SIM_UNPLANNED),
		.frames = count->frames, .lost = count->lost,
		.first = count->first, .last = count->last,
		.cadence = sim_cadence(node),
		.silent = boat->time.silent[i].at,
		.silent_count = boat->time.silent[i].n };
}

/* Seconds since the start; null for a time before it or after the end. */
static void put_seconds(FILE *out, const struct sim_boat *boat, sim_time t)
{
	if (t <= 0 || t >= boat->heard_to - boat->start)
		fputs("null", out);
	else
		fprintf(out, "%.3f", (double)t / 1e9);
}

static void put_span(FILE *out, const struct sim_boat *boat, struct sim_span s)
{
	fputc('[', out);
	put_seconds(out, boat, s.from);
	fputs(", ", out);
	put_seconds(out, boat, s.to);
	fputc(']', out);
}

static void put_causes(FILE *out, const struct sim_boat *boat)
{
	fputs("  \"causes\": [", out);
	for (size_t i = 0; i < boat->fault_count; i++) {
		const struct sim_cause cause = sim_cause(boat, i);
		fprintf(out, "%s\n    {\"kind\": \"%s\", \"part\": \"%s\", "
			"\"mode\": \"%s\", \"span\": ", i ? "," : "",
			cause.kind, cause.part, cause.mode);
		put_span(out, boat, (struct sim_span){ cause.from, cause.to });
		fputc('}', out);
	}
	fputs("],\n", out);
}

/* Spans that do not touch the time of listening are left out. */
static void put_silent(FILE *out, const struct sim_boat *boat,
		       const struct sim_heard *heard)
{
	const char *between = "";
	for (size_t i = 0; i < heard->silent_count; i++) {
		const struct sim_span span = heard->silent[i];
		if (span.to <= 0 || span.from >= boat->heard_to - boat->start)
			continue;
		fputs(between, out);
		put_span(out, boat, span);
		between = ", ";
	}
}

static void put_node(FILE *out, const struct sim_boat *boat, size_t i)
{
	const struct sim_heard heard = sim_heard(boat, i);
	const uint8_t *m = heard.mac, *a = boat->nodes[i].address;
	fprintf(out, "    {\"name\": \"%s\", \"kind\": \"%s\", "
		"\"planned\": %s,\n"
		"     \"mac\": \"%02x:%02x:%02x:%02x:%02x:%02x\", "
		"\"address\": \"%u.%u.%u.%u\",\n", heard.name, heard.kind,
		heard.planned ? "true" : "false", m[0], m[1], m[2], m[3], m[4],
		m[5], a[0], a[1], a[2], a[3]);
	fprintf(out, "     \"frames\": %llu, \"lost\": %llu, ",
		(unsigned long long)heard.frames,
		(unsigned long long)heard.lost);
	if (heard.frames)
		fprintf(out, "\"first\": %.6f, \"last\": %.6f, ",
			(double)(heard.first - boat->start) / 1e9,
			(double)(heard.last - boat->start) / 1e9);
	fputs("\"silent\": [", out);
	put_silent(out, boat, &heard);
	fputs("]}", out);
}

static void put_protocols(FILE *out, const struct sim_boat *boat)
{
	fputs("  \"protocols\": {", out);
	for (size_t i = 0; sim_protocol_name(i); i++)
		fprintf(out, "%s\"%s\": %llu", i ? ", " : "",
			sim_protocol_name(i),
			(unsigned long long)boat->protocol[i]);
	fputs("},\n", out);
}

char *sim_truth_json(const struct sim_boat *boat)
{
	char *text = NULL;
	size_t n = 0;
	uint64_t frames = 0;
	FILE *out = open_memstream(&text, &n);
	if (!out)
		abort();
	for (size_t i = 0; i < boat->node_count; i++)
		frames += boat->count[i].frames;
	fprintf(out, "{\n  \"segment\": \"%s\",\n  \"start_ns\": %lld,\n"
		"  \"seconds\": %.3f,\n  \"frames\": %llu,\n", boat->name,
		(long long)boat->start,
		(double)(boat->heard_to - boat->start) / 1e9,
		(unsigned long long)frames);
	put_causes(out, boat);
	put_protocols(out, boat);
	fputs("  \"nodes\": [\n", out);
	for (size_t i = 0; i < boat->node_count; i++) {
		put_node(out, boat, i);
		fputs(i + 1 < boat->node_count ? ",\n" : "\n", out);
	}
	fputs("  ]\n}\n", out);
	fclose(out);
	return text;
}
