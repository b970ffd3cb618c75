/* wiring.c -- the short form of a plan: one line a cable.
 *
 *   [wiring]
 *   device = switch port, then label, feed, joints, in any order
 *   laptop = switch port
 *
 * What stands behind the place is told apart so, the first that fits:
 *
 *   via X                      a joint
 *   powered by it              fed over this cable, from its other end
 *   run X, cable X             a label
 *   feed X                     a feed
 *   the name of a [feed]       a feed
 *   the name of a [run]        a label (of both a [feed] and a [run]: a fault)
 *   breaker 12, injector A     a feed: begins or ends with such a word
 *   W7, NET-12a                a label: one to six letters, then digits
 *
 * A line joins the [run] of its label, or the one run that already has the
 * same two ends; only what neither of them says is then added.
 */
#include "plan/reader.h"

enum token { JOINT, POWERED, LABEL, FEED, BOTH, NEITHER };

static bool sounds_like_feed(struct fl_span s)
{
	static const char *const words[] = { "breaker", "fuse", "injector",
		"circuit", "supply", "battery", "wire", "converter" };
	struct fl_span rest = s, last = s;
	(void)fl_span_last(&rest, &last);
	for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
		struct fl_span behind = s;
		if (fl_span_is(last, words[i]) ||
		    fl_span_opens(&behind, words[i]))
			return true;
	}
	return false;
}

/* One to six letters, perhaps a hyphen, up to five digits, perhaps a letter. */
static bool sounds_like_label(struct fl_span s)
{
	static const struct { char from, to; size_t least, most; } parts[] = {
		{ 'a', 'z', 1, 6 }, { '-', '-', 0, 1 },
		{ '0', '9', 1, 5 }, { 'a', 'z', 0, 1 },
	};
	size_t at = 0;
	for (size_t p = 0; p < sizeof parts / sizeof parts[0]; p++) {
		size_t n = 0;
		while (at < s.n && n < parts[p].most &&
		       fl_lower(s.at[at]) >= parts[p].from &&
		       fl_lower(s.at[at]) <= parts[p].to)
			n++, at++;
		if (n < parts[p].least)
			return false;
	}
	return at == s.n;
}

/* What a token is; its opening word is taken off where it only says that. */
static enum token classify(const struct fl_plan *plan, struct fl_span *s)
{
	if (fl_span_opens(s, "via"))
		return JOINT;
	if (fl_span_is(*s, "powered by it"))
		return POWERED;
	if (fl_span_opens(s, "run") || fl_span_opens(s, "cable"))
		return LABEL;
	if (fl_span_opens(s, "feed"))
		return FEED;
	const bool feed = fl_plan_find(plan, FL_SECTION_FEED, *s) != FL_NONE;
	const bool run = fl_plan_find(plan, FL_SECTION_RUN, *s) != FL_NONE;
	if (feed || run)
		return feed && run ? BOTH : feed ? FEED : LABEL;
	if (sounds_like_feed(*s))
		return FEED;
	return sounds_like_label(*s) ? LABEL : NEITHER;
}

void fl_reader_joint(struct fl_reader *r, struct fl_run *run,
		     struct fl_span name)
{
	for (size_t i = 0; i < run->joint_count; i++)
		if (fl_span_is(name, run->joints[i]))
			return;
	if (run->joint_count == FL_RUN_JOINTS) {
		fl_reader_fault(r, name,
			FL_WORDS(r, "%s is one joint too many",
				fl_reader_quote(r, name)),
			FL_WORDS(r, "a run holds at most %d", FL_RUN_JOINTS));
		return;
	}
	const char *kept = fl_reader_name(r, name);
	if (kept)
		run->joints[run->joint_count++] = kept;
}

/* Lay these two ends on a run that may know some already. False: they are
 * not its ends. */
static bool join_ends(struct fl_run *run, const struct fl_place ends[2])
{
	for (int turned = 0; turned < 2; turned++) {
		const struct fl_place *a = &run->ends[0], *b = &run->ends[1];
		const struct fl_place x = ends[turned], y = ends[!turned];
		if ((a->kind != FL_PLACE_NOWHERE && !fl_place_agrees(*a, x)) ||
		    (b->kind != FL_PLACE_NOWHERE && !fl_place_agrees(*b, y)))
			continue;
		const int ports[2] = { a->port, b->port };
		run->ends[0] = x;
		run->ends[1] = y;
		for (int i = 0; i < 2; i++)
			if (!run->ends[i].port)
				run->ends[i].port = ports[i];
		return true;
	}
	return false;
}

static bool both_ends(const struct fl_run *run)
{
	return run->ends[0].kind != FL_PLACE_NOWHERE &&
	       run->ends[1].kind != FL_PLACE_NOWHERE;
}

/* The run of this label or, without one, of these ends. */
static int find_run(struct fl_reader *r, struct fl_span label, int line,
		    const struct fl_place ends[2])
{
	if (label.n)
		return fl_reader_make(r, FL_SECTION_RUN, label);
	for (size_t i = 0; i < r->plan->run_count; i++) {
		struct fl_run copy = r->plan->runs[i];
		if (both_ends(&copy) && join_ends(&copy, ends))
			return (int)i;
	}
	if (r->plan->run_count == FL_PLAN_RUNS) {
		fl_reader_fault(r,
			(struct fl_span){ .line = line, .column = 1 },
			"this is one cable too many",
			FL_WORDS(r, "a plan holds at most %d runs",
				FL_PLAN_RUNS));
		return FL_NONE;
	}
	r->plan->runs[r->plan->run_count] = (struct fl_run){ .line = line };
	return (int)r->plan->run_count++;
}

