/* decoding.h -- run one decoder over octets on a tight heap copy, so that a
 * sanitizer sees each octet read beyond them. */
#ifndef FL_TESTS_DECODE_DECODING_H
#define FL_TESTS_DECODE_DECODING_H

#include "test.h"

#include "decode/decode.h"

#define OCTETS(text) (const uint8_t *)(text), sizeof(text) - 1

/* Texts of `facts` borrow `octets`, freed by the next run: the tests below
 * look at them before. */
struct run {
	enum fl_status  status;
	const char     *why;
	size_t          where;
	enum fl_manner  manner;
	struct fl_facts facts;
	uint8_t        *octets;
};

static inline const struct fl_decoder *decoder_of(const char *name)
{
	for (size_t i = 0; i < fl_decoder_count; i++)
		if (strcmp(fl_decoders[i].name, name) == 0)
			return &fl_decoders[i];
	fail_msg("no decoder %s", name);
	return NULL;
}

static inline const struct run *run_decoder(const char *name,
					    const struct fl_packet *packet,
					    const uint8_t *octets, size_t n)
{
	static struct run r;
	free(r.octets);
	r = (struct run){ .octets = malloc(n ? n : 1) };
	assert_non_null(r.octets);
	memcpy(r.octets, octets, n);
	struct fl_cursor c = fl_cursor(r.octets, n);
	r.status = fl_decode(decoder_of(name), packet, &c, &r.facts, &r.manner);
	r.why = c.why;
	r.where = c.where;
	return &r;
}

/* Cut anywhere, a message says nothing. */
static inline void refuses_every_truncation(const char *name,
					    const struct fl_packet *packet,
					    const uint8_t *octets, size_t n)
{
	for (size_t cut = 0; cut < n; cut++) {
		const struct run *r = run_decoder(name, packet, octets, cut);
		assert_int_not_equal(r->status, FL_OK);
		assert_int_equal(r->facts.n, 0);
	}
}

static inline void refuses(const struct run *r, const char *rule, size_t where)
{
	assert_int_equal(r->status, FL_MALFORMED);
	assert_non_null(r->why);
	assert_memory_equal(r->why, rule, strlen(rule));
	assert_int_equal(r->where, where);
	assert_int_equal(r->facts.n, 0);
}

static inline void is_text(struct fl_slice s, const char *text)
{
	assert_int_equal(s.n, strlen(text));
	assert_memory_equal(s.at, text, s.n);
}

static inline struct fl_ip ip_of(const char *text)
{
	struct fl_ip ip;
	assert_true(fl_ip_parse(text, strlen(text), &ip));
	return ip;
}

static inline struct fl_mac mac_of(const char *text)
{
	struct fl_mac mac;
	assert_true(fl_mac_parse(text, strlen(text), &mac));
	return mac;
}

static inline void is_ip(struct fl_ip ip, const char *text)
{
	char is[FL_IP_TEXT];
	assert_string_equal(fl_ip_text(ip, is), text);
}

static inline void is_mac(struct fl_mac mac, const char *text)
{
	char is[FL_MAC_TEXT];
	assert_string_equal(fl_mac_text(mac, is), text);
}

static inline void is_fact(const struct fl_fact *f, enum fl_fact_kind kind,
			   unsigned aspect)
{
	assert_int_equal(f->kind, kind);
	assert_int_equal(f->aspect, aspect);
}

#endif
