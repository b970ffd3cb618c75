/* ssdp_read.c -- the lines of an SSDP message.
 *
 * Refuses another start line; a field line without a colon; a missing empty
 *         line at the end; a message without the field it is about
 */
#include "decode/ssdp.h"

enum { NUMBER_MAX = 0x7fffffff };    /* section 1.2.2: 31 bits             */

static const struct {
	const char       *line;
	enum fl_ssdp_kind kind;
} starts[] = {
	{ "NOTIFY * HTTP/1.",   FL_SSDP_NOTIFY },
	{ "M-SEARCH * HTTP/1.", FL_SSDP_SEARCH },
	{ "HTTP/1.1 200",       FL_SSDP_RESPONSE },
	{ "HTTP/1.0 200",       FL_SSDP_RESPONSE },
};

static const struct {
	const char *name;
	size_t      to;
} fields[] = {
#define TO(member) offsetof(struct fl_ssdp, member)
	{ "HOST", TO(host) },           { "LOCATION", TO(location) },
	{ "SERVER", TO(server) },       { "USN", TO(usn) },
	{ "NT", TO(nt) },               { "NTS", TO(nts_text) },
	{ "ST", TO(st) },               { "MAN", TO(man) },
	{ "MX", TO(mx) },               { "CACHE-CONTROL", TO(cache) },
	{ "01-NLS", TO(nls) },          { "BOOTID.UPNP.ORG", TO(boot) },
	{ "NEXTBOOTID.UPNP.ORG", TO(next) },
	{ "CONFIGID.UPNP.ORG", TO(config) },
#undef TO
};

static const char *const nts_texts[] = {
	[FL_SSDP_ALIVE]  = "ssdp:alive",
	[FL_SSDP_BYEBYE] = "ssdp:byebye",
	[FL_SSDP_UPDATE] = "ssdp:update",
};

static uint8_t upper(uint8_t c)
{
	return c >= 'a' && c <= 'z' ? (uint8_t)(c - ('a' - 'A')) : c;
}

/* Whether `s` begins with `text`, in either case (RFC 9110 section 5.1). */
static bool begins(struct fl_slice s, const char *text)
{
	size_t i = 0;
	while (i < s.n && text[i] && upper(s.at[i]) == upper((uint8_t)text[i]))
		i++;
	return !text[i];
}

static bool is(struct fl_slice s, const char *text)
{
	return s.n == strlen(text) && begins(s, text);
}

static bool is_blank(uint8_t c)
{
	return c == ' ' || c == '\t' || c == '\r';
}

static void skip_blanks(struct fl_cursor *c)
{
	while (is_blank(fl_peek(c)))
		fl_skip(c, 1);
}

/* What is left, without blanks at both ends. */
static struct fl_slice trimmed(struct fl_cursor *c)
{
	skip_blanks(c);
	struct fl_slice s = fl_rest(c);
	while (s.n && is_blank(s.at[s.n - 1]))
		s.n--;
	return s;
}

/* RFC 9112 section 2.2: CRLF ends a line, and LF alone may. What has no end
 * was cut. */
static struct fl_cursor next_line(struct fl_cursor *c)
{
	const uint8_t *end = memchr(c->at, '\n', fl_left(c));
	if (!end)
		return fl_sub(c, fl_left(c) + 1);
	struct fl_cursor line = fl_sub(c, (size_t)(end - c->at));
	fl_skip(c, 1);
	return line;
}

static void read_start(struct fl_cursor *c, struct fl_ssdp *m)
{
	struct fl_cursor line = next_line(c), start = line;
	const struct fl_slice s = trimmed(&line);
	for (size_t i = 0; i < sizeof starts / sizeof starts[0]; i++)
		if (begins(s, starts[i].line)) {
			m->kind = starts[i].kind;
			return;
		}
	fl_refuse(&start, FL_MALFORMED,
		  "UPnP Device Architecture 1.1 section 1.1.1: start line");
	fl_join(c, &start);
}

static void read_field(struct fl_cursor *line, struct fl_ssdp *m)
{
	const uint8_t *colon = memchr(line->at, ':', fl_left(line));
	if (!colon) {
		fl_refuse(line, FL_MALFORMED,
			  "RFC 9112 section 5: a field line has a colon");
		return;
	}
	struct fl_cursor name = fl_sub(line, (size_t)(colon - line->at));
	const struct fl_slice field = trimmed(&name);
	fl_skip(line, 1);
	const struct fl_slice value = trimmed(line);
	for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++)
		if (is(field, fields[i].name))
			memcpy((unsigned char *)m + fields[i].to, &value,
			       sizeof value);
}

