/* walk.h -- what the readers of the two formats share; capfile.c owns it.
 *
 * The window's `at` stays at the start of a record until the whole record
 * was taken, so every refusal can say where that record begins.
 */
#ifndef FL_SOURCE_WALK_H
#define FL_SOURCE_WALK_H

#include "base/text.h"
#include "source/capfile.h"
#include "source/number.h"
#include "source/octets.h"
#include "source/stamp.h"

enum {
	FL_CAPTURED_MAX = 256 << 10,   /* octets captured of one frame        */
	FL_FCS          = 4,           /* IEEE Std 802.3 section 3.2.9        */
};

/* Look at no more than `most` records. */
typedef enum fl_status fl_walk_fn(struct fl_capfile *file, size_t most);

struct fl_capfile {
	struct fl_octets octets;
	fl_walk_fn      *walk;
	enum fl_status   ended;        /* FL_OK while there may be more       */
	bool             big;          /* byte order of the section           */
	fl_time          last;         /* stamp seen last                     */
	struct fl_frame_sink sink;
	struct fl_frame  batch[FL_BATCH_MAX];
	size_t           batched;
	struct fl_interface *interface;          /* summary.interfaces of    */
	struct fl_clock     *clock;              /* each, FL_INTERFACES_MAX  */
	struct fl_capfile_summary summary;
	char             name[sizeof ((struct fl_error *)0)->subject];
	struct {
		uint32_t number;       /* 1 the first                         */
		size_t   first;        /* its interface 0                     */
		bool     unread;       /* of a version that is not read       */
		char     comment[FL_TEXT_MAX + 1];
	} section;
	uint8_t          resolution;   /* of classic pcap's fractions         */
};

fl_walk_fn fl_pcap_begin, fl_pcapng_walk;

/* Whether frames of this link type are pushed. */
bool fl_link_is_read(uint16_t link);

/* Record why reading ends; `offset` is where the record at fault begins.
 * Returns `status`. */
enum fl_status fl_walk_refuse(struct fl_capfile *file, uint64_t offset,
			      enum fl_status status, const char *rule);
/* The same where octets ran out within the record that begins at `offset`:
 * FL_END if not one octet of it was there. */
enum fl_status fl_walk_stop(struct fl_capfile *file, uint64_t offset,
			    const char *rule);
/* Push what is pending. */
void fl_walk_flush(struct fl_capfile *file);
/* Push what is pending, then this. */
void fl_walk_say(struct fl_capfile *file, const struct fl_ear_event *event);
/* Add an interface; false: there are FL_INTERFACES_MAX. The caller says
 * FL_EAR_OPENED. */
bool fl_walk_describe(struct fl_capfile *file, const struct fl_interface *i,
		      uint8_t resolution);
bool fl_walk_slide(struct fl_capfile *file, size_t n);
/* Check and take off a frame check sequence of `fcs` octets. */
void fl_walk_strip(struct fl_capfile *file, struct fl_frame *frame, uint8_t fcs);

/* Whether n octets of the record lie in the window; may push and slide. */
static inline bool fl_walk_see(struct fl_capfile *f, size_t n)
{
	return fl_octets_ahead(&f->octets) >= n || fl_walk_slide(f, n);
}

/* Where the record begins. */
static inline uint64_t fl_walk_here(const struct fl_capfile *f)
{
	return fl_octets_offset(&f->octets);
}

/* Where the next frame of the batch goes. It is filled in place: a copy of
 * a frame just written would wait for its narrow stores. */
static inline struct fl_frame *fl_walk_slot(struct fl_capfile *f)
{
	return &f->batch[f->batched];
}

/* Take the frame in the slot into the batch. */
static inline void fl_walk_keep(struct fl_capfile *f, struct fl_frame *frame,
				uint8_t fcs)
{
	/* Section 5 of the pcap draft, 4.3 of the pcapng draft: a reader may
	 * raise an original length that is below the captured one. */
	if (frame->length < frame->captured)
		frame->length = frame->captured;
	f->last = frame->time;
	f->batched++;
	if (fcs && frame->link == FL_LINK_ETHERNET)
		fl_walk_strip(f, frame, fcs);
}

#endif
