#include "tally/merge.h"

#include "base/table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct input {
	struct fl_merge *merge;
	struct fl_kept_observation *first, **end;
	fl_time key;                     /* never falls                     */
	uint16_t ears[FL_MERGE_EARS];    /* own number: merged number + 1    */
};

struct merged_ear {
	bool ever, open;
	char name[64];
};

struct number_entry {
	struct { uint32_t input, stream; } key;
	uint32_t number;
	bool     used;
};

struct fl_merge {
	struct fl_observer observer;
	struct input *inputs;
	size_t   input_count;
	struct merged_ear ears[FL_MERGE_EARS];
	struct fl_table numbers;
	uint64_t order;
	bool     full;
};

struct fl_merge *fl_merge_new(size_t inputs, struct fl_observer observer)
{
	struct fl_merge *m = calloc(1, sizeof *m);
	if (!m)
		return NULL;
	m->observer = observer;
	m->input_count = inputs;
	m->inputs = calloc(inputs ? inputs : 1, sizeof *m->inputs);
	if (!m->inputs || !fl_table_init(&m->numbers, FL_MERGE_STREAMS, 8,
					 sizeof(struct number_entry))) {
		fl_merge_free(m);
		return NULL;
	}
	for (size_t i = 0; i < inputs; i++) {
		m->inputs[i].merge = m;
		m->inputs[i].end = &m->inputs[i].first;
		m->inputs[i].key = INT64_MIN;
	}
	return m;
}

void fl_merge_free(struct fl_merge *m)
{
	if (!m)
		return;
	for (size_t i = 0; m->inputs && i < m->input_count; i++)
		for (struct fl_kept_observation *w = m->inputs[i].first, *next; w; w = next) {
			next = w->next;
			free(w);
		}
	fl_table_close(&m->numbers);
	free(m->inputs);
	free(m);
}

bool fl_merge_full(const struct fl_merge *m)
{
	return m->full;
}

/* What stands at its own time. All else is said within a second and told before
 * it: that goes with what was told before. */
static bool stamped(enum fl_observation_kind kind)
{
	return kind == FL_OBSERVED_SECOND || kind == FL_OBSERVED_EAR ||
	       kind == FL_OBSERVED_PORT || kind == FL_OBSERVED_HAND;
}

static void take(void *context, const struct fl_observation *o)
{
	struct input *in = context;
	if (stamped(o->kind))
		in->key = o->to > in->key ? o->to : in->key;
	struct fl_kept_observation *w = fl_observation_keep(o);
	if (!w) {
		in->merge->full = true;
		return;
	}
	w->key = in->key;
	*in->end = w;
	in->end = &w->next;
}

struct fl_observer fl_merge_input(struct fl_merge *m, size_t input)
{
	return (struct fl_observer){ .context = &m->inputs[input], .observe = take };
}

/* The merged ear of this input's ear: one of its name that has ended, or a
 * new one. FL_MERGE_EARS where there is no room. */
static size_t open_ear(struct fl_merge *m, const char *name)
{
	char kept[sizeof m->ears[0].name];
	(void)snprintf(kept, sizeof kept, "%s", name);
	for (size_t i = 0; i < FL_MERGE_EARS; i++) {
		struct merged_ear *ear = &m->ears[i];
		if (ear->ever && (ear->open || strcmp(ear->name, kept) != 0))
			continue;
		ear->ever = ear->open = true;
		memcpy(ear->name, kept, sizeof kept);
		return i;
	}
	m->full = true;
	return FL_MERGE_EARS;
}

static bool number_ear(struct fl_merge *m, struct input *in, struct fl_observation *o)
{
	if (o->kind == FL_OBSERVED_HAND) {
		o->ear = 0;   /* what was done belongs to no ear */
		return true;
	}
	if (o->ear >= FL_MERGE_EARS)
		return false;
	if (o->kind == FL_OBSERVED_EAR && o->listening.change == FL_EAR_LISTENS) {
		/* A journal gone on with after a crash: its ear never ended. */
		if (in->ears[o->ear])
			m->ears[in->ears[o->ear] - 1].open = false;
		const size_t ear = open_ear(m, o->listening.name);
		in->ears[o->ear] = (uint16_t)(ear < FL_MERGE_EARS ? ear + 1 : 0);
	}
	const uint16_t held = in->ears[o->ear];
	if (held == 0)
		return false;
	if (o->kind == FL_OBSERVED_EAR && o->listening.change == FL_EAR_ENDS)
		m->ears[held - 1].open = false;
	o->ear = (uint16_t)(held - 1);
	return true;
}

static bool number_stream(struct fl_merge *m, const struct input *in, uint32_t *stream,
			  bool make)
{
	const struct { uint32_t input, stream; } key = {
		(uint32_t)(in - m->inputs), *stream,
	};
	bool added = false;
	struct number_entry *e = make ? fl_table_add(&m->numbers, &key, &added)
				      : fl_table_find(&m->numbers, &key);
	if (!e) {
		m->full |= make;
		return false;
	}
	*stream = (uint32_t)fl_table_number(&m->numbers, e);
	return true;
}

static void hand_on(struct fl_merge *m, struct input *in, struct fl_kept_observation *w)
{
	struct fl_observation *o = &w->o;
	if (!number_ear(m, in, o))
		return;
	if (o->kind == FL_OBSERVED_STREAM && !number_stream(m, in, &o->stream.number, true))
		return;
	/* The rows were copied into `held`, which is ours to change. */
	size_t n = 0;
	struct fl_heard *heard = (void *)w->held;
	struct fl_minute_row *rows = (void *)w->held;
	if (o->kind == FL_OBSERVED_SECOND) {
		for (size_t i = 0; i < o->second.n; i++)
			if (number_stream(m, in, &heard[i].stream, false))
				heard[n++] = heard[i];
		o->second.n = n;
	}
	if (o->kind == FL_OBSERVED_MINUTE) {
		for (size_t i = 0; i < o->minute.n; i++)
			if (number_stream(m, in, &rows[i].stream, false))
				rows[n++] = rows[i];
		o->minute.n = n;
	}
	o->order = m->order++;
	m->observer.observe(m->observer.context, o);
}

void fl_merge_release(struct fl_merge *m, fl_time t)
{
	for (;;) {
		struct input *next = NULL;
		for (size_t i = 0; i < m->input_count; i++) {
			struct input *in = &m->inputs[i];
			if (in->first && in->first->key <= t &&
			    (!next || in->first->key < next->first->key))
				next = in;
		}
		if (!next)
			return;
		struct fl_kept_observation *w = next->first;
		next->first = w->next;
		if (!next->first)
			next->end = &next->first;
		hand_on(m, next, w);
		free(w);
	}
}
