/* ledger.c -- observations in, state out. */
#include "ledger/inner.h"

#include <stdlib.h>

/* Forgotten first when a table is full: heard little, and long ago. */
enum { LITTLE = 10 };
#define LONG_AGO (5 * FL_MINUTE)

static void observe(void *context, const struct fl_observation *o);

struct fl_ledger *fl_ledger_new(void)
{
	struct fl_ledger *l = calloc(1, sizeof *l);
	if (!l)
		return NULL;
	l->texts = fl_region_new(FL_LEDGER_TEXT);
	l->by_number = calloc(FL_LEDGER_STREAMS, sizeof *l->by_number);
	l->dropouts = calloc(FL_LEDGER_DROPOUTS, sizeof *l->dropouts);
	l->deaf = calloc(FL_LEDGER_DEAF, sizeof *l->deaf);
	if (l->texts && l->by_number && l->dropouts && l->deaf && fl_loss_open(l) &&
	    fl_table_init(&l->stations, FL_LEDGER_STATIONS, sizeof(struct fl_mac),
			  sizeof(struct fl_station)) &&
	    fl_table_init(&l->presences, FL_LEDGER_PRESENCES,
			  sizeof(uint16_t) + sizeof(struct fl_mac),
			  sizeof(struct fl_presence)) &&
	    fl_table_init(&l->cadences, FL_LEDGER_STREAMS,
			  sizeof(struct fl_stream_key), sizeof(struct fl_cadence)) &&
	    fl_table_init(&l->claims, FL_LEDGER_CLAIMS,
			  sizeof(struct fl_ip) + sizeof(struct fl_mac),
			  sizeof(struct fl_claimed)) &&
	    fl_table_init(&l->servers, FL_LEDGER_SERVERS,
			  sizeof(struct fl_ip) + sizeof(uint32_t),
			  sizeof(struct fl_server)))
		return l;
	fl_ledger_free(l);
	return NULL;
}

void fl_ledger_free(struct fl_ledger *l)
{
	if (!l)
		return;
	struct fl_table *const tables[] = {
		&l->stations, &l->presences, &l->cadences, &l->claims,
		&l->servers,
	};
	for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++)
		fl_table_close(tables[i]);
	fl_loss_close(l);
	fl_region_free(l->texts);
	free(l->by_number);
	free(l->dropouts);
	free(l->deaf);
	free(l);
}

struct fl_observer fl_ledger_observer(struct fl_ledger *l)
{
	return (struct fl_observer){ .context = l, .observe = observe };
}

const char *fl_ledger_keep(struct fl_ledger *l, const char *text)
{
	if (!text || !text[0])
		return "";
	const char *kept = fl_region_text(l->texts, text, strlen(text));
	if (!kept)
		l->lost++;
	return kept ? kept : "";
}

void *fl_ledger_entry(struct fl_ledger *l, struct fl_table *table, size_t *hand,
		      const void *key, bool *added,
		      bool (*idle)(const struct fl_ledger *, const void *))
{
	void *entry = fl_table_add(table, key, added);
	for (int i = 0; !entry && hand && i < 64; i++) {
		*hand = (*hand + 1) % table->ceiling;
		if (!idle(l, fl_table_at(table, *hand)))
			continue;
		*added = true;
		entry = fl_table_rename(table, *hand, key);
	}
	l->lost += !entry;
	return entry;
}

static bool station_idle(const struct fl_ledger *l, const void *entry)
{
	const struct fl_station *s = entry;
	return s->seconds < LITTLE && s->last < l->now - LONG_AGO;
}

static bool presence_idle(const struct fl_ledger *l, const void *entry)
{
	const struct fl_presence *p = entry;
	return p->seconds < LITTLE && p->last < l->now - LONG_AGO;
}

static bool cadence_idle(const struct fl_ledger *l, const void *entry)
{
	const struct fl_cadence *c = entry;
	return c->gap_count < LITTLE && c->last < l->now - LONG_AGO;
}

struct fl_station *fl_ledger_station(struct fl_ledger *l, struct fl_mac mac)
{
	bool added;
	return fl_mac_is_none(mac) ? NULL
		: fl_ledger_entry(l, &l->stations, &l->station_hand, &mac, &added,
				  station_idle);
}

static struct fl_presence *presence(struct fl_ledger *l, uint16_t ear,
				    struct fl_mac mac)
{
	const struct { uint16_t ear; struct fl_mac mac; } key = { ear, mac };
	bool added;
	struct fl_presence *p = fl_ledger_entry(l, &l->presences, &l->presence_hand,
						&key, &added, presence_idle);
	if (p && added)
		p->dropout = p->returning = -1;
	return p;
}

static void add_cadence(struct fl_ledger *l, struct fl_presence *p, uint32_t number)
{
	const uint32_t own = (uint32_t)fl_table_number(&l->presences, p);
	for (uint32_t i = 0; i < p->cadence_count; i++)
		if (p->cadences[i] == number || !cadence_of(l, own, i)) {
			p->cadences[i] = number;
			return;
		}
	if (p->cadence_count < FL_PRESENCE_CADENCES)
		p->cadences[p->cadence_count++] = number;
	else
		l->lost++;
}

