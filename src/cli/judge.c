#include "cli/judge.h"

#include "base/checksum.h"
#include "diagnose/diagnose.h"
#include "source/capfile.h"
#include "tally/merge.h"
#include "tally/tally.h"
#include "visit/journal.h"
#include "visit/visit.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { ANSWER_ROOM = 64 << 20, PLAN_ROOM = 16 << 20, PLAN_OCTETS = 1 << 20 };
enum { MOST_WARNINGS = 64 };

/* One input: a capture with its tally, or a journal. */
struct input {
	const char *path;
	struct fl_capfile *file;
	struct fl_tally   *tally;
	struct fl_journal *journal;
	bool ended;
};

struct fl_judging {
	struct fl_region *region;    /* plan and warnings                    */
	struct fl_region *answer_region;
	struct fl_plan   *plan;
	struct fl_ledger *ledger;
	struct fl_merge  *merge;
	char              plan_sum[9];
	const char       *place;
	FILE             *journal;
	bool              journal_broken;
	struct fl_texts   warnings;
};

struct fl_judging *fl_judge_new(void)
{
	struct fl_judging *j = calloc(1, sizeof *j);
	if (!j)
		return NULL;
	j->region = fl_region_new(PLAN_ROOM);
	j->ledger = fl_ledger_new();
	if (j->region && j->ledger)
		return j;
	fl_judge_free(j);
	return NULL;
}

void fl_judge_free(struct fl_judging *j)
{
	if (!j)
		return;
	fl_merge_free(j->merge);
	fl_ledger_free(j->ledger);
	fl_region_free(j->answer_region);
	fl_region_free(j->region);
	free(j);
}

static void warn(struct fl_judging *j, const char *text)
{
	if (!j->warnings.at)
		j->warnings.at = fl_region_array(j->region, MOST_WARNINGS,
						 sizeof *j->warnings.at);
	if (j->warnings.at && j->warnings.n < MOST_WARNINGS)
		j->warnings.at[j->warnings.n++] = text;
}

static const char *told(struct fl_judging *j, const struct fl_error *e)
{
	if (e->system)
		return fl_region_format(j->region, "%s: %s (%s).", e->subject, e->rule,
					strerror(e->system));
	if (e->offset)
		return fl_region_format(j->region, "%s: at octet %" PRIu64 ": %s.",
					e->subject, e->offset, e->rule);
	return fl_region_format(j->region, "%s: %s.", e->subject, e->rule);
}

/* ---- the plan ---- */

/* The whole of a small file; NULL and an error. The caller frees it. */
static char *read_whole(const char *path, size_t *n, struct fl_error *error)
{
	const int fd = open(path, O_RDONLY | O_CLOEXEC);
	char *text = malloc(PLAN_OCTETS + 1);
	if (fd < 0 || !text) {
		fl_error_set(error, fd < 0 ? FL_SYSTEM : FL_NO_MEMORY, fd < 0 ? errno : 0,
			     0, "cannot be read", path);
		free(text);
		if (fd >= 0)
			close(fd);
		return NULL;
	}
	*n = 0;
	ssize_t got;
	do {
		got = read(fd, text + *n, PLAN_OCTETS + 1 - *n);
		*n += got > 0 ? (size_t)got : 0;
	} while ((got > 0 && *n <= PLAN_OCTETS) || (got < 0 && errno == EINTR));
	if (got < 0)
		fl_error_set(error, FL_SYSTEM, errno, 0, "cannot be read", path);
	else if (*n > PLAN_OCTETS)
		fl_error_set(error, FL_FULL, 0, PLAN_OCTETS, "a plan holds at most 1 MiB", path);
	close(fd);
	if (error->status == FL_OK)
		return text;
	free(text);
	return NULL;
}

bool fl_judge_plan_text(struct fl_judging *j, const char *path, char **text,
			size_t *n, struct fl_plan_faults *faults,
			struct fl_error *error)
{
	*text = read_whole(path, n, error);
	if (!*text)
		return false;
	j->plan = fl_plan_read(*text, *n, j->region, faults);
	(void)snprintf(j->plan_sum, sizeof j->plan_sum, "%08" PRIx32,
		       fl_fcs((const uint8_t *)*text, *n));
	return j->plan;
}

bool fl_judge_plan(struct fl_judging *j, const char *path,
		   struct fl_plan_faults *faults, struct fl_error *error)
{
	char *text;
	size_t n;
	const bool read = fl_judge_plan_text(j, path, &text, &n, faults, error);
	free(text);
	return read;
}

