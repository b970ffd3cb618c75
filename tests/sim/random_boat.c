/* random_boat.c -- boats nobody thought of: a scenario drawn from a seed.
 *
 * The scenario is written as text and read like any other, so that a boat on
 * which a test fails can be kept, looked at and cut down by hand.
 *
 * Shapes  switches form a tree, each joined to one before it; devices hang on
 *         switches; the laptop sits at any of them
 *
 * Two draws never stand in one call: the order of arguments is the
 * compiler's choice.
 */
#include "boat.h"

#include <stdlib.h>
#include <string.h>

enum { SWITCHES = 4, DEVICES = 20, PORTS = 24 };

static const char *const switch_names[SWITCHES] = {
	"lower switch", "upper switch", "mast switch", "engine switch",
};

static const struct { const char *name, *kind; } device_names[] = {
	{ "arch radar", "radar" }, { "mast radar", "radar" },
	{ "keel sounder", "sounder" }, { "forward sounder", "sounder" },
	{ "foredeck camera", "camera" }, { "engine camera", "camera" },
	{ "masthead camera", "camera" }, { "helm display", "display" },
	{ "bridge display", "display" }, { "chart display", "display" },
	{ "autopilot", "autopilot" }, { "pilot gateway", "gateway" },
	{ "engine gateway", "gateway" }, { "wind station", "weather" },
	{ "compass", "GNSS" }, { "aft compass", "GNSS" },
	{ "target receiver", "AIS" }, { "shore router", "router" },
	{ "tank monitor", "instrument" }, { "stereo", "instrument" },
	{ "charger", "instrument" }, { "second receiver", "AIS" },
};
enum { NAMES = sizeof device_names / sizeof *device_names };

struct drawn {
	int name, at, port;     /* device_names row; switch and port there */
	int feed;               /* breaker; 0: fed over its run            */
	bool steady;
};

struct draft {
	FILE  *out;
	struct sim_prng prng;
	struct sim_options wish;
	int    switches, devices;
	int    used[SWITCHES];                  /* ports taken             */
	int    trunk_at[SWITCHES], trunk_port[SWITCHES], own_port[SWITCHES];
	struct drawn device[DEVICES];
	int    breakers;
	int    laptop, laptop_port;
};

static int between(struct draft *d, int low, int high)
{
	return low + (int)sim_below(&d->prng, (size_t)(high - low + 1));
}

static int take_port(struct draft *d, int at)
{
	return ++d->used[at];
}

static void draw_switches(struct draft *d)
{
	for (int i = 1; i < d->switches; i++) {
		d->trunk_at[i] = between(d, 0, i - 1);
		d->trunk_port[i] = take_port(d, d->trunk_at[i]);
		d->own_port[i] = take_port(d, i);
	}
	d->laptop = between(d, 0, d->switches - 1);
	d->laptop_port = take_port(d, d->laptop);
	d->breakers = d->switches;              /* one each, numbered from 1 */
}

/* A switch with a free port; there is one, for even a single switch holds all
 * devices and the laptop. */
static int free_switch(struct draft *d)
{
	int at = between(d, 0, d->switches - 1);
	while (d->used[at] == PORTS)
		at = (at + 1) % d->switches;
	return at;
}

static bool is_steady(int name)
{
	const struct sim_kind *kind = sim_kind(device_names[name].kind);
	return kind->every[SIM_BULK] + kind->every[SIM_STATUS] +
	       kind->every[SIM_TEXT] > 0;
}

/* The first three devices have a cadence, whatever is drawn. */
static void draw_names(struct draft *d)
{
	int names[NAMES];
	for (int i = 0; i < NAMES; i++)
		names[i] = i;
	for (int i = 0; i < NAMES; i++) {
		const int j = between(d, i, NAMES - 1), kept = names[i];
		names[i] = names[j];
		names[j] = kept;
	}
	for (int i = 0, next = 3; i < 3; i++) {
		while (!is_steady(names[i])) {
			const int kept = names[i];
			names[i] = names[next];
			names[next++] = kept;
		}
	}
	for (int i = 0; i < d->devices; i++) {
		d->device[i].name = names[i];
		d->device[i].steady = is_steady(names[i]);
	}
}

/* A third share a feed with an earlier device, a few with a switch. */
static int draw_feed(struct draft *d, int i)
{
	if (d->wish.powered && sim_chance(&d->prng, 0.15))
		return 0;
	if (i > 0 && sim_chance(&d->prng, 0.35)) {
		const int other = d->device[between(d, 0, i - 1)].feed;
		if (other)
			return other;
	}
	if (sim_chance(&d->prng, 0.08))
		return between(d, 1, d->switches);
	return ++d->breakers;
}

