/* text_here.c -- who is here, one a line: the devices of a plan when all is
 * well, the stations heard when there is no plan. */
#include "render/text.h"

#include <inttypes.h>
#include <stdio.h>

/* Columns of both tables. A narrow page takes first from what a station says it
 * is; a MAC address still stands in one line. */
enum { WHO = 2, WHO_WIDE = 24, WHO_LEAST = 17, ADDRESS_WIDE = 17, EVERY_WIDE = 8,
       GAP = 2 };

struct columns { size_t who_wide, address, third, third_wide, every; };

static struct columns columns_of(const struct fl_page *page)
{
	const size_t lacks = fl_page_lacks(page);
	struct columns c;
	c.who_wide = WHO_WIDE - lacks * (WHO_WIDE - WHO_LEAST) /
				(FL_COLUMNS - FL_COLUMNS_LEAST);
	c.address = WHO + c.who_wide + GAP;
	c.third = c.address + ADDRESS_WIDE + GAP;
	c.every = page->lay.width - EVERY_WIDE;
	c.third_wide = c.every - GAP - c.third;
	return c;
}

/* The first IPv4 address, else the first: the one a person types. */
static const char *address(const struct fl_ip *ips, size_t n,
			   char out[static FL_IP_TEXT])
{
	for (size_t i = 0; i < n; i++)
		if (fl_ip_is4(ips[i]))
			return fl_ip_text(ips[i], out);
	return n ? fl_ip_text(ips[0], out) : "-";
}

static void device_row(struct fl_page *page, const struct fl_answer_device *d)
{
	char ip[FL_IP_TEXT], beats[80] = "heard, no cadence known";
	if (d->due)
		(void)snprintf(beats, sizeof beats, "heard %" PRIu64 " of %"
			       PRIu64 " due", d->heard, d->due);
	const struct columns at = columns_of(page);
	const struct fl_cell row[] = {
		{ WHO, at.who_wide, d->name, false },
		{ at.address, ADDRESS_WIDE,
		  address(d->addresses, d->address_count, ip), false },
		{ at.third, page->lay.width - at.third, beats, false },
	};
	fl_layout_row(&page->lay, row, 3);
}

static void list_devices(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	size_t i = 0;
	for (; i < a->device_count && i < FL_SHOWN_ROWS; i++)
		device_row(page, &a->devices[i]);
	fl_fold(page, WHO, a->device_count - i, ", all heard");
}

static void add_part(struct fl_text *line, const char *text)
{
	if (text)
		fl_text_add(line, "%s%s", line->n ? ", " : "", text);
}

/* What a station says it is; left in the line builder. */
static const char *says_it_is(struct fl_text *line,
			      const struct fl_answer_station *s)
{
	add_part(line, s->kind);
	add_part(line, s->model);
	for (size_t i = 0; i < s->services.n && i < 3; i++)
		add_part(line, s->services.at[i]);
	add_part(line, s->guess);
	add_part(line, line->n ? NULL : "-");
	return line->at;
}

static void station_row(struct fl_page *page, const struct fl_answer_station *s)
{
	char mac[FL_MAC_TEXT], ip[FL_IP_TEXT], every[FL_TIME_TEXT];
	struct fl_text *line = &page->lay.line;
	const char *name = s->names.n ? s->names.at[0]
				      : fl_mac_text(s->mac, mac);
	const char *rhythm = s->cadence ? fl_time_interval(s->cadence, every)
					: "-";
	const struct columns at = columns_of(page);
	const struct fl_cell row[] = {
		{ WHO, at.who_wide, name, false },
		{ at.address, ADDRESS_WIDE,
		  address(s->addresses, s->address_count, ip), false },
		{ at.third, at.third_wide, says_it_is(line, s), false },
		{ at.every, EVERY_WIDE, rhythm, true },
	};
	fl_layout_row(&page->lay, row, 4);
	fl_text_empty(line);
}

static void list_stations(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	const struct columns at = columns_of(page);
	const struct fl_cell head[] = {
		{ WHO, at.who_wide, "WHO IS HERE", false },
		{ at.address, ADDRESS_WIDE, "address", false },
		{ at.third, at.third_wide, "says it is", false },
		{ at.every, EVERY_WIDE, "every", true },
	};
	if (a->station_count)
		fl_layout_row(&page->lay, head, 4);
	size_t i = 0;
	for (; i < a->station_count && i < FL_SHOWN_ROWS; i++)
		station_row(page, &a->stations[i]);
	fl_fold(page, WHO, a->station_count - i, "");
}

void fl_section_here(struct fl_page *page)
{
	if (!page->answer->planned)
		list_stations(page);
	else if (fl_all_well(page->answer))
		list_devices(page);
}