static void hear_stream(struct fl_ledger *l, const struct fl_observation *o)
{
	const struct fl_seen_stream *s = &o->stream;
	if (s->number >= FL_LEDGER_STREAMS) {
		l->lost++;
		return;
	}
	l->by_number[s->number] = 0;
	struct fl_presence *p = presence(l, o->ear, s->mac);
	if (!p)
		return;
	struct fl_stream_key key;
	memset(&key, 0, sizeof key);
	key.ear = o->ear;
	key.vlan = s->vlan;
	key.mac = s->mac;
	key.group = s->group;
	key.port = s->port;
	key.protocol = s->protocol;
	key.kind = (uint8_t)s->kind;
	bool added;
	struct fl_cadence *c = fl_ledger_entry(l, &l->cadences, &l->cadence_hand,
					       &key, &added, cadence_idle);
	if (!c)
		return;
	if (added) {
		c->presence = (uint32_t)fl_table_number(&l->presences, p);
		c->unasked = s->unasked;
		c->filterable = s->filterable;
		add_cadence(l, p, (uint32_t)fl_table_number(&l->cadences, c));
	}
	l->by_number[s->number] = (uint32_t)fl_table_number(&l->cadences, c) + 1;
}

struct fl_cadence *fl_ledger_numbered(struct fl_ledger *l, uint32_t stream)
{
	const uint32_t held = stream < FL_LEDGER_STREAMS ? l->by_number[stream] : 0;
	return held ? cadence_at(l, held - 1) : NULL;
}

static fl_time time_of(const struct fl_observation *o, const struct fl_heard *h)
{
	const fl_time second = o->from - o->from % FL_SECOND;
	const fl_time t = second + h->ms * FL_MILLISECOND;
	return t < o->from ? o->from : t > o->to ? o->to : t;
}

static void hear_one(struct fl_ledger *l, const struct fl_observation *o,
		     const struct fl_heard *h)
{
	struct fl_cadence *c = fl_ledger_numbered(l, h->stream);
	if (!c || c->key.ear != o->ear)
		return;
	struct fl_presence *p = presence_at(l, c->presence);
	const fl_time t = time_of(o, h);
	const bool steady = c->steady;
	fl_cadence_beat(l, c, t, h->many);
	if (p->first == 0)
		p->first = p->held = t;
	if (c->unasked)
		fl_bins_beat(p, t);
	struct fl_station *s = fl_ledger_station(l, p->mac);
	if (s) {
		s->first = s->first ? s->first : t;
		s->seconds += t / FL_SECOND != s->last / FL_SECOND;
		s->last = t > s->last ? t : s->last;
	}
	fl_silence_heard(l, p, t, steady);
	if (!fl_mac_is_link_only(c->key.group))
		fl_ports_heard(l, o->ear, t);
	if (t > l->heard_any[o->ear])
		l->heard_any[o->ear] = t;
}

/* A storm: over 2000 frames to groups in a second, most of them the same as
 * the one before in their stream. Judgement: no boat's gear sends so much. */
static bool storms(const struct fl_observation *o)
{
	return o->second.group_frames > 2000 &&
	       o->second.repeats * 2 > o->second.group_frames;
}

/* A loop whose flow is held back by a switch: nearly all frames to groups are
 * the same as the one before in their stream, and there are many. Judgement:
 * gear that says a thing thrice is heard among others that do not. */
static bool echoes(const struct fl_observation *o)
{
	return o->second.group_frames >= 50 &&
	       (uint64_t)o->second.repeats * 10 >= (uint64_t)o->second.group_frames * 9;
}

/* True: a second of a storm. */
static bool count_second(struct fl_ear_state *ear, const struct fl_observation *o)
{
	ear->until = o->to;
	ear->frames += o->second.frames;
	ear->octets += o->second.octets;
	ear->own += o->second.own;
	ear->errors += o->second.errors;
	ear->checked += o->second.checked;
	ear->crowd += o->second.crowd;
	ear->group_frames += o->second.group_frames;
	ear->repeats += o->second.repeats;
	if (o->second.frames > ear->busiest) {
		ear->busiest = o->second.frames;
		ear->busiest_at = o->from;
	}
	if (echoes(o)) {
		if (ear->repeat_seconds++ == 0)
			ear->repeat_from = o->from;
		ear->repeat_to = o->to;
	}
	if (!storms(o))
		return false;
	if (ear->storm_seconds++ == 0)
		ear->storm_from = o->from;
	ear->storm_to = o->to;
	return true;
}

/* Queues of a storm are full for a while after it: judgement. */
#define AFTER_STORM (4 * FL_SECOND)

