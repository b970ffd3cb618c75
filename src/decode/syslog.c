/* syslog.c -- a switch logs that a link went or came.
 *
 * Source  RFC 3164 section 4, RFC 5424 section 6
 * Takes   one whole UDP payload, port 514
 * Says    PORT, where the user's words or a pattern of syslog_patterns.def
 *         are found
 * Refuses structured data of another form
 */
#include "decode/decode.h"
#include "decode/syslog.h"

enum { PRIORITY_MAX = 191, PRIORITY_DIGITS = 3, USER_NOTICE = 13, SEVERITIES = 8 };

/* "<PRI>", or nothing: RFC 3164 section 4.3.3 takes what is none for text. */
static unsigned read_priority(struct fl_cursor *c, bool *told)
{
	struct fl_cursor look = *c;
	unsigned priority = 0, digits = 0;
	*told = false;
	if (fl_u8(&look) != '<')
		return USER_NOTICE;
	for (; fl_peek(&look) >= '0' && fl_peek(&look) <= '9' &&
	       digits < PRIORITY_DIGITS; digits++)
		priority = priority * 10 + (unsigned)(fl_u8(&look) - '0');
	if (!digits || fl_u8(&look) != '>' || priority > PRIORITY_MAX)
		return USER_NOTICE;
	*c = look;
	*told = true;
	return priority;
}

/* Up to the next blank, which is taken too. */
static struct fl_slice read_field(struct fl_cursor *c)
{
	const uint8_t *end = memchr(c->at, ' ', fl_left(c));
	const struct fl_slice field = fl_take(c, end ? (size_t)(end - c->at)
						     : fl_left(c) + 1);
	fl_skip(c, 1);
	return field;
}

/* Section 6.3: elements in brackets, where a quoted value may hold one behind
 * a backslash; or "-". */
static void skip_structured_data(struct fl_cursor *c)
{
	bool quoted = false;
	if (fl_peek(c) == '-') {
		fl_skip(c, 1);
		return;
	}
	if (fl_peek(c) != '[')
		fl_refuse(c, FL_MALFORMED,
			  "RFC 5424 section 6.3: structured data, or none");
	while (fl_peek(c) == '[') {
		uint8_t octet;
		do {
			octet = fl_u8(c);
			if (octet == '\\' && quoted)
				fl_skip(c, 1);
			quoted ^= octet == '"';
		} while (fl_ok(c) && (octet != ']' || quoted));
	}
}

/* What comes behind "1 ": time, host, application, process, kind of message. */
static void read_header(struct fl_cursor *c, struct fl_syslog *m)
{
	(void)read_field(c);
	(void)read_field(c);
	m->host = read_field(c);
	for (int i = 0; i < 3; i++)
		(void)read_field(c);
	skip_structured_data(c);
	if (fl_peek(c) == ' ')
		fl_skip(c, 1);
}

enum fl_status fl_syslog_read(struct fl_cursor *c, struct fl_syslog *m)
{
	*m = (struct fl_syslog){ .version = 0 };
	const unsigned priority = read_priority(c, &m->priority_told);
	m->facility = (uint8_t)(priority / SEVERITIES);
	m->severity = (uint8_t)(priority % SEVERITIES);
	m->version = m->priority_told && fl_left(c) >= 2 && c->at[0] == '1' &&
		     c->at[1] == ' ';
	if (m->version)
		read_header(c, m);
	m->text = fl_rest(c);
	return c->status;
}

enum fl_status fl_decode_syslog(const struct fl_packet *packet,
				struct fl_cursor *c, struct fl_facts *out,
				enum fl_manner *manner)
{
	(void)manner;
	struct fl_syslog m;
	struct fl_syslog_link link;
	if (fl_syslog_read(c, &m) != FL_OK ||
	    !fl_syslog_link(m.text, packet->log_words, &link))
		return c->status;
	struct fl_fact *f = fl_say_port(out);
	f->text = fl_static("syslog");
	f->other_text = link.port;
	f->port->link = link.up;
	f->port->enabled = !link.off;
	return FL_OK;
}
