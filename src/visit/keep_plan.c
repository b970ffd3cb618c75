/* keep_plan.c -- a visit keeps the plan that it was begun with. */
#include "visit/visit.h"

#include <errno.h>
#include <fcntl.h>
#include <unistd.h>

static bool copy(int from, int to)
{
	char some[4096];
	ssize_t n;
	while ((n = read(from, some, sizeof some)) > 0)
		if (write(to, some, (size_t)n) != n)
			return false;
	return n == 0;
}

bool fl_visit_keep_plan(const char *folder, const char *plan, struct fl_error *error)
{
	char path[FL_VISIT_PATH];
	if (!fl_visit_path(folder, FL_VISIT_PLAN, path)) {
		fl_error_set(error, FL_SYSTEM, ENAMETOOLONG, 0, "cannot be written", folder);
		return false;
	}
	const int to = open(path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0640);
	if (to < 0 && errno == EEXIST)
		return true;
	const int from = to < 0 ? -1 : open(plan, O_RDONLY | O_CLOEXEC);
	const bool kept = from >= 0 && copy(from, to) && fsync(to) == 0;
	const int why = errno;
	if (from >= 0)
		close(from);
	if (to >= 0)
		close(to);
	if (kept)
		return true;
	if (to >= 0)
		(void)unlink(path);   /* a plan cut short would be believed */
	fl_error_set(error, FL_SYSTEM, why, 0, "the plan cannot be kept in it", path);
	return false;
}
