/* wsd_read.c -- the elements of a WS-Discovery message, by expat.
 *
 * Source  see wsd.h; Extensible Markup Language 1.0 (Fifth Edition)
 * Refuses a document type declaration, and with it all entities; text that
 *         is no XML, or no envelope
 *
 * A parser is made for each message and dies with it. So this decoder does
 * allocate, but only through the hooks below, which stop at a ceiling. The
 * hash's salt is fixed: the parser else asks the kernel for one, which is
 * not allowed while listening, and so few octets make no long chains.
 */
#include "decode/wsd.h"

#include <expat.h>
#include <stdlib.h>

enum { SALT = 0x5eed, SEPARATOR = '|' };
enum { AT_HEADER = 3, AT_BODY = 3, BELOW_BODY = 4 };

/* expat's hooks pass no context. */
static _Thread_local size_t memory_left;

static bool spend(size_t n)
{
	const bool enough = n <= memory_left;
	memory_left -= enough ? n : memory_left;
	return enough;
}

static void *allocate(size_t n)
{
	return spend(n) ? malloc(n) : NULL;
}

static void *reallocate(void *at, size_t n)
{
	return spend(n) ? realloc(at, n) : NULL;
}

struct reading {
	XML_Parser     parser;
	struct fl_wsd *m;
	unsigned       depth;
	struct fl_wsd_text *into;    /* the text of this element, or NULL  */
	enum fl_status status;       /* why the parser was stopped         */
	const char    *why;
};

static void stop(struct reading *r, enum fl_status status, const char *why)
{
	r->status = status;
	r->why = why;
	(void)XML_StopParser(r->parser, XML_FALSE);
}

static void on_doctype(void *context, const XML_Char *name, const XML_Char *system,
		       const XML_Char *public, int has_internal)
{
	(void)name, (void)system, (void)public, (void)has_internal;
	stop(context, FL_MALFORMED,
	     "SOAP Version 1.2 section 5: no document type declaration");
}

static void add(struct fl_wsd_text *to, const char *from, size_t n)
{
	const size_t room = sizeof to->at - to->n;
	if (n > room)
		n = room;
	memcpy(to->at + to->n, from, n);
	to->n += n;
}

static void on_text(void *context, const XML_Char *text, int n)
{
	const struct reading *r = context;
	if (r->into)
		add(r->into, text, (size_t)n);
}

/* The name without its namespace, which is one of the two. */
static const char *discovery_name(const char *name)
{
	static const char *const namespaces[] = {
		"http://docs.oasis-open.org/ws-dd/ns/discovery/2009/01",
		"http://schemas.xmlsoap.org/ws/2005/04/discovery",
	};
	for (size_t i = 0; i < sizeof namespaces / sizeof namespaces[0]; i++) {
		const size_t n = strlen(namespaces[i]);
		if (strncmp(name, namespaces[i], n) == 0 && name[n] == SEPARATOR)
			return name + n + 1;
	}
	return NULL;
}

static const char *local_name(const char *name)
{
	const char *local = strrchr(name, SEPARATOR);
	return local ? local + 1 : name;
}

static bool number_in(const char *text, uint32_t *number)
{
	uint64_t n = 0;
	const char *at = text;
	for (; *at >= '0' && *at <= '9' && n <= UINT32_MAX; at++)
		n = n * 10 + (uint64_t)(*at - '0');
	*number = (uint32_t)n;
	return at > text && !*at && n <= UINT32_MAX;
}

/* WS-Discovery 1.1 section 7: both numbers have to be there. */
static void read_sequence(const XML_Char **attributes, struct fl_wsd *m)
{
	bool instance = false, number = false;
	for (size_t i = 0; attributes[i]; i += 2) {
		const char *name = attributes[i], *value = attributes[i + 1];
		if (strcmp(name, "InstanceId") == 0)
			instance = number_in(value, &m->instance);
		else if (strcmp(name, "MessageNumber") == 0)
			number = number_in(value, &m->number);
		else if (strcmp(name, "SequenceId") == 0)
			add(&m->text[FL_WSD_SEQUENCE], value, strlen(value));
	}
	m->sequenced = instance && number;
}

static const char *const kinds[] = {
	[FL_WSD_HELLO] = "Hello", [FL_WSD_BYE] = "Bye", [FL_WSD_PROBE] = "Probe",
	[FL_WSD_PROBE_MATCHES] = "ProbeMatches", [FL_WSD_RESOLVE] = "Resolve",
	[FL_WSD_RESOLVE_MATCHES] = "ResolveMatches",
};

static void read_kind(const char *name, struct fl_wsd *m)
{
	for (size_t i = 1; i < sizeof kinds / sizeof kinds[0]; i++)
		if (strcmp(name, kinds[i]) == 0)
			m->kind = (enum fl_wsd_kind)i;
}

