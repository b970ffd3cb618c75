/* streams.c -- the tables of streams and stations, and their gaps. */
#include "tally/inner.h"

/* An entry may be turned over once it was idle for so long. */
#define IDLE (10 * FL_SECOND)

enum { IP4 = 0x0800 };   /* ethertype */

static struct stream_key key_of(uint16_t ear, const struct fl_packet *p)
{
	struct stream_key key = { .ear = ear, .vlan = p->vlan, .mac = p->source };
	if (!fl_mac_is_group(p->target)) {
		key.kind = FL_STREAM_DIRECT;   /* all of them in one stream */
		return key;
	}
	key.kind = FL_STREAM_GROUP;
	key.group = p->target;
	key.type = p->llc ? p->sap[0] : p->ethertype;
	if (p->layer >= FL_LAYER_NETWORK)
		key.protocol = p->protocol;
	if (p->layer == FL_LAYER_TRANSPORT && p->protocol == 17)
		key.port = p->to_port;
	return key;
}

/* The idlest of the next few entries, or ceiling where none is idle. Going
 * round by number keeps the seed of the hash out of what is told. */
static size_t idlest(const struct fl_table *table, size_t *hand, fl_time now,
		     fl_time (*last)(const void *), uint64_t (*frames)(const void *))
{
	size_t best = table->ceiling;
	for (int i = 0; i < 16; i++) {
		const size_t number = *hand = (*hand + 1) % table->ceiling;
		const void *e = fl_table_at(table, number);
		if (last(e) > now - IDLE)
			continue;
		const void *b = best < table->ceiling ? fl_table_at(table, best) : NULL;
		if (!b || (frames(e) > 2) < (frames(b) > 2) ||
		    ((frames(e) > 2) == (frames(b) > 2) && last(e) < last(b)))
			best = number;
	}
	return best;
}

static fl_time stream_last(const void *e)     { return ((const struct stream *)e)->last; }
static uint64_t stream_frames(const void *e)  { return ((const struct stream *)e)->frames; }
static fl_time station_last(const void *e)    { return ((const struct station *)e)->last; }
static uint64_t station_frames(const void *e) { return ((const struct station *)e)->frames; }

static struct station *station_for(struct fl_tally *tally, uint16_t ear,
				   struct fl_mac mac, fl_time now)
{
	struct station_key key = { .ear = ear, .mac = mac };
	bool added;
	struct station *station = fl_table_add(&tally->stations, &key, &added);
	if (!station) {
		const size_t old = idlest(&tally->stations, &tally->station_hand,
					  now, station_last, station_frames);
		if (old == tally->stations.ceiling)
			return NULL;
		station = fl_table_rename(&tally->stations, old, &key);
		added = true;
	}
	if (added) {
		station->limit = INT64_MAX;
		station->last = now;
	}
	return station;
}

static struct stream *new_stream(struct fl_tally *tally,
				 const struct stream_key *key, fl_time now)
{
	if (tally->new_this_second >= FL_TALLY_NEW_A_SECOND)
		return NULL;
	struct station *station = station_for(tally, key->ear, key->mac, now);
	if (!station || station->streams >= FL_TALLY_STREAMS_EACH)
		return NULL;
	bool added;
	struct stream *s = fl_table_add(&tally->streams, key, &added);
	if (!s) {
		const size_t old = idlest(&tally->streams, &tally->stream_hand,
					  now, stream_last, stream_frames);
		if (old == tally->streams.ceiling)
			return NULL;
		struct stream *gone = fl_table_at(&tally->streams, old);
		struct station *owner = fl_tally_station(tally, gone);
		if (owner && owner->streams)
			owner->streams--;
		fl_tally_numbers_forget(tally, gone);
		s = fl_table_rename(&tally->streams, old, key);
	}
	tally->new_this_second++;
	station->streams++;
	s->station = (uint32_t)fl_table_number(&tally->stations, station);
	s->last = INT64_MIN;
	s->second_end = INT64_MIN;
	/* Of what goes to single stations only a part is heard here. */
	if (key->kind != FL_STREAM_GROUP || key->type != IP4)
		s->runs_on = RUNS_OFF;
	return s;
}

struct stream *fl_tally_stream(struct fl_tally *tally, uint16_t ear,
			       const struct fl_packet *packet, fl_time t)
{
	const struct stream_key key = key_of(ear, packet);
	struct stream *s = fl_table_find(&tally->streams, &key);
	return s ? s : new_stream(tally, &key, t);
}

struct station *fl_tally_station(struct fl_tally *tally, struct stream *s)
{
	struct station *station = fl_table_at(&tally->stations, s->station);
	if (station->key.ear == s->key.ear &&
	    fl_mac_equal(station->key.mac, s->key.mac))
		return station;
	/* Its station was turned over in the meantime. */
	station = station_for(tally, s->key.ear, s->key.mac, tally->high);
	if (station)
		s->station = (uint32_t)fl_table_number(&tally->stations, station);
	return station;
}

/* The gap that 99 in 100 gaps of this stream stay under, in ns: the upper
 * edge of a power of two. */
static fl_time gap_99(const struct stream *s)
{
	uint64_t above = 0;
	for (int b = BUCKETS - 1; b >= 0; b--) {
		above += s->bucket[b];
		if (above * 100 > s->gap_count)
			return (fl_time)1000 << (b + 1);
	}
	return 0;
}

/* A fast stream (a period of at most 0.35 s, 300 gaps heard) lets a silence
 * be told that is too short for whole seconds. Judgement. */
static void renew_limit(struct fl_tally *tally, struct stream *s)
{
	struct station *station = fl_tally_station(tally, s);
	const uint32_t number = (uint32_t)fl_table_number(&tally->streams, s);
	const fl_time p99 = gap_99(s);
	if (!station || p99 > 524288 * (fl_time)1000)
		return;
	const fl_time limit = 10 * p99 > FL_LATENESS ? 10 * p99 : FL_LATENESS;
	if (limit < station->limit || station->limit_stream == number) {
		station->limit = limit;
		station->limit_stream = number;
	}
}

void fl_tally_gap(struct fl_tally *tally, struct stream *s, fl_time gap)
{
	const fl_time longest = INT64_C(4000000000);
	const uint32_t us = (uint32_t)((gap < 0 ? 0 : gap / 1000 > longest
					? longest : gap / 1000));
	int bucket = 0;
	while (bucket < BUCKETS - 1 && us >> (bucket + 1))
		bucket++;
	s->bucket[bucket]++;
	s->gap_count++;
	if (us > s->gap_longest)
		s->gap_longest = us;
	if (s->samples < SAMPLES)
		s->sample[s->samples++] = us;
	if (s->gap_count >= 300 && s->gap_count % 256 == 44)
		renew_limit(tally, s);
}

/* So many gaps show what is usual for a stream: judgement. */
enum { USUAL_GAPS = 20 };

fl_time fl_tally_last(const struct fl_tally *tally, struct fl_mac mac, fl_time *usual)
{
	fl_time last = 0;
	*usual = 0;
	for (size_t i = 0; i < tally->streams.n; i++) {
		const struct stream *s = fl_table_at(&tally->streams, i);
		if (!fl_mac_equal(s->key.mac, mac) || s->frames == 0)
			continue;
		last = s->last > last ? s->last : last;
		if (s->gap_count < USUAL_GAPS || !s->unasked)
			continue;
		const fl_time p99 = gap_99(s);
		if (*usual == 0 || p99 < *usual)
			*usual = p99;
	}
	return last;
}
