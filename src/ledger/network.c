/* network.c -- what was told of the network as a whole: the spanning tree, who
 * asks for groups and who wants them, and who asks for quiet.
 *
 * Signs come at most once an interval with the number of times they were said
 * since (tally/said.c), so that counts are of frames and times are late by at
 * most that interval.
 *
 * Source  IEEE Std 802.1D-2004 clause 17 (topology changes), IEEE Std 802.3
 *         annex 31B (PAUSE), RFC 3376 section 8 (timers of a querier)
 * Ceiling FL_NETWORK_TIMES, FL_NETWORK_PAUSING: later ones are counted as lost
 */
#include "ledger/inner.h"

/* A change is signalled for 35 s: max age and forward delay, IEEE Std
 * 802.1D-2004 section 17.14. What is told later is of another one. */
#define ONE_CHANGE (35 * FL_SECOND)

static void tree(struct fl_ledger *l, const struct fl_observation *o)
{
	struct fl_network_state *n = &l->network;
	if (n->tree_first == 0)
		n->tree_first = o->to;
	n->tree_last = o->to;
	if (o->sign.number != 1)
		return;
	const fl_time last = n->change_last;
	n->change_last = o->to;
	if (last && o->to - last <= ONE_CHANGE)
		return;
	if (n->changes < FL_NETWORK_TIMES)
		n->changed[n->changes] = o->to;
	n->changes++;
}

/* 224.0.0.0/24 is never held back (RFC 4541 section 2.1.2), and groups of
 * IPv6 have a querier of their own. */
static bool is_held_back(struct fl_ip group)
{
	return fl_ip_is4(group) &&
	       !(group.b[12] == 224 && group.b[13] == 0 && group.b[14] == 0);
}

/* A quiet station's telling is a frame by itself: a rate needs a stretch. */
static void pause(struct fl_ledger *l, const struct fl_observation *o)
{
	struct fl_network_state *n = &l->network;
	struct fl_pausing *p = n->pausing;
	const struct fl_pausing *end = p + n->pausing_count;
	while (p < end && !fl_mac_equal(p->mac, o->sign.mac))
		p++;
	if (p == end) {
		if (n->pausing_count == FL_NETWORK_PAUSING) {
			l->lost++;
			return;
		}
		n->pausing_count++;
		*p = (struct fl_pausing){ .mac = o->sign.mac, .first = o->to };
	} else if (o->to > p->last) {
		const double rate = o->sign.count /
			((double)(o->to - p->last) / (double)FL_SECOND);
		const double quanta = rate * o->sign.number;
		if (o->sign.count > 1 && rate > p->busiest)
			p->busiest = rate;
		if (o->sign.count > 1 && quanta > p->quanta)
			p->quanta = quanta;
	}
	p->frames += o->sign.count;
	p->last = o->to;
}

void fl_network_said(struct fl_ledger *l, const struct fl_observation *o)
{
	struct fl_network_state *n = &l->network;
	switch (o->sign.kind) {
	case FL_FACT_TOPOLOGY:
		tree(l, o);
		break;
	case FL_FACT_SERVES:
		if (o->sign.aspect == FL_SERVES_QUERIES && fl_ip_is4(o->sign.ip))
			n->queried = o->to;
		break;
	case FL_FACT_WANTS:
		if (o->sign.aspect == FL_WANTS_GROUP && is_held_back(o->sign.ip) &&
		    n->groups_wanted == 0)
			n->groups_wanted = o->to;
		break;
	case FL_FACT_PAUSE:
		pause(l, o);
		break;
	default:
		break;
	}
}
