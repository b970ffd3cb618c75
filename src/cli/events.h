/* events.h -- what happened while fairlead listened, as sentences with their
 * time: "09:14:32 arch radar fell silent."
 *
 * Takes   answer and ledger each time an answer is made; marks and work from
 *         whoever heard of them
 * Owns    its sentences; those read out are borrowed until the next call
 * Errors  NULL from fl_events_new(): no memory; without memory for one more,
 *         that one is left out
 * Ceiling the last FL_EVENTS_KEPT are kept
 */
#ifndef FL_CLI_EVENTS_H
#define FL_CLI_EVENTS_H

#include "diagnose/answer.h"
#include "ledger/ledger.h"

enum { FL_EVENTS_KEPT = 200 };

struct fl_events;

struct fl_events *fl_events_new(void);
void fl_events_free(struct fl_events *events);

/* Tell what is new since the last call, each thing once. What already stood
 * at the first call is told too: who is here, who is silent. */
void fl_events_look(struct fl_events *events, const struct fl_answer *answer,
		    const struct fl_ledger *ledger);
/* Tell of a mark, of work, of anything else. */
void fl_events_say(struct fl_events *events, fl_time at, const char *sentence);

/* The last ones, in the order of their times: a silence is known only some
 * beats after it began, and stands before the mark made meanwhile. */
struct fl_texts fl_events_texts(struct fl_events *events);
/* The next sentence that was not yet taken, in the order in which they were
 * told: for whoever prints lines. NULL: none. */
const char *fl_events_take(struct fl_events *events);

#endif
