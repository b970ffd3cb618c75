/* address.h -- the two kinds of address a frame carries.
 *
 * Shapes  a MAC address of 6 octets and one Internet address of 16: an IPv4
 *         address is held as ::ffff:a.b.c.d (RFC 4291 section 2.5.5.2), so
 *         that every table has one key. All zero octets mean "none".
 * Owns    nothing; both are plain values in wire order
 */
#ifndef FL_BASE_ADDRESS_H
#define FL_BASE_ADDRESS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct fl_mac { uint8_t b[6]; };
struct fl_ip  { uint8_t b[16]; };

enum { FL_MAC_TEXT = 18, FL_IP_TEXT = 46 };   /* with the final NUL */

bool fl_mac_equal(struct fl_mac a, struct fl_mac b);
bool fl_mac_is_none(struct fl_mac mac);
/* I/G bit, IEEE Std 802.3 section 3.2.3: a group or broadcast address. */
bool fl_mac_is_group(struct fl_mac mac);
bool fl_mac_is_broadcast(struct fl_mac mac);
/* U/L bit, IEEE Std 802.3 section 3.2.3: locally administered. */
bool fl_mac_is_local(struct fl_mac mac);
/* 01-80-C2-00-00-00 to -0F: a bridge never forwards these (IEEE Std 802.1Q
 * table 8-1), so the sender sits at the other end of our own cable. */
bool fl_mac_is_link_only(struct fl_mac mac);
/* True if a switch that listens to membership reports may hold frames to
 * this group back: an IP multicast group outside the link-local blocks
 * 224.0.0.0/24 (RFC 4541 section 2.1.2) and ff02::1 (RFC 4541 section 3). */
bool fl_mac_is_filterable(struct fl_mac group);

/* The MAC address that frames to this multicast group bear (RFC 1112 section
 * 6.4, RFC 2464 section 7); 32 groups of IPv4 share one. */
struct fl_mac fl_ip_group_mac(struct fl_ip group);

struct fl_ip fl_ip_from4(const uint8_t four[static 4]);
bool fl_ip_equal(struct fl_ip a, struct fl_ip b);
bool fl_ip_is_none(struct fl_ip ip);           /* ::                     */
bool fl_ip_is4(struct fl_ip ip);               /* ::ffff:0:0/96          */
bool fl_ip_is_unspecified(struct fl_ip ip);    /* :: or 0.0.0.0          */
bool fl_ip_is_multicast(struct fl_ip ip);      /* 224/4 or ff00::/8      */
bool fl_ip_is_broadcast4(struct fl_ip ip);     /* 255.255.255.255        */
bool fl_ip_is_link_local(struct fl_ip ip);     /* 169.254/16 or fe80::/10 */
/* The network of an address: its first `bits` bits, IPv4 counted 0..32. */
struct fl_ip fl_ip_network(struct fl_ip ip, unsigned bits);

/* Text forms, written to `out` and returned: 02:1b:c5:00:00:21, 192.0.2.1,
 * 2001:db8::1 (RFC 5952 by way of inet_ntop). */
char *fl_mac_text(struct fl_mac mac, char out[static FL_MAC_TEXT]);
char *fl_ip_text(struct fl_ip ip, char out[static FL_IP_TEXT]);
/* What a hexadecimal digit of either case is worth; -1: it is none. */
int fl_hex_digit(uint8_t c);
/* Read a whole text of `n` octets; false leaves `out` alone. A MAC may use
 * ':', '-' or '.' or none between its twelve digits. */
bool fl_mac_parse(const char *text, size_t n, struct fl_mac *out);
bool fl_ip_parse(const char *text, size_t n, struct fl_ip *out);

#endif
