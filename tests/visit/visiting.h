/* visiting.h -- a visit in a folder that lives as long as one test. */
#ifndef FL_TESTS_VISIT_VISITING_H
#define FL_TESTS_VISIT_VISITING_H

#include "test.h"

#include "visit/journal.h"
#include "visit/visit.h"

#include <unistd.h>

/* Every test has a folder of its own, and takes it away again. */
static char folder[64];

static inline int make_folder(void **state)
{
	(void)state;
	(void)snprintf(folder, sizeof folder, "/tmp/fairlead-visit.XXXXXX");
	return mkdtemp(folder) ? 0 : -1;
}

static inline int take_folder(void **state)
{
	(void)state;
	char path[FL_VISIT_PATH];
	for (enum fl_visit_file f = FL_VISIT_PLAN; f <= FL_VISIT_HAND; f++)
		if (fl_visit_path(folder, f, path))
			(void)unlink(path);
	return rmdir(folder);
}

static inline const char *journal(void)
{
	static char path[FL_VISIT_PATH];
	assert_true(fl_visit_path(folder, FL_VISIT_JOURNAL, path));
	return path;
}

static inline struct fl_visit *opened(const char *sum)
{
	struct fl_error error = { 0 };
	struct fl_visit *v = fl_visit_open(folder, FL_VISIT_JOURNAL, sum, &error);
	if (!v)
		print_error("%s: %s\n", error.subject, error.rule);
	assert_non_null(v);
	return v;
}

static inline void closed(struct fl_visit *v)
{
	struct fl_error error = { 0 };
	assert_true(fl_visit_close(v, &error));
	assert_int_equal(error.status, FL_OK);
}

static inline struct fl_observation mark(fl_time at, const char *text)
{
	return (struct fl_observation){
		.kind = FL_OBSERVED_HAND, .from = at, .to = at,
		.hand = { .act = FL_HAND_MARK, .name = "", .text = text },
	};
}

static inline char *content(void)
{
	static char text[1 << 16];
	FILE *in = fopen(journal(), "re");
	assert_non_null(in);
	const size_t n = fread(text, 1, sizeof text - 1, in);
	fclose(in);
	text[n] = '\0';
	return text;
}

static inline void put_content(const char *text)
{
	FILE *out = fopen(journal(), "we");
	assert_non_null(out);
	assert_int_equal(fwrite(text, 1, strlen(text), out), strlen(text));
	assert_int_equal(fclose(out), 0);
}

/* What replay hands over: the times, in order. */
struct heard { size_t n; fl_time last; };

static inline void hear(void *context, const struct fl_observation *o)
{
	struct heard *h = context;
	h->n++;
	h->last = o->to;
}

static inline struct fl_journal_summary replayed(struct heard *h)
{
	struct fl_error error = { 0 };
	*h = (struct heard){ 0 };
	struct fl_journal *j = fl_journal_open(journal(),
		(struct fl_observer){ h, hear }, &error);
	assert_non_null(j);
	while (fl_journal_pump(j, 64) == FL_OK)
		;
	const struct fl_journal_summary s = *fl_journal_summary(j);
	fl_journal_close(j);
	return s;
}

#define IN_FOLDER(test) \
	cmocka_unit_test_setup_teardown(test, make_folder, take_folder)

#endif
