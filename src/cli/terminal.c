/* terminal.c -- curses, and what it leaves open: a terminal that goes away or
 * takes nothing, and one that must be given back when the process dies.
 *
 * curses waits for ever for a terminal that takes nothing (a connection that
 * hangs), and whoever listens must not. So it writes into a file in memory,
 * and that goes to the terminal as far as it takes it: nothing new is drawn
 * until all of the last drawing is out. The modes are set here, too, because
 * curses would set those of its file.
 *
 * Source  curses(3X), curs_add_wchstr(3X), resize_term(3X), terminfo(5),
 *         termios(3), signal-safety(7)
 */
#define _GNU_SOURCE              /* memfd_create(), wcwidth() */
#define NCURSES_WIDECHAR 1

#include "cli/terminal.h"

#include <curses.h>
#include <errno.h>
#include <fcntl.h>
#include <locale.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <termios.h>
#include <unistd.h>
#include <wchar.h>

enum { MOST_COLUMNS = 400, MOST_ROWS = 200, ESCAPE_MS = 25, RESTORE = 256,
       PIECE = 4096, FAREWELL_MS = 200 };

/* What ends a process. Of what somebody sends, only where nobody listens. */
static const struct { int number; bool sent; } deadly[] = {
	{ SIGSEGV, false }, { SIGBUS, false }, { SIGFPE, false }, { SIGILL, false },
	{ SIGABRT, false }, { SIGQUIT, true }, { SIGINT, true }, { SIGTERM, true },
};
enum { DEADLY = sizeof deadly / sizeof deadly[0] };

struct fl_terminal {
	SCREEN *screen;
	FILE   *page;                /* what curses writes                   */
	off_t   out, end;            /* of it: what is out, what there is    */
	int     tty;                 /* the terminal, to write without waiting */
	enum fl_contrast contrast;
	struct termios before;
	char     restore[RESTORE];   /* what puts the cursor and page back   */
	volatile sig_atomic_t restore_octets;
	struct sigaction old[DEADLY];
	cchar_t  line[MOST_COLUMNS];
};

/* The one that is open: a handler of signals and one of exit() find it. */
static struct fl_terminal the_terminal;

/* ---- the way out ---- */

enum condition { READY, BUSY, GONE };

/* poll(2): a hangup or error is told whether it was asked for or not. */
static enum condition condition(const struct fl_terminal *t, int wait_ms)
{
	struct pollfd fds[] = {
		{ .fd = t->tty, .events = POLLOUT }, { .fd = STDIN_FILENO },
	};
	if (poll(fds, 2, wait_ms) < 0)
		return errno == EINTR || errno == EAGAIN ? BUSY : GONE;
	if ((fds[0].revents | fds[1].revents) & (POLLHUP | POLLERR | POLLNVAL))
		return GONE;
	return fds[0].revents & POLLOUT ? READY : BUSY;
}

/* READY: all that curses wrote is out. */
static enum condition put_out(struct fl_terminal *t)
{
	char piece[PIECE];
	const int file = fileno(t->page);
	t->end = lseek(file, 0, SEEK_CUR);
	while (t->out < t->end) {
		const ssize_t n = pread(file, piece, PIECE, t->out);
		const ssize_t put = n > 0 ? write(t->tty, piece, (size_t)n) : -1;
		if (put <= 0)
			return condition(t, 0) == GONE ? GONE : BUSY;
		t->out += put;
	}
	if (t->end && ftruncate(file, 0) == 0)
		t->out = lseek(file, 0, SEEK_SET);
	return condition(t, 0);
}

/* ---- the way back ---- */

/* signal-safety(7) lists all that is called here. */
static void restore(void)
{
	struct fl_terminal *t = &the_terminal;
	const ssize_t n = write(t->tty, t->restore, (size_t)t->restore_octets);
	(void)n;                     /* nobody is left to be told            */
	(void)tcsetattr(STDIN_FILENO, TCSANOW, &t->before);
}

/* A fault comes again once its old handler is back; a signal that was sent
 * is sent again. */
