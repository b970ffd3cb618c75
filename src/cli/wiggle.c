/* wiggle.c -- one device, or the own link, for somebody with both hands at a
 * plug: a bell at each loss, and a steady tick while it is heard if asked.
 *
 * The own link is what the kernel says, at once. A device is lost when it was
 * not heard for far longer than is usual for it; frames reach us a tenth of a
 * second late at most. Factors: judgement.
 */
#include "cli/watching.h"

#include <string.h>

/* How late frames come out of the kernel's ring, and once more for the loop. */
#define LATE (200 * FL_MILLISECOND)

bool fl_wiggle_choose(struct watch *w)
{
	const struct fl_plan *plan = fl_judge_planned(w->judging);
	const char *name = w->order->wiggle;
	w->wiggled = (struct wiggled){ .link = strcmp(name, "link") == 0, .device = -1 };
	for (size_t i = 0; plan && i < plan->device_count; i++)
		if (strcmp(plan->devices[i].name, name) == 0)
			w->wiggled.device = (int)i;
	if (w->wiggled.link || w->wiggled.device >= 0)
		return true;
	fprintf(stderr, "fairlead listen: --wiggle %s: no device of the plan; say its name, "
		"or \"link\" for the laptop's own link\n", name);
	return false;
}

/* The newest frame of the device, and how long it is usually silent: fast
 * streams by their own gaps, slow ones by their cadence. 0: not known. */
static fl_time heard_last(const struct watch *w, fl_time *usual)
{
	const struct fl_answer_device *d = &w->answer->devices[w->wiggled.device];
	fl_time last = 0;
	*usual = 0;
	for (size_t i = 0; i < d->mac_count; i++) {
		fl_time gap;
		const fl_time at = fl_tally_last(w->tally, d->macs[i], &gap);
		last = at > last ? at : last;
		if (gap && (*usual == 0 || gap < *usual))
			*usual = gap;
	}
	if (*usual == 0)
		*usual = d->cadence;
	return last;
}

static bool hears_device(struct watch *w)
{
	fl_time usual;
	const fl_time last = heard_last(w, &usual);
	/* Of a device whose pace is not known yet a silence says nothing. */
	const fl_time limit = (usual ? usual * 5 / 2 : 30 * FL_SECOND) + LATE;
	w->wiggled.ever |= last > 0;
	return last > 0 && fl_live_now(w->live) - last < limit;
}

static void change(struct watch *w, bool heard, fl_time now)
{
	struct wiggled *g = &w->wiggled;
	const fl_time lasted = now - g->changed;
	const bool lost = !heard && g->ever && g->changed;
	if (heard && g->losses && lasted > g->longest)
		g->longest = lasted;
	g->heard = heard;
	g->changed = now;
	if (!lost)
		return;
	g->losses++;
	if (w->terminal)
		fl_terminal_bell(w->terminal);
	else
		fputc('\a', stderr);
}

static void tick(struct watch *w, fl_time now)
{
	struct wiggled *g = &w->wiggled;
	if (!w->order->tick || !g->heard || now - g->ticked < FL_SECOND)
		return;
	g->ticked = now;
	if (w->terminal)
		fl_terminal_bell(w->terminal);
	else
		fputc('\a', stderr);
}

void fl_wiggle_look(struct watch *w)
{
	const fl_time now = fl_live_now(w->live);
	struct wiggled *g = &w->wiggled;
	if (!w->order->wiggle || !w->answer)
		return;
	const bool heard = g->link ? w->linked : hears_device(w);
	g->ever |= heard;
	if (heard != g->heard || g->changed == 0)
		change(w, heard, now);
	tick(w, now);
}
