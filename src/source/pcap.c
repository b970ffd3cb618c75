/* pcap.c -- the classic format: one header, then record after record.
 *
 *   magic 4 | major 2 | minor 2 | reserved 8 | snap 4 | link word 4 |
 *   seconds 4 | fraction 4 | captured 4 | length 4 | octets, not padded |...
 *
 * Source  draft-ietf-opsawg-pcap, May 2026. Its section 4.1 names the byte
 *         orders the wrong way round and misspells a magic; the definition
 *         of the field in section 4 decides.
 * Refuses a version other than 2.0 to 2.4, a captured length above the
 *         ceiling. The reserved bits of the link word are passed over.
 */
#include "source/walk.h"

enum { FILE_HEADER = 24, RECORD_HEADER = 16 };
enum { MAJOR = 2, MINOR = 4 };
enum { LINK = 0xffff };

#define FCS_KNOWN(word) ((word) >> 26 & 1)
#define FCS_PAIRS(word) ((word) >> 28)           /* of octets */

static const char bad_version[] =
	"draft-ietf-opsawg-pcap section 4: the version must be 2.0 to 2.4";
static const char cut_header[] =
	"draft-ietf-opsawg-pcap section 4: the file header is cut; it has 24 "
	"octets";
static const char cut_record[] =
	"draft-ietf-opsawg-pcap section 5: the record is cut; 16 octets of "
	"header and all that it captured must be there";
static const char above_ceiling[] =
	"draft-ietf-opsawg-pcap section 5: a captured length above 262144 "
	"octets is not read; no frame here is as long";

/* The stamp fits: 2^32 s and 2^32 us are less than 2^63 ns. */
static enum fl_status walk_records(struct fl_capfile *f, size_t most)
{
	const struct fl_interface *interface = f->interface;
	const bool big = f->big;
	for (size_t i = 0; i < most; i++) {
		if (!fl_walk_see(f, RECORD_HEADER))
			return fl_walk_stop(f, fl_walk_here(f), cut_record);
		struct fl_cursor c = fl_cursor(f->octets.at, RECORD_HEADER);
		const uint32_t seconds = fl_word(&c, big);
		const uint32_t fraction = fl_word(&c, big);
		const uint32_t captured = fl_word(&c, big);
		const uint32_t length = fl_word(&c, big);
		if (captured > FL_CAPTURED_MAX)
			return fl_walk_refuse(f, fl_walk_here(f), FL_MALFORMED,
					      above_ceiling);
		const size_t whole = RECORD_HEADER + captured;
		if (!fl_walk_see(f, whole))
			return fl_walk_stop(f, fl_walk_here(f), cut_record);
		c = fl_cursor(f->octets.at, whole);
		fl_skip(&c, RECORD_HEADER);
		struct fl_frame *frame = fl_walk_slot(f);
		*frame = (struct fl_frame){
			.time = seconds * FL_SECOND +
				fl_clock_time(f->clock, fraction),
			.at = fl_rest(&c).at, .captured = captured,
			.length = length, .link = interface->link,
		};
		fl_walk_keep(f, frame, interface->fcs);
		fl_octets_pass(&f->octets, whole);
	}
	return FL_OK;
}

enum fl_status fl_pcap_begin(struct fl_capfile *f, size_t most)
{
	if (!fl_walk_see(f, FILE_HEADER))
		return fl_walk_stop(f, fl_walk_here(f), cut_header);
	struct fl_cursor c = fl_cursor(f->octets.at, FILE_HEADER);
	fl_skip(&c, 4);                                  /* magic */
	const uint16_t major = fl_half(&c, f->big);
	const uint16_t minor = fl_half(&c, f->big);
	if (major != MAJOR || minor > MINOR)
		return fl_walk_refuse(f, fl_walk_here(f), FL_UNSUPPORTED,
				      bad_version);
	fl_skip(&c, 8);                                  /* reserved */
	struct fl_interface i = { .snap = fl_word(&c, f->big) };
	const uint32_t word = fl_word(&c, f->big);
	i.link = word & LINK;
	i.fcs = (uint8_t)(FCS_KNOWN(word) ? 2 * FCS_PAIRS(word) : 0);
	i.section = 1;
	f->summary.swapped = f->big != FL_HOST_IS_BIG;
	(void)fl_walk_describe(f, &i, f->resolution);
	fl_octets_pass(&f->octets, FILE_HEADER);
	fl_walk_say(f, &(struct fl_ear_event){ .news = FL_EAR_OPENED,
					       .link = i.link, .name = "" });
	f->walk = walk_records;
	return walk_records(f, most);
}
