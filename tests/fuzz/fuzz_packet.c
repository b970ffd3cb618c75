/* fuzz_packet.c -- a whole frame through headers and the decoder that fits. The
 * first octet picks the link type. */
#include "decode/decode.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
	static const uint16_t links[] = { FL_LINK_ETHERNET, FL_LINK_COOKED, FL_LINK_COOKED2 };
	static struct fl_facts facts;
	if (n == 0)
		return 0;
	const struct fl_frame frame = { .at = data + 1, .captured = (uint32_t)(n - 1),
		.length = (uint32_t)(n - 1), .link = links[data[0] % 3] };
	struct fl_packet p;
	const enum fl_status status = fl_packet_read(&frame, &p);
	if (p.payload.at < data + 1 || p.payload.end > data + n || p.payload.at > p.payload.end)
		abort();
	if (status == FL_OK && p.layer == FL_LAYER_NONE)
		abort();
	const struct fl_decoder *d = status == FL_OK ? fl_decoder_for(&p) : NULL;
	if (!d)
		return 0;
	(void)fl_packet_udp_holds(&p);
	enum fl_manner manner;
	struct fl_cursor c = p.payload;
	facts.n = 0;
	if (fl_decode(d, &p, &c, &facts, &manner) != FL_OK && facts.n)
		abort();
	return 0;
}
