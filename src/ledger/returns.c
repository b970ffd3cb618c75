/* returns.c -- how a station that was away came back.
 *
 * Source  the signs of return_signs.def; the length of its absence
 * Takes   signs from the last frame before the absence until 16 s after it;
 *         then, or when it falls silent again, the return is concluded once
 * Says    ln L of each way of coming back, the best 0, in the dropout; the
 *         prior is diagnose's. One outcome a mechanism: what one event made a
 *         stack say four times is one sign
 *
 * "Nothing" is an outcome only of a mechanism that this station has shown
 * before, only if all of the time was listened to, and not where everybody
 * fell: then the laptop's own port came back after the signs were spoken.
 */
#include "ledger/inner.h"

#include <math.h>

#define OPEN_FOR   (16 * FL_SECOND)   /* judgement: the lab's slowest sign but
				       * one came after 7 s, that one after 22 */
#define LAST_FRAME (50 * FL_MILLISECOND)   /* a sign so near is of before     */
#define CLAMP      log(100)           /* no mechanism weighs more: judgement  */

static const struct {
	enum fl_mechanism by;
	bool   none;
	double p[FL_RETURNS];
} signs[FL_RETURN_SIGNS] = {
#define RETURN_SIGN(id, mechanism, ...) [FL_RETURN_##id] = { \
	FL_BY_##mechanism, FL_RETURN_##id == FL_RETURN_##mechanism##_NONE, \
	{ __VA_ARGS__ } },
#include "ledger/return_signs.def"
#undef RETURN_SIGN
};

/* ---- length ---- */

/* P(an absence of this length | how it came back), each row up to its seconds:
 * the steps are gaps of posted logs; the shares are judgement. A cable that a
 * hand pulled is out for as long as the hand needs. */
static const struct { double seconds; double p[FL_RETURNS]; } ruler[] = {
	{ 3.5,  { .06, .42, .35, .25, .10 } },   /* a link forms anew: 1 to 3 s */
	{ 12,   { .16, .25, .25, .35, .20 } },
	{ 150,  { .65, .25, .32, .35, .30 } },   /* a device boots: 15 to 120 s */
	{ 1e18, { .13, .08, .08, .05, .40 } },
};

/* Its boots take as long as each other, within 3 s and 6 in 100. */
static fl_time slack_of(fl_time boot)
{
	return 3 * FL_SECOND + boot * 6 / 100;
}

/* As long as its boots, too short for one, or neither: power that stays away
 * makes an absence longer than a boot, so length speaks against one only
 * below. Judgement. */
static bool weigh_boot(const struct fl_presence *p, fl_time least, fl_time most,
		       double log_p[FL_RETURNS])
{
	const fl_time slack = slack_of(p->boot_most);
	if (p->boot_most == 0 || least > p->boot_most + slack)
		return false;
	const bool met = most >= p->boot_least - slack;
	if (!met && most >= p->boot_least - slack - 4 * FL_SECOND)
		return false;
	for (size_t c = 0; c < FL_RETURNS; c++)
		log_p[c] += met ? c == FL_REBOOTED ? log(.80) : log(.15)
			    : c == FL_REBOOTED ? log(.15) : log(.50);
	return met;
}

/* True if it was the length of its boots. */
static bool weigh_length(const struct fl_presence *p, fl_time least, fl_time most,
			 double log_p[FL_RETURNS])
{
	double sum[FL_RETURNS] = { 0 }, from = 0;
	for (size_t i = 0; i < sizeof ruler / sizeof ruler[0]; i++) {
		const double to = ruler[i].seconds;
		if ((double)most / 1e9 > from && (double)least / 1e9 <= to)
			for (size_t c = 0; c < FL_RETURNS; c++)
				sum[c] += ruler[i].p[c];
		from = to;
	}
	for (size_t c = 0; c < FL_RETURNS; c++)
		log_p[c] = log(sum[c]);
	return weigh_boot(p, least, most, log_p);
}

/* Two beats lie within the bounds of an absence: it may have fallen silent
 * right before the first that was missed. */
