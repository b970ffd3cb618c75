/* text.h -- text from the wire made harmless, and text being built.
 *
 * Source  RFC 3629 section 3 (which octets are UTF-8); Unicode Standard
 *         Annex 9 (the marks that turn the reading direction)
 * Owns    fl_text owns its buffer from fl_text_init() to fl_text_close()
 * Errors  a builder that would pass its ceiling keeps what it has and sets
 *         `full`; nothing is half written within one call
 */
#ifndef FL_BASE_TEXT_H
#define FL_BASE_TEXT_H

#include "base/cursor.h"

#include <stdarg.h>

enum { FL_TEXT_MAX = 255 };   /* octets of one cleaned text, NUL left out */
enum { FL_TIMES_TEXT = 32 };

/* Copy `s` to `out`: valid UTF-8, no control characters (C0, DEL, C1), no
 * direction marks, no line or paragraph separators, at most FL_TEXT_MAX
 * octets and cut between characters. What is not allowed becomes '?';
 * spaces at both ends are dropped. Returns the octets written. */
size_t fl_text_clean(struct fl_slice s, char out[static FL_TEXT_MAX + 1]);

struct fl_text {
	char  *at;         /* closed by a NUL, never NULL after init          */
	size_t n;          /* octets, NUL left out                            */
	size_t room;
	size_t ceiling;
	bool   full;
};

/* An empty builder of at most `ceiling` octets. False: no memory. */
bool fl_text_init(struct fl_text *text, size_t ceiling);
void fl_text_close(struct fl_text *text);
void fl_text_add(struct fl_text *text, const char *format, ...)
	__attribute__((format(printf, 2, 3)));
void fl_text_add_list(struct fl_text *text, const char *format, va_list args);
/* "once", "7 times". */
const char *fl_times(uint64_t n, char out[static FL_TIMES_TEXT]);
/* Columns that a UTF-8 text takes, one a code point. */
size_t fl_text_columns(const char *text);

#endif
