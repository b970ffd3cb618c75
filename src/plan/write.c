/* write.c -- a plan from what was heard, or added to one that stands.
 *
 * What is heard is hostile: names are made fit to be names, marks of the
 * format in patterns become `?` (any one character), and a value that the
 * reader would cut short is left out. What is written reads back without a
 * fault.
 *
 * Ceiling FL_PLAN_DEVICES; those beyond are counted in a comment
 */
#include "plan/write.h"

#include "plan/reader.h"

#include <inttypes.h>
#include <stdio.h>

struct writer {
	struct fl_text *out;
	const char *line_end;
	const struct fl_plan *plan;      /* that stands, or NULL             */
	const struct fl_learnt *learnt;
	const int *same;                 /* NULL: all are new                */
	size_t n;
	size_t opened;                   /* learnt device whose section is
					  * open, plus 1                     */
	bool unended;                    /* the last line that stands        */
	char names[FL_PLAN_DEVICES][FL_PLAN_NAME];
};

static void put(struct writer *w, const char *format, ...)
	__attribute__((format(printf, 2, 3)));

static void put(struct writer *w, const char *format, ...)
{
	va_list args;
	va_start(args, format);
	if (w->unended)
		fl_text_add(w->out, "%s", w->line_end);
	w->unended = false;
	fl_text_add_list(w->out, format, args);
	fl_text_add(w->out, "%s", w->line_end);
	va_end(args);
}

static struct fl_span span(const char *text)
{
	return (struct fl_span){ text, strlen(text), 1, 1 };
}

static bool is_new(const struct writer *w, size_t i)
{
	return !w->same || w->same[i] == FL_NONE;
}

/* At most this many octets, cut between characters (RFC 3629 section 3: an
 * octet 10xxxxxx continues one). */
static void cut(char *text, size_t most)
{
	if (strlen(text) <= most)
		return;
	while (most && ((unsigned char)text[most] & 0xc0) == 0x80)
		most--;
	while (most && text[most - 1] == ' ')
		most--;
	text[most] = '\0';
}

/* Clean, with each of these marks replaced. Inner blanks are folded; in a
 * pattern a second one is any one character. */
static void fit(const char *text, const char *marks, char instead,
		char out[static FL_TEXT_MAX + 1])
{
	char clean[FL_TEXT_MAX + 1];
	struct fl_cursor c = fl_cursor(text, strlen(text));
	size_t n = fl_text_clean(fl_rest(&c), clean);
	for (size_t i = 0; i < n; i++)
		if (strchr(marks, clean[i]) || (instead == '?' && i &&
		    clean[i] == ' ' && clean[i - 1] == ' '))
			clean[i] = instead;
	n = fl_span_fold(span(clean), out, FL_TEXT_MAX);
	out[n] = '\0';
}

/* Of two names, "X 3" and "X port 3" would read as ports of "X". */
static bool collides(const char *name, const char *known)
{
	struct fl_span a = span(name), b = span(known);
	int port;
	return fl_span_is(a, known) ||
	       (fl_span_port(&a, &port) && fl_span_is(a, known)) ||
	       (fl_span_port(&b, &port) && fl_span_is(b, name));
}

static bool is_taken(const struct writer *w, const char *name, size_t before)
{
	const struct fl_plan *plan = w->plan;
	bool taken = fl_span_is(span(name), "laptop");
	for (size_t i = 0; i < before; i++)
		taken = taken || (is_new(w, i) &&
				  fl_span_is(span(name), w->names[i]));
	for (size_t i = 0; plan && i < plan->device_count; i++)
		taken = taken || collides(name, plan->devices[i].name);
	for (size_t i = 0; plan && i < plan->switch_count; i++)
		taken = taken || collides(name, plan->switches[i].name);
	for (size_t i = 0; plan && i < plan->feed_count; i++)
		taken = taken || collides(name, plan->feeds[i].name);
	return taken;
}

/* "camera", then "camera (2)": what has brackets is never taken for a port. */
static void choose_name(struct writer *w, size_t i)
{
	enum { NUMBER = 8 };   /* octets of " (65535)" */
	char base[FL_TEXT_MAX + 1];
	fit(w->learnt[i].name, ",;#=[]", '-', base);
	cut(base, FL_PLAN_NAME - 1 - NUMBER);
	const char *name = *base ? base : "device";
	(void)snprintf(w->names[i], FL_PLAN_NAME, "%.55s", name);
	for (uint16_t n = 2; is_taken(w, w->names[i], i); n++)
		(void)snprintf(w->names[i], FL_PLAN_NAME, "%.55s (%u)", name,
			       n);
}

