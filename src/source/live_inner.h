/* live_inner.h -- a live source from within: for src/source/live*.c alone. */
#ifndef FL_SOURCE_LIVE_INNER_H
#define FL_SOURCE_LIVE_INNER_H

#include "source/live.h"
#include "source/live_clock.h"

#include <pcap/pcap.h>

enum { FL_LIVE_BATCH = 256, FL_LIVE_ROOM = 256 << 10, FL_LIVE_NAME = 16 };

/* Why an ear cannot hear; several may hold at once. */
enum fl_live_deaf {
#define DEAFNESS(id, words) FL_LIVE_##id,
#include "event/deafness.def"
#undef DEAFNESS
	FL_LIVE_REASONS,
};

struct fl_live_ear {
	struct fl_live *live;
	pcap_t  *pcap;               /* NULL: closed                          */
	uint16_t number;
	char     name[FL_LIVE_NAME];
	struct fl_mac mac;
	fl_time  opened, looked;     /* looked: for drops, last               */
	unsigned deaf;               /* a bit of each enum fl_live_deaf       */
	struct fl_live_turn turn;
	bool       polled;           /* the next two are the loop's           */
	uv_poll_t  poll;
	uv_timer_t again;            /* after the poll was ended by an error  */
	struct fl_live_port_summary summary;
};

struct fl_live {
	uv_loop_t *loop;
	struct fl_frame_sink sink;
	struct fl_live_clock clock;
	fl_time  awake;              /* since then, if it ever slept          */
	fl_time  behind;             /* the wall clock, at the start          */
	bool     started;
	size_t   ear_count;
	struct fl_live_ear ears[FL_LIVE_PORTS];
	size_t   n, filled;          /* of `batch`, of `room`                 */
	struct fl_frame batch[FL_LIVE_BATCH];
	uint8_t  room[FL_LIVE_ROOM];
};

/* live.c */
void fl_live_say(struct fl_live_ear *ear, const struct fl_ear_event *event);
/* live_deaf.c: from `t` on a reason holds, or no longer does. What is said
 * before the start is said at it. */
void fl_live_deafen(struct fl_live_ear *ear, enum fl_live_deaf why, bool holds,
		    fl_time t);
/* Ask the kernel for its drops since the last look. */
void fl_live_look(struct fl_live_ear *ear);
/* live_clocks.c: read the clocks and say what became of them; listening time. */
void fl_live_start_clocks(struct fl_live *live);
fl_time fl_live_read_clocks(struct fl_live *live);
/* live_take.c: hand over up to `most` batches of what lies in an ear's ring. */
void fl_live_take(struct fl_live_ear *ear, int most);
/* live_bind.c: the port's address into ear->mac; the index that it is bound
 * to, -1 none. */
int fl_live_bound(struct fl_live_ear *ear);
bool fl_live_bind(struct fl_live_ear *ear, int index);
/* Octets of a descriptor's mapped ring; 0: not found. */
size_t fl_live_ring(int fd);

#endif
