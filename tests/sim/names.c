/* names.c -- how devices tell their names: multicast DNS and SSDP.
 *
 * Source  RFC 6762 sections 8.1, 8.3, 10.1 and 18; RFC 6763 section 4.1;
 *         UPnP Device Architecture 2.0 section 1.2
 */
#include "say.h"

#include <stdio.h>
#include <string.h>

enum { A = 1, PTR = 12, TXT = 16, SRV = 33, ANY = 255 };
enum { INTERNET = 1, UNIQUE = 0x8001, UNICAST = 0x8001 };
enum { HOST_TTL = 120, OTHER_TTL = 4500 };   /* s, section 10 */

/* A name as labels; a '.' ends a label, so no label of ours holds one. */
static void put_name(struct sim_packet *p, const char *name)
{
	while (*name) {
		const size_t n = strcspn(name, ".");
		sim_put8(p, (unsigned)n);
		sim_put(p, name, n);
		name += n + (name[n] == '.');
	}
	sim_put8(p, 0);
}

static size_t open_record(struct sim_packet *p, const char *name, unsigned type,
			  unsigned class, uint32_t ttl)
{
	put_name(p, name);
	sim_put16(p, type);
	sim_put16(p, class);
	sim_put32(p, ttl);
	sim_put16(p, 0);
	return p->n;
}

static void close_record(struct sim_packet *p, size_t data)
{
	sim_set16(p, data - 2, (unsigned)(p->n - data));
}

static void put_host(struct sim_packet *p, const struct sim_voice *v,
		     const char *host, uint32_t ttl, unsigned class)
{
	const size_t data = open_record(p, host, A, class, ttl);
	sim_put(p, v->address, 4);
	close_record(p, data);
}

static void open_mdns(struct sim_packet *p, struct sim_voice *v, unsigned flags,
		      unsigned questions, unsigned answers, unsigned authority)
{
	static const uint8_t group[4] = { 224, 0, 0, 251 };
	sim_udp4_open(p, sim_from(v, group, 255), 5353, 5353);
	sim_put16(p, 0);
	sim_put16(p, flags);
	sim_put16(p, questions);
	sim_put16(p, answers);
	sim_put16(p, authority);
	sim_put16(p, 0);
}

static void host_of(const struct sim_voice *v, char host[static SIM_NAME + 8])
{
	sim_host_name(v->node, host);
	strcat(host, ".local");
}

void sim_say_mdns_query(struct sim_packet *p, struct sim_voice *v)
{
	open_mdns(p, v, 0, 1, 0, 0);
	put_name(p, "_boat-device._udp.local");
	sim_put16(p, PTR);
	sim_put16(p, INTERNET);
	sim_udp4_close(p);
}

void sim_say_mdns_probe(struct sim_packet *p, struct sim_voice *v)
{
	char host[SIM_NAME + 8];
	host_of(v, host);
	open_mdns(p, v, 0, 1, 0, 1);
	put_name(p, host);
	sim_put16(p, ANY);
	sim_put16(p, UNICAST);
	put_host(p, v, host, HOST_TTL, INTERNET);
	sim_udp4_close(p);
}

/* Its service, where that is, what it is, and its address; `live` 0 takes
 * all of it back. */
static void announce(struct sim_packet *p, struct sim_voice *v, uint32_t live)
{
	static const char service[] = "_boat-device._udp.local";
	char host[SIM_NAME + 8], instance[2 * SIM_NAME + 32], text[64];
	host_of(v, host);
	snprintf(instance, sizeof instance, "%s.%s", v->node->name, service);
	open_mdns(p, v, 0x8400, 0, 4, 0);
	size_t data = open_record(p, service, PTR, INTERNET, live * OTHER_TTL);
	put_name(p, instance);
	close_record(p, data);
	data = open_record(p, instance, SRV, UNIQUE, live * HOST_TTL);
	sim_put32(p, 0);
	sim_put16(p, 20000);
	put_name(p, host);
	close_record(p, data);
	data = open_record(p, instance, TXT, UNIQUE, live * OTHER_TTL);
	snprintf(text, sizeof text, "kind=%s", v->node->kind->name);
	sim_put8(p, (unsigned)strlen(text));
	sim_put_text(p, text);
	close_record(p, data);
	put_host(p, v, host, live * HOST_TTL, UNIQUE);
	sim_udp4_close(p);
}

void sim_say_mdns_announce(struct sim_packet *p, struct sim_voice *v)
{
	announce(p, v, 1);
}

void sim_say_mdns_goodbye(struct sim_packet *p, struct sim_voice *v)
{
	announce(p, v, 0);
}

static void notify(struct sim_packet *p, struct sim_voice *v, bool alive)
{
	static const uint8_t group[4] = { 239, 255, 255, 250 };
	const uint8_t *a = v->address, *m = v->node->mac;
	char text[512], more[160] = "";
	if (alive)
		snprintf(more, sizeof more,
			 "CACHE-CONTROL: max-age=1800\r\n"
			 "LOCATION: http://%u.%u.%u.%u:8080/device.xml\r\n"
			 "SERVER: boat/1 UPnP/2.0 %s/1\r\n", a[0], a[1], a[2],
			 a[3], v->node->kind->name);
	snprintf(text, sizeof text,
		 "NOTIFY * HTTP/1.1\r\nHOST: 239.255.255.250:1900\r\n%s"
		 "NT: upnp:rootdevice\r\nNTS: ssdp:%s\r\n"
		 "USN: uuid:b0a70000-0000-4000-8000-%02x%02x%02x%02x%02x%02x"
		 "::upnp:rootdevice\r\n"
		 "BOOTID.UPNP.ORG: %u\r\nCONFIGID.UPNP.ORG: 1\r\n\r\n", more,
		 alive ? "alive" : "byebye", m[0], m[1], m[2], m[3], m[4], m[5],
		 v->boots);
	sim_udp4_open(p, sim_from(v, group, 2), 
		      (uint16_t)(49152u + 16u * m[5] + v->boots % 16), 1900);
	sim_put_text(p, text);
	sim_udp4_close(p);
}

void sim_say_ssdp_alive(struct sim_packet *p, struct sim_voice *v)
{
	notify(p, v, true);
}

void sim_say_ssdp_byebye(struct sim_packet *p, struct sim_voice *v)
{
	notify(p, v, false);
}