static void bounds_of(const struct fl_ledger *l, const struct fl_dropout *d,
		      fl_time *least, fl_time *most)
{
	const fl_time period = fl_cadence_shortest(l, d->presence);
	*most = d->first - d->last;
	*least = *most > 2 * period ? *most - 2 * period : 0;
}

/* Keep what all its boots have in common. A longer absence is no boot alone:
 * its power was away; a shorter one shows that the others were. */
static void learn_boot(struct fl_presence *p, fl_time least, fl_time most)
{
	const fl_time slack = slack_of(p->boot_most);
	if (p->boot_most && least > p->boot_most + slack)
		return;
	if (p->boot_most == 0 || most < p->boot_least - slack) {
		p->boot_least = least;
		p->boot_most = most;
		return;
	}
	if (least > p->boot_least && least <= p->boot_most)
		p->boot_least = least;
	if (most < p->boot_most && most >= p->boot_least)
		p->boot_most = most;
}

bool fl_ledger_boot_time(const struct fl_ledger *l, struct fl_mac mac,
			 fl_time *least, fl_time *most)
{
	*least = *most = 0;
	for (size_t i = 0; i < l->presences.n; i++) {
		const struct fl_presence *p = presence_at(l, i);
		if (!fl_mac_equal(p->mac, mac) || p->boot_most == 0 ||
		    (*most && p->boot_most >= *most))
			continue;
		*least = p->boot_least;
		*most = p->boot_most;
	}
	return *most != 0;
}

/* ---- conclusions ---- */

/* Nearly all that keep a beat at this ear fell silent with it. */
static bool everybody_fell(const struct fl_ledger *l, const struct fl_dropout *of)
{
	enum { LOOKED_AT = 4096 };
	const uint16_t ear = presence_at(l, of->presence)->ear;
	size_t fell = 0, all = 0;
	for (size_t i = 0; i < l->presences.n; i++) {
		const struct fl_presence *p = presence_at(l, i);
		all += p->ear == ear && p->steady_streams > 0;
	}
	for (size_t n = 0, i = l->dropout_count; i-- > 0 && n < LOOKED_AT; n++) {
		const struct fl_dropout *d = &l->dropouts[i];
		fell += presence_at(l, d->presence)->ear == ear && !d->deaf &&
			d->last <= of->missed && d->missed >= of->last;
	}
	return all >= 3 && fell * 10 >= all * 9;
}

/* Add the logarithms, the best of them 0 and none below `least`. */
static void add(double sum[FL_RETURNS], const double log_p[FL_RETURNS], double least)
{
	double best = -INFINITY;
	for (size_t c = 0; c < FL_RETURNS; c++)
		best = fmax(best, log_p[c]);
	for (size_t c = 0; c < FL_RETURNS; c++)
		sum[c] += fmax(log_p[c] - best, least);
}

/* A daemon that starts joins its group from the link-local address, as a stack
 * does whose link came, and then asks for its names. Lab: within 0.2 s; twice,
 * a second apart (RFC 3810 sections 9.1 and 9.11). */
static bool is_join(const struct fl_presence *p, size_t sign)
{
	const fl_time apart = p->sign_at[FL_RETURN_SERVICES_ASKED] - p->sign_at[sign];
	return sign == FL_RETURN_STACK_LINKED && apart < 2 * FL_SECOND &&
	       apart > -2 * FL_SECOND;
}

/* What this mechanism said within the absence and after it; FL_RETURN_SIGNS:
 * nothing that could be counted. */
static size_t outcome_of(const struct fl_presence *p, const struct fl_dropout *d,
			 enum fl_mechanism by, bool nothing_counts)
{
	for (size_t s = 0; s < FL_RETURN_SIGNS; s++) {
		if (signs[s].by != by)
			continue;
		if (signs[s].none)
			return nothing_counts && p->shown_at[by] &&
			       p->shown_at[by] <= d->last ? s : FL_RETURN_SIGNS;
		if (p->sign_at[s] > d->last + LAST_FRAME && !is_join(p, s))
			return s;
	}
	return FL_RETURN_SIGNS;
}

