/* fuzz_packet.c -- one frame: its headers, then the decoder that fits. The
 * first octet picks the link type and whether the capture cut the frame. */
#include "decode/decode.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);

static void hold(bool invariant)
{
	if (!invariant)
		abort();
}

/* What decode.h promises of each packet, whatever the octets. */
static void check_packet(const struct fl_packet *p, const struct fl_frame *f)
{
	const struct fl_cursor *c = &p->payload;
	hold(c->at >= f->at && c->at <= c->end &&
	     c->end <= f->at + f->captured);
	hold(c->status == FL_OK || c->why);
	hold(p->tags <= FL_VLANS_MAX);
	hold(p->layer != FL_LAYER_NONE || c->status != FL_OK);
	hold(p->layer == FL_LAYER_TRANSPORT || (!p->from_port && !p->to_port) ||
	     c->status != FL_OK);
	hold(!p->later_fragment || p->fragment);
	hold(!p->later_fragment || p->layer == FL_LAYER_NETWORK);
	if (p->layer == FL_LAYER_TRANSPORT)
		(void)fl_packet_udp_holds(p);
}

static void within(struct fl_slice s, const struct fl_frame *f)
{
	/* Static and joined texts of a decoder lie elsewhere, whole. */
	const uint8_t *end = f->at + f->captured;
	if (s.n && s.at >= f->at && s.at <= end)
		hold(s.at + s.n <= end);
}

static void decode(const struct fl_packet *p, const struct fl_frame *f)
{
	static struct fl_facts facts;
	const struct fl_decoder *d = fl_decoder_for(p);
	if (!d || p->payload.status != FL_OK)
		return;
	facts.n = 0;
	struct fl_cursor c = p->payload;
	enum fl_manner manner;
	const enum fl_status status = fl_decode(d, p, &c, &facts, &manner);
	hold(c.at >= p->payload.at && c.at <= p->payload.end);
	hold(status == FL_OK || (facts.n == 0 && c.why));
	for (size_t i = 0; i < facts.n; i++) {
		within(facts.at[i].text, f);
		within(facts.at[i].other_text, f);
		within(facts.at[i].third_text, f);
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
	static const uint16_t links[] = {
		FL_LINK_ETHERNET, FL_LINK_COOKED, FL_LINK_COOKED2, 105,
	};
	if (n == 0)
		return 0;
	const struct fl_frame frame = {
		.at = data + 1, .captured = (uint32_t)(n - 1),
		.length = (uint32_t)(n - 1 + (data[0] >> 4) * 64u),
		.link = links[data[0] % 4],
	};
	struct fl_packet packet;
	hold(fl_packet_read(&frame, &packet) == packet.payload.status);
	check_packet(&packet, &frame);
	decode(&packet, &frame);
	return 0;
}
