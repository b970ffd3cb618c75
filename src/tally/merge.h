/* merge.h -- the observations of several sources as one sequence.
 *
 * Each source numbers its own ears and streams and goes at its own pace. The
 * merge keeps the order within each source, goes by time between them, and
 * gives out one set of numbers. An ear that begins when another of its name
 * has ended goes on as the same ear: a capture cut into files is one place.
 *
 * Owns    copies of what waits
 * Errors  fl_merge_full(): a source was given up for want of memory or numbers
 * Ceiling FL_MERGE_INPUTS sources, FL_MERGE_EARS ears, FL_MERGE_STREAMS streams
 */
#ifndef FL_TALLY_MERGE_H
#define FL_TALLY_MERGE_H

#include "event/observation.h"

enum { FL_MERGE_INPUTS = 256, FL_MERGE_EARS = 64, FL_MERGE_STREAMS = 8192 };

struct fl_merge;

struct fl_merge *fl_merge_new(size_t inputs, struct fl_observer observer);
void fl_merge_free(struct fl_merge *merge);
/* Where source `input` hands its observations. */
struct fl_observer fl_merge_input(struct fl_merge *merge, size_t input);
/* Every source has told all that lies before t: hand it on. */
void fl_merge_release(struct fl_merge *merge, fl_time t);
bool fl_merge_full(const struct fl_merge *merge);

#endif
