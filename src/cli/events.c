/* events.c -- what is new, by comparing with what was told.
 *
 * Dropouts of the ledger are appended to and mended, never moved, so what was
 * told of each is kept by its number. Those that turn out to be nobody's
 * (deaf) are told as a time in which nobody was heard.
 */
#include "cli/events.h"

#include "base/table.h"
#include "plan/plan.h"
#include "render/layout.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

enum { PORTS = 64, SENTENCE = 4096 };
#define SAME (2 * FL_SECOND)         /* one silence, heard of at two ears   */
#define GOES_ON (3 * FL_SECOND)      /* a piece of deaf time may follow yet */

struct event {
	fl_time at;
	char   *text;                /* owned                                */
};

struct known_port {
	char name[32];
	bool link;
	uint32_t mbit, flaps;
};

enum told { NOTHING, FELL, ALL };

struct fl_events {
	struct event kept[FL_EVENTS_KEPT];       /* in the order of telling  */
	const char  *by_time[FL_EVENTS_KEPT];
	size_t   n, untaken;                     /* untaken: the last of them */
	struct fl_text line, clean;
	uint8_t  dropouts[FL_LEDGER_DROPOUTS];   /* enum told                */
	size_t   deaf;
	bool     devices[FL_PLAN_DEVICES];       /* heard                    */
	struct fl_table strangers;               /* by MAC address           */
	struct known_port ports[PORTS];
	size_t   port_count;
	int64_t  clock_moved;
};

struct fl_events *fl_events_new(void)
{
	struct fl_events *e = calloc(1, sizeof *e);
	if (!e)
		return NULL;
	const bool line = fl_text_init(&e->line, SENTENCE);
	const bool clean = fl_text_init(&e->clean, SENTENCE);
	if (line && clean && fl_table_init(&e->strangers, FL_LEDGER_STATIONS,
			sizeof(struct fl_mac), sizeof(struct fl_mac)))
		return e;
	fl_events_free(e);
	return NULL;
}

void fl_events_free(struct fl_events *e)
{
	if (!e)
		return;
	for (size_t i = 0; i < e->n; i++)
		free(e->kept[i].text);
	fl_table_close(&e->strangers);
	fl_text_close(&e->line);
	fl_text_close(&e->clean);
	free(e);
}

/* ---- keeping ---- */

static void keep(struct fl_events *e, fl_time at, char *text)
{
	if (e->n == FL_EVENTS_KEPT) {
		free(e->kept[0].text);
		memmove(e->kept, e->kept + 1, --e->n * sizeof *e->kept);
	}
	e->kept[e->n++] = (struct event){ at, text };
	e->untaken += e->untaken < FL_EVENTS_KEPT;
	/* By time; of equal times the one told first. */
	size_t order[FL_EVENTS_KEPT];
	for (size_t i = 0; i < e->n; i++) {
		size_t k = i;
		for (; k && e->kept[order[k - 1]].at > e->kept[i].at; k--)
			order[k] = order[k - 1];
		order[k] = i;
	}
	for (size_t i = 0; i < e->n; i++)
		e->by_time[i] = e->kept[order[i]].text;
}

void fl_events_say(struct fl_events *e, fl_time at, const char *sentence)
{
	char clock[FL_TIME_TEXT];
	fl_text_empty(&e->clean);
	fl_text_add(&e->clean, "%s ", fl_time_clock(at, clock));
	fl_clean_add(&e->clean, sentence);
	char *text = strdup(e->clean.at);
	if (text)
		keep(e, at, text);
}

/* The same sentence about the same moment is the same event. */
static bool said(const struct fl_events *e, fl_time at)
{
	for (size_t i = e->n; i-- > 0;) {
		const fl_time apart = e->kept[i].at - at;
		const char *after_clock = strchr(e->kept[i].text, ' ');
		if (apart < SAME && apart > -SAME && after_clock &&
		    strcmp(after_clock + 1, e->clean.at) == 0)
			return true;
	}
	return false;
}

/* Say what stands in `line`. */
static void say_line(struct fl_events *e, fl_time at)
{
	fl_text_empty(&e->clean);
	fl_clean_add(&e->clean, e->line.at);
	if (!said(e, at))
		fl_events_say(e, at, e->line.at);
	fl_text_empty(&e->line);
}

struct fl_texts fl_events_texts(struct fl_events *e)
{
	return (struct fl_texts){ e->by_time, e->n };
}

const char *fl_events_take(struct fl_events *e)
{
	return e->untaken ? e->kept[e->n - e->untaken--].text : NULL;
}

/* ---- silences ---- */

