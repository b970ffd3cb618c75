/* own_ports.c -- the ports of the host that listened: what their link did.
 *
 * They were listened at live if the kernel told of them at all; a capture
 * knows nothing of them.
 */
#include "diagnose/findings.h"

bool fl_show_ports(struct fl_case *c)
{
	struct fl_answer *a = c->answer;
	size_t n, ears;
	const struct fl_port_state *all = fl_ledger_ports(c->ledger, &n);
	const struct fl_ear_state *ear = fl_ledger_ears(c->ledger, &ears);
	a->ports = fl_region_array(c->region, n + 1, sizeof *a->ports);
	if (!a->ports)
		return false;
	for (size_t i = 0; i < n; i++) {
		const struct fl_port_state *s = &all[i];
		if (!fl_mac_is_none(s->now.of))
			continue;
		struct fl_answer_port *out = &a->ports[a->port_count++];
		*out = (struct fl_answer_port){
			.name = s->now.name, .own = true, .link = s->now.there && s->now.link,
			.mbit = s->now.mbit, .duplex = s->now.duplex,
			.flaps_known = s->now.flaps_counted || s->flaps,
			.flaps = s->flaps, .without_link = s->without_link,
			.counted = s->counted,
			.asked = s->ear < ears ? ear[s->ear].asked : 0,
		};
		memcpy(out->counts, s->counts, sizeof out->counts);
		if (!out->link && c->to > s->last)
			out->without_link += c->to - s->last;
	}
	a->live = a->port_count > 0;
	return true;
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
			p->flaps > 1 ? FL_FAULT : FL_DOUBT, p->name,
			fl_region_format(c->region,
				"The laptop's own link at %s %s lost %u time%s.",
				p->name, p->link ? "was" : "is down; it was",
				p->flaps, p->flaps == 1 ? "" : "s"));
		fl_texts_add(c, &f->evidence, fl_region_format(c->region,
			"By the kernel's own count, whatever was heard; without a link "
			"for %s in all.", fl_time_interval(p->without_link, length)));
		if (!p->link)
			fl_texts_add(c, &f->evidence, "It has no link now.");
	}
}
