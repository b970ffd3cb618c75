/* text_suspects.c -- the parts that may be at fault, best first, and those
 * that sound the same from here under one line.
 *
 * A probability is a judgement, so it is shown in tenths: "hardly" below one
 * in twenty, never more than nine in ten.
 */
#include "render/shares.h"
#include "render/text.h"

#include <stdio.h>
#include <stdlib.h>

#define HARDLY 0.05

/* The suspects, then two rows more: no fault, and a part not in the plan. */
struct rating {
	double  *share;
	unsigned *tenths;
	size_t   n;
};

static bool rate(struct rating *r, const struct fl_answer *a)
{
	r->n = a->suspect_count + 2;
	r->share = calloc(r->n, sizeof *r->share);
	r->tenths = calloc(r->n, sizeof *r->tenths);
	if (!r->share || !r->tenths)
		return false;
	for (size_t i = 0; i < a->suspect_count; i++)
		r->share[i] = a->suspects[i].probability;
	r->share[r->n - 2] = a->no_fault;
	r->share[r->n - 1] = a->other;
	for (size_t i = 0; i < r->n; i++)
		if (!(r->share[i] >= HARDLY))
			r->share[i] = 0;
	fl_shares(r->share, r->n, 10, r->tenths);
	return true;
}

static void rated_row(struct fl_page *page, size_t indent,
		      const struct rating *r, size_t i, const char *text)
{
	char likely[24];
	if (!(r->share[i] > 0))
		(void)snprintf(likely, sizeof likely, "hardly");
	else if (!r->tenths[i])
		(void)snprintf(likely, sizeof likely, "1 in 20");
	else
		(void)snprintf(likely, sizeof likely, "%u in 10",
			       r->tenths[i] < 9 ? r->tenths[i] : 9);
	const struct fl_cell row[] = {
		{ indent, 8, likely, false },
		{ indent + 9, page->lay.width - indent - 9, text, false },
	};
	fl_layout_row(&page->lay, row, 2);
}

/* A part that is hardly the one carries the reason why. */
static void suspect_row(struct fl_page *page, size_t indent,
			const struct rating *r, size_t i)
{
	const struct fl_answer_suspect *s = &page->answer->suspects[i];
	const bool why = !(r->share[i] > 0) && s->speaks_against.n;
	struct fl_text text;
	if (fl_text_init(&text, FL_ROW_OCTETS)) {
		fl_text_add(&text, "%s%s%s", s->text, why ? "; " : "",
			    why ? s->speaks_against.at[0] : "");
		rated_row(page, indent, r, i, text.at);
	}
	page->lay.out->full |= !text.at || text.full;
	fl_text_close(&text);
}

static size_t group_size(const struct fl_answer *a, int group)
{
	size_t n = 0;
	for (size_t i = 0; i < a->suspect_count; i++)
		n += a->suspects[i].group == group;
	return n;
}

static bool first_of_group(const struct fl_answer *a, size_t i)
{
	for (size_t k = 0; k < i; k++)
		if (a->suspects[k].group == a->suspects[i].group)
			return false;
	return true;
}

/* The group of suspect `i`; returns how many of it were shown. */
static size_t show_group(struct fl_page *page, const struct rating *r, size_t i,
			 size_t room)
{
	const struct fl_answer *a = page->answer;
	const size_t size = group_size(a, a->suspects[i].group);
	struct fl_text *line = &page->lay.line;
	if (size > 1) {
		fl_text_add(line, "these %zu sound the same from here", size);
		if (a->suspects[i].parted_by)
			fl_text_add(line, "; step %d parts them",
				    a->suspects[i].parted_by);
		fl_text_add(line, ":");
		fl_layout_flow(&page->lay, 2);
	}
	size_t shown = 0;
	for (size_t k = i; k < a->suspect_count && shown < room; k++)
		if (a->suspects[k].group == a->suspects[i].group) {
			suspect_row(page, size > 1 ? 4 : 2, r, k);
			shown++;
		}
	return shown;
}

static bool anyone_likely(const struct rating *r)
{
	for (size_t i = 0; i + 2 < r->n; i++)
		if (r->share[i] > 0)
			return true;
	return false;
}

static void show(struct fl_page *page, const struct rating *r)
{
	const struct fl_answer *a = page->answer;
	if (!anyone_likely(r))
		return;
	const size_t most = page->brief ? FL_BRIEF_SUSPECTS : FL_SHOWN_SUSPECTS;
	size_t room = most;
	for (size_t i = 0; i < a->suspect_count && room; i++)
		if (first_of_group(a, i))
			room -= show_group(page, r, i, room);
	fl_fold(page, 11, a->suspect_count - (most - room), "");
	if (r->share[r->n - 2] > 0)
		rated_row(page, 2, r, r->n - 2, "no part at fault: missed by chance");
	if (r->share[r->n - 1] > 0)
		rated_row(page, 2, r, r->n - 1,
			  "something that is not in the plan");
}

void fl_section_suspects(struct fl_page *page)
{
	struct rating r = { 0 };
	if (fl_all_well(page->answer))
		return;
	if (rate(&r, page->answer))
		show(page, &r);
	else
		page->lay.out->full = true;
	free(r.share);
	free(r.tenths);
}
