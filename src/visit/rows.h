/* rows.h -- one observation as a JSON object, and back.
 *
 * Owns    an object goes to the caller; an observation read borrows from the
 *         room it was read into, until that is used again
 * Errors  false: no observation; NULL or an object cut short: no memory
 */
#ifndef FL_VISIT_ROWS_H
#define FL_VISIT_ROWS_H

#include "visit/journal.h"

#include <jansson.h>

/* What one observation may borrow. */
struct fl_journal_room {
	struct fl_heard      heard[FL_JOURNAL_ROWS];
	struct fl_minute_row rows[FL_JOURNAL_ROWS];
	char text[3][FL_TEXT_MAX + 1];
};

/* rows_port.c: a port of the listening host. */
void fl_journal_write_port(json_t *j, const struct fl_observation *o);
bool fl_journal_read_port(struct fl_journal_room *room, const json_t *j,
			  struct fl_observation *o);

json_t *fl_journal_object(const struct fl_observation *o);
bool fl_journal_observation(const json_t *j, struct fl_journal_room *room,
			    struct fl_observation *o);

#endif
