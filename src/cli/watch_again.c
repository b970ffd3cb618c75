/* watch_again.c -- a visit that is gone on with: whose ears are whose, behind
 * what is kept, and with what was noted beside it.
 */
#include "cli/watching.h"

#include "base/text.h"

#include <string.h>

/* Listening goes on so long behind what is kept where the clock stands before
 * it, so that the pause is told as one. */
#define A_PAUSE FL_SECOND
/* Stamps end there (tally). */
#define LATEST (INT64_MAX / 4)

static bool refuse(const char *what)
{
	fprintf(stderr, "fairlead listen: %s\n", what);
	return false;
}

/* The ear of this name in what was heard before, else the next new one. */
static size_t ear_of(const struct fl_ear_state *ears, size_t n, const char *port,
		     size_t *next)
{
	char name[FL_TEXT_MAX + 1];
	(void)fl_text_clean((struct fl_slice){ (const uint8_t *)port, strlen(port) }, name);
	for (size_t i = 0; i < n; i++)
		if (ears[i].ever && strcmp(ears[i].name, name) == 0)
			return i;
	return (*next)++;
}

bool fl_watch_take_ears(struct watch *w)
{
	size_t n;
	const struct fl_ear_state *ears = fl_ledger_ears(fl_judge_ledger(w->judging), &n);
	size_t next = n;
	for (size_t i = 0; i < w->order->port_count; i++) {
		const size_t ear = ear_of(ears, n, w->order->ports[i], &next);
		if (ear >= FL_TALLY_EARS)
			return refuse("this visit has heard as many ports as it can keep; "
				      "begin another");
		w->ears[i] = (uint16_t)ear;
	}
	if (fl_watch_kept_until(w) > LATEST)
		return refuse("this visit holds times that no clock shows; begin another");
	return true;
}

fl_time fl_watch_kept_until(const struct watch *w)
{
	const struct fl_ledger *ledger = fl_judge_ledger(w->judging);
	size_t n;
	const struct fl_ear_state *ears = fl_ledger_ears(ledger, &n);
	fl_time until = fl_ledger_to(ledger);
	for (size_t i = 0; i < n; i++)
		until = ears[i].until > until ? ears[i].until : until;
	return until ? until + A_PAUSE : 0;
}

static void take_note(void *context, const struct fl_observation *o)
{
	struct watch *w = context;
	const struct fl_ledger *ledger = fl_judge_ledger(w->judging);
	size_t before, after;
	(void)fl_ledger_acts(ledger, &before);
	w->ledger.observe(w->ledger.context, o);
	(void)fl_ledger_acts(ledger, &after);
	if (after == before)
		return;
	if (o->hand.act == FL_HAND_WORK)
		w->keys.working = strcmp(o->hand.text, "on") == 0;
	fl_watch_say_hand(w, o->to, o->hand.act, o->hand.text);
}

bool fl_watch_go_on(struct watch *w)
{
	const struct fl_ledger *ledger = fl_judge_ledger(w->judging);
	fl_live_not_before(w->live, fl_watch_kept_until(w));
	if (w->order->visit) {
		w->hand = fl_hand_follow(w->order->visit,
					 (struct fl_observer){ w, take_note });
		if (!w->hand)
			return false;
		fl_hand_look(w->hand);
	}
	/* What happened before was told then. */
	const struct fl_answer *before = fl_ledger_from(ledger)
		? fl_judge_answer(w->judging) : NULL;
	if (before)
		fl_events_look(w->events, before, ledger);
	while (fl_events_take(w->events))
		;
	return true;
}
