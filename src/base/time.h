/* time.h -- points in time and their spelling.
 *
 * Units   nanoseconds since 1970-01-01T00:00:00Z; time comes from a frame or
 *         from the caller, never from a clock read here
 */
#ifndef FL_BASE_TIME_H
#define FL_BASE_TIME_H

#include <stddef.h>
#include <stdint.h>

typedef int64_t fl_time;   /* a number with a unit, not a structure */

#define FL_MILLISECOND INT64_C(1000000)
#define FL_SECOND      INT64_C(1000000000)
#define FL_MINUTE      (60 * FL_SECOND)
#define FL_HOUR        (3600 * FL_SECOND)

enum { FL_TIME_TEXT = 40 };

/* 2026-05-02T09:14:07.120Z (RFC 3339 section 5.6). */
char *fl_time_utc(fl_time t, char out[static FL_TIME_TEXT]);
/* 09:14:07, in the zone of the process. */
char *fl_time_clock(fl_time t, char out[static FL_TIME_TEXT]);
/* A length of time as a person says it: "44 s", "2 min 10 s", "6 h 5 min". */
char *fl_time_length(fl_time length, char out[static FL_TIME_TEXT]);
/* A short interval as a person says it: "40 ms", "0.5 s", "2 s", "30 s". */
char *fl_time_interval(fl_time length, char out[static FL_TIME_TEXT]);
/* A lapse that may be short or long: the second way, from a minute on the first. */
char *fl_time_lapse(fl_time lapse, char out[static FL_TIME_TEXT]);

#endif
