/* watch_show.c -- what is seen meanwhile: the screen, or a line an event. */
#include "cli/watching.h"

#include <errno.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void put_line(struct watch *w, const char *sentence)
{
	if (printf("%s\n", sentence) >= 0 && fflush(stdout) == 0)
		return;
	if (errno == EPIPE)
		fl_watch_stop(w);
}

/* A pipe whose reader has left, poll(2): the next event may be hours away. */
static bool is_read(void)
{
	struct pollfd out = { .fd = STDOUT_FILENO };
	return poll(&out, 1, 0) <= 0 || !(out.revents & POLLERR);
}

/* Each event once: to the journal for whoever reads it, and as a line where
 * there is no screen. */
void fl_watch_tell(struct watch *w)
{
	for (const char *event; (event = fl_events_take(w->events)) != NULL;) {
		if (w->visit)
			fl_visit_say(w->visit, fl_live_now(w->live), "event", event);
		if (w->order->lines && !w->terminal)
			put_line(w, event);
	}
	if (w->order->lines && !w->terminal && !is_read())
		fl_watch_stop(w);
}

static const char *wiggled_name(const struct watch *w, char *out, size_t room)
{
	const struct fl_plan *plan = fl_judge_planned(w->judging);
	if (!w->wiggled.link)
		return plan->devices[w->wiggled.device].name;
	(void)snprintf(out, room, "link of %s", w->order->ports[0]);
	return out;
}

static void draw_wiggle(struct watch *w, const struct fl_texts *events)
{
	char name[64], keys[200];
	const struct wiggled *g = &w->wiggled;
	const fl_time since = fl_live_now(w->live) - g->changed;
	fl_wiggle_draw(&(struct fl_wiggle){
		.name = wiggled_name(w, name, sizeof name),
		.heard = g->heard, .ever = g->ever, .deaf = g->deaf,
		.since = since, .losses = g->losses,
		.longest = fl_wiggle_longest(w),
		.events = events,
		.typed = w->keys.typing ? w->keys.typed : NULL,
		.keys = fl_keys_words(FL_KEYS_WIGGLE, keys, sizeof keys),
	}, &w->grid);
}

static void draw_screen(struct watch *w, const struct fl_texts *events)
{
	char keys[200];
	fl_screen_draw(&(struct fl_screen){
		.answer = w->answer, .ports = w->ports_text,
		.now = fl_live_now(w->live), .firm_in = fl_watch_firm_in(w),
		.ends_in = fl_watch_ends_in(w), .chosen = w->keys.chosen,
		.working = w->keys.working,
		.typed = w->keys.typing ? w->keys.typed : NULL, .events = events,
		.status = fl_watch_status(w),
		.keys = fl_keys_words(FL_KEYS_SCREEN, keys, sizeof keys),
	}, &w->grid);
}

static bool size_grid(struct watch *w)
{
	unsigned columns, rows;
	fl_terminal_size(w->terminal, &columns, &rows);
	if (w->grid.cells && columns == w->grid.columns && rows == w->grid.rows)
		return true;
	free(w->grid.cells);
	w->grid = (struct fl_grid){ columns, rows,
		calloc((size_t)columns * rows, sizeof *w->grid.cells) };
	return w->grid.cells;
}

void fl_watch_show(struct watch *w)
{
	const struct fl_texts events = fl_events_texts(w->events);
	if (!w->terminal || !w->answer || !size_grid(w))
		return;
	(w->order->wiggle ? draw_wiggle : draw_screen)(w, &events);
	if (!fl_terminal_show(w->terminal, &w->grid))
		fl_watch_stop(w);
}

/* The ring is what the kernel may hold while we are busy. */
static void say_ports(const struct watch *w)
{
	const size_t asks = fl_watch_to_ask(w);
	fputs("fairlead: listening at", stderr);
	for (size_t i = 0; i < w->order->port_count; i++) {
		fputs(i ? ", " : " ", stderr);
		fl_put_clean(stderr, w->order->ports[i]);
		fprintf(stderr, " (ring of %zu MiB)",
			fl_live_summary(w->live, w->ears[i])->ring >> 20);
	}
	if (asks)
		fprintf(stderr, "; it sends only\none question to each of %zu planned "
			"address%s.\n", asks, asks == 1 ? "" : "es");
	else
		fprintf(stderr, "; it sends nothing%s.\n", w->order->ask
			? ",\nfor no plan has an IPv4 address to ask" : "");
}

void fl_watch_say_begin(const struct watch *w)
{
	char length[FL_TIME_TEXT];
	say_ports(w);
	fprintf(stderr, "A silence means something in %s.\n",
		fl_time_length(w->within, length));
	if (w->unknown)
		fprintf(stderr, "Of %zu device%s it means nothing until heard: the plan has no "
			"cadence of %s that\nevery switch lets through.\n", w->unknown,
			w->unknown == 1 ? "" : "s", w->unknown == 1 ? "it" : "them");
	if (w->order->length)
		fprintf(stderr, "It ends in %s.\n", fl_time_length(w->order->length, length));
	else if (w->order->wiggle)
		fputs("It goes on until you end it.\n", stderr);
	else
		fprintf(stderr, "It ends when it is sure, or in %s.\n",
			fl_time_length(fl_watch_longest(w), length));
}
