/* What the kernel tells of ports, as octets and as small files. Messages are
 * made with libmnl in the order and nesting that the kernel's own headers give:
 * linux/rtnetlink.h, linux/ethtool_netlink.h. */
#include "test.h"

#include "source/ports_inner.h"

#include <linux/ethtool.h>
#include <linux/ethtool_netlink.h>
#include <linux/if_link.h>
#include <linux/rtnetlink.h>
#include <net/if.h>
#include <net/if_arp.h>

enum { ROOM = 2048 };

struct message {
	_Alignas(struct nlmsghdr) uint8_t room[ROOM];
	struct nlmsghdr *head;
};

static void begin(struct message *m, const void *fixed, size_t n)
{
	m->head = mnl_nlmsg_put_header(m->room);
	if (n)
		memcpy(mnl_nlmsg_put_extra_header(m->head, n), fixed, n);
}

static const void *octets(const struct message *m, size_t *n)
{
	*n = mnl_nlmsg_get_payload_len(m->head);
	return mnl_nlmsg_get_payload(m->head);
}

static void put_modes(struct message *m, uint16_t kind, uint32_t low, uint32_t high)
{
	const uint32_t words[] = { low, high };
	struct nlattr *set = mnl_attr_nest_start(m->head, kind);
	mnl_attr_put(m->head, ETHTOOL_A_BITSET_NOMASK, 0, NULL);
	mnl_attr_put_u32(m->head, ETHTOOL_A_BITSET_SIZE, 64);
	mnl_attr_put(m->head, ETHTOOL_A_BITSET_VALUE, sizeof words, words);
	mnl_attr_nest_end(m->head, set);
}

static void linkmodes(struct message *m, uint8_t autoneg)
{
	begin(m, NULL, 0);
	mnl_attr_put_u8(m->head, ETHTOOL_A_LINKMODES_AUTONEG, autoneg);
	/* bits 0..5 and 47 (2500baseT): linux/ethtool.h */
	put_modes(m, ETHTOOL_A_LINKMODES_OURS, 0x3f, 1 << (47 - 32));
	put_modes(m, ETHTOOL_A_LINKMODES_PEER, 1 << 2, 0);
	mnl_attr_put_u32(m->head, ETHTOOL_A_LINKMODES_SPEED, 100);
	mnl_attr_put_u8(m->head, ETHTOOL_A_LINKMODES_DUPLEX, DUPLEX_HALF);
}

static void put_statistic(struct message *m, uint16_t kind, uint64_t value)
{
	struct nlattr *nest = mnl_attr_nest_start(m->head, ETHTOOL_A_STATS_GRP_STAT);
	mnl_attr_put_u64(m->head, kind, value);
	mnl_attr_nest_end(m->head, nest);
}

static void stats(struct message *m)
{
	begin(m, NULL, 0);
	struct nlattr *group = mnl_attr_nest_start(m->head, ETHTOOL_A_STATS_GRP);
	mnl_attr_put_u32(m->head, ETHTOOL_A_STATS_GRP_ID, ETHTOOL_STATS_ETH_MAC);
	mnl_attr_put_u32(m->head, ETHTOOL_A_STATS_GRP_SS_ID, 18);
	put_statistic(m, ETHTOOL_A_STATS_ETH_MAC_6_FCS_ERR, UINT64_C(5000000000));
	put_statistic(m, ETHTOOL_A_STATS_ETH_MAC_7_ALIGN_ERR, 0);
	mnl_attr_nest_end(m->head, group);
	group = mnl_attr_nest_start(m->head, ETHTOOL_A_STATS_GRP);
	mnl_attr_put_u32(m->head, ETHTOOL_A_STATS_GRP_ID, ETHTOOL_STATS_RMON);
	put_statistic(m, ETHTOOL_A_STATS_RMON_FRAG, 7);
	mnl_attr_nest_end(m->head, group);
}

static void linkstate(struct message *m, uint8_t state, uint8_t more)
{
	begin(m, NULL, 0);
	mnl_attr_put_u8(m->head, ETHTOOL_A_LINKSTATE_LINK, 0);
	mnl_attr_put_u32(m->head, ETHTOOL_A_LINKSTATE_SQI, 5);
	mnl_attr_put_u32(m->head, ETHTOOL_A_LINKSTATE_SQI_MAX, 7);
	mnl_attr_put_u8(m->head, ETHTOOL_A_LINKSTATE_EXT_STATE, state);
	if (more)
		mnl_attr_put_u8(m->head, ETHTOOL_A_LINKSTATE_EXT_SUBSTATE, more);
}

