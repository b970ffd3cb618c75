/* comings.c -- devices that come and go, and how they come back. */
#include "diagnose/findings.h"

enum { ABSENCES = 20 };

/* How the device came back each time, counted. */
static void count_ways(const struct fl_case *c, size_t device, uint32_t *ways)
{
	size_t n;
	const struct fl_dropout *all = fl_ledger_dropouts(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		if (all[i].first && fl_is_away(c, &all[i]) &&
		    fl_device_of(c, &all[i]) == (int)device &&
		    !fl_ledger_working(c->ledger, all[i].last, all[i].missed))
			ways[fl_way_told(&all[i])]++;
}

static const char *counted_ways(struct fl_case *c, const uint32_t *ways)
{
	const char *list = "";
	char times[FL_TIMES_TEXT];
	for (size_t r = 0; r <= FL_RETURNS; r++)
		if (ways[r])
			list = fl_region_format(c->region, "%s%s%s %s", list,
				list[0] ? ", " : "", fl_way_words((enum fl_return)r),
				fl_times(ways[r], times));
	return fl_region_format(c->region, "How it came back: %s.", list);
}

static void tell_absences(struct fl_case *c, size_t device, struct fl_answer_finding *f)
{
	const struct fl_answer_device *d = &c->answer->devices[device];
	for (size_t k = 0; k < d->dropout_count && k < ABSENCES; k++) {
		char from[FL_TIME_TEXT], length[FL_TIME_TEXT];
		if (d->dropouts[k].to)
			fl_texts_add(c, &f->evidence, fl_region_format(c->region,
				"Away at %s for %s.",
				fl_time_clock(d->dropouts[k].from, from),
				fl_time_interval(d->dropouts[k].to -
						 d->dropouts[k].from, length)));
	}
}

/* Most of its returns are restarts, told by what it said. */
static bool restarts(const struct fl_standing *s)
{
	const uint32_t ended = s->dropouts - (s->open >= 0);
	return ended && s->starts * 2 > ended;
}

void fl_find_restarts(struct fl_case *c, const char *id)
{
	for (size_t i = 0; i < c->plan->device_count; i++) {
		const struct fl_standing *s = &c->standing[i];
		const struct fl_answer_device *d = &c->answer->devices[i];
		char least[FL_TIME_TEXT], most[FL_TIME_TEXT], times[FL_TIMES_TEXT];
		if (s->left || !restarts(s))
			continue;
		struct fl_answer_finding *f = fl_found(c, id, FL_FAULT, d->name,
			fl_region_format(c->region, "%s restarts.", d->name));
		fl_texts_add(c, &f->evidence, fl_region_format(c->region,
			"It was away %s and started anew after %u: its supply, "
			"or it restarts by itself.", fl_times(s->dropouts, times),
			s->starts));
		fl_time_interval(d->boot_least, least);
		fl_time_interval(d->boot_most, most);
		const bool one = strcmp(least, most) == 0;
		if (d->boot_most)
			fl_texts_add(c, &f->evidence, fl_region_format(c->region,
				"Each time it was away for %s%s%s.", one ? "about " : least,
				one ? "" : " to ", most));
		tell_absences(c, i, f);
	}
}

void fl_find_unsteady(struct fl_case *c, const char *id)
{
	for (size_t i = 0; i < c->plan->device_count; i++) {
		const struct fl_standing *s = &c->standing[i];
		const uint32_t ended = s->dropouts - (s->open >= 0);
		uint32_t ways[FL_RETURNS + 1] = { 0 };
		if (s->left || restarts(s) || (ended == 0 && s->blinks < 2))
			continue;
		char times[FL_TIMES_TEXT];
		const char *name = c->plan->devices[i].name;
		struct fl_answer_finding *f = fl_found(c, id, FL_FAULT, name,
			fl_region_format(c->region, "%s comes and goes.", name));
		fl_texts_add(c, &f->evidence, ended
			? fl_region_format(c->region, "It was away %s and came back.",
					   fl_times(ended, times))
			: fl_region_format(c->region, "It blinked %u times.", s->blinks));
		count_ways(c, i, ways);
		fl_texts_add(c, &f->evidence, counted_ways(c, ways));
		tell_absences(c, i, f);
	}
}
