/* tail.c -- what stands in a journal that is to be gone on with.
 *
 * Source  man page fairlead-journal(5)
 * Refuses a file that is no journal, for it is somebody's; one of a newer
 *         version, whose rules are not known here
 * Ceiling only the first line and the last TAIL octets are read; where these
 *         hold no observation at all, `order` begins anew and replay tells
 */
#define _GNU_SOURCE   /* memrchr() */
#include "visit/inner.h"
#include "visit/rows.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { FIRST = 4096, TAIL = 2 * FL_JOURNAL_LINE };

static const char newer[] = "written by a newer fairlead; it is left as it is";
static const char foreign[] = "holds something else than a journal; it is left as it is";

/* n octets at `offset`, or as many as there are; -1 and errno. */
static ssize_t read_at(int fd, char *out, size_t n, off_t offset)
{
	size_t got = 0;
	while (got < n) {
		const ssize_t more = pread(fd, out + got, n - got, offset + (off_t)got);
		if (more < 0 && errno == EINTR)
			continue;
		if (more < 0)
			return -1;
		if (more == 0)
			break;
		got += (size_t)more;
	}
	return (ssize_t)got;
}

static bool is_newer(const json_t *j)
{
	return json_integer_value(json_object_get(j, "journal")) > FL_JOURNAL_VERSION;
}

/* The first line, whole or torn. A file that ends within it holds nothing. */
static bool first_line(const char *at, size_t n, struct fl_tail *tail,
		       enum fl_status *status, const char **rule)
{
	static const char begins[] = "{\"journal\":";
	const size_t known = n < sizeof begins - 1 ? n : sizeof begins - 1;
	const char *end = memchr(at, '\n', n);
	json_t *j = end ? json_loadb(at, (size_t)(end - at), 0, NULL) : NULL;
	*status = memcmp(at, begins, known) != 0 || (!end && n == FIRST) ? FL_MALFORMED
		: is_newer(j) ? FL_UNSUPPORTED : FL_OK;
	*rule = *status == FL_MALFORMED ? foreign : newer;
	tail->begun = end;
	json_decref(j);
	return *status == FL_OK;
}

/* True: this line ends the search for the last observation. */
static bool last_line(const char *at, size_t n, struct fl_tail *tail,
		      enum fl_status *status)
{
	json_t *j = json_loadb(at, n, 0, NULL);
	const json_t *order = json_object_get(j, "order");
	const json_int_t number = json_integer_value(order);
	const bool counts = json_is_integer(order) && !json_object_get(j, "said") &&
			    number >= 0 && number < INT64_MAX / 2;
	if (counts)
		tail->order = (uint64_t)number + 1;
	if (is_newer(j))
		*status = FL_UNSUPPORTED;
	json_decref(j);
	return counts || *status != FL_OK;
}

/* From the last whole line backwards. What stands before the first end of a
 * line in the piece may be cut, and is no object then. */
static void last_lines(const char *at, size_t n, struct fl_tail *tail,
		       enum fl_status *status)
{
	tail->torn = at[n - 1] != '\n';
	const char *end = memrchr(at, '\n', n);
	while (end) {
		const char *before = memrchr(at, '\n', (size_t)(end - at));
		const char *line = before ? before + 1 : at;
		if (last_line(line, (size_t)(end - line), tail, status))
			return;
		end = before;
	}
}

bool fl_tail_read(int fd, off_t size, struct fl_tail *tail,
		  enum fl_status *status, const char **rule)
{
	*tail = (struct fl_tail){ 0 };
	*status = FL_OK;
	if (size == 0)
		return true;
	char *at = malloc(TAIL);
	const off_t from = size > TAIL ? size - TAIL : 0;
	ssize_t n = at ? read_at(fd, at, FIRST, 0) : -1;
	if (n > 0 && first_line(at, (size_t)n, tail, status, rule) && tail->begun) {
		n = read_at(fd, at, TAIL, from);
		*rule = newer;
		if (n > 0)
			last_lines(at, (size_t)n, tail, status);
	}
	if (n <= 0) {
		*status = at ? FL_SYSTEM : FL_NO_MEMORY;
		*rule = "cannot be read";
	}
	free(at);
	return *status == FL_OK;
}
