/* visit_heard.h -- what a visit holds already, heard; and the notes of its hand
 * file, followed while somebody listens.
 *
 * Notes are of an hour of their own, and it does not matter when the ledger is
 * told of them (ledger.h): so they are not written into the journal of whoever
 * listens, and replay merges both files to the same answer.
 *
 * Source  man page fairlead-journal(5)
 * Owns    a follower owns its reader
 * Errors  a hand file that cannot be read is not followed, and tried again
 */
#ifndef FL_CLI_VISIT_HEARD_H
#define FL_CLI_VISIT_HEARD_H

#include "cli/judge.h"

/* Hear what the visit's journal and hand file hold, if it has any. False: they
 * are there and cannot be read, which is a warning. */
bool fl_hear_visit(struct fl_judging *judging, const char *folder);

struct fl_hand_file;

/* NULL: no memory. */
struct fl_hand_file *fl_hand_follow(const char *folder, struct fl_observer notes);
/* Hand over what was noted since the last call; the first time, all. */
void fl_hand_look(struct fl_hand_file *hand);
void fl_hand_free(struct fl_hand_file *hand);

#endif
