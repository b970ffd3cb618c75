/* losses.c -- how many of each device's frames were lost on the way. */
#include "diagnose/findings.h"

#include "stats/limits.h"

enum { HOURS = 96, ENOUGH_MISSED = 5 };   /* judgement */
#define SHOWN_LEVEL  0.95
#define BAD_SHARE    0.001    /* told where the low limit is above; judgement */
#define SIZE_LEVEL   0.01     /* chance below which loss grows with length    */

struct counted {
	uint64_t received, missed;
	size_t presence;
};

static struct counted count(const struct fl_ledger *ledger, size_t presence)
{
	struct fl_loss hours[HOURS];
	struct counted sum = { .presence = presence };
	const size_t n = fl_ledger_loss(ledger, (uint32_t)presence, hours, HOURS);
	for (size_t i = 0; i < n; i++) {
		sum.received += hours[i].received;
		sum.missed += hours[i].missed;
	}
	return sum;
}

/* A station heard at several ears sends each frame once: the ear that counted
 * most of them speaks for it. */
static struct counted count_station(const struct fl_ledger *ledger, struct fl_mac mac)
{
	size_t n;
	const struct fl_presence *p = fl_ledger_presences(ledger, &n);
	struct counted most = { .presence = n };
	for (size_t i = 0; i < n; i++) {
		if (!fl_mac_equal(p[i].mac, mac))
			continue;
		const struct counted here = count(ledger, i);
		if (here.received + here.missed > most.received + most.missed)
			most = here;
	}
	return most;
}

static bool grows(const struct fl_ledger *ledger, const struct counted *station)
{
	struct fl_size_sample samples[FL_PRESENCE_CADENCES];
	const size_t n = fl_ledger_stream_loss(ledger, (uint32_t)station->presence,
					       samples, FL_PRESENCE_CADENCES);
	uint64_t missed = 0;
	for (size_t i = 0; i < n; i++)
		missed += samples[i].missed;
	return missed >= ENOUGH_MISSED && fl_size_fit(samples, n).chance < SIZE_LEVEL;
}

static void show_loss(const struct fl_case *c, struct fl_answer_device *d)
{
	struct fl_answer_loss *loss = &d->loss;
	for (size_t i = 0; i < d->mac_count; i++) {
		const struct counted station = count_station(c->ledger, d->macs[i]);
		if (station.received + station.missed == 0)
			continue;
		loss->known = true;
		loss->received += station.received;
		loss->missed += station.missed;
		loss->grows_with_size |= grows(c->ledger, &station);
	}
	const struct fl_limits limits = fl_share_limits(loss->missed,
		loss->received + loss->missed, SHOWN_LEVEL);
	loss->low = limits.low;
	loss->high = limits.high;
}

void fl_show_losses(struct fl_case *c)
{
	for (size_t i = 0; i < c->answer->device_count; i++)
		show_loss(c, &c->answer->devices[i]);
}

/* Numbers may be missing because this host dropped the frames. */
static uint64_t dropped_here(const struct fl_case *c)
{
	size_t n;
	uint64_t sum = 0;
	const struct fl_ear_state *ears = fl_ledger_ears(c->ledger, &n);
	for (size_t i = 0; i < n; i++)
		sum += ears[i].lost;
	return sum;
}

bool fl_loses_frames(const struct fl_answer_loss *loss)
{
	return loss->known && loss->missed >= ENOUGH_MISSED && loss->low > BAD_SHARE;
}

void fl_find_frames_lost(struct fl_case *c, const char *id)
{
	const uint64_t dropped = dropped_here(c);
	for (size_t i = 0; i < c->answer->device_count; i++) {
		const struct fl_answer_device *d = &c->answer->devices[i];
		char text[FL_LOSS_TEXT];
		if (!fl_loses_frames(&d->loss) || d->loss.missed <= dropped)
			continue;
		struct fl_answer_finding *f = fl_found(c, id, FL_DOUBT, d->name,
			fl_region_format(c->region, "%s: %s missing.", d->name,
					 fl_loss_text(&d->loss, text)));
		fl_texts_add(c, &f->evidence, d->loss.grows_with_size
			? "Long frames are lost more often than short ones: single bits "
			  "are hit, as by a bad plug, a bad cable or interference."
			: "Times when somebody was away are not counted in it.");
	}
}
