/* json.c -- an answer as one JSON object, keys always in the same order.
 *
 * Source  fairlead-json(5); RFC 8259
 * Says    null where a thing was not counted or is not known; a key is absent
 *         where nobody asked
 * Errors  a value that cannot be made is NULL, and so is what would hold it:
 *         the whole answer is made or none
 */
#include "render/json_values.h"
#include "render/render.h"
#include "render/shares.h"

enum { MAJOR = 1, MINOR = 0 };   /* of the form, fairlead-json(5) */

/* Digits enough for ms of a century and for a millionth, not for the noise
 * of binary fractions. */
enum { DIGITS = 13 };

/* Six digits that count. */
static json_t *digits(double n)
{
	char text[32];
	(void)snprintf(text, sizeof text, "%.5e", n);
	return json_real(strtod(text, NULL));
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
	const struct fl_answer_dropout *all = list, *d = &all[i];
	return object(
		"from", moment(true, d->from),
		"to", moment(d->to != 0, d->to),
		"return", text(d->way == FL_RETURNS ? NULL : fl_json_way(d->way)), NULL);
}

/* The limits between which a share lies; null: not counted. */
static json_t *share(bool known, double low, double high)
{
	return known ? object("low", digits(low), "high", digits(high), NULL)
		     : json_null();
}

static json_t *one_ear(const void *list, size_t i)
{
	const struct fl_answer_ear *all = list, *e = &all[i];
	const bool known = e->errors_known || e->errors;
	return object(
		"ear", text(e->name),
		"place", text(e->place),
		"frames", count(e->frames),
		"octets", count(e->octets),
		"errors", counted(known, e->errors),
		"error_share", share(known, e->error_low, e->error_high),
		"lost", count(e->lost),
		"own", count(e->own), NULL);
}

static json_t *port_count(const struct fl_answer_port *p, enum fl_counter c)
{
	return counted(p->counted >> c & 1, p->counts[c]);
}

/* Every counter of a port that is an error of frames; null: not counted. */
static json_t *port_errors(const struct fl_answer_port *p)
{
	json_t *out = json_object();
	bool made = out;
	for (enum fl_counter c = FL_COUNT_CRC; c < FL_COUNTERS; c++)
		if (c <= FL_COUNT_CARRIER || c == FL_COUNT_ERRORS)
			made &= !json_object_set_new(out, fl_counter_key(c),
				port_count(p, c));
	if (!made)
		json_decref(out);
	return made ? out : NULL;
}

static json_t *one_port(const void *list, size_t i)
{
	static const char *const duplexes[] = { NULL, "half", "full" };
	const struct fl_answer_port *all = list, *p = &all[i];
	return object(
		"port", text(p->name),
		"own", json_boolean(p->own),
		"run", text(p->run),
		"station", text(p->station),
		"state", text(p->link ? "up" : "down"),
		"mbit", counted(p->mbit != 0, p->mbit),
		"duplex", text(duplexes[p->duplex]),
		"flaps", counted(p->flaps_known, p->flaps),
		"without_link_seconds", seconds(p->without_link),
		"frames", port_count(p, FL_COUNT_RECEIVED),
		"sent", port_count(p, FL_COUNT_SENT),
		"asked", count(p->asked),
		"errors", port_errors(p),
		"error_frames", counted(p->errors_counted, p->error_frames),
		"error_share", share(p->errors_counted, p->error_low, p->error_high),
		NULL);
}

static json_t *loss_of(const struct fl_answer_loss *loss)
{
	return !loss->known ? json_null() : object(
		"received", count(loss->received),
		"missed", count(loss->missed),
		"low", digits(loss->low), "high", digits(loss->high),
		"grows_with_size", json_boolean(loss->grows_with_size), NULL);
}

static json_t *one_device(const void *list, size_t i)
{
	const struct fl_answer_device *all = list, *d = &all[i];
	const size_t n = d->dropout_count;
	return object(
		"name", text(d->name),
		"kind", text(d->kind),
		"state", text(fl_state_word(d->state)),
		"stations", array(d->mac_count, one_mac, d->macs),
		"addresses", array(d->address_count, one_ip, d->addresses),
		"last_heard", moment(d->ever_heard, d->last_heard),
		"cadence_seconds", cadence(d->cadence),
		"beats_due", count(d->due),
		"beats_heard", count(d->heard),
		"dropouts", count(n),
		"silences", array(n, one_silence, d->dropouts),
		"boot_seconds", d->boot_most
			? json_pack("[o,o]", seconds(d->boot_least), seconds(d->boot_most))
			: json_null(),
		"software", text(d->software),
		"loss", loss_of(&d->loss), NULL);
}

