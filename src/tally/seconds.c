/* seconds.c -- the open seconds of each ear, and how they are told. */
#include "tally/inner.h"

#include <stdlib.h>

static struct second *ring_slot(struct ear *ear, int64_t second)
{
	return &ear->ring[(uint64_t)second % RING];
}

struct second *fl_tally_second(struct fl_tally *tally, struct ear *ear, fl_time t)
{
	int64_t second = t / FL_SECOND;
	if (second < tally->second)
		second = tally->second;   /* too late for its own */
	return ring_slot(ear, second);
}

/* Write down what the entry of the stream's current second holds. */
static void close_entry(struct fl_tally *tally, struct stream *s)
{
	if (s->second_end == INT64_MIN || s->frames_in_second == 0)
		return;
	const fl_time from = s->second_end - FL_SECOND;
	struct second *second = ring_slot(&tally->ears[s->key.ear], from / FL_SECOND);
	const uint32_t number = (uint32_t)fl_table_number(&tally->streams, s);
	if (s->entry >= second->n || second->heard[s->entry].stream != number)
		return;
	const fl_time into = s->last - from;
	second->heard[s->entry].ms = (uint16_t)
		(into < 0 ? 0 : into >= FL_SECOND ? 999 : into / FL_MILLISECOND);
	second->heard[s->entry].many = s->frames_in_second > 1;
}

static bool make_room(struct second *second)
{
	if (second->n < second->room)
		return true;
	const size_t room = second->room ? 2 * second->room : 64;
	struct fl_heard *heard = realloc(second->heard, room * sizeof *heard);
	if (!heard)
		return false;
	second->heard = heard;
	second->room = room;
	return true;
}

void fl_tally_enter(struct fl_tally *tally, struct ear *ear, struct stream *s,
		    fl_time t)
{
	close_entry(tally, s);
	int64_t number = t / FL_SECOND;
	if (number < tally->second)
		number = tally->second;
	struct second *second = ring_slot(ear, number);
	s->second_end = (number + 1) * FL_SECOND;
	s->frames_in_second = 0;
	if (second->n >= FL_TALLY_STREAMS || !make_room(second))
		return;
	s->entry = (uint32_t)second->n;
	second->heard[second->n++] = (struct fl_heard){
		.stream = (uint32_t)fl_table_number(&tally->streams, s),
	};
}

static void tell_second(struct fl_tally *tally, uint16_t number, fl_time to)
{
	struct ear *ear = &tally->ears[number];
	const struct second *second = ring_slot(ear, tally->second);
	const fl_time from = tally->second * FL_SECOND;
	for (size_t i = 0; i < second->n; i++) {
		struct stream *s = fl_table_at(&tally->streams, second->heard[i].stream);
		if (s->second_end == from + FL_SECOND)
			close_entry(tally, s);
	}
	fl_tally_tell(tally, &(struct fl_observation){
		.kind = FL_OBSERVED_SECOND, .ear = number,
		.from = from > ear->since ? from : ear->since,
		.to = to,
		.second = {
			.heard = second->heard, .n = second->n,
			.frames = second->frames,
			.group_frames = second->group_frames,
			.repeats = second->repeats, .octets = second->octets,
			.own = second->own, .errors = second->errors,
			.checked = second->checked,
			.crowd = second->crowd,
		},
	});
}

static int by_size(const void *a, const void *b)
{
	const uint32_t x = *(const uint32_t *)a, y = *(const uint32_t *)b;
	return (x > y) - (x < y);
}

static uint32_t median(struct stream *s)
{
	if (s->samples == 0)
		return 0;
	qsort(s->sample, s->samples, sizeof s->sample[0], by_size);
	return s->sample[s->samples / 2];
}

static void tell_minute(struct fl_tally *tally, uint16_t ear, fl_time to)
{
	size_t n = 0;
	for (size_t i = 0; i < tally->streams.n; i++) {
		struct stream *s = fl_table_at(&tally->streams, i);
		if (s->minute_frames == 0 || s->key.ear != ear)
			continue;
		tally->rows[n++] = (struct fl_minute_row){
			.stream = (uint32_t)i, .frames = s->minute_frames,
			.octets = s->minute_octets, .gap_median = median(s),
			.gap_longest = s->gap_longest,
		};
		fl_tally_numbers_told(tally, s, &tally->rows[n - 1]);
		s->minute_frames = s->minute_octets = 0;
		s->samples = s->gap_longest = 0;
	}
	if (n == 0)
		return;
	fl_tally_tell(tally, &(struct fl_observation){
		.kind = FL_OBSERVED_MINUTE, .ear = ear,
		.from = tally->minute_from, .to = to,
		.minute = { .rows = tally->rows, .n = n },
	});
}

/* Empty the slot for the second that comes RING seconds later. */
static void clear(struct second *second)
{
	*second = (struct second){ .heard = second->heard, .room = second->room };
}

static void tell_all_ears(struct fl_tally *tally, fl_time to, bool minute)
{
	fl_tally_tell_waiting(tally, tally->second);
	for (size_t i = 0; i < tally->ear_count; i++) {
		struct ear *ear = &tally->ears[i];
		if (!ear->listens || ear->since >= to)
			continue;
		fl_tally_tell_deaf(tally, i, to);
		tell_second(tally, (uint16_t)i, to);
		if (minute)
			tell_minute(tally, (uint16_t)i, to);
		clear(ring_slot(ear, tally->second));
	}
	if (minute)
		tally->minute_from = to;
	tally->second++;
}

void fl_tally_tell_seconds(struct fl_tally *tally, fl_time t, bool last)
{
	while ((tally->second + 1) * FL_SECOND <= t) {
		const fl_time to = (tally->second + 1) * FL_SECOND;
		const bool whole_end = last && to == t;
		tell_all_ears(tally, to, tally->second % 60 == 59 || whole_end);
	}
	if (last && tally->second * FL_SECOND < t)
		tell_all_ears(tally, t, true);
}
