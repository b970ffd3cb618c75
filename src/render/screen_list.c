/* screen_list.c -- who is here, one a line, and more of the one that is
 * chosen: the devices of the plan, without one the stations heard. */
#include "render/blocks.h"

#include <inttypes.h>
#include <stdio.h>

enum { DETAIL = 4, DETAIL_SHOWN = 6 };

/* What is told is up to FL_LATENESS and a second old. */
#define JUST_NOW (2500 * FL_MILLISECOND)

/* One line that is being made: pieces that do not fit are left out. */
struct entry {
	struct fl_block *block;
	size_t column;
	bool first;
};

static struct entry begin_entry(struct fl_block *b, bool chosen, const char *name)
{
	struct fl_layout *lay = &b->page.lay;
	const size_t who = lay->width < 80 ? 14 : lay->width < 120 ? 24 : 36;
	size_t used;
	fl_text_empty(&lay->clean);
	fl_clean_add(&lay->clean, name);
	const size_t n = fl_within(lay->clean.at, who, &used);
	fl_text_add(lay->out, "%c %.*s%*s", chosen ? '>' : ' ', (int)n,
		    lay->clean.at, (int)(who - used + 2), "");
	return (struct entry){ b, who + 4, true };
}

static void add_piece(struct entry *e, const char *text)
{
	struct fl_layout *lay = &e->block->page.lay;
	fl_text_empty(&lay->clean);
	fl_clean_add(&lay->clean, text ? text : "");
	size_t columns;
	(void)fl_within(lay->clean.at, SIZE_MAX, &columns);
	const size_t comma = e->first ? 0 : 2;
	if (!columns || e->column + comma + columns > lay->width)
		return;
	fl_text_add(lay->out, "%s%s", comma ? ", " : "", lay->clean.at);
	e->column += comma + columns;
	e->first = false;
}

static void end_entry(struct entry *e)
{
	fl_text_add(e->block->page.lay.out, "\n");
	e->block->page.lay.lines++;
}

static void add_age(struct entry *e, fl_time last)
{
	char t[FL_TIME_TEXT], piece[80] = "last heard just now";
	const fl_time age = e->block->screen->now - last;
	if (age >= JUST_NOW)
		(void)snprintf(piece, sizeof piece, "last heard %s ago",
			       fl_time_length(age, t));
	add_piece(e, piece);
}

static void device_line(struct fl_block *b, const struct fl_answer_device *d,
			bool chosen)
{
	char piece[80] = "away once";
	struct entry e = begin_entry(b, chosen, d->name);
	add_piece(&e, fl_state_words(d->state));
	if (d->ever_heard)
		add_age(&e, d->last_heard);
	if (d->dropout_count > 1)
		(void)snprintf(piece, sizeof piece, "away %zu times",
			       d->dropout_count);
	add_piece(&e, d->dropout_count ? piece : NULL);
	(void)snprintf(piece, sizeof piece, "heard %" PRIu64 " of %" PRIu64
		       " due", d->heard, d->due);
	add_piece(&e, d->due ? piece : NULL);
	end_entry(&e);
}

static void detail(struct fl_block *b) { fl_layout_flow(&b->page.lay, DETAIL); }

static void add_more(struct fl_text *line, size_t n)
{
	if (n > DETAIL_SHOWN)
		fl_text_add(line, " and %zu more", n - DETAIL_SHOWN);
}

static void addresses(struct fl_block *b, const struct fl_mac *macs, size_t mac_count,
		      const struct fl_ip *ips, size_t ip_count)
{
	struct fl_text *line = &b->page.lay.line;
	char mac[FL_MAC_TEXT], ip[FL_IP_TEXT];
	for (size_t i = 0; i < mac_count && i < DETAIL_SHOWN; i++)
		fl_text_add(line, "%s%s", i ? ", " : "MAC ",
			    fl_mac_text(macs[i], mac));
	add_more(line, mac_count);
	for (size_t i = 0; i < ip_count && i < DETAIL_SHOWN; i++)
		fl_text_add(line, "%s%s", i ? ", " : line->n ? "; address "
				: "Address ", fl_ip_text(ips[i], ip));
	add_more(line, ip_count);
	if (line->n)
		fl_text_add(line, ".");
	detail(b);
}

