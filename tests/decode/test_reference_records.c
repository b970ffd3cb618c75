/* test_reference_records.c -- the readers of ARP, neighbour discovery, IGMP,
 * MLD, BPDUs and LLDP against answers computed by a decoder that shares
 * nothing with ours.
 *
 * What a reader read is put into the form of the answers, and compared key by
 * key. A message whose checksum does not hold is read by the answers only:
 * their policy is not to look, RFC 2236 section 2.3 and RFC 4443 section 2.3
 * have us look. */
#include "decode/reference.h"

#include "decode/arp.h"
#include "decode/igmp.h"
#include "decode/lldp.h"
#include "decode/mld.h"
#include "decode/nd.h"
#include "decode/stp.h"

enum { LIMIT = 300 };           /* records an answer lists at most */

static struct reference_exception exceptions[] = {
	{ "nd-ra-dnssl.pcap", NULL, "RFC 4861 section 6.1.2: a router "
	  "advertises from a link-local address only", 0 },
	{ "stp-edited.pcap", NULL, "IEEE Std 802.1D-2004 section 9.3.3: "
	  "version 1 length is 0", 0 },
};

static void put(json_t *o, const char *key, json_t *value)
{
	assert_int_equal(json_object_set_new(o, key, value), 0);
}

static void put_number(json_t *o, const char *key, json_int_t n)
{
	put(o, key, json_integer(n));
}

static void put_text(json_t *o, const char *key, struct fl_slice s)
{
	if (s.n)
		put(o, key, json_stringn((const char *)s.at, s.n));
}

static json_t *mac_json(struct fl_mac mac)
{
	char text[FL_MAC_TEXT];
	return json_string(fl_mac_text(mac, text));
}

static json_t *ip_json(struct fl_ip ip)
{
	char text[FL_IP_TEXT];
	return json_string(fl_ip_text(ip, text));
}

/* A reader over one whole payload, named by what the answers call it. NULL
 * where it refuses; `c` says why. */
typedef json_t *describe_fn(const struct fl_packet *p, struct fl_cursor *c);

static json_t *describe_arp(const struct fl_packet *p, struct fl_cursor *c)
{
	(void)p;
	struct fl_arp arp;
	if (fl_arp_read(c, &arp) != FL_OK)
		return NULL;
	json_t *o = json_object();
	put_number(o, "op", arp.operation);
	put(o, "sha", mac_json(arp.sender_mac));
	put(o, "spa", ip_json(arp.sender));
	put(o, "tha", mac_json(arp.target_mac));
	put(o, "tpa", ip_json(arp.target));
	return o;
}

static void put_router(json_t *o, const struct fl_nd *nd)
{
	put_number(o, "lifetime", nd->lifetime);
	if (nd->mtu)
		put_number(o, "mtu", nd->mtu);
	json_t *prefixes = json_array();
	for (size_t i = 0; i < nd->prefixes; i++) {
		char text[FL_IP_TEXT];
		fl_ip_text(nd->prefix[i].prefix, text);
		json_array_append_new(prefixes, json_sprintf("%s/%u", text,
							     nd->prefix[i].bits));
	}
	if (nd->prefixes)
		put(o, "prefixes", prefixes);
	else
		json_decref(prefixes);
}

static json_t *describe_nd(const struct fl_packet *p, struct fl_cursor *c)
{
	static const char *const types[] = { "rs", "ra", "ns", "na" };
	const uint8_t type = fl_u8(c);
	const uint8_t code = fl_u8(c);
	fl_skip(c, 2);
	struct fl_nd nd;
	if (fl_nd_read(p, type, code, c, &nd) != FL_OK)
		return NULL;
	json_t *o = json_object();
	put(o, "type", json_string(types[type - FL_ROUTER_SOLICITATION]));
	put(o, "src", ip_json(p->from));
	if (type == FL_ROUTER_ADVERTISEMENT)
		put_router(o, &nd);
	else if (type != FL_ROUTER_SOLICITATION)
		put(o, "target", ip_json(nd.target));
	if (!fl_mac_is_none(nd.link))
		put(o, type == FL_NEIGHBOUR_ADVERTISEMENT ? "tlla" : "slla",
		    mac_json(nd.link));
	return o;
}

/* The group records as [[type, group], ...]. */
static json_t *records_json(const struct fl_membership *m)
{
	json_t *rows = json_array();
	for (size_t i = 0; i < m->kept; i++) {
		json_t *row = json_array();
		json_array_append_new(row, json_integer(m->record[i].type));
		json_array_append_new(row, ip_json(m->record[i].group));
		json_array_append_new(rows, row);
	}
	return rows;
}

