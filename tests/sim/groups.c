/* groups.c -- membership reports, and what IPv6 says when it starts.
 *
 * Source  RFC 3376 sections 4 and 4.2 (IGMPv3 report); RFC 3810 section 5.2
 *         (MLDv2 report); RFC 4861 sections 4.1 and 4.3, RFC 4862 section
 *         5.4.2; RFC 4291 section 2.7.1 and appendix A
 */
#include "say.h"

#include <string.h>

enum { TO_NOBODY = 3, TO_ALL_SOURCES = 4 };   /* record types: leaves, joins */

static const uint8_t mdns4[4] = { 224, 0, 0, 251 };
static const uint8_t ssdp4[4] = { 239, 255, 255, 250 };

static void igmp(struct sim_packet *p, struct sim_voice *v, unsigned type)
{
	static const uint8_t routers[4] = { 224, 0, 0, 22 };
	struct sim_ip4 ip = sim_from(v, routers, 1);
	ip.protocol = 2;
	ip.alert = true;
	sim_ip4_open(p, &ip);
	const uint8_t *const groups[] = { mdns4, ssdp4 };
	sim_put32(p, 0x22000000);
	sim_put32(p, 2);
	for (int i = 0; i < 2; i++) {
		sim_put32(p, type << 24);
		sim_put(p, groups[i], 4);
	}
	const uint32_t sum = sim_sum(p->b + p->payload, p->n - p->payload, 0);
	sim_set16(p, p->payload + 2, sim_checksum(sum));
	sim_ip4_close(p);
}

void sim_say_igmp_join(struct sim_packet *p, struct sim_voice *v)
{
	igmp(p, v, TO_ALL_SOURCES);
}

void sim_say_igmp_leave(struct sim_packet *p, struct sim_voice *v)
{
	igmp(p, v, TO_NOBODY);
}

static const uint8_t unspecified[16];
static const uint8_t mdns6[16] = { 0xff, 0x02, [15] = 0xfb };

void sim_link_local(const uint8_t mac[6], uint8_t out[16])
{
	const uint8_t address[16] = { 0xfe, 0x80, [8] = mac[0] ^ 0x02, mac[1],
		mac[2], 0xff, 0xfe, mac[3], mac[4], mac[5] };
	memcpy(out, address, 16);
}

static void solicited_node(const uint8_t mac[6], uint8_t out[16])
{
	const uint8_t group[16] = { 0xff, 0x02, [11] = 1, 0xff, mac[3], mac[4],
				    mac[5] };
	memcpy(out, group, 16);
}

static void mld(struct sim_packet *p, struct sim_voice *v,
		const uint8_t from[16], const uint8_t group[16], unsigned type)
{
	static const uint8_t routers[16] = { 0xff, 0x02, [15] = 0x16 };
	sim_icmp6_open(p, v->node->mac, from, routers, 1, true);
	sim_put32(p, 143u << 24);
	sim_put32(p, 1);
	sim_put32(p, type << 24);
	sim_put(p, group, 16);
	sim_icmp6_close(p);
}

void sim_say_mld_first(struct sim_packet *p, struct sim_voice *v)
{
	uint8_t group[16];
	solicited_node(v->node->mac, group);
	mld(p, v, unspecified, group, TO_ALL_SOURCES);
}

void sim_say_mld_own(struct sim_packet *p, struct sim_voice *v)
{
	uint8_t from[16], group[16];
	sim_link_local(v->node->mac, from);
	solicited_node(v->node->mac, group);
	mld(p, v, from, group, TO_ALL_SOURCES);
}

void sim_say_mld_mdns(struct sim_packet *p, struct sim_voice *v)
{
	uint8_t from[16];
	sim_link_local(v->node->mac, from);
	mld(p, v, from, mdns6, TO_ALL_SOURCES);
}

void sim_say_mld_leave(struct sim_packet *p, struct sim_voice *v)
{
	uint8_t from[16];
	sim_link_local(v->node->mac, from);
	mld(p, v, from, mdns6, TO_NOBODY);
}

void sim_say_dad(struct sim_packet *p, struct sim_voice *v)
{
	uint8_t target[16], group[16];
	sim_link_local(v->node->mac, target);
	solicited_node(v->node->mac, group);
	sim_icmp6_open(p, v->node->mac, unspecified, group, 255, false);
	sim_put32(p, 135u << 24);
	sim_put32(p, 0);
	sim_put(p, target, 16);
	sim_icmp6_close(p);
}

void sim_say_rs(struct sim_packet *p, struct sim_voice *v)
{
	static const uint8_t routers[16] = { 0xff, 0x02, [15] = 2 };
	uint8_t from[16];
	sim_link_local(v->node->mac, from);
	sim_icmp6_open(p, v->node->mac, from, routers, 255, false);
	sim_put32(p, 133u << 24);
	sim_put32(p, 0);
	sim_put16(p, 0x0101);                  /* source link-layer address */
	sim_put(p, v->node->mac, 6);
	sim_icmp6_close(p);
}
