/* terminal.c -- curses, and what it leaves open: a terminal that goes away or
 * takes nothing, and one that must be given back when the process dies.
 *
 * Source  curses(3X), curs_add_wchstr(3X), resize_term(3X), terminfo(5),
 *         signal-safety(7)
 */
#ifndef _XOPEN_SOURCE
#define _XOPEN_SOURCE 700        /* wcwidth() */
#endif
#define NCURSES_WIDECHAR 1

#include "cli/terminal.h"

#include <curses.h>
#include <errno.h>
#include <locale.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>
#include <wchar.h>

enum { MOST_COLUMNS = 400, MOST_ROWS = 200, ESCAPE_MS = 25, RESTORE = 256 };

static const int deadly[] = { SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT, SIGQUIT };
enum { DEADLY = sizeof deadly / sizeof deadly[0] };

struct fl_terminal {
	SCREEN *screen;
	enum fl_contrast contrast;
	struct termios before;
	char     restore[RESTORE];   /* what puts the cursor and page back   */
	volatile sig_atomic_t restore_octets;
	struct sigaction old[DEADLY];
	cchar_t  line[MOST_COLUMNS];
};

/* The one that is open: a handler of signals and one of exit() find it. */
static struct fl_terminal the_terminal;

/* ---- the way back ---- */

/* signal-safety(7) lists all that is called here. */
static void restore(void)
{
	struct fl_terminal *t = &the_terminal;
	const ssize_t n = write(STDOUT_FILENO, t->restore,
				(size_t)t->restore_octets);
	(void)n;                     /* nobody is left to be told            */
	(void)tcsetattr(STDIN_FILENO, TCSANOW, &t->before);
}

/* A fault comes again once its old handler is back; a signal that was sent
 * is sent again. */
static void on_deadly(int signal_number, siginfo_t *info, void *context)
{
	(void)context;
	restore();
	for (size_t i = 0; i < DEADLY; i++)
		if (deadly[i] == signal_number)
			(void)sigaction(signal_number, &the_terminal.old[i], NULL);
	if (info->si_code <= 0)
		(void)raise(signal_number);
}

static void close_at_exit(void) { fl_terminal_close(&the_terminal); }

/* A capability of terminfo(5) without its "$<5>" delays. */
static void add_capability(struct fl_terminal *t, const char *name)
{
	const char *text = tigetstr(name);
	if (!text || text == (const char *)-1)
		return;
	int n = t->restore_octets;
	while (*text && n < RESTORE) {
		if (text[0] == '$' && text[1] == '<')
			text += strcspn(text, ">");
		else
			t->restore[n++] = *text;
		text += *text != '\0';
	}
	t->restore_octets = n;
}

static void watch_for_death(struct fl_terminal *t)
{
	static const char *const names[] = { "sgr0", "rmkx", "cnorm", "rmcup" };
	static bool told;
	for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
		add_capability(t, names[i]);
	struct sigaction action = { .sa_sigaction = on_deadly,
				    .sa_flags = SA_SIGINFO };
	(void)sigemptyset(&action.sa_mask);
	for (size_t i = 0; i < DEADLY; i++)
		(void)sigaction(deadly[i], &action, &t->old[i]);
	if (!told)
		told = atexit(close_at_exit) == 0;
}

/* ---- opening and closing ---- */

static struct fl_terminal *refuse(struct fl_error *error, const char *rule,
				  const char *subject)
{
	fl_error_set(error, FL_UNSUPPORTED, 0, 0, rule, subject);
	return NULL;
}

/* Ctrl-S would stop the output, and all that waits for it, so it is off;
 * Ctrl-C stays a signal, which whoever listens has to end by anyhow. */
