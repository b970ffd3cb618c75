/* screen_blocks.c -- what the screen says in sentences: where and what, what a
 * silence means by now, the own port, the next step, what happened. */
#include "render/blocks.h"

#include <inttypes.h>

enum { CLOCK = 8, EVENTS_SHOWN = 200, PORTS_SHOWN = 3, UNSURE_SHOWN = 3 };

#define DOTS " ..."

bool fl_block_open(struct fl_block *block, const struct fl_screen *screen,
		   size_t width)
{
	*block = (struct fl_block){
		.screen = screen,
		.page = { .answer = screen->answer, .brief = true },
	};
	const bool text = fl_text_init(&block->text, FL_ROW_OCTETS);
	const bool layout = fl_layout_init(&block->page.lay, &block->text);
	block->page.lay.width = width;
	return text && layout;
}

void fl_block_close(struct fl_block *block)
{
	fl_layout_close(&block->page.lay);
	fl_text_close(&block->text);
}

static void end(struct fl_block *b) { fl_layout_flow(&b->page.lay, 0); }

/* A whole second more rather than none: "in 0 s" is now. */
static const char *left(fl_time time, char out[static FL_TIME_TEXT])
{
	return fl_time_length((time + FL_SECOND - 1) / FL_SECOND * FL_SECOND, out);
}

/* The clock stands at the right, if there is a column left for it. */
void fl_block_place(struct fl_block *b)
{
	const struct fl_screen *s = b->screen;
	struct fl_text *line = &b->page.lay.line;
	char t[FL_TIME_TEXT], clock[FL_TIME_TEXT];
	fl_add_place(line, s->answer);
	if (s->ports)
		fl_text_add(line, ", on %s", s->ports);
	fl_text_add(line, ".");
	if (s->ends_in > 0)
		fl_text_add(line, " It ends in %s.", left(s->ends_in, t));
	const size_t width = b->page.lay.width;
	const struct fl_cell row[] = {
		{ 0, width - CLOCK - 1, line->at, false },
		{ width - CLOCK, CLOCK, fl_time_clock(s->now, clock), false },
	};
	fl_layout_row(&b->page.lay, row, 2);
	fl_text_empty(line);
}

void fl_block_headline(struct fl_block *b) { fl_section_headline(&b->page); }

static bool is_unsure(const struct fl_answer_device *d)
{
	return d->state == FL_STATE_UNHEARD || d->state == FL_STATE_ASLEEP;
}

static bool anybody_keeps_a_beat(const struct fl_answer *a)
{
	for (size_t i = 0; i < a->device_count; i++)
		if (a->devices[i].due || (a->devices[i].ever_heard && a->devices[i].cadence))
			return true;
	for (size_t i = 0; i < a->station_count; i++)
		if (a->stations[i].cadence)
			return true;
	return false;
}

/* Why it is not said that a silence means something. */
static void add_unsure(struct fl_text *line, const struct fl_answer *a)
{
	size_t n = 0;
	if (!anybody_keeps_a_beat(a)) {
		fl_text_add(line, "Nobody here keeps a beat: a silence means "
			    "nothing yet.");
		return;
	}
	for (size_t i = 0; i < a->device_count; i++)
		if (is_unsure(&a->devices[i]) && n++ < UNSURE_SHOWN)
			fl_text_add(line, "%s%s", n > 1 ? ", " : "Of ", a->devices[i].name);
	if (n > UNSURE_SHOWN)
		fl_text_add(line, " and %zu more", n - UNSURE_SHOWN);
	fl_text_add(line, n ? ", never heard, a silence means nothing yet; of others it does."
			    : "A silence of those that keep a beat means something now.");
}

void fl_block_meaning(struct fl_block *b)
{
	const struct fl_screen *s = b->screen;
	struct fl_text *line = &b->page.lay.line;
	char t[FL_TIME_TEXT];
	if (s->firm_in > 0)
		fl_text_add(line, "A silence means something in %s.",
			    left(s->firm_in, t));
	else if (s->firm_in < 0)
		add_unsure(line, s->answer);
	else
		fl_text_add(line, "A silence means something now.");
	if (s->working)
		fl_text_add(line, " Work is on: what falls silent now is put "
			    "down to it.");
	end(b);
}

void fl_block_story(struct fl_block *b) { fl_section_story(&b->page); }
void fl_block_suspects(struct fl_block *b) { fl_section_suspects(&b->page); }
void fl_block_strangers(struct fl_block *b) { fl_section_strangers(&b->page); }

