/* privilege.h -- give up every right, for good, before the first frame.
 *
 *     open the ports             CAP_NET_RAW, or root
 *     fl_privilege_user()        sudo: become who called it
 *     open the visit's files     as that user
 *     fl_privilege_drop()        no capabilities, no new ones, no core dumps
 *     start the threads
 *     fl_privilege_seal()        only the system calls of the loop
 *
 * Source  capabilities(7), prctl(2) PR_SET_NO_NEW_PRIVS, seccomp(2)
 * Errors  false and *error: what could not be given up; the caller ends
 */
#ifndef FL_CLI_PRIVILEGE_H
#define FL_CLI_PRIVILEGE_H

#include "base/error.h"

#include <stdbool.h>
#include <stddef.h>

bool fl_privilege_user(struct fl_error *error);
bool fl_privilege_drop(struct fl_error *error);
bool fl_privilege_seal(struct fl_error *error);
/* The one line that gives the right to listen, or says why the right that the
 * file has does not take hold (a file system mounted nosuid, no_new_privs). */
const char *fl_privilege_remedy(char *out, size_t room);

#endif
