/* read.c -- the scenario's language.
 *
 * A line is one statement: a word, a name, then fields behind commas, in any
 * order. '#' starts a comment. Things are named before they are used.
 *
 *     boat   Storm Petrel
 *     listen 120, start 1777713142, seed 7, snap 128, interface eth1, fcs,
 *            no plan                                       (all on one line)
 *     feed   breaker 12, volts 12, fuse 15
 *     switch lower switch, ports 8, feed breaker 9, lldp 30, bpdu 2,
 *            with snooping, boots in 25
 *     device arch radar, kind radar, mac 02:1b:c5:00:00:21,
 *            address 172.20.0.21, feed breaker 12, boots in 35, jitter 0.02,
 *            rate 25, size 900, status 2, with dhcp, without ipv6, joins 40
 *     run    W7, arch radar, lower switch 3, joint arch bulkhead, metres 18,
 *            weather, loses 0.001, burst 3 frames
 *     laptop lower switch 5, lead W9, speaks
 *     fault  run W7, dead, from 30, to 31.5
 *
 * A run without a label is called "-". "feed run W7" is power over that run.
 * "A woken by B" is the field "woken by B". Faults: the table of read_fault.c;
 * "flaps", "sags" and "reboots" take "every S" (mean; without it, once) and
 * "for S" or "for S S"; "from" and "to" left out mean always.
 */
#include "fields.h"

#include <stdlib.h>
#include <string.h>

static void read_boat(struct sim_reader *r)
{
	sim_copy(r, r->boat->name, sim_next_field(r, "its name"));
}

static void read_listen(struct sim_reader *r)
{
	struct sim_boat *boat = r->boat;
	const char *seconds = sim_next_field(r, "how long");
	boat->seconds = seconds ? sim_as_number(r, seconds) : 0;
	boat->start = sim_time_of(r, "start", boat->start);
	boat->seed = (uint64_t)sim_number(r, "seed", 1);
	boat->snap = (uint32_t)sim_number(r, "snap", 0);
	boat->fcs = sim_value(r, "fcs") != NULL;
	boat->no_plan = sim_value(r, "no plan") != NULL;
	const char *interface = sim_value(r, "interface");
	if (interface)
		sim_copy(r, boat->interface, interface);
}

static void read_feed(struct sim_reader *r)
{
	struct sim_boat *boat = r->boat;
	if (boat->feed_count == SIM_FEEDS) {
		sim_refuse(r, "too many feeds");
		return;
	}
	struct sim_feed *feed = &boat->feeds[boat->feed_count++];
	sim_copy(r, feed->name, sim_next_field(r, "its name"));
	feed->volts = sim_number(r, "volts", 0);
	feed->fuse = sim_number(r, "fuse", 0);
}

static void read_feeds_of(struct sim_reader *r, struct sim_node *node)
{
	for (char *name; (name = sim_value(r, "feed")) != NULL;) {
		const int feed = sim_find_feed(r->boat, name);
		if (strncmp(name, "run ", 4) == 0)
			sim_copy(r, node->powered_by, sim_trim(name + 4));
		else if (feed == SIM_NONE)
			sim_refuse(r, "feed '%s' is not there", name);
		else if (node->feed_count == SIM_NODE_FEEDS)
			sim_refuse(r, "too many feeds");
		else
			node->feeds[node->feed_count++] = feed;
	}
}

static void read_habits(struct sim_reader *r, struct sim_node *node)
{
	const double rate = sim_number(r, "rate", -1);
	if (rate >= 0)
		node->every[SIM_BULK] = rate > 0 ? 1 / rate : 0;
	for (int i = 0; i < SIM_STREAMS; i++)
		node->every[i] = sim_number(r, sim_stream_words[i],
					    node->every[i]);
	node->size = (int)sim_number(r, "size", node->size);
	if (node->size < 60 || node->size > 1400)
		sim_refuse(r, "a size is 60 to 1400 octets");
	for (const char *word; (word = sim_value(r, "with")) != NULL;) {
		if (!sim_does_bit(word))
			sim_refuse(r, "'with %s' means nothing", word);
		node->does |= sim_does_bit(word);
	}
	for (const char *word; (word = sim_value(r, "without")) != NULL;) {
		if (!sim_does_bit(word))
			sim_refuse(r, "'without %s' means nothing", word);
		node->does &= ~sim_does_bit(word);
	}
}

