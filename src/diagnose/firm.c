#include "diagnose/firm.h"

#include "stats/silence.h"

#include <math.h>

static const struct fl_beats another_day = { .heard = 10 };

/* Of a fast stream too, only one beat a second is told. */
static double beat_of(const struct fl_device *d)
{
	return fmax(1, (double)d->cadence / (double)FL_SECOND);
}

double fl_firm_log(const struct fl_device *device, double seconds)
{
	const double n = floor((seconds - 1) / beat_of(device));
	return n < 1 ? 0 : fl_silence_log(&another_day, n > 400 ? 400 : (uint32_t)n);
}

fl_time fl_firm_within(const struct fl_plan *plan, size_t *unknown)
{
	const uint32_t beats = fl_silence_needed(&another_day, FL_DROPOUT_LOG);
	fl_time longest = 0;
	*unknown = 0;
	for (size_t i = 0; i < plan->device_count; i++) {
		const struct fl_device *d = &plan->devices[i];
		if (d->cadence == 0 || d->cadence_to_group) {
			(*unknown)++;
			continue;
		}
		const fl_time needed = (fl_time)((beats * beat_of(d) + 1) * 1e9);
		longest = needed > longest ? needed : longest;
	}
	return longest;
}
