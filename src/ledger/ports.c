/* ports.c -- what became of the ports of the listening host, and of those that
 * switches told of.
 *
 * Flaps and frames are differences of the kernel's own counts. A port that
 * was taken away and made anew counts from nothing: what it had is kept, and
 * its going is one flap. A switch tells now this of a port and now that: what
 * it leaves out stands as it was told before.
 *
 * What happened while nobody listened was not heard: the first that is told of
 * a port after such a pause is where the differences begin anew.
 */
#include "ledger/inner.h"

struct fl_port_state *fl_ports_of(struct fl_ledger *l, uint16_t ear)
{
	for (size_t i = 0; i < l->port_count; i++)
		if (l->ports[i].ear == ear && fl_mac_is_none(l->ports[i].now.of))
			return &l->ports[i];
	return NULL;
}

/* A switch tells of its ports by number, by name, or by both. */
static bool is_same(const struct fl_port *a, const struct fl_port *b)
{
	if (a->index && b->index)
		return a->index == b->index;
	return a->name[0] && strcmp(a->name, b->name) == 0;
}

static struct fl_port_state *far_port(struct fl_ledger *l, uint16_t ear,
				      const struct fl_port *port)
{
	for (size_t i = 0; i < l->port_count; i++)
		if (l->ports[i].ear == ear && fl_mac_equal(l->ports[i].now.of, port->of) &&
		    is_same(&l->ports[i].now, port))
			return &l->ports[i];
	return NULL;
}

static void count(struct fl_port_state *s, const struct fl_port *now)
{
	s->counted |= now->counted;
	for (enum fl_counter c = 0; c < FL_COUNTERS; c++) {
		const uint64_t was = s->now.there ? s->now.counts[c] : 0;
		if (!fl_port_counts(now, c))
			continue;
		if (s->now.there && !fl_port_counts(&s->now, c))
			continue;            /* told first: no difference yet */
		/* It stood at less than before: it began anew. */
		s->counts[c] += now->counts[c] >= was ? now->counts[c] - was
						      : now->counts[c];
	}
}

/* What is switched off by hand is no loss: a port that is no longer enabled. */
static uint32_t losses(const struct fl_port_state *s, const struct fl_port *now)
{
	if (!now->there)
		return s->now.there && s->now.link;
	if (!s->now.there)
		return 0;
	if (now->flaps_counted)
		return now->downs >= s->now.downs ? now->downs - s->now.downs
						  : now->downs;
	return s->now.link && !now->link && (now->enabled || !s->now.enabled);
}

static void fell(struct fl_port_state *s, uint32_t flaps, fl_time t)
{
	s->flaps += flaps;
	if (flaps)
		s->fell[s->falls++ % FL_PORT_TIMES] = t;
}

static void keep(struct fl_ledger *l, struct fl_port_state *s, const struct fl_port *now)
{
	const char *name = s->now.name, *why = s->now.why;
	const struct fl_port was = s->now;
	s->now = *now;
	s->now.name = name;
	if (!fl_mac_is_none(now->of) && !s->paused) {
		s->now.mbit = now->mbit ? now->mbit : was.mbit;
		s->now.duplex = now->duplex ? now->duplex : was.duplex;
		s->now.counted |= was.counted;
		for (enum fl_counter c = 0; c < FL_COUNTERS; c++)
			if (!fl_port_counts(now, c))
				s->now.counts[c] = was.counts[c];
	}
	s->now.why = why && strcmp(why, now->why ? now->why : "") == 0
		? why : fl_ledger_keep(l, now->why);
}

/* Longer than a link takes to be used, and as long as a port listens and
 * learns: twice the forward delay of 15 s (IEEE Std 802.1D-2004 table 17-1),
 * with a beat's room on both sides. Judgement. */
#define LATE_LEAST (28 * FL_SECOND)
#define LATE_MOST  (55 * FL_SECOND)

