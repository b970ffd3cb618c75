/* wording.c -- the answer in one sentence, where to look, and the story. */
#include "diagnose/inner.h"

#include <stdio.h>
#include <string.h>

/* ---- what ---- */

static const char *without_stop(struct fl_case *c, const char *sentence)
{
	const size_t n = strlen(sentence);
	char *text = fl_region_text(c->region, sentence, n);
	if (text && n && text[n - 1] == '.')
		text[n - 1] = '\0';
	return text ? text : sentence;
}

static const char *devices_in(struct fl_case *c, const enum fl_state *states,
			      size_t state_count, size_t *n)
{
	const char *names[FL_PLAN_DEVICES];
	*n = 0;
	for (size_t i = 0; i < c->plan->device_count; i++)
		for (size_t k = 0; k < state_count; k++)
			if (c->standing[i].state == states[k] && !c->standing[i].left)
				names[(*n)++] = c->plan->devices[i].name;
	return fl_list(c, names, *n);
}

static const struct fl_answer_finding *worst(const struct fl_answer *a,
					     enum fl_severity severity)
{
	for (size_t i = 0; i < a->finding_count; i++)
		if (a->findings[i].severity == severity)
			return &a->findings[i];
	return NULL;
}

static const char *nobody_missing(struct fl_case *c)
{
	const struct fl_answer *a = c->answer;
	const struct fl_answer_finding *f = worst(a, FL_FAULT);
	if (!f)
		f = worst(a, FL_DOUBT);
	if (f)
		return without_stop(c, f->text);
	if (!a->planned)
		return fl_region_format(c->region, "%zu station%s heard, no plan to hold "
			"against", a->station_count, a->station_count == 1 ? "" : "s");
	if (!a->firm)
		return "nothing wrong heard, but not every device could be";
	return "nothing wrong heard";
}

static const char *what(struct fl_case *c)
{
	static const enum fl_state missing[] = { FL_STATE_SILENT, FL_STATE_ABSENT };
	static const enum fl_state unheard[] = { FL_STATE_UNHEARD, FL_STATE_ASLEEP };
	const struct fl_answer *a = c->answer;
	size_t n;
	if (!a->anything_heard)
		return "nothing heard";
	for (size_t i = 0; i < a->finding_count; i++)
		if (strcmp(a->findings[i].id, "other-network") == 0)
			return "this seems to be another network";
	const char *gone = devices_in(c, missing, 2, &n);
	const char *gone_are = n == 1 ? "is" : "are";
	size_t quiet;
	const char *names = devices_in(c, unheard, 2, &quiet);
	const char *names_are = quiet == 1 ? "is" : "are";
	if (n && quiet)
		return fl_region_format(c->region, "%s %s missing; %s %s not heard",
					gone, gone_are, names, names_are);
	if (n)
		return fl_region_format(c->region, "%s %s missing", gone, gone_are);
	if (worst(a, FL_FAULT))
		return without_stop(c, worst(a, FL_FAULT)->text);
	if (quiet)
		return fl_region_format(c->region, "%s %s not heard", names, names_are);
	return nobody_missing(c);
}

/* ---- where ---- */

static const char *run_words(struct fl_case *c, const struct fl_part *part)
{
	const struct fl_run *run = &c->plan->runs[part->index];
	const char *pieces[1 + FL_RUN_JOINTS] = { "its plugs" };
	for (size_t i = 0; i < run->joint_count; i++)
		pieces[1 + i] = run->joints[i];
	const char *name = run->name
		? fl_region_format(c->region, "cable %s", run->name)
		: fl_region_format(c->region, "the cable %s", part->text);
	return fl_region_format(c->region, "%s%s %s", name, run->joint_count ? "," : " and",
				fl_list(c, pieces, 1 + run->joint_count));
}

