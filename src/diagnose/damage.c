#include "diagnose/damage.h"

#include "stats/limits.h"

#include <math.h>

#define LEVEL 0.95

/* Objectives of a channel as bad as the standard allows: 10BASE-T 1e-8 (IEEE
 * Std 802.3 clause 14), 100BASE-TX and 1000BASE-T 1e-10 (clause 40.1), 2.5G and
 * more 1e-12 (clauses 55 and 126; from memory). A short lead does far better,
 * so what surely exceeds them is a fault. */
double fl_damage_allowed(uint32_t mbit)
{
	enum { FULL_LENGTH = 1518 };
	const double bits = mbit == 10 ? 1e-8 : mbit >= 2500 ? 1e-12 : 1e-10;
	return -expm1(8 * FULL_LENGTH * log1p(-bits));
}

static struct fl_damage damage(bool counted, uint64_t damaged, uint64_t frames)
{
	struct fl_damage d = { .counted = counted, .damaged = damaged, .frames = frames };
	if (counted) {
		const struct fl_limits share = fl_share_limits(damaged, frames, LEVEL);
		d.low = share.low;
		d.high = share.high;
	}
	return d;
}

struct fl_damage fl_damage_at_port(const struct fl_answer_port *p)
{
	static const enum fl_counter sums[] = {
		FL_COUNT_CRC, FL_COUNT_ALIGNMENT, FL_COUNT_JABBERS, FL_COUNT_FRAGMENTS,
	};
	const uint64_t symbols = p->counts[FL_COUNT_SYMBOL];
	uint64_t damaged = 0;
	bool counted = p->counted >> FL_COUNT_SYMBOL & 1;
	for (size_t i = 0; i < sizeof sums / sizeof sums[0]; i++) {
		/* "Entirely normal" where two may speak at once, RFC 2819. */
		if (sums[i] == FL_COUNT_FRAGMENTS && p->duplex == FL_DUPLEX_HALF)
			continue;
		counted |= p->counted >> sums[i] & 1;
		damaged += p->counts[sums[i]];
	}
	if (symbols > damaged)
		damaged = symbols;
	counted |= p->counted >> FL_COUNT_ERRORS & 1;
	if (p->counts[FL_COUNT_ERRORS] > damaged)
		damaged = p->counts[FL_COUNT_ERRORS];
	return damage(counted, damaged, p->counts[FL_COUNT_RECEIVED] + damaged);
}

void fl_damage_of_port(struct fl_answer_port *p)
{
	const struct fl_damage d = fl_damage_at_port(p);
	p->errors_counted = d.counted;
	p->error_frames = d.damaged;
	p->error_low = d.low;
	p->error_high = d.high;
}

struct fl_damage fl_damage_at_ear(const struct fl_answer_ear *e)
{
	return damage(e->errors_known, e->errors, e->frames);
}

void fl_damage_of_ear(struct fl_answer_ear *e)
{
	const struct fl_damage d = fl_damage_at_ear(e);
	e->error_low = d.low;
	e->error_high = d.high;
}

/* A plug that is being seated damages a frame or two: judgement. */
enum { SEATING = 2 };

enum fl_damage_verdict fl_damage_judge(const struct fl_damage *d, uint32_t mbit)
{
	const double allowed = fl_damage_allowed(mbit);
	if (!d->counted || d->damaged == 0 || d->high < allowed)
		return FL_DAMAGE_NONE;
	if (d->low < allowed)
		return FL_DAMAGE_CHANCE;
	return d->damaged > SEATING ? FL_DAMAGE_SURE : FL_DAMAGE_DOUBTED;
}
