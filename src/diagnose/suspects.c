/* suspects.c -- the parts of the graph, weighed and shown.
 *
 * Parts with the same devices behind them sound the same: they are one group,
 * split by the odds alone, and shown as equals.
 */
#include "diagnose/inner.h"

#include "diagnose/numbers.h"
#include "diagnose/weigh.h"

#include <stdlib.h>
#include <math.h>
#include <string.h>

enum { SHOWN = 12 };

struct odds { double mode[FL_MODES]; };

enum odds_row {
#define ODDS(kind, dead, unsteady, drops) ROW_##kind,
	FL_ODDS_ROWS(ODDS)
#undef ODDS
};

static const struct odds table[] = {
#define ODDS(kind, dead, unsteady, drops) [ROW_##kind] = { { dead, unsteady, drops } },
	FL_ODDS_ROWS(ODDS)
#undef ODDS
};

struct weighed {
	const struct fl_part *part;
	struct fl_hidden sounds;     /* as an ear tells them apart           */
	const struct fl_candidate *as;
	double hand;                 /* what was seen by hand says of it     */
	double p;
	int group;                   /* the likeliest is 0                   */
};

struct weighing {
	struct fl_case *c;
	struct fl_evidence e;
	struct fl_candidate *candidates;
	struct weighed *parts;
	size_t n;
	struct fl_posterior *out;
};

static void add_odds(struct odds *sum, enum odds_row row, double times)
{
	for (size_t m = 0; m < FL_MODES; m++)
		sum->mode[m] += times * table[row].mode[m];
}

static struct odds odds_of(const struct fl_plan *plan, const struct fl_part *part)
{
	static const enum odds_row rows[] = {
		[FL_PART_LAPTOP] = ROW_LAPTOP, [FL_PART_PORT] = ROW_PORT,
		[FL_PART_SWITCH] = ROW_SWITCH, [FL_PART_FEED] = ROW_FEED,
		[FL_PART_DEVICE] = ROW_DEVICE, [FL_PART_SETTINGS] = ROW_SETTINGS,
		[FL_PART_FILTER] = ROW_FILTER, [FL_PART_RUN] = ROW_CABLE,
	};
	struct odds sum = { { 0 } };
	add_odds(&sum, rows[part->kind], 1);
	if (part->kind == FL_PART_DEVICE)
		add_odds(&sum, ROW_ASLEEP, 1);
	if (part->kind == FL_PART_RUN) {
		const struct fl_run *run = &plan->runs[part->index];
		add_odds(&sum, part->weather ? ROW_PLUG_WEATHER : ROW_PLUG_INSIDE, 1);
		add_odds(&sum, ROW_PLUG_INSIDE, 1);
		add_odds(&sum, ROW_JOINT, (double)run->joint_count);
	}
	return sum;
}

/* ---- weighing ---- */

static struct fl_devices behind_of(const struct weighing *w, size_t part)
{
	const struct fl_part *p = &w->c->graph->parts[part];
	struct fl_devices set = { { 0 } };
	for (size_t i = 0; i < w->e.devices; i++) {
		if (p->kind == FL_PART_SETTINGS || w->e.seen[i] == FL_SEEN_NOTHING ||
		    (p->kind == FL_PART_FILTER && !w->c->standing[i].only_groups))
			continue;
		if (fl_graph_on_way(w->c->graph, i, part))
			fl_devices_add(&set, i);
	}
	return set;
}

/* The odds of a part in one mode, in thousandths: what is known of this very
 * part beside the evidence multiplies them here. */
static double odds_in(const struct weighing *w, const struct fl_part *part,
		      enum fl_mode mode)
{
	const struct odds odds = odds_of(w->c->plan, part);
	/* Set up wrong, and no sign of it seen: it hides nobody. */
	if (part->kind == FL_PART_SETTINGS)
		return mode == FL_DROPS ? odds.mode[FL_DEAD] * FL_SILENT_SETTING : 0;
	return odds.mode[mode] *
	       exp(fl_hand_log(w->c, (size_t)(part - w->c->graph->parts), mode));
}

/* Those who came back from something, so that it matters what touched them. */
static struct fl_devices came_back(const struct fl_evidence *e)
{
	struct fl_devices set = { { 0 } };
	for (size_t i = 0; i < e->episode_count; i++)
		for (size_t k = 0; k < e->episodes[i].back_count; k++)
			fl_devices_add(&set, e->episodes[i].backs[k].device);
	return set;
}

