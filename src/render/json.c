/* json.c -- an answer as one JSON object, keys always in the same order.
 *
 * Source  fairlead-json(5); RFC 8259
 * Says    null where a thing was not counted or is not known; a key is absent
 *         where nobody asked
 * Errors  a value that cannot be made is NULL, which json_pack() hands up:
 *         the whole object is made or none
 */
#include "render/layout.h"
#include "render/render.h"
#include "render/shares.h"

#include <jansson.h>
#include <math.h>

enum { MINOR = 0, MILLION = 1000000 };

/* Digits enough for ms of a century and for a millionth, not for the noise
 * of binary fractions. */
enum { DIGITS = 13 };

static json_t *text(const char *s)
{
	struct fl_text clean;
	if (!s)
		return json_null();
	if (!fl_text_init(&clean, FL_ROW_OCTETS))
		return NULL;
	fl_clean_add(&clean, s);
	json_t *value = clean.full ? NULL : json_stringn(clean.at, clean.n);
	fl_text_close(&clean);
	return value;
}

static json_t *count(uint64_t n)
{
	return json_integer((json_int_t)n);
}

static json_t *counted(bool known, uint64_t n)
{
	return known ? count(n) : json_null();
}

/* Whole milliseconds. */
static json_t *seconds(int64_t ns)
{
	return json_real(round((double)ns / (double)FL_MILLISECOND) / 1e3);
}

static json_t *cadence(fl_time interval)
{
	return interval ? seconds(interval) : json_null();
}

static json_t *moment(bool known, fl_time t)
{
	char utc[FL_TIME_TEXT];
	return known ? json_string(fl_time_utc(t, utc)) : json_null();
}

static json_t *millionths(double n)
{
	return json_real(n / MILLION);
}

/* An array of what `one(list, i)` makes; NULL if any could not be made. */
static json_t *array(size_t n, json_t *(*one)(const void *list, size_t i),
		     const void *list)
{
	json_t *out = json_array();
	for (size_t i = 0; out && i < n; i++)
		if (json_array_append_new(out, one(list, i))) {
			json_decref(out);
			return NULL;
		}
	return out;
}

static json_t *one_text(const void *list, size_t i)
{
	return text(((const char *const *)list)[i]);
}

static json_t *texts(const struct fl_texts *t)
{
	return array(t->n, one_text, t->at);
}

static json_t *one_mac(const void *list, size_t i)
{
	char out[FL_MAC_TEXT];
	return json_string(fl_mac_text(((const struct fl_mac *)list)[i], out));
}

static json_t *one_ip(const void *list, size_t i)
{
	char out[FL_IP_TEXT];
	return json_string(fl_ip_text(((const struct fl_ip *)list)[i], out));
}

static json_t *one_silence(const void *list, size_t i)
{
	const struct fl_answer_dropout *d = (const struct fl_answer_dropout *)list + i;
	return json_pack("{s:o, s:o}", "from", moment(true, d->from),
			 "to", moment(d->to != 0, d->to));
}

static json_t *one_ear(const void *list, size_t i)
{
	const struct fl_answer_ear *e = (const struct fl_answer_ear *)list + i;
	return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
			 "ear", text(e->name), "place", text(e->place),
			 "frames", count(e->frames), "octets", count(e->octets),
			 "errors", counted(e->errors_known || e->errors, e->errors),
			 "lost", count(e->lost), "own", count(e->own));
}

static json_t *one_device(const void *list, size_t i)
{
	const struct fl_answer_device *d = (const struct fl_answer_device *)list + i;
	return json_pack("{s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
			 "name", text(d->name), "kind", text(d->kind),
			 "state", fl_state_word(d->state),
			 "stations", array(d->mac_count, one_mac, d->macs),
			 "addresses", array(d->address_count, one_ip, d->addresses),
			 "last_heard", moment(d->ever_heard, d->last_heard),
			 "cadence_seconds", cadence(d->cadence),
			 "beats_due", count(d->due), "beats_heard", count(d->heard),
			 "dropouts", count(d->dropout_count),
			 "silences", array(d->dropout_count, one_silence, d->dropouts),
			 "software", text(d->software));
}

static json_t *one_station(const void *list, size_t i)
{
	const struct fl_answer_station *s = (const struct fl_answer_station *)list + i;
	return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o,"
			 " s:o, s:o, s:o, s:b}",
			 "mac", one_mac(&s->mac, 0), "names", texts(&s->names),
			 "addresses", array(s->address_count, one_ip, s->addresses),
			 "planned", text(s->planned), "guess", text(s->guess),
			 "kind", text(s->kind), "maker", text(s->maker),
			 "model", text(s->model), "serial", text(s->serial),
			 "software", text(s->software), "services", texts(&s->services),
			 "first_heard", moment(true, s->first_heard),
			 "last_heard", moment(true, s->last_heard),
			 "frames", count(s->frames),
			 "cadence_seconds", cadence(s->cadence),
			 "cadence_to_group", s->cadence_to_group);
}

static json_t *one_finding(const void *list, size_t i)
{
	static const char *const severities[] = {
		[FL_REMARK] = "remark", [FL_DOUBT] = "doubt", [FL_FAULT] = "fault",
	};
	const struct fl_answer_finding *f = (const struct fl_answer_finding *)list + i;
	return json_pack("{s:o, s:s, s:o, s:o, s:o}", "id", text(f->id),
			 "severity", severities[f->severity],
			 "subject", text(f->subject), "text", text(f->text),
			 "evidence", texts(&f->evidence));
}

