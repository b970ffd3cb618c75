/* pcapng.c -- blocks, grouped into sections that each begin anew.
 *
 *   type 4 | total length 4 | body, padded to 4 | total length 4 |...
 *
 * Source  draft-ietf-opsawg-pcapng, May 2026: section 3.1 (blocks), 4.1
 *         (sections), 4.3 and 4.4 (packets), appendix A (the obsolete packet)
 * Refuses a total length that is no multiple of 4, does not hold the block
 *         or is not repeated at its end; an interface that was not described;
 *         a captured length above the ceiling: then the next block cannot be
 *         found, or the frame not be placed
 * Passes  sections of another version, blocks of other types, options of a
 *         wrong length; each is counted
 */
#include "source/pcapng.h"

enum block {
	INTERFACE = 1, OLD_PACKET = 2, SIMPLE_PACKET = 3, STATISTICS = 5,
	PACKET = 6, SECTION = 0x0a0d0d0a,
};
enum {
	HEAD = 8, TAIL = 4, FRAMING = HEAD + TAIL,
	PACKET_HEAD   = 28,        /* up to the captured octets               */
	SECTION_LEAST = 28,        /* a section header without options        */
};
enum { MAGIC = 0x1a2b3c4d, CIGAM = 0x4d3c2b1a, MAJOR = 1 };
enum { UNKNOWN_DROPS = 0xffff };                   /* appendix A */

/* epb_flags, section 4.3.1. */
#define OUTBOUND(flags)   (((flags) & 3) == 2)
#define FCS_LENGTH(flags) ((uint8_t)((flags) >> 5 & 0xf))
#define ERRORS(flags)     ((flags) >> 24)

static const char cut[] =
	"draft-ietf-opsawg-pcapng section 3.1: the block is cut; "
	"as many octets as its total length says must be there";
static const char bad_total[] =
	"draft-ietf-opsawg-pcapng section 3.1: a total length must be a "
	"multiple of 4 and hold the block";
static const char bad_tail[] =
	"draft-ietf-opsawg-pcapng section 3.1: the total length must stand "
	"again at the end of the block";
static const char bad_magic[] =
	"draft-ietf-opsawg-pcapng section 4.1: the byte-order magic must be "
	"1a2b3c4d, in either order";
static const char bad_captured[] =
	"draft-ietf-opsawg-pcapng section 4.3: what was captured must lie "
	"within the block";
static const char no_interface[] =
	"draft-ietf-opsawg-pcapng section 4.3: the interface must be "
	"described before the packet, in the same section";
static const char above_ceiling[] =
	"draft-ietf-opsawg-pcapng section 4.3: a captured length above "
	"262144 octets is not read; no frame here is as long";
static const char too_long[] =
	"a block of a type that is read may have 1 MiB at most";

/* The block's body behind its first `head` octets. */
static inline struct fl_cursor body(const struct fl_capfile *f, uint32_t total,
				    size_t head)
{
	struct fl_cursor c = fl_cursor(f->octets.at, total - TAIL);
	fl_skip(&c, head);
	return c;
}

/* Section 4.3 and, with `old`, appendix A: there 16 bits of interface are
 * followed by 16 of drops. */
