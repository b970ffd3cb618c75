/* frames.c -- one frame's way through headers, tables and decoders. */
#include "tally/inner.h"

/* A quick sum that tells whether two frames of a stream hold the same. */
static uint32_t sum_of(const struct fl_frame *f)
{
	uint64_t h = f->length;
	const uint32_t n = f->captured < 96 ? f->captured : 96;
	for (uint32_t i = 0; i + 8 <= n; i += 8) {
		uint64_t word;
		memcpy(&word, f->at + i, 8);
		h = (h ^ word) * 0x9e3779b97f4a7c15u;
		h ^= h >> 29;
	}
	return (uint32_t)(h >> 32);
}

/* The same octets within a millisecond were captured twice; a third time, or
 * again and again, something repeats them on the wire. */
enum copy { COPY_NONE, COPY_TWIN, COPY_REPEAT };

static enum copy copy_of(struct fl_tally *tally, struct stream *s,
			 struct second *second, const struct fl_frame *f, fl_time t)
{
	const uint32_t sum = sum_of(f);
	const fl_time gap = s->last == INT64_MIN ? FL_HOUR : t - s->last;
	const bool same = sum == s->sum && gap <= 20 * FL_MILLISECOND;
	s->sum = sum;
	if (same && gap <= FL_MILLISECOND && !s->twin) {
		s->twin = true;
		tally->counts.twins++;
		return COPY_TWIN;
	}
	second->repeats += same;
	s->twin &= same;
	return same ? COPY_REPEAT : COPY_NONE;
}

static void tell_stream(struct fl_tally *tally, struct stream *s, fl_time t)
{
	s->told = true;
	const struct stream_key *key = &s->key;
	fl_tally_tell_later(tally, &(struct fl_observation){
		.kind = FL_OBSERVED_STREAM, .ear = key->ear, .from = t, .to = t,
		.stream = {
			.number = (uint32_t)fl_table_number(&tally->streams, s),
			.mac = key->mac, .group = key->group, .vlan = key->vlan,
			.port = key->protocol ? key->port : key->type,
			.protocol = key->protocol,
			.kind = (enum fl_stream_kind)key->kind,
			.unasked = s->unasked,
			.filterable = fl_mac_is_filterable(key->group),
		},
	});
}

/* The station was heard at t: tell a silence that was long for it. */
static void hear_station(struct fl_tally *tally, struct stream *s, fl_time t)
{
	struct station *station = fl_tally_station(tally, s);
	if (!station)
		return;
	if (t - station->last > station->limit)
		fl_tally_tell_later(tally, &(struct fl_observation){
			.kind = FL_OBSERVED_EDGE, .ear = s->key.ear,
			.from = station->last, .to = t,
			.edge = { .mac = station->key.mac,
				  .last = station->last, .first = t },
		});
	station->frames++;
	if (t > station->last)
		station->last = t;
}

static void count_in_stream(struct fl_tally *tally, struct ear *ear,
			    struct stream *s, const struct fl_frame *f,
			    const struct fl_packet *p, fl_time t)
{
	if (!s->told)
		tell_stream(tally, s, t);
	hear_station(tally, s, t);
	if (t >= s->second_end) {
		fl_tally_enter(tally, ear, s, t);
		if (s->key.kind == FL_STREAM_GROUP && p->layer >= FL_LAYER_NETWORK &&
		    !fl_ip_is_unspecified(p->from) && !fl_ip_is_multicast(p->from) &&
		    (t >= s->claim_due || !fl_ip_equal(s->from, p->from))) {
			s->from = p->from;
			s->claim_due = t + 60 * FL_SECOND;
			fl_tally_say_claim(tally, s->key.ear, t, p->source, p->from);
		}
	}
	if (t > s->last)
		s->last = t;
	s->frames_in_second++;
	s->frames++;
	s->minute_frames++;
	s->minute_octets += f->length;
}

/* Run the packet's decoder. True if the message was sent unasked. */
static bool decode(struct fl_tally *tally, uint16_t ear, fl_time t,
		   struct fl_packet *p)
{
	const struct fl_decoder *d = fl_decoder_for(p);
	tally->facts.n = 0;
	if (!d)
		return true;
	if (p->protocol == 17 && p->layer == FL_LAYER_TRANSPORT &&
	    !fl_packet_udp_holds(p)) {
		tally->counts.bad_sums++;
		return true;
	}
	enum fl_manner manner;
	struct fl_cursor c = p->payload;
	if (fl_decode(d, p, &c, &tally->facts, &manner) == FL_OK)
		tally->counts.decoded++;
	else
		tally->counts.refused++;
	fl_tally_say(tally, ear, t, p, &tally->facts);
	return manner == FL_UNASKED;
}

static bool is_own(const struct fl_tally *tally, const struct fl_frame *f,
		   const struct fl_packet *p)
{
	if (f->outbound || p->outgoing)
		return true;
	for (size_t i = 0; i < tally->ear_count; i++)
		if (!fl_mac_is_none(tally->ears[i].own) &&
		    fl_mac_equal(tally->ears[i].own, p->source))
			return true;
	return false;
}

static void take_frame(struct fl_tally *tally, const struct fl_frame *f)
{
	if (f->ear >= tally->ear_count || !tally->ears[f->ear].used)
		return;
	const fl_time t = fl_tally_move_on(tally, f->time);
	struct ear *ear = &tally->ears[f->ear];
	fl_tally_begin_to_listen(tally, f->ear, tally->high);
	struct second *second = fl_tally_second(tally, ear, t);
	tally->counts.frames++;
	second->frames++;
	second->octets += f->length;
	second->checked += f->fcs_checked;
	if (f->errors) {   /* not even its source can be believed */
		second->errors++;
		tally->counts.damaged++;
		return;
	}
	struct fl_packet p;
	fl_packet_read(f, &p);
	p.log_words = tally->log_words;
	if (p.layer == FL_LAYER_NONE || !p.source_known ||
	    fl_mac_is_group(p.source) || fl_mac_is_none(p.source)) {
		tally->counts.unread++;
		return;
	}
	if (is_own(tally, f, &p)) {
		second->own++;
		tally->counts.own++;
		return;
	}
	second->group_frames += fl_mac_is_group(p.target);
	struct stream *s = fl_tally_stream(tally, f->ear, &p, t);
	if (!s) {
		second->crowd++;
		tally->counts.crowd++;
		return;
	}
	const enum copy copy = copy_of(tally, s, second, f, t);
	if (copy == COPY_TWIN)
		return;
	const bool unasked = decode(tally, f->ear, t, &p);
	if (!s->told)
		s->unasked = unasked && s->key.kind == FL_STREAM_GROUP;
	/* What is repeated on the wire says nothing of its station's pace. */
	if (copy == COPY_NONE && s->last != INT64_MIN)
		fl_tally_gap(tally, s, t - s->last);
	if (tally->facts.n)
		fl_tally_number(tally, s, &tally->facts, t);
	if (s->runs_on != RUNS_OFF && !p.fragment && p.layer >= FL_LAYER_NETWORK)
		fl_tally_identify(s, p.identification, t);
	count_in_stream(tally, ear, s, f, &p, t);
}

void fl_tally_take_frames(void *context, const struct fl_frame *frames, size_t n)
{
	struct fl_tally *tally = context;
	for (size_t i = 0; i < n && !tally->ended; i++)
		take_frame(tally, &frames[i]);
}
