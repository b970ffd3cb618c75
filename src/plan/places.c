/* places.c -- where a run ends or the laptop is joined.
 *
 *   port 3 of lower switch     a port, in every place
 *   lower switch port 3        a port of a switch or of a device with ports;
 *                              else all of it is a name: "camera port 2"
 *                              may hang at the port side
 *   lower switch 3             the same, shorter
 *   arch radar                 a device, or a switch whose port is not said
 *
 * A name that is not yet known comes into being: left of = in [wiring] and as
 * an end of a run as a device, or as a switch if it has the word "switch" or
 * a port; right of = as a switch. A known device right of = has ports. What
 * reads both as a whole name and as a port of another is ambiguous, and told.
 */
#include "plan/reader.h"

static const struct fl_place nowhere = { FL_PLACE_NOWHERE, FL_NONE, 0 };

bool fl_place_equal(struct fl_place a, struct fl_place b)
{
	return a.kind == b.kind && a.index == b.index && a.port == b.port;
}

bool fl_place_agrees(struct fl_place a, struct fl_place b)
{
	return a.kind == b.kind && a.index == b.index &&
	       (a.port == b.port || !a.port || !b.port);
}

bool fl_place_has_ports(const struct fl_plan *plan, struct fl_place place)
{
	return place.kind == FL_PLACE_SWITCH ||
	       (place.kind == FL_PLACE_DEVICE &&
		plan->devices[place.index].ports);
}

int fl_run_end(const struct fl_run *run, struct fl_place thing)
{
	for (int i = 0; i < 2; i++)
		if (run->ends[i].kind == thing.kind &&
		    run->ends[i].index == thing.index)
			return i;
	return FL_NONE;
}

/* How a port was said: "X 3" may also be a name, the other two less so. */
enum manner { UNSAID, BY_NUMBER, BY_WORD, IN_FULL };

static enum manner split(struct fl_span s, struct fl_span *base, int *port)
{
	struct fl_span rest = s, word;
	if (fl_span_opens(&rest, "port")) {
		size_t n = 0;
		while (n < rest.n && rest.at[n] >= '0' && rest.at[n] <= '9')
			n++;
		word = (struct fl_span){ rest.at, n, rest.line, rest.column };
		rest = (struct fl_span){ rest.at + n, rest.n - n, rest.line,
					 rest.column + (int)n };
		rest = fl_span_trim(rest);
		if (fl_span_count(word, port) && fl_span_opens(&rest, "of")) {
			*base = rest;
			return IN_FULL;
		}
	}
	*base = s;
	if (!fl_span_last(base, &word) || !fl_span_count(word, port))
		return UNSAID;
	rest = *base;
	if (!fl_span_last(&rest, &word) || !fl_span_is(word, "port"))
		return BY_NUMBER;
	*base = rest;
	return BY_WORD;
}

bool fl_span_port(struct fl_span *s, int *port)
{
	struct fl_span base;
	if (split(*s, &base, port) == UNSAID)
		return false;
	*s = base;
	return true;
}

static struct fl_place find(const struct fl_plan *plan, struct fl_span name)
{
	int i = fl_plan_find(plan, FL_SECTION_DEVICE, name);
	if (i != FL_NONE)
		return (struct fl_place){ FL_PLACE_DEVICE, i, 0 };
	i = fl_plan_find(plan, FL_SECTION_SWITCH, name);
	if (i != FL_NONE)
		return (struct fl_place){ FL_PLACE_SWITCH, i, 0 };
	return nowhere;
}

static bool sounds_like_switch(struct fl_span name)
{
	return fl_span_has_word(name, "switch");
}

/* Of a text with a number that is no whole name: is the number a port? */
static bool is_port(const struct fl_reader *r, struct fl_span base,
		    struct fl_place known, enum manner manner,
		    enum fl_side side)
{
	if (manner == IN_FULL || side >= FL_SIDE_RIGHT)
		return true;
	if (fl_place_has_ports(r->plan, known))
		return true;
	if (known.kind == FL_PLACE_DEVICE)
		return manner == BY_WORD && side == FL_SIDE_END;
	if (manner == BY_WORD && side == FL_SIDE_END)
		return true;
	return sounds_like_switch(base) && !fl_span_is(base, "switch");
}