static void hear_second(struct fl_ledger *l, const struct fl_observation *o)
{
	if (count_second(&l->ears[o->ear], o))
		fl_loss_trouble(l, o->ear, o->from, o->to + AFTER_STORM);
	fl_time first = INT64_MAX;
	for (size_t i = 0; i < o->second.n; i++) {
		const fl_time t = time_of(o, &o->second.heard[i]);
		first = t < first ? t : first;
	}
	if (o->second.n)
		fl_quiet_heard(l, o->ear, first);
	for (size_t i = 0; i < o->second.n; i++)
		hear_one(l, o, &o->second.heard[i]);
	if (o->to > l->now)
		l->now = o->to;
	fl_quiet_judge(l, o->ear, o->to, false);
	fl_silence_judge(l, o->ear, o->to);
	fl_silence_blinks(l, o->ear, o->to);
	fl_returns_judge(l, o->ear, o->to, false);
}

static void hear_minute(struct fl_ledger *l, const struct fl_observation *o)
{
	for (size_t i = 0; i < o->minute.n; i++) {
		const struct fl_minute_row *row = &o->minute.rows[i];
		struct fl_cadence *c = fl_ledger_numbered(l, row->stream);
		if (!c)
			continue;
		c->frames += row->frames;
		c->octets += row->octets;
		if (row->gap_median)
			c->gap_median = row->gap_median;
		struct fl_station *s = fl_ledger_station(l, c->key.mac);
		if (s)
			s->frames += row->frames;
	}
	fl_loss_minute(l, o);
}

static void note(struct fl_ledger *l, const struct fl_observation *o)
{
	if (l->note_count == FL_LEDGER_NOTES) {
		l->lost++;
		return;
	}
	l->notes[l->note_count++] = (struct fl_note){
		.at = o->to, .text = fl_ledger_keep(l, o->listening.text),
	};
}

/* Two ears tell of one step within so long of each other. Judgement. */
#define ONE_STEP FL_MINUTE

/* Each ear tells of each step of the one clock: the ear that told of the first
 * counts, and another where that one does not listen. */
static void hear_step(struct fl_ledger *l, const struct fl_observation *o)
{
	if (l->network.clock_steps == 0 || o->from - l->stepped > ONE_STEP)
		l->step_ear = o->ear;
	if (o->ear != l->step_ear)
		return;
	l->stepped = o->from;
	l->clock_moved += o->listening.amount;
	l->network.clock_steps++;
}

static void hear_ear(struct fl_ledger *l, const struct fl_observation *o)
{
	struct fl_ear_state *ear = &l->ears[o->ear];
	switch (o->listening.change) {
	case FL_EAR_LISTENS:
		if (ear->ever && o->from > ear->until) {
			fl_deaf_add(l, o->ear, ear->until, o->from,
				    FL_NOT_LISTENING);
			ear->away += o->from - ear->until;
		}
		fl_ports_pause(l, o->ear, ear->until);
		if (!ear->ever)
			ear->since = o->from;
		ear->ever = ear->open = true;
		ear->name = fl_ledger_keep(l, o->listening.name);
		ear->place = fl_ledger_keep(l, o->listening.text);
		ear->until = o->from > ear->until ? o->from : ear->until;
		if (l->from == 0 || o->from < l->from)
			l->from = o->from;
		if (o->from > l->now)
			l->now = o->from;
		break;
	case FL_EAR_DEAF:
		fl_deaf_add(l, o->ear, o->from, o->to, o->listening.text);
		ear->until = o->to > ear->until ? o->to : ear->until;
		break;
	case FL_EAR_STEPPED:
		hear_step(l, o);
		break;
	case FL_EAR_MISSED:
		ear->lost += (uint64_t)o->listening.amount;
		fl_loss_trouble(l, o->ear, o->from - FL_MINUTE, o->to + FL_SECOND);
		break;
	case FL_EAR_NOTED:
		note(l, o);
		break;
	case FL_EAR_ASKED:
		ear->asked += (uint32_t)o->listening.amount;
		break;
	case FL_EAR_ENDS:
		fl_quiet_judge(l, o->ear, o->to, true);
		fl_returns_judge(l, o->ear, o->to, true);
		ear->open = false;
		break;
	}
	if ((size_t)o->ear + 1 > l->ear_count)
		l->ear_count = (size_t)o->ear + 1;
}

static void observe(void *context, const struct fl_observation *o)
{
	struct fl_ledger *l = context;
	if (o->ear >= FL_LEDGER_EARS && o->kind != FL_OBSERVED_HAND) {
		l->lost++;
		return;
	}
	switch (o->kind) {
	case FL_OBSERVED_EAR:    hear_ear(l, o);            break;
	case FL_OBSERVED_STREAM: hear_stream(l, o);         break;
	case FL_OBSERVED_SECOND: hear_second(l, o);         break;
	case FL_OBSERVED_MINUTE: hear_minute(l, o);         break;
	case FL_OBSERVED_EDGE:   fl_silence_edge(l, o);     break;
	case FL_OBSERVED_WHO:    fl_said_who(l, o);         break;
	case FL_OBSERVED_SIGN:   fl_said_sign(l, o);        break;
	case FL_OBSERVED_PORT:   fl_ports_hear(l, o);       break;
	case FL_OBSERVED_HAND:   fl_acts_done(l, o);        break;
	case FL_OBSERVATION_KINDS:
		break;
	}
}