static void make_candidate(struct weighing *w, size_t i, const struct fl_devices *back)
{
	struct weighed *p = &w->parts[i];
	struct fl_candidate *as = &w->candidates[i];
	p->part = &w->c->graph->parts[i];
	p->as = as;
	as->hidden.behind = behind_of(w, i);
	fl_touch(w->c, p->part, back, &as->hidden);
	p->sounds = as->hidden;
	/* A restart sounds the same, whoever took the power away. */
	for (size_t d = 0; d < FL_PLAN_DEVICES; d++)
		if (p->sounds.touch[d] == FL_TOUCH_ITSELF)
			p->sounds.touch[d] = FL_TOUCH_POWER;
	for (int m = 0; m < FL_MODES; m++)
		as->odds[m] = odds_in(w, p->part, (enum fl_mode)m);
	p->hand = fl_hand_log(w->c, i, FL_DEAD);
	/* They hide the same, and whoever came back came back from both alike. */
	as->group = (int)i;
	for (size_t k = 0; k < i; k++)
		if (w->parts[k].hand == p->hand &&
		    memcmp(&w->parts[k].sounds, &p->sounds, sizeof p->sounds) == 0)
			as->group = w->candidates[k].group;
}

static int by_chance(const void *a, const void *b)
{
	const struct weighed *x = a, *y = b;
	if (x->p != y->p)
		return x->p < y->p ? 1 : -1;
	return x->part < y->part ? -1 : x->part > y->part;
}

/* Equals get one number, counted from the likeliest group. */
static void number_groups(struct weighing *w)
{
	for (size_t i = 0; i < w->n; i++) {
		struct weighed *p = &w->parts[i];
		const int own = p->as->group;
		for (size_t g = 0; g < w->n; g++)
			p->group += w->candidates[g].group == (int)g && (
				w->out->group[g] > w->out->group[own] ||
				((int)g < own && w->out->group[g] >= w->out->group[own]));
	}
}

static bool weigh_all(struct weighing *w)
{
	const struct fl_devices back = came_back(&w->e);
	w->n = w->c->graph->part_count;
	w->parts = fl_region_array(w->c->region, w->n + 1, sizeof *w->parts);
	w->candidates = fl_region_array(w->c->region, w->n + 1, sizeof *w->candidates);
	if (!w->parts || !w->candidates)
		return false;
	for (size_t i = 0; i < w->n; i++)
		make_candidate(w, i, &back);
	w->out = fl_weigh(&w->e, w->candidates, w->n, true, w->c->region);
	if (!w->out)
		return false;
	for (size_t i = 0; i < w->n; i++)
		w->parts[i].p = w->out->part[i];
	number_groups(w);
	qsort(w->parts, w->n, sizeof *w->parts, by_chance);
	return true;
}

/* ---- what is shown ---- */

static const char *piece_of(enum fl_part_kind kind)
{
	static const char *const rows[] = {
		[FL_PART_LAPTOP] = "the laptop's own lead, plug or adapter",
		[FL_PART_RUN] = "cable, plugs or joint",
		[FL_PART_PORT] = "the port",
		[FL_PART_SWITCH] = "the switch itself",
		[FL_PART_FEED] = "breaker, fuse or lead",
		[FL_PART_DEVICE] = "broken, asleep or switched off",
		[FL_PART_SETTINGS] = "set up wrong",
		[FL_PART_FILTER] = "holds groups back",
	};
	return rows[kind];
}

static const char *text_of(struct fl_case *c, const struct fl_part *part)
{
	if (part->kind == FL_PART_DEVICE)
		return fl_region_format(c->region, "%s itself: %s", part->text,
					piece_of(part->kind));
	if (part->kind == FL_PART_FEED)
		return fl_region_format(c->region, "%s: its fuse and lead too", part->text);
	return part->text;
}

static void explain(const struct weighing *w, const struct weighed *p,
		    struct fl_answer_suspect *out)
{
	struct fl_case *c = w->c;
	const char *away[FL_PLAN_DEVICES], *here[FL_PLAN_DEVICES];
	size_t n_away = 0, n_here = 0;
	for (size_t i = 0; i < w->e.devices; i++) {
		if (!fl_devices_has(&p->as->hidden.behind, i))
			continue;
		const enum fl_state state = c->standing[i].state;
		if (state == FL_STATE_HEARD)
			here[n_here++] = c->plan->devices[i].name;
		else if (w->e.seen[i] != FL_SEEN_NOTHING)
			away[n_away++] = c->plan->devices[i].name;
	}
	if (n_away)
		fl_texts_add(c, &out->supports, fl_region_format(c->region,
			"%s %s on it and %s not heard as %s should be.",
			fl_list(c, away, n_away), n_away > 1 ? "depend" : "depends",
			n_away > 1 ? "are" : "is", n_away > 1 ? "they" : "it"));
	for (size_t i = 0; i < w->e.devices; i++) {
		char text[FL_LOSS_TEXT];
		const struct fl_answer_loss *loss = &c->answer->devices[i].loss;
		if (fl_devices_has(&p->as->hidden.behind, i) && fl_loses_frames(loss))
			fl_texts_add(c, &out->supports, fl_region_format(c->region,
				"%s: %s missing.", c->plan->devices[i].name,
				fl_loss_text(loss, text)));
	}
	if (n_here && p->part->kind != FL_PART_LAPTOP)
		fl_texts_add(c, &out->speaks_against, fl_region_format(c->region,
			"%s %s on it too and %s heard.", fl_list(c, here, n_here),
			n_here > 1 ? "depend" : "depends", n_here > 1 ? "are" : "is"));
	else if (n_here)
		fl_texts_add(c, &out->speaks_against,
			     "Others are heard through it without a gap.");
}

