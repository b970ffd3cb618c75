/* touch.c -- how a part at fault touches each device behind it: by its own
 * link, by its power, or somewhere farther up that the device cannot see. */
#include "diagnose/inner.h"

static bool is_at(struct fl_place place, enum fl_place_kind kind, int index)
{
	return place.kind == kind && place.index == index;
}

/* A run of this device leads straight to that place. */
static bool beside(const struct fl_plan *plan, size_t device,
		   enum fl_place_kind kind, int index)
{
	for (size_t r = 0; r < plan->run_count; r++)
		for (int end = 0; end < 2; end++)
			if (is_at(plan->runs[r].ends[end], FL_PLACE_DEVICE, (int)device) &&
			    is_at(plan->runs[r].ends[!end], kind, index))
				return true;
	return false;
}

static bool supplied(const struct fl_supply *feeds, size_t n, enum fl_feed_kind kind,
		     int index)
{
	for (size_t i = 0; i < n; i++)
		if (feeds[i].kind == kind && feeds[i].index == index)
			return true;
	return false;
}

/* Powered over a run that leads to this switch. */
static bool powered_by(const struct fl_plan *plan, const struct fl_device *d, int at)
{
	for (size_t i = 0; i < d->feed_count; i++)
		if (d->feeds[i].kind == FL_FEED_RUN)
			for (int end = 0; end < 2; end++)
				if (is_at(plan->runs[d->feeds[i].index].ends[end],
					  FL_PLACE_SWITCH, at))
					return true;
	return false;
}

static enum fl_touch by_run(const struct fl_plan *plan, size_t device, int run)
{
	const struct fl_device *d = &plan->devices[device];
	if (supplied(d->feeds, d->feed_count, FL_FEED_RUN, run))
		return FL_TOUCH_POWER;
	for (int end = 0; end < 2; end++)
		if (is_at(plan->runs[run].ends[end], FL_PLACE_DEVICE, (int)device))
			return FL_TOUCH_LINK;
	return FL_TOUCH_FAR;
}

static enum fl_touch by_port(const struct fl_plan *plan, size_t device,
			     struct fl_place port)
{
	for (size_t r = 0; r < plan->run_count; r++)
		for (int end = 0; end < 2; end++)
			if (is_at(plan->runs[r].ends[end], port.kind, port.index) &&
			    plan->runs[r].ends[end].port == port.port)
				return by_run(plan, device, (int)r);
	return FL_TOUCH_FAR;
}

static enum fl_touch by_switch(const struct fl_plan *plan, size_t device, int at)
{
	if (powered_by(plan, &plan->devices[device], at))
		return FL_TOUCH_POWER;
	return beside(plan, device, FL_PLACE_SWITCH, at) ? FL_TOUCH_LINK : FL_TOUCH_FAR;
}

/* A feed touches what it feeds, and those beside a switch that it feeds. */
static enum fl_touch by_feed(const struct fl_plan *plan, size_t device, int feed)
{
	const struct fl_device *d = &plan->devices[device];
	enum fl_touch touch = FL_TOUCH_FAR;
	if (supplied(d->feeds, d->feed_count, FL_FEED_SUPPLY, feed))
		return FL_TOUCH_POWER;
	for (size_t s = 0; s < plan->switch_count; s++) {
		if (!supplied(plan->switches[s].feeds, plan->switches[s].feed_count,
			      FL_FEED_SUPPLY, feed))
			continue;
		const enum fl_touch own = by_switch(plan, device, (int)s);
		touch = own > touch ? own : touch;
	}
	return touch;
}

void fl_touch(const struct fl_case *c, const struct fl_part *part,
	      const struct fl_devices *who, struct fl_hidden *hidden)
{
	for (size_t i = 0; i < c->plan->device_count; i++) {
		enum fl_touch touch = FL_TOUCH_FAR;
		if (!fl_devices_has(&hidden->behind, i) || !fl_devices_has(who, i))
			continue;
		switch (part->kind) {
		case FL_PART_RUN:
			touch = by_run(c->plan, i, part->index);
			break;
		case FL_PART_PORT:
			touch = by_port(c->plan, i, part->place);
			break;
		case FL_PART_SWITCH:
			touch = by_switch(c->plan, i, part->index);
			break;
		case FL_PART_FEED:
			touch = by_feed(c->plan, i, part->index);
			break;
		case FL_PART_DEVICE:
			touch = part->index == (int)i ? FL_TOUCH_ITSELF
			      : beside(c->plan, i, FL_PLACE_DEVICE, part->index)
				? FL_TOUCH_LINK : FL_TOUCH_FAR;
			break;
		case FL_PART_LAPTOP:
		case FL_PART_SETTINGS:
		case FL_PART_FILTER:
			break;
		}
		hidden->touch[i] = (uint8_t)touch;
	}
}
