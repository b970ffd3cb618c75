/* network_findings.c -- the network as a whole: its groups, its spanning tree,
 * loops, quiet asked for, and who is not where or who the plan says.
 *
 * Source  RFC 3376 section 8 and RFC 4541 (groups without a querier), IEEE Std
 *         802.1D-2004 (changes of the tree), IEEE Std 802.3 annex 31B (PAUSE)
 */
#include "diagnose/findings.h"
#include "diagnose/port_places.h"

#include <inttypes.h>
#include <string.h>

/* ---- groups that nobody asks for ---- */

/* RFC 3376 section 8.5: so long a querier may be unheard before another takes
 * its place: 2 x 125 s + 10 s / 2. */
#define QUERIER_GONE (255 * FL_SECOND)

struct groups {
	size_t stations, alive;      /* of those that kept a beat to a group
				      * that a switch may hold back          */
	const char *names[FL_PLAN_DEVICES];
};

/* It keeps a beat, or kept one until it stopped, to a group that may be held back. */
static bool kept_a_beat(const struct fl_cadence *c)
{
	return c->filterable && c->unasked && (c->steady || c->stopped);
}

/* The station goes on otherwise, to everybody. */
static bool goes_on(const struct fl_cadence *all, size_t n, const struct fl_cadence *of)
{
	for (size_t i = 0; i < n; i++)
		if (all[i].presence == of->presence && !all[i].filterable &&
		    all[i].key.kind == FL_STREAM_GROUP &&
		    all[i].last > of->last + 10 * of->period)
			return true;
	return false;
}

/* Once for each station: its newest stream to such a group. */
static bool is_newest(const struct fl_cadence *all, size_t n, const struct fl_cadence *of)
{
	for (size_t i = 0; i < n; i++)
		if (&all[i] != of && all[i].presence == of->presence &&
		    kept_a_beat(&all[i]) &&
		    (all[i].last > of->last || (all[i].last == of->last && &all[i] < of)))
			return false;
	return true;
}

static struct groups look_at_groups(struct fl_case *c)
{
	size_t n;
	const struct fl_cadence *all = fl_ledger_cadences(c->ledger, &n);
	struct groups g = { .stations = 0 };
	for (size_t i = 0; i < n; i++) {
		if (!kept_a_beat(&all[i]) || !is_newest(all, n, &all[i]))
			continue;
		if (!goes_on(all, n, &all[i]))
			g.alive += c->to - all[i].last < 10 * all[i].period;
		else if (g.stations < FL_PLAN_DEVICES)
			g.names[g.stations++] = fl_name_of(c, all[i].key.mac);
	}
	return g;
}

/* A switch without a querier holds all groups back in the end, so one that
 * still comes through speaks against it. Unmanaged switches have no querier
 * and need none: that alone is nothing. */
void fl_find_unqueried(struct fl_case *c, const char *id)
{
	const struct fl_network_state *n = fl_ledger_network(c->ledger);
	const fl_time asked = n->queried ? n->queried : c->from;
	const struct groups g = look_at_groups(c);
	char length[FL_TIME_TEXT];
	if (c->to - asked <= QUERIER_GONE || g.stations == 0 || g.alive)
		return;
	const char *list = fl_list(c, g.names, g.stations);
	struct fl_answer_finding *f = fl_found(c, id,
		g.stations > 1 ? FL_FAULT : FL_DOUBT, list, fl_region_format(c->region,
		"What %s send%s to groups has stopped, and nobody asks who wants it.", list,
		g.stations == 1 ? "s" : ""));
	fl_texts_add(c, &f->evidence, fl_region_format(c->region,
		"No query of group members was heard for %s; a switch that filters groups "
		"forgets them after 260 s without one (RFC 3376).",
		fl_time_length(c->to - asked, length)));
	fl_texts_add(c, &f->evidence, "What they send to everybody is heard all the time, "
		"so their cables carry.");
	fl_texts_add(c, &f->evidence, g.stations == 1
		? "Or it fell asleep and waits to be woken: wake it at a display first."
		: "Or a display told all of them to stop: wake one of them first.");
	fl_texts_add(c, &f->evidence, n->groups_wanted
		? "Membership reports of others are heard here, so that this switch may "
		  "not filter at all."
		: "A switch that does not filter in place of this one, or its filtering "
		  "off, tells the two apart.");
}

/* ---- the tree ---- */

/* A tree that settles changes once or twice: judgement. */
enum { SETTLING = 2 };

