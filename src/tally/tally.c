/* tally.c -- ears, the clock, and what is told when; frames.c takes frames. */
#include "tally/inner.h"

#include <stdio.h>
#include <stdlib.h>

enum { LOW_IN_A_ROW = 8 };   /* frames far back that prove a clock step */

static void take_ear(void *context, const struct fl_ear_event *event);

struct fl_tally *fl_tally_new(const char *name, const char *place,
			      struct fl_observer observer)
{
	struct fl_tally *tally = calloc(1, sizeof *tally);
	if (!tally)
		return NULL;
	tally->observer = observer;
	tally->name = name;
	tally->place = place;
	tally->rows = calloc(FL_TALLY_STREAMS, sizeof *tally->rows);
	tally->numbers = calloc((size_t)FL_TALLY_STREAMS * NUMBERS_EACH,
				sizeof *tally->numbers);
	if (tally->rows && tally->numbers &&
	    fl_table_init(&tally->streams, FL_TALLY_STREAMS,
			  sizeof(struct stream_key), sizeof(struct stream)) &&
	    fl_table_init(&tally->stations, FL_TALLY_STATIONS,
			  sizeof(struct station_key), sizeof(struct station)) &&
	    fl_table_init(&tally->said, FL_TALLY_SAID,
			  sizeof(struct said_key), sizeof(struct said)))
		return tally;
	fl_tally_free(tally);
	return NULL;
}

void fl_tally_free(struct fl_tally *tally)
{
	if (!tally)
		return;
	for (size_t i = 0; i < RING; i++) {
		for (struct fl_kept_observation *k = tally->waiting[i], *next; k; k = next) {
			next = k->next;
			free(k);
		}
		for (size_t e = 0; e < FL_TALLY_EARS; e++)
			free(tally->ears[e].ring[i].heard);
	}
	fl_table_close(&tally->streams);
	fl_table_close(&tally->stations);
	fl_table_close(&tally->said);
	free(tally->rows);
	free(tally->numbers);
	free(tally);
}

void fl_tally_log_words(struct fl_tally *tally, struct fl_log_words words)
{
	tally->log_words = words;
}

void fl_tally_live(struct fl_tally *tally)
{
	tally->live = true;
}

struct fl_frame_sink fl_tally_sink(struct fl_tally *tally)
{
	return (struct fl_frame_sink){
		.context = tally, .frames = fl_tally_take_frames, .ear = take_ear,
	};
}

void fl_tally_tell(struct fl_tally *tally, struct fl_observation *o)
{
	o->order = tally->order++;
	tally->observer.observe(tally->observer.context, o);
}

static void tell_now(struct fl_tally *tally, const struct fl_observation *o)
{
	struct fl_observation copy = *o;
	fl_tally_tell(tally, &copy);
}

void fl_tally_tell_later(struct fl_tally *tally, const struct fl_observation *o)
{
	struct fl_kept_observation *kept = fl_observation_keep(o);
	int64_t second = o->to / FL_SECOND;
	if (second < tally->second)
		second = tally->second;
	if (!kept) {
		tally->counts.unsaid++;
		return;
	}
	const size_t slot = (uint64_t)second % RING;
	if (!tally->waiting[slot])
		tally->waiting_end[slot] = &tally->waiting[slot];
	*tally->waiting_end[slot] = kept;
	tally->waiting_end[slot] = &kept->next;
}

void fl_tally_tell_waiting(struct fl_tally *tally, int64_t second)
{
	struct fl_kept_observation **slot = &tally->waiting[(uint64_t)second % RING];
	while (*slot) {
		struct fl_kept_observation *kept = *slot;
		*slot = kept->next;
		fl_tally_tell(tally, &kept->o);
		free(kept);
	}
}

static void tell_ear(struct fl_tally *tally, size_t ear, enum fl_ear_change change,
		     fl_time from, fl_time to, int64_t amount, const char *text)
{
	/* Its beginning, its end and what lies between told seconds are in
	 * their place at once. */
	const bool now = change == FL_EAR_DEAF || change == FL_EAR_ENDS;
	(now ? tell_now : fl_tally_tell_later)(tally, &(struct fl_observation){
		.kind = FL_OBSERVED_EAR, .ear = (uint16_t)ear,
		.from = from, .to = to,
		.listening = {
			.change = change, .amount = amount,
			.name = tally->ears[ear].name, .text = text,
		},
	});
}

