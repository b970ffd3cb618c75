/* bench_live.c -- the live source against libpcap's bare loop on a port.
 *
 *     bench_live send PORT FRAMES-A-SECOND SECONDS
 *     bench_live live|bare PORT SECONDS [STALL-MS]
 *
 * Sends a boat's usual mix (85 % bulk to groups, the rest announcements), or
 * hears for so long, once not reading for so many ms, and prints frames heard
 * and dropped, the ring, the processor's time in all and ns a frame, and how
 * often it was woken. tests/bench/live runs them in a namespace of their own;
 * only the ratio of the two means anything.
 */
#ifndef _GNU_SOURCE
#define _GNU_SOURCE                /* sendmmsg(2) */
#endif
#include "source/live.h"

#include <errno.h>
#include <inttypes.h>
#include <linux/if_packet.h>
#include <net/if.h>
#include <pcap/pcap.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

enum { BURST = 64, KINDS = 64, SIZE_MAX_HERE = 1400 };

static void die(const char *what)
{
	perror(what);
	exit(EXIT_FAILURE);
}

static double now(void)
{
	struct timespec t;
	(void)clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static void stall(double seconds)
{
	const struct timespec t = { (time_t)seconds,
		(long)((seconds - (double)(time_t)seconds) * 1e9) };
	(void)nanosleep(&t, NULL);
}

/* UDP from one of many stations to a group: bulk, or announcements. */
static size_t make_frame(uint8_t *f, unsigned i)
{
	const bool bulk = i % 20 < 17;
	const size_t n = bulk ? i % 10 ? 200 + i * 3 : SIZE_MAX_HERE : 60 + i * 2;
	const uint8_t head[] = { 1, 0, 0x5e, 1, 2, 3, 2, 0, 0, 0, 0, (uint8_t)i, 8, 0,
		0x45, 0, (uint8_t)((n - 14) >> 8), (uint8_t)(n - 14), 0, 0, 0, 0, 1, 17,
		0, 0, 192, 0, 2, (uint8_t)i, 239, 1, 2, 3,
		(uint8_t)(bulk ? 26 : 5353 >> 8), (uint8_t)(bulk ? 222 : 5353 & 0xff),
		(uint8_t)(bulk ? 26 : 5353 >> 8), (uint8_t)(bulk ? 222 : 5353 & 0xff),
		(uint8_t)((n - 34) >> 8), (uint8_t)(n - 34), 0, 0 };
	memcpy(f, head, sizeof head);
	return n;
}

static int socket_of(const char *port)
{
	const int fd = socket(AF_PACKET, SOCK_RAW, 0), on = 1;
	const union { struct sockaddr any; struct sockaddr_ll link; } to = { .link = {
		.sll_family = AF_PACKET, .sll_ifindex = (int)if_nametoindex(port) } };
	if (fd < 0 || bind(fd, &to.any, sizeof to.link) != 0)
		die(port);
	(void)setsockopt(fd, SOL_PACKET, PACKET_QDISC_BYPASS, &on, sizeof on);
	return fd;
}

static int send_for(const char *port, double rate, double seconds)
{
	static uint8_t octets[KINDS][SIZE_MAX_HERE];
	struct iovec part[KINDS];
	struct mmsghdr message[KINDS];
	memset(message, 0, sizeof message);
	for (unsigned i = 0; i < KINDS; i++) {
		part[i] = (struct iovec){ octets[i], make_frame(octets[i], i) };
		message[i].msg_hdr.msg_iov = &part[i];
		message[i].msg_hdr.msg_iovlen = 1;
	}
	const int fd = socket_of(port);
	const double start = now();
	uint64_t sent = 0;
	for (double t = 0; t < seconds; t = now() - start) {
		while ((double)sent < t * rate) {
			const int n = sendmmsg(fd, message, BURST, 0);
			if (n < 0 && errno != ENOBUFS)
				die("send");
			sent += n > 0 ? (unsigned)n : 0;
		}
		stall(0.0005);
	}
	fprintf(stderr, "sent %" PRIu64 " in %.1f s\n", sent, now() - start);
	return EXIT_SUCCESS;
}

static void report(const char *how, uint64_t heard, uint64_t dropped, size_t ring)
{
	struct rusage used;
	(void)getrusage(RUSAGE_SELF, &used);
	const double cpu = (double)(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
		(double)(used.ru_utime.tv_usec + used.ru_stime.tv_usec) / 1e6;
	printf("%s heard %" PRIu64 " dropped %" PRIu64 " ring %zu cpu %.3f s "
	       "%.1f ns a frame, woken %ld times, %ld KiB\n", how, heard, dropped, ring,
	       cpu, heard ? cpu * 1e9 / (double)heard : 0, used.ru_nvcsw,
	       used.ru_maxrss);
}

static void count(u_char *context, const struct pcap_pkthdr *header, const u_char *at)
{
	(void)header, (void)at;
	++*(uint64_t *)(void *)context;
}

static int hear_bare(const char *port, double seconds, double pause)
{
	char why[PCAP_ERRBUF_SIZE];
	uint64_t heard = 0;
	pcap_t *pcap = pcap_create(port, why);
	if (!pcap || pcap_set_promisc(pcap, 1) || pcap_set_timeout(pcap, 100) ||
	    pcap_set_buffer_size(pcap, FL_LIVE_RING) || pcap_activate(pcap) < 0 ||
	    pcap_setnonblock(pcap, 1, why) != 0)
		die(port);
	const double start = now();
	while (now() - start < seconds) {
		struct pollfd fd = { pcap_get_selectable_fd(pcap), POLLIN, 0 };
		(void)poll(&fd, 1, 100);
		(void)pcap_dispatch(pcap, -1, count, (void *)&heard);
		if (pause > 0 && now() - start > seconds / 3) {
			stall(pause);
			pause = 0;
		}
	}
	struct pcap_stat stat = { 0 };
	(void)pcap_stats(pcap, &stat);
	pcap_close(pcap);
	report("bare", heard, stat.ps_drop, FL_LIVE_RING);
	return EXIT_SUCCESS;
}

static void take(void *context, const struct fl_frame *frames, size_t n)
{
	(void)frames;
	*(uint64_t *)context += n;
}

static void ignore(void *context, const struct fl_ear_event *event)
{
	(void)context, (void)event;
}

static void stop_loop(uv_timer_t *timer)
{
	uv_stop(timer->loop);
}

static void each_second(uv_timer_t *timer)
{
	fl_live_drain(timer->data);
	(void)fl_live_now(timer->data);
}

static void pause_loop(uv_timer_t *timer)
{
	stall(*(const double *)timer->data);
}

static int hear_live(const char *port, double seconds, double pause)
{
	uv_loop_t loop;
	uv_timer_t end, tick, rest;
	uint64_t heard = 0;
	struct fl_error error = { 0 };
	const struct fl_frame_sink sink = { &heard, take, ignore };
	struct fl_live *live = uv_loop_init(&loop) ? NULL : fl_live_new(&loop, &sink);
	if (!live || !fl_live_open(live, port, 0, &error) ||
	    !fl_live_start(live, &error))
		die(error.rule ? error.rule : port);
	(void)uv_timer_init(&loop, &end), (void)uv_timer_init(&loop, &tick);
	(void)uv_timer_init(&loop, &rest);
	tick.data = live, rest.data = &pause;
	(void)uv_timer_start(&end, stop_loop, (uint64_t)(seconds * 1000), 0);
	(void)uv_timer_start(&tick, each_second, 1000, 1000);
	if (pause > 0)
		(void)uv_timer_start(&rest, pause_loop, (uint64_t)(seconds * 333), 0);
	(void)uv_run(&loop, UV_RUN_DEFAULT);
	fl_live_stop(live);
	uv_close((uv_handle_t *)&end, NULL), uv_close((uv_handle_t *)&tick, NULL);
	uv_close((uv_handle_t *)&rest, NULL);
	(void)uv_run(&loop, UV_RUN_DEFAULT);
	const struct fl_live_port_summary *s = fl_live_summary(live, 0);
	report("live", heard, s->dropped, s->ring);
	fl_live_free(live);
	return uv_loop_close(&loop) ? EXIT_FAILURE : EXIT_SUCCESS;
}

int main(int argc, char **argv)
{
	const double a = argc > 3 ? atof(argv[3]) : 0, b = argc > 4 ? atof(argv[4]) : 0;
	if (argc > 4 && strcmp(argv[1], "send") == 0)
		return send_for(argv[2], a, b);
	if (argc > 3 && strcmp(argv[1], "live") == 0)
		return hear_live(argv[2], a, b / 1000);
	if (argc > 3 && strcmp(argv[1], "bare") == 0)
		return hear_bare(argv[2], a, b / 1000);
	fputs("bench_live send PORT RATE SECONDS | live|bare PORT SECONDS [STALL-MS]\n",
	      stderr);
	return EXIT_FAILURE;
}
