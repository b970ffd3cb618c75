/* gather.c -- what the ledger holds, as evidence to weigh. */
#include "diagnose/inner.h"

#include "diagnose/numbers.h"

#include <math.h>
#include <string.h>

/* Somebody works on the network now. */
static bool works_now(const struct fl_case *c)
{
	size_t n;
	bool on = false;
	const struct fl_act *acts = fl_ledger_acts(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		if (acts[i].act == FL_HAND_WORK)
			on = strcmp(acts[i].text, "on") == 0;
	return on;
}

/* What a hand did is no fault: its own work while it works, and a network that
 * was switched off and on again. */
static bool is_hand(const struct fl_case *c, const struct fl_happening *h)
{
	if (h->what == FL_HAPPENED_WORK)
		return !h->open || works_now(c);
	return h->what == FL_HAPPENED_NETWORK_OFF && !h->open;
}

static bool is_like(const struct fl_episode *a, const struct fl_episode *b)
{
	if (!fl_devices_equal(&a->fell, &b->fell) ||
	    !fl_devices_equal(&a->stayed, &b->stayed) || a->open != b->open ||
	    a->back_count != b->back_count)
		return false;
	for (size_t i = 0; i < a->back_count; i++)
		if (a->backs[i].device != b->backs[i].device)
			return false;
	return true;
}

static void keep_episode(struct fl_evidence *e, const struct fl_episode *g)
{
	for (size_t i = 0; i < e->episode_count; i++) {
		struct fl_episode *like = &e->episodes[i];
		if (!is_like(like, g))
			continue;
		like->count++;
		for (size_t b = 0; b < g->back_count; b++)
			for (size_t r = 0; r < FL_RETURNS; r++)
				like->backs[b].log[r] += (g->backs[b].log[r] -
					like->backs[b].log[r]) / like->count;
		return;
	}
	if (e->episode_count < FL_EVIDENCE_EPISODES)
		e->episodes[e->episode_count++] = *g;
}

static void add_back(const struct fl_case *c, struct fl_episode *g,
		     const struct fl_dropout *d)
{
	const int device = fl_device_of(c, d);
	if (!d->first || !d->spoke || device < 0)
		return;
	/* Of several stations of a device, or ears, the first to tell. */
	for (size_t i = 0; i < g->back_count; i++)
		if (g->backs[i].device == (size_t)device)
			return;
	struct fl_back *b = &g->backs[g->back_count++];
	b->device = (size_t)device;
	memcpy(b->log, d->returned, sizeof b->log);
}

static bool gather_episodes(struct fl_case *c, struct fl_evidence *e)
{
	size_t n;
	const struct fl_dropout *all = fl_ledger_dropouts(c->ledger, &n);
	e->background = FL_BACKGROUND;
	for (size_t i = 0; i < c->happening_count; i++) {
		const struct fl_happening *h = &c->happenings[i];
		struct fl_episode g = { .fell = h->fell, .stayed = h->stayed,
					.open = h->open, .count = 1 };
		if (is_hand(c, h))
			continue;
		g.backs = fl_region_array(c->region, h->fallen + 1, sizeof *g.backs);
		if (!g.backs)
			return false;
		for (size_t k = 0; k < h->n; k++) {
			const struct fl_dropout *d = &all[h->dropouts[k]];
			if (d->kind == FL_BLINK)
				e->background = FL_BLINKS;
			add_back(c, &g, d);
		}
		keep_episode(e, &g);
	}
	return true;
}

static bool in_hand(const struct fl_case *c, size_t device)
{
	bool hand = false;
	for (size_t i = 0; i < c->happening_count; i++) {
		const struct fl_happening *h = &c->happenings[i];
		if (fl_devices_has(&h->fell, device) && h->open)
			hand = is_hand(c, h);
	}
	return hand;
}

static void see_devices(const struct fl_case *c, struct fl_evidence *e)
{
	for (size_t i = 0; i < e->devices; i++) {
		const struct fl_standing *s = &c->standing[i];
		e->unheard[i] = s->heard ? 1e-4 : fmin(fmax(s->unheard, 1e-12), 0.999);
		e->seen[i] = s->state == FL_STATE_UNPLUGGED || s->left ||
			       s->state == FL_STATE_REPLACED || in_hand(c, i)
				? FL_SEEN_NOTHING
			     : s->heard ? FL_SEEN_HEARD : FL_SEEN_NEVER;
	}
}

/* As counted for the answer. */
static void see_losses(const struct fl_case *c, struct fl_evidence *e)
{
	for (size_t i = 0; i < c->answer->device_count && i < e->devices; i++) {
		const struct fl_answer_loss *loss = &c->answer->devices[i].loss;
		if (!loss->known || e->seen[i] == FL_SEEN_NOTHING)
			continue;
		e->received[i] = loss->received;
		e->missed[i] = loss->missed;
	}
}

bool fl_gather(struct fl_case *c, struct fl_evidence *e)
{
	see_devices(c, e);
	see_losses(c, e);
	return gather_episodes(c, e);
}
