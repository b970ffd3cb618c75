/* snmp_read.c -- a notification in either of its two forms.
 *
 * Source  RFC 1157 sections 4 and 4.1.6 (SNMPv1); RFC 3416 sections 3 and
 *         4.2.6 (SNMPv2); RFC 3584 section 3.1 (which trap of the one is which
 *         of the other); RFC 2863 section 6, RFC 4188 section 4 (objects)
 *
 * Object identifiers are compared as they are encoded: X.690 clause 8.19
 * leaves one way to write them.
 */
#include "decode/snmp.h"

#include "decode/ber.h"

enum { VERSION_1, VERSION_2C };
enum { TRAP_1 = 0xa4, INFORM = 0xa6, TRAP_2 = 0xa7 };
enum { ENTERPRISE_SPECIFIC = 6 };

#define OID(text) { (const uint8_t *)(text), sizeof(text) - 1 }
#define MIB_2 "\x2b\x06\x01\x02\x01"
#define SNMP_TRAPS "\x2b\x06\x01\x06\x03\x01\x01\x05"

static const struct { struct fl_slice oid; enum fl_snmp_trap trap; } traps[] = {
	{ OID(SNMP_TRAPS "\x01"), FL_SNMP_COLD_START },
	{ OID(SNMP_TRAPS "\x02"), FL_SNMP_WARM_START },
	{ OID(SNMP_TRAPS "\x03"), FL_SNMP_LINK_DOWN },
	{ OID(SNMP_TRAPS "\x04"), FL_SNMP_LINK_UP },
	{ OID(MIB_2 "\x11\x00\x01"), FL_SNMP_NEW_ROOT },
	{ OID(MIB_2 "\x11\x00\x02"), FL_SNMP_TOPOLOGY_CHANGE },
};
static const struct fl_slice sys_uptime = OID(MIB_2 "\x01\x03\x00");
static const struct fl_slice snmp_trap_oid =
	OID("\x2b\x06\x01\x06\x03\x01\x01\x04\x01\x00");
static const struct fl_slice dot1d_bridge = OID(MIB_2 "\x11");

static bool is(struct fl_slice a, struct fl_slice b)
{
	return a.n == b.n && memcmp(a.at, b.at, b.n) == 0;
}

static bool is_under(struct fl_slice oid, struct fl_slice above)
{
	return oid.n > above.n && memcmp(oid.at, above.at, above.n) == 0;
}

static uint32_t as_u32(struct fl_cursor *value)
{
	const int64_t v = fl_ber_integer(value,
		"ITU-T X.690 clause 8.3: an integer of 1 to 8 octets");
	return v < 0 || v > UINT32_MAX ? 0 : (uint32_t)v;
}

static void read_uptime(struct fl_cursor *value, struct fl_snmp *m)
{
	m->uptime = as_u32(value);
	m->uptime_told = true;
}

static void read_trap(struct fl_cursor *value, struct fl_snmp *m)
{
	const struct fl_slice oid = fl_rest(value);
	for (size_t i = 0; i < sizeof traps / sizeof traps[0]; i++)
		if (is(oid, traps[i].oid))
			m->trap = traps[i].trap;
}

static void read_index(struct fl_cursor *value, struct fl_snmp *m)
{
	m->index = as_u32(value);
}

static void read_admin(struct fl_cursor *value, struct fl_snmp *m)
{
	m->admin = as_u32(value);
}

static void read_oper(struct fl_cursor *value, struct fl_snmp *m)
{
	m->oper = as_u32(value);
}

static void read_description(struct fl_cursor *value, struct fl_snmp *m)
{
	m->description = fl_rest(value);
}

static void read_name(struct fl_cursor *value, struct fl_snmp *m)
{
	m->name = fl_rest(value);
}

/* Columns of the interface tables: the row's number, ifIndex, comes after. */
static const struct {
	struct fl_slice column;
	uint8_t         tag;
	void          (*read)(struct fl_cursor *value, struct fl_snmp *m);
} columns[] = {
	{ OID(MIB_2 "\x02\x02\x01\x01"), FL_BER_INTEGER, read_index },
	{ OID(MIB_2 "\x02\x02\x01\x02"), FL_BER_OCTETS,  read_description },
	{ OID(MIB_2 "\x02\x02\x01\x07"), FL_BER_INTEGER, read_admin },
	{ OID(MIB_2 "\x02\x02\x01\x08"), FL_BER_INTEGER, read_oper },
	{ OID(MIB_2 "\x1f\x01\x01\x01\x01"), FL_BER_OCTETS, read_name },
};

/* The arc that `oid` has below `above`, of 32 bits (X.690 clause 8.19.2). */
static uint32_t arc_below(struct fl_slice oid, struct fl_slice above)
{
	uint64_t arc = 0;
	for (size_t i = above.n; i < oid.n && arc <= UINT32_MAX; i++) {
		arc = arc << 7 | (oid.at[i] & 0x7f);
		if (!(oid.at[i] & 0x80))
			break;
	}
	return arc > UINT32_MAX ? 0 : (uint32_t)arc;
}