/* Left of = the whole name wins if somebody declared it. */
static bool ambiguous(const struct fl_reader *r, struct fl_place whole,
		      struct fl_place base, enum fl_side side)
{
	if (whole.kind == FL_PLACE_NOWHERE || base.kind == FL_PLACE_NOWHERE)
		return false;
	if (side >= FL_SIDE_RIGHT)
		return true;
	return fl_place_has_ports(r->plan, base) &&
	       !(side == FL_SIDE_LEFT && whole.kind == FL_PLACE_DEVICE &&
		 r->declared[whole.index]);
}

static void unknown_fault(struct fl_reader *r, struct fl_span name)
{
	const char *names[FL_PLAN_DEVICES + FL_PLAN_SWITCHES];
	const struct fl_plan *plan = r->plan;
	size_t n = 0;
	for (size_t i = 0; i < plan->switch_count; i++)
		names[n++] = plan->switches[i].name;
	for (size_t i = 0; i < plan->device_count; i++)
		names[n++] = plan->devices[i].name;
	fl_reader_fault(r, name,
		FL_WORDS(r, "nothing in this plan is called %s",
			fl_reader_quote(r, name)),
		fl_reader_mean(r, name, names, n,
			"name a switch or device of the plan, as \"lower "
			"switch 5\""));
}

static struct fl_place make(struct fl_reader *r, struct fl_span name,
			    bool as_switch)
{
	if (r->closed) {
		unknown_fault(r, name);
		return nowhere;
	}
	const int i = fl_reader_make(r, as_switch ? FL_SECTION_SWITCH
						  : FL_SECTION_DEVICE, name);
	if (i == FL_NONE)
		return nowhere;
	return (struct fl_place){ as_switch ? FL_PLACE_SWITCH : FL_PLACE_DEVICE,
				  i, 0 };
}

/* A device right of = passes others through; without `ports` said it has as
 * many as are used. */
static void host(struct fl_reader *r, struct fl_place place, int port)
{
	struct fl_device *d = &r->plan->devices[place.index];
	const int least = port ? port : 1;
	r->hosts[place.index] = true;
	if (!fl_reader_said(r, FL_SECTION_DEVICE, "ports", place.index).line &&
	    d->ports < least)
		d->ports = least;
}

static struct fl_place port_of(struct fl_reader *r, struct fl_span s,
			       struct fl_span base, int port,
			       enum fl_side side)
{
	struct fl_place place = find(r->plan, base);
	if (port < 1 || port > FL_PLAN_PORTS) {
		fl_reader_fault(r, s,
			FL_WORDS(r, "%d is no number of a port", port),
			FL_WORDS(r, "ports count from 1 to %d", FL_PLAN_PORTS));
		return nowhere;
	}
	if (place.kind == FL_PLACE_NOWHERE)
		place = make(r, base, true);
	if (place.kind == FL_PLACE_DEVICE && side == FL_SIDE_RIGHT)
		host(r, place, port);
	if (place.kind == FL_PLACE_NOWHERE)
		return nowhere;
	place.port = port;
	return place;
}

struct fl_place fl_reader_place(struct fl_reader *r, struct fl_span s,
				enum fl_side side)
{
	struct fl_span name = s;
	int port = 0;
	const enum manner manner = split(s, &name, &port);
	const struct fl_place whole = find(r->plan, s);
	const struct fl_place base = manner == UNSAID ? nowhere
						      : find(r->plan, name);
	if (ambiguous(r, whole, base, side)) {
		fl_reader_fault(r, s,
			FL_WORDS(r, "%s may be a name, or port %d of %s",
				fl_reader_quote(r, s), port,
				fl_place_name(r->plan, base)),
			FL_WORDS(r,
				"say 'port %d of %s' if that is meant, else "
				"rename one", port,
				fl_place_name(r->plan, base)));
		return nowhere;
	}
	if (whole.kind == FL_PLACE_NOWHERE && manner != UNSAID &&
	    is_port(r, name, base, manner, side))
		return port_of(r, s, name, port, side);
	if (whole.kind == FL_PLACE_NOWHERE)
		return make(r, s, side >= FL_SIDE_RIGHT ||
				  sounds_like_switch(s));
	if (whole.kind == FL_PLACE_DEVICE && side == FL_SIDE_RIGHT)
		host(r, whole, 0);
	return whole;
}