static json_t *membership_json(const struct fl_membership *m, uint8_t newest,
			       const char *leave)
{
	json_t *o = json_object();
	const bool leaves = !m->query && m->version < newest &&
			    m->record[0].type == FL_RECORD_TO_IN;
	put(o, "type", m->query ? json_string("query") :
	    leaves ? json_string(leave) : json_sprintf("report_v%u", m->version));
	if (!m->query && m->version == newest)
		put(o, "groups", records_json(m));
	else
		put(o, "group", ip_json(m->query ? m->group : m->record[0].group));
	if (m->query)
		put_number(o, "query_version", m->version);
	return o;
}

static json_t *describe_igmp(const struct fl_packet *p, struct fl_cursor *c)
{
	(void)p;
	struct fl_membership m;
	return fl_igmp_read(c, &m) == FL_OK ? membership_json(&m, 3, "leave")
					    : NULL;
}

static json_t *describe_mld(const struct fl_packet *p, struct fl_cursor *c)
{
	(void)p;
	const uint8_t type = fl_u8(c);
	fl_skip(c, 3);
	struct fl_membership m;
	return fl_mld_read(type, c, &m) == FL_OK ? membership_json(&m, 2, "done")
						 : NULL;
}

/* IEEE Std 802.1D-2004 section 9.2.5: two octets of priority, then a MAC. */
static void put_bridge(json_t *o, const char *priority, const char *mac,
		       struct fl_slice id)
{
	struct fl_cursor c = fl_cursor(id.at, id.n);
	put_number(o, priority, fl_u16(&c));
	put(o, mac, mac_json(fl_mac(&c)));
}

static json_t *describe_stp(const struct fl_packet *p, struct fl_cursor *c)
{
	(void)p;
	struct fl_bpdu b;
	if (fl_bpdu_read(c, &b) != FL_OK)
		return NULL;
	json_t *o = json_object();
	put_number(o, "version", b.version);
	put(o, "type", json_string(b.type == FL_BPDU_CHANGE ? "tcn" :
				   b.type == FL_BPDU_RAPID ? "rst" : "config"));
	if (b.type == FL_BPDU_CHANGE)
		return o;
	put_number(o, "flags", b.flags);
	put_bridge(o, "root_prio", "root", b.root);
	put_bridge(o, "bridge_prio", "bridge", b.bridge);
	put_number(o, "cost", b.cost);
	put_number(o, "port", b.port);
	put(o, "age", json_real(b.message_age / 256.0));
	put(o, "max_age", json_real(b.max_age / 256.0));
	put(o, "hello", json_real(b.hello / 256.0));
	put(o, "fwd", json_real(b.forward_delay / 256.0));
	return o;
}

static void put_id(json_t *o, const char *subtype, const char *key,
		   const struct fl_lldp_id *id)
{
	put_number(o, subtype, id->subtype);
	if (!fl_mac_is_none(id->mac))
		put(o, key, mac_json(id->mac));
	else if (!fl_ip_is_none(id->ip))
		put(o, key, ip_json(id->ip));
	else
		put_text(o, key, id->text);
}

static void put_mac_phy(json_t *o, const struct fl_lldp *l)
{
	json_t *m = json_object();
	put_number(m, "autoneg", l->mac_phy.supported | l->mac_phy.enabled << 1);
	put_number(m, "adv", l->mac_phy.advertised);
	put_number(m, "mau", l->mac_phy.mau);
	put(o, "macphy", m);
}

static json_t *describe_lldp(const struct fl_packet *p, struct fl_cursor *c)
{
	(void)p;
	struct fl_lldp l;
	if (fl_lldp_read(c, &l) != FL_OK)
		return NULL;
	json_t *o = json_object();
	put_id(o, "chassis_subtype", "chassis", &l.chassis);
	put_id(o, "port_subtype", "port", &l.port);
	put_number(o, "ttl", l.seconds);
	put_text(o, "port_desc", l.port_description);
	put_text(o, "sysname", l.system_name);
	put_text(o, "sysdesc", l.system_description);
	json_t *addresses = json_array();
	for (size_t i = 0; i < l.addresses; i++)
		json_array_append_new(addresses, ip_json(l.address[i]));
	put(o, "mgmt", addresses);
	if (l.capabilities)
		put(o, "caps", json_pack("[i,i]", l.capabilities, l.enabled));
	if (l.port_vlan)
		put_number(o, "pvid", l.port_vlan);
	if (l.mac_phy.told)
		put_mac_phy(o, &l);
	return o;
}

