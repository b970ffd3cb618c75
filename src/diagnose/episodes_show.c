/* episodes_show.c -- episodes as a technician would tell them, and whether
 * they come again at even times or near what was marked. */
#include "diagnose/inner.h"

#include "stats/recurrence.h"

#include <math.h>
#include <string.h>

#define NEAR_MARK  (5 * FL_SECOND)    /* shown with the episode: judgement   */
#define MEETS_MARK (10 * FL_SECOND)   /* counted as met: judgement           */
#define BEYOND_CHANCE 0.01
enum { MARKS = 8 };

static const struct fl_dropout *dropout_of(const struct fl_case *c,
					   const struct fl_happening *h, size_t i)
{
	size_t n;
	return &fl_ledger_dropouts(c->ledger, &n)[h->dropouts[i]];
}

static const char *name_of(struct fl_case *c, const struct fl_dropout *d)
{
	size_t n;
	const int device = fl_device_of(c, d);
	if (device >= 0)
		return c->plan->devices[device].name;
	return fl_name_of(c, fl_ledger_presences(c->ledger, &n)[d->presence].mac);
}

static void list_fallen(struct fl_case *c, const struct fl_happening *h,
			struct fl_texts *list)
{
	for (size_t i = 0; i < h->n; i++) {
		const char *name = name_of(c, dropout_of(c, h, i));
		bool told = false;
		for (size_t k = 0; k < list->n; k++)
			told |= strcmp(list->at[k], name) == 0;
		if (!told)
			fl_texts_add(c, list, name);
	}
}

static void list_devices(struct fl_case *c, const struct fl_devices *set,
			 struct fl_texts *list)
{
	for (size_t i = 0; i < c->plan->device_count; i++)
		if (fl_devices_has(set, i))
			fl_texts_add(c, list, c->plan->devices[i].name);
}

static void list_marks(struct fl_case *c, const struct fl_happening *h,
		       struct fl_texts *list)
{
	size_t n;
	const struct fl_act *acts = fl_ledger_acts(c->ledger, &n);
	for (size_t i = 0; i < n && list->n < MARKS; i++)
		if (acts[i].act == FL_HAND_MARK && acts[i].text[0] &&
		    acts[i].at >= h->from - NEAR_MARK &&
		    acts[i].at <= h->from_latest + NEAR_MARK)
			fl_texts_add(c, list, acts[i].text);
}

/* Of those that are back: the mean of their ways, and what cannot be told. */
static void show_ways(const struct fl_case *c, const struct fl_happening *h,
		      struct fl_answer_episode *out)
{
	double n = 0;
	out->cannot_tell = 0;
	for (size_t i = 0; i < h->n; i++) {
		double p[FL_RETURNS];
		const bool told = fl_way_back(dropout_of(c, h, i), p);
		n++;
		for (size_t r = 0; told && r < FL_RETURNS; r++)
			out->returned[r] += p[r];
		out->cannot_tell += !told;
	}
	for (size_t r = 0; r < FL_RETURNS; r++)
		out->returned[r] /= n;
	out->cannot_tell /= n;
}

/* ---- in one sentence ---- */

/* The way that all of them came back; FL_RETURNS: not one and the same. */
static enum fl_return way_of_all(const struct fl_case *c, const struct fl_happening *h)
{
	const enum fl_return way = fl_way_told(dropout_of(c, h, 0));
	for (size_t i = 1; i < h->n; i++)
		if (fl_way_told(dropout_of(c, h, i)) != way)
			return FL_RETURNS;
	return way;
}

static bool boots_are_known(const struct fl_case *c, const struct fl_happening *h)
{
	for (size_t i = 0; i < h->n; i++)
		if (!(dropout_of(c, h, i)->spoke >> FL_BY_BOOT_TIME & 1))
			return false;
	return true;
}

static const char *came_back(struct fl_case *c, const struct fl_happening *h, size_t fell)
{
	static const char *const ways[FL_RETURNS + 1][2] = {
		[FL_REBOOTED] = { "it restarted %s later", "all restarted within %s" },
		[FL_OWN_LINK] = { "back after %s without a restart: its own link was lost",
			"back after %s without a restart: their own links were lost" },
		[FL_UNAWARE] = { "back after %s and noticed nothing: the way farther up was cut",
			"back after %s and noticed nothing: the way farther up was cut" },
		[FL_SOFTWARE] = { "back after %s: its software started anew",
			"back after %s: their software started anew" },
		[FL_PAUSED] = { "back after %s: it had stopped sending by itself",
			"back after %s: they had stopped sending by themselves" },
		[FL_RETURNS] = { "back after %s, how cannot be told",
			"back after %s, how cannot be told of all" },
	};
	char length[FL_TIME_TEXT];
	const enum fl_return way = way_of_all(c, h);
	const char *words = ways[way][fell > 1];
	if (way == FL_REBOOTED && fell == 2)
		words = "both restarted within %s";
	fl_time_interval(h->to - h->from, length);
	const char *at = strstr(words, "%s");
	return fl_region_format(c->region, "%.*s%s%s%s", (int)(at - words), words, length,
		at + 2, way == FL_REBOOTED && boots_are_known(c, h)
			? " (boots as learned)" : "");
}

