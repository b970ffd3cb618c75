/* visit.h -- the folder that holds one job.
 *
 *     visit/plan.ini       the plan of this boat
 *           journal.jsonl  what was heard: one writer, the one that listens
 *           hand.jsonl     what somebody saw or did: one writer at a time
 *
 * Both files are journals (fairlead-journal(5)). A file is locked while it is
 * written; whoever holds it is named to the next. What is appended to a file
 * that was torn begins on a line of its own, and `order` runs on.
 *
 * A line goes into a bounded queue and never waits for a disk. A thread of
 * its own writes, syncs at most each second, and knows no state. It is started
 * apart from opening, since a thread keeps the rights it was started with;
 * until it is, and without it, what is queued is written in fl_visit_close().
 *
 *     ... every privilege is dropped here ...
 *     visit = fl_visit_open(folder, FL_VISIT_JOURNAL, sum, &error);
 *     fl_visit_start(visit, &error);
 *     fl_visit_write(visit, &observation); ...
 *     fl_visit_close(visit, &error);
 *
 * Source  man page fairlead-journal(5); flock(2)
 * Owns    its descriptors, its queue and its thread
 * Errors  the first one sticks; a disk that is full loses lines, which are
 *         counted, and is tried again
 * Ceiling FL_VISIT_QUEUE octets wait at most; FL_JOURNAL_LINE octets a line
 */
#ifndef FL_VISIT_VISIT_H
#define FL_VISIT_VISIT_H

#include "base/error.h"
#include "event/observation.h"

enum { FL_VISIT_QUEUE = 8 << 20, FL_VISIT_PATH = 4096 };

enum fl_visit_file { FL_VISIT_PLAN, FL_VISIT_JOURNAL, FL_VISIT_HAND };

/* Where a file of the visit lies. False: the name is too long. */
bool fl_visit_path(const char *folder, enum fl_visit_file file,
		   char out[static FL_VISIT_PATH]);
/* True if that file is there. */
bool fl_visit_has(const char *folder, enum fl_visit_file file);

/* Write a plan's n octets into a visit that has none, whole or not at all; one
 * that is there stays. For whoever holds the visit's journal. */
bool fl_visit_keep_plan(const char *folder, const char *text, size_t n,
			struct fl_error *error);

struct fl_visit;

/* Open the folder's journal (or hand file) for appending, the folder made if
 * it is not there, and lock it. `plan_sum` is the check sum of the plan, as
 * text, for the first line; NULL: no plan. NULL and *error: FL_FULL held by
 * another (its process number in the rule), FL_SYSTEM not writable,
 * FL_UNSUPPORTED written by a newer fairlead, FL_MALFORMED no journal. */
struct fl_visit *fl_visit_open(const char *folder, enum fl_visit_file file,
			       const char *plan_sum, struct fl_error *error);
/* The same over one file outside of any folder; it must not be there yet. */
struct fl_visit *fl_visit_open_file(const char *path, const char *plan_sum,
				    struct fl_error *error);
/* Start the thread that writes. False and *error: there is none, and the queue
 * waits for fl_visit_close(). */
bool fl_visit_start(struct fl_visit *visit, struct fl_error *error);
/* The number that the next observation's `order` gets. */
uint64_t fl_visit_order(const struct fl_visit *visit);
/* Queue one observation, its order set by the visit. */
void fl_visit_write(struct fl_visit *visit, const struct fl_observation *o);
/* Queue a line for people, skipped in replay: {"said": text, ...}. */
void fl_visit_say(struct fl_visit *visit, fl_time at, const char *kind,
		  const char *text);
/* Lines that could not be kept so far: dropped for want of room, or waiting
 * for a disk that refuses them now. */
uint64_t fl_visit_lost(const struct fl_visit *visit);
/* Write what waits, sync, unlock. False and *error: not everything was
 * written. */
bool fl_visit_close(struct fl_visit *visit, struct fl_error *error);

#endif
