/* Network and transport headers: IPv4, IPv6 with its extensions, UDP, TCP. */
#include "decode/framing.h"

#define ETHERNET4 ETHERNET "\x08\x00"
#define ETHERNET6 ETHERNET "\x86\xdd"
#define FROM4 "\xc0\x00\x02\x01"
#define TO4   "\xc0\x00\x02\xc7"
/* RFC 791 section 3.1. The sum is left 0: only one test looks at it. */
#define IP4(first, length, fragment, protocol) \
	first "\0" length "\x12\x34" fragment "\x40" protocol "\0\0" FROM4 TO4
#define UDP "\x11"
#define TCP "\x06"
#define WHOLE "\0\0"
#define PORTS "\x14\xe9\x14\xe9"

/* RFC 8200 section 3, from 2001:db8::1 to 2001:db8::2. */
#define FROM6 "\x20\x01\x0d\xb8\0\0\0\0\0\0\0\0\0\0\0\x01"
#define TO6   "\x20\x01\x0d\xb8\0\0\0\0\0\0\0\0\0\0\0\x02"
#define IP6(length, next) "\x60\0\0\0" length next "\xff" FROM6 TO6

/* Common practice: the header 4500 0073 0000 4000 4011 b861 c0a8 0001 c0a8
 * 00c7, which textbooks take for an example, from memory. */
#define SUMMED(sum) "\x45\0\0\x73\0\0\x40\0\x40\x11" sum \
	"\xc0\xa8\x00\x01\xc0\xa8\x00\xc7"

static void tells_a_header_sum_that_holds_from_one_that_does_not(void **state)
{
	(void)state;
	uint8_t frame[14 + 0x73] = { 0 };
	memcpy(frame, ETHERNET4 SUMMED("\xb8\x61"), 34);
	frame[39] = 0x5f;                        /* UDP length: all the rest */
	struct read r = read_ethernet(frame, sizeof frame);
	assert_int_equal(r.status, FL_OK);
	assert_false(r.p.header_sum_bad);
	frame[25] ^= 1;
	r = read_ethernet(frame, sizeof frame);
	assert_int_equal(r.status, FL_OK);       /* told, and not refused */
	assert_true(r.p.header_sum_bad);
}

/* RFC 791 section 3.1; RFC 768. */
static void reads_addresses_protocol_hops_and_ports(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x20", WHOLE, UDP) PORTS "\0\x0c\0\0" "body"));
	assert_int_equal(r.status, FL_OK);
	assert_int_equal(r.p.layer, FL_LAYER_TRANSPORT);
	is_ip(r.p.from, "192.0.2.1");
	is_ip(r.p.to, "192.0.2.199");
	assert_int_equal(r.p.protocol, 17);
	assert_int_equal(r.p.hops, 64);
	assert_int_equal(r.p.identification, 0x1234);
	assert_int_equal(r.p.from_port, 5353);
	assert_int_equal(r.p.to_port, 5353);
	assert_false(r.p.fragment);
	payload_is(&r, "body", 4);
	assert_string_equal(fl_decoder_for(&r.p)->name, "mdns");
}

/* RFC 791 section 3.1: the header length counts its options. */
static void ipv4_options_are_passed(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x46", "\0\x20", WHOLE, "\x02") "\x94\x04\0\0" "igmpbody"));
	assert_int_equal(r.p.layer, FL_LAYER_NETWORK);
	payload_is(&r, "igmpbody", 8);
	assert_string_equal(fl_decoder_for(&r.p)->name, "igmp");
}

/* IEEE Std 802.3 section 3.2.8 pads short frames; RFC 894 says that the
 * padding is no part of the packet. */
static void the_total_length_cuts_off_padding(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x16", WHOLE, "\x02") "ab" "\0\0\0\0\0\0\0\0"));
	assert_int_equal(r.status, FL_OK);
	assert_false(r.p.payload_cut);
	payload_is(&r, "ab", 2);
}