static const char *part_words(struct fl_case *c, const struct fl_part *part)
{
	switch (part->kind) {
	case FL_PART_RUN:    return run_words(c, part);
	case FL_PART_PORT:   return part->key;
	case FL_PART_LAPTOP: return "the laptop's own lead";
	case FL_PART_DEVICE: return fl_region_format(c->region, "%s itself", part->text);
	case FL_PART_FEED:
		return fl_region_format(c->region, "%s, its fuse and lead", part->text);
	case FL_PART_SWITCH:
	case FL_PART_SETTINGS:
	case FL_PART_FILTER: return part->text;
	}
	return part->text;
}

/* Equals in the order of the list, one that is likely by itself before all. */
static const char *join_words(struct fl_case *c, const char *const *words, size_t n,
			      double first)
{
	if (n == 1)
		return words[0];
	if (first >= 0.7)
		return fl_region_format(c->region, "%s; or, the same from here, %s%s%s",
			words[0], words[1], n > 2 ? "; or " : "", n > 2 ? words[2] : "");
	return n == 2
		? fl_region_format(c->region, "%s; or %s", words[0], words[1])
		: fl_region_format(c->region, "%s; %s; or %s", words[0], words[1], words[2]);
}

/* As many equals as two lines hold, and the step that parts them. */
static const char *look(struct fl_case *c)
{
	enum { NAMED = 3, TWO_LINES = 150 };
	const struct fl_answer *a = c->answer;
	const size_t room = TWO_LINES - strlen(".  Look first at .");
	const char *words[NAMED], *text = NULL;
	const struct fl_answer_suspect *first = NULL;
	size_t n = 0;
	for (size_t i = 0; i < a->suspect_count && n < NAMED; i++) {
		const struct fl_part *p = a->suspects[i].group == 0
			? fl_part_of(c, a->suspects[i].part) : NULL;
		if (!p)
			continue;
		first = first ? first : &a->suspects[i];
		words[n++] = part_words(c, p);
	}
	for (; n; n--) {
		text = join_words(c, words, n, first->probability);
		if (n > 1 && first->parted_by)
			text = fl_region_format(c->region, "%s (step %d parts them)", text,
						first->parted_by);
		if (strlen(a->what) + strlen(text) <= room)
			break;
	}
	return text;
}

/* Of a switch that told of it: the laptop's lead has no part in that. */
static bool is_far_port(const struct fl_answer *a, const char *subject)
{
	for (size_t i = 0; i < a->port_count; i++)
		if (!a->ports[i].own && strcmp(a->ports[i].name, subject) == 0)
			return true;
	return false;
}

/* Where no part of the graph is suspected, the finding says where to look. */
static const char *look_for_finding(struct fl_case *c)
{
	static const struct { const char *id, *look; } rows[] = {
		{ "nothing-heard", "the laptop's own lead, which is quickest; then the switch and "
		  "its supply" },
		{ "link-flaps", "the laptop's own lead, then the port it is in" },
		{ "duplex-mismatch", "the speed settings of both ends" },
		{ "link-half-duplex", "the speed settings of both ends" },
		{ "link-slow", "the pins of the laptop's lead, then the port it is in" },
		{ "port-errors", "the plugs and the cable at that port" },
		{ "traffic-loop", "a cable that joins two ports of the same switch" },
		{ "multicast-unqueried", "the group filtering of the switch" },
		{ "pause-flood", "the station that asks for quiet" },
		{ "late-forwarding", "the spanning-tree settings of the switch" },
		{ "other-network", "the plug the laptop is in, and the plan" },
		{ "address-conflict", "the address settings of both" },
		{ "two-address-servers", "the server that the plan does not name" },
		{ "address-requests-unanswered", "the address server: is it on and reached" },
		{ "self-assigned-address", "its address settings, and the address server" },
		{ "address-outside-network", "its address settings" },
		{ "traffic-storm", "a cable that joins two ports of the same switch" },
	};
	const struct fl_answer_finding *f = worst(c->answer, FL_FAULT);
	for (size_t i = 0; f && i < sizeof rows / sizeof rows[0]; i++)
		if (strcmp(f->id, rows[i].id) == 0)
			return is_far_port(c->answer, f->subject)
				? "the plugs and the cable at that port" : rows[i].look;
	return NULL;
}

