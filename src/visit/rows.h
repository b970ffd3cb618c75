/* rows.h -- one observation as a line of JSON, and back.
 *
 * Owns    a line goes to the caller; an observation read borrows from the
 *         room it was read into, until that is used again
 * Errors  false: no observation; NULL: no memory
 */
#ifndef FL_VISIT_ROWS_H
#define FL_VISIT_ROWS_H

#include "visit/journal.h"

#include <jansson.h>

enum { FL_JOURNAL_VERSION = 1, FL_JOURNAL_MINOR = 0 };

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

/* One observation, and the first line of a file, as lines of JSON without their end,
 * for the caller to free(); NULL: no memory. `plan_sum` NULL or "": no plan. */
char *fl_journal_line(const struct fl_observation *o);
char *fl_journal_first_line(const char *plan_sum);
/* A line for people, passed over in replay. */
char *fl_journal_said_line(fl_time at, const char *kind, const char *said);
bool fl_journal_observation(const json_t *j, struct fl_journal_room *room,
			    struct fl_observation *o);

#endif
