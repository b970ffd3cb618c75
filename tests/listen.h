/* listen.h -- a simulated boat's frames straight into a tally, for tests. */
#ifndef FL_TESTS_LISTEN_H
#define FL_TESTS_LISTEN_H

#include "tally/tally.h"

#include <sim.h>

struct listening { struct fl_frame_sink sink; };

static inline void listen_frame(void *context, const struct sim_frame *f)
{
	const struct listening *l = context;
	const struct fl_frame frame = {
		.time = f->time, .at = f->at, .captured = f->captured,
		.length = f->length, .link = FL_LINK_ETHERNET,
		.errors = f->damaged ? FL_ERROR_CRC : 0, .outbound = f->outbound,
	};
	l->sink.frames(l->sink.context, &frame, 1);
}

/* Run the boat and tell `observer` all of it. False: no memory. */
static inline bool listen_to(struct sim_boat *boat, double seconds, uint64_t seed,
			     struct fl_observer observer)
{
	struct fl_tally *tally = fl_tally_new("sim", NULL, observer);
	if (!tally)
		return false;
	struct listening l = { fl_tally_sink(tally) };
	l.sink.ear(l.sink.context, &(struct fl_ear_event){
		.news = FL_EAR_OPENED, .link = FL_LINK_ETHERNET, .name = "eth0" });
	l.sink.ear(l.sink.context, &(struct fl_ear_event){
		.news = FL_EAR_SINCE, .time = sim_start(boat), .name = "" });
	const sim_time end = sim_run(boat, seconds, seed,
				     &(struct sim_sink){ &l, listen_frame });
	l.sink.ear(l.sink.context, &(struct fl_ear_event){
		.news = FL_EAR_UNTIL, .time = end, .name = "" });
	fl_tally_end(tally);
	fl_tally_free(tally);
	return true;
}

#endif
