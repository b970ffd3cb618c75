/* iec450.h -- one datagram of sentences, each with what was said before it.
 *
 * Source  IEC 61162-450 clause 7.2 (datagram, TAG block); IEC 61162-1 clause
 *         7 (sentence). Forms of fields from memory.
 * Owns    nothing: all slices borrow the datagram
 * Ceiling FL_IEC450_LINES_MAX lines, else FL_FULL
 */
#ifndef FL_DECODE_IEC450_H
#define FL_DECODE_IEC450_H

#include "decode/decode.h"

enum { FL_IEC450_LINES_MAX = FL_FACTS_MAX };

/* A parameter that was not there is a slice with `at` NULL. */
struct fl_iec450_line {
	struct fl_slice source;      /* s: system function, "GP0001"       */
	struct fl_slice destination; /* d                                  */
	bool            counted;     /* n was there, and a line count      */
	uint16_t        number;      /* n: 1 to 999, some send 0 too       */
	struct fl_slice sentence;    /* "$GPRMC,...*6A", its end left out  */
};

/* Read the token that begins a datagram of sentences. Returns c->status;
 * files and other messages are FL_UNSUPPORTED. */
enum fl_status fl_iec450_begin(struct fl_cursor *c);
/* The next line. False: there is none, or c->status says why. */
bool fl_iec450_next(struct fl_cursor *c, struct fl_iec450_line *line);

#endif
