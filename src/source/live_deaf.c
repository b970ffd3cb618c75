/* live_deaf.c -- when an ear cannot hear, and why.
 *
 * Several reasons may hold at once: the first is said when it begins, and that
 * the ear hears again when the last of them is gone.
 *
 * Source  packet(7): PACKET_STATISTICS, whose counts begin anew with each
 *         look; the frames that came count those dropped
 */
#include "source/live_inner.h"

#include <linux/if_packet.h>
#include <sys/socket.h>

static const char *const reasons[FL_LIVE_REASONS] = {
#define DEAFNESS(id, words) [FL_LIVE_##id] = words,
#include "event/deafness.def"
#undef DEAFNESS
};

void fl_live_deafen(struct fl_live_ear *ear, enum fl_live_deaf why, bool holds,
		    fl_time t)
{
	const unsigned before = ear->deaf, bit = 1u << why;
	ear->deaf = holds ? before | bit : before & ~bit;
	if (!before == !ear->deaf)
		return;
	fl_live_say(ear, &(struct fl_ear_event){
		.news = holds ? FL_EAR_DEAFENED : FL_EAR_HEARS, .time = t,
		.name = holds ? reasons[why] : "" });
}

/* pcap_stats() would do, but it opens a file of sysfs each time, which one
 * who has given up every right may not be able to. */
void fl_live_look(struct fl_live_ear *ear)
{
	enum { TENTH = 10 };
	struct tpacket_stats_v3 counts = { 0 };
	socklen_t n = sizeof counts;
	if (getsockopt(pcap_get_selectable_fd(ear->pcap), SOL_PACKET,
		       PACKET_STATISTICS, &counts, &n) != 0)
		return;
	const uint64_t dropped = counts.tp_drops;
	ear->summary.dropped += dropped;
	if (dropped)
		fl_live_say(ear, &(struct fl_ear_event){
			.news = FL_EAR_LOST, .count = dropped, .name = "",
			.time = fl_live_clock_now(&ear->live->clock) });
	/* Since the last look, for that is when they were dropped or not. */
	fl_live_deafen(ear, FL_LIVE_DROPPING,
		       dropped && dropped * TENTH >= counts.tp_packets,
		       ear->looked);
	ear->looked = fl_live_clock_now(&ear->live->clock);
}
