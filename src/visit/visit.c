/* visit.c -- the files of a visit: made, locked, gone on with, closed.
 *
 * Two locks lie on a file that is written. flock(2) keeps others out: it dies
 * with the descriptor, and so with the process. The lock of fcntl(2) tells who
 * it is, by F_GETLK; it keeps nobody out, for it is lost when this process
 * closes any other descriptor of the file, as when it reads its own journal.
 * Then the holder is "another process", and still kept to be the only one.
 */
#include "visit/visit.h"
#include "visit/inner.h"
#include "visit/rows.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

enum { FOLDER_MODE = 0750, FILE_MODE = 0640 };   /* private traffic */

static const char *const names[] = {
	[FL_VISIT_PLAN] = "plan.ini", [FL_VISIT_JOURNAL] = "journal.jsonl",
	[FL_VISIT_HAND] = "hand.jsonl",
};

struct fl_visit {
	int       fd;
	char      path[FL_VISIT_PATH];
	uint64_t  order;
	struct fl_writer *writer;
};

bool fl_visit_path(const char *folder, enum fl_visit_file file,
		   char out[static FL_VISIT_PATH])
{
	const int n = snprintf(out, FL_VISIT_PATH, "%s/%s", folder, names[file]);
	return n > 0 && n < FL_VISIT_PATH;
}

bool fl_visit_has(const char *folder, enum fl_visit_file file)
{
	char path[FL_VISIT_PATH];
	return fl_visit_path(folder, file, path) && access(path, F_OK) == 0;
}

/* ---- opening ---- */

/* Who holds the file, as a rule that outlives the call. */
static const char *holder(int fd)
{
	static _Thread_local char text[64];
	struct flock held = { .l_type = F_WRLCK, .l_whence = SEEK_SET };
	const bool known = fcntl(fd, F_GETLK, &held) == 0 && held.l_type != F_UNLCK &&
			   held.l_pid > 0;
	(void)snprintf(text, sizeof text, known ? "process %ld writes it now"
		       : "another process writes it now", (long)held.l_pid);
	return text;
}

static bool lock(const struct fl_visit *v, struct fl_error *error)
{
	struct flock told = { .l_type = F_WRLCK, .l_whence = SEEK_SET };
	if (flock(v->fd, LOCK_EX | LOCK_NB) == 0) {
		(void)fcntl(v->fd, F_SETLK, &told);
		return true;
	}
	if (errno == EWOULDBLOCK)
		fl_error_set(error, FL_FULL, 0, 0, holder(v->fd), v->path);
	else
		fl_error_set(error, FL_SYSTEM, errno, 0, "cannot be locked", v->path);
	return false;
}

static bool write_whole(const struct fl_visit *v, const char *text, struct fl_error *error)
{
	size_t n = text ? strlen(text) : 0;
	while (n > 0) {
		const ssize_t went = write(v->fd, text, n);
		if (went < 0 && errno == EINTR)
			continue;
		if (went < 0) {
			fl_error_set(error, FL_SYSTEM, errno, 0, "cannot be written", v->path);
			return false;
		}
		text += went;
		n -= (size_t)went;
	}
	return true;
}

/* The first line is said in a new file, and again by each that goes on under a
 * plan, since the plan may be another. */
static bool put_first_line(const struct fl_visit *v, const struct fl_tail *tail,
			   const char *plan_sum, struct fl_error *error)
{
	if (tail->begun && !(plan_sum && plan_sum[0]))
		return true;
	char *line = fl_journal_first_line(plan_sum);
	if (!line)
		fl_error_set(error, FL_NO_MEMORY, 0, 0, "no memory to write it", v->path);
	const bool put = line && write_whole(v, line, error) && write_whole(v, "\n", error);
	free(line);
	return put;
}

static bool go_on(struct fl_visit *v, const char *plan_sum, struct fl_error *error)
{
	struct stat is;
	struct fl_tail tail;
	enum fl_status status;
	const char *rule;
	if (fstat(v->fd, &is) != 0 || !S_ISREG(is.st_mode)) {
		fl_error_set(error, FL_MALFORMED, 0, 0, "is no plain file", v->path);
		return false;
	}
	if (!fl_tail_read(v->fd, is.st_size, &tail, &status, &rule)) {
		fl_error_set(error, status, status == FL_SYSTEM ? errno : 0, 0, rule, v->path);
		return false;
	}
	v->order = tail.order;
	if (!tail.begun && ftruncate(v->fd, 0) != 0) {
		fl_error_set(error, FL_SYSTEM, errno, 0, "cannot be written", v->path);
		return false;
	}
	return write_whole(v, tail.torn ? "\n" : NULL, error) &&
	       put_first_line(v, &tail, plan_sum, error);
}

