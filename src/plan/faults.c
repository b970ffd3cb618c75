/* faults.c -- what is wrong with a plan, and what would be right.
 *
 * Source  Wagner and Fischer, "The String-to-String Correction Problem",
 *         Journal of the ACM 21(1), 1974 (distance between two words)
 * Ceiling FL_PLAN_FAULTS; `more` then says that there were others
 */
#include "plan/reader.h"

#include <stdlib.h>

enum { QUOTED = 60, LONGEST = 32 };

static bool same_fault(const struct fl_plan_fault *f, struct fl_span where,
		       const char *text)
{
	return f->line == where.line && f->column == where.column &&
	       strcmp(f->text, text) == 0;
}

void fl_reader_fault(struct fl_reader *r, struct fl_span where,
		     const char *text, const char *remedy)
{
	struct fl_plan_faults *faults = r->faults;
	for (size_t i = 0; i < faults->n; i++)
		if (same_fault(&faults->at[i], where, text))
			return;
	if (faults->n == FL_PLAN_FAULTS) {
		faults->more = true;
		return;
	}
	faults->at[faults->n++] = (struct fl_plan_fault){
		where.line, where.column, text, remedy };
}

const char *fl_reader_quote(struct fl_reader *r, struct fl_span s)
{
	char folded[QUOTED], clean[FL_TEXT_MAX + 1];
	const size_t n = fl_span_fold(s, folded, sizeof folded);
	struct fl_cursor c = fl_cursor(folded, n < QUOTED ? n : QUOTED);
	(void)fl_text_clean(fl_rest(&c), clean);
	return fl_region_format(r->region, "'%s%s'", clean,
				n > QUOTED ? "..." : "");
}

/* One row of the table of distances at a time. */
static size_t distance(struct fl_span a, const char *b)
{
	size_t row[LONGEST + 1];
	const size_t n = strlen(b);
	if (n > LONGEST || a.n > LONGEST)
		return SIZE_MAX;
	for (size_t j = 0; j <= n; j++)
		row[j] = j;
	for (size_t i = 1; i <= a.n; i++) {
		size_t corner = row[0];
		row[0] = i;
		for (size_t j = 1; j <= n; j++) {
			const size_t above = row[j];
			const bool same = fl_lower(a.at[i - 1]) ==
					  fl_lower(b[j - 1]);
			size_t least = corner + !same;
			if (above + 1 < least)
				least = above + 1;
			if (row[j - 1] + 1 < least)
				least = row[j - 1] + 1;
			corner = above;
			row[j] = least;
		}
	}
	return row[n];
}

const char *fl_nearest(struct fl_span s, const char *const *candidates,
		       size_t n)
{
	const char *nearest = NULL;
	size_t least = s.n < 4 ? 2 : 3;   /* this far is another word */
	for (size_t i = 0; i < n; i++) {
		const size_t d = distance(s, candidates[i]);
		if (d < least) {
			least = d;
			nearest = candidates[i];
		}
	}
	return nearest;
}

const char *fl_reader_mean(struct fl_reader *r, struct fl_span s,
			   const char *const *candidates, size_t n,
			   const char *otherwise)
{
	const char *nearest = fl_nearest(s, candidates, n);
	return nearest ? FL_WORDS(r, "did you mean '%s'?", nearest) : otherwise;
}

static int by_place(const void *a, const void *b)
{
	const struct fl_plan_fault *x = a, *y = b;
	if (x->line != y->line)
		return x->line < y->line ? -1 : 1;
	if (x->column != y->column)
		return x->column < y->column ? -1 : 1;
	return strcmp(x->text, y->text);
}

void fl_faults_sort(struct fl_plan_faults *faults)
{
	qsort(faults->at, faults->n, sizeof faults->at[0], by_place);
}