static void draw_devices(struct draft *d)
{
	draw_names(d);
	for (int i = 0; i < d->devices; i++) {
		d->device[i].at = free_switch(d);
		d->device[i].port = take_port(d, d->device[i].at);
		d->device[i].feed = draw_feed(d, i);
	}
}

/* ---- the scenario's lines ---- */

static void put_switch(struct draft *d, int i)
{
	fprintf(d->out, "switch %s, ports %d, feed breaker %d, boots in %d",
		switch_names[i], PORTS, i + 1, between(d, 12, 40));
	if (sim_chance(&d->prng, 0.4))
		fputs(", lldp 30, bpdu 2", d->out);
	else if (sim_chance(&d->prng, 0.5))
		fputs(", with link-local flooding", d->out);
	if (d->wish.snooping && sim_chance(&d->prng, 0.5))
		fputs(", with snooping", d->out);
	fputc('\n', d->out);
}

static void put_device(struct draft *d, int i)
{
	const struct drawn *device = &d->device[i];
	const struct sim_kind *kind = sim_kind(device_names[device->name].kind);
	const int any = between(d, 0, 255), boots_in = between(d, 8, 70);
	const double jitter = sim_between(&d->prng, 0, d->wish.jitter);
	const int rate = d->wish.slow ? 2 : between(d, 5, 25);
	fprintf(d->out, "device %s, kind %s, mac 02:1b:c5:00:%02x:%02x, "
		"address 172.20.0.%d, boots in %d, jitter %.3f",
		device_names[device->name].name, kind->name,
		any, i + 1, i + 10, boots_in, jitter);
	if (device->feed)
		fprintf(d->out, ", feed breaker %d", device->feed);
	else
		fprintf(d->out, ", feed run W%d", i + 1);
	if (kind->every[SIM_BULK] > 0)
		fprintf(d->out, ", rate %d, size %d", rate,
			between(d, 100, 1400));
	static const char *const habits[] = {
		", lldp 30", ", with dhcp", ", with dhcp, with carrier sense",
		", with ipv6", ", without mdns", ", with rtp",
	};
	for (size_t j = 0; j < sizeof habits / sizeof *habits; j++) {
		if (sim_chance(&d->prng, 0.2))
			fputs(habits[j], d->out);
	}
	fputc('\n', d->out);
}

static void put_loss(struct draft *d)
{
	const bool timed = d->wish.burst_ms > 0;
	const double burst = timed ? d->wish.burst_ms
			   : d->wish.burst > 0 ? d->wish.burst : 1;
	if (d->wish.loss > 0)
		fprintf(d->out, ", loses %g, burst %g %s", d->wish.loss, burst,
			timed ? "ms" : "frames");
	fputc('\n', d->out);
}

static void put_runs(struct draft *d)
{
	for (int i = 0; i < d->devices; i++) {
		const struct drawn *device = &d->device[i];
		const char *name = device_names[device->name].name;
		fprintf(d->out, "run W%d, %s, %s %d", i + 1, name,
			switch_names[device->at], device->port);
		if (sim_chance(&d->prng, 0.25))
			fprintf(d->out, ", joint %s bulkhead", name);
		fprintf(d->out, ", metres %d", between(d, 2, 30));
		put_loss(d);
	}
	for (int i = 1; i < d->switches; i++) {
		fprintf(d->out, "run T%d, %s %d, %s %d", i, switch_names[i],
			d->own_port[i], switch_names[d->trunk_at[i]],
			d->trunk_port[i]);
		put_loss(d);
	}
}

/* ---- what is wrong ---- */

/* "dead", "dead, from 80", "flaps, every 15", "loses 0.1". */
static void put_mode(struct draft *d, const char *standing, const char *going,
		     bool may_drop)
{
	const double seconds = d->wish.seconds;
	const double every = d->wish.every > 0 ? d->wish.every : seconds / 12;
	enum sim_mode mode = d->wish.mode;
	if (mode == SIM_DROPS && !may_drop)
		mode = SIM_COMES_AND_GOES;
	switch (mode) {
	case SIM_DROPS:
		fprintf(d->out, ", loses %.3f\n",
			sim_between(&d->prng, 0.02, 0.25));
		break;
	case SIM_COMES_AND_GOES:
		if (going)
			fprintf(d->out, ", %s, every %.1f\n", going, every);
		else
			fprintf(d->out, ", %s, from %.2f\n", standing,
				seconds * sim_between(&d->prng, 0.3, 0.7));
		break;
	case SIM_DIES:
		fprintf(d->out, ", %s, from %.2f\n", standing,
			seconds * sim_between(&d->prng, 0.3, 0.7));
		break;
	case SIM_STANDING:
	case SIM_MODES:
		fprintf(d->out, ", %s\n", standing);
		break;
	}
}

