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

const struct fl_act *fl_ledger_acts(const struct fl_ledger *l, size_t *n)
{
	*n = l->act_count;
	return l->acts;
}
