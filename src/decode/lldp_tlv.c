/* lldp_tlv.c -- read the TLVs of one LLDPDU.
 *
 * Source  IEEE Std 802.1AB-2016 clauses 8 and 9 (basic TLVs); IEEE Std 802.3
 *         clause 79 and IEEE Std 802.1Q annex D (theirs); ANSI/TIA-1057
 *         section 10.2 (LLDP-MED)
 * Takes   one LLDPDU; Ethernet padding behind its end is left unread
 * Refuses a first three that are not chassis, port and time to live, their
 *         repetition, an end that is missing (short) or has a content
 */
#include "decode/lldp.h"

enum { END, CHASSIS, PORT, TIME_TO_LIVE, ORGANIZATION = 127 };
enum { CHASSIS_MAC = 4, PORT_MAC = 3 };          /* tables 8-2 and 8-3 */
enum { FAMILY_IP4 = 1, FAMILY_IP6 = 2 };         /* IANA address families */

#define FIRST_RULE "IEEE Std 802.1AB-2016 section 8.2: " \
	"chassis, port and time to live come first"
#define ONCE_RULE "IEEE Std 802.1AB-2016 section 9.2.7.7.1: " \
	"chassis, port and time to live come once"
#define END_RULE "IEEE Std 802.1AB-2016 section 8.5.1: an end without content"

static struct fl_ip read_address(struct fl_cursor *c)
{
	switch (fl_u8(c)) {
	case FAMILY_IP4: return fl_ip4(c);
	case FAMILY_IP6: return fl_ip6(c);
	default:         return (struct fl_ip){ { 0 } };
	}
}

/* In both tables a network address follows the MAC address. */
static struct fl_lldp_id read_id(struct fl_cursor *c, uint8_t mac_subtype)
{
	struct fl_lldp_id id = { .subtype = fl_u8(c) };
	struct fl_cursor value = *c;
	id.value = fl_rest(c);
	if (id.value.n == 0)
		fl_refuse(c, FL_MALFORMED, "IEEE Std 802.1AB-2016 section 8.5.2: "
			  "an identifier of 1 octet or more");
	if (id.subtype == mac_subtype)
		id.mac = fl_mac(&value);
	else if (id.subtype == mac_subtype + 1)
		id.ip = read_address(&value);
	else
		id.text = id.value;
	return id;
}

static void read_port_description(struct fl_cursor *c, struct fl_lldp *l)
{
	l->port_description = fl_rest(c);
}

static void read_system_name(struct fl_cursor *c, struct fl_lldp *l)
{
	l->system_name = fl_rest(c);
}

static void read_system_description(struct fl_cursor *c, struct fl_lldp *l)
{
	l->system_description = fl_rest(c);
}

static void read_capabilities(struct fl_cursor *c, struct fl_lldp *l)
{
	const uint16_t capabilities = fl_u16(c);
	const uint16_t enabled = fl_u16(c);
	if (!fl_ok(c))
		return;
	l->capabilities = capabilities;
	l->enabled = enabled;
}

static void read_management(struct fl_cursor *c, struct fl_lldp *l)
{
	struct fl_cursor string = fl_sub(c, fl_u8(c));
	const struct fl_ip ip = read_address(&string);
	if (!fl_ip_is_none(ip) && l->addresses < FL_LLDP_ADDRESSES_MAX)
		l->address[l->addresses++] = ip;
}

static void read_mac_phy(struct fl_cursor *c, struct fl_lldp *l)
{
	const uint8_t negotiation = fl_u8(c);
	const uint16_t advertised = fl_u16(c);
	const uint16_t mau = fl_u16(c);
	if (!fl_ok(c))
		return;
	l->mac_phy.told = true;
	l->mac_phy.supported = negotiation & 0x01;
	l->mac_phy.enabled = negotiation & 0x02;
	l->mac_phy.advertised = advertised;
	l->mac_phy.mau = mau;
}

/* The first edition ends after the class. */
static void read_power(struct fl_cursor *c, struct fl_lldp *l)
{
	const uint8_t support = fl_u8(c);
	const uint8_t pair = fl_u8(c);
	const uint8_t class = fl_u8(c);
	if (!fl_ok(c))
		return;
	l->power.told = true;
	l->power.support = support;
	l->power.pair = pair;
	l->power.class = class;
	fl_skip(c, 1);                           /* type, source, priority */
	l->power.requested = fl_u16(c);
	l->power.allocated = fl_u16(c);
}

