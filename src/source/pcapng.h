/* pcapng.h -- what the walker of blocks and the readers of options share. */
#ifndef FL_SOURCE_PCAPNG_H
#define FL_SOURCE_PCAPNG_H

#include "source/options.h"
#include "source/walk.h"

/* Refuse the block at hand: it breaks this rule. */
static inline enum fl_status fl_pcapng_refuse(struct fl_capfile *f,
					      const char *rule)
{
	return fl_walk_refuse(f, fl_walk_here(f), FL_MALFORMED, rule);
}

/* An interface of this section as an ear of the file; false: not described. */
static inline bool fl_pcapng_ear(const struct fl_capfile *f, uint32_t id,
				 size_t *ear)
{
	*ear = f->section.first + id;
	return id < f->summary.interfaces - f->section.first;
}

/* The bodies of the two blocks that describe, not carry, frames. */
enum fl_status fl_pcapng_interface(struct fl_capfile *file, struct fl_cursor c);
enum fl_status fl_pcapng_statistics(struct fl_capfile *file, struct fl_cursor c);
/* The options of a section header. */
void fl_pcapng_section_notes(struct fl_capfile *file, struct fl_slice options);
/* The options of a packet, said before its frame. Returns epb_flags, or 0. */
uint32_t fl_pcapng_packet_notes(struct fl_capfile *file, struct fl_slice options,
				size_t ear, fl_time time);
void fl_pcapng_lost(struct fl_capfile *file, size_t ear, fl_time time,
		    uint64_t more);

#endif
