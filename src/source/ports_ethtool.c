/* ports_ethtool.c -- what a port's driver tells: speed, what both ends
 * advertise, signal, why there is no link, counters.
 *
 * Source  Linux Documentation/networking/ethtool-netlink.rst; linux/ethtool.h
 *         (bits of modes, extended states); linux/ethtool_netlink.h (the
 *         standard statistics, each beside its attribute of IEEE Std 802.3
 *         clause 30 or of RFC 2819)
 * Takes   the attributes of one answer, of any length
 * Says    nothing of what is missing: a driver that does not count is kept
 *         apart from one that counted none
 */
#include "source/ports_inner.h"

#include <errno.h>
#include <linux/ethtool.h>
#include <linux/ethtool_netlink.h>
#include <linux/genetlink.h>
#include <string.h>

static const struct { uint16_t bit; enum fl_link_mode mode; } modes[] = {
	{ ETHTOOL_LINK_MODE_10baseT_Half_BIT,     FL_MODE_10_HALF },
	{ ETHTOOL_LINK_MODE_10baseT_Full_BIT,     FL_MODE_10_FULL },
	{ ETHTOOL_LINK_MODE_100baseT_Half_BIT,    FL_MODE_100_HALF },
	{ ETHTOOL_LINK_MODE_100baseT_Full_BIT,    FL_MODE_100_FULL },
	{ ETHTOOL_LINK_MODE_1000baseT_Half_BIT,   FL_MODE_1000_HALF },
	{ ETHTOOL_LINK_MODE_1000baseT_Full_BIT,   FL_MODE_1000_FULL },
	{ ETHTOOL_LINK_MODE_2500baseT_Full_BIT,   FL_MODE_2500_FULL },
	{ ETHTOOL_LINK_MODE_5000baseT_Full_BIT,   FL_MODE_5000_FULL },
	{ ETHTOOL_LINK_MODE_10000baseT_Full_BIT,  FL_MODE_10000_FULL },
};

/* enum ethtool_link_ext_state and its substates; the first row that fits is
 * told, and substate 0 fits any. */
static const struct { uint8_t state, more; const char *words; } reasons[] = {
	{ ETHTOOL_LINK_EXT_STATE_AUTONEG,
	  ETHTOOL_LINK_EXT_SUBSTATE_AN_NO_PARTNER_DETECTED,
	  "nobody answers at the other end" },
	{ ETHTOOL_LINK_EXT_STATE_AUTONEG,
	  ETHTOOL_LINK_EXT_SUBSTATE_AN_NO_PARTNER_DETECTED_FORCE_MODE,
	  "nobody answers at the other end" },
	{ ETHTOOL_LINK_EXT_STATE_AUTONEG,
	  ETHTOOL_LINK_EXT_SUBSTATE_AN_NO_HCD, "the ends have no speed in common" },
	{ ETHTOOL_LINK_EXT_STATE_AUTONEG, 0, "the ends did not agree" },
	{ ETHTOOL_LINK_EXT_STATE_LINK_TRAINING_FAILURE, 0, "the ends could not tune in" },
	{ ETHTOOL_LINK_EXT_STATE_LINK_LOGICAL_MISMATCH, 0, "the ends do not match" },
	{ ETHTOOL_LINK_EXT_STATE_BAD_SIGNAL_INTEGRITY, 0, "bad signal" },
	{ ETHTOOL_LINK_EXT_STATE_NO_CABLE, 0, "no cable" },
	{ ETHTOOL_LINK_EXT_STATE_CABLE_ISSUE, 0, "trouble with the cable" },
	{ ETHTOOL_LINK_EXT_STATE_EEPROM_ISSUE, 0, "the adapter cannot read its memory" },
	{ ETHTOOL_LINK_EXT_STATE_CALIBRATION_FAILURE, 0, "the adapter could not calibrate" },
	{ ETHTOOL_LINK_EXT_STATE_POWER_BUDGET_EXCEEDED, 0, "the plug-in module lacks power" },
	{ ETHTOOL_LINK_EXT_STATE_OVERHEAT, 0, "the adapter is too hot" },
	{ ETHTOOL_LINK_EXT_STATE_MODULE, 0, "trouble with the plug-in module" },
};

