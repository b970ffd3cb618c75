#include "base/time.h"

#include <inttypes.h>
#include <stdio.h>
#include <time.h>

/* Whole seconds, rounded down also before 1970. */
static time_t whole(fl_time t)
{
	return (time_t)(t / FL_SECOND - (t % FL_SECOND < 0));
}

char *fl_time_utc(fl_time t, char out[static FL_TIME_TEXT])
{
	const time_t s = whole(t);
	const int ms = (int)((t - (fl_time)s * FL_SECOND) / FL_MILLISECOND);
	struct tm tm = { 0 };
	(void)gmtime_r(&s, &tm);
	const size_t n = strftime(out, FL_TIME_TEXT, "%Y-%m-%dT%H:%M:%S", &tm);
	(void)snprintf(out + n, FL_TIME_TEXT - n, ".%03dZ", ms);
	return out;
}

char *fl_time_clock(fl_time t, char out[static FL_TIME_TEXT])
{
	const time_t s = whole(t);
	struct tm tm = { 0 };
	(void)localtime_r(&s, &tm);
	(void)strftime(out, FL_TIME_TEXT, "%H:%M:%S", &tm);
	return out;
}

char *fl_time_length(fl_time length, char out[static FL_TIME_TEXT])
{
	const int64_t s = (length + FL_SECOND / 2) / FL_SECOND;
	if (s < 120)
		(void)snprintf(out, FL_TIME_TEXT, "%" PRId64 " s", s);
	else if (s < 3600 && s % 60)
		(void)snprintf(out, FL_TIME_TEXT, "%" PRId64 " min %" PRId64 " s",
			       s / 60, s % 60);
	else if (s < 3600)
		(void)snprintf(out, FL_TIME_TEXT, "%" PRId64 " min", s / 60);
	else
		(void)snprintf(out, FL_TIME_TEXT, "%" PRId64 " h %" PRId64 " min",
			       s / 3600, s % 3600 / 60);
	return out;
}

char *fl_time_interval(fl_time length, char out[static FL_TIME_TEXT])
{
	if (length < 100 * FL_MILLISECOND)
		(void)snprintf(out, FL_TIME_TEXT, "%" PRId64 " ms",
			       (length + FL_MILLISECOND / 2) / FL_MILLISECOND);
	else
		(void)snprintf(out, FL_TIME_TEXT, "%.*f s",
			       length < 9950 * FL_MILLISECOND &&
			       length % FL_SECOND >= 50 * FL_MILLISECOND &&
			       length % FL_SECOND < 950 * FL_MILLISECOND,
			       (double)length / (double)FL_SECOND);
	return out;
}

char *fl_time_lapse(fl_time lapse, char out[static FL_TIME_TEXT])
{
	return lapse < FL_MINUTE ? fl_time_interval(lapse, out)
				 : fl_time_length(lapse, out);
}
