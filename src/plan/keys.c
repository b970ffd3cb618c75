/* keys.c -- every key of a plan, and how it is read: one row a key.
 *
 * Errors  an unknown key, with the nearest known one; a key that one thing
 *         has twice with different values, naming both lines
 */
#include "plan/reader.h"

struct field {
	struct fl_place thing;          /* device or switch, else nowhere   */
	const struct fl_measure *measure;
	void *at;
};

typedef void read_value(struct fl_reader *, struct fl_span,
			const struct field *);

struct key {
	enum fl_section section;
	const char *name;
	enum fl_pass pass;
	read_value *read;
	size_t offset;
	const struct fl_measure *measure;
};

/* Shown, never looked up: a comma or = does no harm in it. */
static void read_title(struct fl_reader *r, struct fl_span s,
		       const struct field *field)
{
	*(const char **)field->at = fl_reader_text(r, s, FL_PLAN_NAME);
}

static void read_text(struct fl_reader *r, struct fl_span s,
		      const struct field *field)
{
	*(const char **)field->at = fl_reader_text(r, s, FL_TEXT_MAX);
}

static void read_quantity(struct fl_reader *r, struct fl_span s,
			  const struct field *field)
{
	(void)fl_reader_quantity(r, s, field->measure, field->at);
}

static void read_speed(struct fl_reader *r, struct fl_span s,
		       const struct field *field)
{
	static const int speeds[] = { 10, 100, 1000, 2500, 5000, 10000 };
	double mbit;
	if (!fl_reader_quantity(r, s, field->measure, &mbit))
		return;
	for (size_t i = 0; i < sizeof speeds / sizeof speeds[0]; i++) {
		if ((int)mbit == speeds[i] && mbit == (double)speeds[i]) {
			*(int *)field->at = speeds[i];
			return;
		}
	}
	fl_reader_fault(r, s,
		FL_WORDS(r, "%s is no speed of a port", fl_reader_quote(r, s)),
		field->measure->remedy);
}

static void read_cadence(struct fl_reader *r, struct fl_span s,
			 const struct field *field)
{
	struct fl_device *device = field->at;
	static const char *const words[] = { "group", "a", "to" };
	struct fl_span rest = s, last;
	double seconds;
	bool group = true;
	for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
		group = group && fl_span_last(&rest, &last) &&
			fl_span_is(last, words[i]);
	if (!fl_reader_quantity(r, group ? rest : s, field->measure, &seconds))
		return;
	device->cadence = (fl_time)(seconds * (double)FL_SECOND + 0.5);
	device->cadence_to_group = group;
}

static void read_ports(struct fl_reader *r, struct fl_span s,
		       const struct field *field)
{
	int n;
	if (fl_span_count(s, &n) && n >= 1 && n <= FL_PLAN_PORTS)
		*(int *)field->at = n;
	else
		fl_reader_fault(r, s,
			FL_WORDS(r, "%s is no number of ports",
				fl_reader_quote(r, s)),
			FL_WORDS(r, "write a number from 1 to %d",
				FL_PLAN_PORTS));
}

static void read_yes(struct fl_reader *r, struct fl_span s,
		     const struct field *field)
{
	if (fl_span_is(s, "yes"))
		*(bool *)field->at = true;
	else if (!fl_span_is(s, "no"))
		fl_reader_fault(r, s,
			FL_WORDS(r, "%s is neither yes nor no",
				fl_reader_quote(r, s)),
			"write yes or no");
}

static void read_serves(struct fl_reader *r, struct fl_span s,
			const struct field *field)
{
	if (fl_span_is(s, "addresses"))
		*(bool *)field->at = true;
	else
		fl_reader_fault(r, s,
			FL_WORDS(r, "%s is nothing a device serves here",
				fl_reader_quote(r, s)),
			"write serves = addresses, or leave it out");
}

static void read_macs(struct fl_reader *r, struct fl_span s,
		      const struct field *field)
{
	struct fl_device *device = field->at;
	struct fl_span item;
	while (fl_span_item(&s, &item)) {
		struct fl_mac mac;
		if (!fl_mac_parse(item.at, item.n, &mac) ||
		    fl_mac_is_none(mac) || fl_mac_is_group(mac))
			fl_reader_fault(r, item,
				FL_WORDS(r,
					"%s is no MAC address of one device",
					fl_reader_quote(r, item)),
				"write it as 02:1b:c5:00:00:21, a comma "
				"between several");
		else if (device->mac_count == FL_DEVICE_MACS)
			fl_reader_fault(r, item,
				FL_WORDS(r, "%s is one address too many",
					fl_reader_quote(r, item)),
				FL_WORDS(r, "a device has at most %d",
					FL_DEVICE_MACS));
		else
			device->macs[device->mac_count++] = mac;
	}
}

