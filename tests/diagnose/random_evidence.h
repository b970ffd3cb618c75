/* random_evidence.h -- evidence of boats nobody thought of, without frames:
 * devices on a tree of switches, parts that hide them, episodes, losses. */
#ifndef FL_TESTS_RANDOM_EVIDENCE_H
#define FL_TESTS_RANDOM_EVIDENCE_H

#include "diagnose/weigh.h"

#include <math.h>
#include <string.h>

struct draw { uint64_t state; };

static inline uint64_t draw_next(struct draw *d)      /* splitmix64 */
{
	uint64_t z = d->state += UINT64_C(0x9e3779b97f4a7c15);
	z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
	z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
	return z ^ (z >> 31);
}

static inline double draw(struct draw *d)
{
	return (double)(draw_next(d) >> 11) / 9007199254740992.0;
}

static inline size_t draw_below(struct draw *d, size_t n)
{
	return (size_t)(draw_next(d) % n);
}

/* A part hides one device, or all from some number on (behind a switch). */
static inline void draw_parts(struct draw *d, struct fl_candidate *parts, size_t n,
			      size_t devices)
{
	for (size_t i = 0; i < n; i++) {
		const bool wide = draw(d) < 0.2;
		const size_t first = draw_below(d, devices);
		const size_t last = wide ? first + draw_below(d, devices - first)
					 : first;
		const uint8_t touch = (uint8_t)draw_below(d, FL_TOUCHES);
		for (size_t k = first; k <= last; k++) {
			fl_devices_add(&parts[i].hidden.behind, k);
			parts[i].hidden.touch[k] = touch;
		}
		for (size_t m = 0; m < FL_MODES; m++)
			parts[i].odds[m] = draw(d) < 0.2 ? 0 : 12 * draw(d) + 0.5;
		parts[i].group = (int)i;
	}
}

/* An episode as a part makes it, or anything at all. */
static inline void draw_episode(struct draw *d, const struct fl_evidence *e,
				const struct fl_candidate *part, bool open,
				struct fl_episode *g, struct fl_back *backs)
{
	*g = (struct fl_episode){ .count = 1 + (double)draw_below(d, 9), .backs = backs,
				  .open = open };
	for (size_t i = 0; i < e->devices; i++) {
		const bool behind = fl_devices_has(&part->hidden.behind, i);
		if (draw(d) < (behind ? 0.9 : 0.03))
			fl_devices_add(&g->fell, i);
		else if (draw(d) < 0.8)
			fl_devices_add(&g->stayed, i);
		if (!fl_devices_has(&g->fell, i) || g->open || draw(d) < 0.5)
			continue;
		struct fl_back *b = &backs[g->back_count++];
		b->device = i;
		for (size_t r = 0; r < FL_RETURNS; r++)
			b->log[r] = -6 * draw(d);
	}
	if (memcmp(&g->fell, &(struct fl_devices){ { 0 } }, sizeof g->fell) != 0)
		return;
	g->stayed = (struct fl_devices){ { 0 } };
	fl_devices_add(&g->fell, draw_below(d, e->devices));
}

/* False: the region is full. */
static inline bool draw_evidence(struct draw *d, struct fl_evidence *e,
				 const struct fl_candidate *parts, size_t n,
				 size_t guilty, size_t episodes, struct fl_region *region)
{
	e->hours = 0.05 + 8 * draw(d);
	e->background = draw(d) < 0.5 ? 0.002 : 0.05;
	for (size_t i = 0; i < e->devices; i++) {
		const double kind = draw(d), at = draw(d);
		e->seen[i] = kind < 0.05 ? FL_SEEN_NOTHING
			   : kind < 0.15 ? FL_SEEN_NEVER : FL_SEEN_HEARD;
		e->unheard[i] = e->seen[i] == FL_SEEN_HEARD ? 1e-4 : pow(10, -6 * at);
		if (e->unheard[i] > 0.999)
			e->unheard[i] = 0.999;
		if (e->seen[i] != FL_SEEN_HEARD || draw(d) < 0.3)
			continue;
		e->received[i] = 100 + draw_below(d, 100000);
		e->missed[i] = (uint64_t)((double)e->received[i] * 0.3 *
					  pow(draw(d), 8));
	}
	for (size_t i = 0; i < episodes && i < FL_EVIDENCE_EPISODES; i++) {
		struct fl_back *backs = fl_region_array(region, e->devices, sizeof *backs);
		if (!backs)
			return false;
		const size_t by = draw(d) < 0.8 ? draw_below(d, guilty) : draw_below(d, n);
		/* Few can last to the end: each device falls out of one. */
		draw_episode(d, e, &parts[by], i + 3 >= episodes && draw(d) < 0.5,
			     &e->episodes[e->episode_count++], backs);
	}
	return true;
}

#endif
