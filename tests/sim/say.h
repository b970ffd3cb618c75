/* say.h -- every message a node can send, and how far it reaches. */
#ifndef SIM_SAY_H
#define SIM_SAY_H

#include "boat.h"

/* A message: the streams of boat.h first, under the same numbers. */
enum sim_message {
	SIM_ARP_PROBE = SIM_STREAMS, SIM_ARP_ANNOUNCE, SIM_ARP_CANDIDATE,
	SIM_DISCOVER, SIM_OFFER, SIM_REQUEST, SIM_ACK, SIM_REQUEST_REBOOT,
	SIM_IGMP_JOIN, SIM_IGMP_LEAVE,
	SIM_MLD_FIRST, SIM_MLD_OWN, SIM_MLD_MDNS, SIM_MLD_LEAVE,
	SIM_DAD, SIM_RS,
	SIM_MDNS_PROBE, SIM_MDNS_ANNOUNCE, SIM_MDNS_GOODBYE,
	SIM_SSDP_BYEBYE, SIM_LLDP_LAST,
	SIM_MESSAGES,
};

/* How far a frame goes. IPv6 groups are counted as never held back. */
enum sim_reach {
	SIM_TO_ALL,         /* broadcast                                      */
	SIM_TO_LOCAL,       /* a group no switch holds back: 224.0.0.0/24 but
			     * for reports (RFC 4541 section 2.1.2), IPv6     */
	SIM_TO_GROUP,       /* a group that a snooping switch may hold back   */
	SIM_TO_QUERIER,     /* reports: a snooping switch sends them to
			     * routers only (RFC 4541 section 2.1.1)          */
	SIM_TO_LINK,        /* 01-80-C2: to the other end of the cable        */
};

/* A node as it speaks now. */
struct sim_voice {
	const struct sim_boat *boat;
	const struct sim_node *node;
	struct sim_prng prng;
	uint8_t  address[4];
	bool     serves;
	uint16_t id;                   /* of IPv4, from 0 at a boot        */
	uint32_t count[SIM_STREAMS];   /* sent, from 0 at a boot           */
	uint32_t boots;
	uint32_t asked;                /* DHCP transaction                 */
	int      port;                 /* of a switch, that we are behind  */
	const struct sim_node *other;  /* whom it is about                 */
	uint32_t other_asked;
	const uint8_t *server;         /* address of the chosen server     */
	struct sim_packet bulk;        /* kept: only its numbers change    */
	uint32_t bulk_sum;             /* of its UDP payload without them  */
	bool     bulk_made;
};

struct sim_saying {
	void (*build)(struct sim_packet *p, struct sim_voice *v);
	enum sim_reach reach;
	int protocol;                  /* index for sim_protocol_name()    */
};

extern const struct sim_saying sim_sayings[SIM_MESSAGES];

/* The bulk frame with its next number. */
const struct sim_packet *sim_say_bulk(struct sim_voice *v);
struct sim_ip4 sim_from(struct sim_voice *v, const uint8_t to[4], uint8_t ttl);
/* fe80::/64 with the modified EUI-64 of the MAC (RFC 4291 appendix A). */
void sim_link_local(const uint8_t mac[6], uint8_t out[16]);
/* "arch-radar": the node's name as a host name. */
void sim_host_name(const struct sim_node *node, char out[static SIM_NAME]);

/* link.c */
void sim_say_arp_request(struct sim_packet *p, struct sim_voice *v);
void sim_say_arp_probe(struct sim_packet *p, struct sim_voice *v);
void sim_say_arp_announce(struct sim_packet *p, struct sim_voice *v);
void sim_say_arp_candidate(struct sim_packet *p, struct sim_voice *v);
void sim_say_lldp(struct sim_packet *p, struct sim_voice *v);
void sim_say_lldp_last(struct sim_packet *p, struct sim_voice *v);
void sim_say_bpdu(struct sim_packet *p, struct sim_voice *v);
/* groups.c */
void sim_say_igmp_join(struct sim_packet *p, struct sim_voice *v);
void sim_say_igmp_leave(struct sim_packet *p, struct sim_voice *v);
void sim_say_mld_first(struct sim_packet *p, struct sim_voice *v);
void sim_say_mld_own(struct sim_packet *p, struct sim_voice *v);
void sim_say_mld_mdns(struct sim_packet *p, struct sim_voice *v);
void sim_say_mld_leave(struct sim_packet *p, struct sim_voice *v);
void sim_say_dad(struct sim_packet *p, struct sim_voice *v);
void sim_say_rs(struct sim_packet *p, struct sim_voice *v);
/* dhcp.c */
void sim_say_discover(struct sim_packet *p, struct sim_voice *v);
void sim_say_offer(struct sim_packet *p, struct sim_voice *v);
void sim_say_request(struct sim_packet *p, struct sim_voice *v);
void sim_say_ack(struct sim_packet *p, struct sim_voice *v);
void sim_say_request_reboot(struct sim_packet *p, struct sim_voice *v);
/* names.c */
void sim_say_mdns_query(struct sim_packet *p, struct sim_voice *v);
void sim_say_mdns_probe(struct sim_packet *p, struct sim_voice *v);
void sim_say_mdns_announce(struct sim_packet *p, struct sim_voice *v);
void sim_say_mdns_goodbye(struct sim_packet *p, struct sim_voice *v);
void sim_say_ssdp_alive(struct sim_packet *p, struct sim_voice *v);
void sim_say_ssdp_byebye(struct sim_packet *p, struct sim_voice *v);

#endif
