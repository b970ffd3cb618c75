/* syslog.h -- one line of a log that was sent.
 *
 * Owns    nothing: all slices borrow the message
 * Ceiling FL_SYSLOG_LOOKED_AT octets of the text are compared with patterns; a
 *         port's name has FL_SYSLOG_PORT_MAX at most
 */
#ifndef FL_DECODE_SYSLOG_H
#define FL_DECODE_SYSLOG_H

#include "base/cursor.h"
#include "base/log_words.h"

/* RFC 5424 section 6.1: what a receiver should be able to take; judgement for
 * a name. */
enum { FL_SYSLOG_LOOKED_AT = 2048, FL_SYSLOG_PORT_MAX = 64 };

struct fl_syslog {
	bool    priority_told;
	uint8_t facility, severity;  /* RFC 3164 section 4.3.3: else 1, 5  */
	uint8_t version;             /* 0: RFC 3164                        */
	struct fl_slice host;        /* RFC 5424 only; "-" is none         */
	struct fl_slice text;        /* of RFC 3164, time and host too     */
};

/* What a text says of a port's link. */
struct fl_syslog_link {
	struct fl_slice port;
	bool up;
	bool off;                    /* administratively: a hand did it    */
};

/* Read one whole UDP payload. Returns c->status. */
enum fl_status fl_syslog_read(struct fl_cursor *c, struct fl_syslog *message);
/* Whether one of these, or else of the patterns, is found in `text`. */
bool fl_syslog_link(struct fl_slice text, struct fl_log_words words,
		    struct fl_syslog_link *link);

#endif
