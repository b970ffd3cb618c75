/* text.c -- an answer as lines for a person: the answer first, then why, then
 * what to do, then what else was heard and what could not be.
 *
 * Promise no line is wider than 80 columns, or than the width asked for, and no meaning hangs on a colour;
 *         lines 1 to 3 say where, what and where to look
 */
#include "render/text.h"

#include "render/render.h"

#include <stdio.h>

bool fl_all_well(const struct fl_answer *answer)
{
	bool well = answer->planned && answer->firm && !answer->look &&
		    answer->device_count;
	for (size_t i = 0; i < answer->device_count; i++)
		well &= answer->devices[i].state == FL_STATE_HEARD;
	for (size_t i = 0; i < answer->finding_count; i++)
		well &= answer->findings[i].severity == FL_REMARK;
	return well;
}

/* The headline is the finding's own sentence, or has its subject in it. */
static bool headline_has(const char *what, const struct fl_answer_finding *f)
{
	const size_t n = strlen(what);
	const bool same = strncmp(f->text, what, n) == 0 &&
			  strcmp(f->text + n, ".") == 0;
	return same || (f->subject && *f->subject && strstr(what, f->subject));
}

/* The first finding that the headline has is its own; others of that kind may
 * stand in it too: "radar and camera are missing". */
bool fl_is_told(const struct fl_answer *answer,
		const struct fl_answer_finding *finding)
{
	for (size_t i = 0; answer->what && i < answer->finding_count; i++) {
		const struct fl_answer_finding *f = &answer->findings[i];
		if (f->severity != FL_REMARK && headline_has(answer->what, f))
			return strcmp(f->id, finding->id) == 0 &&
			       headline_has(answer->what, finding);
	}
	return false;
}

void fl_fold(struct fl_page *page, size_t column, size_t left, const char *noun)
{
	if (!left)
		return;
	fl_text_add(&page->lay.line, "and %zu more%s%s.", left, noun,
		    page->brief ? "" : "; --json lists all");
	fl_layout_flow(&page->lay, column);
}

/* "at lower switch 5", "in place of camera". */
static void add_seat(struct fl_text *line, const char *seat)
{
	if (!seat)
		fl_text_add(line, " at a place not told");
	else
		fl_text_add(line, "%s %s",
			    strncmp(seat, "in ", 3) ? " at" : "", seat);
}

/* What fairlead itself sent: nothing, but what it was told to ask. */
static void add_sent(struct fl_text *line, const struct fl_answer *a)
{
	uint32_t asked = 0;
	for (size_t i = 0; i < a->port_count; i++)
		asked += a->ports[i].asked;
	if (!a->live)
		fl_text_add(line, ", from a capture.");
	else if (asked)
		fl_text_add(line, ". fairlead asked %u address%s.", asked,
			    asked == 1 ? "" : "es");
	else
		fl_text_add(line, ". fairlead sent nothing.");
}

void fl_add_place(struct fl_text *line, const struct fl_answer *a)
{
	const bool named = a->segment && *a->segment;
	char length[FL_TIME_TEXT];
	fl_text_add(line, "%s%s %s", named ? a->segment : "",
		    named ? ": heard" : "Heard",
		    fl_time_length(a->listened, length));
	add_seat(line, a->seat);
}

void fl_section_head(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	struct fl_text *line = &page->lay.line;
	fl_add_place(line, a);
	add_sent(line, a);
	fl_layout_flow(&page->lay, 0);
}

/* ASCII only: a letter's other case in another script may be wider. */
static char upper(char c)
{
	return c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c;
}

static void add_upper(struct fl_text *line, const char *text)
{
	for (; *text; text++)
		fl_text_add(line, "%c", upper(*text));
	if (line->n && line->at[line->n - 1] != '.')
		fl_text_add(line, ".");
}

void fl_section_headline(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	struct fl_text *line = &page->lay.line;
	page->lay.gap = page->lay.lines < 2;   /* a long head keeps to line 2 */
	add_upper(line, a->what ? a->what : "");
	if (a->look)
		fl_text_add(line, "  Look first at %s.", a->look);
	else if (fl_all_well(a) && a->device_count == 1)
		fl_text_add(line, "  The one device of the plan is here.");
	else if (fl_all_well(a))
		fl_text_add(line, "  All %zu devices of the plan are here.",
			    a->device_count);
	fl_layout_flow(&page->lay, 0);
}