#define STATISTIC(group, name, counter) \
	{ ETHTOOL_STATS_##group, ETHTOOL_A_STATS_##group##_##name, FL_COUNT_##counter }
static const struct { uint8_t group, statistic; enum fl_counter counter; } statistics[] = {
	STATISTIC(ETH_PHY, 5_SYM_ERR, SYMBOL),
	STATISTIC(ETH_MAC, 6_FCS_ERR, CRC),
	STATISTIC(ETH_MAC, 7_ALIGN_ERR, ALIGNMENT),
	STATISTIC(ETH_MAC, 10_LATE_COL, LATE_COLLISIONS),
	STATISTIC(ETH_MAC, 13_CS_ERR, CARRIER),
	STATISTIC(ETH_CTRL, 3_TX, PAUSE_SENT),
	STATISTIC(ETH_CTRL, 4_RX, PAUSE_RECEIVED),
	STATISTIC(RMON, UNDERSIZE, UNDERSIZE),
	STATISTIC(RMON, OVERSIZE, OVERSIZE),
	STATISTIC(RMON, FRAG, FRAGMENTS),
	STATISTIC(RMON, JABBER, JABBERS),
};
#undef STATISTIC

/* A bitset in its compact form: 32 bits a word, in the host's order. */
static uint32_t read_modes(const struct nlattr *bitset)
{
	const struct nlattr *at[ETHTOOL_A_BITSET_VALUE + 1];
	uint32_t found = 0;
	fl_attributes_within(bitset, at, ETHTOOL_A_BITSET_VALUE + 1);
	const struct nlattr *value = at[ETHTOOL_A_BITSET_VALUE];
	const size_t octets = value ? mnl_attr_get_payload_len(value) : 0;
	for (size_t i = 0; i < sizeof modes / sizeof modes[0]; i++) {
		uint32_t word;
		const size_t where = modes[i].bit / 32 * sizeof word;
		if (where + sizeof word > octets)
			continue;
		memcpy(&word, (const char *)mnl_attr_get_payload(value) + where, sizeof word);
		if (word >> modes[i].bit % 32 & 1)
			found |= modes[i].mode;
	}
	return found;
}

static void read_linkmodes(const void *message, size_t n, struct fl_port *port)
{
	const struct nlattr *at[ETHTOOL_A_LINKMODES_DUPLEX + 1];
	uint64_t value = 0;
	fl_attributes(message, n, at, ETHTOOL_A_LINKMODES_DUPLEX + 1);
	/* SPEED_UNKNOWN is all ones; more than an int is no speed either. */
	if (fl_attribute_number(at[ETHTOOL_A_LINKMODES_SPEED], &value) && value <= INT32_MAX)
		port->mbit = (uint32_t)value;
	if (fl_attribute_number(at[ETHTOOL_A_LINKMODES_DUPLEX], &value))
		port->duplex = value == DUPLEX_HALF ? FL_DUPLEX_HALF
			     : value == DUPLEX_FULL ? FL_DUPLEX_FULL : FL_DUPLEX_UNKNOWN;
	/* With negotiation off nothing is advertised, whatever is set. */
	const bool negotiates = fl_attribute_number(at[ETHTOOL_A_LINKMODES_AUTONEG], &value) &&
				value == AUTONEG_ENABLE;
	port->ours = negotiates ? read_modes(at[ETHTOOL_A_LINKMODES_OURS]) : 0;
	port->theirs = read_modes(at[ETHTOOL_A_LINKMODES_PEER]);
}

static void read_linkstate(const void *message, size_t n, struct fl_port *port)
{
	const struct nlattr *at[ETHTOOL_A_LINKSTATE_EXT_SUBSTATE + 1];
	uint64_t value = 0, most = 0, more = 0;
	fl_attributes(message, n, at, ETHTOOL_A_LINKSTATE_EXT_SUBSTATE + 1);
	if (fl_attribute_number(at[ETHTOOL_A_LINKSTATE_SQI], &value) &&
	    fl_attribute_number(at[ETHTOOL_A_LINKSTATE_SQI_MAX], &most) &&
	    value <= most && most <= UINT8_MAX) {
		port->signal = (uint8_t)value;
		port->signal_most = (uint8_t)most;
	}
	if (!fl_attribute_number(at[ETHTOOL_A_LINKSTATE_EXT_STATE], &value))
		return;
	(void)fl_attribute_number(at[ETHTOOL_A_LINKSTATE_EXT_SUBSTATE], &more);
	for (size_t i = 0; i < sizeof reasons / sizeof reasons[0]; i++)
		if (reasons[i].state == value &&
		    (!reasons[i].more || reasons[i].more == more)) {
			port->why = reasons[i].words;
			return;
		}
}

static void read_eee(const void *message, size_t n, struct fl_port *port)
{
	const struct nlattr *at[ETHTOOL_A_EEE_ACTIVE + 1];
	uint64_t active = 0;
	fl_attributes(message, n, at, ETHTOOL_A_EEE_ACTIVE + 1);
	if (fl_attribute_number(at[ETHTOOL_A_EEE_ACTIVE], &active))
		port->energy = active ? FL_YES : FL_NO;
}

struct grouped {
	struct fl_port *port;
	uint64_t group;
};

static int read_statistic(const struct nlattr *a, void *context)
{
	const struct nlattr *at[ETHTOOL_A_STATS_ETH_MAC_MAX + 1];
	const struct grouped *g = context;
	if (mnl_attr_get_type(a) != ETHTOOL_A_STATS_GRP_STAT)
		return MNL_CB_OK;
	fl_attributes_within(a, at, ETHTOOL_A_STATS_ETH_MAC_MAX + 1);
	for (size_t i = 0; i < sizeof statistics / sizeof statistics[0]; i++) {
		const enum fl_counter c = statistics[i].counter;
		if (statistics[i].group == g->group &&
		    fl_attribute_number(at[statistics[i].statistic], &g->port->counts[c]))
			g->port->counted |= UINT32_C(1) << c;
	}
	return MNL_CB_OK;
}

static int read_group(const struct nlattr *a, void *context)
{
	const struct nlattr *at[ETHTOOL_A_STATS_GRP_ID + 1];
	struct grouped g = { .port = context };
	if (mnl_attr_get_type(a) != ETHTOOL_A_STATS_GRP)
		return MNL_CB_OK;
	fl_attributes_within(a, at, ETHTOOL_A_STATS_GRP_ID + 1);
	if (fl_attribute_number(at[ETHTOOL_A_STATS_GRP_ID], &g.group))
		mnl_attr_parse_payload(mnl_attr_get_payload(a), mnl_attr_get_payload_len(a),
				       read_statistic, &g);
	return MNL_CB_OK;
}

static void read_stats(const void *message, size_t n, struct fl_port *port)
{
	mnl_attr_parse_payload(message, n, read_group, port);
}

static const struct question {
	uint8_t ask, reply;
	uint16_t head;               /* its attribute for the header         */
	void (*read)(const void *message, size_t n, struct fl_port *port);
} questions[] = {
	{ ETHTOOL_MSG_LINKMODES_GET, ETHTOOL_MSG_LINKMODES_GET_REPLY,
	  ETHTOOL_A_LINKMODES_HEADER, read_linkmodes },
	{ ETHTOOL_MSG_LINKSTATE_GET, ETHTOOL_MSG_LINKSTATE_GET_REPLY,
	  ETHTOOL_A_LINKSTATE_HEADER, read_linkstate },
	{ ETHTOOL_MSG_EEE_GET, ETHTOOL_MSG_EEE_GET_REPLY,
	  ETHTOOL_A_EEE_HEADER, read_eee },
	{ ETHTOOL_MSG_STATS_GET, ETHTOOL_MSG_STATS_GET_REPLY,
	  ETHTOOL_A_STATS_HEADER, read_stats },
};
enum { QUESTIONS = sizeof questions / sizeof questions[0] };

void fl_ethtool_read(uint8_t kind, const void *message, size_t n, struct fl_port *port)
{
	for (size_t i = 0; i < QUESTIONS; i++)
		if (questions[i].reply == kind)
			questions[i].read(message, n, port);
}

static int take_answer(const struct nlmsghdr *h, void *context)
{
	struct genlmsghdr head;
	const size_t fixed = GENL_HDRLEN, n = mnl_nlmsg_get_payload_len(h);
	if (n < fixed)
		return MNL_CB_STOP;
	memcpy(&head, mnl_nlmsg_get_payload(h), sizeof head);
	fl_ethtool_read(head.cmd, mnl_nlmsg_get_payload_offset(h, fixed), n - fixed, context);
	return MNL_CB_STOP;
}

static void put_groups(struct nlmsghdr *question)
{
	const uint32_t all = 1 << ETHTOOL_STATS_ETH_PHY | 1 << ETHTOOL_STATS_ETH_MAC |
			     1 << ETHTOOL_STATS_ETH_CTRL | 1 << ETHTOOL_STATS_RMON;
	struct nlattr *set = mnl_attr_nest_start(question, ETHTOOL_A_STATS_GROUPS);
	mnl_attr_put(question, ETHTOOL_A_BITSET_NOMASK, 0, NULL);
	mnl_attr_put_u32(question, ETHTOOL_A_BITSET_SIZE, __ETHTOOL_STATS_CNT);
	mnl_attr_put(question, ETHTOOL_A_BITSET_VALUE, sizeof all, &all);
	mnl_attr_nest_end(question, set);
}

void fl_ethtool_ask(struct fl_ethtool *ethtool, uint32_t index, struct fl_port *port)
{
	for (size_t i = 0; ethtool->family && i < QUESTIONS; i++) {
		const struct question *q = &questions[i];
		const struct genlmsghdr head = {
			.cmd = q->ask, .version = ETHTOOL_GENL_VERSION,
		};
		struct nlmsghdr *question = fl_question(&ethtool->asker, ethtool->family, 0,
							&head, sizeof head);
		struct nlattr *nest = mnl_attr_nest_start(question, q->head);
		mnl_attr_put_u32(question, ETHTOOL_A_HEADER_DEV_INDEX, index);
		mnl_attr_put_u32(question, ETHTOOL_A_HEADER_FLAGS,
				 ETHTOOL_FLAG_COMPACT_BITSETS);
		mnl_attr_nest_end(question, nest);
		if (q->ask == ETHTOOL_MSG_STATS_GET)
			put_groups(question);
		/* A refusal, EOPNOTSUPP mostly, is "not told". */
		(void)fl_ask(&ethtool->asker, question, take_answer, port);
	}
}

static int take_family(const struct nlmsghdr *h, void *context)
{
	const struct nlattr *at[CTRL_ATTR_FAMILY_ID + 1];
	const size_t fixed = GENL_HDRLEN;
	const size_t n = mnl_nlmsg_get_payload_len(h);
	if (n < fixed)
		return MNL_CB_STOP;
	fl_attributes(mnl_nlmsg_get_payload_offset(h, fixed), n - fixed, at,
		      CTRL_ATTR_FAMILY_ID + 1);
	const struct nlattr *id = at[CTRL_ATTR_FAMILY_ID];
	if (id && mnl_attr_validate(id, MNL_TYPE_U16) == 0)
		*(uint16_t *)context = mnl_attr_get_u16(id);
	return MNL_CB_STOP;
}

int fl_ethtool_open(struct fl_ethtool *ethtool)
{
	const struct genlmsghdr head = { .cmd = CTRL_CMD_GETFAMILY, .version = 1 };
	const int refused = fl_asker_open(&ethtool->asker, NETLINK_GENERIC);
	if (refused)
		return refused;
	ethtool->family = 0;
	struct nlmsghdr *question = fl_question(&ethtool->asker, GENL_ID_CTRL, 0, &head,
						sizeof head);
	mnl_attr_put_strz(question, CTRL_ATTR_FAMILY_NAME, ETHTOOL_GENL_NAME);
	(void)fl_ask(&ethtool->asker, question, take_family, &ethtool->family);
	return 0;
}

void fl_ethtool_close(struct fl_ethtool *ethtool)
{
	fl_asker_close(&ethtool->asker);
}
