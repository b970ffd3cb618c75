/* silence.h -- how likely a row of missed beats is while nothing is wrong.
 *
 * With h due beats heard and k missed, n missed in a row have, under "still
 * there", at most the probability
 *
 *     P_n = f_0 f_1 ... f_(n-1)
 *     f_0 = max(r_0, 1e-4),  f_j = max(r_j, c) for j >= 1
 *     r_j = (1 + k + j) / (21 + h + k + j)          prior Beta(1, 20)
 *     c   = max(0.05, (1/2 + b) / (10 + a))
 *
 * where a beats were due right after a missed one and b of these were missed
 * too: losses that come in bursts raise c, so that one burst more is no news.
 *
 * Source  judgement: prior, floors and the burst term c; DEVELOPERS.md,
 *         "Silence", says how they were measured
 * Units   beats; natural logarithms
 * Errors  none
 */
#ifndef FL_STATS_SILENCE_H
#define FL_STATS_SILENCE_H

#include <stdbool.h>
#include <stdint.h>

#define FL_SILENT_LOG  (-9.210340371976182)    /* ln 1e-4: a state shown   */
#define FL_DROPOUT_LOG (-18.420680743952367)   /* ln 1e-8: an event        */
/* ln 3e-9: an event that was over before it was one; nothing hurries there, and
 * losses that come in bursts end by themselves. Judgement. */
#define FL_ENDED_LOG   (-19.624653548278303)

struct fl_beats {
	uint32_t heard, missed;           /* due beats, of the last 10 000 */
	uint32_t after_miss, after_miss_missed;
};

/* Count a beat that came after `missed` due beats that did not. */
void fl_beats_count(struct fl_beats *beats, uint32_t missed);
/* ln P_n of n missed in a row; 0 for n = 0. */
double fl_silence_log(const struct fl_beats *beats, uint32_t n);
/* The least n with ln P_n < limit. */
uint32_t fl_silence_needed(const struct fl_beats *beats, double limit);

#endif