static void ipv4_lengths_that_break_their_rule_are_refused(void **state)
{
	(void)state;
	const struct { const char *octets, *rule; } bad[] = {
		{ IP4("\x55", "\0\x14", WHOLE, UDP), "RFC 791 section 3.1: version" },
		{ IP4("\x44", "\0\x14", WHOLE, UDP), "RFC 791 section 3.1: header" },
		{ IP4("\x45", "\0\x13", WHOLE, UDP), "RFC 791 section 3.1: total" },
		{ IP4("\x46", "\0\x14", WHOLE, UDP), "RFC 791 section 3.1: total" },
		{ IP4("\x45", "\0\x15", WHOLE, UDP), "RFC 791 section 3.1: total" },
	};
	for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
		uint8_t frame[34];
		memcpy(frame, ETHERNET4, 14);
		memcpy(frame + 14, bad[i].octets, 20);
		const struct read r = read_ethernet(frame, sizeof frame);
		breaks(&r, bad[i].rule, FL_LAYER_LINK);
		assert_null(fl_decoder_for(&r.p));
	}
}

/* RFC 791 section 3.1: bit 2 of the flags says more fragments, the offset
 * counts units of 8 octets; bit 1, do not fragment, makes no fragment. */
static void only_the_first_fragment_has_ports(void **state)
{
	(void)state;
	struct read r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x1c", "\x40\0", UDP) PORTS "\0\x08\0\0"));
	assert_false(r.p.fragment);
	/* Its length of 1408 is that of all fragments together. */
	r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x1c", "\x20\0", UDP) PORTS "\x05\x80\0\0"));
	assert_int_equal(r.status, FL_OK);
	assert_int_equal(r.p.layer, FL_LAYER_TRANSPORT);
	assert_true(r.p.fragment);
	assert_false(r.p.later_fragment);
	assert_int_equal(r.p.to_port, 5353);
	r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x1c", "\0\x01", UDP) PORTS "\0\x08\0\0"));
	assert_int_equal(r.status, FL_OK);
	assert_int_equal(r.p.layer, FL_LAYER_NETWORK);
	assert_true(r.p.later_fragment);
	assert_int_equal(r.p.to_port, 0);
	assert_null(fl_decoder_for(&r.p));
}

/* RFC 791 section 3.1: the offset has 13 bits, and its first one counts. */
static void the_furthest_fragment_of_ipv4_is_a_later_one(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x1c", "\x10\0", UDP) PORTS "\0\x08\0\0"));
	assert_int_equal(r.status, FL_OK);
	assert_int_equal(r.p.layer, FL_LAYER_NETWORK);
	assert_true(r.p.later_fragment);
}

/* RFC 768: the length covers the 8 octets of its header, and no more than
 * the packet holds; what IP holds beyond it is no data of UDP. */
static void a_udp_length_that_lies_is_refused(void **state)
{
	(void)state;
	struct read r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x1e", WHOLE, UDP) PORTS "\0\x07\0\0" "ab"));
	breaks(&r, "RFC 768: length of 8", FL_LAYER_NETWORK);
	r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x1e", WHOLE, UDP) PORTS "\0\x0b\0\0" "ab" "pad"));
	breaks(&r, "RFC 768: length runs past", FL_LAYER_NETWORK);
	r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x1e", WHOLE, UDP) PORTS "\0\x09\0\0" "ab"));
	assert_int_equal(r.status, FL_OK);
	payload_is(&r, "a", 1);
}

/* RFC 768, added by hand: c000 + 0201 + c000 + 02c7 + 0011 + 000a of the
 * pseudo-header, 14e9 + 14e9 + 000a of the header and 6162 of the data give
 * 21021, folded 1023; its complement is sent. */
enum { HAND_SUM = 0xefdc };

static void tells_a_udp_sum_right_wrong_or_absent(void **state)
{
	(void)state;
	uint8_t frame[44];
	memcpy(frame, ETHERNET4 IP4("\x45", "\0\x1e", WHOLE, UDP)
	       PORTS "\0\x0a\0\0" "ab", sizeof frame);
	struct read r = read_ethernet(frame, sizeof frame);
	assert_true(r.p.udp_sum_absent);
	assert_true(fl_packet_udp_holds(&r.p));
	frame[40] = HAND_SUM >> 8;
	frame[41] = HAND_SUM & 0xff;
	r = read_ethernet(frame, sizeof frame);
	assert_false(r.p.udp_sum_absent);
	assert_int_equal(r.p.udp_sum, HAND_SUM);
	assert_true(fl_packet_udp_holds(&r.p));
	frame[43] ^= 1;
	r = read_ethernet(frame, sizeof frame);
	assert_int_equal(r.status, FL_OK);
	assert_false(fl_packet_udp_holds(&r.p));
	/* Of a packet that is cut nobody can tell. */
	r = read_cut(FL_LINK_ETHERNET, frame, sizeof frame - 1, sizeof frame);
	assert_true(fl_packet_udp_holds(&r.p));
}

