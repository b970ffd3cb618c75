/* journal.c -- a journal's lines, written and read; rows.c says what stands in
 * them. */
#include "visit/rows.h"

#include <jansson.h>

#include <errno.h>
#include <stdlib.h>

struct fl_journal {
	FILE    *in;
	char    *line;
	const char *path;
	struct fl_observer observer;
	struct fl_journal_summary summary;
	struct fl_journal_room *room;
	fl_time  told;
	uint64_t octets, whole;      /* read; of them in whole lines         */
	uint64_t next;               /* `order` of the line to come          */
	bool     ended;
};

/* ---- writing ---- */

static bool put(FILE *out, char *line)
{
	const bool written = line && fputs(line, out) != EOF &&
			     fputc('\n', out) != EOF;
	free(line);
	return written;
}

bool fl_journal_begin(FILE *out, const char *plan_sum)
{
	return put(out, fl_journal_first_line(plan_sum));
}

bool fl_journal_write(FILE *out, const struct fl_observation *o)
{
	return put(out, fl_journal_line(o));
}

/* ---- reading ---- */

bool fl_journal_begins(const void *octets, size_t n)
{
	static const char first[] = "{\"journal\":";
	const size_t known = n < sizeof first - 1 ? n : sizeof first - 1;
	return known && memcmp(octets, first, known) == 0;
}

struct fl_journal *fl_journal_open(const char *path, struct fl_observer observer,
				   struct fl_error *error)
{
	struct fl_journal *f = calloc(1, sizeof *f);
	if (f) {
		f->observer = observer;
		f->told = INT64_MIN;
		f->path = path;
		f->line = malloc(FL_JOURNAL_LINE);
		f->room = calloc(1, sizeof *f->room);
	}
	if (!f || !f->line || !f->room) {
		fl_error_set(error, FL_NO_MEMORY, 0, 0, "no memory to read it", path);
		fl_journal_close(f);
		return NULL;
	}
	f->in = fopen(path, "re");
	if (!f->in) {
		fl_error_set(error, FL_SYSTEM, errno, 0, "cannot be opened", path);
		fl_journal_close(f);
		return NULL;
	}
	return f;
}

void fl_journal_close(struct fl_journal *f)
{
	if (!f)
		return;
	if (f->in)
		fclose(f->in);
	free(f->line);
	free(f->room);
	free(f);
}

static void hand_over(struct fl_journal *f, const json_t *j)
{
	struct fl_observation o;
	/* A line with "said" is for people: it was concluded, not heard. */
	if (json_object_get(j, "said"))
		return;
	const bool understood = fl_journal_observation(j, f->room, &o);
	/* A line that is not understood has its place in the order all the same. */
	if (understood || json_is_integer(json_object_get(j, "order"))) {
		f->summary.gaps += o.order != f->next;
		f->next = o.order + 1;
	}
	if (!understood) {
		f->summary.skipped++;
		return;
	}
	f->summary.lines++;
	if (o.kind == FL_OBSERVED_SECOND && o.to > f->told)
		f->told = o.to;
	f->observer.observe(f->observer.context, &o);
}

static enum fl_status take_line(struct fl_journal *f)
{
	if (!fgets(f->line, FL_JOURNAL_LINE, f->in))
		return FL_END;
	const size_t n = strlen(f->line);
	const uint64_t offset = f->octets;
	f->octets += n;
	if (n == 0 || f->line[n - 1] != '\n') {
		if (feof(f->in)) {
			f->summary.torn = true;
			return FL_END;
		}
		fl_error_set(&f->summary.error, FL_MALFORMED, 0, offset,
			     "a line of a journal is at most 1 MiB and holds no NUL",
			     f->path);
		return FL_MALFORMED;
	}
	f->whole = f->octets;
	json_t *j = json_loadb(f->line, n, JSON_REJECT_DUPLICATES, NULL);
	if (!json_is_object(j)) {
		f->summary.skipped++;
	} else if (!json_object_get(j, "journal")) {
		hand_over(f, j);
	} else if (json_integer_value(json_object_get(j, "journal")) > FL_JOURNAL_VERSION) {
		fl_error_set(&f->summary.error, FL_UNSUPPORTED, 0, offset,
			     "written by a newer fairlead: version 1 is read", f->path);
	}
	json_decref(j);
	return f->summary.error.status;
}

enum fl_status fl_journal_pump(struct fl_journal *f, size_t most)
{
	enum fl_status status = f->ended ? FL_END : FL_OK;
	for (size_t i = 0; i < most && status == FL_OK; i++)
		status = take_line(f);
	if (status != FL_OK) {
		f->ended = true;
		f->told = INT64_MAX;
	}
	return f->summary.error.status != FL_OK ? f->summary.error.status : status;
}

void fl_journal_go_on(struct fl_journal *f)
{
	if (f->summary.error.status != FL_OK ||
	    fseeko(f->in, (off_t)f->whole, SEEK_SET) != 0)
		return;
	f->octets = f->whole;
	f->summary.torn = f->ended = false;
}

fl_time fl_journal_told(const struct fl_journal *f)
{
	return f->told;
}

const struct fl_journal_summary *fl_journal_summary(const struct fl_journal *f)
{
	return &f->summary;
}
