#include "test.h"

#include "decode/decode.h"
#include "source/live.h"
#include "source/live_filter.h"

enum { LENGTH = 1000 };

static pcap_t *pcap;
static struct bpf_program program;

static int compile(void **state)
{
	(void)state;
	pcap = pcap_open_dead(DLT_EN10MB, 65535);
	return pcap && fl_live_filter(pcap, &program) ? 0 : -1;
}

static int release(void **state)
{
	(void)state;
	pcap_freecode(&program);
	pcap_close(pcap);
	return 0;
}

/* Octets kept of a frame, as the kernel would. */
static int kept(const uint8_t *frame)
{
	const struct pcap_pkthdr header = { .caplen = LENGTH, .len = LENGTH };
	const int n = pcap_offline_filter(&program, &header, frame);
	return n < LENGTH ? n : LENGTH;
}

static void put16(uint8_t *at, unsigned v)
{
	at[0] = (uint8_t)(v >> 8);
	at[1] = (uint8_t)v;
}

/* An Ethernet header, with `tags` VLAN tags left in; where the payload goes. */
static uint8_t *link_header(uint8_t frame[static LENGTH], unsigned type, int tags)
{
	memset(frame, 0, LENGTH);
	frame[5] = frame[11] = 2;
	uint8_t *at = frame + 12;
	for (; tags; tags--, at += 4)
		put16(at, 0x8100);
	put16(at, type);
	return at + 2;
}

/* RFC 791 section 3.1, with `options` words of options. */
static uint8_t *ip4(uint8_t *at, unsigned protocol, unsigned options)
{
	at[0] = (uint8_t)(0x45 + options);
	at[9] = (uint8_t)protocol;
	return at + 20 + 4 * options;
}

/* RFC 8200 section 3. */
static uint8_t *ip6(uint8_t *at, unsigned next)
{
	at[0] = 0x60;
	at[6] = (uint8_t)next;
	return at + 40;
}

static int kept_of_udp(unsigned version, unsigned options, unsigned from,
		       unsigned to)
{
	uint8_t f[LENGTH];
	uint8_t *at = link_header(f, version == 4 ? 0x0800 : 0x86dd, 0);
	at = version == 4 ? ip4(at, 17, options) : ip6(at, 17);
	put16(at, from);
	put16(at + 2, to);
	return kept(f);
}

static int kept_of_protocol(unsigned version, unsigned protocol)
{
	uint8_t f[LENGTH];
	uint8_t *at = link_header(f, version == 4 ? 0x0800 : 0x86dd, 0);
	(void)(version == 4 ? ip4(at, protocol, 0) : ip6(at, protocol));
	return kept(f);
}

/* IEEE Std 802.3 section 3.2.6: below 1536 it is a length, and LLC follows. */
static int kept_of_sap(unsigned sap)
{
	uint8_t f[LENGTH];
	uint8_t *at = link_header(f, LENGTH - 14, 0);
	at[0] = at[1] = (uint8_t)sap;
	at[2] = 3;
	return kept(f);
}

static int kept_of_type(unsigned type, int tags)
{
	uint8_t f[LENGTH];
	(void)link_header(f, type, tags);
	return kept(f);
}

static void check_whole(const struct fl_decoder *d, unsigned selector)
{
	switch (d->carrier) {
	case FL_ETHERTYPE:
		assert_int_equal(kept_of_type(selector, 0), LENGTH);
		break;
	case FL_LLC_SAP:
		assert_int_equal(kept_of_sap(selector), LENGTH);
		break;
	case FL_IP_PROTOCOL:
		assert_int_equal(kept_of_protocol(4, selector), LENGTH);
		assert_int_equal(kept_of_protocol(6, selector), LENGTH);
		break;
	case FL_UDP_PORT:
		for (unsigned version = 4; version <= 6; version += 2) {
			assert_int_equal(kept_of_udp(version, 0, selector, 40000), LENGTH);
			assert_int_equal(kept_of_udp(version, 0, 40000, selector), LENGTH);
		}
		assert_int_equal(kept_of_udp(4, 1, 40000, selector), LENGTH);
		break;
	}
}

/* RFC 3550: of a media stream, which is bulk, the first octets are read. */
static bool is_bulk(const struct fl_decoder *d)
{
	return strcmp(d->name, "rtp") == 0;
}

