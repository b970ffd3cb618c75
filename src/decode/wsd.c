/* wsd.c -- which devices say that they came, are there, or go.
 *
 * Source  WS-Discovery 1.1 (see wsd.h); ONVIF Core Specification section 7
 *         (types and scopes of cameras), RFC 3986 section 2.1
 * Takes   one whole UDP payload, port 3702
 * Says    of Hello and of matches: IDENTITY, NUMBERED, SEQUENCE; of a Bye
 *         LEAVING and the numbers; of a Probe or Resolve: WANTS
 * Refuses what wsd_read.c refuses
 */
#include "decode/decode.h"
#include "decode/row_key.h"
#include "decode/wsd.h"

enum { TYPES_MAX = 8 };              /* told of one message */

/* What a type makes a device, from memory of the standards that have it. */
static const struct { const char *type, *kind; } kinds[] = {
	{ "NetworkVideoTransmitter", "camera" },
	{ "NetworkVideoDisplay", "display" },
	{ "PrintDeviceType", "printer" },
	{ "ScanDeviceType", "scanner" },
	{ "Computer", "computer" },
};

static const struct { const char *scope; enum fl_identity what; } scopes[] = {
	{ "onvif://www.onvif.org/name/", FL_ID_NAME },
	{ "onvif://www.onvif.org/hardware/", FL_ID_MODEL },
};

