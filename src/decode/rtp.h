/* rtp.h -- the header of one RTP packet. */
#ifndef FL_DECODE_RTP_H
#define FL_DECODE_RTP_H

#include "decode/decode.h"

struct fl_rtp {
	bool     marker;
	uint8_t  type;               /* of its payload             */
	uint8_t  contributors;
	uint16_t sequence;
	uint32_t timestamp, source;  /* SSRC                       */
	bool     extended;
	uint8_t  padding;            /* octets at the end, 0: none */
};

/* Read the header, and what can be seen of the rest: `cut` says that octets
 * at the end were not captured. Returns c->status. */
enum fl_status fl_rtp_read(struct fl_cursor *c, bool cut, struct fl_rtp *rtp);

#endif
