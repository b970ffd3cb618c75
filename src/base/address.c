#include "base/address.h"

#include <arpa/inet.h>
#include <stdio.h>
#include <string.h>

static const uint8_t mapped[12] = { [10] = 0xff, [11] = 0xff };

bool fl_mac_equal(struct fl_mac a, struct fl_mac b)
{
	return memcmp(a.b, b.b, sizeof a.b) == 0;
}

bool fl_mac_is_none(struct fl_mac mac)
{
	return fl_mac_equal(mac, (struct fl_mac){ { 0 } });
}

bool fl_mac_is_group(struct fl_mac mac)
{
	return mac.b[0] & 0x01;
}

bool fl_mac_is_broadcast(struct fl_mac mac)
{
	static const struct fl_mac all = { { 255, 255, 255, 255, 255, 255 } };
	return fl_mac_equal(mac, all);
}

bool fl_mac_is_local(struct fl_mac mac)
{
	return mac.b[0] & 0x02;
}

bool fl_mac_is_link_only(struct fl_mac mac)
{
	static const uint8_t block[5] = { 0x01, 0x80, 0xc2, 0x00, 0x00 };
	return memcmp(mac.b, block, sizeof block) == 0 && mac.b[5] <= 0x0f;
}

bool fl_mac_is_filterable(struct fl_mac g)
{
	/* RFC 1112 section 6.4: 01-00-5E and the low 23 bits of the group. */
	if (g.b[0] == 0x01 && g.b[1] == 0x00 && g.b[2] == 0x5e)
		return g.b[3] != 0 || g.b[4] != 0;
	/* RFC 2464 section 7: 33-33 and the low 32 bits. */
	static const struct fl_mac all_nodes = { { 0x33, 0x33, 0, 0, 0, 1 } };
	return g.b[0] == 0x33 && g.b[1] == 0x33 && !fl_mac_equal(g, all_nodes);
}

struct fl_mac fl_ip_group_mac(struct fl_ip group)
{
	const uint8_t *b = group.b;
	return fl_ip_is4(group)
		? (struct fl_mac){ { 0x01, 0x00, 0x5e, b[13] & 0x7f, b[14], b[15] } }
		: (struct fl_mac){ { 0x33, 0x33, b[12], b[13], b[14], b[15] } };
}

struct fl_ip fl_ip_from4(const uint8_t four[static 4])
{
	struct fl_ip ip;
	memcpy(ip.b, mapped, sizeof mapped);
	memcpy(ip.b + 12, four, 4);
	return ip;
}

bool fl_ip_equal(struct fl_ip a, struct fl_ip b)
{
	return memcmp(a.b, b.b, sizeof a.b) == 0;
}

bool fl_ip_is_none(struct fl_ip ip)
{
	return fl_ip_equal(ip, (struct fl_ip){ { 0 } });
}

bool fl_ip_is4(struct fl_ip ip)
{
	return memcmp(ip.b, mapped, sizeof mapped) == 0;
}

bool fl_ip_is_unspecified(struct fl_ip ip)
{
	static const uint8_t zero[4];
	return fl_ip_is_none(ip) ||
	       (fl_ip_is4(ip) && memcmp(ip.b + 12, zero, 4) == 0);
}

bool fl_ip_is_multicast(struct fl_ip ip)
{
	return fl_ip_is4(ip) ? (ip.b[12] & 0xf0) == 0xe0 : ip.b[0] == 0xff;
}

bool fl_ip_is_broadcast4(struct fl_ip ip)
{
	static const uint8_t ones[4] = { 255, 255, 255, 255 };
	return fl_ip_is4(ip) && memcmp(ip.b + 12, ones, 4) == 0;
}

bool fl_ip_is_link_local(struct fl_ip ip)
{
	return fl_ip_is4(ip) ? ip.b[12] == 169 && ip.b[13] == 254
			     : ip.b[0] == 0xfe && (ip.b[1] & 0xc0) == 0x80;
}

struct fl_ip fl_ip_network(struct fl_ip ip, unsigned bits)
{
	if (fl_ip_is4(ip))
		bits += 96;
	for (unsigned i = 0; i < 16; i++) {
		const unsigned kept = bits > 8 * i ? bits - 8 * i : 0;
		if (kept < 8)
			ip.b[i] &= (uint8_t)(0xff00u >> kept);
	}
	return ip;
}

char *fl_mac_text(struct fl_mac mac, char out[static FL_MAC_TEXT])
{
	(void)snprintf(out, FL_MAC_TEXT, "%02x:%02x:%02x:%02x:%02x:%02x",
		       mac.b[0], mac.b[1], mac.b[2], mac.b[3], mac.b[4], mac.b[5]);
	return out;
}

char *fl_ip_text(struct fl_ip ip, char out[static FL_IP_TEXT])
{
	const bool four = fl_ip_is4(ip);
	if (!inet_ntop(four ? AF_INET : AF_INET6, four ? ip.b + 12 : ip.b, out,
		       FL_IP_TEXT))
		out[0] = '\0';
	return out;
}

int fl_hex_digit(uint8_t c)
{
	if (c >= '0' && c <= '9')
		return c - '0';
	if (c >= 'a' && c <= 'f')
		return c - 'a' + 10;
	if (c >= 'A' && c <= 'F')
		return c - 'A' + 10;
	return -1;
}

bool fl_mac_parse(const char *text, size_t n, struct fl_mac *out)
{
	struct fl_mac mac = { { 0 } };
	size_t digits = 0;
	for (size_t i = 0; i < n; i++) {
		const int d = fl_hex_digit((uint8_t)text[i]);
		if (d < 0 && (digits == 0 || !strchr(":-.", text[i])))
			return false;
		if (d < 0)
			continue;
		if (digits == 12)
			return false;
		mac.b[digits / 2] = (uint8_t)(mac.b[digits / 2] << 4 | d);
		digits++;
	}
	if (digits != 12)
		return false;
	*out = mac;
	return true;
}

bool fl_ip_parse(const char *text, size_t n, struct fl_ip *out)
{
	char whole[FL_IP_TEXT];
	if (n >= sizeof whole)
		return false;
	memcpy(whole, text, n);
	whole[n] = '\0';
	uint8_t four[4];
	if (inet_pton(AF_INET, whole, four) == 1) {
		*out = fl_ip_from4(four);
		return true;
	}
	return inet_pton(AF_INET6, whole, out->b) == 1;
}
