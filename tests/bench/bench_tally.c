/* bench_tally.c -- what the numbers of frames cost tally.
 *
 * Hands the same frames of 40 streams to a tally by turns: identifications all
 * zero, which are let alone at once, and counting up, which are followed. Prints
 * the medians; only their difference means anything. Run by hand.
 *
 *     bench_tally [frames [rounds]]
 */
#include "tally/tally.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { STREAMS = 40, LENGTH = 128, BATCH = 256, ROUNDS_MAX = 64 };

static void nothing(void *context, const struct fl_observation *o)
{
	(void)context;
	(void)o;
}

static void make(uint8_t octets[LENGTH], unsigned stream, unsigned number, bool counts)
{
	static const uint8_t start[] = {
		0x01, 0, 0x5e, 0x40, 0, 1, 2, 0, 0, 0, 0, 0, 8, 0,
		0x45, 0, 0, LENGTH - 14, 0, 0, 0, 0, 1, 17, 0, 0,
		172, 20, 0, 1, 239, 192, 0, 1, 0x4e, 0x20, 0x4e, 0x20, 0, LENGTH - 34,
	};
	memcpy(octets, start, sizeof start);
	octets[11] = octets[29] = (uint8_t)(stream + 1);
	octets[18] = (uint8_t)(counts ? number >> 8 : 0);
	octets[19] = (uint8_t)(counts ? number : 0);
	octets[50] = (uint8_t)number;
	octets[51] = (uint8_t)(number >> 8);
}

static double run(size_t frames, bool counts)
{
	static uint8_t octets[BATCH][LENGTH];
	struct fl_frame batch[BATCH];
	struct fl_tally *tally = fl_tally_new("eth0", NULL,
					      (struct fl_observer){ NULL, nothing });
	if (!tally)
		exit(EXIT_FAILURE);
	const struct fl_frame_sink sink = fl_tally_sink(tally);
	sink.ear(sink.context, &(struct fl_ear_event){ .news = FL_EAR_OPENED,
		.link = FL_LINK_ETHERNET, .name = "eth0" });
	double sum = 0;
	for (size_t n = 0; n < frames; n += BATCH) {
		for (size_t i = 0; i < BATCH; i++) {
			const size_t all = n + i;
			make(octets[i], (unsigned)(all % STREAMS), (unsigned)(all / STREAMS), counts);
			batch[i] = (struct fl_frame){ .at = octets[i], .captured = LENGTH,
				.length = LENGTH, .link = FL_LINK_ETHERNET,
				.time = INT64_C(1700000000) * FL_SECOND +
					(fl_time)all * 30000 };
		}
		struct timespec from, to;
		clock_gettime(CLOCK_MONOTONIC, &from);
		sink.frames(sink.context, batch, BATCH);
		clock_gettime(CLOCK_MONOTONIC, &to);
		sum += (double)(to.tv_sec - from.tv_sec) * 1e9 +
		       (double)(to.tv_nsec - from.tv_nsec);
	}
	fl_tally_free(tally);
	return sum / (double)frames;
}

static int by_size(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

int main(int argc, char **argv)
{
	const size_t frames = argc > 1 ? strtoul(argv[1], NULL, 10) : 1000000;
	const size_t asked = argc > 2 ? strtoul(argv[2], NULL, 10) : 9;
	const size_t rounds = asked < 1 ? 1 : asked > ROUNDS_MAX ? ROUNDS_MAX : asked;
	double times[2][ROUNDS_MAX];
	for (size_t i = 0; i < rounds; i++)
		for (size_t k = 0; k < 2; k++)
			times[k][i] = run(frames, k == 1);
	for (size_t k = 0; k < 2; k++)
		qsort(times[k], rounds, sizeof times[k][0], by_size);
	printf("let alone %.1f ns a frame, followed %.1f\n", times[0][rounds / 2],
	       times[1][rounds / 2]);
	return EXIT_SUCCESS;
}
