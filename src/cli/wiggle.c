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

/* Sets when it was heard last. Of a device whose pace is not known yet a silence
 * says nothing. */
static bool hears_device(struct watch *w, fl_time now, fl_time *last)
{
	struct wiggled *g = &w->wiggled;
	fl_time usual;
	*last = heard_last(w, &usual);
	/* A loss is a long gap too, and would make the next one usual. */
	if (g->losses == 0 || g->usual == 0)
		g->usual = usual;
	if (g->heard && *last < g->hears)
		*last = g->hears;
	const fl_time limit = (g->usual ? g->usual * 5 / 2 : 30 * FL_SECOND) + LATE;
	return *last > 0 && now - *last < limit;
}

static void ring(const struct watch *w)
{
	if (w->terminal)
		fl_terminal_bell(w->terminal);
	else
		fputc('\a', stderr);
}

/* The kernel's word on a link is told as an event anyway. */
static void say(struct watch *w, fl_time now, fl_time lasted)
{
	char sentence[FL_TEXT_MAX + 80], length[FL_TIME_TEXT];
	const char *name = w->wiggled.link ? NULL
		: fl_judge_planned(w->judging)->devices[w->wiggled.device].name;
	if (!name)
		return;
	if (w->wiggled.heard)
		(void)snprintf(sentence, sizeof sentence, "%s: heard again after %s.", name,
			       fl_time_interval(lasted, length));
	else
		(void)snprintf(sentence, sizeof sentence, "%s: lost.", name);
	fl_events_say(w->events, now, sentence);
	fl_watch_tell(w);
}

/* `at`: since when it is so. */
static void change(struct watch *w, bool heard, fl_time at)
{
	struct wiggled *g = &w->wiggled;
	const bool first = !g->ever;
	const fl_time lasted = at - g->changed;
	g->ever |= heard;
	g->heard = heard;
	g->changed = at;
	if (first)
		return;
	if (heard && lasted > g->longest)
		g->longest = lasted;
	if (!heard) {
		g->losses++;
		ring(w);
	}
	say(w, at, lasted);
}

fl_time fl_wiggle_longest(const struct watch *w)
{
	const struct wiggled *g = &w->wiggled;
	const fl_time open = g->losses && !g->heard ? fl_live_now(w->live) - g->changed : 0;
	return open > g->longest ? open : g->longest;
}

/* What was seen at the plug stands in the answer too. */
void fl_wiggle_end(struct watch *w)
{
	const struct wiggled *g = &w->wiggled;
	char text[FL_TEXT_MAX + 1], length[FL_TIME_TEXT], times[FL_TIMES_TEXT];
	if (!w->order->wiggle || g->link || g->losses == 0)
		return;
	(void)snprintf(text, sizeof text, "watched at the plug, %s was lost %s, %s %s%s",
		fl_judge_planned(w->judging)->devices[g->device].name,
		fl_times(g->losses, times), g->losses == 1 ? "for" : "the longest",
		fl_time_interval(fl_wiggle_longest(w), length),
		g->heard ? "" : ", and still is");
	fl_tally_also(w->tally, &(struct fl_observation){
		.kind = FL_OBSERVED_EAR, .ear = w->ears[0], .to = fl_live_now(w->live),
		.listening = { .change = FL_EAR_NOTED, .name = "", .text = text } });
}

static void tick(struct watch *w, fl_time now)
{
	struct wiggled *g = &w->wiggled;
	if (!w->order->tick || !g->heard || now - g->ticked < FL_SECOND)
		return;
	g->ticked = now;
	ring(w);
}

/* Without a link of its own the laptop cannot tell, and nothing is counted.
 * Where it listens at several ports, another may hear the device. */
static bool is_deaf(struct watch *w, fl_time now)
{
	struct wiggled *g = &w->wiggled;
	const bool deaf = !g->link && !w->linked[0] && w->order->port_count == 1;
	if (deaf && !g->deaf && g->heard)
		ring(w);
	if (g->deaf && !deaf)
		g->hears = now;
	g->deaf = deaf;
	return deaf;
}

void fl_wiggle_look(struct watch *w)
{
	const fl_time now = fl_live_now(w->live);
	struct wiggled *g = &w->wiggled;
	fl_time last = now;
	if (!w->order->wiggle || !w->answer || is_deaf(w, now))
		return;
	const bool heard = g->link ? w->linked[0] : hears_device(w, now, &last);
	if (heard != g->heard || g->changed == 0)
		change(w, heard, heard || !last ? now : last);
	tick(w, now);
}