/* Its messages come every 2 s and are told once a minute. */
static bool tree_speaks(const struct fl_ledger *l, fl_time t)
{
	return l->network.tree_last && t - l->network.tree_last < 2 * FL_MINUTE;
}

static void link_came(struct fl_port_state *s, fl_time t)
{
	s->up_at = t;
	s->ups++;
	s->waits = true;
}

/* Own frames are heard once as they are sent. What is heard beyond that came
 * back: the counts of both are told at the same moment, but for the seconds
 * that are still open then. */
static void compare_own(const struct fl_ledger *l, struct fl_port_state *s)
{
	const uint64_t heard = l->ears[s->ear].own - s->own_at_first;
	const int64_t more = (int64_t)(heard - s->counts[FL_COUNT_SENT]);
	if (fl_port_counts(&s->now, FL_COUNT_SENT) && more > s->returned)
		s->returned = more;
}

static void go_on(struct fl_ledger *l, struct fl_port_state *s,
		  const struct fl_port *now, fl_time t)
{
	if (!s->now.link)
		s->without_link += t - s->last;
	fell(s, losses(s, now), t);
	if (now->there)
		count(s, now);
	if (!s->now.link && now->link)
		link_came(s, t);
	if (fl_mac_is_none(now->of))
		compare_own(l, s);
}

void fl_ports_pause(struct fl_ledger *l, uint16_t ear, fl_time until)
{
	for (size_t i = 0; i < l->port_count; i++) {
		struct fl_port_state *s = &l->ports[i];
		if (s->ear != ear)
			continue;
		if (!s->now.link && until > s->last)
			s->without_link += until - s->last;
		s->paused = true;
		s->waits = false;
	}
}

/* A message of its own, not a sample of counters: it fell now. */
static void fell_now(struct fl_port_state *s, const struct fl_port *now, fl_time t)
{
	fell(s, !fl_mac_is_none(now->of) && !now->link && now->enabled &&
	     now->counted == 0, t);
}

/* Own frames sent and heard are compared from here on, beyond what had come
 * back before. */
static void begin_anew(const struct fl_ledger *l, struct fl_port_state *s,
		       const struct fl_port *now, fl_time t)
{
	s->own_at_first = l->ears[s->ear].own - s->counts[FL_COUNT_SENT] -
			  (uint64_t)s->returned;
	fell_now(s, now, t);
}

void fl_ports_hear(struct fl_ledger *l, const struct fl_observation *o)
{
	const bool own = fl_mac_is_none(o->port.of);
	struct fl_port now = o->port;
	struct fl_port_state *s = own ? fl_ports_of(l, o->ear)
				      : far_port(l, o->ear, &now);
	now.there |= !own;                   /* or its switch would not tell of it */
	if (!s && l->port_count == FL_LEDGER_PORTS) {
		l->lost++;
		return;
	}
	if (s && s->paused) {
		begin_anew(l, s, &now, o->to);
	} else if (s) {
		go_on(l, s, &now, o->to);
	} else {
		s = &l->ports[l->port_count++];
		*s = (struct fl_port_state){ .ear = o->ear, .first = o->to,
			.own_at_first = l->ears[o->ear].own };
		s->now.name = fl_ledger_keep(l, now.name);
		fell_now(s, &now, o->to);
	}
	keep(l, s, &now);
	s->paused = false;
	s->counted |= now.counted;
	s->last = o->to;
}

void fl_ports_heard(struct fl_ledger *l, uint16_t ear, fl_time t)
{
	struct fl_port_state *s = l->port_count ? fl_ports_of(l, ear) : NULL;
	if (!s || !s->waits || t <= s->up_at)
		return;
	s->waits = false;
	const int64_t late = t - s->up_at;
	if (late < LATE_LEAST || late > LATE_MOST || !tree_speaks(l, t))
		return;
	if (s->late == 0 || late < s->late_least)
		s->late_least = late;
	if (late > s->late_most)
		s->late_most = late;
	s->late++;
}