static void read_max_frame(struct fl_cursor *c, struct fl_lldp *l)
{
	l->max_frame = fl_u16(c);
}

static void read_eee(struct fl_cursor *c, struct fl_lldp *l)
{
	const uint16_t transmit = fl_u16(c);
	const uint16_t receive = fl_u16(c);
	if (!fl_ok(c))
		return;
	l->eee.told = true;
	l->eee.transmit = transmit;
	l->eee.receive = receive;
}

static void read_port_vlan(struct fl_cursor *c, struct fl_lldp *l)
{
	l->port_vlan = fl_u16(c);
}

static void read_vlan_name(struct fl_cursor *c, struct fl_lldp *l)
{
	const uint16_t vlan = fl_u16(c);
	const struct fl_slice name = fl_take(c, fl_u8(c));
	if (!fl_ok(c))
		return;
	l->named_vlan = vlan;
	l->vlan_name = name;
}

typedef void tlv_reader(struct fl_cursor *c, struct fl_lldp *l);

static tlv_reader *const basic[] = {
	[4] = read_port_description, [5] = read_system_name,
	[6] = read_system_description, [7] = read_capabilities,
	[8] = read_management,
};

enum { IEEE_802_1 = 0x0080c2, IEEE_802_3 = 0x00120f, MED = 0x0012bb };
enum { MED_INVENTORY = 5 };

static const struct {
	uint32_t organization;
	uint8_t  subtype;
	tlv_reader *read;
} organized[] = {
	{ IEEE_802_3, 1, read_mac_phy },   { IEEE_802_3, 2, read_power },
	{ IEEE_802_3, 4, read_max_frame }, { IEEE_802_3, 5, read_eee },
	{ IEEE_802_1, 1, read_port_vlan }, { IEEE_802_1, 3, read_vlan_name },
};

static void read_organized(struct fl_cursor *c, struct fl_lldp *l)
{
	const uint32_t organization = (uint32_t)fl_be(c, 3);
	const uint8_t subtype = fl_u8(c);
	const unsigned inventory = subtype - MED_INVENTORY;
	if (organization == MED && inventory < FL_MED_INVENTORY)
		l->inventory[inventory] = fl_rest(c);
	for (size_t i = 0; i < sizeof organized / sizeof organized[0]; i++)
		if (organized[i].organization == organization &&
		    organized[i].subtype == subtype)
			organized[i].read(c, l);
}

/* The next TLV: its type, and a cursor over its content. */
static uint8_t read_tlv(struct fl_cursor *c, struct fl_cursor *content)
{
	const uint16_t header = fl_u16(c);
	*content = fl_sub(c, header & 0x1ff);
	return (uint8_t)(header >> 9);
}

static struct fl_cursor read_mandatory(struct fl_cursor *c, uint8_t type)
{
	struct fl_cursor look = *c, content;
	if (fl_u16(&look) >> 9 != type)
		fl_refuse(&look, FL_MALFORMED, FIRST_RULE);
	fl_join(c, &look);
	(void)read_tlv(c, &content);
	return content;
}

/* Everything after the first three, up to the end. */
static void read_optional(struct fl_cursor *c, struct fl_lldp *l)
{
	while (fl_ok(c)) {
		struct fl_cursor content;
		const uint8_t type = read_tlv(c, &content);
		if (type == END) {
			if (fl_left(&content))
				fl_refuse(c, FL_MALFORMED, END_RULE);
			return;
		}
		if (type <= TIME_TO_LIVE)
			fl_refuse(c, FL_MALFORMED, ONCE_RULE);
		else if (type == ORGANIZATION)
			read_organized(&content, l);
		else if (type < sizeof basic / sizeof basic[0] && basic[type])
			basic[type](&content, l);
	}
}

enum fl_status fl_lldp_read(struct fl_cursor *c, struct fl_lldp *lldp)
{
	*lldp = (struct fl_lldp){ .seconds = 0 };
	struct fl_cursor chassis = read_mandatory(c, CHASSIS);
	lldp->chassis = read_id(&chassis, CHASSIS_MAC);
	fl_join(c, &chassis);
	struct fl_cursor port = read_mandatory(c, PORT);
	lldp->port = read_id(&port, PORT_MAC);
	fl_join(c, &port);
	struct fl_cursor time = read_mandatory(c, TIME_TO_LIVE);
	lldp->seconds = fl_u16(&time);
	fl_join(c, &time);
	read_optional(c, lldp);
	return c->status;
}
