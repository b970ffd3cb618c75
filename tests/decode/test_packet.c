#include "test.h"

#include "decode/decode.h"

static struct fl_packet p;

static enum fl_status read_link(enum fl_link link, const void *octets, size_t n, size_t length)
{
	uint8_t *tight = test_malloc(n ? n : 1);
	if (n)
		memcpy(tight, octets, n);
	const struct fl_frame frame = { .at = tight, .captured = (uint32_t)n,
		.length = (uint32_t)length, .link = (uint16_t)link };
	const enum fl_status status = fl_packet_read(&frame, &p);
	test_free(tight);
	return status;
}

#define READ(octets) read_link(FL_LINK_ETHERNET, octets, sizeof octets - 1, sizeof octets - 1)

#define TO   "\xff\xff\xff\xff\xff\xff"
#define FROM "\x02\x1b\xc5\x00\x00\x21"

/* IEEE Std 802.1Q section 9.6: TCI A064 is priority 5, VLAN 100; 0064 behind a
 * service tag (88a8) is the customer's. Id 0 is a priority, no VLAN. */
static void tags_are_passed_and_kept(void **state)
{
	(void)state;
	assert_int_equal(READ(TO FROM "\x81\x00\xa0\x64\x08\x06" "x"), FL_OK);
	assert_int_equal(p.vlan, 100);
	assert_int_equal(p.tags, 1);
	assert_int_equal(p.ethertype, 0x0806);
	assert_int_equal(READ(TO FROM "\x88\xa8\x00\x07\x81\x00\x00\x64\x08\x06" "x"), FL_OK);
	assert_int_equal(p.vlan, 7);
	assert_int_equal(p.vlans[1], 100);
	assert_int_equal(READ(TO FROM "\x81\x00\xe0\x00\x08\x06" "x"), FL_OK);
	assert_int_equal(p.vlan, FL_NO_VLAN);
	assert_int_equal(READ(TO FROM "\x81\x00\0\1\x81\x00\0\2\x81\x00\0\3\x81\x00\0\4"
			      "\x81\x00\0\5\x08\x06"), FL_UNSUPPORTED);
}

/* IEEE Std 802.3 section 3.2.6: up to 1500 a length, from 1536 a type; the
 * rest is neither. RFC 1042: SNAP with organization 0 is an ethertype. */
static void lengths_and_types_are_told_apart(void **state)
{
	(void)state;
	assert_int_equal(READ(TO FROM "\x00\x03\x42\x42\x03" "pad"), FL_OK);
	assert_true(p.llc && p.sap[0] == 0x42);
	assert_int_equal(fl_left(&p.payload), 0);          /* padding left out */
	assert_int_equal(READ(TO FROM "\x00\x09\xaa\xaa\x03\0\0\0\x08\x06" "x"), FL_OK);
	assert_false(p.llc);
	assert_int_equal(p.ethertype, 0x0806);
	assert_int_equal(READ(TO FROM "\x05\xdd" "x"), FL_MALFORMED);
	assert_int_equal(READ(TO FROM "\x00\x30\x42\x42\x03"), FL_MALFORMED);
	/* Section 3.2.3: a group is no sender. */
	assert_int_equal(READ(TO "\x01\0\0\0\0\1\x08\x06" "x"), FL_MALFORMED);
	assert_false(p.source_known);
}

#define IP4(length, flags, protocol) "\x45\x00" length "\x12\x34" flags "\x40" protocol \
	"\x00\x00" "\xac\x14\x00\x15" "\xef\x01\x02\x03"
#define UDP "\x27\x10\x27\x7e\x00\x0c\x00\x00" "abcd"

/* RFC 791 section 3.1, RFC 768: the lengths cut off what pads the frame. */
static void ip4_and_udp_give_addresses_ports_and_payload(void **state)
{
	(void)state;
	char text[FL_IP_TEXT];
	assert_int_equal(READ(TO FROM "\x08\x00" IP4("\x00\x20", "\x40\x00", "\x11") UDP
			      "padding"), FL_OK);
	assert_int_equal(p.layer, FL_LAYER_TRANSPORT);
	assert_string_equal(fl_ip_text(p.from, text), "172.20.0.21");
	assert_string_equal(fl_ip_text(p.to, text), "239.1.2.3");
	assert_int_equal(p.from_port, 10000);
	assert_int_equal(p.to_port, 10110);
	assert_int_equal(fl_left(&p.payload), 4);
	assert_true(p.header_sum_bad);
	assert_true(p.udp_sum_absent && fl_packet_udp_holds(&p));
}

static void ip4_headers_that_lie_are_refused(void **state)
{
	(void)state;
	assert_int_equal(READ(TO FROM "\x08\x00\x44" "0123456789012345678"), FL_MALFORMED);
	assert_int_equal(p.layer, FL_LAYER_LINK);
	assert_int_equal(READ(TO FROM "\x08\x00\x65" "0123456789012345678"), FL_MALFORMED);
	assert_int_equal(READ(TO FROM "\x08\x00" IP4("\xff\xff", "\x40\x00", "\x11") UDP),
			 FL_MALFORMED);
	assert_int_equal(READ(TO FROM "\x08\x00" IP4("\x00\x20", "\x40\x00", "\x11")
			      "\x27\x10\x27\x7e\x00\x40\x00\x00" "abcd"), FL_MALFORMED);
}

