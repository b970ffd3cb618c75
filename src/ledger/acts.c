/* acts.c -- what somebody did or saw, in the order in which it was told. It
 * moves no clock: whoever writes it down hears nothing.
 *
 * Ceiling FL_LEDGER_ACTS; what is told later is counted as lost
 */
#include "ledger/inner.h"

void fl_acts_done(struct fl_ledger *l, const struct fl_observation *o)
{
	if (l->act_count == FL_LEDGER_ACTS) {
		l->lost++;
		return;
	}
	l->acts[l->act_count++] = (struct fl_act){
		.at = o->to, .act = o->hand.act,
		.name = fl_ledger_keep(l, o->hand.name),
		.text = fl_ledger_keep(l, o->hand.text),
	};
}

bool fl_acts_working(const struct fl_ledger *l, fl_time from, fl_time to)
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