/* decoders.def: what a decoder reads, it is to get whole. */
static void keeps_whole_what_any_decoder_reads(void **state)
{
	(void)state;
	for (size_t i = 0; i < fl_decoder_count; i++)
		if (is_bulk(&fl_decoders[i]))
			assert_int_equal(kept_of_udp(4, 0, 40000, fl_decoders[i].first),
					 FL_LIVE_CUT);
		else
			for (unsigned s = fl_decoders[i].first; s <= fl_decoders[i].last; s++)
				check_whole(&fl_decoders[i], s);
}

/* Service Name and Transport Protocol Port Number Registry: names, switches'
 * counts, logs, clocks, navigation; IEC 61162-450 for the last two. */
static void keeps_whole_what_tells_of_faults(void **state)
{
	(void)state;
	static const unsigned ports[] = { 123, 137, 161, 162, 319, 320, 514, 546,
		547, 3702, 5355, 6343, 10110, 60001, 60016 };
	for (size_t i = 0; i < sizeof ports / sizeof *ports; i++)
		assert_int_equal(kept_of_udp(4, 0, 40000, ports[i]), LENGTH);
	assert_int_equal(kept_of_type(0x88f7, 0), LENGTH);
}

/* Judgement: bulk is UDP between other ports, and TCP. */
static void cuts_bulk(void **state)
{
	(void)state;
	assert_int_equal(kept_of_udp(4, 0, 40000, 6878), FL_LIVE_CUT);
	assert_int_equal(kept_of_udp(4, 2, 40000, 6878), FL_LIVE_CUT);
	assert_int_equal(kept_of_udp(6, 0, 40000, 6878), FL_LIVE_CUT);
	assert_int_equal(kept_of_udp(4, 0, 60000, 60017), FL_LIVE_CUT);
	assert_int_equal(kept_of_protocol(4, 6), FL_LIVE_CUT);
	assert_int_equal(kept_of_protocol(6, 6), FL_LIVE_CUT);
}

/* TCP has ports of the same numbers; nothing here reads them. */
static void cuts_tcp_to_a_port_that_matters_over_udp(void **state)
{
	(void)state;
	uint8_t f[LENGTH];
	put16(ip4(link_header(f, 0x0800, 0), 6, 0) + 2, 5353);
	assert_int_equal(kept(f), FL_LIVE_CUT);
}

/* RFC 3810 section 5: a membership report lies behind a hop-by-hop header.
 * RFC 791 section 3.2, RFC 8200 section 4.5: only the first fragment has
 * ports. */
static void keeps_whole_what_has_no_ports_to_judge_by(void **state)
{
	(void)state;
	uint8_t f[LENGTH];
	uint8_t *at = link_header(f, 0x0800, 0);
	(void)ip4(at, 17, 0);
	put16(at + 6, 0x2000);
	assert_int_equal(kept(f), LENGTH);
	put16(at + 6, 185);
	assert_int_equal(kept(f), LENGTH);
	put16(at + 6, 0x4000);             /* don't fragment: it is whole */
	assert_int_equal(kept(f), FL_LIVE_CUT);
	assert_int_equal(kept_of_protocol(6, 0), LENGTH);
	assert_int_equal(kept_of_protocol(6, 44), LENGTH);
}

/* The kernel takes the outer tag off before it filters; where one is left, its
 * type is no IP. IEEE Std 802.1Q table 9-1. */
static void keeps_whole_where_a_tag_is_left(void **state)
{
	(void)state;
	assert_int_equal(kept_of_type(0x0800, 1), LENGTH);
	assert_int_equal(kept_of_type(0x88cc, 2), LENGTH);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(keeps_whole_what_any_decoder_reads),
		cmocka_unit_test(keeps_whole_what_tells_of_faults),
		cmocka_unit_test(cuts_bulk),
		cmocka_unit_test(cuts_tcp_to_a_port_that_matters_over_udp),
		cmocka_unit_test(keeps_whole_what_has_no_ports_to_judge_by),
		cmocka_unit_test(keeps_whole_where_a_tag_is_left),
	};
	return cmocka_run_group_tests(tests, compile, release);
}