static void add_equals(const struct weighing *w, const struct weighed *p,
		       struct fl_answer_suspect *out)
{
	for (size_t i = 0; i < w->n; i++)
		if (&w->parts[i] != p && w->parts[i].group == p->group &&
		    w->parts[i].part->kind != FL_PART_SETTINGS)
			fl_texts_add(w->c, &out->equals, w->parts[i].part->key);
}

static bool fed_by(const struct fl_device *d, int feed)
{
	for (size_t i = 0; i < d->feed_count; i++)
		if (d->feeds[i].kind == FL_FEED_SUPPLY && d->feeds[i].index == feed)
			return true;
	return false;
}

/* True if this part should be spoken of: likely, an equal of the first, or on
 * the way of what is missing and cleared by what is heard. */
static bool worth_showing(const struct weighing *w, const struct weighed *p)
{
	if (p->part->kind == FL_PART_SETTINGS || p->part->kind == FL_PART_FILTER)
		return p->p >= 0.03;
	if (p->group == 0 || p->p >= 0.05 || p->part->kind == FL_PART_LAPTOP)
		return true;
	bool feeds_missing = false, feeds_heard = false;
	for (size_t i = 0; i < w->e.devices; i++) {
		if (p->part->kind != FL_PART_FEED ||
		    !fed_by(&w->c->plan->devices[i], p->part->index))
			continue;
		feeds_missing |= !w->c->standing[i].present;
		feeds_heard |= w->c->standing[i].state == FL_STATE_HEARD;
	}
	return feeds_missing && feeds_heard;
}

static bool list_hypotheses(const struct weighing *w)
{
	struct fl_answer *a = w->c->answer;
	a->hypotheses = fl_region_array(w->c->region, w->out->n + 1, sizeof *a->hypotheses);
	if (!a->hypotheses)
		return false;
	for (size_t i = 0; i < w->out->n; i++) {
		const struct fl_hypothesis *h = &w->out->list[i];
		a->hypotheses[i].probability = h->p;
		for (size_t k = 0; k < 2 && h->parts[k] != FL_NO_PART; k++)
			fl_texts_add(w->c, &a->hypotheses[i].parts,
				     w->c->graph->parts[h->parts[k]].key);
	}
	a->hypothesis_count = w->out->n;
	a->rest = w->out->rest;
	return true;
}

static bool show(struct weighing *w)
{
	struct fl_answer *a = w->c->answer;
	a->suspects = fl_region_array(w->c->region, SHOWN, sizeof *a->suspects);
	if (!a->suspects || !list_hypotheses(w))
		return false;
	for (size_t i = 0; i < w->n && a->suspect_count < SHOWN; i++) {
		const struct weighed *p = &w->parts[i];
		if (!worth_showing(w, p))
			continue;
		struct fl_answer_suspect *s = &a->suspects[a->suspect_count++];
		*s = (struct fl_answer_suspect){
			.part = p->part->key, .text = text_of(w->c, p->part),
			.piece = piece_of(p->part->kind), .probability = p->p,
			.group = p->group,
		};
		add_equals(w, p, s);
		explain(w, p, s);
	}
	return true;
}

/* Something is amiss enough to speak of suspects at all: somebody is missing,
 * or loses frames as by a part and not as all of the boat does. */
static bool amiss(const struct fl_case *c)
{
	for (size_t i = 0; i < c->plan->device_count; i++) {
		const struct fl_standing *s = &c->standing[i];
		if (s->left || s->state == FL_STATE_UNPLUGGED || s->state == FL_STATE_REPLACED)
			continue;
		if (s->state != FL_STATE_HEARD ||
		    (c->answer->no_fault < FL_NAMED &&
		     fl_loses_frames(&c->answer->devices[i].loss)))
			return true;
	}
	return false;
}

const struct fl_part *fl_part_of(const struct fl_case *c, const char *key)
{
	for (size_t i = 0; i < c->graph->part_count; i++)
		if (strcmp(c->graph->parts[i].key, key) == 0)
			return &c->graph->parts[i];
	return NULL;
}

bool fl_suspect(struct fl_case *c)
{
	struct weighing *w = fl_region_take(c->region, sizeof *w);
	if (!w)
		return false;
	w->c = c;
	w->e.devices = c->plan->device_count;
	w->e.hours = c->seconds / 3600;
	c->answer->no_fault = 1;
	if (w->e.devices == 0 || w->e.devices > FL_PLAN_DEVICES)
		return true;
	if (!fl_gather(c, &w->e) || !weigh_all(w))
		return false;
	c->answer->no_fault = w->out->none;
	c->answer->other = w->out->other;
	if (amiss(c))
		return show(w);
	c->answer->rest = 1 - c->answer->no_fault - c->answer->other;
	return true;
}
