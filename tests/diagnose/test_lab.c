/* test_lab.c -- captures of a lab boat of real daemons, held against the marks
 * of what was done to it. Skipped where the folder is not there. */
#include "marks.h"

#include "diagnose/diagnose.h"
#include "source/capfile.h"
#include "tally/tally.h"

#include <math.h>
#include <unistd.h>

/* What each mark must have done: the station that started anew within `within`
 * s after its mark, the one that said goodbye at it, the finding that follows;
 * all others neither start nor leave nor drop out. */
static const struct row {
	const char *file;
	const char *starts, *start_mark;
	double within;
	const char *leaves, *leave_mark;
	const char *finding;
} rows[] = {
	{ .file = "baseline" },
	{ .file = "pull" },                 /* 8 s without its cable: no start */
	{ .file = "flap" },
	{ .file = "loss" },
	{ .file = "laptop_pull" },
	{ .file = "reboot_full", .starts = "radar", .start_mark = "power on",
	  .within = 1 },
	{ .file = "reboot_clean", .starts = "sounder", .start_mark = "power on",
	  .within = 1, .leaves = "sounder", .leave_mark = "shutdown" },
	{ .file = "reboot_linkup", .starts = "display", .start_mark = "warm reboot",
	  .within = 12 },
	{ .file = "dupip", .finding = "address-conflict" },
};

/* How each station must be said to have come back, of those that sent a sign
 * of it; lab: what was done stands in the marks. FL_RETURNS: no sign was sent,
 * so nothing may be said. */
static const struct way_row {
	const char *file, *station, *mark;
	enum fl_return way;
	bool left;
} ways[] = {
	{ "pull", "radar", "replug", FL_OWN_LINK, false },
	{ "flap", "sounder", "flap up", FL_OWN_LINK, false },
	{ "reboot_full", "radar", "power on", FL_REBOOTED, false },
	/* They said goodbye: no episode, but how they came back is known. */
	{ "reboot_clean", "sounder", "power on", FL_REBOOTED, true },
	{ "reboot_linkup", "display", "display back", FL_REBOOTED, true },
	/* Its port swallowed what it said: spanning tree. */
	{ "pull_stp", "radar", "replug", FL_RETURNS, false },
	{ "laptop_pull", NULL, "replug", FL_RETURNS, false },
};

static struct fl_ledger *hear(const char *file)
{
	char path[512];
	struct fl_error error = { 0 };
	snprintf(path, sizeof path, FL_SHARED "/lab/%s.pcap", file);
	struct fl_ledger *ledger = fl_ledger_new();
	struct fl_tally *tally = fl_tally_new(file, NULL, fl_ledger_observer(ledger));
	const struct fl_frame_sink sink = fl_tally_sink(tally);
	struct fl_capfile *capture = fl_capfile_open(path, &sink, &error);
	assert_non_null(capture);
	while (fl_capfile_pump(capture, 256) == FL_OK)
		;
	assert_int_equal(fl_capfile_summary(capture)->error.status, FL_OK);
	fl_capfile_close(capture);
	fl_tally_end(tally);
	assert_int_equal(fl_tally_counts(tally)->bad_sums, 0);
	fl_tally_free(tally);
	return ledger;
}

static const char *name_of(const struct fl_ledger *ledger, struct fl_mac mac)
{
	const struct fl_station *s = fl_ledger_find(ledger, mac);
	return s && s->name_count ? s->names[0] : "?";
}

static void check_presence(const struct row *row, const char *name,
			   const struct fl_presence *p)
{
	const bool starts = row->starts && strcmp(name, row->starts) == 0;
	assert_int_equal(p->starts > 0, starts);
	if (starts) {
		const double mark = mark_of(row->file, row->start_mark);
		assert_true((double)p->last_start / 1e9 > mark);
		assert_true((double)p->last_start / 1e9 < mark + row->within + 16);
	}
	const bool leaves = row->leaves && strcmp(name, row->leaves) == 0;
	if (leaves)
		assert_true(fabs((double)p->last_leave / 1e9 -
				 mark_of(row->file, row->leave_mark)) < 1);
}

static void check(const struct row *row)
{
	struct fl_ledger *ledger = hear(row->file);
	size_t n, stations;
	const struct fl_presence *p = fl_ledger_presences(ledger, &n);
	unsigned named = 0;
	(void)fl_ledger_stations(ledger, &stations);
	for (size_t i = 0; i < n; i++) {
		const char *name = name_of(ledger, p[i].mac);
		named += strstr("radar sounder camera display", name) != NULL;
		if (!row->finding)
			check_presence(row, name, &p[i]);
	}
	assert_int_equal(named, 4);
	const struct fl_dropout *d = fl_ledger_dropouts(ledger, &n);
	for (size_t i = 0; i < n; i++)
		if (d[i].kind == FL_DROPOUT && !d[i].deaf)
			assert_true(row->starts &&
				    strcmp(name_of(ledger, p[d[i].presence].mac), row->starts) == 0);
	struct fl_region *region = fl_region_new(64 << 20);
	const struct fl_answer *a = fl_diagnose(ledger, NULL, (struct fl_texts){ 0 }, region);
	assert_non_null(a);
	bool found = false;
	for (size_t i = 0; i < a->finding_count; i++) {
		found |= row->finding && strcmp(a->findings[i].id, row->finding) == 0;
		assert_true(a->findings[i].severity != FL_FAULT || row->finding);
	}
	assert_int_equal(found, row->finding != NULL);
	fl_region_free(region);
	fl_ledger_free(ledger);
}

static void the_marks_are_what_the_ledger_says(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		print_message("%s\n", rows[i].file);
		check(&rows[i]);
	}
}

