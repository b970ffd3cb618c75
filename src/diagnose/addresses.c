/* addresses.c -- link and rhythm perfect, the numbers wrong.
 *
 * Whole families of gear give themselves addresses, share the serving of
 * addresses, or live in two networks by design. Each is a finding only where
 * one stands out from the rest, or two clash.
 */
#include "diagnose/findings.h"

#include <string.h>

#define CLASH_WINDOW (5 * FL_MINUTE)   /* "within minutes", common practice */

/* Where no server told the prefix: the usual one of each private range
 * (RFC 1918 section 3; common practice for the size of a boat's network). */
static unsigned usual_bits(struct fl_ip ip)
{
	if (!fl_ip_is4(ip))
		return 64;
	if (ip.b[12] == 10)
		return 8;
	if (ip.b[12] == 172 && (ip.b[13] & 0xf0) == 16)
		return 16;
	return fl_ip_is_link_local(ip) ? 16 : 24;
}

/* Prefix as an address server told it for the network of this address. */
static unsigned bits_of(struct fl_case *c, struct fl_ip ip)
{
	size_t n;
	const struct fl_server *s = fl_ledger_servers(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		if (s[i].prefix && !fl_ip_is_none(s[i].network) &&
		    fl_ip_equal(fl_ip_network(ip, s[i].prefix), s[i].network))
			return s[i].prefix;
	return usual_bits(ip);
}

bool fl_own_address(struct fl_case *c, struct fl_mac mac, struct fl_ip *out)
{
	size_t n;
	bool found = false;
	const struct fl_claimed *claims = fl_ledger_claims(c->ledger, &n);
	for (size_t i = 0; i < n; i++) {
		if (!claims[i].count || !fl_ip_is4(claims[i].ip) ||
		    !fl_mac_equal(claims[i].mac, mac))
			continue;
		if (!found || fl_ip_is_link_local(*out))
			*out = claims[i].ip;
		found = true;
	}
	return found;
}

bool fl_network_of_most(struct fl_case *c, struct fl_network *out)
{
	const struct fl_answer *a = c->answer;
	struct fl_network best = { .members = 0 };
	size_t all = 0;
	for (size_t i = 0; i < a->station_count; i++) {
		struct fl_ip ip, other;
		if (!fl_own_address(c, a->stations[i].mac, &ip))
			continue;
		all++;
		struct fl_network here = { .bits = bits_of(c, ip) };
		here.ip = fl_ip_network(ip, here.bits);
		for (size_t k = 0; k < a->station_count; k++)
			here.members += fl_own_address(c, a->stations[k].mac, &other) &&
				fl_ip_equal(fl_ip_network(other, here.bits), here.ip);
		if (here.members > best.members)
			best = here;
	}
	best.all = all;
	*out = best;
	return best.members >= 3 && best.members * 4 >= all * 3;
}

/* ---- one address, two stations ---- */

/* A gateway may answer for whole networks (RFC 1027): whoever uses three addresses
 * that others use too takes none of them. The number is judgement. */
static bool answers_for_others(const struct fl_ledger *l, struct fl_mac mac)
{
	enum { MANY = 3 };
	size_t n, shared = 0;
	const struct fl_claimed *all = fl_ledger_claims(l, &n);
	for (size_t i = 0; i < n; i++) {
		if (!all[i].count || !fl_mac_equal(all[i].mac, mac))
			continue;
		for (size_t k = 0; k < n; k++)
			if (all[k].count && fl_ip_equal(all[k].ip, all[i].ip) &&
			    !fl_mac_equal(all[k].mac, mac)) {
				shared++;
				break;
			}
	}
	return shared >= MANY;
}

static bool clash(const struct fl_ledger *l, const struct fl_claimed *a,
		  const struct fl_claimed *b)
{
	if (!a->count || !b->count || !fl_ip_equal(a->ip, b->ip) ||
	    fl_mac_equal(a->mac, b->mac))
		return false;
	/* A device that was replaced hands its address on and is silent: a
	 * clash needs the first user alive after the second began. */
	const struct fl_claimed *first = a->first <= b->first ? a : b;
	const struct fl_claimed *second = first == a ? b : a;
	const struct fl_station *alive = fl_ledger_find(l, first->mac);
	return alive && alive->last > second->first &&
	       second->first <= first->last + CLASH_WINDOW &&
	       !answers_for_others(l, a->mac) && !answers_for_others(l, b->mac);
}

void fl_find_conflict(struct fl_case *c, const char *id)
{
	size_t n;
	const struct fl_claimed *claims = fl_ledger_claims(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		for (size_t k = i + 1; k < n; k++) {
			if (!clash(c->ledger, &claims[i], &claims[k]))
				continue;
			char ip[FL_IP_TEXT], at[FL_TIME_TEXT];
			const char *one = fl_name_of(c, claims[i].mac);
			const char *two = fl_name_of(c, claims[k].mac);
			fl_ip_text(claims[i].ip, ip);
			struct fl_answer_finding *f = fl_found(c, id, FL_FAULT, one,
				fl_region_format(c->region,
				"Two stations use the address %s: %s and %s.", ip, one, two));
			fl_texts_add(c, &f->evidence, fl_region_format(c->region,
				"%s used it from %s on.", one,
				fl_time_clock(claims[i].first, at)));
			fl_texts_add(c, &f->evidence, fl_region_format(c->region,
				"%s used it from %s on.", two,
				fl_time_clock(claims[k].first, at)));
		}
}

/* ---- who gives out addresses ---- */

static const char *server_name(struct fl_case *c, const struct fl_server *s)
{
	char ip[FL_IP_TEXT];
	fl_ip_text(s->ip, ip);
	struct fl_mac mac = s->mac;
	size_t n;
	const struct fl_claimed *claims = fl_ledger_claims(c->ledger, &n);
	for (size_t i = 0; fl_mac_is_none(mac) && i < n; i++)
		if (claims[i].count && fl_ip_equal(claims[i].ip, s->ip))
			mac = claims[i].mac;
	return fl_mac_is_none(mac) ? fl_region_format(c->region, "%s", ip)
		: fl_region_format(c->region, "%s at %s", fl_name_of(c, mac), ip);
}

static bool is_planned(struct fl_case *c, const struct fl_server *s)
{
	for (size_t i = 0; i < c->plan->device_count; i++) {
		const struct fl_device *d = &c->plan->devices[i];
		if (fl_ip_equal(d->address, s->ip))
			return true;
		for (size_t k = 0; k < d->mac_count; k++)
			if (!fl_mac_is_none(s->mac) && fl_mac_equal(d->macs[k], s->mac))
				return true;
	}
	return false;
}

/* Two servers clash where they give out different networks, or one is in the
 * plan and the other a stranger. Two in one network may share the work. */
static const char *servers_clash(struct fl_case *c, const struct fl_server *a,
				 const struct fl_server *b)
{
	if (!fl_ip_is_none(a->network) && !fl_ip_is_none(b->network) &&
	    !fl_ip_equal(a->network, b->network))
		return "They give out different networks.";
	const unsigned bits = bits_of(c, a->ip);
	if (!fl_ip_equal(fl_ip_network(a->ip, bits), fl_ip_network(b->ip, bits)))
		return "They stand in different networks.";
	if (c->plan->device_count && is_planned(c, a) != is_planned(c, b))
		return "One of them is in the plan, the other is not.";
	return NULL;
}

void fl_find_servers(struct fl_case *c, const char *id)
{
	size_t n;
	const struct fl_server *s = fl_ledger_servers(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		for (size_t k = i + 1; k < n; k++) {
			if (s[i].service != FL_SERVES_ADDRESSES ||
			    s[k].service != FL_SERVES_ADDRESSES ||
			    fl_ip_is_unspecified(s[i].ip) || fl_ip_is_unspecified(s[k].ip))
				continue;
			const char *why = servers_clash(c, &s[i], &s[k]);
			if (!why)
				continue;
			const bool planned = is_planned(c, &s[i]);
			struct fl_answer_finding *f = fl_found(c, id, FL_FAULT,
				server_name(c, planned ? &s[k] : &s[i]),
				fl_region_format(c->region,
				"Two servers give out addresses: %s, and %s.",
				server_name(c, &s[i]), server_name(c, &s[k])));
			fl_texts_add(c, &f->evidence, why);
			fl_texts_add(c, &f->evidence, fl_region_format(c->region,
				"Answers and choices heard: %u of the first, %u of the second.",
				s[i].answers + s[i].chosen, s[k].answers + s[k].chosen));
		}
}

/* Who asked a server for an address at least thrice and was never seen to
 * use one that was given. */
void fl_find_unanswered(struct fl_case *c, const char *id)
{
	size_t n, servers;
	const struct fl_station *stations = fl_ledger_stations(c->ledger, &n);
	const struct fl_server *s = fl_ledger_servers(c->ledger, &servers);
	size_t serving = 0;
	bool planned = false;
	for (size_t i = 0; i < servers; i++)
		serving += s[i].service == FL_SERVES_ADDRESSES && s[i].last > 0;
	for (size_t i = 0; i < c->plan->device_count; i++)
		planned |= c->plan->devices[i].serves_addresses;
	for (size_t i = 0; i < n; i++) {
		if (stations[i].asked_address < 3)
			continue;
		const char *name = fl_name_of(c, stations[i].mac);
		struct fl_answer_finding *f = fl_found(c, id,
			planned ? FL_FAULT : FL_REMARK, name,
			fl_region_format(c->region,
			"%s asked %u times for an address and was not seen to get one.",
			name, stations[i].asked_address));
		fl_texts_add(c, &f->evidence, serving
			? "A server gave addresses to others meanwhile."
			: "No server was heard to give out any address.");
	}
}

/* ---- one that stands out ---- */

void fl_find_self_assigned(struct fl_case *c, const char *id)
{
	struct fl_network most;
	if (!fl_network_of_most(c, &most) || fl_ip_is_link_local(most.ip))
		return;
	for (size_t i = 0; i < c->answer->station_count; i++) {
		const struct fl_answer_station *s = &c->answer->stations[i];
		const struct fl_station *station = fl_ledger_find(c->ledger, s->mac);
		struct fl_ip ip;
		if (!fl_own_address(c, s->mac, &ip) || !fl_ip_is_link_local(ip))
			continue;
		char text[FL_IP_TEXT], network[FL_IP_TEXT];
		const bool asked = station && station->asked_address;
		if (!asked && most.all - most.members > 1)
			continue;   /* several do so: a family, by design */
		struct fl_answer_finding *f = fl_found(c, id,
			asked ? FL_FAULT : FL_DOUBT, fl_name_of(c, s->mac),
			fl_region_format(c->region,
			"%s gave itself the address %s; the others are in %s/%u.",
			fl_name_of(c, s->mac), fl_ip_text(ip, text),
			fl_ip_text(most.ip, network), most.bits));
		fl_texts_add(c, &f->evidence, asked
			? "It had asked a server for an address before."
			: "It was not heard to ask a server for one.");
	}
}

void fl_find_outside(struct fl_case *c, const char *id)
{
	struct fl_network most;
	if (!fl_network_of_most(c, &most) || most.all - most.members != 1)
		return;
	for (size_t i = 0; i < c->answer->station_count; i++) {
		const struct fl_answer_station *s = &c->answer->stations[i];
		struct fl_ip ip;
		if (!s->planned || !fl_own_address(c, s->mac, &ip) ||
		    fl_ip_is_link_local(ip) ||
		    fl_ip_equal(fl_ip_network(ip, most.bits), most.ip))
			continue;
		char text[FL_IP_TEXT], network[FL_IP_TEXT];
		fl_found(c, id, FL_FAULT, s->planned, fl_region_format(c->region,
			"%s has the address %s; the other %zu are in %s/%u.", s->planned,
			fl_ip_text(ip, text), most.members,
			fl_ip_text(most.ip, network), most.bits));
	}
}

void fl_find_storm(struct fl_case *c, const char *id)
{
	enum { ENOUGH = 3 };   /* seconds, judgement */
	size_t n;
	const struct fl_ear_state *ears = fl_ledger_ears(c->ledger, &n);
	for (size_t i = 0; i < n; i++) {
		char at[FL_TIME_TEXT], length[FL_TIME_TEXT];
		if (ears[i].storm_seconds < ENOUGH)
			continue;
		struct fl_answer_finding *f = fl_found(c, id, FL_FAULT, "segment",
			"A storm of frames is on the network.");
		fl_texts_add(c, &f->evidence, fl_region_format(c->region,
			"From %s on, for %s, the same frames over and over, up to %u in a "
			"second: a loop of cables, or a device gone mad.",
			fl_time_clock(ears[i].storm_from, at),
			fl_time_length(ears[i].storm_to - ears[i].storm_from, length),
			ears[i].busiest));
	}
}