/* RFC 8200 section 8.1: over IPv6 a sum of 0 does not hold. */
static void over_ipv6_a_udp_sum_is_never_absent(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET6
		IP6("\0\x0a", UDP) PORTS "\0\x0a\0\0" "ab"));
	assert_int_equal(r.p.layer, FL_LAYER_TRANSPORT);
	assert_false(r.p.udp_sum_absent);
	assert_false(fl_packet_udp_holds(&r.p));
}

#define NUMBERS "\0\0\0\1\0\0\0\2"
/* RFC 9293 section 3.1: the data offset counts words, options included. */
static void reads_tcp_ports_and_passes_its_options(void **state)
{
	(void)state;
	struct read r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x2e", WHOLE, TCP) "\0\x50\xc0\x00" NUMBERS
		"\x60\x10\0\0\0\0\0\0" "\1\1\1\1" "ab"));
	assert_int_equal(r.status, FL_OK);
	assert_int_equal(r.p.layer, FL_LAYER_TRANSPORT);
	assert_int_equal(r.p.from_port, 80);
	assert_int_equal(r.p.to_port, 49152);
	payload_is(&r, "ab", 2);
	r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x28", WHOLE, TCP) "\0\x50\xc0\x00" NUMBERS
		"\x40\x10\0\0\0\0\0\0"));
	breaks(&r, "RFC 9293 section 3.1", FL_LAYER_NETWORK);
}

/* No decoder of UDP reads TCP on the same port. */
static void a_tcp_port_is_no_udp_port(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET4
		IP4("\x45", "\0\x28", WHOLE, TCP) PORTS NUMBERS
		"\x50\x10\0\0\0\0\0\0"));
	assert_int_equal(r.p.layer, FL_LAYER_TRANSPORT);
	assert_null(fl_decoder_for(&r.p));
}

/* RFC 8200 sections 4.3, 4.4 and 4.6: 8 octets, and 8 for each step of the
 * length; RFC 4302 section 2.2: AH counts in 4 octets, less two. */
static void passes_extension_headers(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET6 IP6("\0\x30", "\0")
		"\x2b\0\x05\x02\0\0\1\0"
		"\x33\x01" "\0\0\0\0\0\0" "\0\0\0\0\0\0\0\0"
		"\x3c\x01" "\0\0\0\0\0\0" "\0\0\0\0"
		"\x3a\0\1\4\0\0\0\0"
		"icmp"));
	assert_int_equal(r.status, FL_OK);
	assert_int_equal(r.p.layer, FL_LAYER_NETWORK);
	assert_int_equal(r.p.protocol, 58);
	assert_int_equal(r.p.hops, 255);
	is_ip(r.p.from, "2001:db8::1");
	is_ip(r.p.to, "2001:db8::2");
	payload_is(&r, "icmp", 4);
	assert_string_equal(fl_decoder_for(&r.p)->name, "icmp6");
}

/* network.c: EXTENSIONS_MAX, 8. */
static void a_ninth_extension_header_is_not_read(void **state)
{
	(void)state;
#define PAD "\x3c\0\1\4\0\0\0\0"
#define LAST "\x3b\0\1\4\0\0\0\0"
	struct read r = read_ethernet(OCTETS(ETHERNET6 IP6("\0\x40", "\x3c")
		PAD PAD PAD PAD PAD PAD PAD LAST));
	assert_int_equal(r.status, FL_OK);
	assert_int_equal(r.p.protocol, 59);
	r = read_ethernet(OCTETS(ETHERNET6 IP6("\0\x48", "\x3c")
		PAD PAD PAD PAD PAD PAD PAD PAD LAST));
	assert_int_equal(r.status, FL_UNSUPPORTED);
	assert_int_equal(r.p.layer, FL_LAYER_NETWORK);
	assert_null(fl_decoder_for(&r.p));
}

/* RFC 8200 section 4.5; RFC 6946 section 4: offset 0 and no more to come is
 * no fragment. */
