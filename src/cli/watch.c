/* watch.c -- the life of a watch: opened with rights, run without, closed. */
#include "cli/watching.h"

#include "cli/privilege.h"
#include "diagnose/firm.h"

#include <errno.h>
#include <pwd.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* How often one who wiggles is looked after: well within the 0.2 s in which a
 * loss must be told. */
enum { QUICK_MS = 50 };

/* ---- what comes in ---- */

static void observe(void *context, const struct fl_observation *o)
{
	struct watch *w = context;
	if (w->visit)
		fl_visit_write(w->visit, o);
	w->ledger.observe(w->ledger.context, o);
}

static void told_of_port(void *context, uint16_t ear, const struct fl_port *port)
{
	struct watch *w = context;
	const fl_time now = fl_live_now(w->live);
	for (size_t i = 0; i < w->order->port_count; i++)
		if (ear == w->ears[i])
			w->linked[i] = port->there && port->link;
	fl_live_told(w->live, ear, port);
	if (w->started)
		fl_tally_also(w->tally, &(struct fl_observation){
			.kind = FL_OBSERVED_PORT, .ear = ear, .to = now, .port = *port });
	fl_wiggle_look(w);
}

void fl_watch_say_hand(struct watch *w, fl_time at, enum fl_hand act, const char *text)
{
	char sentence[FL_TEXT_MAX + 32];
	if (act == FL_HAND_WORK)
		(void)snprintf(sentence, sizeof sentence, "work on the network: %s", text);
	else
		(void)snprintf(sentence, sizeof sentence, "mark%s%s", *text ? ": " : "", text);
	fl_events_say(w->events, at, sentence);
}

void fl_watch_hand(void *context, enum fl_hand act, const char *text)
{
	struct watch *w = context;
	const fl_time now = fl_live_now(w->live);
	fl_tally_also(w->tally, &(struct fl_observation){
		.kind = FL_OBSERVED_HAND, .to = now,
		.hand = { .act = act, .name = "", .text = text } });
	fl_watch_say_hand(w, now, act, text);
	fl_watch_tell(w);
}

static void on_second(uv_timer_t *timer)
{
	fl_watch_tick(timer->data);
}

static void on_quick(uv_timer_t *timer)
{
	struct watch *w = timer->data;
	fl_wiggle_look(w);
	fl_watch_show(w);
}

static void on_key(uv_poll_t *poll, int status, int events)
{
	struct watch *w = poll->data;
	int key = status < 0 ? FL_KEY_LOST : fl_terminal_key(w->terminal);
	(void)events;
	for (; key != FL_KEY_NONE && !w->keys.quit; key = fl_terminal_key(w->terminal)) {
		if (key == FL_KEY_LOST)
			w->keys.quit = true;
		else if (key == FL_KEY_RESIZED)
			fl_terminal_resize(w->terminal);
		else
			fl_keys_press(&w->keys, key);
	}
	if (w->keys.quit)
		fl_watch_stop(w);
	else
		fl_watch_show(w);
}

/* ---- opening ---- */

/* By then no right of root is left, so it is a plain user's folder or nobody's. */
static void say_who_may_write(void)
{
	const uid_t user = geteuid();
	const struct passwd *known = getpwuid(user);
	fprintf(stderr, "What to do: name a folder that user %s (%lu) may write; fairlead has "
		"given up\nevery right over the files of others.\n",
		known ? known->pw_name : "without a name", (unsigned long)user);
}

static enum fl_exit refuse(const struct watch *w, const struct fl_error *error)
{
	char remedy[512];
	const bool forbidden = error->status == FL_SYSTEM &&
			       (error->system == EPERM || error->system == EACCES);
	fl_say_error(error);
	if (forbidden && w->no_right)
		fprintf(stderr, "What to do: %s\n",
			fl_privilege_remedy(remedy, sizeof remedy));
	if (forbidden && w->not_kept)
		say_who_may_write();
	return FL_EXIT_SILENT;
}

static bool open_ports(struct watch *w, struct fl_error *error)
{
	for (size_t i = 0; i < w->order->port_count; i++)
		if (!fl_live_open(w->live, w->order->ports[i], w->ears[i], error))
			return false;
	return true;
}

static bool watch_ports(struct watch *w, struct fl_error *error)
{
	w->ports = fl_ports_open(&w->loop, "/sys", told_of_port, w, error);
	for (size_t i = 0; w->ports && i < w->order->port_count; i++)
		if (!fl_ports_watch(w->ports, w->order->ports[i], w->ears[i], error))
			return false;
	return w->ports;
}

static void name_ports(struct watch *w)
{
	size_t at = 0;
	for (size_t i = 0; i < w->order->port_count && at < sizeof w->ports_text; i++)
		at += (size_t)snprintf(w->ports_text + at, sizeof w->ports_text - at,
			"%s%s", i ? ", " : "", w->order->ports[i]);
}

static bool open_visit(struct watch *w, struct fl_error *error)
{
	const struct fl_watch_order *o = w->order;
	if (!o->visit)
		return true;
	w->visit = fl_visit_open(o->visit, FL_VISIT_JOURNAL,
				 fl_judge_plan_sum(w->judging), error);
	return w->visit && fl_visit_start(w->visit, error) &&
	       (!o->plan || fl_visit_keep_plan(o->visit, o->plan, o->plan_octets, error));
}