static void tell_every_ear(struct fl_tally *tally, enum fl_ear_change change,
			   fl_time from, fl_time to, int64_t amount,
			   const char *text)
{
	for (size_t i = 0; i < tally->ear_count; i++)
		if (tally->ears[i].listens)
			tell_ear(tally, i, change, from, to, amount, text);
}

void fl_tally_begin_to_listen(struct fl_tally *tally, size_t i, fl_time t)
{
	struct ear *ear = &tally->ears[i];
	if (!ear->used || ear->listens)
		return;
	ear->listens = true;
	ear->since = t;
	tell_ear(tally, i, FL_EAR_LISTENS, t, t, 0, tally->place ? tally->place : "");
}

static void start(struct fl_tally *tally, fl_time t)
{
	tally->started = true;
	tally->high = tally->minute_from = t;
	tally->second = t / FL_SECOND;
	for (size_t i = 0; i < tally->ear_count; i++)
		fl_tally_begin_to_listen(tally, i, t);
}

/* Nothing from anybody for long, then frames again. */
static void skip_silence(struct fl_tally *tally, fl_time t)
{
	const fl_time from = tally->high;
	fl_tally_tell_seconds(tally, from, true);
	tell_every_ear(tally, FL_EAR_DEAF, from, t, 0,
		       "nothing was heard from anybody");
	tally->second = t / FL_SECOND;
	tally->minute_from = t;
}

/* Sums of a stamp and the offset stay far from the ends of the number, however
 * often a hostile file turns its clock: stamps end in the year 2043, listening
 * time in 2116. */
static fl_time listening(const struct fl_tally *tally, fl_time stamp)
{
	const fl_time latest = INT64_MAX / 4;
	const fl_time t = (stamp < 0 ? 0 : stamp > latest ? latest : stamp) +
			  tally->offset;
	return t < 0 ? 0 : t > 2 * latest ? 2 * latest : t;
}

/* Listening time of a frame. A wall clock that falls back by more than
 * FL_LATENESS for LOW_IN_A_ROW frames was set; the listening clock runs on. */
static fl_time listening_time(struct fl_tally *tally, fl_time stamp)
{
	const fl_time t = listening(tally, stamp);
	if (tally->live)
		return t;
	if (t >= tally->high - FL_LATENESS) {
		tally->low = 0;
		return t;
	}
	if (++tally->low < LOW_IN_A_ROW)
		return t;
	const int64_t step = t - tally->high;
	tally->offset -= step;
	tally->low = 0;
	tell_every_ear(tally, FL_EAR_STEPPED, tally->high, tally->high, step, "");
	return tally->high;
}

void fl_tally_advance(struct fl_tally *tally, fl_time stamp)
{
	const fl_time t = listening(tally, stamp);
	if (!tally->started || tally->ended || t <= tally->high - FL_LATENESS)
		return;
	const bool believed = tally->live || t < tally->high + FL_LONG_SILENCE;
	fl_tally_tell_seconds(tally, believed ? t : tally->high, false);
}

void fl_tally_also(struct fl_tally *tally, const struct fl_observation *o)
{
	if (!tally->started || tally->ended)
		return;
	struct fl_observation at = *o;
	at.from = at.to = listening(tally, o->to);
	/* Whoever saw that listened still, though no frame came since. */
	if (tally->live && at.to >= tally->until)
		tally->until = at.to + 1;
	fl_tally_tell_later(tally, &at);
}

fl_time fl_tally_move_on(struct fl_tally *tally, fl_time stamp)
{
	const fl_time t = listening_time(tally, stamp);
	if (!tally->started)
		start(tally, t);
	if (t / FL_SECOND > tally->counted) {
		tally->counted = t / FL_SECOND;
		tally->new_this_second = tally->said_this_second = 0;
	}
	if (t <= tally->high)
		return t;
	if (t - tally->high > FL_LONG_SILENCE && !tally->live)
		skip_silence(tally, t);
	tally->high = t;
	if (t - FL_LATENESS >= (tally->second + 1) * FL_SECOND)
		fl_tally_tell_seconds(tally, t - FL_LATENESS, false);
	return t;
}

/* An ear that cannot hear is told as deaf up to `to` only once. */
void fl_tally_tell_deaf(struct fl_tally *tally, size_t i, fl_time to)
{
	struct ear *ear = &tally->ears[i];
	if (ear->deaf_from == 0 || ear->deaf_from >= to)
		return;
	tell_ear(tally, i, FL_EAR_DEAF, ear->deaf_from, to, 0, ear->deaf_why);
	ear->deaf_from = to;
}

