/* bins.c -- the beat of a station that sends at random.
 *
 * Time is cut into bins of several widths. One that nearly always holds a
 * frame serves as a beat. Numbers: judgement, see DEVELOPERS.md "Silence".
 */
#include "ledger/inner.h"

static const fl_time widths[FL_BINS] = {
	1 * FL_SECOND, 2 * FL_SECOND, 5 * FL_SECOND, 10 * FL_SECOND,
	15 * FL_SECOND, 20 * FL_SECOND, 30 * FL_SECOND,
};

enum { SHORT_RUN = 5, ENOUGH_FULL = 30 };

void fl_bins_beat(struct fl_presence *p, fl_time t)
{
	for (size_t i = 0; i < FL_BINS; i++) {
		struct fl_bin *b = &p->bins[i];
		const int64_t number = t / widths[i];
		const int64_t skipped = number - b->current - 1;
		if (b->full && skipped < 0)
			continue;
		if (b->full == 0)
			b->first = number;
		const bool brief = b->full && skipped <= SHORT_RUN;
		if (brief)
			b->empty += (uint32_t)skipped;
		if (brief || b->full == 0)
			fl_beats_count(&b->beats, brief ? (uint32_t)skipped : 0);
		b->full++;
		b->current = number;
	}
}

/* At least 60 % of all bins since the first full, and of the empty ones those
 * in short runs at most 20 % of these: who was away for longer than it was
 * heard has no beat to be judged by. */
static bool serves(const struct fl_bin *b)
{
	const int64_t all = b->current - b->first + 1;
	return b->full >= ENOUGH_FULL && b->full * INT64_C(10) >= all * 6 &&
	       b->empty * INT64_C(5) <= b->full;
}

const struct fl_bin *fl_bins_best(const struct fl_presence *p, fl_time *width)
{
	const struct fl_bin *best = NULL;
	fl_time soonest = INT64_MAX;
	for (size_t i = 0; i < FL_BINS; i++) {
		const struct fl_bin *b = &p->bins[i];
		if (!serves(b))
			continue;
		const fl_time needs = widths[i] *
			(1 + (fl_time)fl_silence_needed(&b->beats, FL_DROPOUT_LOG));
		if (needs < soonest) {
			soonest = needs;
			best = b;
			*width = widths[i];
		}
	}
	return best;
}

uint32_t fl_bins_missed(const struct fl_bin *b, fl_time width, fl_time heard,
			fl_time now)
{
	/* The tolerance is one bin: the one in which `now` lies counts not,
	 * nor does the one before it. */
	const int64_t since = heard / width > b->current ? heard / width : b->current;
	const int64_t n = now / width - since - 2;
	return n < 0 ? 0 : n > 100000 ? 100000 : (uint32_t)n;
}