struct look {
	struct fl_events *events;
	const struct fl_answer *answer;
	const struct fl_ledger *ledger;
	const struct fl_presence *presences;
	size_t presence_count;
};

/* As people know it: by the plan, by what it calls itself, by its address. */
static void add_name(struct look *l, struct fl_mac mac)
{
	const struct fl_answer *a = l->answer;
	char text[FL_MAC_TEXT];
	const char *name = fl_mac_text(mac, text);
	for (size_t i = 0; i < a->station_count; i++) {
		const struct fl_answer_station *s = &a->stations[i];
		if (fl_mac_equal(s->mac, mac))
			name = s->planned ? s->planned
			     : s->names.n ? s->names.at[0] : name;
	}
	fl_text_add(&l->events->line, "%s", name);
}

/* It goes on at another ear, so it is not silent. */
static bool heard_elsewhere(const struct look *l, const struct fl_dropout *d)
{
	const struct fl_mac mac = l->presences[d->presence].mac;
	for (size_t i = 0; i < l->presence_count; i++)
		if (i != d->presence && fl_mac_equal(l->presences[i].mac, mac) &&
		    l->presences[i].last > d->missed)
			return true;
	return false;
}

static void tell_fall(struct look *l, const struct fl_dropout *d)
{
	add_name(l, l->presences[d->presence].mac);
	fl_text_add(&l->events->line, d->left ? " said goodbye and fell silent."
					      : " fell silent.");
	say_line(l->events, d->last);
}

static void tell_return(struct look *l, const struct fl_dropout *d)
{
	char length[FL_TIME_TEXT];
	add_name(l, l->presences[d->presence].mac);
	fl_text_add(&l->events->line, " is heard again after %s%s.",
		    fl_time_length(d->first - d->last, length),
		    d->started ? ", started anew" : "");
	say_line(l->events, d->first);
}

static void tell_blink(struct look *l, const struct fl_dropout *d)
{
	char length[FL_TIME_TEXT];
	add_name(l, l->presences[d->presence].mac);
	fl_text_add(&l->events->line, " was away for %s%s.",
		    fl_time_interval(d->first - d->last, length),
		    d->started ? " and started anew" : "");
	say_line(l->events, d->last);
}

/* What is told of a dropout after this look. A blink of a station that still
 * starts may yet become a dropout, so it waits. */
static enum told tell_dropout(struct look *l, const struct fl_dropout *d,
			      enum told told)
{
	if (d->kind == FL_DROPOUT && !d->first && !d->deaf && told != FELL) {
		if (heard_elsewhere(l, d))
			return NOTHING;
		tell_fall(l, d);
		return FELL;
	}
	if (!d->first || told == ALL)
		return told;
	if (d->deaf || d->kind == FL_SOFT)
		return ALL;
	if (d->kind == FL_BLINK) {
		if (l->presences[d->presence].starting)
			return NOTHING;
		tell_blink(l, d);
		return ALL;
	}
	if (told == NOTHING && heard_elsewhere(l, d))
		return ALL;
	if (told == NOTHING)
		tell_fall(l, d);
	tell_return(l, d);
	return ALL;
}

static void look_at_dropouts(struct look *l)
{
	size_t n;
	const struct fl_dropout *all = fl_ledger_dropouts(l->ledger, &n);
	uint8_t *told = l->events->dropouts;
	for (size_t i = 0; i < n; i++)
		told[i] = (uint8_t)tell_dropout(l, &all[i], (enum told)told[i]);
}

static void look_at_deaf(struct look *l)
{
	size_t n;
	char length[FL_TIME_TEXT];
	struct fl_events *e = l->events;
	const struct fl_deaf_span *all = fl_ledger_deaf(l->ledger, &n);
	for (; e->deaf < n; e->deaf++) {
		const struct fl_deaf_span *d = &all[e->deaf];
		/* It comes in pieces, the last one when the second of its end is
		 * told, which is FL_LATENESS and a second behind. */
		if (d->to + GOES_ON > fl_ledger_to(l->ledger))
			return;
		const bool away = strcmp(d->why, FL_NOT_LISTENING) == 0;
		fl_text_add(&e->line, "%s for %s", away ? "did not listen" : "could not hear",
			    fl_time_lapse(d->to - d->from, length));
		if (*d->why && !away)
			fl_text_add(&e->line, " (%s)", d->why);
		fl_text_add(&e->line, ": nobody is called silent for it.");
		say_line(e, d->from);
	}
}

/* ---- who is here ---- */

