/* rows.c -- one row a kind of observation: how it is written and read.
 *
 * Source  man page fairlead-journal(5)
 * Refuses kinds it does not know, and times that leave no room for sums
 */
#include "visit/rows.h"

#include <string.h>

static const char *const changes[] = {
	[FL_EAR_LISTENS] = "listens", [FL_EAR_DEAF] = "deaf",
	[FL_EAR_STEPPED] = "stepped", [FL_EAR_MISSED] = "missed",
	[FL_EAR_NOTED] = "noted", [FL_EAR_ENDS] = "ends",
	[FL_EAR_ASKED] = "asked",
};

enum { CHANGES = sizeof changes / sizeof changes[0] };

static void put_mac(json_t *j, const char *key, struct fl_mac mac)
{
	char text[FL_MAC_TEXT];
	json_object_set_new(j, key, json_string(fl_mac_text(mac, text)));
}

static void put_ip(json_t *j, const char *key, struct fl_ip ip)
{
	char text[FL_IP_TEXT];
	if (!fl_ip_is_none(ip))
		json_object_set_new(j, key, json_string(fl_ip_text(ip, text)));
}

static void put_number(json_t *j, const char *key, uint64_t n)
{
	if (n)
		json_object_set_new(j, key, json_integer((json_int_t)n));
}

static void put_text(json_t *j, const char *key, const char *text)
{
	if (text && text[0])
		json_object_set_new(j, key, json_string(text));
}

static int64_t number(const json_t *j, const char *key)
{
	return json_integer_value(json_object_get(j, key));
}

static uint32_t small(const json_t *j, const char *key)
{
	const int64_t n = number(j, key);
	return n < 0 ? 0 : n > UINT32_MAX ? UINT32_MAX : (uint32_t)n;
}

/* Cleaned again on the way in: a journal is a file, and files are hostile.
 * What was clean comes through unchanged. */
static const char *text(const json_t *j, const char *key, char out[FL_TEXT_MAX + 1])
{
	const json_t *value = json_object_get(j, key);
	fl_text_clean((struct fl_slice){
		(const uint8_t *)json_string_value(value), json_string_length(value),
	}, out);
	return out;
}

static struct fl_mac mac_of(const json_t *j, const char *key)
{
	struct fl_mac mac = { { 0 } };
	const json_t *value = json_object_get(j, key);
	if (json_is_string(value))
		fl_mac_parse(json_string_value(value), json_string_length(value), &mac);
	return mac;
}

static struct fl_ip ip_of(const json_t *j, const char *key)
{
	struct fl_ip ip = { { 0 } };
	const json_t *value = json_object_get(j, key);
	if (json_is_string(value))
		fl_ip_parse(json_string_value(value), json_string_length(value), &ip);
	return ip;
}

static int row_of(const char *const *names, int n, const json_t *value)
{
	for (int i = 0; i < n && json_is_string(value); i++)
		if (strcmp(names[i], json_string_value(value)) == 0)
			return i;
	return -1;
}

/* ---- one pair of functions a kind ---- */

static void write_ear(json_t *j, const struct fl_observation *o)
{
	json_object_set_new(j, "change", json_string(changes[o->listening.change]));
	if (o->listening.amount)
		json_object_set_new(j, "amount", json_integer(o->listening.amount));
	put_text(j, "name", o->listening.name);
	put_text(j, "text", o->listening.text);
}

static bool read_ear(struct fl_journal_room *room, const json_t *j, struct fl_observation *o)
{
	(void)room;
	const int change = row_of(changes, CHANGES, json_object_get(j, "change"));
	o->listening.change = (enum fl_ear_change)change;
	o->listening.amount = number(j, "amount");
	o->listening.name = text(j, "name", room->text[0]);
	o->listening.text = text(j, "text", room->text[1]);
	return change >= 0;
}

