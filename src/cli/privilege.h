/* privilege.h -- give up every right, for good, before the first frame.
 *
 *     fl_privilege_caller()      a file that is set-user-ID: as who called it
 *     read plan, visit, captures
 *     fl_privilege_file()        ... and back
 *     open the ports             CAP_NET_RAW, or root
 *     fl_privilege_user()        sudo, set-user-ID: become who called it
 *     fl_privilege_drop()        no capabilities, no new ones, no core dumps
 *     open the visit's files     as that user, without any right of root
 *     start the threads
 *     fl_privilege_seal()        only the system calls of the loop
 *
 * A capability belongs to a thread, and a thread that began before would keep
 * what the others gave up (capabilities(7)): so threads start when nothing is
 * left. The seal reaches all of them, and makes a new one impossible.
 *
 * Source  capabilities(7), prctl(2) PR_SET_NO_NEW_PRIVS, seccomp(2)
 * Errors  false and *error: what could not be given up; the caller ends
 */
#ifndef FL_CLI_PRIVILEGE_H
#define FL_CLI_PRIVILEGE_H

#include "base/error.h"

#include <stdbool.h>
#include <stddef.h>

bool fl_privilege_caller(struct fl_error *error);
bool fl_privilege_file(struct fl_error *error);
bool fl_privilege_user(struct fl_error *error);
bool fl_privilege_drop(struct fl_error *error);
bool fl_privilege_seal(struct fl_error *error);
/* The one line that gives the right to listen, or says why the right that the
 * file has does not take hold (a file system mounted nosuid, no_new_privs). */
const char *fl_privilege_remedy(char *out, size_t room);

#endif
