/* frame.h -- frames as a source hands them over, and what it says of ears.
 *
 * Shapes  a batch is an array of frames; all of one batch lie in the order of
 *         the source, which is nearly the order of time
 * Units   time in ns since 1970 as stamped; lengths in octets
 * Owns    nothing: the octets die when the sink's function returns
 */
#ifndef FL_EVENT_FRAME_H
#define FL_EVENT_FRAME_H

#include "base/address.h"
#include "base/time.h"

/* Link-layer header types (draft-ietf-opsawg-pcaplinktype): the ones read. */
enum fl_link {
	FL_LINK_ETHERNET = 1,
	FL_LINK_COOKED   = 113,   /* Linux "any" device, version 1 */
	FL_LINK_COOKED2  = 276,   /* version 2                     */
};

/* What was wrong with a frame: the link-layer bits 24 to 31 of epb_flags
 * (draft-ietf-opsawg-pcapng section 4.3.1), moved down to bits 0 to 7. */
enum fl_frame_error {
	FL_ERROR_CRC       = 1 << 0,
	FL_ERROR_TOO_LONG  = 1 << 1,
	FL_ERROR_TOO_SHORT = 1 << 2,
	FL_ERROR_GAP       = 1 << 3,   /* wrong inter-frame gap       */
	FL_ERROR_UNALIGNED = 1 << 4,
	FL_ERROR_DELIMITER = 1 << 5,   /* start frame delimiter       */
	FL_ERROR_PREAMBLE  = 1 << 6,
	FL_ERROR_SYMBOL    = 1 << 7,
};

struct fl_frame {
	fl_time        time;
	const uint8_t *at;
	uint32_t       captured;   /* octets at `at`, any FCS left out          */
	uint32_t       length;     /* octets on the wire, any FCS left out      */
	uint16_t       link;       /* enum fl_link                              */
	uint16_t       ear;        /* number of the ear within its source       */
	uint8_t        errors;     /* enum fl_frame_error; CRC also where the
				    * FCS was captured and does not hold        */
	bool           fcs_checked; /* an FCS was captured whole and computed   */
	bool           outbound;   /* sent by the host that captured            */
	bool           untimed;    /* no stamp: `time` is the last one seen     */
};

/* What a source says of an ear, in order with the frames. */
enum fl_ear_news {
	FL_EAR_OPENED,    /* an interface was described                        */
	FL_EAR_SINCE,     /* it listened since `time`, whatever was heard      */
	FL_EAR_UNTIL,     /* it listened until `time`, whatever was heard      */
	FL_EAR_LOST,      /* `count` frames were dropped by the capturing host */
	FL_EAR_COMMENT,   /* somebody wrote `name` into the file at `time`     */
	FL_EAR_DEAFENED,  /* from `time` on it cannot hear; `name` says why    */
	FL_EAR_HEARS,     /* from `time` on it can again                       */
	FL_EAR_MOVED,     /* the wall clock was set by `amount` ns at `time`;
			   * the stamps of this source do not show it          */
	FL_EAR_CLOSED,    /* nothing more will come                            */
};

struct fl_ear_event {
	enum fl_ear_news news;
	uint16_t    ear;
	uint16_t    link;          /* OPENED: the link type, also unread ones  */
	fl_time     time;          /* 0 where the source gives none            */
	uint64_t    count;         /* LOST                                     */
	int64_t     amount;        /* MOVED                                    */
	uint64_t    bits_a_second; /* OPENED: speed of the port, 0 unknown     */
	struct fl_mac mac;         /* OPENED: of the port itself, none unknown */
	const char *name;          /* cleaned text, "" if none                 */
};

struct fl_frame_sink {
	void *context;
	void (*frames)(void *context, const struct fl_frame *frames, size_t n);
	void (*ear)(void *context, const struct fl_ear_event *event);
};

#endif
