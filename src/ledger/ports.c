/* ports.c -- what became of the ports of the listening host.
 *
 * Flaps and frames are differences of the kernel's own counts. A port that
 * was taken away and made anew counts from nothing: what it had is kept, and
 * its going is one flap.
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
		/* It stood at less than before: it began anew. */
		s->counts[c] += now->counts[c] >= was ? now->counts[c] - was
						      : now->counts[c];
	}
}

static void count_flaps(struct fl_port_state *s, const struct fl_port *now)
{
	if (!now->there) {
		s->flaps += s->now.there && s->now.link;
		return;
	}
	if (!s->now.there || !now->flaps_counted)
		return;
	s->flaps += now->downs >= s->now.downs ? now->downs - s->now.downs
					       : now->downs;
}

static void keep(struct fl_ledger *l, struct fl_port_state *s, const struct fl_port *now)
{
	const char *name = s->now.name, *why = s->now.why;
	s->now = *now;
	s->now.name = name;
	s->now.why = why && strcmp(why, now->why ? now->why : "") == 0
		? why : fl_ledger_keep(l, now->why);
}

void fl_ports_hear(struct fl_ledger *l, const struct fl_observation *o)
{
	struct fl_port_state *s = fl_mac_is_none(o->port.of)
		? fl_ports_of(l, o->ear) : far_port(l, o->ear, &o->port);
	if (!s && l->port_count == FL_LEDGER_PORTS) {
		l->lost++;
		return;
	}
	if (!s) {
		s = &l->ports[l->port_count++];
		*s = (struct fl_port_state){ .ear = o->ear, .first = o->to };
		s->now.name = fl_ledger_keep(l, o->port.name);
	} else {
		if (!s->now.link)
			s->without_link += o->to - s->last;
		count_flaps(s, &o->port);
		if (o->port.there)
			count(s, &o->port);
	}
	keep(l, s, &o->port);
	s->counted |= o->port.counted;
	s->last = o->to;
}
