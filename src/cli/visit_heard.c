#include "cli/visit_heard.h"

#include "visit/journal.h"
#include "visit/visit.h"

#include <stdlib.h>
#include <sys/stat.h>

enum { A_LOOK = 256 };               /* notes; the others the next time */

struct fl_hand_file {
	struct fl_journal *journal;  /* NULL: not there yet                  */
	struct fl_observer notes;
	char path[FL_VISIT_PATH];
};

bool fl_hear_visit(struct fl_judging *j, const char *folder)
{
	static const enum fl_visit_file files[] = { FL_VISIT_JOURNAL, FL_VISIT_HAND };
	char held[2][FL_VISIT_PATH];
	const char *paths[2];
	size_t n = 0;
	for (size_t i = 0; i < 2; i++)
		if (fl_visit_has(folder, files[i])) {
			if (!fl_visit_path(folder, files[i], held[n]))
				return false;
			paths[n] = held[n];
			n++;
		}
	return n == 0 || fl_judge_listen(j, paths, n) == n;
}

/* Only what a hand did is taken from a hand file. */
static void take(void *context, const struct fl_observation *o)
{
	struct fl_hand_file *hand = context;
	if (o->kind == FL_OBSERVED_HAND)
		hand->notes.observe(hand->notes.context, o);
}

struct fl_hand_file *fl_hand_follow(const char *folder, struct fl_observer notes)
{
	struct fl_hand_file *hand = calloc(1, sizeof *hand);
	if (hand && fl_visit_path(folder, FL_VISIT_HAND, hand->path)) {
		hand->notes = notes;
		return hand;
	}
	free(hand);
	return NULL;
}

/* A pipe of that name would be waited for. */
static bool is_there(const char *path)
{
	struct stat s;
	return stat(path, &s) == 0 && S_ISREG(s.st_mode);
}

void fl_hand_look(struct fl_hand_file *hand)
{
	struct fl_error error = { 0 };
	if (hand->journal)
		fl_journal_go_on(hand->journal);
	else if (is_there(hand->path))
		hand->journal = fl_journal_open(hand->path,
			(struct fl_observer){ hand, take }, &error);
	if (hand->journal)
		(void)fl_journal_pump(hand->journal, A_LOOK);
}

void fl_hand_free(struct fl_hand_file *hand)
{
	if (!hand)
		return;
	fl_journal_close(hand->journal);
	free(hand);
}