static void newlink(struct message *m, const char *name, uint8_t family)
{
	const struct ifinfomsg head = {
		.ifi_family = family, .ifi_type = ARPHRD_ETHER, .ifi_index = 7,
		.ifi_flags = IFF_UP,
	};
	const uint8_t mac[6] = { 0x02, 0, 0, 0, 0, 0x11 };
	begin(m, &head, sizeof head);
	mnl_attr_put_strz(m->head, IFLA_IFNAME, name);
	mnl_attr_put(m->head, IFLA_ADDRESS, sizeof mac, mac);
	mnl_attr_put_u32(m->head, IFLA_MASTER, 3);
	mnl_attr_put_u8(m->head, IFLA_CARRIER, 1);
	mnl_attr_put_u32(m->head, IFLA_CARRIER_UP_COUNT, 12);
	mnl_attr_put_u32(m->head, IFLA_CARRIER_DOWN_COUNT, 11);
}

static struct fl_port told(const struct message *m, uint8_t kind)
{
	struct fl_port port = { .name = "eth1", .why = "" };
	size_t n;
	const void *at = octets(m, &n);
	fl_ethtool_read(kind, at, n, &port);
	return port;
}

/* linux/ethtool.h: bits 0 to 5 are 10 to 1000 Mbit/s, half before full; 47 is
 * 2500baseT. */
static void both_ends_modes_are_told(void **state)
{
	(void)state;
	struct message m;
	linkmodes(&m, AUTONEG_ENABLE);
	const struct fl_port p = told(&m, ETHTOOL_MSG_LINKMODES_GET_REPLY);
	assert_int_equal(p.mbit, 100);
	assert_int_equal(p.duplex, FL_DUPLEX_HALF);
	assert_int_equal(p.ours, FL_MODE_10_HALF | FL_MODE_10_FULL | FL_MODE_100_HALF |
			 FL_MODE_100_FULL | FL_MODE_1000_HALF | FL_MODE_1000_FULL |
			 FL_MODE_2500_FULL);
	assert_int_equal(p.theirs, FL_MODE_100_HALF);
}

/* IEEE Std 802.3 clause 28: who does not negotiate, advertises nothing. */
static void with_negotiation_off_nothing_is_advertised(void **state)
{
	(void)state;
	struct message m;
	linkmodes(&m, AUTONEG_DISABLE);
	assert_int_equal(told(&m, ETHTOOL_MSG_LINKMODES_GET_REPLY).ours, 0);
}

/* linux/ethtool.h: SPEED_UNKNOWN is -1, DUPLEX_UNKNOWN is 0xff. */
static void unknown_speed_is_not_told(void **state)
{
	(void)state;
	struct message m;
	begin(&m, NULL, 0);
	mnl_attr_put_u32(m.head, ETHTOOL_A_LINKMODES_SPEED, UINT32_MAX);
	mnl_attr_put_u8(m.head, ETHTOOL_A_LINKMODES_DUPLEX, DUPLEX_UNKNOWN);
	const struct fl_port p = told(&m, ETHTOOL_MSG_LINKMODES_GET_REPLY);
	assert_int_equal(p.mbit, 0);
	assert_int_equal(p.duplex, FL_DUPLEX_UNKNOWN);
}

/* linux/ethtool_netlink.h: a counter that a driver lacks is left out. */
static void a_counter_left_out_is_kept_apart_from_zero(void **state)
{
	(void)state;
	struct message m;
	stats(&m);
	const struct fl_port p = told(&m, ETHTOOL_MSG_STATS_GET_REPLY);
	assert_true(fl_port_counts(&p, FL_COUNT_CRC));
	assert_true(p.counts[FL_COUNT_CRC] == UINT64_C(5000000000));
	assert_true(fl_port_counts(&p, FL_COUNT_ALIGNMENT));
	assert_true(p.counts[FL_COUNT_ALIGNMENT] == 0);
	assert_true(p.counts[FL_COUNT_FRAGMENTS] == 7);
	assert_false(fl_port_counts(&p, FL_COUNT_LATE_COLLISIONS));
	assert_false(fl_port_counts(&p, FL_COUNT_JABBERS));
	assert_int_equal(p.counted, 1 << FL_COUNT_CRC | 1 << FL_COUNT_ALIGNMENT |
			 1 << FL_COUNT_FRAGMENTS);
}

