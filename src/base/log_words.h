/* log_words.h -- how the switches of one boat log a link, as its user says.
 *
 * In a text a blank stands for blanks and the marks between words, `%` for the
 * name of a port; all else is itself, in either case.
 *
 * Owns    nothing: whoever says them keeps them
 */
#ifndef FL_BASE_LOG_WORDS_H
#define FL_BASE_LOG_WORDS_H

#include <stdbool.h>
#include <stddef.h>

struct fl_log_word { const char *text; bool up; };

struct fl_log_words { size_t n; const struct fl_log_word *at; };

#endif
