<<<<<<< HEAD
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
=======
/* Link headers: Ethernet, tags, LLC and SNAP, and Linux cooked ones. */
#include "decode/framing.h"

#define ARP "\x08\x06"
#define BODY "\x01\x02\x03\x04"

/* IEEE Std 802.3 section 3.2.2 to 3.2.6: target, source, length/type. */
static void reads_target_source_and_type(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET ARP BODY));
	assert_int_equal(r.status, FL_OK);
	assert_int_equal(r.p.layer, FL_LAYER_LINK);
	is_mac(r.p.target, "02:00:00:00:00:01");
	is_mac(r.p.source, "02:00:00:00:00:02");
	assert_true(r.p.source_known);
	assert_int_equal(r.p.ethertype, 0x0806);
	assert_int_equal(r.p.tags, 0);
	assert_int_equal(r.p.vlan, FL_NO_VLAN);
	payload_is(&r, BODY, 4);
}

/* IEEE Std 802.1Q section 9.6: A064 is priority 5, not drop eligible, 100. */
static void a_tag_of_a064_is_vlan_100(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET "\x81\x00\xa0\x64"
						   ARP BODY));
	assert_int_equal(r.status, FL_OK);
	assert_int_equal(r.p.tags, 1);
	assert_int_equal(r.p.vlan, 100);
	assert_int_equal(r.p.ethertype, 0x0806);
	payload_is(&r, BODY, 4);
}

/* IEEE Std 802.1Q table 9-1: 88A8 is the service tag, 8100 the customer's. */
static void stacked_tags_are_kept_outermost_first(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET "\x88\xa8\x00\x0a"
						   "\x81\x00\x0f\xfe" ARP));
	assert_int_equal(r.p.tags, 2);
	assert_int_equal(r.p.vlan, 10);
	assert_int_equal(r.p.vlans[0], 10);
	assert_int_equal(r.p.vlans[1], 4094);
	assert_int_equal(r.p.ethertype, 0x0806);
}

/* IEEE Std 802.1Q table 9-2: id 0 gives a priority and names no VLAN. */
static void a_tag_of_id_0_is_a_tag_but_no_vlan(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET "\x81\x00\xe0\x00" ARP));
	assert_int_equal(r.p.tags, 1);
	assert_int_equal(r.p.vlan, FL_NO_VLAN);
	assert_int_equal(r.p.ethertype, 0x0806);
}

/* decode.h: FL_VLANS_MAX tags are read. */
static void a_fifth_tag_is_not_read(void **state)
{
	(void)state;
#define TAG "\x81\x00\x00\x01"
	assert_int_equal(read_ethernet(OCTETS(ETHERNET TAG TAG TAG TAG ARP)).status,
			 FL_OK);
	const struct read r = read_ethernet(OCTETS(ETHERNET TAG TAG TAG TAG TAG ARP));
	assert_int_equal(r.status, FL_UNSUPPORTED);
	assert_int_equal(r.p.layer, FL_LAYER_NONE);
	assert_int_equal(r.p.tags, FL_VLANS_MAX);
}

/* IEEE Std 802.3 section 3.2.3: the first bit of a source address is 0. */
static void a_group_is_no_sender(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(TO "\x03\x00\x00\x00\x00\x02" ARP));
	breaks(&r, "IEEE Std 802.3 section 3.2.3", FL_LAYER_NONE);
	assert_false(r.p.source_known);
}

/* IEEE Std 802.3 section 3.2.6: up to 1500 a length, from 1536 on a type. */
static void between_1500_and_1536_is_neither_length_nor_type(void **state)
{
	(void)state;
	struct read r = read_ethernet(OCTETS(ETHERNET "\x05\xff" BODY));
	breaks(&r, "IEEE Std 802.3 section 3.2.6", FL_LAYER_NONE);
	r = read_ethernet(OCTETS(ETHERNET "\x06\x00" BODY));
	assert_int_equal(r.status, FL_OK);
	assert_int_equal(r.p.ethertype, 1536);
}

/* IEEE Std 802.3 section 3.2.6: octets past the length are padding;
 * IEEE Std 802.1D-2004 section 7.12.3: BPDUs are LLC on SAP 42. */
static void a_length_cuts_off_the_padding_behind_llc(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET "\x00\x07"
						   "\x42\x42\x03" BODY "\0\0\0"));
	assert_int_equal(r.status, FL_OK);
	assert_true(r.p.llc);
	assert_int_equal(r.p.sap[0], 0x42);
	assert_int_equal(r.p.sap[1], 0x42);
	assert_int_equal(r.p.ethertype, 0);
	payload_is(&r, BODY, 4);
	assert_string_equal(fl_decoder_for(&r.p)->name, "stp");
}

static void a_length_past_the_frame_is_refused(void **state)
{
	(void)state;
	const uint8_t *octets = (const uint8_t *)ETHERNET "\x00\x08\x42\x42\x03" BODY;
	struct read r = read_ethernet(octets, 21);
	breaks(&r, "IEEE Std 802.3 section 3.2.6", FL_LAYER_NONE);
	/* The octet was on the wire, and the capture left it out. */
	r = read_cut(FL_LINK_ETHERNET, octets, 21, 22);
	assert_int_equal(r.status, FL_OK);
	assert_true(r.p.payload_cut);
}