void fl_section_story(struct fl_page *page)
{
	const struct fl_texts *story = &page->answer->story;
	for (size_t i = 0; i < story->n; i++)
		fl_text_add(&page->lay.line, "%s%s", i ? " " : "",
			    story->at[i]);
	fl_layout_flow(&page->lay, 0);
}

/* "back: a plug." begins a line, so it gets a capital. */
static void add_sentence(struct fl_text *line, const char *text)
{
	if (text && *text)
		fl_text_add(line, "%s%c%s", line->n ? " " : "", upper(*text),
			    text + 1);
}

void fl_add_outcomes(struct fl_text *line, const struct fl_answer_step *step)
{
	add_sentence(line, step->if_better);
	add_sentence(line, step->if_not);
}

static void step_row(struct fl_page *page, size_t number,
		     const struct fl_answer_step *step)
{
	const size_t lacks = fl_page_lacks(page);
	char count[24], minutes[24];
	(void)snprintf(count, sizeof count, "%zu", number);
	(void)snprintf(minutes, sizeof minutes, "%d min", step->minutes);
	const struct fl_cell row[] = {
		{ 0, 3, count, true },
		{ 5, 44 - lacks, step->action, false },
		{ 49 - lacks, 8, minutes, true },
		{ 59 - lacks, 21, step->then, false },
	};
	fl_layout_row(&page->lay, row, 4);
	fl_add_outcomes(&page->lay.line, step);
	fl_layout_flow(&page->lay, 5);
}

void fl_section_steps(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	bool then = false;
	for (size_t i = 0; i < a->step_count; i++)
		then |= a->steps[i].then != NULL;
	const struct fl_cell head[] = {
		{ 0, 20, a->step_count ? "DO NEXT" : NULL, false },
		{ 59 - fl_page_lacks(page), 21, then ? "then tell me" : NULL, false },
	};
	fl_layout_row(&page->lay, head, 2);
	size_t i = 0;
	for (; i < a->step_count && i < FL_SHOWN_STEPS; i++)
		step_row(page, i + 1, &a->steps[i]);
	fl_fold(page, 5, a->step_count - i, "");
}

static const char *caution(const struct fl_answer *a, size_t i)
{
	const size_t n = a->cautions.n;
	return i < n ? a->cautions.at[i] : a->steps[i - n].caution;
}

static bool said_before(const struct fl_answer *a, size_t i)
{
	for (size_t k = 0; k < i; k++)
		if (caution(a, k) && strcmp(caution(a, k), caution(a, i)) == 0)
			return true;
	return false;
}

/* None is folded away, nor is one of a step that is: they keep hands whole. */
void fl_section_cautions(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	struct fl_text *line = &page->lay.line;
	for (size_t i = 0; i < a->cautions.n + a->step_count; i++)
		if (caution(a, i) && !said_before(a, i))
			fl_text_add(line, "%s%s", line->n ? " " : "Take care: ",
				    caution(a, i));
	fl_layout_flow(&page->lay, 0);
}

size_t fl_page_lacks(const struct fl_page *page)
{
	return FL_COLUMNS - page->lay.width;
}

static size_t fitting(size_t width)
{
	return width == 0 || width > FL_COLUMNS ? FL_COLUMNS
	     : width < FL_COLUMNS_LEAST ? FL_COLUMNS_LEAST : width;
}

bool fl_render_text(const struct fl_answer *answer, size_t width, struct fl_text *out)
{
	static void (*const sections[])(struct fl_page *) = {
		fl_section_head, fl_section_headline, fl_section_story,
		fl_section_suspects, fl_section_steps, fl_section_cautions,
		fl_section_episodes, fl_section_here, fl_section_notes,
	};
	struct fl_page page = { .answer = answer };
	const size_t n = sizeof sections / sizeof sections[0];
	const bool room = fl_layout_init(&page.lay, out);
	page.lay.width = fitting(width);
	for (size_t i = 0; room && i < n; i++) {
		page.lay.gap = true;
		sections[i](&page);
	}
	fl_layout_close(&page.lay);
	return room && !out->full;
}
