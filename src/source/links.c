/* links.c -- what people call the link types of captures.
 *
 * Source  draft-ietf-opsawg-pcaplinktype, the registry of LINKTYPE values
 */
#include "source/capfile.h"
#include "source/walk.h"

static const struct { uint16_t link; const char *name; } links[] = {
	{ 0, "loopback" },
	{ FL_LINK_ETHERNET, "Ethernet" },
	{ 6, "token ring" },
	{ 9, "PPP" },
	{ 50, "PPP" },
	{ 51, "PPP over Ethernet" },
	{ 101, "bare IP" },
	{ 104, "HDLC" },
	{ 105, "wireless LAN" },
	{ 107, "frame relay" },
	{ 108, "loopback" },
	{ FL_LINK_COOKED, "Linux cooked" },
	{ 117, "packet filter log" },
	{ 119, "wireless LAN" },
	{ 127, "wireless LAN with radiotap" },
	{ 163, "wireless LAN" },
	{ 187, "Bluetooth" },
	{ 189, "USB" },
	{ 190, "CAN bus" },
	{ 192, "per-packet information" },
	{ 195, "IEEE 802.15.4" },
	{ 201, "Bluetooth" },
	{ 220, "USB" },
	{ 227, "CAN bus" },
	{ 228, "bare IPv4" },
	{ 229, "bare IPv6" },
	{ 230, "IEEE 802.15.4" },
	{ 239, "netfilter log" },
	{ 249, "USB" },
	{ 251, "Bluetooth" },
	{ 253, "netlink" },
	{ 274, "Ethernet with preamble" },
	{ FL_LINK_COOKED2, "Linux cooked version 2" },
	{ 281, "Ethernet with a switch's own tag" },
	{ 282, "Ethernet with a switch's own tag" },
	{ 283, "Ethernet with a switch's own tag" },
	{ 284, "Ethernet with a switch's own tag" },
};

bool fl_link_is_read(uint16_t link)
{
	return link == FL_LINK_ETHERNET || link == FL_LINK_COOKED ||
	       link == FL_LINK_COOKED2;
}

const char *fl_link_name(uint16_t link)
{
	for (size_t i = 0; i < sizeof links / sizeof links[0]; i++)
		if (links[i].link == link)
			return links[i].name;
	return "link type";
}