static inline enum fl_status read_packet(struct fl_capfile *f, uint32_t total,
					 bool big, bool old)
{
	if (total < PACKET_HEAD + TAIL)
		return fl_pcapng_refuse(f, bad_total);
	struct fl_cursor c = fl_cursor(f->octets.at, PACKET_HEAD);
	fl_skip(&c, HEAD);
	const uint32_t id = old ? fl_half(&c, big) : fl_word(&c, big);
	const uint16_t drops = old ? fl_half(&c, big) : UNKNOWN_DROPS;
	const uint64_t ticks = fl_stamp(&c, big);
	const uint32_t captured = fl_word(&c, big);
	const uint32_t length = fl_word(&c, big);
	c = body(f, total, PACKET_HEAD);
	const struct fl_slice data = fl_take(&c, captured);
	fl_skip(&c, -captured & 3);
	size_t ear;
	if (!fl_ok(&c))
		return fl_pcapng_refuse(f, bad_captured);
	if (captured > FL_CAPTURED_MAX)
		return fl_pcapng_refuse(f, above_ceiling);
	if (!fl_pcapng_ear(f, id, &ear))
		return fl_pcapng_refuse(f, no_interface);
	const fl_time time = fl_clock_time(&f->clock[ear], ticks);
	if (drops != UNKNOWN_DROPS)
		fl_pcapng_lost(f, ear, time, drops);
	const uint32_t flags = fl_left(&c)
		? fl_pcapng_packet_notes(f, fl_rest(&c), ear, time) : 0;
	struct fl_frame *frame = fl_walk_slot(f);
	*frame = (struct fl_frame){
		.time = time, .at = data.at, .captured = captured,
		.length = length, .link = f->interface[ear].link,
		.ear = (uint16_t)ear, .errors = (uint8_t)ERRORS(flags),
		.outbound = OUTBOUND(flags),
	};
	const uint8_t fcs = FCS_LENGTH(flags);
	fl_walk_keep(f, frame, fcs ? fcs : f->interface[ear].fcs);
	return FL_OK;
}

/* Section 4.4: interface 0, no stamp; the snap length tells how much of the
 * frame was captured. */
static enum fl_status read_simple(struct fl_capfile *f, uint32_t total)
{
	struct fl_cursor c = body(f, total, HEAD);
	const uint32_t length = fl_word(&c, f->big);
	size_t ear;
	if (!fl_pcapng_ear(f, 0, &ear))
		return fl_pcapng_refuse(f, no_interface);
	const struct fl_interface *i = &f->interface[ear];
	const uint32_t captured = i->snap && i->snap < length ? i->snap : length;
	const struct fl_slice data = fl_take(&c, captured);
	if (!fl_ok(&c))
		return fl_pcapng_refuse(f, bad_captured);
	if (captured > FL_CAPTURED_MAX)
		return fl_pcapng_refuse(f, above_ceiling);
	struct fl_frame *frame = fl_walk_slot(f);
	*frame = (struct fl_frame){
		.time = f->last, .at = data.at, .captured = captured,
		.length = length, .link = i->link, .ear = (uint16_t)ear,
		.untimed = true,
	};
	fl_walk_keep(f, frame, i->fcs);
	return FL_OK;
}

/* Whether the block's end repeats its total length. */
static inline bool framed(const struct fl_capfile *f, uint32_t total, bool big)
{
	struct fl_cursor c = fl_cursor(f->octets.at, total);
	fl_skip(&c, total - TAIL);
	return fl_word(&c, big) == total;
}

/* From here on the section's own byte order and interfaces hold. Version 1.2
 * is the same as 1.0; any other is skipped up to the next section. */
static void begin_section(struct fl_capfile *f, uint32_t total, bool big)
{
	struct fl_cursor c = body(f, total, HEAD + 4);
	const uint16_t major = fl_half(&c, big);
	const uint16_t minor = fl_half(&c, big);
	fl_skip(&c, 8);                            /* length, often unknown */
	if (f->section.number++ == 0)
		f->summary.swapped = big != FL_HOST_IS_BIG;
	f->big = big;
	f->section.first = f->summary.interfaces;
	f->section.unread = major != MAJOR || (minor != 0 && minor != 2);
	f->section.comment[0] = '\0';
	f->summary.sections_skipped += f->section.unread;
	if (!f->section.unread)
		fl_pcapng_section_notes(f, fl_rest(&c));
	fl_octets_pass(&f->octets, total);
}

/* Section 4.1. The magic tells the byte order of all that follows, even of
 * the length before it. */
