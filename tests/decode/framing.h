/* framing.h -- read the headers of one frame on a tight heap copy, so that a
 * sanitizer sees each octet read beyond it. */
#ifndef FL_TESTS_DECODE_FRAMING_H
#define FL_TESTS_DECODE_FRAMING_H

#include "decode/decoding.h"

#define TO   "\x02\x00\x00\x00\x00\x01"
#define FROM "\x02\x00\x00\x00\x00\x02"
#define ETHERNET TO FROM

struct read {
	enum fl_status   status;
	struct fl_packet p;
};

/* `length` octets were on the wire, `captured` of them are here. */
static inline struct read read_cut(enum fl_link link, const uint8_t *octets,
				   size_t captured, size_t length)
{
	static uint8_t *tight;
	free(tight);
	tight = malloc(captured ? captured : 1);
	assert_non_null(tight);
	memcpy(tight, octets, captured);
	const struct fl_frame frame = { .at = tight, .link = (uint16_t)link,
		.captured = (uint32_t)captured, .length = (uint32_t)length };
	struct read r;
	r.status = fl_packet_read(&frame, &r.p);
	assert_int_equal(r.status, r.p.payload.status);
	return r;
}

static inline struct read read_frame(enum fl_link link, const uint8_t *octets,
				     size_t n)
{
	return read_cut(link, octets, n, n);
}

static inline struct read read_ethernet(const uint8_t *octets, size_t n)
{
	return read_frame(FL_LINK_ETHERNET, octets, n);
}

static inline void payload_is(const struct read *r, const char *octets, size_t n)
{
	struct fl_cursor c = r->p.payload;
	const struct fl_slice s = fl_rest(&c);
	assert_int_equal(s.n, n);
	assert_memory_equal(s.at, octets, n);
}

static inline void breaks(const struct read *r, const char *rule,
			  enum fl_layer layer)
{
	assert_int_equal(r->status, FL_MALFORMED);
	assert_memory_equal(r->p.payload.why, rule, strlen(rule));
	assert_int_equal(r->p.layer, layer);
}

/* Cut by the capture or cut on the wire: `reach[layer]` octets are what that
 * layer needs, and with fewer it is not claimed. */
static inline void claims_no_layer_it_has_not(enum fl_link link,
					      const uint8_t *octets, size_t n,
					      const size_t reach[static 4])
{
	for (size_t cut = 0; cut < n; cut++) {
		const struct read wire = read_frame(link, octets, cut);
		const struct read kept = read_cut(link, octets, cut, n);
		for (int layer = FL_LAYER_LINK; layer < 4; layer++) {
			const bool whole = cut >= reach[layer];
			assert_true(whole || (int)wire.p.layer < layer);
			assert_int_equal((int)kept.p.layer >= layer, whole);
		}
		assert_true(kept.p.payload_cut);
	}
}

#endif