/* ---- the story ---- */

static void tell_blinks(struct fl_case *c, size_t i)
{
	const struct fl_answer_device *d = &c->answer->devices[i];
	const struct fl_standing *s = &c->standing[i];
	fl_time least = INT64_MAX, most = 0;
	size_t n = 0;
	for (size_t k = 0; k < d->dropout_count; k++) {
		if (d->dropouts[k].to == 0)
			continue;
		const fl_time length = d->dropouts[k].to - d->dropouts[k].from;
		least = length < least ? length : least;
		most = length > most ? length : most;
		n++;
	}
	if (n == 0)
		return;
	char from[FL_TIME_TEXT], to[FL_TIME_TEXT], times[FL_TIMES_TEXT];
	fl_time_interval(least, from);
	fl_time_interval(most, to);
	const bool one = strcmp(from, to) == 0;
	const char *how = s->starts ? "started anew after" : "without a restart";
	fl_texts_add(c, &c->answer->story, fl_region_format(c->region,
		"Before that %s was away %s for %s%s%s, %s%s", d->name,
		fl_times(n, times), from, one ? "" : " to ", one ? "" : to,
		s->starts ? "and " : "", s->starts
			? fl_region_format(c->region, "%s %u of them: its supply, or it "
					   "restarts by itself.", how, s->starts)
			: fl_region_format(c->region, "%s: likely it kept its power and "
					   "lost its link.", how)));
}

static void tell_missing(struct fl_case *c)
{
	const struct fl_answer *a = c->answer;
	size_t told = 0;
	for (size_t i = 0; i < a->finding_count && told < 3; i++) {
		const struct fl_answer_finding *f = &a->findings[i];
		if (strcmp(f->id, "device-missing") != 0 || f->severity == FL_REMARK)
			continue;
		told++;
		const char *text = f->evidence.n ? f->evidence.at[0] : "";
		fl_texts_add(c, &c->answer->story, a->device_count > 1 && told > 0
			? fl_region_format(c->region, "%s: %c%s", f->subject,
				text[0] >= 'A' && text[0] <= 'Z' ? text[0] + 32 : text[0],
				text[0] ? text + 1 : "")
			: text);
		for (size_t d = 0; d < c->plan->device_count; d++)
			if (c->plan->devices[d].name == f->subject)
				tell_blinks(c, d);
	}
}

static void tell_evidence(struct fl_case *c)
{
	const struct fl_answer_finding *f = worst(c->answer, FL_FAULT);
	if (!f || c->answer->story.n)
		return;
	for (size_t i = 0; i < f->evidence.n && i < 4; i++)
		fl_texts_add(c, &c->answer->story, f->evidence.at[i]);
}

/* Time in which this ear was deaf, though somebody listened; named where there
 * are several. */
static void tell_deaf_ear(struct fl_case *c, uint16_t ear, const char *name)
{
	size_t spans, times = 0;
	const struct fl_deaf_span *deaf = fl_ledger_deaf(c->ledger, &spans);
	const struct fl_deaf_span *first = NULL;
	fl_time sum = 0;
	char length[FL_TIME_TEXT], at[FL_TIME_TEXT];
	for (size_t i = 0; i < spans; i++) {
		if (deaf[i].ear != ear || strcmp(deaf[i].why, FL_NOT_LISTENING) == 0)
			continue;
		first = first ? first : &deaf[i];
		sum += deaf[i].to - deaf[i].from;
		times++;
	}
	if (!first)
		return;
	const char *where = c->answer->ear_count > 1
		? fl_region_format(c->region, " at %s", name) : "";
	fl_time_clock(first->from, at);
	fl_time_lapse(sum, length);
	fl_texts_add(c, &c->answer->story, c->answer->live
		? fl_region_format(c->region,
			"%zu time%s, the first at %s, I could not hear%s (%s in all): %s. "
			"Nobody is called silent for it.",
			times, times == 1 ? "" : "s", at, where, length, first->why)
		: fl_region_format(c->region,
			"%zu time%s, the first at %s, nobody at all was heard%s (%s in all): "
			"the laptop's own lead or its switch; nobody is called silent for it.",
			times, times == 1 ? "" : "s", at, where, length));
}