void fl_find_topology(struct fl_case *c, const char *id)
{
	const struct fl_network_state *n = fl_ledger_network(c->ledger);
	const struct fl_answer *a = c->answer;
	char at[FL_TIME_TEXT], times[FL_TIMES_TEXT];
	if (n->changes <= SETTLING)
		return;
	struct fl_answer_finding *f = fl_found(c, id, FL_DOUBT, "segment",
		fl_region_format(c->region, "The spanning tree of the switches changed at "
			"least %u times.", n->changes));
	fl_texts_add(c, &f->evidence, "Each time a link between switches, or a port not "
		"set as an edge port, came or went; for a moment everything is flooded.");
	for (uint32_t i = 0; i < n->changes && i < FL_NETWORK_TIMES; i++)
		fl_texts_add(c, &f->evidence, fl_region_format(c->region, "Changed at %s.",
			fl_time_clock(n->changed[i], at)));
	for (size_t i = 0; i < a->port_count; i++)
		if (a->ports[i].flaps)
			fl_texts_add(c, &f->evidence, fl_region_format(c->region,
				"%s lost its link %s meanwhile.", a->ports[i].name,
				fl_times(a->ports[i].flaps, times)));
}

/* ---- frames that come back ---- */

/* Own frames beyond those sent: more than the seconds between two readings of
 * the port's counter can hold. Judgement. */
enum { RETURNED_LEAST = 20, RETURNED_SHARE = 10, REPEAT_SECONDS = 3 };

static void find_returned(struct fl_case *c, const char *id)
{
	size_t n, own = 0;
	const struct fl_port_state *ports = fl_ledger_ports(c->ledger, &n), *only = NULL;
	for (size_t i = 0; i < n; i++)
		if (fl_mac_is_none(ports[i].now.of)) {
			only = &ports[i];
			own++;
		}
	/* What one port sends the other hears: two at one network are no loop. */
	if (own != 1 || only->returned < RETURNED_LEAST ||
	    (uint64_t)only->returned * RETURNED_SHARE < only->counts[FL_COUNT_SENT])
		return;
	struct fl_answer_finding *f = fl_found(c, id, FL_FAULT, only->now.name,
		fl_region_format(c->region, "The laptop's own frames come back to it at %s.",
				 only->now.name));
	fl_texts_add(c, &f->evidence, fl_region_format(c->region,
		"%" PRId64 " more were heard than it sent (%" PRIu64 "): a loop of cables.",
		only->returned, only->counts[FL_COUNT_SENT]));
	fl_texts_add(c, &f->evidence,
		"Or another station bears the laptop's MAC address.");
}

void fl_find_loop(struct fl_case *c, const char *id)
{
	size_t n;
	const struct fl_ear_state *ears = fl_ledger_ears(c->ledger, &n);
	const size_t before = c->answer->finding_count;
	find_returned(c, id);
	for (size_t i = 0; i < n && c->answer->finding_count == before; i++) {
		const struct fl_ear_state *e = &ears[i];
		char at[FL_TIME_TEXT], length[FL_TIME_TEXT];
		/* More of it is a storm, which is told as one. */
		if (e->repeat_seconds < REPEAT_SECONDS || e->storm_seconds)
			continue;
		struct fl_answer_finding *f = fl_found(c, id, FL_DOUBT, "segment",
			"Nearly every frame to a group comes several times.");
		fl_texts_add(c, &f->evidence, fl_region_format(c->region,
			"From %s on, for %s, nine in ten held the same as the one before: a "
			"loop of cables that a switch holds back.",
			fl_time_clock(e->repeat_from, at),
			fl_time_length(e->repeat_to - e->repeat_from, length)));
		fl_texts_add(c, &f->evidence,
			"Or one station that says everything several times over.");
	}
}

/* ---- quiet ---- */

#define MANY_A_SECOND 10.0           /* judgement: traffic needs few          */
#define HELD 0.1                     /* of the time; judgement                */
#define QUANTUM_BITS 512.0           /* IEEE Std 802.3 annex 31B.2            */

static void say_flood(struct fl_case *c, const char *id, enum fl_severity severity,
		      const char *who, const char *subject, double rate, const char *what)
{
	struct fl_answer_finding *f = fl_found(c, id, severity, subject,
		fl_region_format(c->region, "%s asks for quiet up to %.0f times a second "
			"(PAUSE).", who, rate));
	fl_texts_add(c, &f->evidence, what);
	fl_texts_add(c, &f->evidence, "A station that hangs does so, and a switch that obeys "
		"hands the quiet on to the others: flow control off at that port "
		"tells.");
}

