/* talker.c -- stands in for a device: announces to a group, in a steady beat.
 *
 *     talker PORT MAC ADDRESS GROUP UDP-PORT INTERVAL-MS
 *            [COUNT [OCTETS | lines]]
 *
 * Each frame holds a UDP datagram of OCTETS octets (64 unless said): "TALK",
 * its number from 0 as four octets, then octets that count up, so that a
 * changed one shows; or `lines`, a sentence with a count from 1 to 999 and on
 * from 1, of a source that is named by the last octet of MAC. Beats are due
 * from the start on: one that came late does not move the next. Without COUNT,
 * or with 0, it goes on until it is ended.
 *
 * Source  RFC 894 (frame), RFC 1112 section 6.4 (address of a group), RFC 791
 *         (header), RFC 768 (a sum of 0: none was made); IEC 61162-450 clause 7
 *         (lines; where their count begins anew is from memory)
 * Errors  2: a wrong argument, or the port does not send
 */
#include <arpa/inet.h>
#include <errno.h>
#include <net/if.h>
#include <netinet/in.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include <linux/if_ether.h>
#include <linux/if_packet.h>

enum { IP = 14, UDP = 34, DATA = 42, LEAST = 18, MOST = 1472 };

struct talk {
	int      socket;
	uint8_t  frame[DATA + MOST];
	size_t   octets;                     /* of the datagram         */
	bool     lines;
	uint64_t interval, count;            /* ns; 0: without end      */
};

static _Noreturn void give_up(const char *what, const char *subject)
{
	fprintf(stderr, "talker: %s: %s\n", subject, what);
	exit(2);
}

static void put16(uint8_t *at, unsigned value)
{
	at[0] = (uint8_t)(value >> 8);
	at[1] = (uint8_t)value;
}

static void put_number(uint8_t *at, uint32_t number)
{
	put16(at, number >> 16);
	put16(at + 2, number & 0xffff);
}

/* RFC 1071, of a header whose sum is still 0. */
static unsigned header_sum(const uint8_t *at)
{
	uint32_t sum = 0;
	for (int i = 0; i < 20; i += 2)
		sum += (uint32_t)at[i] << 8 | at[i + 1];
	while (sum >> 16)
		sum = (sum & 0xffff) + (sum >> 16);
	return ~sum & 0xffff;
}

static void read_mac(const char *text, uint8_t mac[6])
{
	unsigned octets[6];
	if (sscanf(text, "%2x:%2x:%2x:%2x:%2x:%2x", &octets[0], &octets[1],
		   &octets[2], &octets[3], &octets[4], &octets[5]) != 6)
		give_up("no MAC address", text);
	for (int i = 0; i < 6; i++)
		mac[i] = (uint8_t)octets[i];
}

static void read_address(const char *text, uint8_t *at)
{
	if (inet_pton(AF_INET, text, at) != 1)
		give_up("no address", text);
}

/* Exclusive or of all characters, as these lines have it. */
static unsigned line_sum(const char *at)
{
	unsigned sum = 0;
	while (*at)
		sum ^= (uint8_t)*at++;
	return sum;
}

static void make_line(struct talk *t, uint64_t i)
{
	enum { TOKEN = 6 };                  /* with its NUL            */
	char block[32];
	snprintf(block, sizeof block, "s:GP%04u,n:%u", t->frame[11],
		 (unsigned)(i % 999 + 1));
	uint8_t *at = t->frame + DATA;
	memcpy(at, "UdPbC", TOKEN);
	t->octets = TOKEN + (size_t)snprintf((char *)at + TOKEN, MOST - TOKEN,
		"\\%s*%02X\\$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,"
		"230394,003.1,W*6A\r\n", block, line_sum(block));
}

static void make_frame(struct talk *t, char **argv)
{
	uint8_t *f = t->frame;
	read_mac(argv[2], f + 6);
	f[IP] = 0x45;
	f[IP + 8] = 1;                       /* stays on the segment    */
	f[IP + 9] = IPPROTO_UDP;
	read_address(argv[3], f + IP + 12);
	read_address(argv[4], f + IP + 16);
	memcpy(f, (const uint8_t[]){ 0x01, 0x00, 0x5e }, 3);
	f[3] = f[IP + 17] & 0x7f;
	f[4] = f[IP + 18];
	f[5] = f[IP + 19];
	put16(f + 12, ETH_P_IP);
	put16(f + UDP, (unsigned)atoi(argv[5]));
	put16(f + UDP + 2, (unsigned)atoi(argv[5]));
	memcpy(f + DATA, "TALK", 4);
	for (size_t i = 8; i < t->octets; i++)
		f[DATA + i] = (uint8_t)i;
}

/* The datagram of this number, and the headers that tell its length. */
static void make_datagram(struct talk *t, uint64_t i)
{
	uint8_t *f = t->frame;
	if (t->lines)
		make_line(t, i);
	else
		put_number(f + DATA + 4, (uint32_t)i);
	put16(f + IP + 2, (unsigned)(28 + t->octets));
	put16(f + IP + 10, 0);
	put16(f + IP + 10, header_sum(f + IP));
	put16(f + UDP + 4, (unsigned)(8 + t->octets));
}

static void open_port(struct talk *t, const char *port)
{
	t->socket = socket(AF_PACKET, SOCK_RAW | SOCK_CLOEXEC, 0);
	const struct sockaddr_ll to = {
		.sll_family = AF_PACKET,
		.sll_ifindex = (int)if_nametoindex(port),
	};
	if (t->socket < 0 || to.sll_ifindex == 0 ||
	    bind(t->socket, (const struct sockaddr *)&to, sizeof to) < 0)
		give_up(strerror(errno), port);
}

/* A port that is down or full loses the beat, as a device's does. */
static void talk(struct talk *t)
{
	struct timespec start;
	clock_gettime(CLOCK_MONOTONIC, &start);
	for (uint64_t i = 0; !t->count || i < t->count; i++) {
		const uint64_t due = (uint64_t)start.tv_nsec + i * t->interval;
		const struct timespec at = {
			start.tv_sec + (time_t)(due / 1000000000),
			(long)(due % 1000000000),
		};
		clock_nanosleep(CLOCK_MONOTONIC, TIMER_ABSTIME, &at, NULL);
		make_datagram(t, i);
		if (send(t->socket, t->frame, DATA + t->octets, 0) < 0 &&
		    errno != ENETDOWN && errno != ENOBUFS)
			give_up(strerror(errno), "send");
	}
}

int main(int argc, char **argv)
{
	if (argc < 7 || argc > 9)
		give_up("talker PORT MAC ADDRESS GROUP UDP-PORT INTERVAL-MS "
			"[COUNT [OCTETS | lines]]", "arguments");
	static struct talk t;
	t.interval = (uint64_t)(strtod(argv[6], NULL) * 1e6);
	t.count = argc > 7 ? strtoull(argv[7], NULL, 10) : 0;
	t.lines = argc > 8 && strcmp(argv[8], "lines") == 0;
	t.octets = argc > 8 && !t.lines ? strtoul(argv[8], NULL, 10) : 64;
	if (t.octets < LEAST || t.octets > MOST)
		give_up("not from 18 to 1472 octets", argv[8]);
	make_frame(&t, argv);
	open_port(&t, argv[1]);
	talk(&t);
	return 0;
}
