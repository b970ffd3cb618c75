/* json_values.h -- the values that an answer's JSON is made of.
 *
 * Owns    what each gives is the caller's, or passes to what takes it
 * Errors  NULL: it could not be made, nor can what would hold it
 */
#ifndef FL_RENDER_JSON_VALUES_H
#define FL_RENDER_JSON_VALUES_H

#include "diagnose/answer.h"
#include "render/layout.h"

#include <jansson.h>
#include <math.h>

enum { MILLION = 1000000 };

static inline json_t *text(const char *s)
{
	struct fl_text clean;
	if (!s)
		return json_null();
	if (!fl_text_init(&clean, FL_ROW_OCTETS))
		return NULL;
	fl_clean_add(&clean, s);
	json_t *value = clean.full ? NULL : json_stringn(clean.at, clean.n);
	fl_text_close(&clean);
	return value;
}

static inline json_t *count(uint64_t n)
{
	return json_integer((json_int_t)n);
}

static inline json_t *counted(bool known, uint64_t n)
{
	return known ? count(n) : json_null();
}

/* Whole milliseconds. */
static inline json_t *seconds(int64_t ns)
{
	return json_real(round((double)ns / (double)FL_MILLISECOND) / 1e3);
}

static inline json_t *cadence(fl_time interval)
{
	return interval ? seconds(interval) : json_null();
}

static inline json_t *moment(bool known, fl_time t)
{
	char utc[FL_TIME_TEXT];
	return known ? json_string(fl_time_utc(t, utc)) : json_null();
}

static inline json_t *millionths(double n)
{
	return json_real(n / MILLION);
}

/* An object of pairs, key and value, closed by NULL; it takes the values, and
 * is NULL if any of them could not be made. */
static inline json_t *object(const char *key, ...) __attribute__((sentinel));

static inline json_t *object(const char *key, ...)
{
	json_t *out = json_object();
	bool made = out;
	va_list pairs;
	va_start(pairs, key);
	for (; key; key = va_arg(pairs, const char *))
		made &= !json_object_set_new(out, key, va_arg(pairs, json_t *));
	va_end(pairs);
	if (!made)
		json_decref(out);
	return made ? out : NULL;
}

/* An array of what `one(list, i)` makes; NULL if any could not be made. */
static inline json_t *array(size_t n, json_t *(*one)(const void *list, size_t i),
		     const void *list)
{
	json_t *out = json_array();
	for (size_t i = 0; out && i < n; i++)
		if (json_array_append_new(out, one(list, i))) {
			json_decref(out);
			return NULL;
		}
	return out;
}

static inline json_t *one_text(const void *list, size_t i)
{
	return text(((const char *const *)list)[i]);
}

static inline json_t *texts(const struct fl_texts *t)
{
	return array(t->n, one_text, t->at);
}

/* json_episodes.c */
/* "own_link": how programs read a way of coming back. */
const char *fl_json_way(enum fl_return way);
json_t *fl_json_episodes(const struct fl_answer *answer);

#endif