/* A steady device; the first three are. */
static const struct drawn *victim(struct draft *d)
{
	int i = between(d, 0, d->devices - 1);
	while (!d->device[i].steady)
		i = (i + 1) % d->devices;
	return &d->device[i];
}

/* A device's run, or one between switches. */
static void put_run_fault(struct draft *d)
{
	if (d->switches > 1 && sim_chance(&d->prng, 0.2))
		fprintf(d->out, "fault run T%d",
			between(d, 1, d->switches - 1));
	else
		fprintf(d->out, "fault run W%d",
			(int)(victim(d) - d->device) + 1);
	put_mode(d, "dead", "flaps", true);
}

/* Not the laptop's own switch, as far as there is another. */
static void put_switch_fault(struct draft *d)
{
	int at = between(d, 0, d->switches - 1);
	if (at == d->laptop)
		at = (at + 1) % d->switches;
	fprintf(d->out, "fault switch %s", switch_names[at]);
	put_mode(d, "dead", "reboots", false);
}

static void put_feed_fault(struct draft *d)
{
	const struct drawn *device = victim(d);
	const int feed = device->feed ? device->feed : d->laptop + 1;
	fprintf(d->out, "fault feed breaker %d", feed);
	put_mode(d, "off", "sags", false);
}

static void put_cause(struct draft *d)
{
	const struct drawn *device = victim(d);
	const char *name = device_names[device->name].name;
	switch (d->wish.cause) {
	case SIM_RUN:
		put_run_fault(d);
		break;
	case SIM_PORT:
		fprintf(d->out, "fault port %s %d", switch_names[device->at],
			device->port);
		put_mode(d, "dead", "flaps", false);
		break;
	case SIM_SWITCH:
		put_switch_fault(d);
		break;
	case SIM_FEED:
		put_feed_fault(d);
		break;
	case SIM_DEVICE:
		fprintf(d->out, "fault device %s", name);
		put_mode(d, "dead", "reboots", false);
		break;
	case SIM_ASLEEP:
		fprintf(d->out, "fault device %s", name);
		put_mode(d, "asleep", NULL, false);
		break;
	case SIM_LEAD:
		fputs("fault laptop lead", d->out);
		put_mode(d, "dead", "flaps", true);
		break;
	case SIM_NOTHING:
	case SIM_CAUSE_KINDS:
		break;
	}
}

static void draw(struct draft *d)
{
	draw_switches(d);
	draw_devices(d);
	fprintf(d->out, "boat random boat\n"
		"listen %g, start 1777713142, seed %u\n", d->wish.seconds,
		 (unsigned)(sim_next(&d->prng) >> 40) + 1);
	for (int i = 1; i <= d->breakers; i++)
		fprintf(d->out, "feed breaker %d, volts 12\n", i);
	for (int i = 0; i < d->switches; i++)
		put_switch(d, i);
	for (int i = 0; i < d->devices; i++)
		put_device(d, i);
	put_runs(d);
	fprintf(d->out, "laptop %s %d, lead L1", switch_names[d->laptop],
		d->laptop_port);
	if (d->wish.lead_loss > 0)
		fprintf(d->out, ", loses %g, burst %g frames", d->wish.lead_loss,
			d->wish.lead_burst > 0 ? d->wish.lead_burst : 1);
	fputc('\n', d->out);
	put_cause(d);
}

struct sim_boat *sim_boat_random(uint64_t seed,
				 const struct sim_options *options)
{
	char *text = NULL, why[200];
	size_t n = 0;
	struct draft d = { .out = open_memstream(&text, &n),
			   .prng = sim_prng(seed, 1), .wish = *options };
	if (!d.out)
		abort();
	if (d.wish.seconds <= 0)
		d.wish.seconds = 180;
	if (d.wish.jitter <= 0)
		d.wish.jitter = 0.02;
	d.switches = d.wish.switches ? d.wish.switches
				     : between(&d, 1, SWITCHES);
	d.devices = d.wish.devices ? d.wish.devices : between(&d, 4, DEVICES);
	if (d.switches > SWITCHES)
		d.switches = SWITCHES;
	if (d.devices > DEVICES)
		d.devices = DEVICES;
	draw(&d);
	fclose(d.out);
	struct sim_boat *boat = sim_boat_read(text, why, sizeof why);
	if (!boat) {                            /* a fault of this file */
		fprintf(stderr, "%s\n%s", why, text);
		abort();
	}
	free(text);
	return boat;
}