static void open_section(struct writer *w, size_t i)
{
	const struct fl_learnt *l = &w->learnt[i];
	char made[FL_TEXT_MAX + 1], model[FL_TEXT_MAX + 1];
	if (w->opened == i + 1)
		return;
	w->opened = i + 1;
	put(w, "%s", "");
	put(w, "[device %s]", is_new(w, i) ? w->names[i]
					   : w->plan->devices[w->same[i]].name);
	fit(l->maker ? l->maker : "", "", '-', made);
	fit(l->model ? l->model : "", "", '-', model);
	if (*made || *model)
		put(w, "; %s%s%s", made, *made && *model ? " " : "", model);
}

static void put_key(struct writer *w, size_t i, const char *key,
		    const char *value)
{
	open_section(w, i);
	put(w, "%-8s = %s", key, value);
}

static bool has_mac(const struct fl_mac *macs, size_t n, struct fl_mac mac)
{
	for (size_t i = 0; i < n; i++)
		if (fl_mac_equal(macs[i], mac))
			return true;
	return false;
}

static bool mac_is_said(const struct writer *w, size_t before,
			struct fl_mac mac)
{
	const struct fl_plan *plan = w->plan;
	bool said = fl_mac_is_none(mac) || fl_mac_is_group(mac);
	for (size_t i = 0; i < before && !said; i++)
		said = has_mac(w->learnt[i].macs, w->learnt[i].mac_count, mac);
	for (size_t i = 0; plan && i < plan->device_count && !said; i++)
		said = has_mac(plan->devices[i].macs,
			       plan->devices[i].mac_count, mac);
	return said;
}

static bool address_is_said(const struct writer *w, size_t before,
			    struct fl_ip ip)
{
	bool said = fl_ip_is_unspecified(ip) || fl_ip_is_multicast(ip) ||
		    fl_ip_is_broadcast4(ip);
	for (size_t i = 0; i < before; i++)
		said = said || fl_ip_equal(w->learnt[i].address, ip);
	for (size_t i = 0; w->plan && i < w->plan->device_count; i++)
		said = said || fl_ip_equal(w->plan->devices[i].address, ip);
	return said;
}

static void put_macs(struct writer *w, size_t i)
{
	const struct fl_learnt *l = &w->learnt[i];
	char list[FL_DEVICE_MACS * (FL_MAC_TEXT + 1)] = "", text[FL_MAC_TEXT];
	size_t n = 0, count = 0;
	for (size_t m = 0; m < l->mac_count && count < FL_DEVICE_MACS; m++) {
		if (mac_is_said(w, i, l->macs[m]))
			continue;
		n += (size_t)snprintf(list + n, sizeof list - n, "%s%s",
				      count++ ? ", " : "",
				      fl_mac_text(l->macs[m], text));
	}
	if (count)
		put_key(w, i, "mac", list);
}

static void put_address(struct writer *w, size_t i)
{
	char text[FL_IP_TEXT];
	const struct fl_ip ip = w->learnt[i].address;
	if (!address_is_said(w, i, ip))
		put_key(w, i, "address", fl_ip_text(ip, text));
}

static void put_text(struct writer *w, size_t i, const char *key,
		     const char *text, const char *marks)
{
	char value[FL_TEXT_MAX + 1];
	fit(text ? text : "", marks, '?', value);
	if (*value)
		put_key(w, i, key, value);
}

static void put_kind(struct writer *w, size_t i)
{
	const char *kind = w->learnt[i].kind;
	char value[FL_TEXT_MAX + 1];
	fit(kind ? kind : "", ";#", '-', value);
	cut(value, FL_PLAN_NAME);
	if (*value)
		put_key(w, i, "kind", value);
}

static void put_cadence(struct writer *w, size_t i)
{
	const struct fl_learnt *l = &w->learnt[i];
	const char *to = l->cadence_to_group ? " to a group" : "";
	int64_t ms = (l->cadence + FL_MILLISECOND / 2) / FL_MILLISECOND;
	char value[FL_TIME_TEXT];
	if (l->cadence <= 0 || l->cadence > 24 * FL_HOUR)
		return;
	if (ms < 1)
		ms = 1;
	(void)snprintf(value, sizeof value, "%" PRId64 " %s%s",
		       ms % 1000 ? ms : ms / 1000, ms % 1000 ? "ms" : "s", to);
	put_key(w, i, "cadence", value);
}

