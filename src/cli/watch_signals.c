/* watch_signals.c -- signals while the watch goes, and while it is closed.
 *
 * What is open must be closed whole, and that may take a slow disk's time. So
 * the same signals are heeded until the visit is closed: the second INT or
 * TERM ends at once, whatever is lost by it. A HUP is no such word: a terminal
 * that is closed makes two of them, the kernel's and the shell's.
 *
 * Source  signal(7), signal-safety(7)
 */
#include "cli/watching.h"

#include <pthread.h>
#include <signal.h>
#include <unistd.h>

static const struct { int number; bool late; } heeded[FL_WATCH_SIGNALS] = {
	{ SIGINT, true }, { SIGTERM, true }, { SIGHUP, false },
	{ SIGWINCH, false }, { SIGUSR1, false }, { SIGUSR2, false },
};

/* It was told to end by a signal. */
static volatile sig_atomic_t told;

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
		fl_watch_say_state(w);
		break;
	case SIGUSR2:
		fl_watch_hand(w, FL_HAND_MARK, "");
		break;
	default:
		told = 1;
		fl_watch_stop(w);
	}
}

bool fl_watch_heed(struct watch *w)
{
	for (size_t i = 0; i < FL_WATCH_SIGNALS; i++) {
		uv_signal_init(&w->loop, &w->signals[i]);
		w->signals[i].data = w;
	}
	w->signals_run = true;
	for (size_t i = 0; i < FL_WATCH_SIGNALS; i++)
		if (uv_signal_start(&w->signals[i], on_signal, heeded[i].number) != 0)
			return false;
	return true;
}

static void set_of_all(sigset_t *all)
{
	(void)sigemptyset(all);
	for (size_t i = 0; i < FL_WATCH_SIGNALS; i++)
		(void)sigaddset(all, heeded[i].number);
}

/* Signals that come meanwhile wait for fl_watch_heed_late(): without a handler
 * of the loop they would end the process. */
void fl_watch_hold(struct watch *w)
{
	sigset_t all;
	if (!w->signals_run)
		return;
	set_of_all(&all);
	(void)pthread_sigmask(SIG_BLOCK, &all, NULL);
	for (size_t i = 0; i < FL_WATCH_SIGNALS; i++)
		uv_close((uv_handle_t *)&w->signals[i], NULL);
}

static void on_late(int number)
{
	(void)number;
	if (told)
		_exit(FL_EXIT_SILENT);
	told = 1;
}

static void heed_as(bool only_late, void (*how)(int))
{
	struct sigaction action = { .sa_handler = how };
	(void)sigemptyset(&action.sa_mask);
	for (size_t i = 0; i < FL_WATCH_SIGNALS; i++)
		if (heeded[i].late || !only_late)
			(void)sigaction(heeded[i].number, &action, NULL);
}

/* The answer is still to come, so what does not end stays ignored. So is what
 * waited: timeout(1) sends two TERM at once. */
void fl_watch_heed_late(const struct watch *w)
{
	sigset_t all;
	if (!w->signals_run)
		return;
	heed_as(false, SIG_IGN);
	set_of_all(&all);
	(void)pthread_sigmask(SIG_UNBLOCK, &all, NULL);
	heed_as(true, on_late);
}

void fl_watch_heed_no_more(const struct watch *w)
{
	if (w->signals_run)
		heed_as(true, SIG_DFL);
}