static void deafen(struct fl_tally *tally, const struct fl_ear_event *event, fl_time t)
{
	struct ear *ear = &tally->ears[event->ear];
	if (ear->deaf_from)
		return;
	const fl_time told = tally->second * FL_SECOND;
	ear->deaf_from = t > told ? t : told;
	(void)snprintf(ear->deaf_why, sizeof ear->deaf_why, "%s",
		       event->name ? event->name : "");
}

static void hears_again(struct fl_tally *tally, const struct fl_ear_event *event, fl_time t)
{
	struct ear *ear = &tally->ears[event->ear];
	if (ear->deaf_from && ear->deaf_from < t)
		fl_tally_tell_later(tally, &(struct fl_observation){
			.kind = FL_OBSERVED_EAR, .ear = event->ear,
			.from = ear->deaf_from, .to = t,
			.listening = { .change = FL_EAR_DEAF, .name = ear->name,
				       .text = ear->deaf_why },
		});
	ear->deaf_from = 0;
}

static void open_ear(struct fl_tally *tally, const struct fl_ear_event *event)
{
	if (event->ear >= FL_TALLY_EARS)
		return;
	if (event->ear >= tally->ear_count)
		tally->ear_count = (size_t)event->ear + 1;
	struct ear *ear = &tally->ears[event->ear];
	ear->used = event->link == FL_LINK_ETHERNET ||
		    event->link == FL_LINK_COOKED || event->link == FL_LINK_COOKED2;
	ear->own = event->mac;
	(void)snprintf(ear->name, sizeof ear->name, "%s",
		       event->name && event->name[0] ? event->name : tally->name);
}

static void take_ear(void *context, const struct fl_ear_event *event)
{
	struct fl_tally *tally = context;
	if (event->news == FL_EAR_OPENED) {
		open_ear(tally, event);
		return;
	}
	if (event->ear >= tally->ear_count || !tally->ears[event->ear].used ||
	    tally->ended)
		return;
	const fl_time t = event->time ? listening(tally, event->time) : tally->high;
	switch (event->news) {
	case FL_EAR_SINCE:
		tally->since = t;
		if (tally->live && !tally->started)
			start(tally, t);
		if (tally->live)
			fl_tally_begin_to_listen(tally, event->ear, t);
		break;
	case FL_EAR_UNTIL:
		if (t > tally->until)
			tally->until = t;
		break;
	case FL_EAR_LOST:
		if (tally->started && event->count)
			tell_ear(tally, event->ear, FL_EAR_MISSED, tally->high,
				 tally->high, (int64_t)event->count, "");
		break;
	case FL_EAR_COMMENT:
		if (tally->started)
			tell_ear(tally, event->ear, FL_EAR_NOTED, tally->high,
				 tally->high, 0, event->name);
		break;
	case FL_EAR_DEAFENED:
		deafen(tally, event, t);
		break;
	case FL_EAR_HEARS:
		hears_again(tally, event, t);
		break;
	case FL_EAR_MOVED:
		if (tally->started)
			tell_ear(tally, event->ear, FL_EAR_STEPPED, t, t,
				 event->amount, "");
		break;
	case FL_EAR_OPENED:
	case FL_EAR_CLOSED:
		break;
	}
}

void fl_tally_end(struct fl_tally *tally)
{
	if (tally->ended)
		return;
	/* Not one frame, but it is told that somebody listened. */
	if (!tally->started && tally->until)
		start(tally, tally->since && tally->since < tally->until
		      ? tally->since : tally->until);
	if (tally->started) {
		/* Statistics may say that it listened on after the last frame;
		 * of more than a long silence nothing can be said. */
		fl_time end = tally->high + 1;   /* its own instant too */
		if (tally->until > end &&
		    (tally->live || tally->until - end <= FL_LONG_SILENCE))
			end = tally->until;
		fl_tally_tell_seconds(tally, end, true);
		tell_every_ear(tally, FL_EAR_ENDS, end, end, 0, "");
	}
	tally->ended = true;
}

fl_time fl_tally_told(const struct fl_tally *tally)
{
	if (tally->ended)
		return INT64_MAX;
	return tally->started ? tally->second * FL_SECOND : INT64_MIN;
}

const struct fl_tally_counts *fl_tally_counts(const struct fl_tally *tally)
{
	return &tally->counts;
}
