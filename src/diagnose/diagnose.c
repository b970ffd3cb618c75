#include "diagnose/inner.h"

/* A plan of nothing, for an answer without one. */
static const struct fl_plan no_plan = { .name = "" };

static bool fill(struct fl_case *c)
{
	c->matching = fl_match(c->ledger, c->plan, c->region);
	c->graph = fl_graph_new(c->plan, c->region);
	if (!c->matching || !c->graph)
		return false;
	if (!fl_show_ears(c) || !fl_show_ports(c) || !fl_show_stations(c) ||
	    !fl_stand(c) || !fl_happened(c) || !fl_show_devices(c) ||
	    !fl_show_episodes(c))
		return false;
	fl_show_losses(c);
	return fl_find(c) && fl_hands(c) && fl_suspect(c) && fl_next(c);
}

struct fl_answer *fl_diagnose(const struct fl_ledger *ledger,
			      const struct fl_plan *plan,
			      struct fl_texts warnings,
			      struct fl_region *region)
{
	struct fl_answer *a = fl_region_take(region, sizeof *a);
	if (!a)
		return NULL;
	struct fl_case c = {
		.ledger = ledger, .plan = plan ? plan : &no_plan,
		.region = region, .answer = a,
		.from = fl_ledger_from(ledger), .to = fl_ledger_to(ledger),
	};
	size_t n, deaf_spans;
	const struct fl_ear_state *ears = fl_ledger_ears(ledger, &n);
	(void)fl_ledger_deaf(ledger, &deaf_spans);
	int64_t deaf = n ? ears[0].deaf : 0;
	for (size_t i = 0; i < n; i++)
		deaf = ears[i].ever && ears[i].deaf < deaf ? ears[i].deaf : deaf;
	c.seconds = (double)(c.to - c.from - deaf) / (double)FL_SECOND;
	a->segment = c.plan->name ? c.plan->name : "";
	a->planned = c.plan->device_count > 0;
	a->wired = c.plan->wired;
	a->from = c.from;
	a->to = c.to;
	a->clock_moved = fl_ledger_clock_moved(ledger);
	a->warnings = warnings;
	if (c.plan->laptop.kind != FL_SEAT_UNKNOWN)
		a->seat = fl_plan_seat_text(c.plan, region);
	if (!fill(&c))
		return NULL;
	fl_word(&c);
	return fl_region_full(region) ? NULL : a;
}

int fl_answer_status(const struct fl_answer *a)
{
	if (!a->anything_heard)
		return 3;
	for (size_t i = 0; i < a->finding_count; i++)
		if (a->findings[i].severity == FL_FAULT)
			return 1;
	return a->suspect_count && a->no_fault < 0.1 ? 1 : 0;
}
