/* test_reference.c -- the headers of each frame, counted, against answers
 * computed by a decoder that shares nothing with ours.
 *
 * What is compared: frames by source, addresses by source, frames by
 * protocol, VLAN tags, and who claims what by ARP. */
#include "decode/reference.h"

#include "decode/arp.h"
#include "decode/stp.h"

enum { ICMP = 1, IGMP = 2, TCP = 6, UDP = 17, ICMP6 = 58 };

#define GROUP_RULE "IEEE Std 802.3 section 3.2.3: a group is no sender"

static struct reference_exception exceptions[] = {
	{ "frag-ipv6-evasion-9.pcap", "protocols", "RFC 6946 section 4: an "
	  "atomic fragment is a whole packet", 0 },
	{ "ipv6-ext-headers.pcap", "protocols", "RFC 6946 section 4: an "
	  "atomic fragment is a whole packet", 0 },
	{ "malformed-ipv4.pcap", "ipv4_by_src_mac", "RFC 791 section 3.1: total "
	  "length runs past the frame", 0 },
	{ "malformed-tiny.pcap", NULL, GROUP_RULE, 0 },
	{ "sll-can.pcap", "src_mac_frames", "draft-ietf-opsawg-pcaplinktype, "
	  "LINUX_SLL: an address of 0 octets, which is no MAC", 0 },
	{ "snmpv2c-getbulk.pcap", NULL, GROUP_RULE, 0 },
	{ "snmpv3.pcap", NULL, GROUP_RULE, 0 },
	{ "stp-config-rst-tc-tcn.pcap", NULL, "IEEE Std 802.3 section 3.2.6: "
	  "length runs past the frame, in frame 5", 0 },
	{ "trunc-ip6-ext.pcap", "ipv6_by_src_mac", "RFC 8200 section 3: payload "
	  "length runs past the frame", 0 },
	{ "trunc-ipv4-length.pcap", NULL, "RFC 791 section 3.1: total length "
	  "runs past the frame", 0 },
};

/* What one file gave, in the form of the answers. */
static json_t *sources, *fours, *sixes, *counts, *vlans, *pairs;

static void add(json_t *counted, const char *what, json_int_t n)
{
	n += json_integer_value(json_object_get(counted, what));
	assert_int_equal(json_object_set_new(counted, what, json_integer(n)), 0);
}

static void note_address(json_t *by_source, const char *source, struct fl_ip ip)
{
	char text[FL_IP_TEXT];
	if (!json_object_get(by_source, source))
		json_object_set_new(by_source, source, json_object());
	json_object_set_new(json_object_get(by_source, source),
			    fl_ip_text(ip, text), json_true());
}

static bool carries(const struct fl_packet *p, uint16_t type)
{
	return p->layer >= FL_LAYER_LINK && !p->llc && p->ethertype == type;
}

static bool speaks(const struct fl_packet *p, uint8_t protocol)
{
	return p->layer >= FL_LAYER_NETWORK && !p->later_fragment &&
	       p->protocol == protocol;
}

static bool is_for(const struct fl_packet *p, const char *decoder)
{
	const struct fl_decoder *d = fl_decoder_for(p);
	return d && strcmp(d->name, decoder) == 0;
}

static bool is_arp(const struct fl_packet *p)  { return is_for(p, "arp"); }
static bool is_lldp(const struct fl_packet *p) { return is_for(p, "lldp"); }
static bool is_dhcp(const struct fl_packet *p) { return is_for(p, "dhcp4"); }
static bool is_mdns(const struct fl_packet *p) { return is_for(p, "mdns"); }
static bool is_ssdp(const struct fl_packet *p) { return is_for(p, "ssdp"); }
static bool is_ip4(const struct fl_packet *p)  { return carries(p, 0x0800); }
static bool is_ip6(const struct fl_packet *p)  { return carries(p, 0x86dd); }
static bool is_icmp(const struct fl_packet *p) { return speaks(p, ICMP); }
static bool is_igmp(const struct fl_packet *p) { return speaks(p, IGMP); }
static bool is_tcp(const struct fl_packet *p)  { return speaks(p, TCP); }
static bool is_udp(const struct fl_packet *p)  { return speaks(p, UDP); }
static bool is_icmp6(const struct fl_packet *p) { return speaks(p, ICMP6); }
static bool is_tagged(const struct fl_packet *p) { return p->tags > 0; }
static bool is_fragment(const struct fl_packet *p) { return p->fragment; }

static bool is_stp(const struct fl_packet *p)
{
	struct fl_cursor c = p->payload;
	struct fl_bpdu bpdu;
	return is_for(p, "stp") && fl_bpdu_read(&c, &bpdu) != FL_UNSUPPORTED;
}

/* RFC 4861 sections 4.1 to 4.5: redirects are counted too. */
static bool is_nd(const struct fl_packet *p)
{
	const uint8_t type = fl_peek(&p->payload);
	return is_icmp6(p) && type >= 133 && type <= 137;
}

/* RFC 3810 section 5 */
static bool is_mld(const struct fl_packet *p)
{
	const uint8_t type = fl_peek(&p->payload);
	return is_icmp6(p) && ((type >= 130 && type <= 132) || type == 143);
}

