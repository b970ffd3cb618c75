/* own_ports.c -- the ports of the host that listened and those that switches
 * told of: what their links did, and what they counted.
 *
 * A port of the host was listened at live if the kernel told of it at all; a
 * capture knows nothing of any.
 */
#include "diagnose/damage.h"
#include "diagnose/findings.h"
#include "diagnose/port_places.h"

static void show(struct fl_case *c, const struct fl_port_state *s,
		 struct fl_answer_port *out)
{
	size_t ears;
	const struct fl_ear_state *ear = fl_ledger_ears(c->ledger, &ears);
	const struct fl_port_place place = fl_port_place(c, s);
	const bool own = fl_mac_is_none(s->now.of);
	*out = (struct fl_answer_port){
		.name = place.name, .own = own,
		.run = place.run == FL_NONE ? NULL : c->plan->runs[place.run].name,
		.station = place.station,
		.link = s->now.there && s->now.link,
		.mbit = s->now.mbit, .duplex = s->now.duplex,
		.flaps_known = !own || s->now.flaps_counted || s->flaps,
		.flaps = s->flaps, .without_link = s->without_link,
		.counted = s->counted,
		.asked = own && s->ear < ears ? ear[s->ear].asked : 0,
	};
	memcpy(out->counts, s->counts, sizeof out->counts);
	/* Of a port of the host as long as its own ear listened. */
	const fl_time to = own && s->ear < ears ? ear[s->ear].until : c->to;
	if (!out->link && !s->paused && to > s->last)
		out->without_link += to - s->last;
	fl_damage_of_port(out);
}

bool fl_show_ports(struct fl_case *c)
{
	struct fl_answer *a = c->answer;
	size_t n;
	const struct fl_port_state *all = fl_ledger_ports(c->ledger, &n);
	a->ports = fl_region_array(c->region, n + 1, sizeof *a->ports);
	if (!a->ports)
		return false;
	for (size_t i = 0; i < n; i++) {
		show(c, &all[i], &a->ports[a->port_count++]);
		a->live |= fl_mac_is_none(all[i].now.of);
	}
	return true;
}

static const char *who_lost(struct fl_case *c, const struct fl_answer_port *p)
{
	char times[FL_TIMES_TEXT];
	const char *was = p->link ? "was" : "is down; it was";
	if (p->own)
		return fl_region_format(c->region,
			"The laptop's own link at %s %s lost %s.",
			p->name, was, fl_times(p->flaps, times));
	return fl_region_format(c->region, "The link of %s%s%s %s lost %s.",
		p->name, p->station ? " to " : "", p->station ? p->station : "", was,
		fl_times(p->flaps, times));
}

/* One loss may be a hand at the plug, more are the lead or the port. */
void fl_find_link_flaps(struct fl_case *c, const char *id)
{
	const struct fl_answer *a = c->answer;
	for (size_t i = 0; i < a->port_count; i++) {
		const struct fl_answer_port *p = &a->ports[i];
		char length[FL_TIME_TEXT];
		if (p->flaps == 0)
			continue;
		struct fl_answer_finding *f = fl_found(c, id,
			p->flaps > 1 ? FL_FAULT : FL_DOUBT, p->name, who_lost(c, p));
		fl_time_lapse(p->without_link, length);
		fl_texts_add(c, &f->evidence, p->own
			? fl_region_format(c->region, "By the kernel's own count, whatever "
				"was heard; without a link for %s in all.", length)
			: fl_region_format(c->region, "As the switch told of it; without a "
				"link for %s in all, as far as that was told.", length));
		if (p->run)
			fl_texts_add(c, &f->evidence, fl_region_format(c->region,
				"Run %s ends there.", p->run));
		if (!p->link)
			fl_texts_add(c, &f->evidence, "It has no link now.");
	}
}