static void write_stream(json_t *j, const struct fl_observation *o)
{
	const struct fl_seen_stream *s = &o->stream;
	json_object_set_new(j, "stream", json_integer(s->number));
	put_mac(j, "mac", s->mac);
	if (s->kind == FL_STREAM_GROUP)
		put_mac(j, "group", s->group);
	put_number(j, "vlan", s->vlan);
	put_number(j, "port", s->port);
	put_number(j, "protocol", s->protocol);
	put_number(j, "unasked", s->unasked);
	put_number(j, "filterable", s->filterable);
}

static bool read_stream(struct fl_journal_room *room, const json_t *j, struct fl_observation *o)
{
	(void)room;
	o->stream = (struct fl_seen_stream){
		.number = small(j, "stream"), .mac = mac_of(j, "mac"),
		.group = mac_of(j, "group"), .vlan = (uint16_t)small(j, "vlan"),
		.port = (uint16_t)small(j, "port"),
		.protocol = (uint8_t)small(j, "protocol"),
		.kind = json_object_get(j, "group") ? FL_STREAM_GROUP : FL_STREAM_DIRECT,
		.unasked = small(j, "unasked") != 0,
		.filterable = small(j, "filterable") != 0,
	};
	return !fl_mac_is_none(o->stream.mac);
}

enum { MANY = 1000 };   /* added to the ms of a stream heard more than once */

static void write_second(json_t *j, const struct fl_observation *o)
{
	json_t *heard = json_array();
	for (size_t i = 0; i < o->second.n; i++) {
		const struct fl_heard *h = &o->second.heard[i];
		json_array_append_new(heard, json_integer(h->stream));
		json_array_append_new(heard, json_integer(h->ms + (h->many ? MANY : 0)));
	}
	json_object_set_new(j, "heard", heard);
	put_number(j, "frames", o->second.frames);
	put_number(j, "group_frames", o->second.group_frames);
	put_number(j, "repeats", o->second.repeats);
	put_number(j, "octets", o->second.octets);
	put_number(j, "own", o->second.own);
	put_number(j, "errors", o->second.errors);
	put_number(j, "checked", o->second.checked);
	put_number(j, "crowd", o->second.crowd);
}

static size_t read_heard(struct fl_journal_room *room, const json_t *list)
{
	size_t n = 0;
	for (size_t i = 0; i + 1 < json_array_size(list) && n < FL_JOURNAL_ROWS; i += 2) {
		const json_int_t ms = json_integer_value(json_array_get(list, i + 1));
		room->heard[n++] = (struct fl_heard){
			.stream = (uint32_t)json_integer_value(json_array_get(list, i)),
			.ms = (uint16_t)(ms < 0 ? 0 : ms % MANY), .many = ms >= MANY,
		};
	}
	return n;
}

static bool read_second(struct fl_journal_room *room, const json_t *j, struct fl_observation *o)
{
	o->second.heard = room->heard;
	o->second.n = read_heard(room, json_object_get(j, "heard"));
	o->second.frames = small(j, "frames");
	o->second.group_frames = small(j, "group_frames");
	o->second.repeats = small(j, "repeats");
	o->second.octets = (uint64_t)number(j, "octets");
	o->second.own = small(j, "own");
	o->second.errors = small(j, "errors");
	o->second.checked = small(j, "checked");
	o->second.crowd = small(j, "crowd");
	return true;
}

/* A row of a minute: so many cells, as the line says; those of an older form are
 * fewer, and what it lacks is 0. */
enum { ROW = 7, OLDEST_ROW = 5 };

static void write_minute(json_t *j, const struct fl_observation *o)
{
	json_t *list = json_array();
	for (size_t i = 0; i < o->minute.n; i++) {
		const struct fl_minute_row *r = &o->minute.rows[i];
		const uint32_t cells[ROW] = { r->stream, r->frames, r->octets,
			r->gap_median, r->gap_longest, r->received, r->missed };
		for (size_t c = 0; c < ROW; c++)
			json_array_append_new(list, json_integer(cells[c]));
	}
	put_number(j, "cells", ROW);
	json_object_set_new(j, "streams", list);
}

