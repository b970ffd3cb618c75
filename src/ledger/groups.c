/* groups.c -- who wants which group, as far as membership reports tell.
 *
 * Who sends to a group is told by the cadences, whose group is a MAC address:
 * several groups share one, so that a group is rather called sent than not.
 *
 * Source  RFC 3376 and RFC 3810 (reports); RFC 5771, RFC 2365 and RFC 4291
 *         (which groups are anybody's)
 * Ceiling FL_LEDGER_WANTED pairs of group and station; in a full table those
 *         that left, or said nothing for long, are turned over first
 */
#include "ledger/inner.h"

#define LONG_AGO (10 * FL_MINUTE)

/* Blocks of groups that any station may want without anybody sending. */
static bool is_ordinary4(const uint8_t b[static 4])
{
	static const struct { uint8_t start[3]; } blocks[] = {
		{ { 224, 0, 0 } },       /* link-local, RFC 5771 section 4    */
		{ { 224, 0, 1 } },       /* clocks and the like, its section 5 */
		{ { 239, 255, 255 } },   /* SSDP and the like, RFC 2365
					  * section 9                         */
		{ { 239, 192, 0 } },     /* IEC 61162-450: a listener wants all
					  * of its groups at once; from memory */
	};
	for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++)
		if (memcmp(b, blocks[i].start, 3) == 0)
			return true;
	return false;
}

/* RFC 4291 section 2.7: scopes 1 and 2 stay on the link; without the flag T a
 * group is one that everybody knows. */
bool fl_group_is_ordinary(struct fl_ip group)
{
	if (fl_ip_is4(group))
		return is_ordinary4(group.b + 12);
	return (group.b[1] & 0x0f) <= 2 || !(group.b[1] & 0x10);
}

static bool wanted_idle(const struct fl_ledger *l, const void *entry)
{
	const struct fl_wanted *w = entry;
	return w->left || w->last < l->now - LONG_AGO;
}

void fl_groups_wanted(struct fl_ledger *l, const struct fl_observation *o)
{
	const struct { struct fl_ip group; struct fl_mac by; } key = {
		o->sign.ip, o->sign.mac };
	const bool wants = o->sign.aspect == FL_WANTS_GROUP;
	bool added;
	if (!fl_ip_is_multicast(key.group) || fl_group_is_ordinary(key.group))
		return;
	struct fl_wanted *w = wants
		? fl_ledger_entry(l, &l->wanted, &l->wanted_hand, &key, &added, wanted_idle)
		: fl_table_find(&l->wanted, &key);
	if (!w)
		return;
	if (wants && (w->first == 0 || w->left))
		w->first = o->to;
	if (wants)
		w->last = o->to;
	w->left = !wants;
}

const struct fl_cadence *fl_ledger_group_sender(const struct fl_ledger *l,
						struct fl_ip group)
{
	const struct fl_mac mac = fl_ip_group_mac(group);
	const struct fl_cadence *newest = NULL;
	for (size_t i = 0; i < l->cadences.n; i++) {
		const struct fl_cadence *c = cadence_at(l, i);
		if (fl_mac_equal(c->key.group, mac) && c->last &&
		    (!newest || c->last > newest->last))
			newest = c;
	}
	return newest;
}
