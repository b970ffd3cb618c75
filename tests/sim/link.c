/* link.c -- messages directly on Ethernet: ARP, LLDP, rapid spanning tree.
 *
 * Source  RFC 826, RFC 5227 sections 1.1 and 2.1.1 (probe, announcement);
 *         IEEE Std 802.1AB-2016 sections 8 and 9.1; IEEE Std 802.1D-2004
 *         sections 9.3.3 and 9.2.5
 */
#include "say.h"

#include <stdio.h>
#include <string.h>

static const uint8_t everybody[6] = { 255, 255, 255, 255, 255, 255 };
static const uint8_t nothing[6];

static void arp(struct sim_packet *p, const struct sim_voice *v, int operation,
		const uint8_t sender[4], const uint8_t target[4])
{
	sim_ether(p, everybody, v->node->mac, 0x0806);
	sim_put32(p, 0x00010800);              /* Ethernet, IPv4 */
	sim_put16(p, 0x0604);
	sim_put16(p, (unsigned)operation);
	sim_put(p, v->node->mac, 6);
	sim_put(p, sender, 4);
	sim_put(p, nothing, 6);
	sim_put(p, target, 4);
	sim_pad(p);
}

void sim_say_arp_request(struct sim_packet *p, struct sim_voice *v)
{
	arp(p, v, 1, v->address, v->other->address);
}

void sim_say_arp_probe(struct sim_packet *p, struct sim_voice *v)
{
	arp(p, v, 1, nothing, v->address);
}

void sim_say_arp_announce(struct sim_packet *p, struct sim_voice *v)
{
	arp(p, v, 1, v->address, v->address);
}

/* A server asks before it offers an address: does anybody use it? */
void sim_say_arp_candidate(struct sim_packet *p, struct sim_voice *v)
{
	sim_say_arp_request(p, v);
}

static void put_tlv(struct sim_packet *p, unsigned type, const void *octets,
		    size_t n)
{
	sim_put16(p, type << 9 | (unsigned)n);
	sim_put(p, octets, n);
}

/* A TLV whose value opens with a subtype. */
static void put_typed(struct sim_packet *p, unsigned type, unsigned subtype,
		      const void *octets, size_t n)
{
	sim_put16(p, type << 9 | (unsigned)(n + 1));
	sim_put8(p, subtype);
	sim_put(p, octets, n);
}

static void lldp(struct sim_packet *p, const struct sim_voice *v, unsigned ttl)
{
	static const uint8_t nearest[6] = { 0x01, 0x80, 0xc2, 0, 0, 0x0e };
	const unsigned bridge = 0x04, station = 0x80;
	const unsigned does = v->node->ports ? bridge : station;
	char port[16] = "eth0";
	if (v->node->ports)
		snprintf(port, sizeof port, "port %d", v->port);
	sim_ether(p, nearest, v->node->mac, 0x88cc);
	put_typed(p, 1, 4, v->node->mac, 6);
	put_typed(p, 2, 5, port, strlen(port));
	sim_put16(p, 3 << 9 | 2);
	sim_put16(p, ttl);
	if (ttl) {
		put_tlv(p, 5, v->node->name, strlen(v->node->name));
		sim_put16(p, 7 << 9 | 4);
		sim_put16(p, does);            /* able to */
		sim_put16(p, does);            /* does    */
	}
	sim_put16(p, 0);
	sim_pad(p);
}

void sim_say_lldp(struct sim_packet *p, struct sim_voice *v)
{
	lldp(p, v, 121);   /* 4 times 30 s, and 1: section 9.2.5.22 */
}

void sim_say_lldp_last(struct sim_packet *p, struct sim_voice *v)
{
	lldp(p, v, 0);
}

static void put_bridge(struct sim_packet *p, const struct sim_node *node)
{
	sim_put16(p, 0x8000);
	sim_put(p, node->mac, 6);
}

void sim_say_bpdu(struct sim_packet *p, struct sim_voice *v)
{
	static const uint8_t bridges[6] = { 0x01, 0x80, 0xc2, 0, 0, 0 };
	sim_ether(p, bridges, v->node->mac, 39);
	sim_put16(p, 0x4242);
	sim_put8(p, 0x03);
	sim_put16(p, 0);
	sim_put16(p, 0x0202);                  /* RSTP, RST BPDU              */
	sim_put8(p, 0x3c);             /* designated, learns, forwards */
	put_bridge(p, v->node);
	sim_put32(p, 0);
	put_bridge(p, v->node);
	sim_put16(p, 0x8000u | (unsigned)v->port);
	sim_put16(p, 0);                       /* message age */
	sim_put16(p, 20 << 8);
	sim_put16(p, 2 << 8);
	sim_put16(p, 15 << 8);
	sim_put8(p, 0);
	sim_pad(p);
}
