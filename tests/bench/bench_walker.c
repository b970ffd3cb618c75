/* bench_walker.c -- the walker against libpcap's bare reading loop.
 *
 * Makes a file of a boat's usual mix (85 % bulk frames of 200 to 1400 octets
 * to groups, most of them short, the rest 60 to 200), then reads it by turns: pcap_next_ex()
 * counting frames, and fl_capfile_pump() into a sink that counts them.
 * Prints the medians, the first round thrown away; only their ratio means
 * anything.
 *
 *     bench_walker [frames [rounds [pcap|pcapng]]]
 */
#include "source/capfile.h"

#include <inttypes.h>
#include <pcap/pcap.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { ROUNDS_MAX = 64, OCTETS_MAX = 1400 };

static void die(const char *what)
{
	perror(what);
	exit(EXIT_FAILURE);
}

static void put(FILE *f, uint64_t v, int n)
{
	for (; n; n--, v >>= 8)
		if (putc((int)(v & 0xff), f) == EOF)
			die("write");
}

static uint32_t next(uint32_t *state)
{
	*state ^= *state << 13, *state ^= *state >> 17, *state ^= *state << 5;
	return *state;
}

static void put_frame(FILE *f, uint32_t *state, uint64_t i, bool ng)
{
	static uint8_t octets[OCTETS_MAX + 4] = { 0x01, 0x00, 0x5e, 1, 2, 3, 2 };
	const uint32_t r = next(state);
	const uint32_t size = next(state);
	const uint32_t n = r % 100 >= 85 ? 60 + size % 140
			 : size % 10 ? 200 + size % 200 : 1200 + size % 200;
	const uint64_t ns = UINT64_C(1700000000000000000) + i * 30000;
	octets[11] = (uint8_t)(r % 40);
	if (ng) {
		const uint32_t pad = -n & 3;
		put(f, 6, 4), put(f, 32 + n + pad, 4), put(f, r % 2, 4);
		put(f, ns >> 32, 4), put(f, ns, 4), put(f, n, 4), put(f, n, 4);
		if (fwrite(octets, 1, n + pad, f) != n + pad)
			die("write");
		put(f, 32 + n + pad, 4);
	} else {
		put(f, ns / 1000000000, 4), put(f, ns % 1000000000, 4);
		put(f, n, 4), put(f, n, 4);
		if (fwrite(octets, 1, n, f) != n)
			die("write");
	}
}

static void put_header(FILE *f, bool ng)
{
	if (!ng) {
		put(f, 0xa1b23c4d, 4), put(f, 2, 2), put(f, 4, 2), put(f, 0, 8);
		put(f, 262144, 4), put(f, 1, 4);
		return;
	}
	put(f, 0x0a0d0d0a, 4), put(f, 28, 4), put(f, 0x1a2b3c4d, 4);
	put(f, 1, 2), put(f, 0, 2), put(f, UINT64_MAX, 8), put(f, 28, 4);
	for (int i = 0; i < 2; i++) {
		put(f, 1, 4), put(f, 32, 4), put(f, 1, 2), put(f, 0, 2);
		put(f, 262144, 4);
		put(f, 9, 2), put(f, 1, 2), put(f, 9, 4), put(f, 0, 4), put(f, 32, 4);
	}
}

static void make_file(char *path, uint64_t frames, bool ng)
{
	const int fd = mkstemp(path);
	FILE *f = fd < 0 ? NULL : fdopen(fd, "wb");
	if (!f)
		die(path);
	uint32_t state = 2463534242u;
	put_header(f, ng);
	for (uint64_t i = 0; i < frames; i++)
		put_frame(f, &state, i, ng);
	if (fclose(f) != 0)
		die(path);
}

static double now(void)
{
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec * 1e9 + (double)t.tv_nsec;
}

static uint64_t read_with_libpcap(const char *path)
{
	char why[PCAP_ERRBUF_SIZE];
	pcap_t *p = pcap_open_offline_with_tstamp_precision(path,
		PCAP_TSTAMP_PRECISION_NANO, why);
	if (!p)
		die(why);
	struct pcap_pkthdr *header;
	const u_char *octets;
	uint64_t n = 0;
	while (pcap_next_ex(p, &header, &octets) == 1)
		n++;
	pcap_close(p);
	return n;
}

static void count(void *context, const struct fl_frame *frames, size_t n)
{
	(void)frames;
	*(uint64_t *)context += n;
}

static void ignore(void *context, const struct fl_ear_event *event)
{
	(void)context, (void)event;
}

static uint64_t read_with_walker(const char *path)
{
	uint64_t n = 0;
	struct fl_error error = { 0 };
	const struct fl_frame_sink sink = { &n, count, ignore };
	struct fl_capfile *f = fl_capfile_open(path, &sink, &error);
	if (!f)
		die(error.rule);
	while (fl_capfile_pump(f, FL_BATCH_MAX) == FL_OK)
		;
	fl_capfile_close(f);
	return n;
}

static int by_value(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

static double median(double *v, int n)
{
	qsort(v, (size_t)n, sizeof *v, by_value);
	return (v[n / 2] + v[(n - 1) / 2]) / 2;
}

int main(int argc, char **argv)
{
	const uint64_t frames = argc > 1 ? strtoull(argv[1], NULL, 10) : 1000000;
	int rounds = argc > 2 ? atoi(argv[2]) : 9;
	const bool ng = argc <= 3 || strcmp(argv[3], "pcap") != 0;
	const char *folder = getenv("TMPDIR");
	double pcap[ROUNDS_MAX], walker[ROUNDS_MAX];
	char path[200];
	(void)snprintf(path, sizeof path, "%s/bench_walker.XXXXXX",
		       folder ? folder : "/tmp");
	rounds = rounds < 1 ? 1 : rounds < ROUNDS_MAX ? rounds : ROUNDS_MAX;
	make_file(path, frames, ng);
	for (int i = -1; i < rounds; i++) {
		const int at = i < 0 ? 0 : i;
		const double start = now();
		const uint64_t n = read_with_libpcap(path);
		const double middle = now();
		const uint64_t m = read_with_walker(path);
		walker[at] = (now() - middle) / (double)frames;
		pcap[at] = (middle - start) / (double)frames;
		if (n != frames || m != frames) {
			fprintf(stderr, "read %" PRIu64 " and %" PRIu64 " frames\n", n, m);
			break;
		}
	}
	(void)unlink(path);
	const double a = median(pcap, rounds), b = median(walker, rounds);
	printf("libpcap %.1f ns, walker %.1f ns a frame: ratio %.3f\n", a, b, b / a);
	return EXIT_SUCCESS;
}
