/* groups.c -- a group that somebody wants and nobody sends.
 *
 * Its sender sleeps, is set to another group, or a switch holds the group back;
 * which of them cannot be told from here, so that it is a doubt. An ear at a
 * switch that filters groups hears none that nobody at its own port wants: only
 * where another wanted group comes through is the silence of this one a sign.
 *
 * Source  RFC 3376 section 8 (timers), RFC 4541 section 2.1.2 (what a switch
 *         may hold back); the lengths of time: judgement
 */
#include "diagnose/findings.h"

#include <string.h>

/* A group is wanted so long before its silence counts, and was sent so long ago
 * at most to count as answered. A slow beat is waited for ten times. */
#define WANTED_LEAST (60 * FL_SECOND)
#define A_MOMENT     (60 * FL_SECOND)
enum { BEATS = 10, NAMED = 4 };
/* RFC 3376 section 8.4: a membership that is asked for and not told anew ends. */
#define MEMBERSHIP (260 * FL_SECOND)

static bool is_fresh(const struct fl_case *c, const struct fl_cadence *s)
{
	const fl_time room = BEATS * s->period > A_MOMENT ? BEATS * s->period : A_MOMENT;
	return c->to - s->last <= room;
}

/* Its station is here at the end, and was not away or started since t. */
static bool was_here(const struct fl_case *c, struct fl_mac mac, fl_time t)
{
	size_t n;
	const struct fl_presence *p = fl_ledger_presences(c->ledger, &n);
	bool here = false;
	for (size_t i = 0; i < n; i++) {
		if (!fl_mac_equal(p[i].mac, mac))
			continue;
		if (p[i].last_leave > t || p[i].last_start > t + A_MOMENT ||
		    p[i].away_until > t + A_MOMENT)
			return false;
		here |= p[i].dropout < 0 && c->to - p[i].last <= A_MOMENT;
	}
	return here;
}

/* Listened from then on, deaf time taken out: of the ear that heard most. */
static fl_time heard_since(const struct fl_case *c, fl_time from)
{
	size_t n;
	const struct fl_deaf_span *deaf = fl_ledger_deaf(c->ledger, &n);
	fl_time sum = c->to - from;
	for (size_t i = 0; i < n; i++)
		if (deaf[i].to > from)
			sum -= deaf[i].to - (deaf[i].from > from ? deaf[i].from : from);
	return sum;
}

static bool is_wanted(const struct fl_case *c, const struct fl_wanted *w)
{
	const fl_time asked = fl_ledger_network(c->ledger)->queried;
	if (w->left || (asked > w->last && c->to - w->last > MEMBERSHIP))
		return false;
	return was_here(c, w->by, w->last);
}

static bool is_unanswered(const struct fl_case *c, const struct fl_wanted *w)
{
	const struct fl_cadence *s = fl_ledger_group_sender(c->ledger, w->group);
	const fl_time since = s && s->last > w->first ? s->last : w->first;
	if (!is_wanted(c, w) || heard_since(c, since) < WANTED_LEAST)
		return false;
	/* A sender that is silent altogether is missing, and told as that. */
	return !s || (!is_fresh(c, s) && was_here(c, s->key.mac, s->last));
}

/* A wanted group comes through to here. */
static bool groups_come_through(const struct fl_case *c)
{
	size_t n;
	const struct fl_wanted *all = fl_ledger_wanted(c->ledger, &n);
	for (size_t i = 0; i < n; i++) {
		const struct fl_cadence *s = fl_ledger_group_sender(c->ledger, all[i].group);
		if (s && s->filterable && is_fresh(c, s) && !fl_mac_equal(s->key.mac, all[i].by))
			return true;
	}
	return false;
}

