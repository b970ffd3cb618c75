/* inner.h -- what the files of tally/ share, and nobody else. */
#ifndef FL_TALLY_INNER_H
#define FL_TALLY_INNER_H

#include "base/table.h"
#include "base/text.h"
#include "decode/decode.h"
#include "tally/tally.h"

enum { RING = 4, SAMPLES = 32, BUCKETS = 26 };
/* numbers.c; judgement. So many steps of one in a row are a row of numbers, so
 * many identifications a dense one; so many misfits are none. */
enum { NUMBERS_EACH = 4, RUN_ENOUGH = 8, DENSE = 16, MISFITS_MAX = 64 };
enum { RUNS_OFF = UINT8_MAX };

struct stream_key {
	uint16_t      ear, vlan;
	struct fl_mac mac, group;
	uint16_t      port, type;       /* UDP target port; ethertype        */
	uint8_t       protocol, kind;   /* IP protocol; enum fl_stream_kind  */
	uint8_t       zero[2];          /* so that no octet is left unset    */
};

struct stream {
	struct stream_key key;
	/* the hot line: what every frame touches */
	fl_time  last, second_end;
	uint32_t frames_in_second, sum;
	uint32_t minute_frames, minute_octets;
	uint32_t station;
	bool     twin, unasked, told;
	bool     rows_open;             /* numbers.c: it has rows            */
	uint16_t identification;        /* of its last frame                 */
	uint8_t  runs_on;               /* ... up by one so often, or OFF    */
	uint8_t  misfits;
	uint32_t ran_on;                /* this minute, once it is dense     */
	/* touched once a second */
	uint32_t entry;                 /* in its second's list              */
	fl_time  claim_due;
	struct fl_ip from;
	/* gaps between frames, microseconds */
	uint32_t gap_count, gap_longest, samples;
	uint32_t sample[SAMPLES];
	uint32_t bucket[BUCKETS];       /* by power of two, for the 99th     */
	uint64_t frames;
};

/* One row of numbers of a stream. */
struct numbers {
	uint64_t key;
	bool     used, counts_loss;
	uint8_t  run;                   /* steps of one in a row, to enough  */
	uint8_t  misfits;
	uint32_t size;                  /* how many numbers, 0: 2^32         */
	uint32_t last;                  /* the highest, on its way round     */
	uint32_t holes;                 /* bit i: last - 1 - i is missing    */
	fl_time  at;                    /* of `last`                         */
	uint32_t received, missed;      /* this minute                       */
};

struct station_key {
	uint16_t      ear;
	struct fl_mac mac;
};

struct station {
	struct station_key key;
	fl_time  last;
	fl_time  limit;                 /* a longer gap is told as an edge   */
	uint32_t limit_stream;
	uint32_t streams;
	uint64_t frames;
};

struct second {
	struct fl_heard *heard;
	size_t   n, room;
	uint32_t frames, group_frames, repeats, own, errors, checked, crowd;
	uint64_t octets;
};

struct ear {
	bool     used, listens;
	fl_time  since;                  /* it listens                       */
	fl_time  deaf_from;              /* 0: it hears                      */
	char     deaf_why[FL_TEXT_MAX + 1];
	char     name[64];
	struct fl_mac own;
	struct second ring[RING];
};

struct said_key {
	struct fl_mac mac;
	uint8_t  kind, aspect;
	uint64_t value;
};

struct said {
	struct said_key key;
	fl_time  last;
	uint32_t count;
};

struct fl_tally {
	struct fl_observer observer;
	const char *name, *place;
	struct fl_log_words log_words;   /* the user's */
	struct fl_tally_counts counts;
	struct ear  ears[FL_TALLY_EARS];
	size_t      ear_count;
	struct fl_table streams, stations, said;
	struct fl_minute_row *rows;
	struct numbers *numbers;         /* NUMBERS_EACH a stream             */
	size_t      stream_hand, station_hand;   /* of the turning over      */
	int64_t     counted;             /* second that the next two are of  */
	uint32_t    new_this_second, said_this_second;
	/* What was said in each open second waits until that one is told, so
	 * that the order does not hang on when time was promised. */
	struct fl_kept_observation *waiting[RING], **waiting_end[RING];
	bool        started, ended, live;
	int64_t     second;              /* the next one to tell             */
	fl_time     minute_from;
	fl_time     high;                /* newest listening time            */
	fl_time     since, until;        /* listened, as the source tells    */
	int64_t     offset;              /* listening time less wall clock   */
	unsigned    low;                 /* frames in a row far below `high` */
	uint64_t    order;
	struct fl_facts facts;
};

/* frames.c */
void fl_tally_take_frames(void *context, const struct fl_frame *frames, size_t n);
/* tally.c: the listening time of a stamp; afterwards its second is open. */
fl_time fl_tally_move_on(struct fl_tally *tally, fl_time stamp);
void fl_tally_begin_to_listen(struct fl_tally *tally, size_t ear, fl_time t);
void fl_tally_tell_deaf(struct fl_tally *tally, size_t ear, fl_time to);
/* Tell now, or with the second in which it lies. */
void fl_tally_tell(struct fl_tally *tally, struct fl_observation *o);
void fl_tally_tell_later(struct fl_tally *tally, const struct fl_observation *o);
/* Tell what waits for this second. */
void fl_tally_tell_waiting(struct fl_tally *tally, int64_t second);
/* streams.c: the stream of a packet, NULL where none is kept. */
struct stream *fl_tally_stream(struct fl_tally *tally, uint16_t ear,
			       const struct fl_packet *packet, fl_time t);
struct station *fl_tally_station(struct fl_tally *tally, struct stream *s);
/* A new frame of `s`, `gap` ns after the one before. */
void fl_tally_gap(struct fl_tally *tally, struct stream *s, fl_time gap);
/* numbers.c: the numbers that a frame carries; before its stream counts it. */
void fl_tally_number(struct fl_tally *tally, struct stream *s,
		     const struct fl_facts *facts, fl_time t);
/* Only where s->runs_on is not RUNS_OFF. */
void fl_tally_identify(struct stream *s, uint16_t identification, fl_time t);
/* Give out this minute's, and count anew; and forget those of this entry. */
void fl_tally_numbers_told(struct fl_tally *tally, struct stream *s,
			   struct fl_minute_row *row);
void fl_tally_numbers_forget(struct fl_tally *tally, struct stream *s);
/* seconds.c */
void fl_tally_enter(struct fl_tally *tally, struct ear *ear, struct stream *s,
		    fl_time t);
struct second *fl_tally_second(struct fl_tally *tally, struct ear *ear, fl_time t);
/* Tell every second that ends at or before t; with `last`, also the rest of
 * the one in which t lies. */
void fl_tally_tell_seconds(struct fl_tally *tally, fl_time t, bool last);
/* said.c */
void fl_tally_say(struct fl_tally *tally, uint16_t ear, fl_time t,
		  const struct fl_packet *packet, const struct fl_facts *facts);
void fl_tally_say_claim(struct fl_tally *tally, uint16_t ear, fl_time t,
			struct fl_mac mac, struct fl_ip ip);

#endif
