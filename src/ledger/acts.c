/* acts.c -- what somebody did or saw, in the order of its time, whenever it was
 * told: who listens reads the notes of a hand as they are written, and who
 * replays merges them, and both must conclude the same. It moves no clock:
 * whoever writes it down hears nothing.
 *
 * Ceiling FL_LEDGER_ACTS; what is told later is counted as lost
 */
#include "ledger/inner.h"

/* Those of one moment have an order of their own. 0: the same thing. */
static int compare(const struct fl_act *a, const struct fl_act *b)
{
	if (a->at != b->at)
		return a->at < b->at ? -1 : 1;
	if (a->act != b->act)
		return a->act < b->act ? -1 : 1;
	const int names = strcmp(a->name, b->name);
	return names ? names : strcmp(a->text, b->text);
}

void fl_acts_done(struct fl_ledger *l, const struct fl_observation *o)
{
	const struct fl_act act = {
		.at = o->to, .act = o->hand.act,
		.name = o->hand.name ? o->hand.name : "",
		.text = o->hand.text ? o->hand.text : "",
	};
	size_t i = l->act_count;
	while (i > 0 && compare(&l->acts[i - 1], &act) > 0)
		i--;
	if (i > 0 && compare(&l->acts[i - 1], &act) == 0)
		return;                      /* a note that is read once more */
	if (l->act_count == FL_LEDGER_ACTS) {
		l->lost++;
		return;
	}
	memmove(&l->acts[i + 1], &l->acts[i], (l->act_count++ - i) * sizeof l->acts[0]);
	l->acts[i] = act;
	l->acts[i].name = fl_ledger_keep(l, act.name);
	l->acts[i].text = fl_ledger_keep(l, act.text);
}

bool fl_ledger_working(const struct fl_ledger *l, fl_time from, fl_time to)
{
	bool working = false;
	for (size_t i = 0; i < l->act_count && l->acts[i].at <= to; i++) {
		if (l->acts[i].act != FL_HAND_WORK)
			continue;
		if (working && l->acts[i].at >= from)
			return true;
		working = strcmp(l->acts[i].text, "on") == 0;
	}
	return working;
}

const struct fl_act *fl_ledger_acts(const struct fl_ledger *l, size_t *n)
{
	*n = l->act_count;
	return l->acts;
}