static struct fl_run *lay(struct fl_reader *r, struct fl_span left,
			  struct fl_span label, const struct fl_place ends[2])
{
	const int i = find_run(r, label, left.line, ends);
	if (i == FL_NONE)
		return NULL;
	struct fl_run *run = &r->plan->runs[i];
	if (!join_ends(run, ends)) {
		fl_reader_fault(r, label,
			FL_WORDS(r, "%s has other ends in line %d",
				fl_reader_quote(r, label), run->line),
			"one label is one cable: mend one of the two lines");
		return NULL;
	}
	if (left.line < run->line)
		run->line = left.line;
	return run;
}

static void token_fault(struct fl_reader *r, struct fl_span token,
			enum token kind)
{
	const char *quoted = fl_reader_quote(r, token);
	const char *what = kind == BOTH ? "both a feed and a run"
					: "neither a label, a feed nor a joint";
	fl_reader_fault(r, token,
		token.n ? FL_WORDS(r, "%s is %s", quoted, what)
			: "nothing stands between two commas",
		"write 'run X' for a label, 'feed X' for a feed, 'via X' for "
		"a joint, or 'powered by it'");
}

/* The label among the tokens, and what is no token at all. */
static struct fl_span find_label(struct fl_reader *r, struct fl_span rest)
{
	struct fl_span item, label = { 0 };
	while (fl_span_item(&rest, &item)) {
		const enum token kind = classify(r->plan, &item);
		if (kind == BOTH || kind == NEITHER)
			token_fault(r, item, kind);
		if (kind != LABEL)
			continue;
		if (label.n && !fl_span_equal(label, item))
			fl_reader_fault(r, item,
				FL_WORDS(r, "%s is a second label",
					fl_reader_quote(r, item)),
				"a cable has one label; put a joint behind "
				"'via'");
		else
			label = item;
	}
	return label;
}

static void add_tokens(struct fl_reader *r, struct fl_run *run,
		       struct fl_place fed, struct fl_span rest)
{
	const int number = (int)(run - r->plan->runs);
	struct fl_span item;
	while (fl_span_item(&rest, &item)) {
		switch (classify(r->plan, &item)) {
		case JOINT:
			fl_reader_joint(r, run, item);
			break;
		case POWERED:
			fl_reader_supply(r, fed, (struct fl_supply){
				FL_FEED_RUN, number }, item);
			break;
		case FEED:
			fl_reader_supply(r, fed, (struct fl_supply){
				FL_FEED_SUPPLY, fl_reader_make(r,
				FL_SECTION_FEED, item) }, item);
			break;
		case LABEL: case BOTH: case NEITHER:
			break;
		}
	}
}

/* The place stands first; a label, feed or joint there is no switch. */
static struct fl_place right_place(struct fl_reader *r, struct fl_span s)
{
	struct fl_span token = s;
	const enum token kind = classify(r->plan, &token);
	const bool known =
		fl_plan_find(r->plan, FL_SECTION_DEVICE, s) != FL_NONE ||
		fl_plan_find(r->plan, FL_SECTION_SWITCH, s) != FL_NONE;
	if (known || kind == NEITHER)
		return fl_reader_place(r, s, FL_SIDE_RIGHT);
	fl_reader_fault(r, s,
		FL_WORDS(r, "%s is no switch", fl_reader_quote(r, s)),
		"first the switch and its port, then label, feed and joints");
	return (struct fl_place){ FL_PLACE_NOWHERE, FL_NONE, 0 };
}

static void read_cable(struct fl_reader *r, struct fl_span left,
		       struct fl_span right)
{
	struct fl_span rest = right, place;
	(void)fl_span_item(&rest, &place);
	const struct fl_place ends[2] = {
		fl_reader_place(r, left, FL_SIDE_LEFT), right_place(r, place) };
	const struct fl_span label = find_label(r, rest);
	if (ends[0].kind == FL_PLACE_NOWHERE ||
	    ends[1].kind == FL_PLACE_NOWHERE)
		return;
	if (ends[0].kind == ends[1].kind && ends[0].index == ends[1].index) {
		fl_reader_fault(r, place,
			FL_WORDS(r, "%s is plugged into itself",
				fl_reader_quote(r, left)),
			"name what its cable leads to");
		return;
	}
	struct fl_run *run = lay(r, left, label, ends);
	if (run)
		add_tokens(r, run, ends[0], rest);
}

void fl_reader_wiring(struct fl_reader *r, struct fl_span left,
		      struct fl_span right)
{
	const bool laptop = fl_span_is(left, "laptop");
	struct fl_span rest = right, place;
	(void)fl_span_item(&rest, &place);
	if (laptop && r->pass == FL_PASS_REFERENCES)
		fl_reader_seat(r, right);
	if (laptop)
		return;
	switch (r->pass) {
	case FL_PASS_NAMES:
		(void)fl_reader_place(r, left, FL_SIDE_LEFT);
		break;
	case FL_PASS_RIGHTS:
	case FL_PASS_REFERENCES:
		(void)right_place(r, place);
		break;
	case FL_PASS_WIRING:
		read_cable(r, left, right);
		break;
	default:
		break;
	}
}
