/* live.h -- frames from ports of this host, by libpcap on a libuv loop.
 *
 * Several ports are ears of one source. Frames come in batches as from a
 * file; what happens to the listening itself is said in order with them.
 * Nothing is ever sent but by fl_live_send().
 *
 *     live = fl_live_new(loop, &sink);
 *     fl_live_open(live, "eth1", 0, &error);     needs CAP_NET_RAW
 *     ... every privilege is dropped here ...
 *     fl_live_start(live);                       the first frame is read
 *
 * A port that is down, taken away or made anew ends nothing: it is bound
 * again on the descriptor that was opened, which needs no right. Until then
 * the ear is deaf, and said to be. So it is while the host slept, while it
 * has no link, and while the kernel dropped a tenth of all frames or more.
 *
 * Units   listening time: ns since 1970 as the wall clock stood when the
 *         live source was made, run on by CLOCK_BOOTTIME, so no setting of
 *         the wall clock moves it; FL_EAR_MOVED tells of each
 * Owns    its handles; the loop is the caller's, and must be run on until
 *         libuv has closed them. No function of it may be called from within
 *         the sink
 * Errors  of opening: FL_SYSTEM with EPERM (no right), ENODEV (no such port),
 *         ENETDOWN (not enabled); FL_UNSUPPORTED (not Ethernet)
 * Ceiling FL_LIVE_PORTS ports; a ring of FL_LIVE_RING octets each, less where
 *         the system gives less: the summary says
 */
#ifndef FL_SOURCE_LIVE_H
#define FL_SOURCE_LIVE_H

#include "base/error.h"
#include "event/frame.h"
#include "event/port.h"

#include <uv.h>

enum { FL_LIVE_PORTS = 8, FL_LIVE_RING = 64 << 20, FL_LIVE_CUT = 128 };

struct fl_live_port_summary {
	size_t   ring;               /* octets of the kernel's ring          */
	uint64_t frames;             /* handed over                          */
	uint64_t dropped;            /* by the kernel, for want of room      */
	uint64_t sent;               /* by fl_live_send()                    */
	uint32_t bound_anew;
};

struct fl_live;

struct fl_live *fl_live_new(uv_loop_t *loop, const struct fl_frame_sink *sink);
/* Before any port is opened: listening time begins at t or later. A wall clock
 * that stands before t is told at the start as one that was moved. */
void fl_live_not_before(struct fl_live *live, fl_time t);
/* Open one port as ear `ear`, by its own name; nothing is read yet. */
bool fl_live_open(struct fl_live *live, const char *port, uint16_t ear,
		  struct fl_error *error);
/* Say FL_EAR_OPENED and FL_EAR_SINCE of each ear, and begin to read. */
bool fl_live_start(struct fl_live *live, struct fl_error *error);
/* What the kernel tells of an ear's port: no link is deaf, another index is
 * to be bound. */
void fl_live_told(struct fl_live *live, uint16_t ear, const struct fl_port *port);
/* Hand over what lies in the rings, and read the drops. */
void fl_live_drain(struct fl_live *live);
/* Listening time of this moment. Also notices sleep and a moved clock. */
fl_time fl_live_now(struct fl_live *live);
/* Send one frame. The only function of fairlead that sends. */
bool fl_live_send(struct fl_live *live, uint16_t ear, const uint8_t *octets,
		  size_t n, struct fl_error *error);
/* The address of an ear's port itself; none: not known. */
struct fl_mac fl_live_mac(const struct fl_live *live, uint16_t ear);
const struct fl_live_port_summary *fl_live_summary(const struct fl_live *live,
						   uint16_t ear);
/* Drain, say FL_EAR_UNTIL and FL_EAR_CLOSED of each ear, close the handles. What
 * came in the last tenth of a second is in no ring yet, and UNTIL is before it.
 * Memory is free once the loop has run out of its handles: call fl_live_free()
 * then. Also right after a start that failed. */
void fl_live_stop(struct fl_live *live);
void fl_live_free(struct fl_live *live);

/* The filter in pcap-filter(7) syntax: what is kept whole. All else is cut to
 * FL_LIVE_CUT octets. */
extern const char fl_live_whole[];

#endif