/* Texts that are kept, the first of each, and where they stand. */
static const struct {
	const char      *name;
	bool             in_header;
	enum fl_wsd_part part;
} texts[] = {
	{ "Action", true, FL_WSD_ACTION },
	{ "MessageID", true, FL_WSD_MESSAGE },
	{ "Address", false, FL_WSD_ENDPOINT },
	{ "Types", false, FL_WSD_TYPES },
	{ "Scopes", false, FL_WSD_SCOPES },
	{ "MetadataVersion", false, FL_WSD_VERSION },
};

static void begin_text(struct reading *r, const char *name)
{
	const char *local = local_name(name);
	r->into = NULL;
	for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
		const bool here = texts[i].in_header
			? r->depth == AT_HEADER && r->m->kind == FL_WSD_OTHER
			: r->depth >= BELOW_BODY && r->m->kind != FL_WSD_OTHER;
		struct fl_wsd_text *text = &r->m->text[texts[i].part];
		if (here && strcmp(local, texts[i].name) == 0 && !text->n)
			r->into = text;
	}
}

static void on_start(void *context, const XML_Char *name,
		     const XML_Char **attributes)
{
	struct reading *r = context;
	const char *discovery = discovery_name(name);
	r->depth++;
	if (r->depth > FL_WSD_DEPTH_MAX)
		stop(r, FL_FULL, "too many elements in each other");
	else if (r->depth == 1 && strcmp(local_name(name), "Envelope") != 0)
		stop(r, FL_MALFORMED,
		     "SOAP Version 1.2 section 5.1: a message is an Envelope");
	begin_text(r, name);
	if (!discovery || r->depth != AT_BODY)
		return;
	if (strcmp(discovery, "AppSequence") == 0)
		read_sequence(attributes, r->m);
	else
		read_kind(discovery, r->m);
}

static void on_end(void *context, const XML_Char *name)
{
	struct reading *r = context;
	(void)name;
	r->depth--;
	r->into = NULL;
}

/* A text that ends before its time was cut; what the parser asked for beyond
 * its memory is too much; all else is no XML. */
static void judge(struct reading *r)
{
	switch (XML_GetErrorCode(r->parser)) {
	case XML_ERROR_ABORTED:
		break;
	case XML_ERROR_NO_ELEMENTS:
	case XML_ERROR_UNCLOSED_TOKEN:
	case XML_ERROR_PARTIAL_CHAR:
	case XML_ERROR_UNCLOSED_CDATA_SECTION:
		r->status = FL_SHORT;
		r->why = "text ends within an element";
		break;
	case XML_ERROR_NO_MEMORY:
		r->status = FL_FULL;
		r->why = "message asks for too much memory";
		break;
	default:
		r->status = FL_MALFORMED;
		r->why = "Extensible Markup Language 1.0 section 2.1: "
			 "a document is well-formed";
		break;
	}
}

static void parse(struct reading *r, struct fl_slice s)
{
	XML_SetUserData(r->parser, r);
	(void)XML_SetHashSalt(r->parser, SALT);
	XML_SetElementHandler(r->parser, on_start, on_end);
	XML_SetCharacterDataHandler(r->parser, on_text);
	XML_SetStartDoctypeDeclHandler(r->parser, on_doctype);
	if (XML_Parse(r->parser, (const char *)s.at, (int)s.n, XML_TRUE) !=
	    XML_STATUS_OK)
		judge(r);
}

/* Stick a refusal at the octet where the parser stood. */
static void refuse(struct fl_cursor *c, struct fl_cursor from, const struct reading *r)
{
	const XML_Index at = XML_GetCurrentByteIndex(r->parser);
	fl_skip(&from, at > 0 && (size_t)at < fl_left(&from) ? (size_t)at : 0);
	fl_skip(&from, 0);
	fl_refuse(&from, r->status, r->why);
	fl_join(c, &from);
}

enum fl_status fl_wsd_read(struct fl_cursor *c, struct fl_wsd *m)
{
	static const XML_Memory_Handling_Suite memory = {
		allocate, reallocate, free,
	};
	static const char separator[] = { SEPARATOR, '\0' };
	*m = (struct fl_wsd){ .kind = FL_WSD_OTHER };
	const struct fl_cursor from = *c;
	struct fl_slice s = fl_rest(c);
	while (s.n && s.at[s.n - 1] == '\0')     /* some senders close it so */
		s.n--;
	if (s.n > FL_WSD_OCTETS_MAX)
		fl_refuse(c, FL_FULL, "message too long");
	if (!fl_ok(c))
		return c->status;
	memory_left = FL_WSD_MEMORY_MAX;
	struct reading r = { .m = m,
		.parser = XML_ParserCreate_MM(NULL, &memory, separator) };
	if (!r.parser) {
		fl_refuse(c, FL_NO_MEMORY, "no memory for a parser");
		return c->status;
	}
	parse(&r, s);
	if (r.status != FL_OK)
		refuse(c, from, &r);
	XML_ParserFree(r.parser);
	return c->status;
}