static void tells_fragments_of_ipv6_from_atomic_ones(void **state)
{
	(void)state;
#define FRAGMENT(offset) ETHERNET6 IP6("\0\x10", "\x2c") \
	UDP "\0" offset "\0\0\0\7" PORTS "\0\x08\0\0"
	struct read r = read_ethernet(OCTETS(FRAGMENT("\0\0")));
	assert_int_equal(r.p.layer, FL_LAYER_TRANSPORT);
	assert_false(r.p.fragment);
	/* The two reserved bits are ignored on reception. */
	r = read_ethernet(OCTETS(FRAGMENT("\0\6")));
	assert_int_equal(r.p.layer, FL_LAYER_TRANSPORT);
	assert_false(r.p.fragment);
	r = read_ethernet(OCTETS(FRAGMENT("\0\1")));
	assert_int_equal(r.p.layer, FL_LAYER_TRANSPORT);
	assert_true(r.p.fragment);
	assert_false(r.p.later_fragment);
	r = read_ethernet(OCTETS(FRAGMENT("\0\x08")));
	assert_int_equal(r.p.layer, FL_LAYER_NETWORK);
	assert_true(r.p.later_fragment);
	assert_int_equal(r.p.protocol, 17);
	assert_null(fl_decoder_for(&r.p));
}

static void ipv6_headers_that_break_their_rule_are_refused(void **state)
{
	(void)state;
	struct read r = read_ethernet(OCTETS(ETHERNET6 "\x50\0\0\0\0\0\x3b\xff"
					     FROM6 TO6));
	breaks(&r, "RFC 8200 section 3: version", FL_LAYER_LINK);
	r = read_ethernet(OCTETS(ETHERNET6 IP6("\0\x01", "\x3b")));
	breaks(&r, "RFC 8200 section 3: payload length", FL_LAYER_LINK);
}

/* A decoder must not take the padding for a message. */
static void the_payload_length_cuts_off_padding(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET6
		IP6("\0\x02", "\x3a") "ab" "\0\0\0\0"));
	assert_int_equal(r.status, FL_OK);
	payload_is(&r, "ab", 2);
}

static void cut_network_headers_claim_nothing_they_have_not(void **state)
{
	(void)state;
	const size_t never = SIZE_MAX;
	claims_no_layer_it_has_not(FL_LINK_ETHERNET, OCTETS(ETHERNET4
		IP4("\x45", "\0\x20", WHOLE, UDP) PORTS "\0\x0c\0\0" "body"),
		(const size_t[]){ 0, 14, 34, 42 });
	claims_no_layer_it_has_not(FL_LINK_ETHERNET, OCTETS(ETHERNET4
		IP4("\x46", "\0\x20", WHOLE, "\x02") "\x94\x04\0\0" "igmpbody"),
		(const size_t[]){ 0, 14, 38, never });
	claims_no_layer_it_has_not(FL_LINK_ETHERNET, OCTETS(ETHERNET4
		IP4("\x45", "\0\x2e", WHOLE, TCP) PORTS NUMBERS
		"\x60\x10\0\0\0\0\0\0" "\1\1\1\1" "ab"),
		(const size_t[]){ 0, 14, 34, 58 });
	claims_no_layer_it_has_not(FL_LINK_ETHERNET, OCTETS(FRAGMENT("\0\0")),
		(const size_t[]){ 0, 14, 54, 70 });
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(tells_a_header_sum_that_holds_from_one_that_does_not),
		cmocka_unit_test(reads_addresses_protocol_hops_and_ports),
		cmocka_unit_test(ipv4_options_are_passed),
		cmocka_unit_test(the_total_length_cuts_off_padding),
		cmocka_unit_test(ipv4_lengths_that_break_their_rule_are_refused),
		cmocka_unit_test(only_the_first_fragment_has_ports),
		cmocka_unit_test(the_furthest_fragment_of_ipv4_is_a_later_one),
		cmocka_unit_test(a_udp_length_that_lies_is_refused),
		cmocka_unit_test(tells_a_udp_sum_right_wrong_or_absent),
		cmocka_unit_test(over_ipv6_a_udp_sum_is_never_absent),
		cmocka_unit_test(reads_tcp_ports_and_passes_its_options),
		cmocka_unit_test(a_tcp_port_is_no_udp_port),
		cmocka_unit_test(passes_extension_headers),
		cmocka_unit_test(a_ninth_extension_header_is_not_read),
		cmocka_unit_test(tells_fragments_of_ipv6_from_atomic_ones),
		cmocka_unit_test(ipv6_headers_that_break_their_rule_are_refused),
		cmocka_unit_test(the_payload_length_cuts_off_padding),
		cmocka_unit_test(cut_network_headers_claim_nothing_they_have_not),
	};
	return FL_RUN(tests);
}