static void tell_deaf(struct fl_case *c)
{
	size_t n;
	const struct fl_ear_state *ears = fl_ledger_ears(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		if (ears[i].ever)
			tell_deaf_ear(c, (uint16_t)i, ears[i].name);
}

static void tell_doubt(struct fl_case *c)
{
	const struct fl_answer *a = c->answer;
	if (a->suspect_count && a->no_fault >= 0.1)
		fl_texts_add(c, &c->answer->story,
			"Something may be wrong: listen longer before you swap parts.");
}

static bool crowded(const struct fl_case *c)
{
	size_t n;
	uint64_t crowd = fl_ledger_lost(c->ledger);
	const struct fl_ear_state *ears = fl_ledger_ears(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		crowd += ears[i].crowd;
	return crowd > 0;
}

/* What somebody wrote into the capture, or marked while listening. */
static void tell_notes(struct fl_case *c)
{
	enum { SHOWN = 3 };
	size_t n, acts, shown = 0;
	const struct fl_act *act = fl_ledger_acts(c->ledger, &acts);
	const struct fl_note *notes = fl_ledger_notes(c->ledger, &n);
	for (size_t i = 0; i < n && i < SHOWN; i++) {
		char at[FL_TIME_TEXT];
		fl_texts_add(c, &c->answer->story, fl_region_format(c->region,
			"Noted at %s: %s.", fl_time_clock(notes[i].at, at), notes[i].text));
	}
	for (size_t i = 0; i < acts && shown < SHOWN; i++) {
		char at[FL_TIME_TEXT];
		if (act[i].act != FL_HAND_MARK || !act[i].text[0])
			continue;
		shown++;
		fl_texts_add(c, &c->answer->story, fl_region_format(c->region,
			"Marked at %s: %s.", fl_time_clock(act[i].at, at), act[i].text));
	}
}

/* At every ear: of a live one its port tells, of a capture its frames. */
static bool errors_are_counted(const struct fl_answer *a)
{
	bool ears = a->ear_count > 0, ports = a->live;
	for (size_t i = 0; i < a->ear_count; i++)
		ears &= a->ears[i].errors_known;
	for (size_t i = 0; i < a->port_count; i++)
		ports &= !a->ports[i].own || a->ports[i].errors_counted;
	return ears || ports;
}

static void tell_limits(struct fl_case *c)
{
	struct fl_answer *a = c->answer;
	struct fl_texts *list = &a->cannot_see;
	const bool counted = errors_are_counted(a);
	fl_texts_add(c, list, counted ? "bad frames on other runs"
		     : a->wired ? "bad frames, here (not counted) or on other runs"
		     : "bad frames (not counted here)");
	fl_texts_add(c, list, "volts, lights and menus");
	fl_texts_add(c, list, "the way back to a device and what a display shows");
	if (!a->seat && a->wired)
		fl_texts_add(c, list, "where the laptop was joined (--at says it)");
	if (crowded(c))
		fl_texts_add(c, list, "stations too many to be kept apart");
	if (a->planned && !a->wired)
		fl_texts_add(c, list, "the wiring, which the plan does not tell");
}

void fl_word(struct fl_case *c)
{
	struct fl_answer *a = c->answer;
	a->what = what(c);
	a->look = a->anything_heard ? look(c) : NULL;
	if (!a->look)
		a->look = look_for_finding(c);
	tell_missing(c);
	tell_evidence(c);
	fl_tell_recurrence(c);
	tell_deaf(c);
	tell_doubt(c);
	tell_notes(c);
	fl_tell_hands(c);
	tell_limits(c);
}
