/* said.c -- what stations say of themselves, each thing once in a while.
 *
 * A fact that is said again and again is told at once, then at most once an
 * interval with the number of times it was said since. Texts are cleaned
 * here, once, on their way in.
 */
#include "tally/inner.h"

#include "base/text.h"

static bool is_clock(const struct fl_fact *f)
{
	return f->kind == FL_FACT_NUMBERED && f->aspect == FL_NUMBER_RUNS;
}

/* How often the same fact is told again; 0: only when it changes. */
static fl_time interval_of(const struct fl_fact *f)
{
	switch (f->kind) {
	case FL_FACT_IDENTITY: return 0;
	case FL_FACT_NUMBERED: return is_clock(f) ? 60 * FL_SECOND : 0;
	case FL_FACT_STARTING:
	case FL_FACT_LINKING:
	case FL_FACT_LEAVING:
	case FL_FACT_CONFLICT: return FL_SECOND;
	case FL_FACT_CLAIM:
	case FL_FACT_SERVES:
	case FL_FACT_NEIGHBOUR:
	case FL_FACT_TOPOLOGY: return 60 * FL_SECOND;
	case FL_FACT_WANTS:
	case FL_FACT_PAUSE:    return 10 * FL_SECOND;
	case FL_FACT_SEQUENCE:
	case FL_FACT_PORT:     break;   /* not told as signs */
	}
	return FL_SECOND;
}

/* FNV-1a (from memory: offset basis and prime of 64 bits). Not seeded: what
 * is told must not depend on it. Two facts that collide hide one telling. */
static uint64_t mix(uint64_t h, const void *bytes, size_t n)
{
	const uint8_t *p = bytes;
	for (size_t i = 0; i < n; i++)
		h = (h ^ p[i]) * 0x100000001b3u;
	return (h ^ 0xff) * 0x100000001b3u;
}

/* A clock that ran on says the same. */
static uint64_t value_of(const struct fl_fact *f)
{
	uint64_t h = 0xcbf29ce484222325u;
	h = mix(h, f->ip.b, sizeof f->ip.b);
	h = mix(h, f->other.b, sizeof f->other.b);
	h = mix(h, f->text.at, f->text.n);
	h = mix(h, f->other_text.at, f->other_text.n);
	h = mix(h, f->third_text.at, f->third_text.n);
	return is_clock(f) ? h : mix(h, &f->number, sizeof f->number);
}

/* How often it was said since it was told last, or 0: not to be told now. */
static uint32_t due(struct fl_tally *tally, fl_time t, struct fl_mac mac,
		    const struct fl_fact *f)
{
	struct said_key key;
	memset(&key, 0, sizeof key);
	key.mac = mac;
	key.kind = (uint8_t)f->kind;
	key.aspect = (uint8_t)f->aspect;
	key.value = value_of(f);
	bool added;
	struct said *said = fl_table_add(&tally->said, &key, &added);
	if (!said) {
		/* Full: forget everything. What comes is told once more. */
		fl_table_close(&tally->said);
		if (!fl_table_init(&tally->said, FL_TALLY_SAID,
				   sizeof(struct said_key), sizeof(struct said)))
			return 0;
		said = fl_table_add(&tally->said, &key, &added);
	}
	const fl_time interval = interval_of(f);
	said->count++;
	if (!added && (interval == 0 || t - said->last < interval))
		return 0;
	if (tally->said_this_second++ >= FL_TALLY_SAID_A_SECOND) {
		tally->counts.unsaid++;
		return 0;
	}
	const uint32_t count = said->count;
	said->last = t;
	said->count = 0;
	return count;
}

static void tell(struct fl_tally *tally, uint16_t ear, fl_time t,
		 struct fl_mac mac, const struct fl_fact *f)
{
	const uint32_t count = due(tally, t, mac, f);
	if (count == 0)
		return;
	char text[FL_TEXT_MAX + 1], other[FL_TEXT_MAX + 1], third[FL_TEXT_MAX + 1];
	fl_text_clean(f->text, text);
	fl_text_clean(f->other_text, other);
	fl_text_clean(f->third_text, third);
	struct fl_observation o = { .ear = ear, .from = t, .to = t };
	if (f->kind == FL_FACT_IDENTITY) {
		o.kind = FL_OBSERVED_WHO;
		o.who.mac = mac;
		o.who.field = (enum fl_identity)f->aspect;
		o.who.ip = f->ip;
		o.who.text = text;
	} else {
		o.kind = FL_OBSERVED_SIGN;
		o.sign.kind = f->kind;
		o.sign.aspect = f->aspect;
		o.sign.mac = mac;
		o.sign.ip = f->ip;
		o.sign.other = f->other;
		o.sign.number = f->number;
		o.sign.seconds = f->seconds;
		o.sign.speeds = f->speeds;
		o.sign.count = count;
		o.sign.text = text;
		o.sign.other_text = other;
		o.sign.third_text = third;
	}
	fl_tally_tell_later(tally, &o);
}

/* Each telling of a switch's port counts: it is a state at a time. */
static void tell_port(struct fl_tally *tally, uint16_t ear, fl_time t,
		      struct fl_mac of, const struct fl_fact *f)
{
	char name[FL_TEXT_MAX + 1], how[FL_TEXT_MAX + 1];
	if (tally->said_this_second++ >= FL_TALLY_SAID_A_SECOND) {
		tally->counts.unsaid++;
		return;
	}
	fl_text_clean(f->other_text, name);
	fl_text_clean(f->text, how);
	struct fl_observation o = { .kind = FL_OBSERVED_PORT, .ear = ear,
		.from = t, .to = t, .port = *f->port };
	o.port.of = of;
	o.port.name = name;
	o.port.why = how;
	fl_tally_tell_later(tally, &o);
}

void fl_tally_say(struct fl_tally *tally, uint16_t ear, fl_time t,
		  const struct fl_packet *packet, const struct fl_facts *facts)
{
	for (size_t i = 0; i < facts->n; i++) {
		const struct fl_fact *f = &facts->at[i];
		if (f->kind == FL_FACT_PORT)
			tell_port(tally, ear, t, packet->source, f);
		if (f->kind == FL_FACT_PORT || f->kind == FL_FACT_SEQUENCE)
			continue;
		/* A name in somebody else's record is not presence. */
		if (f->kind == FL_FACT_IDENTITY && f->number)
			continue;
		tell(tally, ear, t,
		     fl_mac_is_none(f->mac) ? packet->source : f->mac, f);
	}
}

void fl_tally_say_claim(struct fl_tally *tally, uint16_t ear, fl_time t,
			struct fl_mac mac, struct fl_ip ip)
{
	const struct fl_fact claim = {
		.kind = FL_FACT_CLAIM, .aspect = FL_CLAIM_USES, .ip = ip,
	};
	tell(tally, ear, t, mac, &claim);
}
