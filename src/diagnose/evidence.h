/* evidence.h -- what was seen, as plain values, and how well a single fault
 * explains it.
 *
 * Source  Pearl 1988 and Henrion (noisy-OR with a leak); numbers.h
 * Shapes  bit sets over devices, FL_EVIDENCE_WORDS words each
 * Units   natural logarithms of likelihoods; hours
 * Ceiling FL_PLAN_DEVICES devices, FL_EVIDENCE_EPISODES episodes: like ones
 *         are one row with a count, so that more add little
 */
#ifndef FL_DIAGNOSE_EVIDENCE_H
#define FL_DIAGNOSE_EVIDENCE_H

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
};

enum fl_mode { FL_DEAD, FL_UNSTEADY, FL_DROPS, FL_MODES };

/* What a fault hides, and how it touches each of these. */
struct fl_hidden {
	struct fl_devices behind;
	uint8_t touch[FL_PLAN_DEVICES];   /* enum fl_touch                  */
};

/* ln P(evidence | this one fault). No fault: nobody hidden and FL_DROPS. */
double fl_explains(const struct fl_evidence *e, const struct fl_hidden *hidden,
		   enum fl_mode mode);
/* ln P(evidence | a cause that is in no plan). */
double fl_explains_other(const struct fl_evidence *e);
/* ln(exp a + exp b) without overflow. */
double fl_log_add(double a, double b);

#endif
