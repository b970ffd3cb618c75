/* lldp.c -- what LLDP tells of the station that sends it.
 *
 * Source  IEEE Std 802.1AB-2016; the TLVs themselves are in lldp_tlv.c
 * Says    NEIGHBOUR, IDENTITY, or LEAVING for a shutdown LLDPDU
 */
#include "decode/decode.h"
#include "decode/lldp.h"

/* The fastest of what ifMauAutoNegCap can name (RFC 4836 section 4). */
static uint32_t fastest(uint16_t advertised)
{
	static const struct { uint16_t any; uint32_t mbit; } rows[] = {
		{ 0x000f, 1000 }, { 0x1f00, 100 }, { 0x6000, 10 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		if (advertised & rows[i].any)
			return rows[i].mbit;
	return 0;
}

/* Speed of a dot3MauType (IANA-MAU-MIB, RFC 4836 section 5). */
static uint32_t speed_of_mau(uint16_t mau)
{
	static const struct { uint16_t first, last; uint32_t mbit; } rows[] = {
		{ 2, 13, 10 },      { 14, 20, 100 },  { 21, 30, 1000 },
		{ 31, 41, 10000 },  { 44, 46, 100 },  { 47, 53, 1000 },
		{ 54, 55, 10000 },  { 56, 56, 1000 }, { 57, 58, 10000 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		if (mau >= rows[i].first && mau <= rows[i].last)
			return rows[i].mbit;
	return 0;
}

static uint64_t speeds(const struct fl_lldp *l)
{
	const uint64_t does = speed_of_mau(l->mac_phy.mau);
	const uint64_t can = fastest(l->mac_phy.advertised);
	return (can > does ? can : does) << 32 | does;
}

/* A chassis names itself by a text or by an address. */
static struct fl_slice chassis(const struct fl_lldp *l, struct fl_facts *out)
{
	char text[FL_IP_TEXT] = "";
	if (l->chassis.text.n)
		return l->chassis.text;
	if (!fl_mac_is_none(l->chassis.mac))
		fl_mac_text(l->chassis.mac, text);
	else if (!fl_ip_is_none(l->chassis.ip))
		fl_ip_text(l->chassis.ip, text);
	return fl_keep(out, (struct fl_slice){ (const uint8_t *)text, strlen(text) });
}

static void say_neighbour(const struct fl_lldp *l, struct fl_facts *out)
{
	struct fl_fact *f = fl_say(out, FL_FACT_NEIGHBOUR);
	f->text = chassis(l, out);
	f->other_text = l->port.text.n ? l->port.text : l->port_description;
	f->third_text = l->system_name;
	f->number = l->enabled;
	f->seconds = l->seconds;
	f->speeds = speeds(l);
}

static void say_text(struct fl_facts *out, enum fl_identity field,
		     struct fl_slice text, uint32_t seconds)
{
	if (text.n == 0)
		return;
	struct fl_fact *f = fl_say(out, FL_FACT_IDENTITY);
	f->aspect = field;
	f->text = text;
	f->seconds = seconds;
}

/* One word for the capabilities in use, the most telling first. */
static const char *kind_of(uint16_t enabled)
{
	static const struct { uint16_t bit; const char *kind; } rows[] = {
		{ 0x0020, "phone" }, { FL_IS_ACCESS_POINT, "access point" },
		{ FL_IS_BRIDGE, "switch" }, { FL_IS_ROUTER, "router" },
		{ FL_IS_REPEATER, "repeater" },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		if (enabled & rows[i].bit)
			return rows[i].kind;
	return "";
}

static void say_inventory(const struct fl_lldp *l, struct fl_facts *out)
{
	const struct fl_slice *told = l->inventory;
	const struct fl_slice software =
		told[told[FL_MED_SOFTWARE].n ? FL_MED_SOFTWARE : FL_MED_FIRMWARE];
	say_text(out, FL_ID_MAKER, told[FL_MED_MAKER], l->seconds);
	say_text(out, FL_ID_MODEL, told[FL_MED_MODEL], l->seconds);
	say_text(out, FL_ID_SERIAL, told[FL_MED_SERIAL], l->seconds);
	say_text(out, FL_ID_HARDWARE, told[FL_MED_HARDWARE], l->seconds);
	say_text(out, FL_ID_SOFTWARE, software, l->seconds);
}

static void say_addresses(const struct fl_lldp *l, struct fl_facts *out)
{
	for (size_t i = 0; i < l->addresses; i++) {
		struct fl_fact *f = fl_say(out, FL_FACT_IDENTITY);
		f->aspect = FL_ID_ADDRESS;
		f->ip = l->address[i];
		f->seconds = l->seconds;
	}
}

/* IEEE Std 802.1AB-2016 section 8.5.4: time to live 0 shuts down. */
static void say_shutdown(struct fl_facts *out)
{
	struct fl_fact *f = fl_say(out, FL_FACT_LEAVING);
	f->aspect = FL_BY_SERVICES;
	f->text = fl_static("LLDP shutdown");
}

enum fl_status fl_decode_lldp(const struct fl_packet *packet,
			      struct fl_cursor *c, struct fl_facts *out,
			      enum fl_manner *manner)
{
	(void)packet, (void)manner;
	struct fl_lldp l;
	if (fl_lldp_read(c, &l) != FL_OK)
		return c->status;
	if (l.seconds == 0) {
		say_shutdown(out);
		return FL_OK;
	}
	say_neighbour(&l, out);
	say_text(out, FL_ID_NAME, l.system_name, l.seconds);
	say_text(out, FL_ID_KIND, fl_static(kind_of(l.enabled)), l.seconds);
	say_addresses(&l, out);
	say_inventory(&l, out);
	return FL_OK;
}