static void conclude(struct fl_ledger *l, struct fl_presence *p, fl_time now)
{
	struct fl_dropout *d = &l->dropouts[p->returning];
	p->returning = -1;
	if (d->deaf)
		return;
	const bool nothing_counts = now >= d->first + OPEN_FOR && !everybody_fell(l, d);
	double sum[FL_RETURNS] = { 0 };
	bool proved = false;
	for (enum fl_mechanism by = 0; by <= FL_BY_SWITCH; by++) {
		const size_t s = outcome_of(p, d, by, nothing_counts);
		double log_p[FL_RETURNS];
		if (s == FL_RETURN_SIGNS)
			continue;
		for (size_t c = 0; c < FL_RETURNS; c++)
			log_p[c] = log(signs[s].p[c]);
		add(sum, log_p, -CLAMP);
		d->spoke |= 1u << by;
		proved |= s == FL_RETURN_STACK_ANEW || s == FL_RETURN_NUMBERS_ANEW;
	}
	fl_time least, most;
	double log_p[FL_RETURNS];
	bounds_of(l, d, &least, &most);
	if (weigh_length(p, least, most, log_p))
		d->spoke |= 1u << FL_BY_BOOT_TIME;
	add(sum, log_p, -CLAMP);
	d->spoke |= 1u << FL_BY_LENGTH;
	add(d->returned, sum, -INFINITY);
	bool boot = proved;
	for (size_t c = 0; c < FL_RETURNS; c++)
		boot &= c == FL_REBOOTED || sum[FL_REBOOTED] - sum[c] > log(10);
	if (boot && least > 0)
		learn_boot(p, least, most);
}

void fl_returns_begin(struct fl_ledger *l, const struct fl_dropout *d)
{
	presence_at(l, d->presence)->returning = (int)(d - l->dropouts);
}

void fl_returns_end(struct fl_ledger *l, struct fl_presence *p, fl_time now)
{
	if (p->returning >= 0)
		conclude(l, p, now);
}

void fl_returns_judge(struct fl_ledger *l, uint16_t ear, fl_time now, bool at_once)
{
	for (size_t i = 0; i < l->presences.n; i++) {
		struct fl_presence *p = presence_at(l, i);
		if (p->ear == ear && p->returning >= 0 &&
		    (at_once || now >= l->dropouts[p->returning].first + OPEN_FOR))
			conclude(l, p, now);
	}
}

/* ---- signs ---- */

static void spoke(struct fl_ledger *l, struct fl_presence *p, size_t sign, fl_time t)
{
	if (p->returning >= 0 && t >= l->dropouts[p->returning].first + OPEN_FOR)
		conclude(l, p, t);
	p->sign_at[sign] = t;
	if (p->shown_at[signs[sign].by] == 0)
		p->shown_at[signs[sign].by] = t;
}

/* FNV-1a (from memory: offset basis and prime of 32 bits), never 0. */
static uint32_t mix(uint32_t h, const char *text)
{
	for (; *text; text++)
		h = (h ^ (uint8_t)*text) * 0x01000193u;
	return h ? h : 1;
}

/* A number said under this name tells of a start: another one than before, or
 * a clock that stands at less. One told ahead is a change of the network's, no
 * start (UPnP Device Architecture 1.1 section 1.2.4, NEXTBOOTID). A clock that
 * went all its way round, in 497 days where nothing else is said, is mistaken. */
static bool number_tells(struct fl_ledger *l, const struct fl_observation *o)
{
	struct fl_station *s = fl_ledger_station(l, o->sign.mac);
	const bool runs = o->sign.aspect == FL_NUMBER_RUNS;
	const uint32_t name = mix(mix(0x811c9dc5u, o->sign.text), o->sign.third_text);
	const uint32_t value = runs ? o->sign.number
		: mix(0x811c9dc5u ^ o->sign.number, o->sign.other_text);
	for (size_t i = 0; s && i < FL_STATION_NUMBERS; i++) {
		if (s->numbers[i].name && s->numbers[i].name != name)
			continue;
		const uint32_t before = s->numbers[i].value;
		const bool known = s->numbers[i].name != 0;
		s->numbers[i].name = name;
		s->numbers[i].value = value;
		return known && o->sign.aspect != FL_NUMBER_AHEAD &&
		       (runs ? value < before : value != before);
	}
	return false;
}