static void on_deadly(int number, siginfo_t *info, void *context)
{
	(void)context;
	restore();
	for (size_t i = 0; i < DEADLY; i++) {
		if (deadly[i].number != number)
			continue;
		(void)sigaction(number, &the_terminal.old[i], NULL);
		if (deadly[i].sent || info->si_code <= 0)
			(void)raise(number);
	}
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
	for (size_t i = 0; i < DEADLY; i++) {
		(void)sigaction(deadly[i].number, NULL, &t->old[i]);
		if (!deadly[i].sent || t->old[i].sa_handler == SIG_DFL)
			(void)sigaction(deadly[i].number, &action, NULL);
	}
	told = told || atexit(close_at_exit) == 0;
}

/* Give back only what is still ours. */
static void no_watch_for_death(struct fl_terminal *t)
{
	struct sigaction now;
	for (size_t i = 0; i < DEADLY; i++)
		if (sigaction(deadly[i].number, NULL, &now) == 0 &&
		    (now.sa_flags & SA_SIGINFO) && now.sa_sigaction == on_deadly)
			(void)sigaction(deadly[i].number, &t->old[i], NULL);
}

/* ---- opening and closing ---- */

static struct fl_terminal *refuse(struct fl_error *error, const char *rule,
				  const char *subject)
{
	fl_terminal_close(&the_terminal);
	fl_error_set(error, FL_UNSUPPORTED, 0, 0, rule, subject);
	return NULL;
}

/* A way of its own to the terminal: not to wait on standard output would be
 * shared with the shell that it is from. */
static int open_tty(void)
{
	const char *name = ttyname(STDOUT_FILENO);
	const int flags = O_WRONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC;
	const int tty = name ? open(name, flags) : -1;
	return tty >= 0 ? tty : open("/dev/tty", flags);
}

/* Ctrl-S would stop the output and Ctrl-Z the listening, so neither does;
 * Ctrl-C stays a signal, which whoever listens has to end by anyhow. */
static void set_modes(const struct fl_terminal *t)
{
	struct termios now = t->before;
	now.c_iflag &= ~(tcflag_t)(IXON | IXOFF | ICRNL | INLCR | IGNCR);
	now.c_oflag &= ~(tcflag_t)OPOST;
	now.c_lflag &= ~(tcflag_t)(ICANON | ECHO | ECHONL | IEXTEN);
	now.c_cc[VSUSP] = _POSIX_VDISABLE;
	now.c_cc[VMIN] = 1, now.c_cc[VTIME] = 0;
	(void)tcsetattr(STDIN_FILENO, TCSANOW, &now);
}

static void set_screen(void)
{
	(void)keypad(stdscr, TRUE);
	(void)nodelay(stdscr, TRUE);
	(void)leaveok(stdscr, TRUE);
	(void)typeahead(-1);         /* a drawing is made whole              */
	(void)set_escdelay(ESCAPE_MS);
	(void)curs_set(0);
}

/* newterm(3X) catches signals where nobody does; theirs would put nothing on
 * the terminal. */
static SCREEN *new_screen(FILE *page)
{
	static const int caught[] = { SIGINT, SIGTERM, SIGTSTP, SIGWINCH };
	enum { CAUGHT = sizeof caught / sizeof caught[0] };
	struct sigaction old[CAUGHT];
	for (size_t i = 0; i < CAUGHT; i++)
		(void)sigaction(caught[i], NULL, &old[i]);
	SCREEN *screen = newterm(NULL, page, stdin);
	for (size_t i = 0; i < CAUGHT; i++)
		(void)sigaction(caught[i], &old[i], NULL);
	return screen;
}

