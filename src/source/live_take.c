/* live_take.c -- frames out of the rings, in batches.
 *
 * libpcap hands a block of its ring back to the kernel with the last frame of
 * it, in the midst of a batch. So a batch is copied; most of it was cut short
 * by the filter, and what is copied is read next.
 *
 * Ceiling FL_LIVE_BATCH frames and FL_LIVE_ROOM octets a batch
 */
#include "source/live_inner.h"

#include <string.h>

/* What was in the ring when the host fell asleep comes after it was said that
 * the ear could not hear then: it is left out, for the order of time. */
static void hand_over(struct fl_live_ear *ear)
{
	struct fl_live *live = ear->live;
	size_t kept = 0;
	(void)fl_live_read_clocks(live);
	for (size_t i = 0; i < live->n; i++) {
		struct fl_frame *f = &live->batch[i];
		f->time = fl_live_clock_place(&live->clock, &ear->turn, f->time);
		if (f->time >= live->awake)
			live->batch[kept++] = *f;
	}
	live->n = live->filled = 0;
	ear->summary.frames += kept;
	if (kept)
		live->sink.frames(live->sink.context, live->batch, kept);
}

static bool is_own(const struct fl_live_ear *ear, const uint8_t *octets, size_t n)
{
	enum { SENDER = 6 };         /* IEEE Std 802.3 section 3.2 */
	return n >= SENDER + sizeof ear->mac.b && !fl_mac_is_none(ear->mac) &&
	       memcmp(octets + SENDER, ear->mac.b, sizeof ear->mac.b) == 0;
}

static void gather(u_char *context, const struct pcap_pkthdr *header,
		   const u_char *octets)
{
	struct fl_live_ear *ear = (void *)context;
	struct fl_live *live = ear->live;
	const size_t n = header->caplen < FL_LIVE_ROOM ? header->caplen
						       : FL_LIVE_ROOM;
	if (live->n == FL_LIVE_BATCH || n > FL_LIVE_ROOM - live->filled)
		hand_over(ear);
	uint8_t *at = live->room + live->filled;
	memcpy(at, octets, n);
	live->filled += n;
	live->batch[live->n++] = (struct fl_frame){
		/* tv_usec holds nanoseconds: pcap_set_tstamp_precision(3PCAP) */
		.time = (fl_time)header->ts.tv_sec * FL_SECOND + header->ts.tv_usec,
		.at = at, .captured = (uint32_t)n, .length = header->len,
		.link = FL_LINK_ETHERNET, .ear = ear->number,
		.outbound = is_own(ear, octets, n),
	};
}

/* An error of libpcap's ends nothing: the port is down or gone, of which the
 * ear is told in its own way, and asking has cleared it. It is answered only
 * when the ring is empty. */
void fl_live_take(struct fl_live_ear *ear, int most)
{
	struct fl_live *live = ear->live;
	const fl_time began = fl_live_read_clocks(live);
	int n = 1;
	while (n > 0 && most-- > 0) {
		n = pcap_dispatch(ear->pcap, FL_LIVE_BATCH, gather, (void *)ear);
		hand_over(ear);
	}
	if (n <= 0)
		fl_live_clock_drained(&live->clock, &ear->turn, began);
}