static bool is_blank(uint8_t c)
{
	return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* The next word of a list; empty: there is none. */
static struct fl_slice next_word(struct fl_cursor *c)
{
	while (fl_left(c) && is_blank(fl_peek(c)))
		fl_skip(c, 1);
	size_t n = 0;
	while (n < fl_left(c) && !is_blank(c->at[n]))
		n++;
	return fl_take(c, n);
}

static struct fl_cursor words_of(const struct fl_wsd *m, enum fl_wsd_part part)
{
	return fl_cursor(m->text[part].at, m->text[part].n);
}

/* Which prefix stands for a namespace is the sender's own affair. */
static struct fl_slice without_prefix(struct fl_slice type)
{
	const uint8_t *colon = type.n ? memchr(type.at, ':', type.n) : NULL;
	if (!colon)
		return type;
	const size_t before = (size_t)(colon - type.at) + 1;
	return (struct fl_slice){ colon + 1, type.n - before };
}

static bool is(struct fl_slice s, const char *text)
{
	return s.n == strlen(text) && memcmp(s.at, text, s.n) == 0;
}

static void say_identity(struct fl_facts *out, enum fl_identity what,
			 struct fl_slice text)
{
	struct fl_fact *f = fl_say(out, FL_FACT_IDENTITY);
	f->aspect = what;
	f->text = text;
}

static void say_types(const struct fl_wsd *m, struct fl_facts *out)
{
	struct fl_cursor words = words_of(m, FL_WSD_TYPES);
	for (size_t n = 0; n < TYPES_MAX; n++) {
		const struct fl_slice type = without_prefix(next_word(&words));
		if (!type.n)
			return;
		say_identity(out, FL_ID_SERVICE, fl_keep(out, type));
		for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
			if (is(type, kinds[i].type))
				say_identity(out, FL_ID_KIND,
					     fl_static(kinds[i].kind));
	}
}

/* RFC 3986 section 2.1: "%20" is one octet. */
static struct fl_slice kept_decoded(struct fl_facts *out, struct fl_slice s)
{
	uint8_t text[FL_WSD_TEXT_MAX];
	size_t n = 0;
	for (size_t i = 0; i < s.n && n < sizeof text; i++) {
		const bool room = s.at[i] == '%' && i + 2 < s.n;
		const int high = room ? fl_hex_digit(s.at[i + 1]) : -1;
		const int low = room ? fl_hex_digit(s.at[i + 2]) : -1;
		const bool coded = high >= 0 && low >= 0;
		text[n++] = (uint8_t)(coded ? high * 16 + low : s.at[i]);
		i += coded ? 2 : 0;
	}
	return fl_keep(out, (struct fl_slice){ text, n });
}

static void say_scope(struct fl_slice scope, struct fl_facts *out)
{
	for (size_t i = 0; i < sizeof scopes / sizeof scopes[0]; i++) {
		const size_t n = strlen(scopes[i].scope);
		if (scope.n <= n || memcmp(scope.at, scopes[i].scope, n) != 0)
			continue;
		const struct fl_slice rest = { scope.at + n, scope.n - n };
		say_identity(out, scopes[i].what, kept_decoded(out, rest));
	}
}

static void say_scopes(const struct fl_wsd *m, struct fl_facts *out)
{
	struct fl_cursor words = words_of(m, FL_WSD_SCOPES);
	struct fl_slice scope = next_word(&words);
	for (; scope.n; scope = next_word(&words))
		say_scope(scope, out);
}

/* Each endpoint of a host has its own: which, stands beside it. */
static void say_numbers(const struct fl_wsd *m, struct fl_facts *out)
{
	if (!m->sequenced)
		return;
	struct fl_fact *start = fl_say(out, FL_FACT_NUMBERED);
	start->text = fl_static("InstanceId");
	start->number = m->instance;
	start->third_text = fl_keep(out, fl_wsd_slice(m, FL_WSD_ENDPOINT));
	struct fl_fact *f = fl_say(out, FL_FACT_SEQUENCE);
	f->aspect = FL_SEQUENCE_MESSAGES;
	f->number = m->number;
	const uint8_t instance[] = {
		(uint8_t)(m->instance >> 24), (uint8_t)(m->instance >> 16),
		(uint8_t)(m->instance >> 8), (uint8_t)m->instance,
	};
	f->speeds = fl_row_key_add(FL_ROW_KEY,
		(struct fl_slice){ instance, sizeof instance });
	f->speeds = fl_row_key_add(f->speeds, fl_wsd_slice(m, FL_WSD_ENDPOINT));
	f->speeds = fl_row_key_add(f->speeds, fl_wsd_slice(m, FL_WSD_SEQUENCE));
}

static void say_present(const struct fl_wsd *m, struct fl_facts *out)
{
	say_types(m, out);
	say_scopes(m, out);
	say_numbers(m, out);
}

static void say_bye(const struct fl_wsd *m, struct fl_facts *out)
{
	struct fl_fact *f = fl_say(out, FL_FACT_LEAVING);
	f->aspect = FL_BY_SERVICES;
	f->text = fl_keep(out, fl_wsd_slice(m, FL_WSD_ENDPOINT));
	say_numbers(m, out);
}

static void say_wanted(struct fl_slice what, struct fl_facts *out)
{
	if (!what.n)
		return;
	struct fl_fact *f = fl_say(out, FL_FACT_WANTS);
	f->aspect = FL_WANTS_SERVICE;
	f->text = fl_keep(out, what);
}

static void say_probe(const struct fl_wsd *m, struct fl_facts *out)
{
	struct fl_cursor words = words_of(m, FL_WSD_TYPES);
	for (size_t n = 0; n < TYPES_MAX; n++)
		say_wanted(without_prefix(next_word(&words)), out);
}

enum fl_status fl_decode_wsd(const struct fl_packet *packet,
			     struct fl_cursor *c, struct fl_facts *out,
			     enum fl_manner *manner)
{
	(void)packet;
	struct fl_wsd m;
	if (fl_wsd_read(c, &m) != FL_OK)
		return c->status;
	switch (m.kind) {
	case FL_WSD_PROBE_MATCHES:
	case FL_WSD_RESOLVE_MATCHES:
		*manner = FL_ANSWER;
		say_present(&m, out);
		break;
	case FL_WSD_HELLO:
		say_present(&m, out);
		break;
	case FL_WSD_BYE:
		say_bye(&m, out);
		break;
	case FL_WSD_PROBE:
		say_probe(&m, out);
		break;
	case FL_WSD_RESOLVE:
		say_wanted(fl_wsd_slice(&m, FL_WSD_ENDPOINT), out);
		break;
	case FL_WSD_OTHER:
		break;
	}
	return FL_OK;
}
