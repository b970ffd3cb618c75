/* replay.c -- run a fuzz target over named files, for compilers without a
 * fuzzing engine: every file whole, cut at each length, and with octets
 * flipped by a fixed pseudo-random sequence. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);

enum { LARGEST = 1 << 16, CUTS = 512, FLIPS = 512 };

/* On tight heap copies, so that a sanitizer sees each octet read beyond. */
static void run(const uint8_t *data, size_t n)
{
	uint8_t *tight = calloc(1, n ? n : 1);
	if (!tight)
		abort();
	memcpy(tight, data, n);
	LLVMFuzzerTestOneInput(tight, n);
	free(tight);
}

static void run_changed(uint8_t *data, size_t n)
{
	uint32_t state = 2463534242u;
	for (size_t cut = 0; cut <= n && cut < CUTS; cut++)
		run(data, cut);
	for (int i = 0; n && i < FLIPS; i++) {
		state ^= state << 13, state ^= state >> 17, state ^= state << 5;
		const size_t where = state % n;
		const uint8_t was = data[where];
		data[where] = (uint8_t)(state >> 24);
		run(data, n);
		if (i % 8)
			data[where] = was;
	}
}

int main(int argc, char **argv)
{
	static uint8_t data[LARGEST];
	run(data, 0);
	for (int i = 1; i < argc; i++) {
		FILE *f = fopen(argv[i], "rb");
		if (!f)
			return perror(argv[i]), EXIT_FAILURE;
		const size_t n = fread(data, 1, sizeof data, f);
		fclose(f);
		run(data, n);
		run_changed(data, n);
	}
	return EXIT_SUCCESS;
}
