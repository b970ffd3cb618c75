/* findings.c -- devices that are missing, replaced or unknown. */
#include "diagnose/findings.h"

#include <string.h>

enum { MOST_FINDINGS = 200, MOST_TEXTS = 64 };

static const struct {
	const char *id;
	fl_find_fn *find;
} rows[] = {
#define FINDING(id, function, means) { id, fl_##function },
#include "diagnose/findings.def"
#undef FINDING
};

bool fl_find(struct fl_case *c)
{
	/* One slot more, for those beyond the ceiling to fall into. */
	c->answer->findings = fl_region_array(c->region, MOST_FINDINGS + 1,
					      sizeof *c->answer->findings);
	if (!c->answer->findings)
		return false;
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
		rows[i].find(c, rows[i].id);
	return true;
}

struct fl_answer_finding *fl_found(struct fl_case *c, const char *id,
				   enum fl_severity severity,
				   const char *subject, const char *text)
{
	struct fl_answer *a = c->answer;
	struct fl_answer_finding *f = &a->findings[a->finding_count];
	a->finding_count += a->finding_count < MOST_FINDINGS;
	*f = (struct fl_answer_finding){
		.id = id, .severity = severity, .subject = subject, .text = text,
	};
	return f;
}

void fl_texts_add(struct fl_case *c, struct fl_texts *list, const char *text)
{
	if (!list->at)
		list->at = fl_region_array(c->region, MOST_TEXTS, sizeof *list->at);
	if (list->at && list->n < MOST_TEXTS)
		list->at[list->n++] = text;
}

const char *fl_list(struct fl_case *c, const char *const *names, size_t n)
{
	if (n == 0)
		return "";
	if (n == 1)
		return names[0];
	if (n == 2)
		return fl_region_format(c->region, "%s and %s", names[0], names[1]);
	if (n == 3)
		return fl_region_format(c->region, "%s, %s and %s", names[0], names[1],
					names[2]);
	return fl_region_format(c->region, "%s, %s and %zu more", names[0], names[1], n - 2);
}

/* ---- nothing, or another boat ---- */

void fl_find_nothing_heard(struct fl_case *c, const char *id)
{
	const struct fl_answer *a = c->answer;
	if (a->anything_heard)
		return;
	uint64_t own = 0, damaged = 0;
	for (size_t i = 0; i < a->ear_count; i++) {
		own += a->ears[i].own;
		damaged += a->ears[i].errors;
	}
	const char *text = damaged
		? fl_region_format(c->region,
			"Only damaged frames were heard (%llu): the laptop's own lead, "
			"its plug or the port.", (unsigned long long)damaged)
		: own ? fl_region_format(c->region,
			"Only the laptop's own frames were heard (%llu), nobody else's.",
			(unsigned long long)own)
		: "Not one frame was heard.";
	struct fl_answer_finding *f = fl_found(c, id, FL_FAULT, "laptop lead", text);
	fl_texts_add(c, &f->evidence, own
		? "The port was up, so frames left; none came in."
		: "The laptop's lead, its port, or the switch and its supply.");
}

/* The plan knows its devices, some stations are heard, none is one of them. */
void fl_find_other_network(struct fl_case *c, const char *id)
{
	size_t named = 0, matched = 0, planned = c->plan->device_count;
	for (size_t i = 0; i < planned; i++) {
		const struct fl_device *d = &c->plan->devices[i];
		named += d->mac_count || d->glob || d->service ||
			 !fl_ip_is_none(d->address);
		matched += c->standing[i].heard;
	}
	if (named < 2 || matched > 0 || c->answer->station_count < 3)
		return;
	struct fl_answer_finding *f = fl_found(c, id, FL_FAULT, "laptop lead",
		fl_region_format(c->region,
			"This seems to be another network: %zu stations are heard, "
			"none of the plan's %zu devices is among them.",
			c->answer->station_count, planned));
	fl_texts_add(c, &f->evidence,
		"The wrong plug, another VLAN, or another boat's plan.");
}

/* ---- missing ---- */