/* What the start of one station tells of the others: a switch's cold start
 * (RFC 3418 section 2), which it tells of itself. */
static bool is_switch_start(const struct fl_observation *o)
{
	return o->sign.kind == FL_FACT_STARTING && strcmp(o->sign.text, "coldStart") == 0;
}

static size_t started_by(const struct fl_observation *o)
{
	static const size_t rows[] = {
		[FL_BY_STACK] = FL_RETURN_STACK_ANEW,
		[FL_BY_ADDRESS] = FL_RETURN_ADDRESS_ANEW,
		[FL_BY_SERVICES] = FL_RETURN_SERVICES_ASKED,
		[FL_BY_NUMBERS] = FL_RETURN_NUMBERS_ANEW,
		[FL_BY_SWITCH] = FL_RETURN_SWITCH_ANEW,
	};
	return o->sign.aspect <= FL_BY_SWITCH ? rows[o->sign.aspect] : FL_RETURN_SIGNS;
}

/* A router solicitation says nothing: those of an old backoff come whenever
 * they are due, as the lab's captures of cut and healed links show. */
static size_t linked_by(const struct fl_observation *o)
{
	switch (o->sign.aspect) {
	case FL_BY_STACK:
		return strcmp(o->sign.text, "router solicitation")
			? FL_RETURN_STACK_LINKED : FL_RETURN_SIGNS;
	case FL_BY_ADDRESS:
		return strcmp(o->sign.text, "ARP probe")
			? FL_RETURN_ADDRESS_AGAIN : FL_RETURN_ADDRESS_PROBED;
	case FL_BY_NUMBERS:
		return FL_RETURN_NUMBERS_RAN_ON;
	default:
		return FL_RETURN_SIGNS;
	}
}

static size_t sign_of(struct fl_ledger *l, const struct fl_observation *o)
{
	switch (o->sign.kind) {
	case FL_FACT_STARTING:
		return started_by(o);
	case FL_FACT_LINKING:
		return linked_by(o);
	case FL_FACT_LEAVING:         /* taken back before it is announced */
		return o->sign.aspect == FL_BY_SERVICES ? FL_RETURN_SERVICES_ASKED
							: FL_RETURN_SIGNS;
	case FL_FACT_NUMBERED:
		return !number_tells(l, o) ? FL_RETURN_SIGNS
			: o->sign.aspect == FL_NUMBER_RUNS ? FL_RETURN_NUMBERS_ANEW
			: FL_RETURN_SERVICES_ANEW;
	case FL_FACT_TOPOLOGY:
		return o->sign.number ? FL_RETURN_SWITCH_CHANGED : FL_RETURN_SIGNS;
	default:
		return FL_RETURN_SIGNS;
	}
}

void fl_returns_sign(struct fl_ledger *l, const struct fl_observation *o)
{
	const size_t sign = sign_of(l, o);
	if (sign == FL_RETURN_SIGNS)
		return;
	const bool of_switch = signs[sign].by == FL_BY_SWITCH;
	const bool starts = is_switch_start(o);
	for (size_t i = 0; i < l->presences.n; i++) {
		struct fl_presence *p = presence_at(l, i);
		const bool own = fl_mac_equal(p->mac, o->sign.mac);
		if (!p->seconds || (!own && p->ear != o->ear))
			continue;
		if (own && !of_switch)
			spoke(l, p, sign, o->to);
		else if (!own && (of_switch || starts))
			spoke(l, p, of_switch ? sign : FL_RETURN_SWITCH_ANEW, o->to);
	}
}
