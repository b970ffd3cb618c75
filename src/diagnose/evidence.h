/* evidence.h -- what was seen, as plain values, and how well one fault
 * or two explain it.
 *
 * Standing states go by a noisy-OR. Of episodes each has one cause: the faults
 * and chance have shares of them, averaged over a grid of shares.
 *
 * Source  Pearl 1988 and Henrion (noisy-OR with a leak); numbers.h
 * Shapes  bit sets over devices, FL_EVIDENCE_WORDS words each
 * Units   natural logarithms of likelihoods; hours
 * Ceiling FL_PLAN_DEVICES devices, FL_EVIDENCE_EPISODES episodes: like ones
 *         are one row with a count, so that more add little
 * Owns    scale and columns lie in the region given
 */
#ifndef FL_DIAGNOSE_EVIDENCE_H
#define FL_DIAGNOSE_EVIDENCE_H

#include "base/region.h"
#include "ledger/ledger.h"
#include "plan/plan.h"

enum {
	FL_EVIDENCE_WORDS = FL_PLAN_DEVICES / 64,
	FL_EVIDENCE_EPISODES = 256,
};

struct fl_devices { uint64_t bits[FL_EVIDENCE_WORDS]; };

static inline bool fl_devices_has(const struct fl_devices *set, size_t i)
{
	return set->bits[i / 64] >> (i % 64) & 1;
}

static inline void fl_devices_add(struct fl_devices *set, size_t i)
{
	set->bits[i / 64] |= UINT64_C(1) << (i % 64);
}

bool fl_devices_equal(const struct fl_devices *a, const struct fl_devices *b);

enum fl_seen {
	FL_SEEN_NOTHING,     /* says nothing: unplugged by us, said goodbye  */
	FL_SEEN_HEARD,       /* heard, and there at the end or in an episode */
	FL_SEEN_NEVER,       /* never heard                                  */
};

/* How a fault touches a device behind it, which says how that device comes
 * back from it. */
enum fl_touch {
	FL_TOUCH_FAR,                /* its own link does not see it         */
	FL_TOUCH_LINK,               /* its own link goes with it            */
	FL_TOUCH_POWER,              /* its power does                       */
	FL_TOUCH_ITSELF,             /* it is the device's own               */
	FL_TOUCHES,
};

/* How one of the fallen came back: mean ln L, as the ledger has it. */
struct fl_back {
	size_t device;
	double log[FL_RETURNS];
};

struct fl_episode {
	struct fl_devices fell, stayed;
	bool   open;                 /* it lasts to the end                  */
	double count;                /* so many like this one                */
	struct fl_back *backs;       /* of those that came back              */
	size_t back_count;
};

struct fl_evidence {
	size_t devices;
	enum fl_seen seen[FL_PLAN_DEVICES];
	double unheard[FL_PLAN_DEVICES];   /* P(unheard | there)             */
	struct fl_episode episodes[FL_EVIDENCE_EPISODES];
	size_t episode_count;
	double hours, background;    /* episodes a device-hour               */
	/* Frames counted and missing of each device; both 0: not known.     */
	uint64_t received[FL_PLAN_DEVICES], missed[FL_PLAN_DEVICES];
};

enum fl_mode { FL_DEAD, FL_UNSTEADY, FL_DROPS, FL_MODES };

/* What a fault hides, and how it touches each of these. */
struct fl_hidden {
	struct fl_devices behind;
	uint8_t touch[FL_PLAN_DEVICES];   /* enum fl_touch                  */
};

/* One or two parts at fault, each in a mode. */
struct fl_fault {
	const struct fl_column *column;
	enum fl_mode mode;
};

/* The evidence made ready; NULL: the region is full. It keeps `e`. */
struct fl_scale *fl_scale_new(const struct fl_evidence *e, struct fl_region *region);
/* A part against the evidence, made ready once for all hypotheses that hold
 * it or one with the same `hidden`; it keeps `hidden`. */
struct fl_column *fl_column_new(const struct fl_scale *scale,
				const struct fl_hidden *hidden);
/* ln P(evidence | these n faults and no other); n is 0, 1 or 2. */
double fl_explains(const struct fl_scale *scale, const struct fl_fault *faults, size_t n);
/* At least that of two, and soon known: of two unsteady parts each episode is
 * given to the one that it fits better. */
double fl_explains_at_most(const struct fl_scale *scale, const struct fl_fault faults[2]);
/* ln P(evidence | a cause that is in no plan). */
double fl_explains_other(const struct fl_scale *scale);
/* ln(exp a + exp b) without overflow. */
double fl_log_add(double a, double b);

#endif