/* ---- ways back ---- */

enum { ANNOUNCED_EVERY = 5 };       /* s, all daemons of that lab */

struct frames {
	struct fl_frame *at;
	size_t n, room;
};

static void keep(void *context, const struct fl_frame *frames, size_t n)
{
	struct frames *all = context;
	for (size_t i = 0; i < n; i++) {
		if (all->n == all->room) {
			all->room = all->room ? 2 * all->room : 1024;
			all->at = realloc(all->at, all->room * sizeof *all->at);
			assert_non_null(all->at);
		}
		all->at[all->n] = frames[i];
		uint8_t *copy = malloc(frames[i].captured + 1);
		assert_non_null(copy);
		memcpy(copy, frames[i].at, frames[i].captured);
		all->at[all->n++].at = copy;
	}
}

static void keep_nothing(void *context, const struct fl_ear_event *event)
{
	(void)context, (void)event;
}

static struct frames read_frames(const char *file)
{
	char path[512];
	struct frames all = { 0 };
	struct fl_error error = { 0 };
	snprintf(path, sizeof path, FL_SHARED "/lab/%s.pcap", file);
	const struct fl_frame_sink sink = { .context = &all, .frames = keep,
					    .ear = keep_nothing };
	struct fl_capfile *capture = fl_capfile_open(path, &sink, &error);
	assert_non_null(capture);
	while (fl_capfile_pump(capture, 256) == FL_OK)
		;
	fl_capfile_close(capture);
	return all;
}

static void drop(struct frames *all)
{
	for (size_t i = 0; i < all->n; i++)
		free((void *)(uintptr_t)all->at[i].at);
	free(all->at);
}

/* The captures are too short for a beat to be known. What was heard in the
 * last interval before anything was done, many times before, is the quiet
 * boat that it was. */
static struct fl_ledger *hear_long(const char *file)
{
	char words[] = "";
	struct frames all = read_frames(file);
	struct fl_ledger *ledger = fl_ledger_new();
	struct fl_tally *tally = fl_tally_new(file, NULL, fl_ledger_observer(ledger));
	const struct fl_frame_sink sink = fl_tally_sink(tally);
	const fl_time first = (fl_time)(mark_of(file, words) * 1e9) - FL_SECOND / 2;
	const fl_time every = ANNOUNCED_EVERY * FL_SECOND;
	sink.ear(sink.context, &(struct fl_ear_event){
		.news = FL_EAR_OPENED, .link = FL_LINK_ETHERNET, .name = "lab" });
	for (fl_time back = 30; back > 0; back--)
		for (size_t i = 0; i < all.n; i++) {
			struct fl_frame f = all.at[i];
			if (f.time < first - every || f.time >= first)
				continue;
			f.time -= back * every;
			sink.frames(sink.context, &f, 1);
		}
	for (size_t i = 0; i < all.n; i++)
		if (all.at[i].time >= first - every)
			sink.frames(sink.context, &all.at[i], 1);
	fl_tally_end(tally);
	fl_tally_free(tally);
	drop(&all);
	return ledger;
}

/* Times that the station said goodbye and came back in that way; even chances
 * beforehand. */
static size_t left_and_back(const struct fl_ledger *ledger, const struct way_row *row)
{
	size_t n, presences, found = 0;
	const struct fl_dropout *d = fl_ledger_dropouts(ledger, &n);
	const struct fl_presence *p = fl_ledger_presences(ledger, &presences);
	for (size_t i = 0; i < n; i++) {
		double sum = 0;
		if (!d[i].left || strcmp(name_of(ledger, p[d[i].presence].mac), row->station))
			continue;
		for (size_t r = 0; r < FL_RETURNS; r++)
			sum += exp(d[i].returned[r]);
		assert_true(exp(d[i].returned[row->way]) / sum > 0.8);
		found++;
	}
	return found;
}

/* All that the station was away since the mark is told as what was done. */
static void check_way(const struct way_row *row)
{
	struct fl_ledger *ledger = hear_long(row->file);
	const fl_time mark = (fl_time)(mark_of(row->file, row->mark) * 1e9);
	struct fl_region *region = fl_region_new(64 << 20);
	const struct fl_answer *a = fl_diagnose(ledger, NULL, (struct fl_texts){ 0 }, region);
	assert_non_null(a);
	size_t named = row->left ? left_and_back(ledger, row) : 0;
	assert_true(!row->left || a->episode_count == 0);
	for (size_t i = 0; i < a->episode_count; i++) {
		const struct fl_answer_episode *e = &a->episodes[i];
		print_message("  %s\n", e->text);
		if (e->to && e->to < mark)
			continue;
		for (size_t k = 0; k < e->fell.n; k++) {
			assert_non_null(row->station);
			assert_non_null(strstr(e->fell.at[k], row->station));
		}
		if (row->way == FL_RETURNS)
			assert_true(e->cannot_tell > 0.9);
		else
			assert_true(e->returned[row->way] > 0.8);
		named++;
	}
	assert_true(named > 0 || row->way == FL_RETURNS);
	fl_region_free(region);
	fl_ledger_free(ledger);
}

static void a_way_back_is_named_as_what_was_done(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
		print_message("%s\n", ways[i].file);
		check_way(&ways[i]);
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(the_marks_are_what_the_ledger_says),
		cmocka_unit_test(a_way_back_is_named_as_what_was_done),
	};
	if (access(FL_SHARED "/lab/pull.pcap", R_OK) != 0) {
		puts("skipped: no lab captures here");
		return FL_SKIPPED;
	}
	return FL_RUN(tests);
}
