/* fuzz_decode.c -- one source for every decoder's fuzz target; CMake
 * defines FL_FUZZED as the decoder's row number in decoders.def. */
#include "decode/decode.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);

static void within(struct fl_slice s, const uint8_t *data, size_t n)
{
	/* Static texts of the decoder lie elsewhere; both ends must then. */
	const bool starts = s.at >= data && s.at <= data + n;
	if (s.n && starts && s.at + s.n > data + n)
		abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
	static struct fl_facts f;
	f.n = 0;
	struct fl_cursor c = fl_cursor(data, n);
	const struct fl_decoder *d = &fl_decoders[FL_FUZZED];
	struct fl_packet packet = { .layer = FL_LAYER_TRANSPORT,
		.from_port = d->last, .to_port = d->first,
		/* fe80::1 to ff02::1, as RFC 4861 section 6.1.2 wants them. */
		.hops = 255, .from = { { 0xfe, 0x80, [15] = 1 } },
		.to = { { 0xff, 0x02, [15] = 1 } } };
	enum fl_manner manner;
	const enum fl_status status = fl_decode(d, &packet, &c, &f, &manner);

	if (c.at < c.start || c.at > c.end || (status != FL_OK && f.n))
		abort();
	if (status == FL_MALFORMED && !c.why)
		abort();
	for (size_t i = 0; i < f.n; i++) {
		within(f.at[i].text, data, n);
		within(f.at[i].other_text, data, n);
		within(f.at[i].third_text, data, n);
	}
	return 0;
}