static const char *absence(struct fl_case *c, size_t i)
{
	const struct fl_standing *s = &c->standing[i];
	const struct fl_device *d = &c->plan->devices[i];
	char long_text[FL_TIME_TEXT], every[FL_TIME_TEXT], clock[FL_TIME_TEXT];
	const fl_time cadence = s->cadence ? s->cadence : d->cadence;
	fl_time_interval(cadence, every);
	if (s->heard)
		return fl_region_format(c->region, "Silent since %s (%s)%s%s.",
			fl_time_clock(s->last, clock),
			fl_time_length(c->to - s->last, long_text),
			cadence ? "; due every " : "", cadence ? every : "");
	return fl_region_format(c->region, "Not heard at all in %s%s%s.",
		fl_time_length((fl_time)(c->seconds * (double)FL_SECOND), long_text),
		cadence ? "; due every " : "", cadence ? every : "");
}

void fl_find_missing(struct fl_case *c, const char *id)
{
	static const struct { enum fl_state state; enum fl_severity severity; } told[] = {
		{ FL_STATE_SILENT,  FL_FAULT }, { FL_STATE_ABSENT, FL_FAULT },
		{ FL_STATE_UNHEARD, FL_DOUBT }, { FL_STATE_ASLEEP, FL_DOUBT },
	};
	if (!c->answer->anything_heard)
		return;
	for (size_t i = 0; i < c->plan->device_count; i++)
		for (size_t k = 0; k < sizeof told / sizeof told[0]; k++) {
			const struct fl_standing *s = &c->standing[i];
			const struct fl_device *d = &c->plan->devices[i];
			if (s->state != told[k].state)
				continue;
			const char *text = s->left
				? fl_region_format(c->region,
					"%s said that it goes, and went.", d->name)
				: k < 2 ? fl_region_format(c->region, "%s is missing.", d->name)
				: k == 2 ? fl_region_format(c->region, "%s is not heard.", d->name)
				: fl_region_format(c->region, "%s is asleep or missing: %s, which "
					"wakes it, is not heard.", d->name,
					c->plan->devices[d->woken_by].name);
			struct fl_answer_finding *f = fl_found(c, id,
				s->left ? FL_REMARK : told[k].severity, d->name, text);
			fl_texts_add(c, &f->evidence, absence(c, i));
		}
}

/* ---- who is who ---- */

void fl_find_replaced(struct fl_case *c, const char *id)
{
	for (size_t i = 0; i < c->plan->device_count; i++) {
		const struct fl_matched *m = &c->matching->devices[i];
		char mac[FL_MAC_TEXT];
		if (m->replaced)
			fl_found(c, id, FL_REMARK, c->plan->devices[i].name,
				fl_region_format(c->region,
				"%s was replaced: its name is heard from %s, which the plan "
				"does not know.", c->plan->devices[i].name,
				fl_mac_text(m->replacement, mac)));
	}
}

void fl_find_ambiguous(struct fl_case *c, const char *id)
{
	size_t n;
	const struct fl_station *stations = fl_ledger_stations(c->ledger, &n);
	for (size_t i = 0; i < c->plan->device_count; i++) {
		const struct fl_matched *m = &c->matching->devices[i];
		if (!m->ambiguous)
			continue;
		struct fl_answer_finding *f = fl_found(c, id, FL_DOUBT,
			c->plan->devices[i].name, fl_region_format(c->region,
			"%zu stations fit %s: give its MAC address in the plan.",
			m->rival_count, c->plan->devices[i].name));
		for (size_t k = 0; k < m->rival_count; k++) {
			char mac[FL_MAC_TEXT];
			fl_texts_add(c, &f->evidence, fl_region_format(c->region, "%s fits.",
				fl_mac_text(stations[m->rivals[k]].mac, mac)));
		}
	}
}

void fl_find_unplanned(struct fl_case *c, const char *id)
{
	const struct fl_answer *a = c->answer;
	if (c->plan->device_count == 0)
		return;
	size_t n = 0;
	for (size_t i = 0; i < a->station_count; i++)
		n += a->stations[i].planned == NULL;
	if (n == 0)
		return;
	struct fl_answer_finding *f = fl_found(c, id, FL_REMARK, "segment",
		fl_region_format(c->region, "%zu station%s heard that the plan does not name.",
				 n, n == 1 ? " is" : "s are"));
	for (size_t i = 0; i < a->station_count; i++)
		if (!a->stations[i].planned)
			fl_texts_add(c, &f->evidence, fl_region_format(c->region, "%s%s%s.",
				fl_name_of(c, a->stations[i].mac),
				a->stations[i].guess ? ": " : "",
				a->stations[i].guess ? a->stations[i].guess : ""));
}
