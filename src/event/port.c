#include "event/port.h"

#include <string.h>

static const struct { const char *key, *words; } rows[] = {
#define COUNTER(id, key, words) [FL_COUNT_##id] = { #key, words },
#include "event/counters.def"
#undef COUNTER
};

const char *fl_counter_key(enum fl_counter counter)
{
	return rows[counter].key;
}

const char *fl_counter_words(enum fl_counter counter)
{
	return rows[counter].words;
}

enum fl_counter fl_counter_named(const char *key)
{
	enum fl_counter c = 0;
	while (c < FL_COUNTERS && strcmp(rows[c].key, key) != 0)
		c++;
	return c;
}