static const struct protocol {
	const char  *name, *decoder;
	bool       (*is)(uint8_t type);  /* of ICMPv6, else NULL */
	describe_fn *describe;
	const char  *keys;
} protocols[] = {
	{ "arp", "arp", NULL, describe_arp, "op,sha,spa,tha,tpa" },
	{ "nd", "icmp6", fl_is_nd, describe_nd,
	  "type,src,target,lifetime,mtu,prefixes,slla,tlla" },
	{ "mld", "icmp6", fl_is_mld, describe_mld, "type,group,groups" },
	{ "igmp", "igmp", NULL, describe_igmp,
	  "type,group,groups,query_version" },
	{ "stp", "stp", NULL, describe_stp, "version,type,flags,root_prio,root,"
	  "cost,bridge_prio,bridge,port,age,max_age,hello,fwd" },
	{ "lldp", "lldp", NULL, describe_lldp, "chassis_subtype,chassis,"
	  "port_subtype,port,ttl,port_desc,sysname,sysdesc,mgmt,caps,pvid,macphy" },
};

static const struct protocol *protocol_of(const struct fl_packet *p)
{
	const struct fl_decoder *d = fl_decoder_for(p);
	for (size_t i = 0; d && i < sizeof protocols / sizeof protocols[0]; i++)
		if (strcmp(protocols[i].decoder, d->name) == 0 &&
		    (!protocols[i].is || protocols[i].is(fl_peek(&p->payload))))
			return &protocols[i];
	return NULL;
}

static json_t *record_of(const struct reference *r, const struct protocol *p)
{
	json_t *list = json_object_get(json_object_get(r->expected, "records"),
				       p->name);
	json_t *record;
	size_t i;
	json_array_foreach(list, i, record)
		if (json_integer_value(json_object_get(record, "frame")) ==
		    r->number)
			return record;
	return NULL;
}

/* [[type, group, sources]] as [[type, group]]: sources are not kept. */
static void drop_sources(json_t *record)
{
	json_t *row;
	size_t i;
	json_array_foreach(json_object_get(record, "groups"), i, row)
		json_array_remove(row, 2);
}

static void compare_record(struct reference *r, const struct protocol *p,
			   json_t *theirs, json_t *ours)
{
	char keys[256];
	(void)snprintf(keys, sizeof keys, "%s", p->keys);
	drop_sources(theirs);
	for (char *key = strtok(keys, ","); key; key = strtok(NULL, ","))
		reference_compare(r, key, json_object_get(theirs, key),
				  json_object_get(ours, key));
}

/* Whether our decoder, of which the reader is a part, looks at a sum that
 * the answers do not look at. */
static bool sum_is_bad(const struct fl_packet *packet)
{
	static struct fl_facts facts;
	enum fl_manner manner;
	struct fl_cursor c = packet->payload;
	facts.n = 0;
	(void)fl_decode(fl_decoder_for(packet), packet, &c, &facts, &manner);
	const size_t n = c.why ? strlen(c.why) : 0;
	return n > 10 && strcmp(c.why + n - 10, ": checksum") == 0;
}

static void check_frame(struct reference *r, const struct fl_packet *packet)
{
	const struct protocol *p = protocol_of(packet);
	if (!p)
		return;
	struct fl_cursor c = packet->payload;
	json_t *theirs = record_of(r, p);
	json_t *ours = p->describe(packet, &c);
	if (ours && theirs)
		compare_record(r, p, theirs, ours);
	else if (ours && r->number <= LIMIT)
		reference_differs(r, p->name, NULL, ours);
	else if (theirs && !sum_is_bad(packet))
		reference_differs(r, c.why ? c.why : p->name, theirs, NULL);
	json_decref(ours);
}

static void end_file(struct reference *r)
{
	(void)r;
}

static void readers_agree_with_the_reference_answers(void **state)
{
	(void)state;
	struct reference r = {
		.frame = check_frame, .file = end_file,
		.exceptions = exceptions,
		.exceptions_n = sizeof exceptions / sizeof exceptions[0],
	};
	reference_holds(&r);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(readers_agree_with_the_reference_answers),
	};
	return FL_RUN(tests);
}
