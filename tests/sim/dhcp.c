/* dhcp.c -- a client's and a server's messages, those that are broadcast.
 *
 * Source  RFC 2131 sections 2, 3.1, 4.1 and 4.3.2; RFC 2132
 */
#include "say.h"

#include <string.h>

enum {
	MASK = 1, ROUTER = 3, HOST = 12, ADDRESS = 50, LEASE = 51, TYPE = 53,
	SERVER = 54, WANTED = 55, END = 255,
};
enum { DISCOVER = 1, OFFER = 2, REQUEST = 3, ACK = 5 };
enum { FROM_CLIENT = 1, FROM_SERVER = 2 };

static const uint8_t none[4], all[4] = { 255, 255, 255, 255 };

/* Figure 1 of RFC 2131, and the option that says the message's type. */
static void open_message(struct sim_packet *p, struct sim_voice *v, int op,
			 const struct sim_node *client, uint32_t transaction,
			 const uint8_t yours[4], unsigned type)
{
	struct sim_ip4 ip = sim_from(v, all, 64);
	if (op == FROM_CLIENT)
		ip.from = none;
	sim_udp4_open(p, ip, op == FROM_CLIENT ? 68 : 67,
		      op == FROM_CLIENT ? 67 : 68);
	sim_put8(p, (unsigned)op);
	sim_put8(p, 1);
	sim_put16(p, 0x0600);
	sim_put32(p, transaction);
	sim_put16(p, 0);
	sim_put16(p, client->does & SIM_FLAG ? 0x8000 : 0);
	sim_put(p, none, 4);
	sim_put(p, yours, 4);
	sim_put_zeros(p, 8);
	sim_put(p, client->mac, 6);
	sim_put_zeros(p, 10 + 64 + 128);
	sim_put32(p, 0x63825363);
	sim_put16(p, TYPE << 8 | 1);
	sim_put8(p, type);
}

static void put_option(struct sim_packet *p, unsigned code, const void *octets,
		       size_t n)
{
	sim_put8(p, code);
	sim_put8(p, (unsigned)n);
	sim_put(p, octets, n);
}

/* RFC 1542 section 2.1: a message is at least 300 octets long. */
static void close_message(struct sim_packet *p)
{
	sim_put8(p, END);
	const size_t least = p->payload + 8 + 300;
	if (p->n < least)
		sim_put_zeros(p, least - p->n);
	sim_udp4_close(p);
}

static void ask(struct sim_packet *p, struct sim_voice *v, unsigned type,
		const uint8_t *server)
{
	static const uint8_t wanted[] = { MASK, ROUTER, LEASE };
	char host[SIM_NAME];
	sim_host_name(v->node, host);
	open_message(p, v, FROM_CLIENT, v->node, v->asked, none, type);
	if (type == REQUEST)
		put_option(p, ADDRESS, v->address, 4);
	if (server)
		put_option(p, SERVER, server, 4);
	put_option(p, HOST, host, strlen(host));
	put_option(p, WANTED, wanted, sizeof wanted);
	close_message(p);
}

void sim_say_discover(struct sim_packet *p, struct sim_voice *v)
{
	ask(p, v, DISCOVER, NULL);
}

void sim_say_request(struct sim_packet *p, struct sim_voice *v)
{
	ask(p, v, REQUEST, v->server);
}

/* INIT-REBOOT: no server is named (RFC 2131 section 4.3.2). */
void sim_say_request_reboot(struct sim_packet *p, struct sim_voice *v)
{
	ask(p, v, REQUEST, NULL);
}

static void answer(struct sim_packet *p, struct sim_voice *v, unsigned type)
{
	static const uint8_t mask[4] = { 255, 255, 0, 0 };
	static const uint8_t day[4] = { 0, 1, 0x51, 0x80 };
	open_message(p, v, FROM_SERVER, v->other, v->other_asked,
		     v->other->address, type);
	put_option(p, SERVER, v->address, 4);
	put_option(p, LEASE, day, 4);
	put_option(p, MASK, mask, 4);
	put_option(p, ROUTER, v->address, 4);
	close_message(p);
}

void sim_say_offer(struct sim_packet *p, struct sim_voice *v)
{
	answer(p, v, OFFER);
}

void sim_say_ack(struct sim_packet *p, struct sim_voice *v)
{
	answer(p, v, ACK);
}
