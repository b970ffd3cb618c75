/* rows_port.c -- a port of the listening host in a journal.
 *
 * Source  man page fairlead-journal(5)
 * Says    nothing of what was not told; a counter that is not counted is left
 *         out, one that stands at 0 is not
 */
#include "visit/rows.h"

#include <string.h>

/* Every plain number of a port, by the key it has in a line. */
struct number {
	const char *key;
	size_t at, octets;
};

#define NUMBER(key, member) \
	{ key, offsetof(struct fl_port, member), sizeof ((struct fl_port *)0)->member }
static const struct number numbers[] = {
	NUMBER("there", there), NUMBER("enabled", enabled), NUMBER("link", link),
	NUMBER("flaps_counted", flaps_counted), NUMBER("ups", ups),
	NUMBER("downs", downs), NUMBER("mbit", mbit), NUMBER("ours", ours),
	NUMBER("theirs", theirs), NUMBER("signal", signal),
	NUMBER("signal_most", signal_most),
};
#undef NUMBER
enum { NUMBERS = sizeof numbers / sizeof numbers[0] };

static const char *const duplexes[] = { NULL, "half", "full" };
static const char *const answers[] = { NULL, "no", "yes" };

/* Members are one octet or four; they are read and set octet for octet. */
static uint32_t get(const struct fl_port *port, const struct number *n)
{
	uint32_t value = 0;
	uint8_t octet = 0;
	const char *at = (const char *)port + n->at;
	if (n->octets == sizeof value) {
		memcpy(&value, at, sizeof value);
		return value;
	}
	memcpy(&octet, at, sizeof octet);
	return octet;
}

static void set(struct fl_port *port, const struct number *n, json_int_t value)
{
	char *at = (char *)port + n->at;
	const uint32_t wide = value < 0 ? 0 : value > UINT32_MAX ? UINT32_MAX
							: (uint32_t)value;
	const uint8_t narrow = wide > UINT8_MAX ? UINT8_MAX : (uint8_t)wide;
	if (n->octets == sizeof wide)
		memcpy(at, &wide, sizeof wide);
	else
		memcpy(at, &narrow, sizeof narrow);
}

static void write_word(json_t *j, const char *key, const char *word)
{
	if (word && word[0])
		json_object_set_new(j, key, json_string(word));
}

static unsigned read_word(const json_t *j, const char *key, const char *const *words,
			  unsigned n)
{
	const char *word = json_string_value(json_object_get(j, key));
	for (unsigned i = 1; word && i < n; i++)
		if (strcmp(word, words[i]) == 0)
			return i;
	return 0;
}

/* The host's own ports bear a number of its kernel, which means nothing later. */
static void write_owner(json_t *j, const struct fl_port *p)
{
	char mac[FL_MAC_TEXT];
	if (fl_mac_is_none(p->of))
		return;
	json_object_set_new(j, "of", json_string(fl_mac_text(p->of, mac)));
	json_object_set_new(j, "index", json_integer(p->index));
}

static void read_owner(const json_t *j, struct fl_port *p)
{
	const json_t *of = json_object_get(j, "of");
	const json_int_t index = json_integer_value(json_object_get(j, "index"));
	if (!json_is_string(of) ||
	    !fl_mac_parse(json_string_value(of), json_string_length(of), &p->of))
		return;
	p->index = index < 0 || index > UINT32_MAX ? 0 : (uint32_t)index;
}

void fl_journal_write_port(json_t *j, const struct fl_observation *o)
{
	const struct fl_port *p = &o->port;
	write_owner(j, p);
	write_word(j, "name", p->name);
	for (size_t i = 0; i < NUMBERS; i++)
		if (get(p, &numbers[i]))
			json_object_set_new(j, numbers[i].key,
					    json_integer(get(p, &numbers[i])));
	write_word(j, "duplex", duplexes[p->duplex]);
	write_word(j, "energy", answers[p->energy]);
	write_word(j, "why", p->why);
	json_t *counts = json_object();
	for (enum fl_counter c = 0; c < FL_COUNTERS; c++)
		if (fl_port_counts(p, c))
			json_object_set_new(counts, fl_counter_key(c),
					    json_integer((json_int_t)p->counts[c]));
	json_object_set_new(j, "counts", counts);
}

static void read_text(const json_t *j, const char *key, char out[FL_TEXT_MAX + 1])
{
	const json_t *value = json_object_get(j, key);
	fl_text_clean((struct fl_slice){
		(const uint8_t *)json_string_value(value), json_string_length(value),
	}, out);
}

/* A flag that is set holds 1 and nothing else: octets of a file are no bool. */
static json_int_t number_of(const json_t *j, const struct number *n)
{
	const json_int_t value = json_integer_value(json_object_get(j, n->key));
	const bool flag = n->at < offsetof(struct fl_port, ups);
	return flag ? value != 0 : value;
}

bool fl_journal_read_port(struct fl_journal_room *room, const json_t *j,
			  struct fl_observation *o)
{
	struct fl_port *p = &o->port;
	for (size_t i = 0; i < NUMBERS; i++)
		set(p, &numbers[i], number_of(j, &numbers[i]));
	p->duplex = read_word(j, "duplex", duplexes, 3);
	p->energy = read_word(j, "energy", answers, 3);
	read_text(j, "name", room->text[0]);
	read_text(j, "why", room->text[1]);
	p->name = room->text[0];
	p->why = room->text[1];
	const char *key;
	json_t *value;
	json_object_foreach(json_object_get(j, "counts"), key, value) {
		const enum fl_counter c = fl_counter_named(key);
		if (c == FL_COUNTERS || !json_is_integer(value))
			continue;
		p->counted |= 1u << c;
		p->counts[c] = (uint64_t)json_integer_value(value);
	}
	read_owner(j, p);
	return p->name[0] != '\0' || !fl_mac_is_none(p->of);
}
