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

/* IEEE Std 802.1Q section 9.6: the id is the last 12 bits; the bit before
 * them says that the frame may be dropped first. */
static void a_frame_to_drop_first_keeps_its_id(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET "\x81\x00\xb0\x64"
						   ARP));
	assert_int_equal(r.p.vlan, 100);
}

/* Common practice: 9100 marked the outer tag before 88A8 was given out. */
static void a_tag_of_type_9100_is_passed(void **state)
{
	(void)state;
	const struct read r = read_ethernet(OCTETS(ETHERNET "\x91\x00\x00\x0a"
						   "\x81\x00\x00\x14" ARP));
	assert_int_equal(r.p.tags, 2);
	assert_int_equal(r.p.vlan, 10);
	assert_int_equal(r.p.vlans[1], 20);
	assert_int_equal(r.p.ethertype, 0x0806);
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
	breaks(&r, "IEEE Std 802.3 section 3.2.6: neither", FL_LAYER_NONE);
	r = read_ethernet(OCTETS(ETHERNET "\x05\xdd" BODY));
	breaks(&r, "IEEE Std 802.3 section 3.2.6: neither", FL_LAYER_NONE);
	r = read_ethernet(OCTETS(ETHERNET "\x05\xdc" BODY));
	breaks(&r, "IEEE Std 802.3 section 3.2.6: length", FL_LAYER_NONE);
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
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_target_source_and_type),
		cmocka_unit_test(a_tag_of_a064_is_vlan_100),
		cmocka_unit_test(a_frame_to_drop_first_keeps_its_id),
		cmocka_unit_test(a_tag_of_type_9100_is_passed),
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
	};
	return FL_RUN(tests);
}
