/* keys.h -- what a key does while fairlead listens.
 *
 * Keys go in one by one; acts of somebody's hand come out through `hand`,
 * the rest is read from the fields. It touches no terminal.
 *
 * Shapes  a key is a Unicode code point or one of enum fl_key
 * Owns    the text being typed, in itself
 * Ceiling FL_KEYS_TYPED octets of a mark; what is typed beyond is not taken
 */
#ifndef FL_CLI_KEYS_H
#define FL_CLI_KEYS_H

#include "event/observation.h"

enum { FL_KEYS_TYPED = 200 };

/* Above every code point. */
enum fl_key {
	FL_KEY_NONE = -1,
	FL_KEY_ENTER = 0x110000, FL_KEY_ESCAPE, FL_KEY_BACKSPACE,
	FL_KEY_RESIZED,              /* the terminal has another size        */
	FL_KEY_LOST,                 /* there is no terminal any more        */
};

/* Where the keys are pressed; bits, for a key may serve in both. */
enum fl_keys_view { FL_KEYS_SCREEN = 1, FL_KEYS_WIGGLE = 2 };

struct fl_keys {
	enum fl_keys_view view;
	void (*hand)(void *context, enum fl_hand act, const char *text);
	void *context;
	int  rows;                   /* that can be chosen, set by the caller */
	int  chosen;                 /* -1: none                             */
	bool working;                /* somebody works on the network        */
	bool quit;
	bool typing;                 /* a mark; `typed` is its text          */
	char typed[FL_KEYS_TYPED + 1];
};

struct fl_keys fl_keys_begin(enum fl_keys_view view,
	void (*hand)(void *context, enum fl_hand act, const char *text),
	void *context);
void fl_keys_press(struct fl_keys *keys, int key);
/* The rows can be fewer than before: nothing is then chosen. */
void fl_keys_rows(struct fl_keys *keys, size_t rows);
/* What the keys are, in words: "m mark  n next device  ...". */
const char *fl_keys_words(enum fl_keys_view view, char *out, size_t room);

#endif