static void add_beat(struct fl_text *line, fl_time cadence)
{
	char t[FL_TIME_TEXT];
	if (cadence)
		fl_text_add(line, "Sends every %s", fl_time_interval(cadence, t));
	else
		fl_text_add(line, "Keeps no beat that is known");
}

/* The newest first. */
static void absences(struct fl_block *b, const struct fl_answer_device *d)
{
	struct fl_text *line = &b->page.lay.line;
	char from[FL_TIME_TEXT], length[FL_TIME_TEXT];
	for (size_t i = 0; i < d->dropout_count && i < DETAIL_SHOWN; i++) {
		const struct fl_answer_dropout *o =
			&d->dropouts[d->dropout_count - 1 - i];
		fl_text_add(line, "%s%s", i ? ", " : "Away from ",
			    fl_time_clock(o->from, from));
		if (o->to)
			fl_text_add(line, " for %s (%s)",
				    fl_time_interval(o->to - o->from, length),
				    fl_way_words(o->way));
		else
			fl_text_add(line, " until now");
	}
	add_more(line, d->dropout_count);
	if (line->n)
		fl_text_add(line, ".");
	detail(b);
}

static void device_details(struct fl_block *b, const struct fl_answer_device *d)
{
	struct fl_text *line = &b->page.lay.line;
	char loss[FL_LOSS_TEXT];
	addresses(b, d->macs, d->mac_count, d->addresses, d->address_count);
	add_beat(line, d->cadence);
	if (d->due)
		fl_text_add(line, "; heard %" PRIu64 " of %" PRIu64 " due",
			    d->heard, d->due);
	fl_text_add(line, ".");
	if (d->software)
		fl_text_add(line, " Software %s.", d->software);
	if (d->loss.known)
		fl_text_add(line, " Lost on the way: %s.", fl_loss_text(&d->loss, loss));
	detail(b);
	absences(b, d);
}

static void station_line(struct fl_block *b, const struct fl_answer_station *s,
			 bool chosen)
{
	char mac[FL_MAC_TEXT];
	struct entry e = begin_entry(b, chosen, s->names.n ? s->names.at[0]
					: fl_mac_text(s->mac, mac));
	add_age(&e, s->last_heard);
	add_piece(&e, s->kind);
	add_piece(&e, s->model);
	add_piece(&e, s->guess);
	end_entry(&e);
}

static void station_details(struct fl_block *b, const struct fl_answer_station *s)
{
	struct fl_text *line = &b->page.lay.line;
	addresses(b, &s->mac, 1, s->addresses, s->address_count);
	add_beat(line, s->cadence);
	fl_text_add(line, "; %" PRIu64 " frames.", s->frames);
	for (size_t i = 0; i < s->services.n && i < DETAIL_SHOWN; i++)
		fl_text_add(line, "%s%s", i ? ", " : " Offers ",
			    s->services.at[i]);
	if (s->services.n)
		fl_text_add(line, ".");
	detail(b);
}

void fl_block_devices(struct fl_block *b)
{
	const struct fl_answer *a = b->page.answer;
	for (size_t i = 0; a->planned && i < a->device_count; i++) {
		const bool chosen = b->screen->chosen == (int)i;
		device_line(b, &a->devices[i], chosen);
		if (chosen)
			device_details(b, &a->devices[i]);
	}
	for (size_t i = 0; !a->planned && i < a->station_count; i++) {
		const bool chosen = b->screen->chosen == (int)i;
		station_line(b, &a->stations[i], chosen);
		if (chosen)
			station_details(b, &a->stations[i]);
	}
}
