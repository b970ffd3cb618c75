/* port_findings.c -- links that run slower or otherwise than they should, and
 * the frames that they damage.
 *
 * The ports of an answer stand in the order of the ledger's.
 *
 * Source  IEEE Std 802.3 clause 28 (what both ends advertise), 28.2.3.1
 *         (parallel detection), table 40-12 (1000BASE-T needs four pairs,
 *         10BASE-T and 100BASE-TX use pins 1-2 and 3-6); RFC 3635
 */
#include "diagnose/damage.h"
#include "diagnose/findings.h"
#include "diagnose/port_places.h"

#include <inttypes.h>
#include <string.h>

enum {
	HALVES = FL_MODE_10_HALF | FL_MODE_100_HALF | FL_MODE_1000_HALF,
};

static const struct fl_port_state *port_at(const struct fl_case *c, size_t i)
{
	size_t n;
	return &fl_ledger_ports(c->ledger, &n)[i];
}

static uint32_t fastest(uint32_t modes)
{
	static const struct { uint32_t any, mbit; } rows[] = {
		{ FL_MODE_10000_FULL, 10000 }, { FL_MODE_5000_FULL, 5000 },
		{ FL_MODE_2500_FULL, 2500 },
		{ FL_MODE_1000_FULL | FL_MODE_1000_HALF, 1000 },
		{ FL_MODE_100_FULL | FL_MODE_100_HALF, 100 },
		{ FL_MODE_10_FULL | FL_MODE_10_HALF, 10 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		if (modes & rows[i].any)
			return rows[i].mbit;
	return 0;
}

/* ---- slow ---- */

/* The kernel did not tell what the other end can do, but its LLDP may. */
static uint32_t told_by_neighbour(const struct fl_case *c, const struct fl_port_state *s)
{
	size_t stations, presences;
	const struct fl_station *all = fl_ledger_stations(c->ledger, &stations);
	const struct fl_presence *p = fl_ledger_presences(c->ledger, &presences);
	const struct fl_station *only = NULL;
	for (size_t i = 0; i < stations; i++)
		for (size_t k = 0; all[i].neighbour_at && k < presences; k++)
			if (p[k].ear == s->ear && fl_mac_equal(p[k].mac, all[i].mac)) {
				if (only)
					return 0;    /* a switch floods LLDP */
				only = &all[i];
			}
	return only ? only->can_mbit : 0;
}

static const char *pairs_for(uint32_t mbit)
{
	return mbit == 100
		? "1000BASE-T needs all four pairs, 100BASE-TX does with pins 1-2 and "
		  "3-6: look at pins 4-5 and 7-8 of the run, its plugs and joints."
		: mbit == 10
		? "10BASE-T and 100BASE-TX use the same pins, 1-2 and 3-6: a poor pair "
		  "of these, or a speed that was set by hand."
		: "All four pairs carry a link of this speed: a poor pair, or a run too "
		  "long or too poor a kind for more.";
}

static void find_own_slow(struct fl_case *c, const char *id, const struct fl_port_state *s)
{
	const struct fl_port *p = &s->now;
	const uint32_t ours = fastest(p->ours);
	uint32_t theirs = fastest(p->theirs);
	const bool by_lldp = theirs == 0;
	if (by_lldp)
		theirs = told_by_neighbour(c, s);
	/* What both can do is the fastest that both name, where both are told. */
	const uint32_t both = by_lldp ? (ours < theirs ? ours : theirs)
				      : fastest(p->ours & p->theirs);
	const uint32_t carries = fl_run_carries(c->plan, fl_port_place(c, s).run);
	if (!p->link || !p->mbit || !ours || !theirs || p->mbit >= both ||
	    (carries && carries <= p->mbit))
		return;
	struct fl_answer_finding *f = fl_found(c, id, FL_FAULT, p->name,
		fl_region_format(c->region, "The laptop's link at %s runs at %u Mbit/s, "
			"though both ends can do %u.", p->name, p->mbit, both));
	fl_texts_add(c, &f->evidence, pairs_for(p->mbit));
	fl_texts_add(c, &f->evidence, by_lldp
		? "What the other end can do is by its own word (LLDP)."
		: "Both ends advertised it when they agreed.");
	fl_texts_add(c, &f->evidence, "Another lead for the laptop tells the lead from the port.");
}

/* Which is at fault cannot be heard: its switch may do no more. */
static void find_far_slow(struct fl_case *c, const char *id, const struct fl_station *s)
{
	const char *name = fl_name_of(c, s->mac);
	struct fl_place other;
	int run = FL_NONE;
	if (!s->neighbour_at || !s->does_mbit || s->can_mbit <= s->does_mbit)
		return;
	/* A switch speaks of its port that leads to us: told above, if wrong. */
	if (s->capabilities & FL_IS_BRIDGE)
		return;
	for (size_t i = 0; i < c->plan->device_count; i++)
		if (strcmp(c->plan->devices[i].name, name) == 0)
			run = fl_run_at(c->plan, (struct fl_place){
				FL_PLACE_DEVICE, (int)i, 0 }, &other);
	const uint32_t carries = fl_run_carries(c->plan, run);
	if (carries && carries <= s->does_mbit)
		return;
	struct fl_answer_finding *f = fl_found(c, id, FL_REMARK, name,
		fl_region_format(c->region, "%s runs its link at %u Mbit/s and can do %u.",
				 name, s->does_mbit, s->can_mbit));
	fl_texts_add(c, &f->evidence, "By its own word (LLDP); the switch at the other "
		"end may be able to do no more, which cannot be heard.");
	fl_texts_add(c, &f->evidence, pairs_for(s->does_mbit));
}

void fl_find_link_slow(struct fl_case *c, const char *id)
{
	size_t n;
	for (size_t i = 0; i < c->answer->port_count; i++)
		if (c->answer->ports[i].own)
			find_own_slow(c, id, port_at(c, i));
	const struct fl_station *all = fl_ledger_stations(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		find_far_slow(c, id, &all[i]);
}

/* ---- duplex ---- */

void fl_find_half_duplex(struct fl_case *c, const char *id)
{
	for (size_t i = 0; i < c->answer->port_count; i++) {
		const struct fl_answer_port *p = &c->answer->ports[i];
		const struct fl_port *told = &port_at(c, i)->now;
		/* The other end can do nothing else: a matter of its make. */
		const bool only_half = told->theirs && !(told->theirs & ~(uint32_t)HALVES);
		if (!p->link || p->duplex != FL_DUPLEX_HALF || only_half)
			continue;
		struct fl_answer_finding *f = fl_found(c, id,
			told->theirs ? FL_FAULT : FL_DOUBT, p->name,
			fl_region_format(c->region, "The link at %s runs half duplex.",
					 p->name));
		fl_texts_add(c, &f->evidence, told->theirs
			? "Both ends advertised more: one of them was set by hand."
			: "Whoever hears nothing advertised must run half duplex (IEEE Std "
			  "802.3 section 28.2.3.1): likely the other end was set by hand; "
			  "an old hub does so too.");
	}
}

static bool counts(const struct fl_answer_port *p, enum fl_counter c)
{
	return (p->counted >> c & 1) && p->counts[c];
}

/* The half end collides late, where nobody should speak any more; the full
 * end gets the pieces. Symbols are bad only where the medium is: then it is the
 * cable. */
static enum fl_severity mismatch(const struct fl_answer_port *p, const char **why)
{
	const bool damaged = counts(p, FL_COUNT_CRC) || counts(p, FL_COUNT_ALIGNMENT);
	if (p->duplex == FL_DUPLEX_HALF && counts(p, FL_COUNT_LATE_COLLISIONS)) {
		*why = "It collides late at this end, which runs half duplex: the other "
		       "end speaks when it wants, so it runs full.";
		return FL_FAULT;
	}
	if (p->duplex == FL_DUPLEX_FULL && damaged && counts(p, FL_COUNT_FRAGMENTS) &&
	    !counts(p, FL_COUNT_SYMBOL)) {
		*why = "Damaged frames and pieces of frames come in and no bad symbols: the "
		       "other end may break off what it sends, as one that runs half "
		       "duplex does. A cable that is bad damages symbols too, where "
		       "they are counted.";
		return FL_DOUBT;
	}
	return FL_REMARK;
}

void fl_find_duplex_mismatch(struct fl_case *c, const char *id)
{
	for (size_t i = 0; i < c->answer->port_count; i++) {
		const struct fl_answer_port *p = &c->answer->ports[i];
		const char *why = NULL;
		const enum fl_severity severity = mismatch(p, &why);
		if (!why)
			continue;
		struct fl_answer_finding *f = fl_found(c, id, severity, p->name,
			fl_region_format(c->region, "The two ends of the link at %s %s not "
				"agree who may speak when.", p->name,
				severity == FL_FAULT ? "do" : "may"));
		fl_texts_add(c, &f->evidence, why);
		fl_texts_add(c, &f->evidence, "Small frames pass and much traffic both ways "
			"is lost: set both ends to agree by themselves.");
	}
}

/* ---- damaged frames ---- */

static void find_damage(struct fl_case *c, const char *id, const struct fl_damage *d,
			uint32_t mbit, const char *name, const char *where)
{
	static const enum fl_severity severities[] = {
		[FL_DAMAGE_CHANCE] = FL_REMARK, [FL_DAMAGE_DOUBTED] = FL_DOUBT,
		[FL_DAMAGE_SURE] = FL_FAULT,
	};
	const enum fl_damage_verdict verdict = fl_damage_judge(d, mbit);
	if (verdict == FL_DAMAGE_NONE)
		return;
	struct fl_answer_finding *f = fl_found(c, id, severities[verdict], name,
		fl_region_format(c->region, "%s, %" PRIu64 " of %" PRIu64 " frames came "
			"damaged.", where, d->damaged, d->frames));
	fl_texts_add(c, &f->evidence, fl_region_format(c->region,
		"The share lies between %.2g and %.2g (95 in 100); a link may damage "
		"%.2g of frames of full length.", d->low, d->high,
		fl_damage_allowed(mbit)));
	if (verdict == FL_DAMAGE_CHANCE)
		fl_texts_add(c, &f->evidence, "Too few to tell from chance.");
	if (verdict == FL_DAMAGE_DOUBTED)
		fl_texts_add(c, &f->evidence,
			"A plug that is being seated damages one or two.");
}

void fl_find_port_errors(struct fl_case *c, const char *id)
{
	const struct fl_answer *a = c->answer;
	for (size_t i = 0; i < a->port_count; i++) {
		const struct fl_answer_port *p = &a->ports[i];
		const struct fl_damage d = fl_damage_at_port(p);
		find_damage(c, id, &d, p->mbit, p->name, fl_region_format(c->region,
			"%s %s%s%s", p->own ? "At the laptop's port" : "At", p->name,
			p->own || !p->station ? "" : ", which leads to ",
			p->own || !p->station ? "" : p->station));
	}
	/* Only damaged ones: that nothing was heard says so already. Of a live
	 * ear its port tells. */
	for (size_t i = 0; a->anything_heard && !a->live && i < a->ear_count; i++) {
		const struct fl_damage d = fl_damage_at_ear(&a->ears[i]);
		find_damage(c, id, &d, 0, a->ears[i].name, fl_region_format(c->region,
			"At %s", a->ears[i].name));
	}
}

void fl_find_errors_not_counted(struct fl_case *c, const char *id)
{
	for (size_t i = 0; i < c->answer->port_count; i++) {
		const struct fl_answer_port *p = &c->answer->ports[i];
		if (!p->own || p->errors_counted)
			continue;
		struct fl_answer_finding *f = fl_found(c, id, FL_REMARK, p->name,
			fl_region_format(c->region, "The adapter of %s does not count "
				"damaged frames.", p->name));
		fl_texts_add(c, &f->evidence, "Not counted is not none: it drops them "
			"before anybody can see them.");
	}
}

/* ---- the tree holds the port back ---- */

void fl_find_late_forwarding(struct fl_case *c, const char *id)
{
	for (size_t i = 0; i < c->answer->port_count; i++) {
		const struct fl_port_state *s = port_at(c, i);
		char least[FL_TIME_TEXT], most[FL_TIME_TEXT];
		if (s->late == 0 || !c->answer->ports[i].own)
			continue;
		fl_time_interval(s->late_least, least);
		fl_time_interval(s->late_most, most);
		struct fl_answer_finding *f = fl_found(c, id,
			s->late > 1 && s->late == s->ups ? FL_FAULT : FL_DOUBT, s->now.name,
			fl_region_format(c->region, "The switch lets frames through at %s "
				"only %s after the link came.", s->now.name, most));
		fl_texts_add(c, &f->evidence, fl_region_format(c->region,
			"So it was after %u of %u links, %s at the least; its spanning tree "
			"speaks, which listens and learns for 30 s (IEEE Std 802.1D-2004).",
			s->late, s->ups, least));
		fl_texts_add(c, &f->evidence, "A device there is away as long after each "
			"blink: the port of the switch can be set as an edge port.");
		if (s->late < 2)
			fl_texts_add(c, &f->evidence,
				"Seen once: everybody else may have been off until then.");
	}
}
