/* show_grids.c -- the other end of terminal.py: shows grids on the terminal
 * it was started on, and writes to descriptor 3 what must stand there.
 *
 *     show_grids SEED [high]
 *
 * Keys: space another grid, b bell, q end, a die by abort(), e by exit().
 *
 * A record on descriptor 3 ends in a form feed: the text of the grid, or
 * "key N", "lost", "closed".
 */
#include "cli/terminal.h"
#include "render/scenes.h"
#include "render/screen.h"

#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { COLUMNS = 400, ROWS = 200 };

static struct fl_grid_cell cells[COLUMNS * ROWS];
static FILE *out;
static uint64_t seed;

/* A linear congruential generator, so that each run shows the same. */
static uint32_t any(uint32_t below)
{
	seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
	return (uint32_t)(seed >> 33) % below;
}

static void put_point(uint32_t c)
{
	if (c < 0x80)
		(void)fprintf(out, "%c", (int)c);
	else if (c < 0x800)
		(void)fprintf(out, "%c%c", (int)(0xc0 | c >> 6),
			      (int)(0x80 | (c & 63)));
	else if (c < 0x10000)
		(void)fprintf(out, "%c%c%c", (int)(0xe0 | c >> 12),
			      (int)(0x80 | (c >> 6 & 63)), (int)(0x80 | (c & 63)));
	else
		(void)fprintf(out, "%c%c%c%c", (int)(0xf0 | c >> 18),
			      (int)(0x80 | (c >> 12 & 63)),
			      (int)(0x80 | (c >> 6 & 63)), (int)(0x80 | (c & 63)));
}

static void tell_grid(const struct fl_grid *g)
{
	for (unsigned r = 0; r < g->rows; r++) {
		for (unsigned c = 0; c < g->columns; c++)
			if (g->cells[r * g->columns + c].point)
				put_point(g->cells[r * g->columns + c].point);
		(void)fputc('\n', out);
	}
	(void)fputs("\f", out);
	(void)fflush(out);
}

static const char *name(void)
{
	static const char *const names[] = {
		"arch radar", "\xe6\xb8\xaf\xe6\xb8\xaf camera", "Se\xcc\x81maphore",
		"S\xc3\xa9maphore", "\xf0\x9f\x93\xa1 mast", "\x1b[2J\x1b[H", "a",
		"\xed\x95\x9c\xea\xb5\xad", "", "\xe2\x80\xaeturned", "tab\there",
		"a name that is far longer than what a narrow screen has room for",
	};
	return names[any(COUNT(names))];
}

static void draw_screen(struct fl_grid *grid)
{
	struct fl_answer answer = missing_radar();
	struct fl_answer_device devices[30];
	const char *said[40];
	const size_t count = 1 + any(30), told = any(40);
	for (size_t i = 0; i < count; i++) {
		devices[i] = scene_devices[any(COUNT(scene_devices))];
		devices[i].name = name();
		devices[i].ever_heard = true;
		devices[i].last_heard = answer.to - any(200) * FL_SECOND;
	}
	for (size_t i = 0; i < told; i++)
		said[i] = name();
	answer.devices = devices;
	answer.device_count = count;
	answer.look = name();
	answer.what = any(3) ? answer.what : name();
	const struct fl_texts events = { said, told };
	const struct fl_screen screen = {
		.answer = &answer, .ports = "eth1",
		.now = answer.to + any(9) * FL_SECOND,
		.chosen = (int)any(31) - 1, .working = any(2), .events = &events,
		.typed = any(3) ? NULL : name(), .status = any(2) ? name() : NULL,
		.keys = "q quit",
	};
	fl_screen_draw(&screen, grid);
}

static void draw_wiggle(struct fl_grid *grid)
{
	const struct fl_texts events = scene_story;
	const struct fl_wiggle wiggle = {
		.name = name(), .heard = any(2), .ever = any(2),
		.since = any(4000) * FL_SECOND, .losses = any(3), .events = &events,
		.keys = "q quit",
	};
	fl_wiggle_draw(&wiggle, grid);
}

/* False: the terminal is gone. */
static bool another(struct fl_terminal *t)
{
	struct fl_grid grid = { .cells = cells };
	fl_terminal_size(t, &grid.columns, &grid.rows);
	if (any(4))
		draw_screen(&grid);
	else
		draw_wiggle(&grid);
	if (!fl_terminal_show(t, &grid))
		return false;
	tell_grid(&grid);
	return true;
}

static void tell(const char *what, int number)
{
	(void)fprintf(out, "%s %d\f", what, number);
	(void)fflush(out);
}

static void on_window(int number) { (void)number; }

/* True: go on. */
static bool press(struct fl_terminal *t, int key)
{
	if (key == 'a')
		abort();
	if (key == 'e')
		exit(3);
	if (key == 'b')
		fl_terminal_bell(t);
	if (key == ' ' || key == FL_KEY_RESIZED)
		return another(t);
	tell("key", key);
	return key != 'q' && key != FL_KEY_LOST;
}

static void serve(struct fl_terminal *t)
{
	for (;;) {
		struct pollfd in = { .fd = STDIN_FILENO, .events = POLLIN };
		if (poll(&in, 1, -1) < 0)
			in.revents = POLLIN;   /* SIGWINCH */
		int key;
		while ((key = fl_terminal_key(t)) != FL_KEY_NONE)
			if (!press(t, key))
				return;
	}
}

int main(int argc, char **argv)
{
	struct fl_error error = { 0 };
	out = fdopen(3, "w");
	seed = argc > 1 ? strtoull(argv[1], NULL, 10) : 1;
	(void)signal(SIGHUP, SIG_IGN);
	(void)sigaction(SIGWINCH, &(struct sigaction){ .sa_handler = on_window },
			NULL);     /* ends poll() */
	struct fl_terminal *t = fl_terminal_open(argc > 2 ? FL_CONTRAST_HIGH
						: FL_CONTRAST_NORMAL, &error);
	if (!t || !out) {
		fprintf(stderr, "%s: %s\n", error.subject, error.rule);
		return 2;
	}
	tell("open", 0);
	serve(t);
	const struct fl_grid grid = { 1, 1, cells };
	const bool there = fl_terminal_show(t, &grid);
	fl_terminal_close(t);
	fl_terminal_close(t);
	tell("closed", there);
	return 0;
}