static void set_modes(struct fl_terminal *t)
{
	struct termios now;
	(void)cbreak();
	(void)noecho();
	(void)nonl();
	if (tcgetattr(STDIN_FILENO, &now) == 0) {
		now.c_iflag &= ~(tcflag_t)(IXON | IXOFF);
		(void)tcsetattr(STDIN_FILENO, TCSANOW, &now);
	}
	(void)def_prog_mode();
	(void)keypad(stdscr, TRUE);
	(void)nodelay(stdscr, TRUE);
	(void)leaveok(stdscr, TRUE);
	(void)set_escdelay(ESCAPE_MS);
	(void)curs_set(0);
	(void)t;
}

struct fl_terminal *fl_terminal_open(enum fl_contrast contrast,
				     struct fl_error *error)
{
	struct fl_terminal *t = &the_terminal;
	const char *kind = getenv("TERM");
	if (t->screen)
		return refuse(error, "it is open already", "terminal");
	if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO) ||
	    tcgetattr(STDIN_FILENO, &t->before) != 0)
		return refuse(error, "input and output must both be one", "terminal");
	if (!kind || !*kind || strcmp(kind, "dumb") == 0)
		return refuse(error, "names no terminal that can move its cursor",
			      "TERM");
	(void)setlocale(LC_CTYPE, "");
	use_tioctl(TRUE);
	t->screen = newterm(NULL, stdout, stdin);
	if (!t->screen)
		return refuse(error, "is not known to terminfo", kind);
	t->contrast = contrast;
	t->restore_octets = 0;
	if (!tigetstr("cup")) {
		fl_terminal_close(t);
		return refuse(error, "cannot move its cursor", kind);
	}
	set_modes(t);
	watch_for_death(t);
	return t;
}

void fl_terminal_close(struct fl_terminal *t)
{
	if (!t || !t->screen)
		return;
	if (t->restore_octets)
		for (size_t i = 0; i < DEADLY; i++)
			(void)sigaction(deadly[i], &t->old[i], NULL);
	(void)endwin();
	delscreen(t->screen);
	t->screen = NULL;
	t->restore_octets = 0;
	(void)tcsetattr(STDIN_FILENO, TCSANOW, &t->before);
}

/* ---- size ---- */

void fl_terminal_size(const struct fl_terminal *t, unsigned *columns, unsigned *rows)
{
	(void)t;
	*columns = COLS < MOST_COLUMNS ? (unsigned)COLS : MOST_COLUMNS;
	*rows = LINES < MOST_ROWS ? (unsigned)LINES : MOST_ROWS;
}

/* resize_term(3X), not resizeterm(): that one would type a KEY_RESIZE, which
 * leads here again. */
void fl_terminal_resize(struct fl_terminal *t)
{
	struct winsize size;
	(void)t;
	if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_row &&
	    size.ws_col)
		(void)resize_term(size.ws_row, size.ws_col);
	(void)clearok(curscr, TRUE);
}

/* ---- out ---- */

enum condition { READY, BUSY, GONE };

/* poll(2): a hangup or error is told whether it was asked for or not. */
static enum condition condition(void)
{
	struct pollfd fds[] = {
		{ .fd = STDIN_FILENO, .events = POLLIN },
		{ .fd = STDOUT_FILENO, .events = POLLOUT },
	};
	if (poll(fds, 2, 0) < 0)
		return errno == EINTR || errno == EAGAIN ? BUSY : GONE;
	if ((fds[0].revents | fds[1].revents) & (POLLHUP | POLLERR | POLLNVAL))
		return GONE;
	return fds[1].revents & POLLOUT ? READY : BUSY;
}