void fl_find_pause(struct fl_case *c, const char *id)
{
	const struct fl_network_state *n = fl_ledger_network(c->ledger);
	const struct fl_answer *a = c->answer;
	/* The slowest link that is told of is held the longest. */
	uint32_t mbit = 100;
	for (size_t i = 0; i < a->port_count; i++)
		if (a->ports[i].own && a->ports[i].mbit)
			mbit = a->ports[i].mbit;
	for (size_t i = 0; i < n->pausing_count; i++) {
		const struct fl_pausing *p = &n->pausing[i];
		const double held = p->quanta * QUANTUM_BITS / (mbit * 1e6);
		const char *name = fl_name_of(c, p->mac);
		if (p->busiest < MANY_A_SECOND || held < HELD)
			continue;
		say_flood(c, id, FL_FAULT, name, name, p->busiest, fl_region_format(c->region,
			"So much holds a port of %u Mbit/s quiet for %.0f in 100 of the "
			"time.", mbit, held < 1 ? 100 * held : 100.0));
	}
	for (size_t i = 0; i < a->port_count; i++) {
		size_t ports;
		const struct fl_port_state *s = &fl_ledger_ports(c->ledger, &ports)[i];
		const double rate = s->last > s->first
			? (double)a->ports[i].counts[FL_COUNT_PAUSE_RECEIVED] /
			  ((double)(s->last - s->first) / (double)FL_SECOND) : 0;
		if (rate >= MANY_A_SECOND)
			say_flood(c, id, FL_DOUBT, fl_region_format(c->region,
				"The other end of %s", a->ports[i].name), a->ports[i].name,
				rate, "On average, by the port's own count; for how long "
				"each time is not counted.");
	}
}

/* ---- who is not where the plan says ---- */

/* Exactly one neighbour at our own cable: more, and a switch floods LLDP. */
static const struct fl_station *only_neighbour(const struct fl_case *c)
{
	size_t n;
	const struct fl_station *all = fl_ledger_stations(c->ledger, &n), *only = NULL;
	for (size_t i = 0; i < n; i++) {
		if (!all[i].neighbour_at)
			continue;
		if (only)
			return NULL;
		only = &all[i];
	}
	return only && (only->capabilities & FL_IS_BRIDGE) ? only : NULL;
}

static void find_laptop(struct fl_case *c, const char *id)
{
	const struct fl_seat *seat = &c->plan->laptop;
	const struct fl_station *s = only_neighbour(c);
	if (!s || seat->kind != FL_SEAT_PORT || c->answer->ear_count != 1)
		return;
	struct fl_place place = fl_switch_of(c, s->mac);
	place.port = fl_port_number(s->port ? s->port : "");
	/* Of another switch nothing follows: the near one may be mute and let
	 * through what the far one says. */
	if (place.kind != seat->place.kind || place.index != seat->place.index ||
	    !place.port || !seat->place.port || place.port == seat->place.port)
		return;
	struct fl_answer_finding *f = fl_found(c, id, FL_DOUBT, "laptop",
		fl_region_format(c->region, "The laptop seems to sit at %s, not at %s.",
			fl_plan_place_text(c->plan, place, c->region),
			fl_plan_place_text(c->plan, seat->place, c->region)));
	fl_texts_add(c, &f->evidence, fl_region_format(c->region,
		"The one neighbour at this cable calls its port \"%s\" (LLDP); its number may "
		"be another than the one printed on it.", s->port ? s->port : ""));
}

static bool fell_with(const struct fl_port_state *s, const struct fl_dropout *d)
{
	const fl_time room = 2 * FL_SECOND;
	for (uint32_t k = 0; k < s->falls && k < FL_PORT_TIMES; k++)
		if (s->fell[k] > d->last - room &&
		    s->fell[k] < (d->first ? d->first : d->missed) + room)
			return true;
	return false;
}

/* The device whose station this presence is. */
static int device_of(const struct fl_case *c, const struct fl_presence *p)
{
	size_t n;
	const struct fl_station *all = fl_ledger_stations(c->ledger, &n);
	const struct fl_station *s = fl_ledger_find(c->ledger, p->mac);
	return s ? c->matching->owner[s - all] : FL_NO_DEVICE;
}

/* The device that alone falls with this port, twice or more, and always;
 * FL_NO_DEVICE: none, or several, so that it leads to a switch. */