static void add_link(struct fl_text *line, const struct fl_answer_port *p)
{
	static const char *const duplex[] = {
		[FL_DUPLEX_UNKNOWN] = "", [FL_DUPLEX_HALF] = " half",
		[FL_DUPLEX_FULL] = " full",
	};
	if (!p->link)
		fl_text_add(line, "No link");
	else if (!p->mbit)
		fl_text_add(line, "Link, speed not known");
	else
		fl_text_add(line, "Link %" PRIu32 " Mbit/s%s", p->mbit,
			    duplex[p->duplex]);
}

static void add_flaps(struct fl_text *line, const struct fl_answer_port *p)
{
	char times[FL_TIMES_TEXT];
	if (!p->flaps_known)
		fl_text_add(line, ", losses not counted");
	else if (!p->flaps)
		fl_text_add(line, ", never lost");
	else
		fl_text_add(line, ", lost %s", fl_times(p->flaps, times));
}

/* By their own names: what one adapter counts twice another counts once, so
 * there is no sum. What is not counted is not zero. */
static void add_bad_frames(struct fl_text *line, const struct fl_answer_port *p)
{
	bool counted = false, any = false;
	for (unsigned c = FL_COUNT_CRC; c <= FL_COUNT_JABBERS; c++) {
		counted |= p->counted >> c & 1;
		if (!(p->counted >> c & 1) || !p->counts[c])
			continue;
		fl_text_add(line, "%s%" PRIu64 " %s", any ? ", " : "; bad: ",
			    p->counts[c], fl_counter_words((enum fl_counter)c));
		any = true;
	}
	if (!any)
		fl_text_add(line, counted ? "; no bad frames"
					  : "; bad frames not counted");
}

/* Short, so that it stands in one line of a narrow screen. */
void fl_block_ports(struct fl_block *b)
{
	const struct fl_answer *a = b->page.answer;
	struct fl_text *line = &b->page.lay.line;
	char t[FL_TIME_TEXT];
	size_t shown = 0, left = 0;
	for (size_t i = 0; i < a->port_count; i++) {
		const struct fl_answer_port *p = &a->ports[i];
		/* Of a switch's ports only those that are in trouble. */
		if (!p->own && !p->flaps && !p->error_frames)
			continue;
		if (shown++ >= PORTS_SHOWN) {
			left++;
			continue;
		}
		if (a->port_count > 1 || !p->own)
			fl_text_add(line, "%s: ", p->name);
		add_link(line, p);
		add_flaps(line, p);
		add_bad_frames(line, p);
		if (p->without_link > 0 && b->page.lay.width >= FL_COLUMNS)
			fl_text_add(line, "; %s without link",
				    fl_time_length(p->without_link, t));
		fl_text_add(line, ".");
		end(b);
	}
	fl_fold(&b->page, 0, left, " ports");
}

/* The care to be taken stands before what may be cut: it keeps hands whole. */
void fl_block_step(struct fl_block *b)
{
	const struct fl_answer *a = b->page.answer;
	struct fl_text *line = &b->page.lay.line;
	if (!a->step_count)
		return;
	const struct fl_answer_step *step = &a->steps[0];
	fl_text_add(line, "Do next (%d min): %s", step->minutes, step->action);
	if (step->caution || a->cautions.n)
		fl_text_add(line, " Take care:");
	if (step->caution)
		fl_text_add(line, " %s", step->caution);
	for (size_t i = 0; i < a->cautions.n; i++)
		fl_text_add(line, " %s", a->cautions.at[i]);
	fl_add_outcomes(line, step);
	end(b);
}

/* One a line, for how many happened is worth more than each to its end. */
void fl_block_events(struct fl_block *b)
{
	const struct fl_texts *list = b->screen->events;
	struct fl_layout *lay = &b->page.lay;
	const size_t n = list ? list->n : 0;
	for (size_t i = n > EVENTS_SHOWN ? n - EVENTS_SHOWN : 0; i < n; i++) {
		size_t used;
		fl_text_empty(&lay->clean);
		fl_clean_add(&lay->clean, list->at[i]);
		const size_t fits = fl_within(lay->clean.at, lay->width, &used);
		const bool cut = lay->clean.at[fits] != '\0';
		const size_t kept = cut ? fl_within(lay->clean.at,
				lay->width - strlen(DOTS), &used) : fits;
		fl_text_add(lay->out, "%.*s%s\n", (int)kept, lay->clean.at,
			    cut ? DOTS : "");
		lay->lines++;
	}
}

void fl_block_status(struct fl_block *b)
{
	if (b->screen->status)
		fl_text_add(&b->page.lay.line, "%s", b->screen->status);
	end(b);
}