/* IEEE Std 802.2 section 5.2: two octets of control, unless unnumbered. */
static void numbered_llc_has_one_octet_more_of_control(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET "\x00\x08"
						   "\x10\x10\x00\x00" BODY));
	assert_true(r.p.llc);
	payload_is(&r, BODY, 4);
}

/* RFC 1042: organization 0 behind AA AA 03 is followed by an ethertype. */
static void snap_is_an_ethertype_by_a_longer_way(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET "\x00\x0c"
		"\xaa\xaa\x03\x00\x00\x00" ARP BODY "\0\0"));
	assert_false(r.p.llc);
	assert_int_equal(r.p.ethertype, 0x0806);
	payload_is(&r, BODY, 4);
	assert_string_equal(fl_decoder_for(&r.p)->name, "arp");
}

/* IEEE Std 802: another organization numbers its own protocols. */
static void snap_of_an_organization_is_no_ethertype(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET "\x00\x0c"
		"\xaa\xaa\x03\x02\x00\x00" ARP BODY));
	assert_true(r.p.llc);
	assert_int_equal(r.p.ethertype, 0);
	assert_null(fl_decoder_for(&r.p));
}

/* draft-ietf-opsawg-pcaplinktype, LINUX_SLL: packet type, hardware type,
 * address length, address of 8 octets, protocol type. */
#define COOKED(way, hardware, type) way hardware "\x00\x06" FROM "\0\0" type

static void cooked_frames_give_source_and_way(void **state)
{
	(void)state;
	struct read r = read_frame(FL_LINK_COOKED,
		OCTETS(COOKED("\0\0", "\0\x01", ARP) BODY));
	assert_int_equal(r.status, FL_OK);
	is_mac(r.p.source, "02:00:00:00:00:02");
	assert_true(r.p.source_known);
	assert_false(r.p.outgoing);
	assert_true(fl_mac_is_none(r.p.target));
	assert_int_equal(r.p.ethertype, 0x0806);
	payload_is(&r, BODY, 4);
	/* 4: sent by us; 1: it was broadcast by somebody else. */
	r = read_frame(FL_LINK_COOKED, OCTETS(COOKED("\0\x04", "\0\x01", ARP)));
	assert_true(r.p.outgoing);
	r = read_frame(FL_LINK_COOKED, OCTETS(COOKED("\0\x01", "\0\x01", ARP)));
	assert_true(fl_mac_is_broadcast(r.p.target));
	assert_false(r.p.outgoing);
}

/* LINUX_SLL2: protocol type, reserved, interface, hardware type, packet
 * type, address length, address of 8 octets. */
#define COOKED2(way, type) type "\0\0" "\0\0\0\x02" "\0\x01" way "\x06" \
	FROM "\0\0"

static void cooked_frames_of_version_2_give_the_same(void **state)
{
	(void)state;
	struct read r = read_frame(FL_LINK_COOKED2,
				   OCTETS(COOKED2("\x04", ARP) BODY));
	assert_int_equal(r.status, FL_OK);
	is_mac(r.p.source, "02:00:00:00:00:02");
	assert_true(r.p.outgoing);
	assert_int_equal(r.p.ethertype, 0x0806);
	payload_is(&r, BODY, 4);
	r = read_frame(FL_LINK_COOKED2, OCTETS(COOKED2("\x01", ARP)));
	assert_true(fl_mac_is_broadcast(r.p.target));
}

/* An address length other than 6 octets gives no MAC. */
static void a_cooked_frame_without_a_mac_has_no_source(void **state)
{
	(void)state;
	const struct read r = read_frame(FL_LINK_COOKED,
		OCTETS("\0\0" "\x02\x00" "\0\0" "\0\0\0\0\0\0\0\0" ARP));
	assert_int_equal(r.status, FL_OK);
	assert_false(r.p.source_known);
}

/* LINUX_SLL: on hardware type 824 the protocol type is a netlink family. */
static void a_cooked_frame_of_netlink_carries_no_ethertype(void **state)
{
	(void)state;
	const struct read r = read_frame(FL_LINK_COOKED,
		OCTETS(COOKED("\0\0", "\x03\x38", "\x08\x00") BODY));
	assert_int_equal(r.status, FL_UNSUPPORTED);
	assert_int_equal(r.p.layer, FL_LAYER_NONE);
}

/* LINUX_SLL: protocol type 4 is followed by LLC. */
static void cooked_llc_is_read(void **state)
{
	(void)state;
	const struct read r = read_frame(FL_LINK_COOKED,
		OCTETS(COOKED("\0\x02", "\0\x01", "\0\x04") "\x42\x42\x03" BODY));
	assert_true(r.p.llc);
	assert_string_equal(fl_decoder_for(&r.p)->name, "stp");
	payload_is(&r, BODY, 4);
}

#define GROUP4 "\x08\x00" "\x45\0\0\x14" "\0\0\0\0" "\x01\x02\0\0" \
	"\xc0\x00\x02\x01" "\xef\xff\xff\xfa"
