/* journal.h -- the ledger's input as lines of text: written and replayed.
 *
 *     {"journal":1,"minor":0,"plan":"9a3c…"}
 *     {"kind":"ear","ear":0,"order":0,"from":…,"to":…,"change":"listens",…}
 *     {"kind":"second",…,"heard":[stream,ms,stream,ms,…]}
 *
 * Source  man page fairlead-journal(5); RFC 8259 (JSON); times are integers
 *         of ns since 1970
 *         ms of the last frame, 1000 more if there were several
 * Owns    a reader owns its descriptor and line; texts it hands over live
 *         until the next line
 * Errors  a torn last line is skipped and told; lines that are no object, or
 *         of a kind not known here, are skipped and counted
 * Ceiling FL_JOURNAL_LINE octets a line, FL_JOURNAL_ROWS rows in one
 */
#ifndef FL_VISIT_JOURNAL_H
#define FL_VISIT_JOURNAL_H

#include "base/error.h"
#include "base/text.h"
#include "event/observation.h"

#include <stdio.h>

enum { FL_JOURNAL_LINE = 1 << 20, FL_JOURNAL_ROWS = 8192 };

/* Write the first line, with the check sum of the plan where there is one, and
 * one observation as a line. False: the stream has an error (errno tells) or no
 * memory. */
bool fl_journal_begin(FILE *out, const char *plan_sum);
bool fl_journal_write(FILE *out, const struct fl_observation *o);

struct fl_journal_summary {
	uint64_t lines, skipped;     /* observations; lines not understood   */
	uint64_t gaps;               /* places where `order` does not run on */
	bool     torn;               /* the last line has no end             */
	struct fl_error error;
};

struct fl_journal;

/* True if these first octets of a file, one at least, begin a journal. A file
 * may end within its first line: whoever wrote it was killed. */
bool fl_journal_begins(const void *octets, size_t n);
struct fl_journal *fl_journal_open(const char *path, struct fl_observer observer,
				   struct fl_error *error);
/* Hand the next `most` observations to the observer. FL_OK: there may be
 * more; FL_END: read to its end; else what broke. */
enum fl_status fl_journal_pump(struct fl_journal *journal, size_t most);
/* Behind FL_END: what was appended since may be pumped next. A last line
 * without its end is read again. */
void fl_journal_go_on(struct fl_journal *journal);
/* Up to here everything was handed over. */
fl_time fl_journal_told(const struct fl_journal *journal);
const struct fl_journal_summary *fl_journal_summary(const struct fl_journal *);
void fl_journal_close(struct fl_journal *journal);

#endif
