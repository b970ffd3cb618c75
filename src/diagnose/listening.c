/* listening.c -- what the laptop itself did to the listening: it slept, its
 * clock was set, it dropped frames. None of it is the boat's fault, and all of
 * it looks like one where it is not said.
 */
#include "diagnose/findings.h"
#include "stats/limits.h"

#include <inttypes.h>

void fl_find_slept(struct fl_case *c, const char *id)
{
	size_t n, times = 0;
	const struct fl_deaf_span *all = fl_ledger_deaf(c->ledger, &n);
	const struct fl_deaf_span *first = NULL;
	fl_time slept = 0;
	for (size_t i = 0; i < n; i++) {
		if (all[i].kind != FL_DEAF_ASLEEP || (first && all[i].ear != first->ear))
			continue;
		first = first ? first : &all[i];
		slept += all[i].to - all[i].from;
		times++;
	}
	if (!first)
		return;
	char length[FL_TIME_TEXT], at[FL_TIME_TEXT], count[FL_TIMES_TEXT];
	struct fl_answer_finding *f = fl_found(c, id, FL_REMARK, "laptop",
		fl_region_format(c->region, "The laptop slept %s, %s in all.",
			fl_times(times, count), fl_time_length(slept, length)));
	fl_texts_add(c, &f->evidence, fl_region_format(c->region,
		"First at %s; nobody is called silent for then.",
		fl_time_clock(first->from, at)));
}

void fl_find_stepped(struct fl_case *c, const char *id)
{
	const struct fl_network_state *n = fl_ledger_network(c->ledger);
	const int64_t moved = c->answer->clock_moved;
	char length[FL_TIME_TEXT], times[FL_TIMES_TEXT];
	if (n->clock_steps == 0)
		return;
	struct fl_answer_finding *f = fl_found(c, id, FL_REMARK, "laptop",
		fl_region_format(c->region, "The laptop's clock was set %s.",
			fl_times(n->clock_steps, times)));
	fl_texts_add(c, &f->evidence, fl_region_format(c->region,
		"By %s%s in all; it is taken out of all times.", moved < 0 ? "-" : "",
		fl_time_length(moved < 0 ? -moved : moved, length)));
}

void fl_find_dropped(struct fl_case *c, const char *id)
{
	const struct fl_answer *a = c->answer;
	for (size_t i = 0; i < a->ear_count; i++) {
		const struct fl_answer_ear *e = &a->ears[i];
		if (e->lost == 0)
			continue;
		const uint64_t all = e->frames + e->lost;
		const struct fl_limits share = fl_share_limits(e->lost, all, 0.95);
		struct fl_answer_finding *f = fl_found(c, id, FL_REMARK, e->name,
			fl_region_format(c->region, "The laptop dropped %" PRIu64 " of %"
				PRIu64 " frames at %s.", e->lost, all, e->name));
		fl_texts_add(c, &f->evidence, fl_region_format(c->region,
			"Between %.2g and %.2g of all (95 in 100): it was too busy to read "
			"them; no cable lost them.", share.low, share.high));
	}
}
