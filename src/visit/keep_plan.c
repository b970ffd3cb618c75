/* keep_plan.c -- a visit keeps the plan that it was begun with: the octets that
 * were judged by, whatever has become of their file. Under another name until
 * they are whole and on the disk, for a plan cut short would be believed.
 */
#include "visit/visit.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <unistd.h>

static bool put(int fd, const char *text, size_t n)
{
	while (n) {
		const ssize_t put = write(fd, text, n);
		if (put < 0 && errno != EINTR)
			return false;
		text += put > 0 ? put : 0;
		n -= put > 0 ? (size_t)put : 0;
	}
	return fsync(fd) == 0;
}

bool fl_visit_keep_plan(const char *folder, const char *text, size_t n,
			struct fl_error *error)
{
	char path[FL_VISIT_PATH], part[FL_VISIT_PATH + sizeof ".part"];
	if (!fl_visit_path(folder, FL_VISIT_PLAN, path)) {
		fl_error_set(error, FL_SYSTEM, ENAMETOOLONG, 0, "cannot be written", folder);
		return false;
	}
	if (fl_visit_has(folder, FL_VISIT_PLAN))
		return true;
	/* Who holds the visit's journal is alone here: another's part is left
	 * over. */
	(void)snprintf(part, sizeof part, "%s.part", path);
	const int fd = open(part, O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_NONBLOCK |
			    O_CLOEXEC, 0640);
	const bool whole = fd >= 0 && put(fd, text, n) && rename(part, path) == 0;
	const int why = errno;
	if (fd >= 0)
		close(fd);
	if (whole)
		return true;
	if (fd >= 0)
		(void)unlink(part);
	fl_error_set(error, FL_SYSTEM, why, 0, "the plan cannot be kept in it", path);
	return false;
}
