/* terminal.h -- a grid put on the terminal, and keys taken from it.
 *
 * Emphasis is bold, reverse and faint; colours are not used, so that NO_COLOR
 * asks for nothing more.
 *
 * Source  curses(3X); no-color.org
 * Owns    the terminal of standard input and output from fl_terminal_open()
 *         to fl_terminal_close(). It is also given back at exit() and when a
 *         fault ends the process
 * Errors  NULL from fl_terminal_open(): no terminal on both, or one that
 *         cannot move its cursor, and *error says which; print lines then. A
 *         terminal that goes away is told by fl_terminal_show() and
 *         FL_KEY_LOST, and ends nothing by itself
 * Ceiling one at a time, for curses knows only one
 */
#ifndef FL_CLI_TERMINAL_H
#define FL_CLI_TERMINAL_H

#include "base/error.h"
#include "cli/keys.h"
#include "render/screen.h"

enum fl_contrast { FL_CONTRAST_NORMAL, FL_CONTRAST_HIGH };

struct fl_terminal;

/* Sets the locale's character type from the environment. */
struct fl_terminal *fl_terminal_open(enum fl_contrast contrast,
				     struct fl_error *error);
/* Give the terminal back; NULL and a second call do nothing. */
void fl_terminal_close(struct fl_terminal *terminal);

/* Its size now, at most 400 x 200. Ask anew after FL_KEY_RESIZED. */
void fl_terminal_size(const struct fl_terminal *terminal, unsigned *columns,
		      unsigned *rows);
/* Take the new size, if it has one; what is shown next is put up whole. Also
 * found by fl_terminal_key(), which is enough to call at SIGWINCH. */
void fl_terminal_resize(struct fl_terminal *terminal);
/* Put up what changed. It never waits: as long as the terminal has not taken
 * all of the last grid, a new one is left out. False: there is no terminal any
 * more. */
bool fl_terminal_show(struct fl_terminal *terminal, const struct fl_grid *grid);
/* The next key typed, FL_KEY_NONE if none is; never waits. Call it until then
 * whenever standard input can be read. */
int fl_terminal_key(struct fl_terminal *terminal);
void fl_terminal_bell(struct fl_terminal *terminal);

#endif
