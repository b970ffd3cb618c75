/* say.c -- the table of messages, and the makers' streams.
 *
 * The makers' streams are of our own make: no format of the trade.
 * Source  RFC 3550 section 5.1 for a bulk stream that is RTP
 */
#include "say.h"

#include <stdio.h>
#include <string.h>

static const char *const protocols[] = {
	"stream", "arp", "mdns", "ssdp", "lldp", "stp", "dhcp", "igmp", "icmp6",
	NULL,
};
enum { STREAM, ARP, MDNS, SSDP, LLDP, STP, DHCP, IGMP, ICMP6, PROTOCOLS };

const char *sim_protocol_name(size_t i)
{
	return i < PROTOCOLS ? protocols[i] : NULL;
}

void sim_host_name(const struct sim_node *node, char out[static SIM_NAME])
{
	strcpy(out, node->name);
	for (char *c = out; *c; c++) {
		if (*c == ' ')
			*c = '-';
	}
}

struct sim_ip4 sim_from(struct sim_voice *v, const uint8_t to[4], uint8_t ttl)
{
	return (struct sim_ip4){ .mac = v->node->mac, .from = v->address,
				 .to = to, .id = v->id++, .ttl = ttl };
}

enum { RTP_PORT = 5004 };   /* RFC 3551 section 8 */

/* A group and port of its own for each node: 239.192.0.0/14 is for one
 * organisation's use (RFC 2365 section 6.2). */
static void open_stream(struct sim_packet *p, struct sim_voice *v,
			unsigned what)
{
	const uint8_t last = v->node->mac[5];
	const uint8_t group[4] = { 239, 192, (uint8_t)(what + 1), last };
	const bool rtp = what == SIM_BULK && v->node->does & SIM_RTP;
	const uint16_t port = rtp ? RTP_PORT
				  : (uint16_t)(20000 + 100 * what + last);
	sim_udp4_open(p, sim_from(v, group, 1), port, port);
}

static void open_broadcast(struct sim_packet *p, struct sim_voice *v,
			   uint16_t port)
{
	uint8_t all[4] = { v->address[0], v->address[1], 255, 255 };
	sim_udp4_open(p, sim_from(v, all, 64), port, port);
}

/* Numbers within the bulk payload: offset 4 holds 32 bits that count frames
 * (RTP: its time stamp), offset 2 the low 16 bits. */
static void make_bulk(struct sim_voice *v)
{
	struct sim_packet *p = &v->bulk;
	const bool rtp = v->node->does & SIM_RTP;
	open_stream(p, v, SIM_BULK);
	const size_t start = p->n;
	sim_put16(p, rtp ? 0x8060 : 0x5342);
	sim_put16(p, 0);
	sim_put32(p, 0);
	sim_put(p, v->node->mac + 2, 4);       /* RTP: SSRC */
	while (p->n < start + (size_t)v->node->size - 42)
		sim_put8(p, (unsigned)sim_next(&v->prng) & 0xff);
	sim_udp4_close(p);
	v->bulk_sum = 0xffffu & ~((uint32_t)p->b[p->payload + 6] << 8 |
				  p->b[p->payload + 7]);
	v->bulk_made = true;
}

/* Millions of these are sent: the sums are brought up to date by RFC 1624
 * equation 3 (the old numbers are zero) instead of being made anew. */
const struct sim_packet *sim_say_bulk(struct sim_voice *v)
{
	struct sim_packet *p = &v->bulk;
	const uint32_t number = v->count[SIM_BULK];
	if (!v->bulk_made)
		make_bulk(v);
	const size_t at = p->payload + 8;
	sim_set16(p, p->ip + 4, v->id++);
	sim_set16(p, p->ip + 10, 0);
	sim_set16(p, p->ip + 10, sim_checksum(sim_sum(p->b + p->ip, 20, 0)));
	sim_set16(p, at + 2, number & 0xffff);
	sim_set32(p, at + 4, number);
	const uint16_t sum =
		sim_checksum(sim_sum(p->b + at + 2, 6, v->bulk_sum));
	sim_set16(p, p->payload + 6, sum ? sum : 0xffff);
	return p;
}

static void say_status(struct sim_packet *p, struct sim_voice *v)
{
	char text[160];
	snprintf(text, sizeof text, "status of %s; number %u; boots %u; ok",
		 v->node->name, v->count[SIM_STATUS], v->boots);
	open_stream(p, v, SIM_STATUS);
	sim_put_text(p, text);
	sim_udp4_close(p);
}

/* A sentence in the manner of NMEA 0183: "$ ... *" and the exclusive or of
 * the characters between, in hexadecimal. */
