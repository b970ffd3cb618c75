/* packet.h -- octets of one frame, written from front to back.
 *
 * Shapes  a packet opens with its Ethernet header; an IP header is opened,
 *         its payload put, then closed, which sets lengths and checksums
 * Ceiling SIM_PACKET octets; a caller that writes more aborts
 */
#ifndef SIM_PACKET_H
#define SIM_PACKET_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SIM_PACKET = 1536, SIM_LEAST_FRAME = 60, SIM_ETHER = 14 };

struct sim_packet {
	uint8_t b[SIM_PACKET];
	size_t  n;
	size_t  ip;        /* offset of the IP header   */
	size_t  payload;   /* offset of what it carries */
};

void sim_put(struct sim_packet *p, const void *octets, size_t n);
void sim_put_text(struct sim_packet *p, const char *text);
void sim_put_zeros(struct sim_packet *p, size_t n);
void sim_put8(struct sim_packet *p, unsigned value);
void sim_put16(struct sim_packet *p, unsigned value);
void sim_put32(struct sim_packet *p, uint32_t value);
/* Write over what stands at `offset`. */
void sim_set16(struct sim_packet *p, size_t offset, unsigned value);
void sim_set32(struct sim_packet *p, size_t offset, uint32_t value);

/* Start a frame anew. `type` is an EtherType, or a length (IEEE Std 802.3
 * section 3.2.6). */
void sim_ether(struct sim_packet *p, const uint8_t to[6],
	       const uint8_t from[6], unsigned type);
/* Pad with zeros to the least frame (IEEE Std 802.3 section 4.2.3.3). */
void sim_pad(struct sim_packet *p);

struct sim_ip4 {
	const uint8_t *mac, *from, *to;   /* sender's MAC; addresses   */
	uint16_t id;
	uint8_t  ttl, protocol;
	bool     alert;                   /* router alert, RFC 2113    */
};

/* Frame and IPv4 header; the MAC follows from the group (RFC 1112 section
 * 6.4) or is broadcast. */
void sim_ip4_open(struct sim_packet *p, const struct sim_ip4 *ip);
void sim_ip4_close(struct sim_packet *p);
void sim_udp4_open(struct sim_packet *p, struct sim_ip4 ip, uint16_t from,
		   uint16_t to);
void sim_udp4_close(struct sim_packet *p);

/* Frame and IPv6 header to a group; `alert` adds the router alert of an MLD
 * message (RFC 2711). The payload is ICMPv6. */
void sim_icmp6_open(struct sim_packet *p, const uint8_t mac[6],
		    const uint8_t from[16], const uint8_t to[16],
		    unsigned hops, bool alert);
void sim_icmp6_close(struct sim_packet *p);

/* One's-complement sum of 16-bit words on top of `sum` (RFC 1071). */
uint32_t sim_sum(const uint8_t *octets, size_t n, uint32_t sum);
uint16_t sim_checksum(uint32_t sum);
/* Frame check sequence, IEEE Std 802.3 section 3.2.9. */
uint32_t sim_fcs(const uint8_t *octets, size_t n);

#endif
