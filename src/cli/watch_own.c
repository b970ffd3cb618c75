/* watch_own.c -- what is to be said of the listening itself: the kernel overran
 * us, a port was made anew, the visit's disk takes nothing; and how it stands,
 * for whoever asks by a signal.
 */
#include "cli/watching.h"

#include <inttypes.h>

/* ---- noticed each second ---- */

static void say(struct watch *w, const char *sentence)
{
	fl_events_say(w->events, fl_live_now(w->live), sentence);
}

static void notice_ports(struct watch *w)
{
	struct own *o = &w->own;
	char sentence[FL_TEXT_MAX];
	const uint32_t overruns = fl_ports_overruns(w->ports);
	if (overruns > o->overruns)
		say(w, "the kernel told more of ports than could be taken: all were read anew.");
	o->overruns = overruns;
	for (size_t i = 0; i < w->order->port_count; i++) {
		const struct fl_live_port_summary *s = fl_live_summary(w->live, w->ears[i]);
		if (s->bound_anew > o->bound_anew[i]) {
			(void)snprintf(sentence, sizeof sentence, "%s was made anew and is "
				"listened at again.", w->order->ports[i]);
			say(w, sentence);
		}
		o->bound_anew[i] = s->bound_anew;
	}
}

/* Lines that wait for a disk may all be kept in the end; only some are lost
 * for good, when the queue is full. */
static void notice_visit(struct watch *w)
{
	struct own *o = &w->own;
	const uint64_t lost = w->visit ? fl_visit_lost(w->visit) : 0;
	if (lost && !o->unkept)
		say(w, "the visit cannot be written: make room where it is kept.");
	if (!lost && o->unkept)
		say(w, "the visit is written again, and whole.");
	o->unkept = lost > 0;
	(void)snprintf(o->status, sizeof o->status, "THE VISIT IS NOT KEPT WHOLE: %" PRIu64
		       " lines of it wait for room on its disk or are lost.", lost);
}

void fl_watch_notice(struct watch *w)
{
	notice_ports(w);
	notice_visit(w);
}

const char *fl_watch_status(const struct watch *w)
{
	return w->own.unkept ? w->own.status : NULL;
}

/* ---- asked for ---- */

static uint64_t sent(const struct watch *w)
{
	uint64_t n = 0;
	for (size_t i = 0; i < w->order->port_count; i++)
		n += fl_live_summary(w->live, w->ears[i])->sent;
	return n;
}

/* Between the lines of a screen nothing may be written. */
void fl_watch_say_state(struct watch *w)
{
	char text[1024], length[FL_TIME_TEXT], kept[64] = "";
	const fl_time now = fl_live_now(w->live);
	if (w->visit)
		(void)snprintf(kept, sizeof kept, ", %" PRIu64 " observations in the visit",
			       fl_visit_order(w->visit));
	(void)snprintf(text, sizeof text, "heard for %s; %s; %" PRIu64 " frames sent%s.",
		fl_time_length(now - w->begun, length),
		w->answer ? w->answer->what : "no answer yet", sent(w), kept);
	if (w->terminal) {
		fl_events_say(w->events, now, text);
		fl_watch_tell(w);
		fl_watch_show(w);
		return;
	}
	fputs("fairlead: ", stderr);
	fl_put_clean(stderr, text);
	fputc('\n', stderr);
}