static const char *sentence(struct fl_case *c, const struct fl_happening *h,
			    const struct fl_answer_episode *e)
{
	char at[FL_TIME_TEXT];
	const char *who = fl_list(c, e->fell.at, e->fell.n);
	const char *end = h->open && e->fell.n > 1 ? "not all are back"
			: h->open ? "it is still away"
			: came_back(c, h, e->fell.n);
	fl_time_clock(h->from, at);
	const char *mark = e->marks.n
		? fl_region_format(c->region, "; marked then: %s", e->marks.at[0]) : "";
	if (h->what == FL_HAPPENED_NETWORK_OFF)
		return fl_region_format(c->region, "At %s all %zu devices fell silent and "
			"none was back within 5 min: the network was switched off%s.",
			at, e->fell.n, mark);
	return fl_region_format(c->region, "At %s %s fell silent%s; %s%s.", at, who,
		h->what == FL_HAPPENED_WORK ? " while somebody worked on the network" : "",
		end, mark);
}

/* ---- again and again ---- */

/* What was listened to, where there is one ear: the time around deaf spans. */
static size_t listened(const struct fl_case *c, struct fl_stretch *out, size_t room)
{
	size_t spans, ears, n = 0;
	const struct fl_deaf_span *deaf = fl_ledger_deaf(c->ledger, &spans);
	(void)fl_ledger_ears(c->ledger, &ears);
	fl_time from = c->from;
	for (size_t i = 0; ears == 1 && i < spans && n + 1 < room; i++) {
		if (deaf[i].from > from)
			out[n++] = (struct fl_stretch){ (double)(from - c->from) / 1e9,
				(double)(deaf[i].from - c->from) / 1e9 };
		from = deaf[i].to > from ? deaf[i].to : from;
	}
	if (c->to > from)
		out[n++] = (struct fl_stretch){ (double)(from - c->from) / 1e9,
						(double)(c->to - c->from) / 1e9 };
	return n;
}

/* Share of the time that lies near a mark, and how many begin there. */
static double near_marks(const struct fl_case *c, const double *begins, size_t n,
			 size_t *hits)
{
	const double near = (double)MEETS_MARK / 1e9;
	size_t acts;
	double covered = 0, until = 0;
	const struct fl_act *act = fl_ledger_acts(c->ledger, &acts);
	*hits = 0;
	for (size_t i = 0; i < acts; i++) {
		const double at = (double)(act[i].at - c->from) / 1e9;
		if (act[i].act != FL_HAND_MARK || at < 0)
			continue;
		covered += fmax(0, at + near - fmax(until, at - near));
		until = fmax(until, at + near);
	}
	for (size_t k = 0; k < n; k++)
		for (size_t i = 0; i < acts; i++)
			if (act[i].act == FL_HAND_MARK &&
			    fabs((double)(act[i].at - c->from) / 1e9 - begins[k]) <= near) {
				++*hits;
				break;
			}
	return c->seconds > 0 ? covered / c->seconds : 1;
}

static double once_in(double chance)
{
	const double n = 1 / fmax(chance, 1e-6);
	const double step = pow(10, floor(log10(n)));
	return floor(n / step) * step;
}

void fl_tell_recurrence(struct fl_case *c)
{
	enum { STRETCHES = 256 };
	struct fl_stretch stretches[STRETCHES];
	double begins[FL_RECURRENCE_EVENTS];
	size_t n = 0, hits, away = 0;
	char period[FL_TIME_TEXT];
	for (size_t i = 0; i < c->happening_count; i++)
		away += c->happenings[i].what == FL_HAPPENED_AWAY;
	for (size_t i = 0, k = 0; i < c->happening_count; i++) {
		const struct fl_happening *h = &c->happenings[i];
		if (h->what == FL_HAPPENED_AWAY && k++ + FL_RECURRENCE_EVENTS >= away)
			begins[n++] = ((double)(h->from - c->from) +
				       (double)(h->from_latest - h->from) / 2) / 1e9;
	}
	if (n < FL_RECURRENCE_LEAST)
		return;
	const struct fl_recurrence r = fl_recurs(begins, n, stretches,
						 listened(c, stretches, STRETCHES));
	if (r.chance < BEYOND_CHANCE)
		fl_texts_add(c, &c->answer->story, fl_region_format(c->region,
			"It recurs every %s (by chance once in %.0f).",
			fl_time_length((fl_time)(r.period * 1e9), period), once_in(r.chance)));
	const double share = near_marks(c, begins, n, &hits);
	const double met = fl_met_by_chance(hits, n, share);
	if (met < BEYOND_CHANCE)
		fl_texts_add(c, &c->answer->story, fl_region_format(c->region,
			"%zu of %zu began within 10 s of a mark (by chance once in %.0f).",
			hits, n, once_in(met)));
}

bool fl_show_episodes(struct fl_case *c)
{
	struct fl_answer *a = c->answer;
	a->episodes = fl_region_array(c->region, c->happening_count + 1, sizeof *a->episodes);
	if (!a->episodes)
		return false;
	for (size_t i = 0; i < c->happening_count; i++) {
		const struct fl_happening *h = &c->happenings[i];
		struct fl_answer_episode *e = &a->episodes[a->episode_count++];
		*e = (struct fl_answer_episode){
			.id = fl_region_format(c->region, "e%zu", i + 1), .what = h->what,
			.from = h->from, .from_latest = h->from_latest,
			.to = h->open ? 0 : h->to,
		};
		list_fallen(c, h, &e->fell);
		list_devices(c, &h->stayed, &e->stayed);
		list_devices(c, &h->blind, &e->blind);
		list_marks(c, h, &e->marks);
		show_ways(c, h, e);
		e->text = sentence(c, h, e);
	}
	return true;
}