/* linux/ethtool.h, enum ethtool_link_ext_state: 4 is NO_CABLE; 0 is AUTONEG,
 * with 6 NO_HCD, no highest common denominator. Words: judgement. */
static void why_there_is_no_link_is_told(void **state)
{
	(void)state;
	struct message m;
	linkstate(&m, 4, 0);
	struct fl_port p = told(&m, ETHTOOL_MSG_LINKSTATE_GET_REPLY);
	assert_string_equal(p.why, "no cable");
	assert_int_equal(p.signal, 5);
	assert_int_equal(p.signal_most, 7);
	linkstate(&m, 0, 6);
	p = told(&m, ETHTOOL_MSG_LINKSTATE_GET_REPLY);
	assert_string_equal(p.why, "the ends have no speed in common");
	linkstate(&m, 0, 200);
	p = told(&m, ETHTOOL_MSG_LINKSTATE_GET_REPLY);
	assert_string_equal(p.why, "the ends did not agree");
	linkstate(&m, 200, 0);
	p = told(&m, ETHTOOL_MSG_LINKSTATE_GET_REPLY);
	assert_string_equal(p.why, "");
}

/* linux/ethtool_netlink.h: ETHTOOL_A_EEE_ACTIVE is an octet. */
static void energy_efficient_ethernet_is_no_yes_or_not_known(void **state)
{
	(void)state;
	struct message m;
	begin(&m, NULL, 0);
	assert_int_equal(told(&m, ETHTOOL_MSG_EEE_GET_REPLY).energy, FL_NOT_KNOWN);
	mnl_attr_put_u8(m.head, ETHTOOL_A_EEE_ACTIVE, 0);
	assert_int_equal(told(&m, ETHTOOL_MSG_EEE_GET_REPLY).energy, FL_NO);
	mnl_attr_put_u8(m.head, ETHTOOL_A_EEE_ACTIVE, 1);
	assert_int_equal(told(&m, ETHTOOL_MSG_EEE_GET_REPLY).energy, FL_YES);
}

/* rtnetlink(7), linux/if_link.h. */
static void a_port_is_read(void **state)
{
	(void)state;
	struct message m;
	struct fl_route_link link;
	size_t n;
	newlink(&m, "eth1", AF_UNSPEC);
	const void *at = octets(&m, &n);
	assert_true(fl_route_read(at, n, &link));
	assert_string_equal(link.name, "eth1");
	assert_int_equal(link.index, 7);
	assert_int_equal(link.mac.b[5], 0x11);
	assert_true(link.member);
	assert_true(link.carrier);
	assert_true(link.counted);
	assert_int_equal(link.ups, 12);
	assert_int_equal(link.downs, 11);
}

/* RFC 2863 section 3.1.14: down is down, whatever the carrier was last. */
static void a_port_switched_off_has_no_link(void **state)
{
	(void)state;
	struct fl_route_link link = { .carrier = true };
	struct fl_port port = { .name = "eth1" };
	fl_port_set(&port, &link);
	assert_false(port.link);
	link.flags = IFF_UP;
	fl_port_set(&port, &link);
	assert_true(port.link);
}

/* Linux net/bridge/br_netlink.c: a port that leaves a bridge is told with
 * RTM_DELLINK of family AF_BRIDGE. It is not gone. */
static void what_a_bridge_says_of_a_member_is_refused(void **state)
{
	(void)state;
	struct message m;
	struct fl_route_link link;
	size_t n;
	newlink(&m, "eth1", AF_BRIDGE);
	const void *at = octets(&m, &n);
	assert_false(fl_route_read(at, n, &link));
}

/* linux/if.h: a name has at most 15 octets and a NUL. */
static void a_name_too_long_or_empty_is_refused(void **state)
{
	(void)state;
	struct message m;
	struct fl_route_link link;
	size_t n;
	newlink(&m, "a234567890123456", AF_UNSPEC);
	const void *at = octets(&m, &n);
	assert_false(fl_route_read(at, n, &link));
	newlink(&m, "", AF_UNSPEC);
	at = octets(&m, &n);
	assert_false(fl_route_read(at, n, &link));
	newlink(&m, "a23456789012345", AF_UNSPEC);
	at = octets(&m, &n);
	assert_true(fl_route_read(at, n, &link));
}