static bool read_minute(struct fl_journal_room *room, const json_t *j, struct fl_observation *o)
{
	const json_t *list = json_object_get(j, "streams");
	const size_t cells = json_object_get(j, "cells") ? small(j, "cells") : OLDEST_ROW;
	size_t n = 0;
	if (cells < OLDEST_ROW || cells > 64)
		return false;
	for (size_t i = 0; i + cells <= json_array_size(list) && n < FL_JOURNAL_ROWS; i += cells) {
		uint32_t v[ROW] = { 0 };
		for (size_t c = 0; c < cells && c < ROW; c++)
			v[c] = (uint32_t)json_integer_value(json_array_get(list, i + c));
		room->rows[n++] = (struct fl_minute_row){ v[0], v[1], v[2], v[3], v[4],
							  v[5], v[6] };
	}
	o->minute.rows = room->rows;
	o->minute.n = n;
	return true;
}

static void write_edge(json_t *j, const struct fl_observation *o)
{
	put_mac(j, "mac", o->edge.mac);
}

static bool read_edge(struct fl_journal_room *room, const json_t *j, struct fl_observation *o)
{
	(void)room;
	o->edge.mac = mac_of(j, "mac");
	o->edge.last = o->from;
	o->edge.first = o->to;
	return true;
}

static void write_who(json_t *j, const struct fl_observation *o)
{
	put_mac(j, "mac", o->who.mac);
	json_object_set_new(j, "field", json_integer(o->who.field));
	put_ip(j, "ip", o->who.ip);
	put_text(j, "text", o->who.text);
}

static bool read_who(struct fl_journal_room *room, const json_t *j, struct fl_observation *o)
{
	(void)room;
	o->who.mac = mac_of(j, "mac");
	o->who.field = (enum fl_identity)small(j, "field");
	o->who.ip = ip_of(j, "ip");
	o->who.text = text(j, "text", room->text[0]);
	return o->who.field <= FL_ID_ADDRESS;
}

static void write_sign(json_t *j, const struct fl_observation *o)
{
	json_object_set_new(j, "sign", json_string(fl_fact_name(o->sign.kind)));
	json_object_set_new(j, "aspect", json_integer(o->sign.aspect));
	put_mac(j, "mac", o->sign.mac);
	put_ip(j, "ip", o->sign.ip);
	put_ip(j, "other", o->sign.other);
	put_number(j, "number", o->sign.number);
	put_number(j, "seconds", o->sign.seconds);
	put_number(j, "speeds", o->sign.speeds);
	put_number(j, "count", o->sign.count);
	put_text(j, "text", o->sign.text);
	put_text(j, "other_text", o->sign.other_text);
	put_text(j, "third_text", o->sign.third_text);
}

static bool read_sign(struct fl_journal_room *room, const json_t *j, struct fl_observation *o)
{
	(void)room;
	const int kind = fl_fact_named(json_string_value(json_object_get(j, "sign")));
	o->sign.kind = (enum fl_fact_kind)kind;
	o->sign.aspect = small(j, "aspect");
	o->sign.mac = mac_of(j, "mac");
	o->sign.ip = ip_of(j, "ip");
	o->sign.other = ip_of(j, "other");
	o->sign.number = small(j, "number");
	o->sign.seconds = small(j, "seconds");
	o->sign.speeds = (uint64_t)number(j, "speeds");
	o->sign.count = small(j, "count");
	o->sign.text = text(j, "text", room->text[0]);
	o->sign.other_text = text(j, "other_text", room->text[1]);
	o->sign.third_text = text(j, "third_text", room->text[2]);
	return kind >= 0;
}

static void write_hand(json_t *j, const struct fl_observation *o)
{
	json_object_set_new(j, "act", json_string(fl_hand_name(o->hand.act)));
	put_text(j, "name", o->hand.name);
	put_text(j, "text", o->hand.text);
}