/* RFC 791 section 2.3: only the first fragment holds the ports. */
static void a_later_fragment_has_no_ports(void **state)
{
	(void)state;
	assert_int_equal(READ(TO FROM "\x08\x00" IP4("\x00\x20", "\x20\x00", "\x11") UDP), FL_OK);
	assert_true(p.fragment && !p.later_fragment);
	assert_int_equal(p.to_port, 10110);
	assert_int_equal(READ(TO FROM "\x08\x00" IP4("\x00\x20", "\x00\x10", "\x11") UDP), FL_OK);
	assert_true(p.later_fragment);
	assert_int_equal(p.layer, FL_LAYER_NETWORK);
	assert_null(fl_decoder_for(&p));
}

#define SIX "\x60\x00\x00\x00" "\x00\x14" "\x00" "\x40" \
	"\xfe\x80\0\0\0\0\0\0\x00\x1b\xc5\xff\xfe\x00\x00\x21" \
	"\xff\x02\0\0\0\0\0\0\0\0\0\0\0\0\0\xfb"

/* RFC 8200 sections 3 and 4.3: a hop-by-hop header of 8 octets before UDP;
 * section 8.1: a UDP checksum of 0 does not hold over IPv6. */
static void ip6_extension_headers_are_passed(void **state)
{
	(void)state;
	assert_int_equal(READ(TO FROM "\x86\xdd" SIX "\x11\x00\x05\x02\x00\x00\x01\x00" UDP), FL_OK);
	assert_int_equal(p.layer, FL_LAYER_TRANSPORT);
	assert_int_equal(p.protocol, 17);
	assert_int_equal(p.hops, 64);
	assert_int_equal(p.to_port, 10110);
	assert_false(fl_packet_udp_holds(&p));
}

/* RFC 768 and RFC 1071 section 1: the one's complement of the sum of all words,
 * 172.20.0.21 to 239.1.2.3, protocol 17, ports 10000 and 10110, "abcd". */
static void a_udp_checksum_holds_or_not(void **state)
{
	(void)state;
	uint8_t frame[] = TO FROM "\x08\x00" IP4("\x00\x20", "\x40\x00", "\x11")
		"\x27\x10\x27\x7e\x00\x0c\x00\x00" "abcd";
	uint32_t sum = 0xac14 + 0x0015 + 0xef01 + 0x0203 + 17 + 12 + 0x2710 + 0x277e + 12 +
		       0x6162 + 0x6364;
	while (sum >> 16)
		sum = (sum & 0xffff) + (sum >> 16);
	frame[40] = (uint8_t)(~sum >> 8);
	frame[41] = (uint8_t)~sum;
	const struct fl_frame f = { .at = frame, .captured = sizeof frame - 1,
		.length = sizeof frame - 1, .link = FL_LINK_ETHERNET };
	assert_int_equal(fl_packet_read(&f, &p), FL_OK);
	assert_true(fl_packet_udp_holds(&p));
	frame[45] ^= 1;
	assert_int_equal(fl_packet_read(&f, &p), FL_OK);
	assert_false(fl_packet_udp_holds(&p));
}

/* draft-ietf-opsawg-pcaplinktype, LINKTYPE_LINUX_SLL and _SLL2: packet type 4
 * was sent by this host, 1 was broadcast; a group's target is inferred (RFC
 * 1112 section 6.4). */
static void cooked_headers_tell_sender_and_way(void **state)
{
	(void)state;
	static const char one[] = "\x00\x04\x00\x01\x00\x06" FROM "\0\0" "\x08\x06" "x";
	assert_int_equal(read_link(FL_LINK_COOKED, one, sizeof one - 1, sizeof one - 1), FL_OK);
	assert_true(p.outgoing && p.source_known);
	assert_int_equal(p.ethertype, 0x0806);
	static const char two[] = "\x08\x00\0\0\0\0\0\1\x00\x01\x02\x06" FROM "\0\0"
		IP4("\x00\x20", "\x40\x00", "\x11") UDP;
	assert_int_equal(read_link(FL_LINK_COOKED2, two, sizeof two - 1, sizeof two - 1), FL_OK);
	char mac[FL_MAC_TEXT];
	assert_string_equal(fl_mac_text(p.target, mac), "01:00:5e:01:02:03");
	assert_false(p.outgoing);
	assert_int_equal(read_link((enum fl_link)9, "x", 1, 1), FL_UNSUPPORTED);
}

static void no_truncation_claims_a_layer_it_has_not(void **state)
{
	(void)state;
	static const char whole[] = TO FROM "\x81\x00\xa0\x64\x08\x00"
		IP4("\x00\x20", "\x40\x00", "\x11") UDP;
	for (size_t n = 0; n < sizeof whole - 1; n++) {
		read_link(FL_LINK_ETHERNET, whole, n, sizeof whole - 1);
		const enum fl_layer most = n < 18 ? FL_LAYER_NONE : n < 38 ? FL_LAYER_LINK
			: n < 46 ? FL_LAYER_NETWORK : FL_LAYER_TRANSPORT;
		assert_true(p.layer <= most);
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(tags_are_passed_and_kept),
		cmocka_unit_test(lengths_and_types_are_told_apart),
		cmocka_unit_test(ip4_and_udp_give_addresses_ports_and_payload),
		cmocka_unit_test(ip4_headers_that_lie_are_refused),
		cmocka_unit_test(a_later_fragment_has_no_ports),
		cmocka_unit_test(ip6_extension_headers_are_passed),
		cmocka_unit_test(a_udp_checksum_holds_or_not),
		cmocka_unit_test(cooked_headers_tell_sender_and_way),
		cmocka_unit_test(no_truncation_claims_a_layer_it_has_not),
	};
	return FL_RUN(tests);
}
