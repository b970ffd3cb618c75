/* live_bind.c -- a handle's packet socket: bound to which port, and anew.
 *
 * Source  packet(7): sockaddr_ll, PACKET_ADD_MEMBERSHIP; proc(5): maps
 *
 * A port that was taken away and came back is another one to the kernel, with
 * a new index. Opening a socket for it would need CAP_NET_RAW, which is gone
 * by then; binding the one that is open needs nothing, and its ring and
 * filter stay. libpcap 1.10 goes on reading after that: it answers "The
 * interface disappeared" only while the socket itself says, by getsockname(2),
 * that it is bound to nothing. The kernel ends the promiscuous membership
 * with the port, so it is asked for again.
 *
 * Errors  of binding: false, and the ear stays deaf until it is told again
 */
#include "source/live_inner.h"

#include <arpa/inet.h>
#include <linux/if_ether.h>
#include <linux/if_packet.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>

static int descriptor(const struct fl_live_ear *ear)
{
	return pcap_get_selectable_fd(ear->pcap);
}

/* An address as the calls of sockets want it, without a cast. */
union address {
	struct sockaddr    any;
	struct sockaddr_ll link;
};

int fl_live_bound(struct fl_live_ear *ear)
{
	union address a = { .link.sll_ifindex = -1 };
	socklen_t n = sizeof a;
	if (getsockname(descriptor(ear), &a.any, &n) != 0 ||
	    a.link.sll_ifindex <= 0)
		return -1;
	if (a.link.sll_halen == sizeof ear->mac.b)
		memcpy(ear->mac.b, a.link.sll_addr, sizeof ear->mac.b);
	return a.link.sll_ifindex;
}

bool fl_live_bind(struct fl_live_ear *ear, int index)
{
	const union address a = { .link = {
		.sll_family = AF_PACKET, .sll_protocol = htons(ETH_P_ALL),
		.sll_ifindex = index } };
	const struct packet_mreq all = {
		.mr_ifindex = index, .mr_type = PACKET_MR_PROMISC };
	if (bind(descriptor(ear), &a.any, sizeof a.link) != 0)
		return false;
	ear->summary.bound_anew++;
	(void)fl_live_bound(ear);
	return setsockopt(descriptor(ear), SOL_PACKET, PACKET_ADD_MEMBERSHIP,
			  &all, sizeof all) == 0;
}

/* libpcap takes a smaller ring where the system refuses this one and tells
 * nobody; the mapping's size is the only witness. */
size_t fl_live_ring(int fd)
{
	struct stat status = { 0 };
	char wanted[48], line[512];
	unsigned long from, to;
	size_t ring = 0;
	FILE *maps = fopen("/proc/self/maps", "re");
	if (!maps)
		return 0;
	(void)fstat(fd, &status);
	(void)snprintf(wanted, sizeof wanted, "socket:[%llu]",
		       (unsigned long long)status.st_ino);
	while (fgets(line, sizeof line, maps))
		if (strstr(line, wanted) &&
		    sscanf(line, "%lx-%lx", &from, &to) == 2)
			ring += to - from;
	(void)fclose(maps);
	return ring;
}