/* A version that the reader would cut or fold is another version. */
static const char *whole(const char *software)
{
	return software && !strpbrk(software, ";#") && !strstr(software, "  ")
		? software : NULL;
}

/* The keys of one device that `has` does not have. */
static void put_device(struct writer *w, size_t i, const struct fl_device *has)
{
	static const char marks[] = ";#*[]\\";
	const struct fl_learnt *l = &w->learnt[i];
	if (!has->kind)
		put_kind(w, i);
	if (!has->mac_count)
		put_macs(w, i);
	if (fl_ip_is_none(has->address))
		put_address(w, i);
	if (!has->glob)
		put_text(w, i, "name", l->announced, marks);
	if (!has->service)
		put_text(w, i, "service", l->service, marks);
	if (!has->software)
		put_text(w, i, "software", whole(l->software), "");
	if (!has->cadence)
		put_cadence(w, i);
}

static bool met_before(const struct writer *w, size_t i)
{
	for (size_t j = 0; j < i; j++)
		if (w->same[j] == w->same[i])
			return true;
	return false;
}

/* New devices up to the ceiling whole, of others what they lack. */
static size_t put_devices(struct writer *w)
{
	static const struct fl_device nothing;
	const size_t room = FL_PLAN_DEVICES -
			    (w->plan ? w->plan->device_count : 0);
	size_t written = 0, beyond = 0;
	for (size_t i = 0; i < w->n; i++) {
		if (!is_new(w, i)) {
			if (!met_before(w, i))
				put_device(w, i, &w->plan->devices[w->same[i]]);
		} else if (written < room) {
			choose_name(w, i);
			open_section(w, i);
			put_device(w, i, &nothing);
			written++;
		} else {
			beyond++;
		}
	}
	if (beyond)
		put(w, "; %zu more were heard: a plan holds %d devices", beyond,
		    FL_PLAN_DEVICES);
	return written;
}

static void put_wiring(struct writer *w, size_t written)
{
	put(w, "%s", "");
	put(w, "[wiring]");
	put(w, "; One line a cable. Fill in and take the ; away, as in");
	put(w, ";   radar = lower switch 3, W7, breaker 12, via arch bulkhead");
	put(w, "; first the switch and its port, the rest in any order");
	for (size_t i = 0; i < w->n && written; i++) {
		if (!is_new(w, i))
			continue;
		put(w, "; %s =", w->names[i]);
		written--;
	}
}

bool fl_plan_write(struct fl_text *out, const struct fl_learnt *learnt,
		   size_t n)
{
	struct writer w = { .out = out, .line_end = "\n", .learnt = learnt,
		.n = n < FL_PLAN_DEVICES ? n : FL_PLAN_DEVICES };
	put(&w, "; What was heard here. Mend it where you know better.");
	put(&w, "%s", "");
	put(&w, "[segment]");
	put(&w, "; name   =");
	put(&w, "; laptop =");
	const size_t written = put_devices(&w);
	if (n > w.n)
		put(&w, "; %zu more were heard: a plan holds %d devices",
		    n - w.n, FL_PLAN_DEVICES);
	put_wiring(&w, written);
	put(&w, "; laptop =");
	return !out->full;
}

/* Lines end as the first one that stands does. */
static bool ends_in_cr_lf(const char *standing, size_t n)
{
	const char *lf = n ? memchr(standing, '\n', n) : NULL;
	return lf && lf > standing && lf[-1] == '\r';
}

bool fl_plan_write_more(struct fl_text *out, const struct fl_plan *plan,
			const char *standing, size_t n,
			const struct fl_learnt *learnt, const int *same,
			size_t count)
{
	struct writer w = { .out = out, .plan = plan, .learnt = learnt,
		.same = same,
		.n = count < FL_PLAN_DEVICES ? count : FL_PLAN_DEVICES,
		.line_end = ends_in_cr_lf(standing, n) ? "\r\n" : "\n",
		.unended = n && standing[n - 1] != '\n' };
	const size_t written = put_devices(&w);
	if (written)
		put_wiring(&w, written);
	return !out->full;
}