static bool read_hand(struct fl_journal_room *room, const json_t *j, struct fl_observation *o)
{
	const json_t *name = json_object_get(j, "act");
	int act = 0;
	while (act < FL_HANDS && json_is_string(name) &&
	       strcmp(json_string_value(name), fl_hand_name((enum fl_hand)act)) != 0)
		act++;
	o->hand.act = (enum fl_hand)act;
	o->hand.name = text(j, "name", room->text[0]);
	o->hand.text = text(j, "text", room->text[1]);
	return json_is_string(name) && act < FL_HANDS;
}

static const struct {
	void (*write)(json_t *, const struct fl_observation *);
	bool (*read)(struct fl_journal_room *, const json_t *, struct fl_observation *);
} kinds[FL_OBSERVATION_KINDS] = {
	[FL_OBSERVED_EAR]    = { write_ear, read_ear },
	[FL_OBSERVED_STREAM] = { write_stream, read_stream },
	[FL_OBSERVED_SECOND] = { write_second, read_second },
	[FL_OBSERVED_MINUTE] = { write_minute, read_minute },
	[FL_OBSERVED_EDGE]   = { write_edge, read_edge },
	[FL_OBSERVED_WHO]    = { write_who, read_who },
	[FL_OBSERVED_SIGN]   = { write_sign, read_sign },
	[FL_OBSERVED_PORT]   = { fl_journal_write_port, fl_journal_read_port },
	[FL_OBSERVED_HAND]   = { write_hand, read_hand },
};

static char *line_of(json_t *j)
{
	char *line = j ? json_dumps(j, JSON_COMPACT) : NULL;
	json_decref(j);
	return line;
}

char *fl_journal_first_line(const char *plan_sum)
{
	json_t *j = json_object();
	json_object_set_new(j, "journal", json_integer(FL_JOURNAL_VERSION));
	json_object_set_new(j, "minor", json_integer(FL_JOURNAL_MINOR));
	put_text(j, "plan", plan_sum);
	return line_of(j);
}

char *fl_journal_said_line(fl_time at, const char *kind, const char *said)
{
	json_t *j = json_object();
	json_object_set_new(j, "said", json_string(said));
	json_object_set_new(j, "kind", json_string(kind));
	json_object_set_new(j, "at", json_integer(at));
	return line_of(j);
}

char *fl_journal_line(const struct fl_observation *o)
{
	json_t *j = json_object();
	json_object_set_new(j, "kind", json_string(fl_observation_name(o->kind)));
	json_object_set_new(j, "ear", json_integer(o->ear));
	json_object_set_new(j, "order", json_integer((json_int_t)o->order));
	json_object_set_new(j, "from", json_integer(o->from));
	json_object_set_new(j, "to", json_integer(o->to));
	kinds[o->kind].write(j, o);
	return line_of(j);
}

static int kind_of(const json_t *name)
{
	int kind = 0;
	while (kind < FL_OBSERVATION_KINDS && json_is_string(name) &&
	       strcmp(json_string_value(name),
		      fl_observation_name((enum fl_observation_kind)kind)) != 0)
		kind++;
	return json_is_string(name) ? kind : FL_OBSERVATION_KINDS;
}

bool fl_journal_observation(const json_t *j, struct fl_journal_room *room,
			    struct fl_observation *o)
{
	const int kind = kind_of(json_object_get(j, "kind"));
	*o = (struct fl_observation){
		.ear = (uint16_t)small(j, "ear"), .order = (uint64_t)number(j, "order"),
		.from = number(j, "from"), .to = number(j, "to"),
	};
	const bool timed = o->from >= 0 && o->from <= o->to && o->to <= INT64_MAX / 2;
	if (kind == FL_OBSERVATION_KINDS || !timed || !kinds[kind].read(room, j, o))
		return false;
	o->kind = (enum fl_observation_kind)kind;
	return true;
}