static const struct counted {
	const char *name;
	bool (*is)(const struct fl_packet *p);
} counted[] = {
	{ "arp", is_arp }, { "dhcp", is_dhcp }, { "icmp", is_icmp },
	{ "icmpv6", is_icmp6 }, { "igmp", is_igmp }, { "ip_fragment", is_fragment },
	{ "ipv4", is_ip4 }, { "ipv6", is_ip6 }, { "lldp", is_lldp },
	{ "mdns", is_mdns }, { "mld", is_mld }, { "nd", is_nd },
	{ "ssdp", is_ssdp }, { "stp", is_stp }, { "tcp", is_tcp },
	{ "udp", is_udp }, { "vlan", is_tagged },
};

static void count_arp(const struct fl_packet *p)
{
	struct fl_cursor c = p->payload;
	struct fl_arp arp;
	if (!is_arp(p) || fl_arp_read(&c, &arp) != FL_OK)
		return;
	char mac[FL_MAC_TEXT], ip[FL_IP_TEXT], pair[FL_MAC_TEXT + FL_IP_TEXT];
	(void)snprintf(pair, sizeof pair, "%s %s",
		       fl_mac_text(arp.sender_mac, mac), fl_ip_text(arp.sender, ip));
	add(pairs, pair, 1);
}

static void count_frame(struct reference *r, const struct fl_packet *p)
{
	(void)r;
	char source[FL_MAC_TEXT];
	fl_mac_text(p->source, source);
	if (p->layer >= FL_LAYER_LINK)
		add(sources, source, 1);
	if (p->layer >= FL_LAYER_NETWORK)
		note_address(fl_ip_is4(p->from) ? fours : sixes, source, p->from);
	for (size_t i = 0; i < sizeof counted / sizeof counted[0]; i++)
		if (counted[i].is(p))
			add(counts, counted[i].name, 1);
	for (size_t i = 0; i < p->tags; i++) {
		char id[8];
		(void)snprintf(id, sizeof id, "%u", p->vlans[i]);
		add(vlans, id, 1);
	}
	count_arp(p);
}

/* {"mac": ["ip", ...]} as {"mac": {"ip": true, ...}}: an order says nothing. */
static json_t *sets_of(json_t *lists)
{
	json_t *sets = json_object();
	const char *source;
	json_t *list, *address;
	size_t i;
	json_object_foreach(lists, source, list) {
		json_t *set = json_object();
		json_array_foreach(list, i, address)
			json_object_set_new(set, json_string_value(address), json_true());
		json_object_set_new(sets, source, set);
	}
	return sets;
}

/* {"8100:100": 3} as {"100": 3}: the type of a tag is not kept. */
static json_t *ids_of(json_t *tags)
{
	json_t *ids = json_object();
	const char *tag;
	json_t *n;
	json_object_foreach(tags, tag, n)
		add(ids, strchr(tag, ':') + 1, json_integer_value(n));
	return ids;
}

/* [["mac", "ip", 3]] as {"mac ip": 3}. */
static json_t *pairs_of(json_t *rows)
{
	json_t *all = json_object();
	json_t *row;
	size_t i;
	json_array_foreach(rows, i, row) {
		char pair[FL_MAC_TEXT + FL_IP_TEXT];
		(void)snprintf(pair, sizeof pair, "%s %s",
			       json_string_value(json_array_get(row, 0)),
			       json_string_value(json_array_get(row, 1)));
		add(all, pair, json_integer_value(json_array_get(row, 2)));
	}
	return all;
}

/* Protocols that only the answers know are left out. */
static json_t *counts_of(json_t *protocols)
{
	json_t *known = json_object();
	for (size_t i = 0; i < sizeof counted / sizeof counted[0]; i++) {
		json_t *n = json_object_get(protocols, counted[i].name);
		if (n)
			json_object_set(known, counted[i].name, n);
	}
	return known;
}

static json_t *as_it_is(json_t *value)
{
	return json_incref(value);
}

static const struct key {
	const char *name;
	json_t   *(*form)(json_t *theirs);
	json_t    **ours;
} keys[] = {
	{ "src_mac_frames", as_it_is, &sources },
	{ "ipv4_by_src_mac", sets_of, &fours },
	{ "ipv6_by_src_mac", sets_of, &sixes },
	{ "protocols", counts_of, &counts },
	{ "vlans", ids_of, &vlans },
	{ "arp_sender_pairs", pairs_of, &pairs },
};

static void begin(void)
{
	for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
		*keys[i].ours = json_object();
}

static void end_file(struct reference *r)
{
	for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
		const struct key *k = &keys[i];
		json_t *theirs = k->form(json_object_get(r->expected, k->name));
		reference_compare(r, k->name, theirs, *k->ours);
		json_decref(theirs);
		json_decref(*k->ours);
	}
	begin();
}

static void headers_agree_with_the_reference_answers(void **state)
{
	(void)state;
	struct reference r = {
		.frame = count_frame, .file = end_file,
		.exceptions = exceptions,
		.exceptions_n = sizeof exceptions / sizeof exceptions[0],
	};
	begin();
	reference_holds(&r);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(headers_agree_with_the_reference_answers),
	};
	return FL_RUN(tests);
}