static struct sim_node *new_node(struct sim_reader *r, const char *kind)
{
	struct sim_boat *boat = r->boat;
	static struct sim_node spare;
	const size_t i = boat->node_count;
	struct sim_node *node = &spare;
	if (i == SIM_NODES)
		sim_refuse(r, "too many devices");
	else
		node = &boat->nodes[boat->node_count++];
	*node = (struct sim_node){ .kind = sim_kind(kind), .size = 200,
		.mac = { 0x02, 0x51, 0, 0, 0, (uint8_t)(i + 1) },
		.address = { 172, 20, 1, (uint8_t)(i + 1) },
		.fed_over = SIM_NONE, .woken_by = SIM_NONE };
	if (!node->kind) {
		sim_refuse(r, "kind '%s' is not known", kind);
		node->kind = sim_kind("switch");
	}
	memcpy(node->every, node->kind->every, sizeof node->every);
	node->does = node->kind->does;
	if (node->kind->size)
		node->size = node->kind->size;
	return node;
}

static void read_node(struct sim_reader *r, const char *kind, double boots_in)
{
	const char *name = sim_next_field(r, "its name");
	const char *text = sim_value(r, "kind");
	struct sim_node *node = new_node(r, text ? text : kind);
	node->is_switch = strcmp(node->kind->name, "switch") == 0;
	if (name && sim_find_node(r->boat, name) != SIM_NONE)
		sim_refuse(r, "'%s' is there already", name);
	sim_copy(r, node->name, name);
	if ((text = sim_value(r, "mac")) != NULL)
		sim_read_mac(r, text, node->mac);
	if ((text = sim_value(r, "address")) != NULL)
		sim_read_address(r, text, node->address);
	node->ports = (int)sim_number(r, "ports", 0);
	node->boots_in = sim_number(r, "boots in", boots_in);
	node->jitter = sim_number(r, "jitter", 0.02);
	node->joins = sim_number(r, "joins", 0);
	if (node->jitter < 0 || node->jitter > 0.4)
		sim_refuse(r, "jitter is 0 to 0.4 of the period");
	read_feeds_of(r, node);
	read_habits(r, node);
	if ((text = sim_value(r, "woken by")) != NULL)
		node->woken_by = sim_place(r, text).node;
}

static void read_switch(struct sim_reader *r)
{
	read_node(r, "switch", 25);
}

static void read_device(struct sim_reader *r)
{
	read_node(r, "instrument", 30);
}

static void read_run(struct sim_reader *r)
{
	struct sim_boat *boat = r->boat;
	if (boat->run_count == SIM_RUNS) {
		sim_refuse(r, "too many runs");
		return;
	}
	struct sim_run *run = &boat->runs[boat->run_count];
	const char *label = sim_next_field(r, "its label");
	sim_copy(r, run->label, label && strcmp(label, "-") == 0 ? "" : label);
	run->ends[0] = sim_place(r, sim_next_field(r, "its first end"));
	run->ends[1] = sim_place(r, sim_next_field(r, "its second end"));
	for (const char *name; (name = sim_value(r, "joint")) != NULL;) {
		if (run->joint_count == SIM_JOINTS)
			sim_refuse(r, "too many joints");
		else
			sim_copy(r, run->joints[run->joint_count++], name);
	}
	run->metres = sim_number(r, "metres", 0);
	run->weather = sim_value(r, "weather") != NULL;
	if (run->weather && !*run->label)
		sim_refuse(r, "only a run with a label tells of weather");
	run->loss = sim_number(r, "loses", 0);
	run->burst_frames = 1;
	sim_read_burst(r, &run->burst_frames, &run->burst_ms);
	boat->run_count++;
}