void fl_judge_missing(struct fl_judging *j, const char *name)
{
	j->plan = fl_plan_of_one(name, j->region);
}

bool fl_judge_at(struct fl_judging *j, const char *place, struct fl_plan_faults *faults)
{
	j->place = place;
	return !j->plan || fl_plan_seat(j->plan, place, j->region, faults);
}

const struct fl_plan *fl_judge_planned(const struct fl_judging *j)
{
	return j->plan;
}

/* ---- listening ---- */

void fl_judge_journal(struct fl_judging *j, FILE *out)
{
	j->journal = out;
	j->journal_broken = !fl_journal_begin(out, j->plan_sum);
}

bool fl_judge_journal_written(const struct fl_judging *j)
{
	return !j->journal_broken;
}

static void observe(void *context, const struct fl_observation *o)
{
	struct fl_judging *j = context;
	const struct fl_observer ledger = fl_ledger_observer(j->ledger);
	if (j->journal && !j->journal_broken)
		j->journal_broken = !fl_journal_write(j->journal, o);
	ledger.observe(ledger.context, o);
}

/* Its writer was killed before its first line, which says what it is. */
static bool is_named_so(const char *path)
{
	static const char end[] = ".jsonl";
	const size_t n = strlen(path);
	return n >= sizeof end && strcmp(path + n - (sizeof end - 1), end) == 0;
}

/* A regular file that begins as a journal does; pipes are captures. */
static bool is_journal(const char *path)
{
	char first[16];
	const int fd = strcmp(path, "-") == 0 ? -1
		: open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
	if (fd < 0)
		return false;
	const bool seekable = lseek(fd, 0, SEEK_SET) == 0;
	const ssize_t n = seekable ? read(fd, first, sizeof first) : 0;
	close(fd);
	return n > 0 ? fl_journal_begins(first, (size_t)n)
		     : n == 0 && seekable && is_named_so(path);
}

static const char *last_part(const char *path)
{
	const char *slash = strrchr(path, '/');
	return slash ? slash + 1 : path;
}

static bool open_input(struct fl_judging *j, struct input *in, const char *path,
		       struct fl_observer observer)
{
	struct fl_error error = { 0 };
	*in = (struct input){ .path = path };
	if (is_journal(path)) {
		in->journal = fl_journal_open(path, observer, &error);
	} else {
		in->tally = fl_tally_new(last_part(path), j->place, observer);
		if (in->tally) {
			fl_tally_log_words(in->tally, fl_plan_log_words(j->plan));
			const struct fl_frame_sink sink = fl_tally_sink(in->tally);
			in->file = fl_capfile_open(path, &sink, &error);
		} else {
			fl_error_set(&error, FL_NO_MEMORY, 0, 0, "no memory to read it", path);
		}
	}
	if (in->file || in->journal)
		return true;
	fl_tally_free(in->tally);
	in->tally = NULL;
	in->ended = true;
	warn(j, told(j, &error));
	return false;
}

static void pump(struct input *in)
{
	enum { BATCH = 256 };
	const enum fl_status status = in->journal
		? fl_journal_pump(in->journal, BATCH)
		: fl_capfile_pump(in->file, BATCH);
	if (status == FL_OK)
		return;
	if (in->tally)
		fl_tally_end(in->tally);
	in->ended = true;
}

static fl_time told_until(const struct input *in)
{
	return in->ended ? INT64_MAX
	     : in->journal ? fl_journal_told(in->journal) : fl_tally_told(in->tally);
}

static void tell_capture(struct fl_judging *j, const struct input *in)
{
	const struct fl_capfile_summary *s = fl_capfile_summary(in->file);
	const char *name = last_part(in->path);
	if (s->error.status != FL_OK)
		warn(j, fl_region_format(j->region,
			"%s: at octet %" PRIu64 ": %s; the %" PRIu64 " whole frames before "
			"it count.", name, s->error.offset, s->error.rule, s->frames));
	for (size_t i = 0; i < s->interfaces && i < 8; i++) {
		const struct fl_interface *f = &s->interface[i];
		if (f->frames && f->link != FL_LINK_ETHERNET &&
		    f->link != FL_LINK_COOKED && f->link != FL_LINK_COOKED2)
			warn(j, fl_region_format(j->region,
				"%s: %" PRIu64 " frames of %s (%u) were not read: only "
				"Ethernet is.", name, f->frames, fl_link_name(f->link),
				f->link));
	}
	if (s->untimed)
		warn(j, fl_region_format(j->region,
			"%s: %" PRIu64 " frames bear no time; no silence is judged by them.",
			name, s->untimed));
	if (s->sections_skipped)
		warn(j, fl_region_format(j->region,
			"%s: %" PRIu64 " sections of another version were not read.",
			name, s->sections_skipped));
}