static void read_everything(const void *at, size_t n)
{
	struct fl_port port = { .name = "eth1", .why = "" };
	struct fl_route_link link;
	struct fl_ip ip;
	uint32_t index;
	for (unsigned kind = 0; kind < 64; kind++)
		fl_ethtool_read((uint8_t)kind, at, n, &port);
	assert_true(port.signal <= port.signal_most);
	assert_true(strlen(port.why) < 60);
	if (fl_route_read(at, n, &link))
		assert_true(memchr(link.name, 0, sizeof link.name) != NULL);
	(void)fl_route_read_address(at, n, &index, &ip);
}

/* Under the address sanitizer a read past the end ends the test. */
static void cut_at_any_length_nothing_is_read_past_the_end(void **state)
{
	(void)state;
	struct message m[4];
	linkmodes(&m[0], AUTONEG_ENABLE);
	stats(&m[1]);
	linkstate(&m[2], 4, 0);
	newlink(&m[3], "eth1", AF_UNSPEC);
	for (size_t i = 0; i < 4; i++) {
		size_t whole;
		const uint8_t *at = octets(&m[i], &whole);
		for (size_t n = 0; n <= whole; n++) {
			uint8_t *tight = malloc(n ? n : 1);
			assert_non_null(tight);
			memcpy(tight, at, n);
			read_everything(tight, n);
			/* Each octet as a length or kind that lies. */
			for (size_t k = 0; n == whole && k < n; k++) {
				const uint8_t was = tight[k];
				static const uint8_t odd[] = { 0, 1, 3, 5, 0x7f, 0x80, 0xff };
				for (size_t o = 0; o < sizeof odd; o++) {
					tight[k] = odd[o];
					read_everything(tight, n);
				}
				tight[k] = was;
			}
			free(tight);
		}
	}
}

static char root[] = "/tmp/fairlead-ports.XXXXXX";

static void put_file(const char *name, const char *text)
{
	char path[256];
	(void)snprintf(path, sizeof path, "%s/class/net/eth1/%s", root, name);
	FILE *out = fopen(path, "w");
	assert_non_null(out);
	fputs(text, out);
	fclose(out);
}

static void remove_file(const char *name)
{
	char path[256];
	(void)snprintf(path, sizeof path, "%s/class/net/eth1/%s", root, name);
	remove(path);
}

static struct fl_port counted(struct fl_counters_known *known, uint32_t index)
{
	struct fl_port port = { .name = "eth1", .why = "", .index = index };
	fl_counters_read(root, &port, known);
	return port;
}

/* ports.h: a zero of sysfs is no count, frames and octets apart. */
static void an_error_counter_of_sysfs_counts_once_above_zero(void **state)
{
	(void)state;
	struct fl_counters_known known = { 0 };
	put_file("statistics/rx_packets", "0\n");
	put_file("statistics/rx_crc_errors", "12\n");
	put_file("statistics/rx_frame_errors", "0\n");
	struct fl_port p = counted(&known, 1);
	assert_true(fl_port_counts(&p, FL_COUNT_RECEIVED));
	assert_true(p.counts[FL_COUNT_CRC] == 12);
	assert_true(fl_port_counts(&p, FL_COUNT_CRC));
	assert_false(fl_port_counts(&p, FL_COUNT_ALIGNMENT));    /* zero   */
	assert_false(fl_port_counts(&p, FL_COUNT_LENGTH));       /* absent */
	assert_true(fl_counters_of_errors(&p));
	put_file("statistics/rx_crc_errors", "0\n");             /* set anew */
	p = counted(&known, 1);
	assert_true(fl_port_counts(&p, FL_COUNT_CRC));
	assert_true(p.counts[FL_COUNT_CRC] == 0);
}

/* statistics.rst: both tell of frames for which there was no room; judgement
 * that one number under two names is one loss. */
static void two_names_of_one_loss_are_not_added(void **state)
{
	(void)state;
	struct fl_counters_known known = { 0 };
	put_file("statistics/rx_missed_errors", "4\n");
	put_file("statistics/rx_fifo_errors", "4\n");
	const struct fl_port p = counted(&known, 1);
	assert_true(p.counts[FL_COUNT_MISSED] == 4);
}