/* In sunlight and under red light only bold and reverse can be told. */
static attr_t attribute(enum fl_contrast contrast, uint8_t style)
{
	static const attr_t rows[][FL_STYLES] = {
		[FL_CONTRAST_NORMAL] = {
			[FL_STYLE_PLAIN] = A_NORMAL, [FL_STYLE_STRONG] = A_BOLD,
			[FL_STYLE_ALARM] = A_BOLD | A_REVERSE,
			[FL_STYLE_FAINT] = A_DIM, [FL_STYLE_BAR] = A_REVERSE },
		[FL_CONTRAST_HIGH] = {
			[FL_STYLE_PLAIN] = A_BOLD, [FL_STYLE_STRONG] = A_BOLD,
			[FL_STYLE_ALARM] = A_BOLD | A_REVERSE,
			[FL_STYLE_FAINT] = A_BOLD,
			[FL_STYLE_BAR] = A_BOLD | A_REVERSE },
	};
	return style < FL_STYLES ? rows[contrast][style] : A_NORMAL;
}

/* Where the C library's locale and the grid do not agree about a character,
 * curses would shift the rest of the line: a mark or a space takes its place. */
static int put_cell(struct fl_terminal *t, cchar_t *out,
		    const struct fl_grid_cell *cell, bool wide)
{
	wchar_t text[2] = { (wchar_t)cell->point, L'\0' };
	const attr_t look = attribute(t->contrast, cell->style);
	const int columns = wcwidth(text[0]), room = wide ? 2 : 1;
	if (columns < 1 || columns > room)
		text[0] = L'?';
	(void)setcchar(out, text, look, 0, NULL);
	if (columns >= room || room == 1)
		return 1;
	text[0] = L' ';
	(void)setcchar(out + 1, text, look, 0, NULL);
	return 2;
}

static void put_row(struct fl_terminal *t, const struct fl_grid *grid, unsigned row,
		    unsigned columns)
{
	const struct fl_grid_cell *cells = grid->cells + (size_t)row * grid->columns;
	int n = 0;
	for (unsigned c = 0; c < columns;) {
		const bool half = c + 1 < grid->columns && !cells[c + 1].point;
		const bool wide = half && c + 1 < columns;
		n += put_cell(t, &t->line[n], &cells[c], wide);
		c += wide ? 2 : 1;
	}
	(void)mvadd_wchnstr((int)row, 0, t->line, n);
}

bool fl_terminal_show(struct fl_terminal *t, const struct fl_grid *grid)
{
	unsigned columns, rows;
	const enum condition c = condition();
	if (c != READY)
		return c == BUSY;
	fl_terminal_size(t, &columns, &rows);
	columns = grid->columns < columns ? grid->columns : columns;
	(void)erase();
	for (unsigned r = 0; r < rows && r < grid->rows; r++)
		put_row(t, grid, r, columns);
	(void)refresh();
	return true;
}

void fl_terminal_bell(struct fl_terminal *t)
{
	(void)t;
	if (condition() == READY)
		(void)beep();
}

/* ---- in ---- */

static int meaning(int result, wint_t key)
{
	static const struct { int result; wint_t key; int meaning; } rows[] = {
		{ OK, L'\r', FL_KEY_ENTER }, { OK, L'\n', FL_KEY_ENTER },
		{ KEY_CODE_YES, KEY_ENTER, FL_KEY_ENTER },
		{ OK, 0x1b, FL_KEY_ESCAPE },
		{ OK, 0x7f, FL_KEY_BACKSPACE }, { OK, 0x08, FL_KEY_BACKSPACE },
		{ KEY_CODE_YES, KEY_BACKSPACE, FL_KEY_BACKSPACE },
		{ KEY_CODE_YES, KEY_RESIZE, FL_KEY_RESIZED },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		if (rows[i].result == result && rows[i].key == key)
			return rows[i].meaning;
	return result == OK && key <= 0x10ffff ? (int)key : FL_KEY_NONE;
}

int fl_terminal_key(struct fl_terminal *t)
{
	wint_t key;
	int result;
	while ((result = wget_wch(stdscr, &key)) != ERR) {
		const int told = meaning(result, key);
		if (told == FL_KEY_RESIZED)
			fl_terminal_resize(t);
		if (told != FL_KEY_NONE)
			return told;
	}
	return condition() == GONE ? FL_KEY_LOST : FL_KEY_NONE;
}