static void tell_journal(struct fl_judging *j, const struct input *in)
{
	const struct fl_journal_summary *s = fl_journal_summary(in->journal);
	const char *name = last_part(in->path);
	if (s->error.status != FL_OK)
		warn(j, told(j, &s->error));
	if (s->torn)
		warn(j, fl_region_format(j->region,
			"%s: its last line is torn and was left out.", name));
	if (s->lines == 0 && s->skipped == 0 && s->error.status == FL_OK)
		warn(j, fl_region_format(j->region, "%s: it holds nothing yet.", name));
	if (s->skipped)
		warn(j, fl_region_format(j->region,
			"%s: %" PRIu64 " lines were not understood and left out.",
			name, s->skipped));
	if (s->gaps)
		warn(j, fl_region_format(j->region,
			"%s: lines are lost, doubled or moved at %" PRIu64 " places.",
			name, s->gaps));
}

static void close_input(struct fl_judging *j, struct input *in)
{
	if (in->file)
		tell_capture(j, in);
	if (in->journal)
		tell_journal(j, in);
	fl_capfile_close(in->file);
	fl_journal_close(in->journal);
	fl_tally_free(in->tally);
}

/* Always go on with the input that is farthest behind, and hand on what all
 * of them are past. */
static void run(struct fl_judging *j, struct input *inputs, size_t n)
{
	for (;;) {
		struct input *behind = NULL;
		fl_time least = INT64_MAX;
		for (size_t i = 0; i < n; i++)
			if (!inputs[i].ended && (!behind || told_until(&inputs[i]) < least)) {
				behind = &inputs[i];
				least = told_until(behind);
			}
		/* An input that has told nothing yet holds everything back. */
		if (j->merge && least > INT64_MIN)
			fl_merge_release(j->merge, behind ? least - 1 : INT64_MAX);
		if (!behind)
			return;
		pump(behind);
	}
}

size_t fl_judge_listen(struct fl_judging *j, const char *const *paths, size_t n)
{
	const struct fl_observer direct = { .context = j, .observe = observe };
	struct input *inputs = calloc(n ? n : 1, sizeof *inputs);
	size_t opened = 0;
	if (n > FL_MERGE_INPUTS) {
		warn(j, "At most 256 files are read at once; the others were left out.");
		n = FL_MERGE_INPUTS;
	}
	j->merge = n > 1 ? fl_merge_new(n, direct) : NULL;
	if (!inputs || (n > 1 && !j->merge)) {
		free(inputs);
		return 0;
	}
	for (size_t i = 0; i < n; i++)
		opened += open_input(j, &inputs[i], paths[i],
				     j->merge ? fl_merge_input(j->merge, i) : direct);
	run(j, inputs, n);
	for (size_t i = 0; i < n; i++)
		close_input(j, &inputs[i]);
	if (j->merge && fl_merge_full(j->merge))
		warn(j, "There were more streams than can be kept; some were left out.");
	free(inputs);
	return opened;
}

struct fl_observer fl_judge_observer(struct fl_judging *j)
{
	return fl_ledger_observer(j->ledger);
}

const char *fl_judge_place(const struct fl_judging *j)
{
	return j->place;
}

const char *fl_judge_plan_sum(const struct fl_judging *j)
{
	return j->plan_sum[0] ? j->plan_sum : NULL;
}

const struct fl_ledger *fl_judge_ledger(const struct fl_judging *j)
{
	return j->ledger;
}

struct fl_texts fl_judge_warnings(const struct fl_judging *j)
{
	return j->warnings;
}

const struct fl_answer *fl_judge_answer(struct fl_judging *j)
{
	fl_region_free(j->answer_region);
	j->answer_region = fl_region_new(ANSWER_ROOM);
	return j->answer_region
		? fl_diagnose(j->ledger, j->plan, j->warnings, j->answer_region) : NULL;
}