/* ports.h: where a standard group counts, sysfs does not speak. */
static void a_standard_group_comes_before_sysfs(void **state)
{
	(void)state;
	struct fl_counters_known known = { 0 };
	struct fl_port p = { .name = "eth1", .counted = 1 << FL_COUNT_CRC };
	put_file("statistics/rx_crc_errors", "12\n");
	fl_counters_read(root, &p, &known);
	assert_true(fl_port_counts(&p, FL_COUNT_CRC));
	assert_true(p.counts[FL_COUNT_CRC] == 0);
	p = counted(&known, 1);                    /* the driver was too slow */
	assert_false(fl_port_counts(&p, FL_COUNT_CRC));
}

/* sysfs-class-net: speed is -1 and duplex "unknown" where they are not known. */
static void speed_of_sysfs_serves_where_the_driver_is_silent(void **state)
{
	(void)state;
	struct fl_counters_known known = { 0 };
	put_file("speed", "-1\n");
	put_file("duplex", "unknown\n");
	struct fl_port p = counted(&known, 1);
	assert_int_equal(p.mbit, 0);
	assert_int_equal(p.duplex, FL_DUPLEX_UNKNOWN);
	put_file("speed", "10\n");
	put_file("duplex", "half\n");
	p = counted(&known, 1);
	assert_int_equal(p.mbit, 10);
	assert_int_equal(p.duplex, FL_DUPLEX_HALF);
}

/* Judgement: text that is no plain number is no count. */
static void odd_text_is_no_count(void **state)
{
	(void)state;
	static const char *const odd[] = { "", "-3\n", " 4\n", "0x10\n", "7 \033[2J\n",
					   "99999999999999999999999\n" };
	for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
		struct fl_counters_known known = { 0 };
		put_file("statistics/collisions", odd[i]);
		const struct fl_port p = counted(&known, 1);
		assert_false(fl_port_counts(&p, FL_COUNT_COLLISIONS));
	}
}

/* sysfs-class-net, ifindex: sysfs shows the ports of the namespace that it was
 * mounted in. */
static void a_port_of_another_namespace_is_not_taken_for_ours(void **state)
{
	(void)state;
	struct fl_counters_known known = { 0 };
	put_file("statistics/rx_packets", "5\n");
	put_file("ifindex", "9\n");
	assert_int_equal(counted(&known, 1).counted, 0);
	assert_true(counted(&known, 9).counted != 0);
	remove_file("ifindex");
}

static int make_root(void **state)
{
	(void)state;
	char command[256];
	if (!mkdtemp(root))
		return -1;
	(void)snprintf(command, sizeof command, "mkdir -p '%s/class/net/eth1/statistics'", root);
	return system(command);
}

static int remove_root(void **state)
{
	(void)state;
	char command[256];
	(void)snprintf(command, sizeof command, "rm -r '%s'", root);
	return system(command);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(both_ends_modes_are_told),
		cmocka_unit_test(with_negotiation_off_nothing_is_advertised),
		cmocka_unit_test(unknown_speed_is_not_told),
		cmocka_unit_test(a_counter_left_out_is_kept_apart_from_zero),
		cmocka_unit_test(why_there_is_no_link_is_told),
		cmocka_unit_test(energy_efficient_ethernet_is_no_yes_or_not_known),
		cmocka_unit_test(a_port_is_read),
		cmocka_unit_test(a_port_switched_off_has_no_link),
		cmocka_unit_test(what_a_bridge_says_of_a_member_is_refused),
		cmocka_unit_test(a_name_too_long_or_empty_is_refused),
		cmocka_unit_test(cut_at_any_length_nothing_is_read_past_the_end),
		cmocka_unit_test(an_error_counter_of_sysfs_counts_once_above_zero),
		cmocka_unit_test(two_names_of_one_loss_are_not_added),
		cmocka_unit_test(a_standard_group_comes_before_sysfs),
		cmocka_unit_test(speed_of_sysfs_serves_where_the_driver_is_silent),
		cmocka_unit_test(odd_text_is_no_count),
		cmocka_unit_test(a_port_of_another_namespace_is_not_taken_for_ours),
	};
	return cmocka_run_group_tests(tests, make_root, remove_root);
}