static void read_address(struct fl_reader *r, struct fl_span s,
			 const struct field *field)
{
	struct fl_ip ip = { { 0 } };
	if (fl_ip_parse(s.at, s.n, &ip) && !fl_ip_is_unspecified(ip) &&
	    !fl_ip_is_multicast(ip) && !fl_ip_is_broadcast4(ip))
		*(struct fl_ip *)field->at = ip;
	else
		fl_reader_fault(r, s,
			FL_WORDS(r, "%s is no address of one device",
				fl_reader_quote(r, s)),
			"write it as 172.20.0.21 or fe80::1");
}

static void read_feeds(struct fl_reader *r, struct fl_span s,
		       const struct field *field)
{
	struct fl_span item;
	while (fl_span_item(&s, &item))
		fl_reader_feed(r, field->thing, item);
}

static void read_device(struct fl_reader *r, struct fl_span s,
			const struct field *field)
{
	*(int *)field->at = fl_reader_device(r, s);
}

static void read_end(struct fl_reader *r, struct fl_span s,
		     const struct field *field)
{
	*(struct fl_place *)field->at = fl_reader_place(r, s, FL_SIDE_END);
}

static void read_joints(struct fl_reader *r, struct fl_span s,
			const struct field *field)
{
	struct fl_span item;
	while (fl_span_item(&s, &item)) {
		(void)fl_span_opens(&item, "via");
		fl_reader_joint(r, field->at, item);
	}
}

static void read_seat(struct fl_reader *r, struct fl_span s,
		      const struct field *field)
{
	(void)field;
	fl_reader_seat(r, s);
}

/* Words of a log, with the port's name left open once. */
static void read_log_words(struct fl_reader *r, struct fl_span s, bool up)
{
	struct fl_plan *plan = r->plan;
	struct fl_span item;
	while (fl_span_item(&s, &item)) {
		const char *open = memchr(item.at, '%', item.n);
		const size_t before = open ? (size_t)(open - item.at) + 1 : 0;
		if (!open || memchr(open + 1, '%', item.n - before))
			fl_reader_fault(r, item,
				FL_WORDS(r, "%s does not say where the port's "
					"name stands", fl_reader_quote(r, item)),
				"write one % in place of the name: port % is gone");
		else if (plan->log_word_count == FL_PLAN_LOG_WORDS)
			fl_reader_fault(r, item,
				FL_WORDS(r, "%s is one too many",
					fl_reader_quote(r, item)),
				FL_WORDS(r, "a plan has at most %d such words",
					FL_PLAN_LOG_WORDS));
		else
			plan->log_words[plan->log_word_count++] =
				(struct fl_log_word){
					fl_reader_text(r, item, FL_TEXT_MAX), up };
	}
}

static void read_log_down(struct fl_reader *r, struct fl_span s,
			  const struct field *field)
{
	(void)field;
	read_log_words(r, s, false);
}

static void read_log_up(struct fl_reader *r, struct fl_span s,
			const struct field *field)
{
	(void)field;
	read_log_words(r, s, true);
}

/* A key that fills several fields is given the thing, by its first: name. */
#define DEVICE(name, pass, read, field, measure) { FL_SECTION_DEVICE, name,  \
	FL_PASS_##pass, read, offsetof(struct fl_device, field), measure }
#define SWITCH(name, pass, read, field) { FL_SECTION_SWITCH, name,           \
	FL_PASS_##pass, read, offsetof(struct fl_switch, field), NULL }
#define RUN(name, pass, read, field, measure) { FL_SECTION_RUN, name,        \
	FL_PASS_##pass, read, offsetof(struct fl_run, field), measure }
#define SUPPLY(name, field, measure) { FL_SECTION_FEED, name, FL_PASS_VALUES, \
	read_quantity, offsetof(struct fl_feed, field), measure }

static const struct key keys[] = {
	{ FL_SECTION_SEGMENT, "name", FL_PASS_VALUES, read_title,
	  offsetof(struct fl_plan, name), NULL },
	{ FL_SECTION_SEGMENT, "laptop", FL_PASS_REFERENCES, read_seat,
	  offsetof(struct fl_plan, laptop), NULL },
	{ FL_SECTION_SEGMENT, "log down", FL_PASS_VALUES, read_log_down,
	  offsetof(struct fl_plan, log_words), NULL },
	{ FL_SECTION_SEGMENT, "log up", FL_PASS_VALUES, read_log_up,
	  offsetof(struct fl_plan, log_words), NULL },
	DEVICE("kind",     VALUES, read_title, kind, NULL),
	DEVICE("mac",      VALUES, read_macs, name, NULL),
	DEVICE("address",  VALUES, read_address, address, NULL),
	DEVICE("name",     VALUES, read_text, glob, NULL),
	DEVICE("service",  VALUES, read_text, service, NULL),
	DEVICE("software", VALUES, read_text, software, NULL),
	DEVICE("cadence",  VALUES, read_cadence, name, &fl_measure_cadence),
	DEVICE("feed",     REFERENCES, read_feeds, feeds, NULL),
	DEVICE("woken by", REFERENCES, read_device, woken_by, NULL),
	DEVICE("behind",   REFERENCES, read_device, behind, NULL),
	DEVICE("ports",    VALUES, read_ports, ports, NULL),
	DEVICE("bypass",   VALUES, read_yes, bypass, NULL),
	DEVICE("leave",    VALUES, read_yes, leave, NULL),
	DEVICE("weather",  VALUES, read_yes, weather, NULL),
	DEVICE("serves",   VALUES, read_serves, serves_addresses, NULL),
	SWITCH("ports",    VALUES, read_ports, ports),
	SWITCH("feed",     REFERENCES, read_feeds, feeds),
	RUN("from",        ENDS, read_end, ends[0], NULL),
	RUN("to",          ENDS, read_end, ends[1], NULL),
	RUN("joints",      VALUES, read_joints, name, NULL),
	RUN("length",      VALUES, read_quantity, metres, &fl_measure_length),
	RUN("speed",       VALUES, read_speed, mbit, &fl_measure_speed),
	RUN("weather",     VALUES, read_yes, weather, NULL),
	SUPPLY("volts", volts, &fl_measure_volts),
	SUPPLY("fuse",  fuse_amps, &fl_measure_amperes),
};

