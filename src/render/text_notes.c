/* text_notes.c -- what else was heard, what was not counted, and what could
 * not be heard from where the laptop was. */
#include "render/text.h"

#include <inttypes.h>

static void end(struct fl_page *page) { fl_layout_flow(&page->lay, 0); }

/* The next name of a list in a sentence; false: enough were shown. */
static bool add_name(struct fl_text *line, size_t shown, const char *name)
{
	if (shown < FL_SHOWN_NAMES)
		fl_text_add(line, "%s%s", shown ? ", " : " ", name);
	return shown < FL_SHOWN_NAMES;
}

/* The headline is about this device. */
static bool told(const struct fl_answer *a, const struct fl_answer_device *d)
{
	for (size_t i = 0; i < a->finding_count; i++) {
		const struct fl_answer_finding *f = &a->findings[i];
		if (f->subject && strcmp(f->subject, d->name) == 0 &&
		    d->state != FL_STATE_HEARD && fl_is_told(a, f))
			return true;
	}
	return false;
}

static void state_line(struct fl_page *page, enum fl_state state)
{
	const struct fl_answer *a = page->answer;
	struct fl_text *line = &page->lay.line;
	const char *words = fl_state_words(state);
	size_t n = 0, shown = 0;
	for (size_t i = 0; i < a->device_count; i++) {
		if (a->devices[i].state != state || told(a, &a->devices[i]))
			continue;
		if (!n++)
			fl_text_add(line, "%c%s:", words[0] - 'a' + 'A',
				    words + 1);
		shown += add_name(line, shown, a->devices[i].name);
	}
	if (n > shown)
		fl_text_add(line, " and %zu more", n - shown);
	if (n)
		fl_text_add(line, " (%zu of %zu).", n, a->device_count);
	end(page);
}

static void states(struct fl_page *page)
{
	static const enum fl_state all[] = {
#define STATE(id, word, words, known) FL_STATE_##id,
#include "diagnose/states.def"
#undef STATE
	};
	const bool listed = fl_all_well(page->answer);   /* one a line, above */
	for (size_t i = 0; !listed && i < sizeof all / sizeof all[0]; i++)
		state_line(page, all[i]);
}

/* By name, else by the guess what it is, else by its MAC address. */
static void add_stranger(struct fl_text *line,
			 const struct fl_answer_station *s)
{
	char mac[FL_MAC_TEXT];
	const char *name = s->names.n ? s->names.at[0] :
			   s->guess ? NULL : fl_mac_text(s->mac, mac);
	fl_text_add(line, "%s%s%s", name ? name : "",
		    name && s->guess ? ", " : "", s->guess ? s->guess : "");
}

void fl_section_strangers(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	struct fl_text *line = &page->lay.line;
	size_t n = 0, shown = 0;
	for (size_t i = 0; i < a->station_count; i++)
		n += !a->stations[i].planned;
	if (!a->planned || !n)
		return;
	fl_text_add(line, "Not in the plan: %zu (", n);
	for (size_t i = 0; i < a->station_count; i++) {
		if (a->stations[i].planned || shown == FL_SHOWN_STRANGERS)
			continue;
		fl_text_add(line, "%s", shown++ ? "; " : "");
		add_stranger(line, &a->stations[i]);
	}
	if (n > shown)
		fl_text_add(line, "; and %zu more", n - shown);
	fl_text_add(line, ").");
	end(page);
}

/* The one finding that has a line of its own, "Not in the plan". */
static const char said_by_strangers[] = "not-in-plan";

static void findings(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	size_t shown = 0, left = 0;
	for (size_t i = 0; i < a->finding_count; i++) {
		const struct fl_answer_finding *f = &a->findings[i];
		if (fl_is_told(a, f) || strcmp(f->id, said_by_strangers) == 0)
			continue;
		if (shown == FL_SHOWN_NOTES) {
			left++;
			continue;
		}
		fl_text_add(&page->lay.line, "Also: %s", f->text);
		end(page);
		shown++;
	}
	fl_fold(page, 0, left, " findings");
}

static bool found_lost(const struct fl_answer *a, const struct fl_answer_device *d)
{
	for (size_t i = 0; i < a->finding_count; i++)
		if (strcmp(a->findings[i].id, "frames-lost") == 0 &&
		    strcmp(a->findings[i].subject, d->name) == 0)
			return true;
	return false;
}

/* Missing frames that are too few, or too rare, to be a finding, of those whom
 * the headline does not speak of. */
