/* watch.c -- the life of a watch: opened with rights, run without, closed. */
#include "cli/watching.h"

#include "cli/privilege.h"
#include "diagnose/firm.h"

#include <errno.h>
#include <signal.h>
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
	if (ear == w->ears[0])
		w->linked = port->there && port->link;
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

/* ---- signals ---- */

static void print_state(struct watch *w)
{
	char length[FL_TIME_TEXT];
	fprintf(stderr, "fairlead: heard for %s; %s.\n",
		fl_time_length(fl_live_now(w->live) - w->begun, length),
		w->answer ? w->answer->what : "no answer yet");
}

static void on_signal(uv_signal_t *handle, int number)
{
	struct watch *w = handle->data;
	switch (number) {
	case SIGWINCH:
		if (w->terminal) {
			fl_terminal_resize(w->terminal);
			fl_watch_show(w);
		}
		break;
	case SIGUSR1:
		print_state(w);
		break;
	case SIGUSR2:
		fl_watch_hand(w, FL_HAND_MARK, "");
		break;
	default:
		/* The second one does not wait for anything. */
		if (w->stopped)
			_exit(FL_EXIT_SILENT);
		fl_watch_stop(w);
	}
}

static bool heed_signals(struct watch *w)
{
	static const int numbers[FL_WATCH_SIGNALS] = {
		SIGINT, SIGTERM, SIGHUP, SIGWINCH, SIGUSR1, SIGUSR2,
	};
	for (size_t i = 0; i < FL_WATCH_SIGNALS; i++) {
		uv_signal_init(&w->loop, &w->signals[i]);
		w->signals[i].data = w;
	}
	w->signals_run = true;
	for (size_t i = 0; i < FL_WATCH_SIGNALS; i++)
		if (uv_signal_start(&w->signals[i], on_signal, numbers[i]) != 0)
			return false;
	return true;
}

/* ---- opening ---- */

static enum fl_exit refuse(const struct fl_error *error)
{
	char remedy[512];
	fl_say_error(error);
	if (error->status == FL_SYSTEM &&
	    (error->system == EPERM || error->system == EACCES))
		fprintf(stderr, "What to do: %s\n",
			fl_privilege_remedy(remedy, sizeof remedy));
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

/* Everything that needs a right, then everything that needs a file or a
 * thread, then nothing more of either. */
static bool open_all(struct watch *w, struct fl_error *error)
{
	if (!open_ports(w, error) || !fl_privilege_user(error) ||
	    !fl_privilege_drop(error) || !watch_ports(w, error) ||
	    !open_visit(w, error))
		return false;
	name_ports(w);
	fl_watch_say_begin(w);
	open_terminal(w);
	return fl_privilege_seal(error);
}

static bool start(struct watch *w, struct fl_error *error)
{
	w->begun = fl_live_now(w->live);
	if (!heed_signals(w) || !fl_live_start(w->live, error))
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

void fl_watch_stop(struct watch *w)
{
	if (w->stopped)
		return;
	if (w->started && w->ports) {
		fl_ports_sample(w->ports);
		fl_wiggle_end(w);
	}
	w->stopped = true;
	if (w->live)
		fl_live_stop(w->live);
	if (w->tally)
		fl_tally_end(w->tally);
	if (w->ports)
		fl_ports_stop(w->ports);
	close_handle(w->second_runs, &w->second);
	close_handle(w->quick_runs, &w->quick);
	close_handle(w->keyboard_runs, &w->keyboard);
	for (size_t i = 0; w->signals_run && i < FL_WATCH_SIGNALS; i++)
		close_handle(true, &w->signals[i]);
}

/* What was concluded last is told too. */
static void tell_last(struct watch *w)
{
	w->answer = fl_judge_answer(w->judging);
	if (w->answer)
		fl_events_look(w->events, w->answer, fl_judge_ledger(w->judging));
	fl_watch_tell(w);
}

static bool close_all(struct watch *w, bool ran)
{
	struct fl_error error = { 0 };
	fl_watch_stop(w);
	uv_run(&w->loop, UV_RUN_DEFAULT);
	fl_terminal_close(w->terminal);
	w->terminal = NULL;
	if (ran && w->hand)
		fl_hand_look(w->hand);
	if (ran)
		tell_last(w);
	const bool kept = !w->visit || fl_visit_close(w->visit, &error);
	if (!kept)
		fl_say_error(&error);
	fl_live_free(w->live);
	fl_ports_free(w->ports);
	fl_tally_free(w->tally);
	fl_events_free(w->events);
	fl_hand_free(w->hand);
	free(w->grid.cells);
	uv_loop_close(&w->loop);
	return kept;
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
		status = refuse(&error);
	else {
		uv_run(&w.loop, UV_RUN_DEFAULT);
		ran = true;
		status = FL_EXIT_WELL;
	}
	return close_all(&w, ran) ? status : FL_EXIT_SILENT;
}