static json_t *one_station(const void *list, size_t i)
{
	const struct fl_answer_station *all = list, *s = &all[i];
	return object(
		"mac", one_mac(&s->mac, 0),
		"names", texts(&s->names),
		"addresses", array(s->address_count, one_ip, s->addresses),
		"planned", text(s->planned),
		"guess", text(s->guess),
		"kind", text(s->kind),
		"maker", text(s->maker),
		"model", text(s->model),
		"serial", text(s->serial),
		"software", text(s->software),
		"services", texts(&s->services),
		"first_heard", moment(true, s->first_heard),
		"last_heard", moment(true, s->last_heard),
		"frames", count(s->frames),
		"cadence_seconds", cadence(s->cadence),
		"cadence_to_group", json_boolean(s->cadence_to_group), NULL);
}

static json_t *one_finding(const void *list, size_t i)
{
	static const char *const severities[] = {
		[FL_REMARK] = "remark", [FL_DOUBT] = "doubt",
		[FL_FAULT] = "fault",
	};
	const struct fl_answer_finding *all = list, *f = &all[i];
	return object(
		"id", text(f->id),
		"severity", text(severities[f->severity]),
		"subject", text(f->subject),
		"text", text(f->text),
		"evidence", texts(&f->evidence), NULL);
}

static json_t *one_suspect(const void *list, size_t i)
{
	const struct fl_answer_suspect *all = list, *s = &all[i];
	const int step = s->parted_by;
	return object(
		"part", text(s->part),
		"text", text(s->text),
		"piece", text(s->piece),
		"probability", millionths(round(s->probability * MILLION)),
		"group", json_integer(s->group),
		"equals", texts(&s->equals),
		"parted_by", counted(step > 0, (uint64_t)step),
		"for", texts(&s->supports),
		"against", texts(&s->speaks_against), NULL);
}

static json_t *one_step(const void *list, size_t i)
{
	const struct fl_answer_step *all = list, *s = &all[i];
	return object(
		"do", text(s->action),
		"minutes", json_integer(s->minutes),
		"if_better", text(s->if_better),
		"if_not", text(s->if_not),
		"then", text(s->then),
		"caution", text(s->caution), NULL);
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
	return object(
		"parts", texts(&c->hypotheses[i].parts),
		"p", part_of_one(c, i + 2), NULL);
}

static json_t *heard(const struct fl_answer *a)
{
	const bool timed = a->from || a->to;
	return object(
		"from", moment(timed, a->from),
		"to", moment(timed, a->to),
		"seconds", seconds(a->listened),
		"deaf_seconds", seconds(a->deaf),
		"clock_moved_seconds", seconds(a->clock_moved),
		"frames", count(a->frames),
		"firm", json_boolean(a->firm),
		"live", json_boolean(a->live),
		"anything", json_boolean(a->anything_heard),
		"place", text(a->seat), NULL);
}

static json_t *whole(const struct fl_answer *a, const struct certainty *c)
{
	return object(
		"fairlead", json_integer(MAJOR),
		"minor", json_integer(MINOR),
		"segment", text(a->segment),
		"heard", heard(a),
		"planned", json_boolean(a->planned),
		"wired", json_boolean(a->wired),
		"what", text(a->what),
		"look", text(a->look),
		"story", texts(&a->story),
		"ears", array(a->ear_count, one_ear, a->ears),
		"devices", array(a->device_count, one_device, a->devices),
		"stations", array(a->station_count, one_station, a->stations),
		"episodes", fl_json_episodes(a),
		"findings", array(a->finding_count, one_finding, a->findings),
		"no_fault", part_of_one(c, 0),
		"other", part_of_one(c, 1),
		"rest", rest_of_one(c),
		"hypotheses", array(a->hypothesis_count, one_hypothesis, c),
		"suspects", array(a->suspect_count, one_suspect, a->suspects),
		"next", array(a->step_count, one_step, a->steps),
		"cannot_see", texts(&a->cannot_see),
		"cautions", texts(&a->cautions),
		"warnings", texts(&a->warnings), NULL);
}

/* A capture knows nothing of the ports of its host: unless a switch told of its
 * own, the key is absent then. */
static json_t *with_ports(json_t *root, const struct fl_answer *a)
{
	if (!root || (!a->live && !a->port_count) ||
	    !json_object_set_new(root, "ports", array(a->port_count, one_port, a->ports)))
		return root;
	json_decref(root);
	return NULL;
}

static int add_octets(const char *octets, size_t n, void *out)
{
	fl_text_add(out, "%.*s", (int)n, octets);
	return 0;
}

bool fl_render_json(const struct fl_answer *answer, size_t width, struct fl_text *out)
{
	(void)width;   /* a program minds no columns */
	struct certainty c = { 0 };
	json_t *root = weigh(&c, answer) ? with_ports(whole(answer, &c), answer) : NULL;
	const bool made = root && !json_dump_callback(root, add_octets, out,
		JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS));
	fl_text_add(out, "\n");
	json_decref(root);
	free(c.share);
	free(c.parts);
	return made && !out->full;
}
