/* packet.c -- octets of one frame, written from front to back.
 *
 * Source  RFC 791 section 3.1, RFC 768, RFC 8200 sections 3 and 8.1,
 *         RFC 1071, RFC 1112 section 6.4, RFC 2464 section 7, IEEE Std 802.3
 */
#include "packet.h"

#include <stdlib.h>
#include <string.h>

enum { IPV4 = 0x0800, IPV6 = 0x86dd, UDP = 17, ICMP6 = 58 };

static uint8_t *room(struct sim_packet *p, size_t n)
{
	if (n > sizeof p->b - p->n)
		abort();
	p->n += n;
	return p->b + p->n - n;
}

void sim_put(struct sim_packet *p, const void *octets, size_t n)
{
	memcpy(room(p, n), octets, n);
}

void sim_put_text(struct sim_packet *p, const char *text)
{
	sim_put(p, text, strlen(text));
}

void sim_put_zeros(struct sim_packet *p, size_t n)
{
	memset(room(p, n), 0, n);
}

void sim_put8(struct sim_packet *p, unsigned value)
{
	*room(p, 1) = (uint8_t)value;
}

void sim_put16(struct sim_packet *p, unsigned value)
{
	room(p, 2);
	sim_set16(p, p->n - 2, value);
}

void sim_put32(struct sim_packet *p, uint32_t value)
{
	room(p, 4);
	sim_set32(p, p->n - 4, value);
}

void sim_set16(struct sim_packet *p, size_t offset, unsigned value)
{
	p->b[offset] = (uint8_t)(value >> 8);
	p->b[offset + 1] = (uint8_t)value;
}

void sim_set32(struct sim_packet *p, size_t offset, uint32_t value)
{
	sim_set16(p, offset, value >> 16);
	sim_set16(p, offset + 2, value & 0xffff);
}

void sim_ether(struct sim_packet *p, const uint8_t to[6],
	       const uint8_t from[6], unsigned type)
{
	p->n = 0;
	sim_put(p, to, 6);
	sim_put(p, from, 6);
	sim_put16(p, type);
}

void sim_pad(struct sim_packet *p)
{
	if (p->n < SIM_LEAST_FRAME)
		sim_put_zeros(p, SIM_LEAST_FRAME - p->n);
}

uint32_t sim_sum(const uint8_t *octets, size_t n, uint32_t sum)
{
	for (size_t i = 0; i + 1 < n; i += 2)
		sum += (uint32_t)octets[i] << 8 | octets[i + 1];
	return n % 2 ? sum + ((uint32_t)octets[n - 1] << 8) : sum;
}

uint16_t sim_checksum(uint32_t sum)
{
	while (sum >> 16)
		sum = (sum & 0xffff) + (sum >> 16);
	return (uint16_t)~sum;
}

void sim_ip4_open(struct sim_packet *p, const struct sim_ip4 *ip)
{
	uint8_t to[6] = { 0xff, 0xff, 0xff, 0xff, 0xff, 0xff };
	if (ip->to[0] >> 4 == 0xe) {
		const uint8_t group[6] = { 0x01, 0x00, 0x5e, ip->to[1] & 0x7f,
					   ip->to[2], ip->to[3] };
		memcpy(to, group, 6);
	}
	sim_ether(p, to, ip->mac, IPV4);
	p->ip = p->n;
	sim_put16(p, ip->alert ? 0x4600 : 0x4500);
	sim_put16(p, 0);                       /* total length, by close */
	sim_put16(p, ip->id);
	sim_put16(p, 0);
	sim_put8(p, ip->ttl);
	sim_put8(p, ip->protocol);
	sim_put16(p, 0);                       /* checksum, by close     */
	sim_put(p, ip->from, 4);
	sim_put(p, ip->to, 4);
	if (ip->alert)
		sim_put32(p, 0x94040000);
	p->payload = p->n;
}

void sim_ip4_close(struct sim_packet *p)
{
	sim_set16(p, p->ip + 2, (unsigned)(p->n - p->ip));
	sim_set16(p, p->ip + 10, 0);
	sim_set16(p, p->ip + 10,
		  sim_checksum(sim_sum(p->b + p->ip, p->payload - p->ip, 0)));
	sim_pad(p);
}

void sim_udp4_open(struct sim_packet *p, struct sim_ip4 ip, uint16_t from,
		   uint16_t to)
{
	ip.protocol = UDP;
	sim_ip4_open(p, &ip);
	sim_put16(p, from);
	sim_put16(p, to);
	sim_put32(p, 0);                       /* length, checksum, by close */
}

void sim_udp4_close(struct sim_packet *p)
{
	const size_t n = p->n - p->payload;
	sim_set16(p, p->payload + 4, (unsigned)n);
	sim_set16(p, p->payload + 6, 0);
	const uint32_t pseudo = sim_sum(p->b + p->ip + 12, 8,
					UDP + (uint32_t)n);
	const uint16_t sum =
		sim_checksum(sim_sum(p->b + p->payload, n, pseudo));
	sim_set16(p, p->payload + 6, sum ? sum : 0xffff);
	sim_ip4_close(p);
}

void sim_icmp6_open(struct sim_packet *p, const uint8_t mac[6],
		    const uint8_t from[16], const uint8_t to[16],
		    unsigned hops, bool alert)
{
	const uint8_t group[6] = { 0x33, 0x33, to[12], to[13], to[14], to[15] };
	sim_ether(p, group, mac, IPV6);
	p->ip = p->n;
	sim_put32(p, 0x60000000);
	sim_put16(p, 0);                       /* payload length, by close */
	sim_put8(p, alert ? 0 : ICMP6);
	sim_put8(p, hops);
	sim_put(p, from, 16);
	sim_put(p, to, 16);
	if (alert) {                           /* hop-by-hop header        */
		sim_put16(p, ICMP6 << 8);
		sim_put32(p, 0x05020000);      /* alert: MLD               */
		sim_put16(p, 0x0100);          /* PadN of two octets       */
	}
	p->payload = p->n;
}

void sim_icmp6_close(struct sim_packet *p)
{
	const size_t n = p->n - p->payload;
	sim_set16(p, p->ip + 4, (unsigned)(p->n - p->ip - 40));
	const uint32_t pseudo = sim_sum(p->b + p->ip + 8, 32,
					ICMP6 + (uint32_t)n);
	sim_set16(p, p->payload + 2, 0);
	sim_set16(p, p->payload + 2,
		  sim_checksum(sim_sum(p->b + p->payload, n, pseudo)));
	sim_pad(p);
}

uint32_t sim_fcs(const uint8_t *octets, size_t n)
{
	uint32_t crc = 0xffffffff;
	for (size_t i = 0; i < n; i++) {
		crc ^= octets[i];
		for (int bit = 0; bit < 8; bit++)
			crc = crc >> 1 ^ (crc & 1 ? 0xedb88320 : 0);
	}
	return ~crc;
}