/* RFC 1112 section 6.4: the low 23 bits of the group behind 01-00-5E. */
static void a_cooked_ipv4_group_tells_its_target(void **state)
{
	(void)state;
	const struct read r = read_frame(FL_LINK_COOKED,
		OCTETS(COOKED("\0\x02", "\0\x01", GROUP4)));
	assert_int_equal(r.p.layer, FL_LAYER_NETWORK);
	is_mac(r.p.target, "01:00:5e:7f:ff:fa");
}

/* RFC 2464 section 7: the last four octets of the group behind 33-33. */
static void a_cooked_ipv6_group_tells_its_target(void **state)
{
	(void)state;
	const struct read r = read_frame(FL_LINK_COOKED, OCTETS(
		COOKED("\0\x02", "\0\x01", "\x86\xdd") "\x60\0\0\0\0\0\x3b\x01"
		"\xfe\x80\0\0\0\0\0\0\0\0\0\0\0\0\0\x01"
		"\xff\x02\0\0\0\0\0\0\0\0\0\x01\xff\x01\x02\x03"));
	assert_int_equal(r.p.layer, FL_LAYER_NETWORK);
	is_mac(r.p.target, "33:33:ff:01:02:03");
}

/* draft-ietf-opsawg-pcaplinktype: 105 is IEEE 802.11, which is not read. */
static void another_link_type_is_unsupported(void **state)
{
	(void)state;
	const struct read r = read_frame((enum fl_link)105,
					 OCTETS(ETHERNET ARP BODY));
	assert_int_equal(r.status, FL_UNSUPPORTED);
	assert_int_equal(r.p.layer, FL_LAYER_NONE);
}

static void cut_link_headers_claim_nothing(void **state)
{
	(void)state;
	const size_t never = SIZE_MAX;
	claims_no_layer_it_has_not(FL_LINK_ETHERNET,
		OCTETS(ETHERNET "\x81\x00\xa0\x64" ARP BODY),
		(const size_t[]){ 0, 18, never, never });
	claims_no_layer_it_has_not(FL_LINK_ETHERNET,
		OCTETS(ETHERNET "\x00\x0c\xaa\xaa\x03\x00\x00\x00" ARP BODY),
		(const size_t[]){ 0, 22, never, never });
	claims_no_layer_it_has_not(FL_LINK_COOKED,
		OCTETS(COOKED("\0\x02", "\0\x01", GROUP4)),
		(const size_t[]){ 0, 16, 36, never });
	claims_no_layer_it_has_not(FL_LINK_COOKED2,
		OCTETS(COOKED2("\x01", ARP) BODY),
		(const size_t[]){ 0, 20, never, never });
>>>>>>> packet2
}

int main(void)
{
	const struct CMUnitTest tests[] = {
<<<<<<< HEAD
		cmocka_unit_test(tags_are_passed_and_kept),
		cmocka_unit_test(lengths_and_types_are_told_apart),
		cmocka_unit_test(ip4_and_udp_give_addresses_ports_and_payload),
		cmocka_unit_test(ip4_headers_that_lie_are_refused),
		cmocka_unit_test(a_later_fragment_has_no_ports),
		cmocka_unit_test(ip6_extension_headers_are_passed),
		cmocka_unit_test(a_udp_checksum_holds_or_not),
		cmocka_unit_test(cooked_headers_tell_sender_and_way),
		cmocka_unit_test(no_truncation_claims_a_layer_it_has_not),
=======
		cmocka_unit_test(reads_target_source_and_type),
		cmocka_unit_test(a_tag_of_a064_is_vlan_100),
		cmocka_unit_test(stacked_tags_are_kept_outermost_first),
		cmocka_unit_test(a_tag_of_id_0_is_a_tag_but_no_vlan),
		cmocka_unit_test(a_fifth_tag_is_not_read),
		cmocka_unit_test(a_group_is_no_sender),
		cmocka_unit_test(between_1500_and_1536_is_neither_length_nor_type),
		cmocka_unit_test(a_length_cuts_off_the_padding_behind_llc),
		cmocka_unit_test(a_length_past_the_frame_is_refused),
		cmocka_unit_test(numbered_llc_has_one_octet_more_of_control),
		cmocka_unit_test(snap_is_an_ethertype_by_a_longer_way),
		cmocka_unit_test(snap_of_an_organization_is_no_ethertype),
		cmocka_unit_test(cooked_frames_give_source_and_way),
		cmocka_unit_test(cooked_frames_of_version_2_give_the_same),
		cmocka_unit_test(a_cooked_frame_without_a_mac_has_no_source),
		cmocka_unit_test(a_cooked_frame_of_netlink_carries_no_ethertype),
		cmocka_unit_test(cooked_llc_is_read),
		cmocka_unit_test(a_cooked_ipv4_group_tells_its_target),
		cmocka_unit_test(a_cooked_ipv6_group_tells_its_target),
		cmocka_unit_test(another_link_type_is_unsupported),
		cmocka_unit_test(cut_link_headers_claim_nothing),
>>>>>>> packet2
	};
	return FL_RUN(tests);
}
