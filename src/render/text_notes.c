/* text_notes.c -- what else was heard, and what could not be heard from where the
 * laptop was. */
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

/* Remarks that have a line of their own: "Not in the plan", the clock, and what
 * ears and ports counted. */
static bool has_a_line(const struct fl_answer_finding *f)
{
	static const char *const ids[] = {
		"not-in-plan", "clock-stepped", "frames-dropped-here", "errors-not-counted",
	};
	for (size_t i = 0; i < sizeof ids / sizeof ids[0]; i++)
		if (strcmp(f->id, ids[i]) == 0)
			return true;
	return false;
}

static void findings(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	size_t shown = 0, left = 0;
	for (size_t i = 0; i < a->finding_count; i++) {
		const struct fl_answer_finding *f = &a->findings[i];
		if (fl_is_told(a, f) || has_a_line(f))
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
	fl_section_ports(page);
	listening(page);
	cannot_see(page);
	warnings(page);
}