/* The descriptor is there: lock it and go on with what it holds. */
static struct fl_visit *begin(struct fl_visit *v, const char *plan_sum,
			      struct fl_error *error)
{
	if (lock(v, error) && go_on(v, plan_sum, error)) {
		v->writer = fl_writer_new(v->fd);
		if (v->writer)
			return v;
		fl_error_set(error, FL_NO_MEMORY, 0, 0, "no memory to write it", v->path);
	}
	close(v->fd);
	free(v);
	return NULL;
}

static struct fl_visit *refuse(struct fl_visit *v, int system, const char *rule,
			       const char *subject, struct fl_error *error)
{
	fl_error_set(error, v ? FL_SYSTEM : FL_NO_MEMORY, v ? system : 0, 0,
		     v ? rule : "no memory to write it", subject);
	free(v);
	return NULL;
}

struct fl_visit *fl_visit_open(const char *folder, enum fl_visit_file file,
			       const char *plan_sum, struct fl_error *error)
{
	struct fl_visit *v = calloc(1, sizeof *v);
	if (!v || !fl_visit_path(folder, file, v->path))
		return refuse(v, ENAMETOOLONG, "cannot be opened", folder, error);
	if (mkdir(folder, FOLDER_MODE) != 0 && errno != EEXIST)
		return refuse(v, errno, "the folder cannot be made", folder, error);
	const int at = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
	if (at < 0)
		return refuse(v, errno, "the folder cannot be opened", folder, error);
	v->fd = openat(at, names[file], O_RDWR | O_APPEND | O_CREAT | O_NOFOLLOW |
		       O_NONBLOCK | O_CLOEXEC, FILE_MODE);
	const int refused = v->fd < 0 ? errno : 0;
	if (!refused)
		(void)fsync(at);   /* the name of a new file lasts too */
	close(at);
	return refused ? refuse(v, refused, "cannot be written", v->path, error)
		       : begin(v, plan_sum, error);
}

struct fl_visit *fl_visit_open_file(const char *path, const char *plan_sum,
				    struct fl_error *error)
{
	struct fl_visit *v = calloc(1, sizeof *v);
	if (!v || snprintf(v->path, sizeof v->path, "%s", path) >= FL_VISIT_PATH)
		return refuse(v, ENAMETOOLONG, "cannot be opened", path, error);
	v->fd = open(path, O_RDWR | O_APPEND | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC,
		     FILE_MODE);
	return v->fd < 0 ? refuse(v, errno, "cannot be written", path, error)
			 : begin(v, plan_sum, error);
}

/* ---- writing ---- */

bool fl_visit_start(struct fl_visit *v, struct fl_error *error)
{
	const int refused = fl_writer_start(v->writer);
	if (refused)
		fl_error_set(error, FL_SYSTEM, refused, 0, "no thread to write it", v->path);
	return refused == 0;
}

uint64_t fl_visit_order(const struct fl_visit *v)
{
	return v->order;
}

void fl_visit_write(struct fl_visit *v, const struct fl_observation *o)
{
	struct fl_observation ordered = *o;
	/* A line that is lost leaves its place in the order, where replay sees it. */
	ordered.order = v->order++;
	char *line = fl_journal_line(&ordered);
	fl_writer_put(v->writer, line);
	free(line);
}

void fl_visit_say(struct fl_visit *v, fl_time at, const char *kind, const char *text)
{
	char *line = fl_journal_said_line(at, kind, text);
	fl_writer_put(v->writer, line);
	free(line);
}

uint64_t fl_visit_lost(const struct fl_visit *v)
{
	return fl_writer_lost(v->writer);
}

bool fl_visit_close(struct fl_visit *v, struct fl_error *error)
{
	int broken = 0;
	const uint64_t lost = fl_writer_close(v->writer, &broken);
	const int refused = close(v->fd) == 0 ? broken : errno;
	const bool whole = lost == 0 && refused == 0;
	if (!whole)
		fl_error_set(error, FL_SYSTEM, refused, 0, lost
			     ? "lines of it are lost; reading it tells where"
			     : "may not be on the disk whole", v->path);
	free(v);
	return whole;
}