/* The laptop's own system speaks as one more node that no cable cuts off. */
static void read_laptop(struct sim_reader *r)
{
	struct sim_boat *boat = r->boat;
	boat->laptop = sim_place(r, sim_next_field(r, "its place"));
	const char *lead = sim_value(r, "lead");
	if (lead)
		sim_copy(r, boat->lead.label, lead);
	boat->lead.loss = sim_number(r, "loses", 0);
	boat->lead.burst_frames = 1;
	sim_read_burst(r, &boat->lead.burst_frames, &boat->lead.burst_ms);
	if (sim_value(r, "speaks")) {
		struct sim_node *own = new_node(r, "laptop");
		strcpy(own->name, "laptop");
	}
}

static const struct {
	const char *word;
	void (*read)(struct sim_reader *r);
} statements[] = {
	{ "boat", read_boat }, { "listen", read_listen }, { "feed", read_feed },
	{ "switch", read_switch }, { "device", read_device },
	{ "run", read_run }, { "laptop", read_laptop },
	{ "fault", sim_read_fault },
};

static void split(struct sim_reader *r, char *fields)
{
	r->n = 0;
	for (char *save, *field = strtok_r(fields, ",", &save); field;
	     field = strtok_r(NULL, ",", &save)) {
		if (r->n == FIELDS) {
			sim_refuse(r, "too many fields");
			return;
		}
		r->field[r->n++] = sim_trim(field);
	}
}

static void read_line(struct sim_reader *r, char *line)
{
	line[strcspn(line, "#")] = '\0';
	line = sim_trim(line);
	char *rest = line + strcspn(line, " \t");
	if (!*line)
		return;
	if (*rest)
		*rest++ = '\0';
	split(r, rest);
	size_t i = 0;
	const size_t n = sizeof statements / sizeof *statements;
	while (i < n && strcmp(statements[i].word, line) != 0)
		i++;
	if (i == n) {
		sim_refuse(r, "'%s' is no statement", line);
		return;
	}
	statements[i].read(r);
	for (i = 0; i < r->n; i++) {
		if (r->field[i])
			sim_refuse(r, "'%s' means nothing here", r->field[i]);
	}
}

/* What can only be known once all lines are read. */
static void finish(struct sim_reader *r)
{
	struct sim_boat *boat = r->boat;
	for (size_t i = 0; i < boat->node_count; i++) {
		struct sim_node *node = &boat->nodes[i];
		if (!*node->powered_by)
			continue;
		node->fed_over = sim_find_run(boat, node->powered_by);
		if (node->fed_over == SIM_NONE)
			sim_refuse(r, "run '%s' is not there",
				   node->powered_by);
	}
	if (boat->laptop.node == SIM_NONE || boat->seconds <= 0)
		sim_refuse(r, "'laptop' or 'listen' is missing");
	else if (!sim_tree_make(boat))
		sim_refuse(r, "a device or switch is joined to nothing");
}

struct sim_boat *sim_boat_read(const char *text, char *why, size_t n)
{
	struct sim_boat *boat = calloc(1, sizeof *boat);
	char *lines = strdup(text);
	if (!boat || !lines)
		abort();
	boat->text = strdup(text);
	boat->laptop.node = SIM_NONE;
	boat->start = 1777713142 * SIM_SECOND;
	strcpy(boat->interface, "eth1");
	struct sim_reader r = { .boat = boat, .why = why, .why_size = n };
	for (char *line = lines, *next; line && !r.refused; line = next) {
		next = strchr(line, '\n');
		if (next)
			*next++ = '\0';
		r.line++;
		read_line(&r, line);
	}
	if (!r.refused)
		finish(&r);
	free(lines);
	if (!r.refused)
		return boat;
	sim_boat_free(boat);
	return NULL;
}

void sim_boat_free(struct sim_boat *boat)
{
	if (!boat)
		return;
	sim_timeline_free(&boat->time);
	free(boat->text);
	free(boat);
}
