/* damage.h -- how many frames of a port or an ear came damaged, none of them
 * counted twice, and between what limits their share lies.
 *
 * Source  RFC 3635 section 3.2.1 and 4: dot3StatsFCSErrors are of whole octets
 *         and dot3StatsAlignmentErrors are not, so that no frame is both;
 *         neither holds frames too long or too short. RFC 2819: fragments and
 *         jabbers are those, with a bad check sum. dot3StatsSymbolErrors counts
 *         an event on the wire at most once, whose frame mostly fails its check
 *         sum too: the larger of both counts, not the sum. So with ifInErrors
 *         (RFC 2863), which tells no kinds apart and holds them all
 */
#ifndef FL_DIAGNOSE_DAMAGE_H
#define FL_DIAGNOSE_DAMAGE_H

#include "diagnose/answer.h"

struct fl_damage {
	bool     counted;
	uint64_t damaged, frames;    /* frames: whole and damaged            */
	double   low, high;          /* 95 in 100 limits of the share        */
};

/* Fill the members of a port or an ear that say this. */
void fl_damage_of_port(struct fl_answer_port *port);
void fl_damage_of_ear(struct fl_answer_ear *ear);
struct fl_damage fl_damage_at_port(const struct fl_answer_port *port);
struct fl_damage fl_damage_at_ear(const struct fl_answer_ear *ear);

/* What a count of damage says of a link of `mbit` (0: not known). */
enum fl_damage_verdict {
	FL_DAMAGE_NONE,              /* no more than a link may lose         */
	FL_DAMAGE_CHANCE,            /* too little to tell                   */
	FL_DAMAGE_DOUBTED, FL_DAMAGE_SURE,
};
enum fl_damage_verdict fl_damage_judge(const struct fl_damage *damage, uint32_t mbit);
/* Share of damaged frames of full length that its kind of link may have. */
double fl_damage_allowed(uint32_t mbit);

#endif
