/* exchange.c -- whose plugs may change places for a moment, and names as one
 * types them after it. */
#include "diagnose/inner.h"

#include <string.h>

/* As one word of a shell: names of a plan may hold anything but controls. */
const char *fl_quoted(struct fl_case *c, const char *name)
{
	if (!name[strcspn(name, " \t'\"\\$`!*?&|;<>()#~{}")])
		return name;
	const char *text = "";
	for (const char *at = name; *at;) {
		const size_t n = strcspn(at, "\"\\$`!");
		text = fl_region_format(c->region, "%s%.*s%s%.1s", text, (int)n, at,
					at[n] ? "\\" : "", at + n);
		at += at[n] ? n + 1 : n;
	}
	return fl_region_format(c->region, "\"%s\"", text);
}

/* A port of the same switch whose cable works and may be pulled for a moment:
 * its run; FL_NONE: there is none. */
static int other_run(const struct fl_case *c, struct fl_place mine, struct fl_place *port)
{
	const struct fl_plan *plan = c->plan;
	for (size_t r = 0; r < plan->run_count; r++)
		for (int end = 0; end < 2; end++) {
			const struct fl_place at = plan->runs[r].ends[end];
			const struct fl_place far = plan->runs[r].ends[!end];
			if (at.kind != mine.kind || at.index != mine.index || !at.port ||
			    at.port == mine.port || far.kind != FL_PLACE_DEVICE ||
			    plan->devices[far.index].leave || plan->devices[far.index].ports ||
			    !c->standing[far.index].present)
				continue;
			*port = at;
			return (int)r;
		}
	return FL_NONE;
}

static int run_at(const struct fl_plan *plan, struct fl_place port)
{
	for (size_t r = 0; r < plan->run_count; r++)
		for (int end = 0; end < 2; end++)
			if (plan->runs[r].ends[end].kind == port.kind &&
			    plan->runs[r].ends[end].index == port.index &&
			    plan->runs[r].ends[end].port == port.port)
				return (int)r;
	return FL_NONE;
}

static bool powers(const struct fl_plan *plan, int run)
{
	for (size_t i = 0; i < plan->device_count; i++)
		for (size_t k = 0; k < plan->devices[i].feed_count; k++)
			if (plan->devices[i].feeds[k].kind == FL_FEED_RUN &&
			    plan->devices[i].feeds[k].index == run)
				return true;
	return false;
}

bool fl_may_exchange(const struct fl_case *c, struct fl_place port, int *run,
		     struct fl_place *other)
{
	*run = port.port ? run_at(c->plan, port) : FL_NONE;
	const int good = *run == FL_NONE ? FL_NONE : other_run(c, port, other);
	return good != FL_NONE && !powers(c->plan, *run) && !powers(c->plan, good);
}