static void use(struct fl_slice oid, struct fl_ber *value, struct fl_snmp *m)
{
	if (value->tag == FL_BER_TICKS && is(oid, sys_uptime))
		read_uptime(&value->value, m);
	if (value->tag == FL_BER_OID && is(oid, snmp_trap_oid))
		read_trap(&value->value, m);
	for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i++) {
		if (!is_under(oid, columns[i].column) ||
		    value->tag != columns[i].tag)
			continue;
		if (!m->index)
			m->index = arc_below(oid, columns[i].column);
		columns[i].read(&value->value, m);
	}
}

static void read_bindings(struct fl_cursor *pdu, struct fl_snmp *m)
{
	struct fl_cursor list = fl_ber_take(pdu, FL_BER_SEQUENCE,
		"RFC 3416 section 3: a list of variable bindings");
	for (size_t i = 0; fl_ok(&list) && fl_left(&list); i++) {
		if (i == FL_SNMP_BINDINGS_MAX) {
			fl_refuse(&list, FL_FULL, "too many variable bindings");
			break;
		}
		struct fl_cursor pair = fl_ber_take(&list, FL_BER_SEQUENCE,
			"RFC 3416 section 3: a variable binding");
		struct fl_cursor oid = fl_ber_take(&pair, FL_BER_OID,
			"RFC 3416 section 3: the name of a variable");
		struct fl_ber value = fl_ber_next(&pair);
		fl_join(&pair, &oid);
		fl_join(&value.value, &pair);
		if (fl_ok(&value.value))
			use(fl_rest(&oid), &value, m);
		fl_join(&list, &value.value);
	}
	fl_join(pdu, &list);
}

static uint32_t read_number(struct fl_cursor *c)
{
	struct fl_cursor value = fl_ber_take(c, FL_BER_INTEGER,
		"RFC 1157 section 4: an INTEGER");
	const uint32_t n = as_u32(&value);
	fl_join(c, &value);
	return n;
}

/* RFC 3584 section 3.1: the generic ones in their order; of those of an
 * enterprise the bridge's own are read (RFC 4188 section 4). */
static enum fl_snmp_trap trap_of(struct fl_slice enterprise, uint32_t generic,
				 uint32_t specific)
{
	if (generic < 4)
		return FL_SNMP_COLD_START + generic;
	if (generic == ENTERPRISE_SPECIFIC && is(enterprise, dot1d_bridge) &&
	    (specific == 1 || specific == 2))
		return FL_SNMP_NEW_ROOT + specific - 1;
	return FL_SNMP_OTHER;
}

static void read_trap_1(struct fl_cursor *pdu, struct fl_snmp *m)
{
	struct fl_cursor enterprise = fl_ber_take(pdu, FL_BER_OID,
		"RFC 1157 section 4.1.6: an enterprise");
	(void)fl_ber_take(pdu, FL_BER_ADDRESS,
			  "RFC 1157 section 4.1.6: an agent's address");
	const uint32_t generic = read_number(pdu), specific = read_number(pdu);
	struct fl_cursor ticks = fl_ber_take(pdu, FL_BER_TICKS,
		"RFC 1157 section 4.1.6: a time stamp");
	read_uptime(&ticks, m);
	fl_join(pdu, &ticks);
	read_bindings(pdu, m);
	m->trap = trap_of(fl_rest(&enterprise), generic, specific);
}

static void read_trap_2(struct fl_cursor *pdu, struct fl_snmp *m)
{
	for (int i = 0; i < 3; i++)              /* request, two of errors */
		(void)read_number(pdu);
	read_bindings(pdu, m);
}

enum fl_status fl_snmp_read(struct fl_cursor *c, struct fl_snmp *m)
{
	*m = (struct fl_snmp){ .version = 0 };
	struct fl_cursor body = fl_ber_take(c, FL_BER_SEQUENCE,
		"RFC 1157 section 4: a message is a SEQUENCE");
	const uint32_t version = read_number(&body);
	if (fl_ok(&body) && version > VERSION_2C)
		fl_refuse(&body, FL_UNSUPPORTED, "version of SNMP");
	m->version = (uint8_t)version;
	(void)fl_ber_take(&body, FL_BER_OCTETS,
			  "RFC 1157 section 4: a community");
	struct fl_ber pdu = fl_ber_next(&body);
	fl_join(&pdu.value, &body);
	if (pdu.tag == TRAP_1 && version == VERSION_1)
		read_trap_1(&pdu.value, m);
	else if ((pdu.tag == TRAP_2 || pdu.tag == INFORM) && version == VERSION_2C)
		read_trap_2(&pdu.value, m);
	else
		fl_refuse(&pdu.value, FL_UNSUPPORTED, "no notification");
	fl_join(c, &pdu.value);
	return c->status;
}
