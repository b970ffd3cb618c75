/* turns.c -- what a node says at its start, when its link comes back and when
 * it leaves, and its streams.
 *
 * Source  the order and times of these messages: captures of common stacks;
 *         RFC 6762 section 8.1 (probes 250 ms apart), RFC 4861 section 10
 *         (solicitations 4 s apart), RFC 5227 section 2.1.1
 */
#include "run.h"

struct turn {
	unsigned does, unless; /* only nodes that do this and not that  */
	int      stream;       /* and have this stream; SIM_NONE: any   */
	int      ms;           /* after the event, and up to 2 % more   */
	int      message;
};

/* A client of an address server claims its address once it has one. */
static const struct turn boot[] = {
	{ SIM_IPV6, 0, SIM_NONE, 24, SIM_MLD_FIRST },
	{ SIM_IPV6, 0, SIM_NONE, 170, SIM_DAD },
	{ SIM_IPV6, 0, SIM_NONE, 500, SIM_MLD_FIRST },
	{ SIM_IPV6, 0, SIM_NONE, 1100, SIM_MLD_OWN },
	{ SIM_IPV6, 0, SIM_NONE, 1200, SIM_RS },
	{ SIM_IPV6, 0, SIM_NONE, 5200, SIM_RS },
	{ SIM_IPV6, 0, SIM_NONE, 9200, SIM_RS },
	{ SIM_DHCP, 0, SIM_NONE, 1060, SIM_DISCOVER },
	{ 0, SIM_DHCP, SIM_NONE, 100, SIM_ARP_PROBE },
	{ 0, SIM_DHCP, SIM_NONE, 1200, SIM_ARP_PROBE },
	{ 0, SIM_DHCP, SIM_NONE, 2300, SIM_ARP_PROBE },
	{ 0, SIM_DHCP, SIM_NONE, 4300, SIM_ARP_ANNOUNCE },
	{ 0, SIM_DHCP, SIM_NONE, 6300, SIM_ARP_ANNOUNCE },
	{ SIM_GROUPS, 0, SIM_NONE, 4400, SIM_IGMP_JOIN },
	{ SIM_MDNS, 0, SIM_NONE, 4500, SIM_MDNS_PROBE },
	{ SIM_MDNS, 0, SIM_NONE, 4750, SIM_MDNS_PROBE },
	{ SIM_MDNS, 0, SIM_NONE, 5000, SIM_MDNS_PROBE },
	{ SIM_MDNS, 0, SIM_NONE, 5250, SIM_MDNS_ANNOUNCE },
	{ SIM_MDNS, 0, SIM_NONE, 6250, SIM_MDNS_ANNOUNCE },
	{ 0, 0, SIM_SSDP, 4600, SIM_SSDP_BYEBYE },
	{ 0, 0, SIM_SSDP, 4900, SIM_SSDP },
	{ 0, 0, SIM_LLDP, 3000, SIM_LLDP },
};

static const struct turn linking[] = {
	{ SIM_IPV6, 0, SIM_NONE, 12, SIM_MLD_MDNS },
	{ 0, 0, SIM_LLDP, 1000, SIM_LLDP },
	{ SIM_CARRIER, 0, SIM_NONE, 1150, SIM_REQUEST_REBOOT },
	{ SIM_CARRIER, 0, SIM_NONE, 1300, SIM_ARP_PROBE },
	{ SIM_CARRIER, 0, SIM_NONE, 2600, SIM_ARP_PROBE },
	{ SIM_CARRIER, 0, SIM_NONE, 4000, SIM_ARP_PROBE },
	{ SIM_CARRIER, 0, SIM_NONE, 6300, SIM_ARP_ANNOUNCE },
};

static const struct turn leaving[] = {
	{ SIM_MDNS, 0, SIM_NONE, 4, SIM_MDNS_GOODBYE },
	{ 0, 0, SIM_SSDP, 6, SIM_SSDP_BYEBYE },
	{ 0, 0, SIM_LLDP, 11, SIM_LLDP_LAST },
	{ SIM_GROUPS, 0, SIM_NONE, 14, SIM_IGMP_LEAVE },
	{ SIM_IPV6, 0, SIM_NONE, 14, SIM_MLD_LEAVE },
};

void sim_say_later(struct sim *sim, int node, int message, int other,
		      sim_time at)
{
	sim_push(sim, (struct sim_event){ .at = at, .what = SIM_SAY,
		.node = (uint16_t)node, .which = (uint16_t)message,
		.other = (uint16_t)other,
		.life = sim->life[node].number });
}

static void take_turns(struct sim *sim, int index, const struct turn *turn,
		       size_t n, sim_time t)
{
	const struct sim_node *node = &sim->boat->nodes[index];
	struct sim_life *life = &sim->life[index];
	const bool mute = node->is_switch &&
		node->every[SIM_LLDP] <= 0;
	const double pace = sim_between(&life->voice.prng, 1, 1.02) / 1e3;
	for (size_t i = 0; i < n && !mute; i++) {
		if ((turn[i].does & ~node->does) ||
		    (turn[i].unless & node->does) ||
		    (turn[i].stream != SIM_NONE &&
		     node->every[turn[i].stream] <= 0))
			continue;
		sim_say_later(sim, index, turn[i].message, index,
			  t + sim_seconds(turn[i].ms * pace));
	}
}

#define TURNS(turns) turns, sizeof turns / sizeof *turns

static bool at_random(int stream)
{
	return stream == SIM_TARGETS || stream == SIM_ARPS;
}

void sim_repeat(struct sim *sim, int index, int stream, sim_time due)
{
	const struct sim_node *node = &sim->boat->nodes[index];
	struct sim_life *life = &sim->life[index];
	const double every = node->every[stream];
	struct sim_event event = { .node = (uint16_t)index, .what = SIM_REPEAT,
		.which = (uint16_t)stream, .life = life->number };
	if (at_random(stream)) {
		event.due = due +
			sim_seconds(sim_exponential(&life->voice.prng, every));
		event.at = event.due;
	} else {
		event.due = due + sim_seconds(every);
		event.at = event.due + sim_seconds(every * sim_between(
			&life->voice.prng, -node->jitter, node->jitter));
	}
	sim_push(sim, event);
}

void sim_start_streams(struct sim *sim, int index, sim_time t, double settle)
{
	const struct sim_node *node = &sim->boat->nodes[index];
	for (int i = 0; i < SIM_STREAMS; i++) {
		const double every = node->every[i];
		if (every <= 0)
			continue;
		const double phase = sim_unit(&sim->life[index].voice.prng);
		const double before = at_random(i) ? 0
			: (phase - 1 + node->jitter) * every;
		sim_repeat(sim, index, i, t + sim_seconds(settle + before));
	}
}

void sim_boot(struct sim *sim, int index, sim_time t)
{
	take_turns(sim, index, TURNS(boot), t);
	sim_start_streams(sim, index, t, 4.5);
}

void sim_link(struct sim *sim, int index, sim_time t)
{
	take_turns(sim, index, TURNS(linking), t);
}

void sim_leave(struct sim *sim, int index, sim_time t)
{
	take_turns(sim, index, TURNS(leaving), t);
}
