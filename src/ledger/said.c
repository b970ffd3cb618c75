/* said.c -- what stations said of themselves and of each other. */
#include "ledger/inner.h"

static void add_text(struct fl_ledger *l, const char **list, size_t *n,
		     size_t ceiling, const char *text)
{
	if (!text[0])
		return;
	for (size_t i = 0; i < *n; i++)
		if (strcmp(list[i], text) == 0)
			return;
	if (*n < ceiling)
		list[(*n)++] = fl_ledger_keep(l, text);
}

static bool never_idle(const struct fl_ledger *l, const void *entry)
{
	(void)l, (void)entry;
	return false;
}

static bool claim_idle(const struct fl_ledger *l, const void *entry)
{
	const struct fl_claimed *c = entry;
	return c->count < 3 && c->last < l->now - 10 * FL_MINUTE;
}

static void claim(struct fl_ledger *l, struct fl_ip ip, struct fl_mac mac,
		  enum fl_claim how, uint32_t count, fl_time t)
{
	if (fl_ip_is_unspecified(ip) || fl_ip_is_multicast(ip) || fl_ip_is_broadcast4(ip))
		return;
	const struct { struct fl_ip ip; struct fl_mac mac; } key = { ip, mac };
	bool added;
	struct fl_claimed *c = fl_ledger_entry(l, &l->claims, &l->claim_hand,
					       &key, &added, claim_idle);
	if (!c)
		return;
	if (how == FL_CLAIM_PROBES) {
		c->probes += count;
		return;
	}
	if (c->count == 0)
		c->first = t;
	c->count += count;
	c->last = t;
	struct fl_station *s = fl_ledger_station(l, mac);
	if (s && fl_ip_is4(ip) && !fl_ip_is_link_local(ip))
		s->asked_address = 0;   /* it has one */
}

static struct fl_server *server(struct fl_ledger *l, struct fl_ip ip,
				enum fl_service service, fl_time t)
{
	struct { struct fl_ip ip; uint32_t service; } key = { ip, service };
	bool added;
	struct fl_server *s = fl_ledger_entry(l, &l->servers, NULL, &key, &added,
					      never_idle);
	if (!s)
		return NULL;
	if (added)
		s->first = t;
	s->last = t;
	return s;
}

static void serves(struct fl_ledger *l, const struct fl_observation *o)
{
	struct fl_server *s = server(l, o->sign.ip, (enum fl_service)o->sign.aspect, o->to);
	if (!s)
		return;
	/* An offer names the network it gives; a client's choice does not. */
	if (fl_ip_is_none(o->sign.other)) {
		s->chosen += o->sign.count;
		if (o->sign.aspect != FL_SERVES_ADDRESSES)
			s->mac = o->sign.mac;
		return;
	}
	s->answers += o->sign.count;
	s->mac = o->sign.mac;
	if (o->sign.number) {
		s->prefix = o->sign.number;
		s->network = fl_ip_network(o->sign.other, o->sign.number);
	}
}

static void wants(struct fl_ledger *l, const struct fl_observation *o)
{
	struct fl_station *station = fl_ledger_station(l, o->sign.mac);
	if (o->sign.aspect == FL_WANTS_ADDRESS && station)
		station->asked_address += o->sign.count;
	if (o->sign.aspect == FL_WANTS_GROUP || o->sign.aspect == FL_WANTS_NO_GROUP)
		fl_groups_wanted(l, o);
}

static void neighbour(struct fl_ledger *l, const struct fl_observation *o)
{
	struct fl_station *s = fl_ledger_station(l, o->sign.mac);
	if (!s)
		return;
	s->chassis = fl_ledger_keep(l, o->sign.text);
	s->port = fl_ledger_keep(l, o->sign.other_text);
	s->system = fl_ledger_keep(l, o->sign.third_text);
	s->capabilities = o->sign.number;
	s->neighbour_at = o->to;
	s->can_mbit = (uint32_t)(o->sign.speeds >> 32);
	s->does_mbit = (uint32_t)o->sign.speeds;
}

static void leaves(struct fl_ledger *l, struct fl_mac mac, fl_time t)
{
	for (size_t i = 0; i < l->presences.n; i++)
		if (fl_mac_equal(presence_at(l, i)->mac, mac))
			presence_at(l, i)->last_leave = t;
}

void fl_said_sign(struct fl_ledger *l, const struct fl_observation *o)
{
	struct fl_station *station;
	fl_network_said(l, o);
	fl_returns_sign(l, o);
	switch (o->sign.kind) {
	case FL_FACT_STARTING:
		fl_silence_started(l, o->sign.mac, (enum fl_mechanism)o->sign.aspect,
				   o->to);
		break;
	case FL_FACT_LINKING:
		if (o->sign.aspect == FL_BY_STACK && strcmp(o->sign.text, "MLD") == 0)
			fl_silence_linked(l, o->sign.mac, o->to);
		break;
	case FL_FACT_LEAVING:
		leaves(l, o->sign.mac, o->to);
		break;
	case FL_FACT_CLAIM:
		claim(l, o->sign.ip, o->sign.mac, (enum fl_claim)o->sign.aspect,
		      o->sign.count, o->to);
		break;
	case FL_FACT_CONFLICT:
		station = fl_ledger_station(l, o->sign.mac);
		if (station)
			station->conflicts += o->sign.count;
		break;
	case FL_FACT_SERVES:
		serves(l, o);
		break;
	case FL_FACT_WANTS:
		wants(l, o);
		break;
	case FL_FACT_NEIGHBOUR:
		neighbour(l, o);
		break;
	case FL_FACT_TOPOLOGY:
		station = fl_ledger_station(l, o->sign.mac);
		if (station)
			station->bridges = true;
		break;
	case FL_FACT_IDENTITY:
	case FL_FACT_NUMBERED:
	case FL_FACT_SEQUENCE:
	case FL_FACT_PORT:
	case FL_FACT_PAUSE:
		break;
	}
}

void fl_said_who(struct fl_ledger *l, const struct fl_observation *o)
{
	struct fl_station *s = fl_ledger_station(l, o->who.mac);
	if (!s)
		return;
	const char **one = NULL;
	switch (o->who.field) {
	case FL_ID_NAME:
		add_text(l, s->names, &s->name_count, FL_STATION_NAMES, o->who.text);
		return;
	case FL_ID_SERVICE:
		add_text(l, s->services, &s->service_count, FL_STATION_SERVICES,
			 o->who.text);
		return;
	case FL_ID_ADDRESS:
		claim(l, o->who.ip, o->who.mac, FL_CLAIM_USES, 1, o->to);
		return;
	case FL_ID_MODEL:    one = &s->model;    break;
	case FL_ID_MAKER:    one = &s->maker;    break;
	case FL_ID_SERIAL:   one = &s->serial;   break;
	case FL_ID_SOFTWARE: one = &s->software; break;
	case FL_ID_HARDWARE: one = &s->hardware; break;
	case FL_ID_KIND:     one = &s->kind;     break;
	}
	if (one && o->who.text[0])
		*one = fl_ledger_keep(l, o->who.text);
}
