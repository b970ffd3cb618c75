/* fuzz_plan.c -- any octets are either a plan whose indices are sane and
 * whose graph builds, or at least one fault at a line of the text; and what
 * learn adds to a plan that reads leaves one that reads. */
#include "plan/graph.h"
#include "plan/write.h"

#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);

static void must(bool holds)
{
	if (!holds)
		abort();
}

static void place_is_sane(const struct fl_plan *p, struct fl_place place)
{
	const size_t count = place.kind == FL_PLACE_DEVICE ? p->device_count
							   : p->switch_count;
	must(place.kind != FL_PLACE_NOWHERE);
	must(place.index >= 0 && (size_t)place.index < count);
	must(place.port >= 0 && place.port <= FL_PLAN_PORTS);
}

static void supplies_are_sane(const struct fl_plan *p,
			      const struct fl_supply *at, size_t n)
{
	must(n <= FL_DEVICE_FEEDS);
	for (size_t i = 0; i < n; i++)
		must(at[i].index >= 0 && (size_t)at[i].index <
		     (at[i].kind == FL_FEED_RUN ? p->run_count : p->feed_count));
}

static void name_is_sane(const char *name)
{
	char clean[FL_TEXT_MAX + 1];
	struct fl_cursor c = fl_cursor(name, strlen(name));
	must(*name && strlen(name) <= 64);
	(void)fl_text_clean(fl_rest(&c), clean);
	must(strcmp(clean, name) == 0);
}

static void plan_is_sane(const struct fl_plan *p, struct fl_region *region)
{
	for (size_t i = 0; i < p->device_count; i++) {
		const struct fl_device *d = &p->devices[i];
		name_is_sane(d->name);
		must(d->woken_by >= FL_NONE && d->woken_by < (int)p->device_count);
		must(d->behind >= FL_NONE && d->behind < (int)p->device_count);
		must(d->mac_count <= FL_DEVICE_MACS && d->ports <= FL_PLAN_PORTS);
		supplies_are_sane(p, d->feeds, d->feed_count);
	}
	for (size_t i = 0; i < p->switch_count; i++) {
		name_is_sane(p->switches[i].name);
		supplies_are_sane(p, p->switches[i].feeds, p->switches[i].feed_count);
	}
	for (size_t i = 0; i < p->run_count; i++) {
		place_is_sane(p, p->runs[i].ends[0]);
		place_is_sane(p, p->runs[i].ends[1]);
		must(p->runs[i].joint_count <= FL_RUN_JOINTS);
		must(*fl_plan_run_text(p, (int)i, region));
	}
	if (p->laptop.kind == FL_SEAT_IN_RUN)
		must(p->laptop.run >= 0 && (size_t)p->laptop.run < p->run_count);
	else if (p->laptop.kind != FL_SEAT_UNKNOWN)
		place_is_sane(p, p->laptop.place);
	must(*fl_plan_seat_text(p, region));
}

static void graph_is_sane(const struct fl_plan *p, struct fl_region *region)
{
	const struct fl_graph *g = fl_graph_new(p, region);
	must(g && g->part_count >= 1 && g->parts[0].kind == FL_PART_LAPTOP);
	for (size_t d = 0; d < p->device_count; d++) {
		must(fl_graph_on_way(g, d, 0));
		size_t own = 0;
		for (size_t i = 0; i < g->part_count; i++)
			own += fl_graph_on_way(g, d, i) && g->parts[i].index == (int)d &&
			       g->parts[i].kind == FL_PART_DEVICE;
		must(own == 1);
	}
}

static void what_learn_adds_reads(const struct fl_plan *p, const char *text,
				  size_t n, struct fl_region *region)
{
	static struct fl_plan_faults faults;
	const int same[] = { FL_NONE, p->device_count ? 0 : FL_NONE };
	struct fl_learnt learnt[2] = { { .kind = "radar", .cadence = FL_SECOND },
				       { .announced = "*;#" } };
	(void)snprintf(learnt[0].name, sizeof learnt[0].name, "%.60s",
		       p->switch_count ? p->switches[0].name : "radar");
	struct fl_text more;
	must(fl_text_init(&more, 1 << 16));
	must(fl_plan_write_more(&more, p, text, n, learnt, same, 2));
	char *whole = malloc(n + more.n + 1);
	must(whole);
	memcpy(whole, text, n);
	memcpy(whole + n, more.at, more.n);
	must(fl_plan_read(whole, n + more.n, region, &faults));
	free(whole);
	fl_text_close(&more);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
	static struct fl_plan_faults faults;
	struct fl_region *region = fl_region_new(64 << 20);
	const char *text = (const char *)data;
	must(region);
	const struct fl_plan *p = fl_plan_read(text, n, region, &faults);
	must(!p == (faults.n > 0));
	for (size_t i = 0; i < faults.n; i++)
		must(faults.at[i].line >= 1 && faults.at[i].column >= 1 &&
		     *faults.at[i].text && *faults.at[i].remedy);
	if (p) {
		plan_is_sane(p, region);
		graph_is_sane(p, region);
		what_learn_adds_reads(p, text, n, region);
	}
	fl_region_free(region);
	return 0;
}
