/* wsd.h -- one WS-Discovery message.
 *
 * Source  WS-Discovery 1.1 (OASIS, 2009) and its forerunner of April 2005:
 *         sections 4 to 7; SOAP Version 1.2 section 5
 * Owns    its texts: they are copied, for XML is not read as it stands
 * Ceiling FL_WSD_OCTETS_MAX octets, FL_WSD_DEPTH_MAX elements in each other,
 *         FL_WSD_MEMORY_MAX octets asked for by the parser in all; else
 *         FL_FULL. A text keeps its first FL_WSD_TEXT_MAX octets.
 */
#ifndef FL_DECODE_WSD_H
#define FL_DECODE_WSD_H

#include "base/cursor.h"

enum {
	FL_WSD_OCTETS_MAX = 8192, FL_WSD_DEPTH_MAX = 24,
	FL_WSD_MEMORY_MAX = 1 << 16, FL_WSD_TEXT_MAX = 512,
};

enum fl_wsd_kind {
	FL_WSD_OTHER, FL_WSD_HELLO, FL_WSD_BYE, FL_WSD_PROBE,
	FL_WSD_PROBE_MATCHES, FL_WSD_RESOLVE, FL_WSD_RESOLVE_MATCHES,
};

enum fl_wsd_part {
	FL_WSD_ACTION, FL_WSD_MESSAGE, FL_WSD_ENDPOINT, FL_WSD_TYPES,
	FL_WSD_SCOPES, FL_WSD_VERSION, FL_WSD_SEQUENCE, FL_WSD_PARTS,
};

struct fl_wsd_text { size_t n; uint8_t at[FL_WSD_TEXT_MAX]; };

/* Of several matches in an answer, the first. */
struct fl_wsd {
	enum fl_wsd_kind kind;
	bool     sequenced;          /* the next two are told            */
	uint32_t instance, number;
	struct fl_wsd_text text[FL_WSD_PARTS];   /* empty: not there     */
};

/* Read one whole UDP payload. Returns c->status. */
enum fl_status fl_wsd_read(struct fl_cursor *c, struct fl_wsd *message);

static inline struct fl_slice fl_wsd_slice(const struct fl_wsd *m,
					   enum fl_wsd_part part)
{
	return (struct fl_slice){ m->text[part].at, m->text[part].n };
}

#endif