struct fl_terminal *fl_terminal_open(enum fl_contrast contrast,
				     struct fl_error *error)
{
	struct fl_terminal *t = &the_terminal;
	const char *kind = getenv("TERM");
	fl_terminal_close(t);
	*t = (struct fl_terminal){ .tty = -1, .contrast = contrast };
	if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO) ||
	    tcgetattr(STDIN_FILENO, &t->before) != 0)
		return refuse(error, "input and output must both be one", "terminal");
	if (!kind || !*kind || strcmp(kind, "dumb") == 0)
		return refuse(error, "names no terminal that can move its cursor",
			      "TERM");
	const int memory = memfd_create("screen", MFD_CLOEXEC);
	t->page = memory >= 0 ? fdopen(memory, "w+") : NULL;
	t->tty = open_tty();
	if (!t->page || t->tty < 0)
		return refuse(error, "cannot be opened to write", "terminal");
	(void)setlocale(LC_CTYPE, "");
	t->screen = new_screen(t->page);
	if (!t->screen || !tigetstr("cup"))
		return refuse(error, "is no terminal that terminfo knows to move "
			      "its cursor", kind);
	set_modes(t);
	set_screen();
	fl_terminal_resize(t);
	watch_for_death(t);
	return t;
}

/* Everything that was opened, however far that went. A terminal that takes
 * nothing is not waited for long. */
void fl_terminal_close(struct fl_terminal *t)
{
	if (!t || !t->page)
		return;
	if (t->screen) {
		no_watch_for_death(t);
		(void)endwin();
		for (int i = 0; i < 10 && put_out(t) == BUSY; i++)
			(void)condition(t, FAREWELL_MS / 10);
		delscreen(t->screen);
		(void)tcsetattr(STDIN_FILENO, TCSANOW, &t->before);
	}
	(void)fclose(t->page);
	if (t->tty >= 0)
		(void)close(t->tty);
	*t = (struct fl_terminal){ .tty = -1 };
}

void fl_terminal_size(const struct fl_terminal *t, unsigned *columns, unsigned *rows)
{
	(void)t;
	*columns = COLS < MOST_COLUMNS ? (unsigned)COLS : MOST_COLUMNS;
	*rows = LINES < MOST_ROWS ? (unsigned)LINES : MOST_ROWS;
}

/* True: it was another one. */
static bool take_size(void)
{
	struct winsize size;
	if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || !size.ws_row ||
	    !size.ws_col || (size.ws_row == LINES && size.ws_col == COLS))
		return false;
	return resize_term(size.ws_row, size.ws_col) == OK;
}

void fl_terminal_resize(struct fl_terminal *t)
{
	(void)t;
	(void)take_size();
	(void)clearok(curscr, TRUE);
}

/* ---- out ---- */

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
		const bool wide = c + 1 < columns && !cells[c + 1].point;
		n += put_cell(t, &t->line[n], &cells[c], wide);
		c += wide ? 2 : 1;
	}
	(void)mvadd_wchnstr((int)row, 0, t->line, n);
}

bool fl_terminal_show(struct fl_terminal *t, const struct fl_grid *grid)
{
	unsigned columns, rows;
	const enum condition c = put_out(t);
	if (c != READY)
		return c == BUSY;
	fl_terminal_size(t, &columns, &rows);
	columns = grid->columns < columns ? grid->columns : columns;
	(void)erase();
	for (unsigned r = 0; r < rows && r < grid->rows; r++)
		put_row(t, grid, r, columns);
	(void)refresh();
	return put_out(t) != GONE;
}

void fl_terminal_bell(struct fl_terminal *t)
{
	if (put_out(t) != READY)
		return;
	(void)beep();
	(void)put_out(t);
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
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		if (rows[i].result == result && rows[i].key == key)
			return rows[i].meaning;
	return result == OK && key <= 0x10ffff ? (int)key : FL_KEY_NONE;
}

int fl_terminal_key(struct fl_terminal *t)
{
	wint_t key;
	int result, told = FL_KEY_NONE;
	if (take_size()) {
		(void)clearok(curscr, TRUE);
		return FL_KEY_RESIZED;
	}
	while (told == FL_KEY_NONE && (result = wget_wch(stdscr, &key)) != ERR)
		told = meaning(result, key);
	if (told != FL_KEY_NONE)
		return told;
	return put_out(t) == GONE ? FL_KEY_LOST : FL_KEY_NONE;
}