static fl_time first_of_device(const struct fl_answer *a,
			       const struct fl_answer_device *d)
{
	fl_time first = d->last_heard;
	for (size_t i = 0; i < a->station_count; i++) {
		const struct fl_answer_station *s = &a->stations[i];
		if (s->planned && strcmp(s->planned, d->name) == 0 &&
		    s->first_heard < first)
			first = s->first_heard;
	}
	return first;
}

static void look_at_devices(struct look *l)
{
	const struct fl_answer *a = l->answer;
	struct fl_events *e = l->events;
	for (size_t i = 0; i < a->device_count && i < FL_PLAN_DEVICES; i++) {
		const struct fl_answer_device *d = &a->devices[i];
		if (!d->ever_heard || e->devices[i])
			continue;
		e->devices[i] = true;
		fl_text_add(&e->line, "first heard: %s.", d->name);
		say_line(e, first_of_device(a, d));
	}
}

static void look_at_strangers(struct look *l)
{
	const struct fl_answer *a = l->answer;
	struct fl_events *e = l->events;
	for (size_t i = 0; i < a->station_count; i++) {
		const struct fl_answer_station *s = &a->stations[i];
		bool added = false;
		if (s->planned || !fl_table_add(&e->strangers, &s->mac, &added) ||
		    !added)
			continue;
		fl_text_add(&e->line, a->planned ? "a station not in the plan: "
						 : "first heard: ");
		add_name(l, s->mac);
		fl_text_add(&e->line, "%s%s.", s->guess ? ", " : "",
			    s->guess ? s->guess : "");
		say_line(e, s->first_heard);
	}
}

/* ---- the own host ---- */

static void tell_link(struct fl_events *e, const struct known_port *before,
		      const struct fl_answer_port *now, fl_time at)
{
	const uint32_t flaps = now->flaps - before->flaps;
	struct fl_text *line = &e->line;
	if (now->flaps > before->flaps && now->link && before->link) {
		fl_text_add(line, "the link of %s went down and came back",
			    now->name);
		if (flaps > 1)
			fl_text_add(line, ", %" PRIu32 " times", flaps);
	} else if (now->link != before->link) {
		fl_text_add(line, "the link of %s %s", now->name,
			    now->link ? "came back" : "went down");
	} else if (now->link && now->mbit && before->mbit &&
		   now->mbit != before->mbit) {
		fl_text_add(line, "the link of %s now runs at %" PRIu32
			    " Mbit/s", now->name, now->mbit);
	}
	if (!line->n)
		return;
	fl_text_add(line, ".");
	fl_events_say(e, at, line->at);
	fl_text_empty(line);
}

static struct known_port *port_known(struct fl_events *e, const char *name)
{
	for (size_t i = 0; i < e->port_count; i++)
		if (strcmp(e->ports[i].name, name) == 0)
			return &e->ports[i];
	if (e->port_count == PORTS || strlen(name) >= sizeof e->ports[0].name)
		return NULL;
	struct known_port *p = &e->ports[e->port_count++];
	memcpy(p->name, name, strlen(name) + 1);
	return p;
}

static void look_at_ports(struct look *l)
{
	const struct fl_answer *a = l->answer;
	struct fl_events *e = l->events;
	for (size_t i = 0; i < a->port_count; i++) {
		const struct fl_answer_port *now = &a->ports[i];
		const size_t known = e->port_count;
		struct known_port *before = port_known(e, now->name);
		if (!before)
			continue;
		if (e->port_count == known) {
			tell_link(e, before, now, a->to);
		} else if (!now->link) {
			fl_text_add(&e->line, "%s has no link.", now->name);
			say_line(e, a->to);
		}
		before->link = now->link;
		before->flaps = now->flaps;
		before->mbit = now->mbit ? now->mbit : before->mbit;
	}
}

static void look_at_clock(struct look *l)
{
	struct fl_events *e = l->events;
	const int64_t step = l->answer->clock_moved - e->clock_moved;
	char length[FL_TIME_TEXT];
	if (step) {
		fl_text_add(&e->line, "the wall clock was set %s by %s.",
			    step < 0 ? "back" : "forward",
			    fl_time_length(imaxabs(step), length));
		fl_events_say(e, l->answer->to, e->line.at);
		fl_text_empty(&e->line);
	}
	e->clock_moved = l->answer->clock_moved;
}

void fl_events_look(struct fl_events *events, const struct fl_answer *answer,
		    const struct fl_ledger *ledger)
{
	struct look l = { .events = events, .answer = answer, .ledger = ledger };
	l.presences = fl_ledger_presences(ledger, &l.presence_count);
	look_at_devices(&l);
	look_at_strangers(&l);
	look_at_ports(&l);
	look_at_dropouts(&l);
	look_at_deaf(&l);
	look_at_clock(&l);
}