static int falls_with(const struct fl_case *c, const struct fl_port_state *s)
{
	size_t n, presences, all[FL_PLAN_DEVICES] = { 0 }, both[FL_PLAN_DEVICES] = { 0 };
	const struct fl_dropout *d = fl_ledger_dropouts(c->ledger, &n);
	const struct fl_presence *p = fl_ledger_presences(c->ledger, &presences);
	int only = FL_NO_DEVICE;
	for (size_t i = 0; i < n; i++) {
		const int device = d[i].deaf || d[i].kind == FL_SOFT
			? FL_NO_DEVICE : device_of(c, &p[d[i].presence]);
		if (device == FL_NO_DEVICE)
			continue;
		all[device]++;
		both[device] += fell_with(s, &d[i]);
	}
	for (size_t i = 0; i < c->plan->device_count; i++) {
		if (both[i] == 0)
			continue;
		if (only != FL_NO_DEVICE || both[i] < 2 || both[i] < all[i])
			return FL_NO_DEVICE;
		only = (int)i;
	}
	return only;
}

void fl_find_elsewhere(struct fl_case *c, const char *id)
{
	size_t n;
	const struct fl_port_state *ports = fl_ledger_ports(c->ledger, &n);
	find_laptop(c, id);
	for (size_t i = 0; i < n; i++) {
		struct fl_place planned;
		if (fl_mac_is_none(ports[i].now.of) || ports[i].falls < 2)
			continue;
		const struct fl_port_place at = fl_port_place(c, &ports[i]);
		const int device = falls_with(c, &ports[i]);
		if (device == FL_NO_DEVICE || at.place.kind == FL_PLACE_NOWHERE)
			continue;
		const char *name = c->plan->devices[device].name;
		const int run = fl_run_at(c->plan, (struct fl_place){
			FL_PLACE_DEVICE, device, 0 }, &planned);
		if (run == FL_NONE || !planned.port || (planned.kind == at.place.kind &&
		    planned.index == at.place.index && planned.port == at.place.port))
			continue;
		struct fl_answer_finding *f = fl_found(c, id, FL_DOUBT, name,
			fl_region_format(c->region, "%s seems to sit at %s, not at %s.", name,
				at.name, fl_plan_place_text(c->plan, planned, c->region)));
		fl_texts_add(c, &f->evidence, "It falls silent each time that port loses its "
			"link, and nobody else does: its plug was moved, or the plan is old.");
	}
}

/* ---- one MAC address, two stations ---- */

/* Both are in use and neither followed the other. */
static bool in_turn(const struct fl_claimed *a, const struct fl_claimed *b)
{
	return a->count >= 2 && b->count >= 2 && a->first < b->last && b->first < a->last &&
	       b->last > a->first + FL_MINUTE && a->last > b->first + FL_MINUTE;
}

/* The first label of a name: "camera.local" and "camera" are one. */
static bool same_host(const char *a, const char *b)
{
	const size_t n = strcspn(a, "."), m = strcspn(b, ".");
	return n == m && strncmp(a, b, n) == 0;
}

static const char *other_name(const struct fl_station *s)
{
	for (size_t i = 1; i < s->name_count; i++)
		if (!same_host(s->names[0], s->names[i]))
			return s->names[i];
	return NULL;
}

/* One with many addresses answers for others: a gateway, which is no fault. */
void fl_find_one_mac(struct fl_case *c, const char *id)
{
	size_t n, claims;
	const struct fl_station *all = fl_ledger_stations(c->ledger, &n);
	const struct fl_claimed *claim = fl_ledger_claims(c->ledger, &claims);
	for (size_t i = 0; i < n; i++) {
		const struct fl_claimed *of[2] = { NULL, NULL };
		size_t used = 0;
		const char *other = all[i].name_count > 1 ? other_name(&all[i]) : NULL;
		for (size_t k = 0; other && k < claims; k++) {
			if (!fl_mac_equal(claim[k].mac, all[i].mac) || !claim[k].count ||
			    !fl_ip_is4(claim[k].ip) || fl_ip_is_link_local(claim[k].ip))
				continue;
			if (used < 2)
				of[used] = &claim[k];
			used++;
		}
		if (used != 2 || !in_turn(of[0], of[1]))
			continue;
		char mac[FL_MAC_TEXT], one[FL_IP_TEXT], two[FL_IP_TEXT];
		struct fl_answer_finding *f = fl_found(c, id, FL_DOUBT,
			fl_name_of(c, all[i].mac), fl_region_format(c->region,
			"Two stations may bear the MAC address %s.",
			fl_mac_text(all[i].mac, mac)));
		fl_texts_add(c, &f->evidence, fl_region_format(c->region,
			"It uses %s and %s in turn, and calls itself %s and %s.",
			fl_ip_text(of[0]->ip, one), fl_ip_text(of[1]->ip, two),
			all[i].names[0], other));
		fl_texts_add(c, &f->evidence, "Or it is one station with two addresses and two "
			"names: unplug it, and see whether the other goes on.");
	}
}