static void read_fields(struct fl_cursor *c, struct fl_ssdp *m)
{
	for (size_t i = 0; i < FL_SSDP_LINES_MAX && fl_ok(c); i++) {
		struct fl_cursor line = next_line(c), look = line;
		if (!trimmed(&look).n)
			return;
		read_field(&line, m);
		fl_join(c, &line);
	}
	fl_refuse(c, FL_FULL, "too many header fields");
}

/* The number that the octets left begin with; not told where there is none,
 * or none of 31 bits (section 1.2.2). */
static struct fl_ssdp_number number(struct fl_cursor *c)
{
	struct fl_ssdp_number n = { 0 };
	uint64_t value = 0;
	while (fl_peek(c) >= '0' && fl_peek(c) <= '9') {
		value = value * 10 + (uint64_t)(fl_u8(c) - '0');
		if (value > NUMBER_MAX)
			return (struct fl_ssdp_number){ 0 };
		n = (struct fl_ssdp_number){ true, (uint32_t)value };
	}
	return n;
}

static struct fl_ssdp_number number_in(struct fl_slice s)
{
	if (!s.n)
		return (struct fl_ssdp_number){ 0 };
	struct fl_cursor c = fl_cursor(s.at, s.n);
	return number(&c);
}

/* CACHE-CONTROL: max-age=1800, perhaps among other directives. */
static struct fl_ssdp_number max_age_in(struct fl_slice s)
{
	static const char key[] = "max-age";
	if (!s.n)
		return (struct fl_ssdp_number){ 0 };
	struct fl_cursor c = fl_cursor(s.at, s.n);
	while (fl_left(&c) &&
	       !begins((struct fl_slice){ c.at, fl_left(&c) }, key))
		fl_skip(&c, 1);
	if (!fl_left(&c))
		return (struct fl_ssdp_number){ 0 };
	fl_skip(&c, sizeof key - 1);
	while (is_blank(fl_peek(&c)) || fl_peek(&c) == '=')
		fl_skip(&c, 1);
	return number(&c);
}

static enum fl_ssdp_nts nts_of(struct fl_slice s)
{
	for (size_t i = 1; i < sizeof nts_texts / sizeof nts_texts[0]; i++)
		if (is(s, nts_texts[i]))
			return (enum fl_ssdp_nts)i;
	return FL_SSDP_NO_NTS;
}

/* What each kind of message is about has to be there. */
static const struct {
	enum fl_ssdp_kind kind;
	size_t            field;
	const char       *rule;
} required[] = {
#define UDA "UPnP Device Architecture 1.1 section "
	{ FL_SSDP_NOTIFY,   offsetof(struct fl_ssdp, nt),
	  UDA "1.2.2: NT is required" },
	{ FL_SSDP_NOTIFY,   offsetof(struct fl_ssdp, nts_text),
	  UDA "1.2.2: NTS is required" },
	{ FL_SSDP_SEARCH,   offsetof(struct fl_ssdp, st),
	  UDA "1.3.2: ST is required" },
	{ FL_SSDP_RESPONSE, offsetof(struct fl_ssdp, st),
	  UDA "1.3.3: ST is required" },
#undef UDA
};

static void check(struct fl_cursor *c, const struct fl_ssdp *m)
{
	for (size_t i = 0; i < sizeof required / sizeof required[0]; i++) {
		struct fl_slice field;
		memcpy(&field, (const unsigned char *)m + required[i].field,
		       sizeof field);
		if (m->kind == required[i].kind && !field.n)
			fl_refuse(c, FL_MALFORMED, required[i].rule);
	}
	if (m->kind == FL_SSDP_NOTIFY && !m->nts)
		fl_refuse(c, FL_UNSUPPORTED, "another NTS than these three");
}

enum fl_status fl_ssdp_read(struct fl_cursor *c, struct fl_ssdp *m)
{
	*m = (struct fl_ssdp){ 0 };
	read_start(c, m);
	read_fields(c, m);
	m->nts = nts_of(m->nts_text);
	m->max_age = max_age_in(m->cache);
	m->boot_id = number_in(m->boot);
	m->next_boot_id = number_in(m->next);
	m->config_id = number_in(m->config);
	check(c, m);
	return c->status;
}
