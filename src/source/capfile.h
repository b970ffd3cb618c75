/* capfile.h -- frames out of a capture file, a pipe or standard input.
 *
 * Source  draft-ietf-opsawg-pcap and draft-ietf-opsawg-pcapng, May 2026
 *
 * One walker pushes batches of frames, and what the file says of its
 * interfaces, into a sink, in the order of the file. Files and pipes alike
 * are read() in large pieces; a file that grows or shrinks meanwhile is read
 * to where it ends. Interfaces of all sections are numbered on from 0 as ears
 * of this source.
 *
 *     struct fl_capfile *file = fl_capfile_open(path, &sink, &error);
 *     while (fl_capfile_pump(file, 256) == FL_OK)
 *             ;
 *     ... fl_capfile_summary(file) tells what was read, cut or skipped
 *     fl_capfile_close(file);
 *
 * Errors  a file that is cut, or whose record breaks its rule, gives all
 *         whole records before it; the error then says offset and rule
 * Ceiling FL_INTERFACES_MAX interfaces; a captured length of 256 KiB a record
 *         (larger than any frame the link types here can carry)
 */
#ifndef FL_SOURCE_CAPFILE_H
#define FL_SOURCE_CAPFILE_H

#include "base/error.h"
#include "event/frame.h"

enum { FL_INTERFACES_MAX = 1024, FL_BATCH_MAX = 256 };

struct fl_capfile;

/* One interface as the file describes it; classic pcap has exactly one. */
struct fl_interface {
	uint16_t link;            /* LINKTYPE as stored, also unread ones    */
	uint32_t snap;            /* 0: no limit                             */
	uint64_t ticks_a_second;  /* of its time stamps                      */
	int64_t  offset_seconds;  /* added to every stamp                    */
	uint8_t  fcs;             /* octets of FCS at each frame's end       */
	uint32_t section;         /* 1 the first                             */
	uint64_t frames;          /* read, whatever the link type            */
	uint64_t lost;            /* drops told by statistics and frames     */
	char     name[64];        /* cleaned if_name, "" if none             */
};

struct fl_capfile_summary {
	bool     pcapng;
	bool     swapped;         /* first section not in this host's order  */
	uint64_t octets;          /* of the file, read so far                */
	uint64_t frames;          /* of link types that are read             */
	uint64_t skipped;         /* of other link types: counted, not pushed */
	uint64_t untimed;         /* simple packet blocks: no stamp          */
	uint64_t cut_short;       /* captured fewer octets than on the wire  */
	uint64_t fcs_checked, fcs_bad;
	uint64_t blocks_unknown;  /* pcapng blocks of types not read         */
	uint64_t sections_skipped; /* of a version that is not read          */
	uint64_t options_bad;     /* pcapng options of a wrong length, unread */
	size_t   interfaces;
	const struct fl_interface *interface;   /* borrowed, until close     */
	struct fl_error error;    /* FL_OK: read to its end                  */
};

/* Open `path`; "-" is standard input. NULL and *error: not there, not
 * readable, a directory, empty, or neither format (its first octets tell).
 * The sink is copied; its context must outlive the file. */
struct fl_capfile *fl_capfile_open(const char *path,
				   const struct fl_frame_sink *sink,
				   struct fl_error *error);
/* The same over an open descriptor, which the file then owns. `name` is for
 * messages. */
struct fl_capfile *fl_capfile_open_fd(int fd, const char *name,
				      const struct fl_frame_sink *sink,
				      struct fl_error *error);
/* The same over n octets in memory, borrowed (tests and fuzzing). */
struct fl_capfile *fl_capfile_open_memory(const void *octets, size_t n,
					  const char *name,
					  const struct fl_frame_sink *sink,
					  struct fl_error *error);
/* Push the next batch: look at no more than `most` records, which may give
 * fewer frames, even none; one call may push several short batches, none
 * of more than FL_BATCH_MAX. FL_OK: there may be more; FL_END: read to the
 * end, every ear closed; else what broke, every whole record before it pushed
 * and every ear closed. Called again it says the same. */
enum fl_status fl_capfile_pump(struct fl_capfile *file, size_t most);
const struct fl_capfile_summary *fl_capfile_summary(const struct fl_capfile *file);
void fl_capfile_close(struct fl_capfile *file);

/* "Ethernet" and so on for a LINKTYPE; "link type" where no name is known. */
const char *fl_link_name(uint16_t link);

#endif