static json_t *one_suspect(const void *list, size_t i)
{
	const struct fl_answer_suspect *s = (const struct fl_answer_suspect *)list + i;
	return json_pack("{s:o, s:o, s:o, s:o, s:i, s:o, s:o, s:o, s:o}",
			 "part", text(s->part), "text", text(s->text),
			 "piece", text(s->piece),
			 "probability", millionths(round(s->probability * MILLION)),
			 "group", s->group, "equals", texts(&s->equals),
			 "parted_by", counted(s->parted_by > 0, (uint64_t)s->parted_by),
			 "for", texts(&s->supports), "against", texts(&s->speaks_against));
}

static json_t *one_step(const void *list, size_t i)
{
	const struct fl_answer_step *s = (const struct fl_answer_step *)list + i;
	return json_pack("{s:o, s:i, s:o, s:o, s:o, s:o}", "do", text(s->action),
			 "minutes", s->minutes, "if_better", text(s->if_better),
			 "if_not", text(s->if_not), "then", text(s->then),
			 "caution", text(s->caution));
}

/* The whole certainty of one in millionths: no fault, other, the hypotheses,
 * and the rest, which takes what rounding leaves over. */
struct certainty {
	const struct fl_answer_hypothesis *hypotheses;
	double   *share;
	unsigned *parts;
	size_t    n;           /* no fault, other, then the hypotheses */
	double    sum;         /* 0: nothing was judged                */
};

static bool weigh(struct certainty *c, const struct fl_answer *a)
{
	c->hypotheses = a->hypotheses;
	c->n = a->hypothesis_count + 2;
	c->share = calloc(c->n, sizeof *c->share);
	c->parts = calloc(c->n, sizeof *c->parts);
	if (!c->share || !c->parts)
		return false;
	c->share[0] = a->no_fault;
	c->share[1] = a->other;
	for (size_t i = 2; i < c->n; i++)
		c->share[i] = a->hypotheses[i - 2].probability;
	c->sum = a->rest;
	for (size_t i = 0; i < c->n; i++)
		c->sum += c->share[i];
	for (size_t i = 0; i < c->n && c->sum > 0; i++)
		c->share[i] /= c->sum;
	fl_shares(c->share, c->n, MILLION, c->parts);
	return true;
}

static json_t *part_of_one(const struct certainty *c, size_t i)
{
	return c->sum > 0 ? millionths(c->parts[i]) : json_null();
}

static json_t *rest_of_one(const struct certainty *c)
{
	int64_t left = MILLION;
	for (size_t i = 0; i < c->n; i++)
		left -= c->parts[i];
	return c->sum > 0 ? millionths((double)left) : json_null();
}

static json_t *one_hypothesis(const void *list, size_t i)
{
	const struct certainty *c = list;
	return json_pack("{s:o, s:o}", "parts", texts(&c->hypotheses[i].parts),
			 "p", part_of_one(c, i + 2));
}

static json_t *heard(const struct fl_answer *a)
{
	const bool timed = a->from || a->to;
	return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:b, s:b, s:o}",
			 "from", moment(timed, a->from), "to", moment(timed, a->to),
			 "seconds", seconds(a->listened),
			 "deaf_seconds", seconds(a->deaf),
			 "clock_moved_seconds", seconds(a->clock_moved),
			 "frames", count(a->frames), "firm", a->firm, "live", a->live,
			 "anything", a->anything_heard, "place", text(a->seat));
}

static json_t *whole(const struct fl_answer *a, const struct certainty *c)
{
	return json_pack("{s:i, s:i, s:o, s:o, s:b, s:b, s:o, s:o, s:o, s:o, s:o, s:o,"
			 " s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}",
			 "fairlead", 1, "minor", MINOR, "segment", text(a->segment),
			 "heard", heard(a), "planned", a->planned, "wired", a->wired,
			 "what", text(a->what), "look", text(a->look),
			 "story", texts(&a->story),
			 "ears", array(a->ear_count, one_ear, a->ears),
			 "devices", array(a->device_count, one_device, a->devices),
			 "stations", array(a->station_count, one_station, a->stations),
			 "findings", array(a->finding_count, one_finding, a->findings),
			 "no_fault", part_of_one(c, 0), "other", part_of_one(c, 1),
			 "rest", rest_of_one(c),
			 "hypotheses", array(a->hypothesis_count, one_hypothesis, c),
			 "suspects", array(a->suspect_count, one_suspect, a->suspects),
			 "next", array(a->step_count, one_step, a->steps),
			 "cannot_see", texts(&a->cannot_see),
			 "cautions", texts(&a->cautions),
			 "warnings", texts(&a->warnings));
}

static int add_octets(const char *octets, size_t n, void *out)
{
	fl_text_add(out, "%.*s", (int)n, octets);
	return 0;
}

bool fl_render_json(const struct fl_answer *answer, struct fl_text *out)
{
	struct certainty c = { 0 };
	json_t *root = weigh(&c, answer) ? whole(answer, &c) : NULL;
	const bool made = root && !json_dump_callback(root, add_octets, out,
		JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS));
	fl_text_add(out, "\n");
	json_decref(root);
	free(c.share);
	free(c.parts);
	return made && !out->full;
}
