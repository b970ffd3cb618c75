/* octets.h -- the octets of a capture, a window of them at a time.
 *
 *   source  |.......passed.......|#### window ####|.....not seen yet.....|
 *                       start ---^     ^--- at    ^--- end
 *
 * Memory is one window. Anything else, file or pipe, is read() in large
 * pieces into one buffer: a mapping of a file would have to answer SIGBUS
 * for the whole process when the file shrinks, and is slower besides, for
 * the system spends more on the pages of a mapping than on the copy, which
 * then lies in the processor's cache.
 *
 * Owns    the descriptor and the buffer; not memory given
 * Errors  `system` is the errno of the call that failed, else 0
 * Ceiling FL_WINDOW_LEAST octets can always be had in one window
 */
#ifndef FL_SOURCE_OCTETS_H
#define FL_SOURCE_OCTETS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { FL_WINDOW_LEAST = 1 << 20 };

struct fl_octets {
	const uint8_t *start, *at, *end;
	uint64_t offset;           /* of `start` within the source           */
	int      system;
	int      fd;               /* -1: memory                             */
	uint8_t *buffer;
};

/* From the descriptor's own position on. False, with `system`: not
 * readable; a directory is EISDIR. The descriptor is owned either way. */
bool fl_octets_open(struct fl_octets *octets, int fd);
void fl_octets_open_memory(struct fl_octets *octets, const void *at, size_t n);
void fl_octets_close(struct fl_octets *octets);

/* Slide the window until n octets from `at` lie in it; false: fewer are
 * left, or `system`. Pointers into the old window are dead after it. */
bool fl_octets_slide(struct fl_octets *octets, size_t n);
/* Pass n octets, in the window or not; false: fewer are left. Slides as
 * above. */
bool fl_octets_skip(struct fl_octets *octets, uint64_t n);

static inline size_t fl_octets_ahead(const struct fl_octets *o)
{
	return (size_t)(o->end - o->at);
}

/* Offset of `at` within the source. */
static inline uint64_t fl_octets_offset(const struct fl_octets *o)
{
	return o->offset + (uint64_t)(o->at - o->start);
}

/* Step over n octets of the window. */
static inline void fl_octets_pass(struct fl_octets *o, size_t n)
{
	o->at += n;
}

#endif