static void losses(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	char loss[FL_LOSS_TEXT];
	size_t shown = 0, left = 0;
	for (size_t i = 0; i < a->device_count; i++) {
		const struct fl_answer_device *d = &a->devices[i];
		if (d->loss.missed == 0 || found_lost(a, d) || told(a, d))
			continue;
		if (shown == FL_SHOWN_NOTES) {
			left++;
			continue;
		}
		fl_text_add(&page->lay.line, "Lost on the way: %s %s.", d->name,
			    fl_loss_text(&d->loss, loss));
		end(page);
		shown++;
	}
	fl_fold(page, 0, left, " devices with losses");
}

/* What the ear counted; "not counted" is never zero. */
static void ear_line(struct fl_page *page, const struct fl_answer_ear *e)
{
	struct fl_text *line = &page->lay.line;
	fl_text_add(line, "On %s: %" PRIu64 " frames, damaged ones ",
		    e->name, e->frames);
	if (e->errors_known || e->errors)
		fl_text_add(line, "%" PRIu64, e->errors);
	else
		fl_text_add(line, "not counted");
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

/* The laptop's own link: what it did, and what left it. */
static void port_line(struct fl_page *page, const struct fl_answer_port *p)
{
	struct fl_text *line = &page->lay.line;
	char length[FL_TIME_TEXT];
	const bool sent_known = p->counted >> FL_COUNT_SENT & 1;
	const uint64_t sent = p->counts[FL_COUNT_SENT];
	fl_text_add(line, "Own link %s: ", p->name);
	add_speed(line, p);
	if (!p->flaps_known)
		fl_text_add(line, ", losses not counted");
	else if (p->flaps)
		fl_text_add(line, ", lost %u time%s (%s)", p->flaps,
			    p->flaps == 1 ? "" : "s",
			    fl_time_interval(p->without_link, length));
	else
		fl_text_add(line, ", never lost");
	if (sent_known && sent > p->asked)
		fl_text_add(line, "; the laptop's system sent %" PRIu64 " frames, "
			    "fairlead ports says how to quiet it", sent - p->asked);
	else if (sent_known && !p->asked)
		fl_text_add(line, "; nothing was sent");
	fl_text_add(line, ".");
	end(page);
}

static void ports(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	const bool all = !a->planned || fl_all_well(a);
	for (size_t i = 0; i < a->port_count; i++) {
		const struct fl_answer_port *p = &a->ports[i];
		if (all || !p->link || p->flaps ||
		    p->counts[FL_COUNT_SENT] > p->asked)
			port_line(page, p);
	}
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

static void listening(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	struct fl_text *line = &page->lay.line;
	char t[FL_TIME_TEXT];
	if (a->clock_moved)
		fl_text_add(line, "The clock was moved by %s%s meanwhile. ",
			    a->clock_moved < 0 ? "-" : "",
			    fl_time_length(imaxabs(a->clock_moved), t));
	if (!a->live && a->anything_heard)
		fl_text_add(line, "Captured from %s on.",
			    fl_time_utc(a->from, t));
	end(page);
	if (fl_all_well(a))
		fl_text_add(line, "This speaks for %s and for the way to %s.",
			    fl_time_length(a->listened, t),
			    a->live ? "this port" : "where it was captured");
	end(page);
}

/* An item without its stop, to stand in a list. */
static void add_item(struct fl_text *line, const char *text)
{
	size_t n = strlen(text);
	if (n && text[n - 1] == '.')
		n--;
	fl_text_add(line, "%.*s", (int)n, text);
}

static void cannot_see(struct fl_page *page)
{
	const struct fl_texts *list = &page->answer->cannot_see;
	struct fl_text *line = &page->lay.line;
	for (size_t i = 0; i < list->n; i++) {
		fl_text_add(line, "%s", i ? ", " : "From here I cannot see: ");
		add_item(line, list->at[i]);
	}
	if (list->n)
		fl_text_add(line, ".");
	end(page);
}

static void warnings(struct fl_page *page)
{
	const struct fl_texts *list = &page->answer->warnings;
	size_t i = 0;
	for (; i < list->n && i < FL_SHOWN_NOTES; i++) {
		fl_text_add(&page->lay.line, "Input: %s", list->at[i]);
		end(page);
	}
	fl_fold(page, 0, list->n - i, " warnings");
}

void fl_section_notes(struct fl_page *page)
{
	states(page);
	fl_section_strangers(page);
	findings(page);
	losses(page);
	ears(page);
	ports(page);
	listening(page);
	cannot_see(page);
	warnings(page);
}