static void put_sentence(struct sim_packet *p, const char *body)
{
	unsigned sum = 0;
	char end[8];
	for (const char *c = body; *c; c++)
		sum ^= (unsigned char)*c;
	snprintf(end, sizeof end, "*%02X\r\n", sum);
	sim_put_text(p, "$");
	sim_put_text(p, body);
	sim_put_text(p, end);
}

static unsigned draw(struct sim_voice *v, size_t n)
{
	return (unsigned)sim_below(&v->prng, n);
}

static void say_text(struct sim_packet *p, struct sim_voice *v)
{
	const unsigned angle = draw(v, 360), speed = draw(v, 30);
	char body[80];
	open_broadcast(p, v, 10110);
	snprintf(body, sizeof body, "IIMWV,%03u,R,%02u.0,N,A", angle, speed);
	put_sentence(p, body);
	snprintf(body, sizeof body, "IIHDT,%03u.0,T", draw(v, 360));
	put_sentence(p, body);
	sim_udp4_close(p);
}

static void say_target(struct sim_packet *p, struct sim_voice *v)
{
	const unsigned target = draw(v, 100000), course = draw(v, 360);
	char body[80];
	open_broadcast(p, v, 10111);
	snprintf(body, sizeof body, "IITGT,%05u,%03u.0,%02u.0", target, course,
		 draw(v, 40));
	put_sentence(p, body);
	sim_udp4_close(p);
}

const struct sim_saying sim_sayings[SIM_MESSAGES] = {
	[SIM_BULK]    = { NULL, SIM_TO_GROUP, STREAM },   /* sim_say_bulk() */
	[SIM_STATUS]  = { say_status, SIM_TO_GROUP, STREAM },
	[SIM_TEXT]    = { say_text, SIM_TO_ALL, STREAM },
	[SIM_TARGETS] = { say_target, SIM_TO_ALL, STREAM },
	[SIM_ARPS]    = { sim_say_arp_request, SIM_TO_ALL, ARP },
	[SIM_QUERIES] = { sim_say_mdns_query, SIM_TO_LOCAL, MDNS },
	[SIM_SSDP]    = { sim_say_ssdp_alive, SIM_TO_GROUP, SSDP },
	[SIM_LLDP]    = { sim_say_lldp, SIM_TO_LINK, LLDP },
	[SIM_BPDU]    = { sim_say_bpdu, SIM_TO_LINK, STP },
	[SIM_ARP_PROBE]     = { sim_say_arp_probe, SIM_TO_ALL, ARP },
	[SIM_ARP_ANNOUNCE]  = { sim_say_arp_announce, SIM_TO_ALL, ARP },
	[SIM_ARP_CANDIDATE] = { sim_say_arp_candidate, SIM_TO_ALL, ARP },
	[SIM_DISCOVER] = { sim_say_discover, SIM_TO_ALL, DHCP },
	[SIM_OFFER]    = { sim_say_offer, SIM_TO_ALL, DHCP },
	[SIM_REQUEST]  = { sim_say_request, SIM_TO_ALL, DHCP },
	[SIM_ACK]      = { sim_say_ack, SIM_TO_ALL, DHCP },
	[SIM_REQUEST_REBOOT] = { sim_say_request_reboot, SIM_TO_ALL, DHCP },
	[SIM_IGMP_JOIN]  = { sim_say_igmp_join, SIM_TO_QUERIER, IGMP },
	[SIM_IGMP_LEAVE] = { sim_say_igmp_leave, SIM_TO_QUERIER, IGMP },
	[SIM_MLD_FIRST]  = { sim_say_mld_first, SIM_TO_LOCAL, ICMP6 },
	[SIM_MLD_OWN]    = { sim_say_mld_own, SIM_TO_LOCAL, ICMP6 },
	[SIM_MLD_MDNS]   = { sim_say_mld_mdns, SIM_TO_LOCAL, ICMP6 },
	[SIM_MLD_LEAVE]  = { sim_say_mld_leave, SIM_TO_LOCAL, ICMP6 },
	[SIM_DAD] = { sim_say_dad, SIM_TO_LOCAL, ICMP6 },
	[SIM_RS]  = { sim_say_rs, SIM_TO_LOCAL, ICMP6 },
	[SIM_MDNS_PROBE]    = { sim_say_mdns_probe, SIM_TO_LOCAL, MDNS },
	[SIM_MDNS_ANNOUNCE] = { sim_say_mdns_announce, SIM_TO_LOCAL, MDNS },
	[SIM_MDNS_GOODBYE]  = { sim_say_mdns_goodbye, SIM_TO_LOCAL, MDNS },
	[SIM_SSDP_BYEBYE]   = { sim_say_ssdp_byebye, SIM_TO_GROUP, SSDP },
	[SIM_LLDP_LAST]     = { sim_say_lldp_last, SIM_TO_LINK, LLDP },
};
