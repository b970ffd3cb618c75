/* text_ports.c -- what ears and ports counted, a line each.
 *
 * A share stands with its limits, and what is not counted is never called
 * zero. An adapter may count one frame in two ways, so the kinds do not add up
 * to the number of damaged frames (RFC 3635).
 */
#include "render/text.h"

#include <inttypes.h>

static void end(struct fl_page *page) { fl_layout_flow(&page->lay, 0); }

/* "12 of 48210 frames damaged: 1.3 to 4.3 in 10 000": in such parts that the
 * upper limit is at least one of them. */
static void add_share(struct fl_text *line, uint64_t damaged, uint64_t frames,
		      double low, double high)
{
	static const struct { double parts; const char *words; } rows[] = {
		{ 1e2, "100" }, { 1e4, "10 000" }, { 1e6, "a million" },
		{ 1e9, "1000 million" },
	};
	enum { ROWS = sizeof rows / sizeof rows[0] };
	size_t i = 0;
	while (i < ROWS - 1 && high * rows[i].parts < 1)
		i++;
	fl_text_add(line, "%" PRIu64 " of %" PRIu64 " frames damaged: %.2g to %.2g in %s",
		    damaged, frames, low * rows[i].parts, high * rows[i].parts,
		    rows[i].words);
}

/* What the ear counted; "not counted" is never zero. */
static void ear_line(struct fl_page *page, const struct fl_answer_ear *e)
{
	struct fl_text *line = &page->lay.line;
	fl_text_add(line, "On %s: ", e->name);
	if (e->errors)
		add_share(line, e->errors, e->frames, e->error_low, e->error_high);
	else
		fl_text_add(line, "%" PRIu64 " frames, damaged ones %s", e->frames,
			    e->errors_known ? "0" : "not counted");
	if (e->lost)
		fl_text_add(line, ", %" PRIu64 " lost by the laptop", e->lost);
	if (e->own)
		fl_text_add(line, ", %" PRIu64 " sent by the laptop's system",
			    e->own);
	fl_text_add(line, ".");
	end(page);
}

static void add_speed(struct fl_text *line, const struct fl_answer_port *p)
{
	if (!p->link)
		fl_text_add(line, "no link now");
	else if (p->mbit)
		fl_text_add(line, "%u Mbit/s%s", p->mbit,
			    p->duplex == FL_DUPLEX_HALF ? " half duplex" :
			    p->duplex == FL_DUPLEX_FULL ? " full duplex" : "");
	else
		fl_text_add(line, "speed not told");
}

static void add_losses(struct fl_text *line, const struct fl_answer_port *p)
{
	char length[FL_TIME_TEXT], times[FL_TIMES_TEXT];
	if (!p->flaps_known)
		fl_text_add(line, ", losses not counted");
	else if (p->flaps)
		fl_text_add(line, ", lost %s (%s)", fl_times(p->flaps, times),
			    fl_time_interval(p->without_link, length));
	else
		fl_text_add(line, ", never lost");
}

/* Each kind by its own name; a bad check sum alone is what a damaged frame has. */
static void add_kinds(struct fl_text *line, const struct fl_answer_port *p)
{
	bool any = false;
	unsigned kinds = 0;
	for (unsigned c = FL_COUNT_CRC; c <= FL_COUNT_CARRIER; c++)   /* told apart */
		kinds |= (unsigned)(p->counts[c] != 0) << c;
	if (kinds == 1u << FL_COUNT_CRC)
		return;
	for (unsigned c = FL_COUNT_CRC; c <= FL_COUNT_CARRIER; c++) {
		if (!(p->counted >> c & 1) || !p->counts[c])
			continue;
		fl_text_add(line, "%s%" PRIu64 " %s", any ? ", " : " (", p->counts[c],
			    fl_counter_words((enum fl_counter)c));
		any = true;
	}
	if (any)
		fl_text_add(line, ")");
}

static void add_damage(struct fl_text *line, const struct fl_answer_port *p)
{
	const bool frames = p->counted >> FL_COUNT_RECEIVED & 1;
	if (!p->errors_counted)
		fl_text_add(line, "damaged frames not counted by this %s",
			    p->own ? "adapter" : "switch");
	else if (p->error_frames)
		add_share(line, p->error_frames,
			  p->counts[FL_COUNT_RECEIVED] + p->error_frames,
			  p->error_low, p->error_high);
	else if (frames)
		fl_text_add(line, "none of %" PRIu64 " frames damaged",
			    p->counts[FL_COUNT_RECEIVED]);
	else
		fl_text_add(line, "no frame damaged");
	add_kinds(line, p);
}

/* What left the laptop. */
static void add_sent(struct fl_text *line, const struct fl_answer_port *p,
		     const char *before)
{
	const bool known = p->counted >> FL_COUNT_SENT & 1;
	const uint64_t sent = p->counts[FL_COUNT_SENT];
	if (known && sent > p->asked)
		fl_text_add(line, "%sthe laptop's system sent %" PRIu64 " frames, "
			    "fairlead ports says how to quiet it", before,
			    sent - p->asked);
	else if (known && !p->asked)
		fl_text_add(line, "%snothing was sent", before);
}

/* Where there is better to tell, only what is in trouble. */
static void port_line(struct fl_page *page, const struct fl_answer_port *p, bool whole)
{
	struct fl_text *line = &page->lay.line;
	const char *between = "";
	fl_text_add(line, p->own ? "Own link %s" : "At %s", p->name);
	if (!p->own && p->station)
		fl_text_add(line, ", to %s", p->station);
	fl_text_add(line, ": ");
	if (whole || !p->link || p->flaps) {
		add_speed(line, p);
		add_losses(line, p);
		between = "; ";
	}
	if (whole || p->error_frames) {
		fl_text_add(line, "%s", between);
		add_damage(line, p);
		between = "; ";
	}
	if (p->own && (whole || p->counts[FL_COUNT_SENT] > p->asked))
		add_sent(line, p, between);
	fl_text_add(line, ".");
	end(page);
}

/* Own ports are told where nothing better is, or where they had a trouble;
 * those of switches only then. */
static bool is_shown(const struct fl_answer_port *p, bool whole)
{
	if (p->flaps || p->error_frames)
		return true;
	return p->own && (whole || !p->link || p->counts[FL_COUNT_SENT] > p->asked);
}

static void ports(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	const bool whole = !a->planned || fl_all_well(a);
	size_t shown = 0, left = 0;
	for (size_t i = 0; i < a->port_count; i++) {
		const struct fl_answer_port *p = &a->ports[i];
		if (!is_shown(p, whole))
			continue;
		if (shown < FL_SHOWN_NOTES) {
			port_line(page, p, whole);
			shown++;
		} else {
			left++;
		}
	}
	fl_fold(page, 0, left, " ports");
}

/* Ears are told where nothing better is, or where they counted a trouble. */
static void ears(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	const bool all = !a->planned || fl_all_well(a);
	size_t shown = 0, left = 0;
	for (size_t i = 0; i < a->ear_count; i++) {
		if (!all && !a->ears[i].errors && !a->ears[i].lost)
			continue;
		if (shown < FL_SHOWN_NOTES) {
			ear_line(page, &a->ears[i]);
			shown++;
		} else {
			left++;
		}
	}
	fl_fold(page, 0, left, " ears");
}

void fl_section_ports(struct fl_page *page)
{
	ears(page);
	ports(page);
}
