/* read.c -- what an answer reads of the ledger. */
#include "ledger/inner.h"

fl_time fl_ledger_from(const struct fl_ledger *l)        { return l->from; }
fl_time fl_ledger_to(const struct fl_ledger *l)          { return l->now; }
int64_t fl_ledger_clock_moved(const struct fl_ledger *l) { return l->clock_moved; }
uint64_t fl_ledger_lost(const struct fl_ledger *l)       { return l->lost; }

const struct fl_ear_state *fl_ledger_ears(const struct fl_ledger *l, size_t *n)
{
	*n = l->ear_count;
	return l->ears;
}

#define READ_TABLE(type, function, table)                                  \
	const struct type *function(const struct fl_ledger *l, size_t *n)  \
	{                                                                  \
		*n = l->table.n;                                           \
		return (const void *)l->table.entries;                     \
	}
READ_TABLE(fl_station, fl_ledger_stations, stations)
READ_TABLE(fl_presence, fl_ledger_presences, presences)
READ_TABLE(fl_cadence, fl_ledger_cadences, cadences)
READ_TABLE(fl_claimed, fl_ledger_claims, claims)
READ_TABLE(fl_wanted, fl_ledger_wanted, wanted)
READ_TABLE(fl_server, fl_ledger_servers, servers)

const struct fl_dropout *fl_ledger_dropouts(const struct fl_ledger *l, size_t *n)
{
	*n = l->dropout_count;
	return l->dropouts;
}

const struct fl_deaf_span *fl_ledger_deaf(const struct fl_ledger *l, size_t *n)
{
	*n = l->deaf_count;
	return l->deaf;
}

const struct fl_network_state *fl_ledger_network(const struct fl_ledger *l)
{
	return &l->network;
}

const struct fl_port_state *fl_ledger_ports(const struct fl_ledger *l, size_t *n)
{
	*n = l->port_count;
	return l->ports;
}

const struct fl_note *fl_ledger_notes(const struct fl_ledger *l, size_t *n)
{
	*n = l->note_count;
	return l->notes;
}

const struct fl_station *fl_ledger_find(const struct fl_ledger *l, struct fl_mac mac)
{
	return fl_table_find(&l->stations, &mac);
}

static bool better(const struct fl_cadence *a, const struct fl_cadence *b)
{
	if (!b)
		return true;
	if (a->filterable != b->filterable)
		return !a->filterable;
	return a->gap_count > b->gap_count;
}

const struct fl_cadence *fl_ledger_best_cadence(const struct fl_ledger *l,
						struct fl_mac mac)
{
	const struct fl_cadence *best = NULL;
	for (size_t i = 0; i < l->cadences.n; i++) {
		const struct fl_cadence *c = cadence_at(l, i);
		if (fl_mac_equal(c->key.mac, mac) && c->steady && better(c, best))
			best = c;
	}
	return best;
}

void fl_ledger_due(const struct fl_ledger *l, uint32_t presence, uint64_t *due,
		   uint64_t *heard)
{
	const struct fl_presence *p = presence_at(l, presence);
	const struct fl_beats *beats = NULL;
	for (uint32_t i = 0; i < p->cadence_count; i++) {
		const struct fl_cadence *c = cadence_of(l, presence, i);
		if (c && c->steady &&
		    (!beats || c->beats.heard > beats->heard))
			beats = &c->beats;
	}
	fl_time width;
	const struct fl_bin *bin = beats ? NULL : fl_bins_best(p, &width);
	if (bin)
		beats = &bin->beats;
	*heard = beats ? beats->heard : 0;
	*due = beats ? *heard + beats->missed + (p->dropout >= 0 ? p->missed : 0) : 0;
}

struct spans {
	struct fl_span *out;
	size_t room, n;
};

static void add_span(struct spans *s, enum fl_span_kind kind, fl_time from, fl_time to)
{
	if (to <= from)
		return;
	if (s->n < s->room)
		s->out[s->n] = (struct fl_span){ kind, from, to };
	s->n++;
}

/* Cut `from`..`to` at the deaf spans in it. */
static void add_cut(const struct fl_ledger *l, uint16_t ear, struct spans *s,
		    enum fl_span_kind kind, fl_time from, fl_time to)
{
	while (from < to) {
		fl_time deaf_from = to, deaf_to = to;
		for (size_t i = 0; i < l->deaf_count; i++) {
			const struct fl_deaf_span *d = &l->deaf[i];
			if (d->ear == ear && d->to > from && d->from < deaf_from) {
				deaf_from = d->from > from ? d->from : from;
				deaf_to = d->to < to ? d->to : to;
			}
		}
		add_span(s, kind, from, deaf_from);
		add_span(s, FL_SPAN_DEAF, deaf_from, deaf_to);
		from = deaf_to;
	}
}

size_t fl_ledger_spans(const struct fl_ledger *l, uint32_t presence,
		       struct fl_span *out, size_t room)
{
	const struct fl_presence *p = presence_at(l, presence);
	const fl_time end = l->ears[p->ear].until;
	struct spans s = { .out = out, .room = room };
	fl_time at = p->first;
	for (size_t i = 0; i < l->dropout_count; i++) {
		const struct fl_dropout *d = &l->dropouts[i];
		if (d->presence != presence || d->kind != FL_DROPOUT || d->deaf ||
		    d->last < at)
			continue;
		const fl_time back = d->first ? d->first : end;
		add_cut(l, p->ear, &s, FL_SPAN_HEARD, at, d->last);
		add_cut(l, p->ear, &s, FL_SPAN_SILENT, d->last, back);
		at = back;
	}
	add_cut(l, p->ear, &s, FL_SPAN_HEARD, at, end);
	return s.n;
}