static void open_terminal(struct watch *w)
{
	struct fl_error error = { 0 };
	if (w->order->screen)
		w->terminal = fl_terminal_open(w->order->contrast, &error);
	w->keys = fl_keys_begin(w->order->wiggle ? FL_KEYS_WIGGLE : FL_KEYS_SCREEN,
				fl_watch_hand, w);
	w->keys.working = fl_ledger_working(fl_judge_ledger(w->judging), INT64_MAX,
					    INT64_MAX);
	if (!w->terminal)
		return;
	w->keyboard.data = w;
	w->keyboard_runs = uv_poll_init(&w->loop, &w->keyboard, STDIN_FILENO) == 0 &&
			   uv_poll_start(&w->keyboard, UV_READABLE, on_key) == 0;
}

/* In the order of privilege.h. */
static bool open_all(struct watch *w, struct fl_error *error)
{
	if (!fl_privilege_file(error))
		return false;
	w->no_right = !open_ports(w, error);
	if (w->no_right || !fl_privilege_user(error) || !fl_privilege_drop(error) ||
	    !watch_ports(w, error))
		return false;
	w->not_kept = !open_visit(w, error);
	if (w->not_kept)
		return false;
	name_ports(w);
	fl_watch_say_begin(w);
	open_terminal(w);
	return fl_privilege_seal(error);
}

static bool start(struct watch *w, struct fl_error *error)
{
	w->begun = fl_live_now(w->live);
	if (!fl_watch_heed(w) || !fl_live_start(w->live, error))
		return false;
	w->started = true;
	fl_ports_sample(w->ports);
	uv_timer_init(&w->loop, &w->second);
	w->second.data = w;
	w->second_runs = uv_timer_start(&w->second, on_second, 1000, 1000) == 0;
	if (w->order->wiggle) {
		uv_timer_init(&w->loop, &w->quick);
		w->quick.data = w;
		w->quick_runs = uv_timer_start(&w->quick, on_quick, QUICK_MS, QUICK_MS) == 0;
	}
	return w->second_runs;
}

/* ---- closing ---- */

static void close_handle(bool open, void *handle)
{
	if (open)
		uv_close(handle, NULL);
}

/* What asks may stand in the midst of a tick, or of a message about a port. */
void fl_watch_stop(struct watch *w)
{
	if (!w->ending)
		uv_stop(&w->loop);
	w->ending = true;
}

/* What is told meanwhile asks in vain: it is ending. */
static void stop(struct watch *w)
{
	w->ending = true;
	if (w->started && w->ports) {
		fl_ports_sample(w->ports);
		fl_wiggle_end(w);
	}
	if (w->live)
		fl_live_stop(w->live);
	if (w->tally)
		fl_tally_end(w->tally);
	if (w->ports)
		fl_ports_stop(w->ports);
	close_handle(w->second_runs, &w->second);
	close_handle(w->quick_runs, &w->quick);
	close_handle(w->keyboard_runs, &w->keyboard);
	fl_watch_hold(w);
}

/* What was concluded last is told too. */
static void tell_last(struct watch *w)
{
	w->answer = fl_judge_answer(w->judging);
	if (w->answer)
		fl_events_look(w->events, w->answer, fl_judge_ledger(w->judging));
	fl_watch_tell(w);
}

/* A visit that is not kept whole is no reason to say nothing of the boat. */
static void close_all(struct watch *w, bool ran)
{
	struct fl_error error = { 0 };
	stop(w);
	uv_run(&w->loop, UV_RUN_DEFAULT);
	fl_terminal_close(w->terminal);
	w->terminal = NULL;
	fl_watch_heed_late(w);
	if (ran) {
		if (w->hand)
			fl_hand_look(w->hand);
		tell_last(w);
		fl_watch_say_unasked(w);
	}
	if (w->visit && !fl_visit_close(w->visit, &error))
		fl_say_error(&error);
	fl_watch_heed_no_more(w);
	fl_live_free(w->live);
	fl_ports_free(w->ports);
	fl_tally_free(w->tally);
	fl_events_free(w->events);
	fl_hand_free(w->hand);
	free(w->grid.cells);
	uv_loop_close(&w->loop);
}

/* ---- the whole ---- */

static bool prepare(struct watch *w)
{
	const struct fl_plan *plan = fl_judge_planned(w->judging);
	w->ledger = fl_judge_observer(w->judging);
	if (plan)
		w->within = fl_firm_within(plan, &w->unknown);
	if (w->within)
		w->within += FL_LATENESS;
	if (w->within < FL_WATCH_LEAST)
		w->within = FL_WATCH_LEAST;
	w->events = fl_events_new();
	w->tally = fl_tally_new("port", fl_judge_place(w->judging),
				(struct fl_observer){ w, observe });
	if (!w->tally || !w->events)
		return false;
	fl_tally_live(w->tally);
	fl_tally_log_words(w->tally, fl_plan_log_words(plan));
	const struct fl_frame_sink sink = fl_tally_sink(w->tally);
	w->live = fl_live_new(&w->loop, &sink);
	return w->live && fl_watch_go_on(w);
}

enum fl_exit fl_watch(struct fl_judging *judging, const struct fl_watch_order *order)
{
	struct watch w = { .order = order, .judging = judging };
	struct fl_error error = { 0 };
	if (uv_loop_init(&w.loop) != 0)
		return FL_EXIT_SILENT;
	if (!fl_watch_take_ears(&w) || (order->wiggle && !fl_wiggle_choose(&w))) {
		uv_loop_close(&w.loop);
		return FL_EXIT_USAGE;
	}
	enum fl_exit status = FL_EXIT_SILENT;
	bool ran = false;
	if (!prepare(&w))
		fputs("fairlead listen: no memory\n", stderr);
	else if (!open_all(&w, &error) || !start(&w, &error))
		status = refuse(&w, &error);
	else {
		uv_run(&w.loop, UV_RUN_DEFAULT);
		ran = true;
		status = FL_EXIT_WELL;
	}
	close_all(&w, ran);
	return status;
}