static bool somebody_wants(const struct fl_case *c, struct fl_mac group)
{
	size_t n;
	const struct fl_wanted *all = fl_ledger_wanted(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		if (!all[i].left && fl_mac_equal(fl_ip_group_mac(all[i].group), group))
			return true;
	return false;
}

/* A MAC address that only ordinary groups bear: 239.255.255.0/24 and the like
 * share theirs with others, and are rather passed over. */
static bool is_ordinary_mac(struct fl_mac group)
{
	static const uint8_t high[] = { 224, 239 };
	struct fl_ip ip = { { [10] = 0xff, 0xff, 0, group.b[3], group.b[4], group.b[5] } };
	bool ordinary = group.b[0] != 0x01;   /* IPv6: nearly all are       */
	for (size_t i = 0; i < sizeof high; i++)
		for (uint8_t bit = 0; bit < 2; bit++) {
			ip.b[12] = high[i];
			ip.b[13] = (uint8_t)(group.b[3] | bit << 7);
			ordinary |= fl_group_is_ordinary(ip);
		}
	return ordinary;
}

/* Who sends to a group that nobody is heard to want: the wanter calls, or the
 * sender is set to another group. */
static void tell_unwanted(struct fl_case *c, struct fl_answer_finding *f,
			  const struct fl_wanted *w)
{
	size_t n, told = 0;
	const struct fl_cadence *all = fl_ledger_cadences(c->ledger, &n);
	for (size_t i = 0; i < n && told < NAMED; i++) {
		const struct fl_cadence *s = &all[i];
		char mac[FL_MAC_TEXT];
		if (!s->filterable || !s->unasked || !s->steady || !is_fresh(c, s) ||
		    is_ordinary_mac(s->key.group) || somebody_wants(c, s->key.group))
			continue;
		told++;
		fl_texts_add(c, &f->evidence, fl_region_format(c->region,
			fl_mac_equal(s->key.mac, w->by)
			? "%s sends to the group %s all the while: it may call, and nobody "
			  "answers." : "%s sends to the group %s, which nobody is heard to "
			  "want: it may be set to another group than the one that wants it.",
			fl_name_of(c, s->key.mac), fl_mac_text(s->key.group, mac)));
	}
}

static void tell_sender(struct fl_case *c, struct fl_answer_finding *f,
			const struct fl_wanted *w)
{
	const struct fl_cadence *s = fl_ledger_group_sender(c->ledger, w->group);
	char at[FL_TIME_TEXT], length[FL_TIME_TEXT];
	if (s)
		fl_texts_add(c, &f->evidence, fl_region_format(c->region,
			"%s sent to it until %s, and is still here: wake it at a display "
			"first.", fl_name_of(c, s->key.mac), fl_time_clock(s->last, at)));
	else
		fl_texts_add(c, &f->evidence, fl_region_format(c->region,
			"Wanted for %s, and nothing was heard to it.",
			fl_time_length(c->to - w->first, length)));
}

static void tell_others(struct fl_case *c, struct fl_answer_finding *f,
			const struct fl_wanted *from, const struct fl_wanted *end)
{
	char ip[FL_IP_TEXT];
	size_t told = 0;
	for (const struct fl_wanted *w = from; w < end && told < NAMED; w++) {
		if (!is_unanswered(c, w))
			continue;
		told++;
		fl_texts_add(c, &f->evidence, fl_region_format(c->region,
			"%s wants %s, and nobody sends that either.",
			fl_name_of(c, w->by), fl_ip_text(w->group, ip)));
	}
}

static bool is_told_already(const struct fl_case *c)
{
	for (size_t i = 0; i < c->answer->finding_count; i++)
		if (strcmp(c->answer->findings[i].id, "multicast-unqueried") == 0)
			return true;
	return false;
}

/* One finding, however many groups: one sender asleep may leave ten unsent. */
void fl_find_group_unanswered(struct fl_case *c, const char *id)
{
	size_t n;
	const struct fl_wanted *w = fl_ledger_wanted(c->ledger, &n), *end = w + n;
	while (w < end && !is_unanswered(c, w))
		w++;
	if (w == end || is_told_already(c))
		return;
	const bool through = groups_come_through(c);
	const char *name = fl_name_of(c, w->by);
	char ip[FL_IP_TEXT];
	struct fl_answer_finding *f = fl_found(c, id, through ? FL_DOUBT : FL_REMARK, name,
		fl_region_format(c->region, through
		? "%s wants the group %s that nobody sends: its sender is asleep, filtered or "
		  "set to another group."
		: "%s wants the group %s, which is not heard here: perhaps held back here, "
		  "perhaps not sent.", name, fl_ip_text(w->group, ip)));
	tell_sender(c, f, w);
	tell_unwanted(c, f, w);
	tell_others(c, f, w + 1, end);
	if (!through)
		fl_texts_add(c, &f->evidence, "No group that somebody wants is heard at this "
			"plug, so that its switch may hold them all back: listen at the "
			"sender's own cable, or at a plain switch.");
}