enum { KEYS = sizeof keys / sizeof keys[0], MOST_THINGS = FL_PLAN_RUNS };

size_t fl_keys_room(void)
{
	return (size_t)KEYS * MOST_THINGS;
}

static struct fl_span *said_at(const struct fl_reader *r, size_t key, int thing)
{
	return &r->said[key * MOST_THINGS + (size_t)thing];
}

struct fl_span fl_reader_said(const struct fl_reader *r,
			      enum fl_section section, const char *key,
			      int thing)
{
	for (size_t i = 0; i < KEYS; i++)
		if (keys[i].section == section &&
		    strcmp(keys[i].name, key) == 0)
			return *said_at(r, i, thing);
	return (struct fl_span){ 0 };
}

static void unknown_key(struct fl_reader *r, enum fl_section section,
			struct fl_span s)
{
	const char *names[KEYS];
	size_t n = 0;
	for (size_t i = 0; i < KEYS; i++)
		if (keys[i].section == section)
			names[n++] = keys[i].name;
	const char *all = names[0];
	for (size_t i = 1; i < n; i++)
		all = fl_region_format(r->region, "%s, %s", all, names[i]);
	fl_reader_fault(r, s,
		FL_WORDS(r, "%s is no key of this section",
			fl_reader_quote(r, s)),
		fl_reader_mean(r, s, names, n,
			FL_WORDS(r, "its keys are %s", all)));
}

/* Notes where a key was said first; a second time with another value is a
 * fault, with the same value nothing at all. */
static void note(struct fl_reader *r, size_t i, int thing, struct fl_span value)
{
	struct fl_span *said = said_at(r, i, thing);
	if (!said->line)
		*said = value;
	else if (!fl_span_equal(*said, value))
		fl_reader_fault(r, value,
			FL_WORDS(r,
				"%s is said again, otherwise than in line %d",
				keys[i].name, said->line),
			"keep one of the two lines; several values stand in "
			"one, with commas");
}

static struct field field_of(struct fl_plan *plan, const struct key *key,
			     int thing)
{
	void *base = plan;
	enum fl_place_kind kind = FL_PLACE_NOWHERE;
	switch (key->section) {
	case FL_SECTION_DEVICE:
		base = &plan->devices[thing];
		kind = FL_PLACE_DEVICE;
		break;
	case FL_SECTION_SWITCH:
		base = &plan->switches[thing];
		kind = FL_PLACE_SWITCH;
		break;
	case FL_SECTION_RUN:
		base = &plan->runs[thing];
		break;
	case FL_SECTION_FEED:
		base = &plan->feeds[thing];
		break;
	default:
		break;
	}
	return (struct field){ { kind, thing, 0 }, key->measure,
			       (char *)base + key->offset };
}

void fl_reader_key(struct fl_reader *r, enum fl_section section, int thing,
		   struct fl_span key, struct fl_span value)
{
	size_t i = 0;
	while (i < KEYS && !(keys[i].section == section &&
			     fl_span_is(key, keys[i].name)))
		i++;
	if (r->pass == FL_PASS_VALUES && i == KEYS)
		unknown_key(r, section, key);
	if (i == KEYS)
		return;
	if (r->pass == FL_PASS_VALUES)
		note(r, i, thing, value);
	/* Again when all names are known, for what is ambiguous only then. */
	if (r->pass == FL_PASS_REFERENCES && keys[i].pass == FL_PASS_ENDS)
		(void)fl_reader_place(r, value, FL_SIDE_END);
	if (r->pass != keys[i].pass || said_at(r, i, thing)->at != value.at)
		return;
	const struct field field = field_of(r->plan, &keys[i], thing);
	keys[i].read(r, value, &field);
}