static enum fl_status read_section(struct fl_capfile *f)
{
	if (!fl_walk_see(f, SECTION_LEAST))
		return fl_walk_stop(f, fl_walk_here(f), cut);
	struct fl_cursor c = fl_cursor(f->octets.at, SECTION_LEAST);
	fl_skip(&c, HEAD);
	const uint32_t magic = fl_u32(&c);
	if (magic != MAGIC && magic != CIGAM)
		return fl_pcapng_refuse(f, bad_magic);
	const bool big = magic == MAGIC;
	c = fl_cursor(f->octets.at, HEAD);
	fl_skip(&c, 4);
	const uint32_t total = fl_word(&c, big);
	if (total < SECTION_LEAST || total % 4)
		return fl_pcapng_refuse(f, bad_total);
	if (total > FL_WINDOW_LEAST)
		return fl_walk_refuse(f, fl_walk_here(f), FL_FULL, too_long);
	if (!fl_walk_see(f, total))
		return fl_walk_stop(f, fl_walk_here(f), cut);
	if (!framed(f, total, big))
		return fl_pcapng_refuse(f, bad_tail);
	begin_section(f, total, big);
	return FL_OK;
}

/* A block that is not read may be of any length. */
static enum fl_status pass_block(struct fl_capfile *f, uint32_t total, bool big)
{
	const uint64_t start = fl_walk_here(f);
	fl_walk_flush(f);
	if (!fl_octets_skip(&f->octets, total - TAIL) || !fl_walk_see(f, TAIL))
		return fl_walk_stop(f, start, cut);
	struct fl_cursor c = fl_cursor(f->octets.at, TAIL);
	if (fl_word(&c, big) != total)
		return fl_walk_refuse(f, start, FL_MALFORMED, bad_tail);
	f->summary.blocks_unknown += !f->section.unread;
	fl_octets_pass(&f->octets, TAIL);
	return FL_OK;
}

static bool is_read(uint32_t type)
{
	return type == PACKET || type == INTERFACE || type == STATISTICS ||
	       type == SIMPLE_PACKET || type == OLD_PACKET;
}

static inline enum fl_status read_body(struct fl_capfile *f, uint32_t type,
				       uint32_t total, bool big)
{
	switch (type) {
	case PACKET:        return read_packet(f, total, big, false);
	case OLD_PACKET:    return read_packet(f, total, big, true);
	case SIMPLE_PACKET: return read_simple(f, total);
	case INTERFACE:     return fl_pcapng_interface(f, body(f, total, HEAD));
	default:            return fl_pcapng_statistics(f, body(f, total, HEAD));
	}
}

static inline enum fl_status read_block(struct fl_capfile *f)
{
	const bool big = f->big;
	if (!fl_walk_see(f, FRAMING))
		return fl_walk_stop(f, fl_walk_here(f), cut);
	struct fl_cursor c = fl_cursor(f->octets.at, HEAD);
	const uint32_t type = fl_word(&c, big);
	const uint32_t total = fl_word(&c, big);
	if (type == SECTION)
		return read_section(f);
	if (total < FRAMING || total % 4)
		return fl_pcapng_refuse(f, bad_total);
	if (f->section.unread || !is_read(type))
		return pass_block(f, total, big);
	if (total > FL_WINDOW_LEAST)
		return fl_walk_refuse(f, fl_walk_here(f), FL_FULL, too_long);
	if (!fl_walk_see(f, total))
		return fl_walk_stop(f, fl_walk_here(f), cut);
	if (!framed(f, total, big))
		return fl_pcapng_refuse(f, bad_tail);
	const enum fl_status status = read_body(f, type, total, big);
	if (status == FL_OK)
		fl_octets_pass(&f->octets, total);
	return status;
}

enum fl_status fl_pcapng_walk(struct fl_capfile *f, size_t most)
{
	enum fl_status status = FL_OK;
	for (size_t i = 0; i < most && status == FL_OK; i++)
		status = read_block(f);
	return status;
}
