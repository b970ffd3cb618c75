/* stp.c -- where a bridge stands in the spanning tree, and that it changes.
 *
 * Source  IEEE Std 802.1D-2004 clause 9; IEEE Std 802.1Q clause 14 (version
 *         3: the part it shares with version 2)
 * Says    TOPOLOGY
 * Refuses a rapid BPDU of an old version or with a version 1 part
 */
#include "decode/decode.h"
#include "decode/stp.h"

#include <stdio.h>

enum { IDENTIFIER = 8, RAPID_VERSION = 2 };

static void read_body(struct fl_cursor *c, struct fl_bpdu *b)
{
	b->flags = fl_u8(c);
	b->root = fl_take(c, IDENTIFIER);
	b->cost = fl_u32(c);
	b->bridge = fl_take(c, IDENTIFIER);
	b->port = fl_u16(c);
	b->message_age = fl_u16(c);
	b->max_age = fl_u16(c);
	b->hello = fl_u16(c);
	b->forward_delay = fl_u16(c);
}

static void read_rapid(struct fl_cursor *c, struct fl_bpdu *b)
{
	if (b->version < RAPID_VERSION)
		fl_refuse(c, FL_MALFORMED, "IEEE Std 802.1D-2004 section 9.3.4: "
			  "a rapid BPDU has version 2 or more");
	read_body(c, b);
	if (fl_u8(c) != 0)
		fl_refuse(c, FL_MALFORMED, "IEEE Std 802.1D-2004 section 9.3.3: "
			  "version 1 length 0");
}

enum fl_status fl_bpdu_read(struct fl_cursor *c, struct fl_bpdu *bpdu)
{
	*bpdu = (struct fl_bpdu){ .version = 0 };
	if (fl_u16(c) != 0)
		fl_refuse(c, FL_UNSUPPORTED, "no spanning tree protocol");
	bpdu->version = fl_u8(c);
	bpdu->type = fl_u8(c);
	switch (bpdu->type) {
	case FL_BPDU_CONFIG: read_body(c, bpdu); break;
	case FL_BPDU_RAPID:  read_rapid(c, bpdu); break;
	case FL_BPDU_CHANGE: break;
	default: fl_refuse(c, FL_UNSUPPORTED, "type of BPDU"); break;
	}
	return c->status;
}

/* A bridge identifier (section 9.2.5) as people write it: priority, dot,
 * MAC. "" where there is none. */
static struct fl_slice identifier(struct fl_facts *out, struct fl_slice id)
{
	char text[24], mac[FL_MAC_TEXT];
	struct fl_cursor c = fl_cursor(id.at, id.n);
	const unsigned priority = fl_u16(&c);
	const struct fl_mac address = fl_mac(&c);
	if (!fl_ok(&c))
		return (struct fl_slice){ NULL, 0 };
	const int n = snprintf(text, sizeof text, "%u.%s", priority,
			       fl_mac_text(address, mac));
	return fl_keep(out, (struct fl_slice){ (const uint8_t *)text, (size_t)n });
}

enum fl_status fl_decode_stp(const struct fl_packet *packet, struct fl_cursor *c,
			     struct fl_facts *out, enum fl_manner *manner)
{
	(void)packet, (void)manner;
	struct fl_bpdu b;
	if (fl_bpdu_read(c, &b) != FL_OK)
		return c->status;
	struct fl_fact *f = fl_say(out, FL_FACT_TOPOLOGY);
	f->text = identifier(out, b.root);
	f->other_text = identifier(out, b.bridge);
	f->number = b.type == FL_BPDU_CHANGE ||
		    (b.flags & FL_BPDU_TOPOLOGY_CHANGE);
	return FL_OK;
}
