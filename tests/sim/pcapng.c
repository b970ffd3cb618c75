/* pcapng.c -- frames as a capture file of one interface.
 *
 * Source  draft-ietf-opsawg-pcapng sections 4.1 to 4.3 and 4.6
 * Owns    a writer, from open to close; the file is the caller's
 *
 * Blocks are little-endian on every machine. The statistics block at the end
 * says until when the interface listened, so that a silence at the end of the
 * file is known for what it is.
 */
#include "boat.h"

#include <stdlib.h>
#include <string.h>

enum { SECTION = 0x0a0d0d0a, INTERFACE = 1, STATISTICS = 5, PACKET = 6 };
enum {
	END_OF_OPTIONS = 0, NAME = 2, SPEED = 8, RESOLUTION = 9,
	FCS_LENGTH = 13,
};
enum { FLAGS = 2 };
enum { STARTED = 2, ENDED = 3, RECEIVED = 4, DROPPED = 5 };
enum { INBOUND = 1, OUTBOUND = 2, FCS_4 = 4 << 5, CRC_ERROR = 1 << 24 };

struct sim_pcapng {
	FILE    *file;
	const struct sim_boat *boat;
	uint8_t  block[SIM_PACKET + 256];
	size_t   n;
	uint64_t frames;
	bool     failed;
};

static void put(struct sim_pcapng *w, const void *octets, size_t n)
{
	if (n > sizeof w->block - w->n)
		abort();
	memcpy(w->block + w->n, octets, n);
	w->n += n;
}

static void put_le(struct sim_pcapng *w, uint64_t value, size_t n)
{
	uint8_t octets[8];
	for (size_t i = 0; i < n; i++)
		octets[i] = (uint8_t)(value >> 8 * i);
	put(w, octets, n);
}

static void put_padded(struct sim_pcapng *w, const void *octets, size_t n)
{
	static const uint8_t zeros[4];
	put(w, octets, n);
	put(w, zeros, (4 - n % 4) % 4);
}

static void put_option(struct sim_pcapng *w, unsigned code, const void *octets,
		       size_t n)
{
	put_le(w, code, 2);
	put_le(w, n, 2);
	put_padded(w, octets, n);
}

/* An option whose value is an integer of n octets, n a multiple of 4. */
static void put_number(struct sim_pcapng *w, unsigned code, uint64_t value,
		       size_t n)
{
	put_le(w, code, 2);
	put_le(w, n, 2);
	put_le(w, value, n);
}

/* Time stamps are two halves, the high one first. */
static void put_time(struct sim_pcapng *w, sim_time t)
{
	put_le(w, (uint64_t)t >> 32, 4);
	put_le(w, (uint64_t)t & 0xffffffff, 4);
}

static void put_time_option(struct sim_pcapng *w, unsigned code, sim_time t)
{
	put_le(w, code, 2);
	put_le(w, 8, 2);
	put_time(w, t);
}

static void open_block(struct sim_pcapng *w, uint32_t type)
{
	w->n = 0;
	put_le(w, type, 4);
	put_le(w, 0, 4);                       /* length, by close */
}

static void close_block(struct sim_pcapng *w)
{
	const size_t length = w->n + 4, n = w->n;
	put_le(w, length, 4);
	memcpy(w->block + 4, w->block + n, 4);
	w->failed |= fwrite(w->block, 1, length, w->file) != length;
}

struct sim_pcapng *sim_pcapng_open(FILE *file, const struct sim_boat *boat)
{
	const uint8_t nanoseconds = 9, fcs = 4;
	struct sim_pcapng *w = calloc(1, sizeof *w);
	if (!w)
		abort();
	w->file = file;
	w->boat = boat;
	open_block(w, SECTION);
	put_le(w, 0x1a2b3c4d, 4);
	put_le(w, 1, 2);
	put_le(w, 0, 2);
	put_le(w, UINT64_MAX, 8);              /* length not said */
	close_block(w);
	open_block(w, INTERFACE);
	put_le(w, 1, 2);                       /* LINKTYPE_ETHERNET */
	put_le(w, 0, 2);
	put_le(w, 0, 4);                       /* snap: only bulk is cut */
	put_option(w, NAME, boat->interface, strlen(boat->interface));
	put_number(w, SPEED, 100000000, 8);
	put_option(w, RESOLUTION, &nanoseconds, 1);
	if (boat->fcs)
		put_option(w, FCS_LENGTH, &fcs, 1);
	put_number(w, END_OF_OPTIONS, 0, 0);
	close_block(w);
	return w;
}

void sim_pcapng_frame(void *pcapng, const struct sim_frame *frame)
{
	struct sim_pcapng *w = pcapng;
	open_block(w, PACKET);
	put_le(w, 0, 4);
	put_time(w, frame->time);
	put_le(w, frame->captured, 4);
	put_le(w, frame->length, 4);
	put_padded(w, frame->at, frame->captured);
	if (frame->outbound || frame->damaged) {
		put_number(w, FLAGS, (frame->outbound ? OUTBOUND : INBOUND) |
			   (w->boat->fcs ? FCS_4 : 0u) |
			   (frame->damaged ? CRC_ERROR : 0u), 4);
		put_number(w, END_OF_OPTIONS, 0, 0);
	}
	close_block(w);
	w->frames++;
}

bool sim_pcapng_close(struct sim_pcapng *w, sim_time end)
{
	open_block(w, STATISTICS);
	put_le(w, 0, 4);
	put_time(w, end);
	put_time_option(w, STARTED, w->boat->start);
	put_time_option(w, ENDED, end);
	put_number(w, RECEIVED, w->frames, 8);
	put_number(w, DROPPED, 0, 8);
	put_number(w, END_OF_OPTIONS, 0, 0);
	close_block(w);
	const bool written = fflush(w->file) == 0 && !w->failed;
	free(w);
	return written;
}
