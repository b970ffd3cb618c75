/* pcapng_notes.c -- interfaces, statistics, and what options say of frames.
 *
 * Source  draft-ietf-opsawg-pcapng, May 2026: section 4.1 (sections), 4.2
 *         (interfaces), 4.3 (packets), 4.6 (statistics)
 * Says    FL_EAR_OPENED for each interface, FL_EAR_LOST, FL_EAR_SINCE,
 *         FL_EAR_UNTIL and FL_EAR_COMMENT as they stand in the file; the comment of a section
 *         as said at its first interface
 */
#include "source/pcapng.h"

/* Options by the block they stand in, and the length each must have. */
enum { NAME = 2, ADDRESS = 6, SPEED = 8, RESOLUTION = 9, FCS = 13, OFFSET = 14 };
enum { FLAGS = 2, DROPPED = 4 };
enum { SINCE = 2, UNTIL = 3, INTERFACE_DROPS = 5, SYSTEM_DROPS = 7 };
static const uint8_t interface_lengths[] = {
	[ADDRESS] = 6, [SPEED] = 8, [RESOLUTION] = 1, [FCS] = 1, [OFFSET] = 8,
};
static const uint8_t packet_lengths[] = { [FLAGS] = 4, [DROPPED] = 8 };
static const uint8_t statistics_lengths[] = {
	[SINCE] = 8, [UNTIL] = 8, [INTERFACE_DROPS] = 8, [SYSTEM_DROPS] = 8,
};
#define OPTIONS(slice, big, lengths) \
	fl_options(slice, big, lengths, sizeof (lengths))

static const char bad_interface[] =
	"draft-ietf-opsawg-pcapng section 4.2: an interface block holds at "
	"least a link type and a snap length";
static const char bad_statistics[] =
	"draft-ietf-opsawg-pcapng section 4.6: statistics name an interface "
	"described before, and when they were taken";
static const char too_many[] =
	"no more than 1024 interfaces are read from one file";

static uint64_t sum(uint64_t a, uint64_t b)
{
	return a > UINT64_MAX - b ? UINT64_MAX : a + b;
}

static void say(struct fl_capfile *f, enum fl_ear_news news, size_t ear,
		fl_time time, uint64_t count, const char *name)
{
	fl_walk_say(f, &(struct fl_ear_event){
		.news = news, .ear = (uint16_t)ear,
		.link = f->interface[ear].link, .time = time, .count = count,
		.name = name });
}

static void say_comment(struct fl_capfile *f, size_t ear, fl_time time,
			const struct fl_option *option)
{
	char text[FL_TEXT_MAX + 1];
	say(f, FL_EAR_COMMENT, ear, time, 0, fl_option_text(option, text));
}

static void say_span(struct fl_capfile *f, enum fl_ear_news news, size_t ear,
		     uint64_t ticks)
{
	say(f, news, ear, fl_clock_time(&f->clock[ear], ticks), 0,
	    f->interface[ear].name);
}

void fl_pcapng_lost(struct fl_capfile *f, size_t ear, fl_time time,
		    uint64_t more)
{
	if (!more)
		return;
	f->interface[ear].lost = sum(f->interface[ear].lost, more);
	say(f, FL_EAR_LOST, ear, time, more, f->interface[ear].name);
}

/* The draft says bits, its own example 4: both 4 and 32 are four octets. */
static uint8_t fcs_octets(uint64_t stored)
{
	return (uint8_t)(stored < 8 ? stored : stored / 8);
}

/* Cut a cleaned text to the room of a name, between characters. */
static void set_name(struct fl_interface *i, const char *text)
{
	size_t n = strlen(text);
	if (n >= sizeof i->name) {
		n = sizeof i->name - 1;
		while (n && ((unsigned char)text[n] & 0xc0) == 0x80)
			n--;
	}
	memcpy(i->name, text, n);
	i->name[n] = '\0';
}

/* Section 4.2, all but comments. Returns the resolution of the stamps. */
static uint8_t read_interface(struct fl_capfile *f, struct fl_slice options,
			      struct fl_interface *i, struct fl_ear_event *opened)
{
	struct fl_options list = OPTIONS(options, f->big, interface_lengths);
	struct fl_option o;
	char text[FL_TEXT_MAX + 1];
	uint8_t resolution = FL_MICROSECONDS;
	while (fl_options_next(&list, &o)) {
		struct fl_cursor value = fl_cursor(o.value.at, o.value.n);
		switch (o.code) {
		case NAME:
			set_name(i, fl_option_text(&o, text));
			break;
		case ADDRESS:
			opened->mac = fl_mac(&value);
			break;
		case SPEED:
			opened->bits_a_second = fl_option_number(&list, &o);
			break;
		case RESOLUTION:
			resolution = fl_u8(&value);
			break;
		case FCS:
			i->fcs = fcs_octets(fl_u8(&value));
			break;
		case OFFSET:
			i->offset_seconds = (int64_t)fl_option_number(&list, &o);
			break;
		}
	}
	f->summary.options_bad += list.bad;
	return resolution;
}

/* The comments of an interface are said after its opening, so that its
 * options are walked a second time. */
enum fl_status fl_pcapng_interface(struct fl_capfile *f, struct fl_cursor c)
{
	struct fl_interface i = { .section = f->section.number };
	i.link = fl_half(&c, f->big);
	fl_skip(&c, 2);
	i.snap = fl_word(&c, f->big);
	if (!fl_ok(&c))
		return fl_pcapng_refuse(f, bad_interface);
	const size_t ear = f->summary.interfaces;
	const struct fl_slice options = fl_rest(&c);
	struct fl_ear_event opened = {
		.news = FL_EAR_OPENED, .ear = (uint16_t)ear, .link = i.link,
	};
	const uint8_t resolution = read_interface(f, options, &i, &opened);
	if (!fl_walk_describe(f, &i, resolution))
		return fl_walk_refuse(f, fl_walk_here(f), FL_FULL, too_many);
	opened.name = f->interface[ear].name;
	fl_walk_say(f, &opened);
	if (ear == f->section.first && f->section.comment[0])
		say(f, FL_EAR_COMMENT, ear, 0, 0, f->section.comment);
	struct fl_options list = OPTIONS(options, f->big, interface_lengths);
	struct fl_option o;
	while (fl_options_next(&list, &o))
		if (o.code == FL_OPTION_COMMENT)
			say_comment(f, ear, 0, &o);
	return FL_OK;
}

/* Section 4.6. The counts run from the start of the capture and hold what
 * packets told already: only what exceeds that is news. */
enum fl_status fl_pcapng_statistics(struct fl_capfile *f, struct fl_cursor c)
{
	const uint32_t id = fl_word(&c, f->big);
	const uint64_t ticks = fl_stamp(&c, f->big);
	size_t ear;
	if (!fl_ok(&c) || !fl_pcapng_ear(f, id, &ear))
		return fl_pcapng_refuse(f, bad_statistics);
	const fl_time taken = fl_clock_time(&f->clock[ear], ticks);
	struct fl_options list = OPTIONS(fl_rest(&c), f->big, statistics_lengths);
	struct fl_option o;
	uint64_t dropped = 0;
	while (fl_options_next(&list, &o))
		switch (o.code) {
		case FL_OPTION_COMMENT:
			say_comment(f, ear, taken, &o);
			break;
		case SINCE:
			say_span(f, FL_EAR_SINCE, ear, fl_option_stamp(&list, &o));
			break;
		case UNTIL:
			say_span(f, FL_EAR_UNTIL, ear, fl_option_stamp(&list, &o));
			break;
		case INTERFACE_DROPS:
		case SYSTEM_DROPS:
			dropped = sum(dropped, fl_option_number(&list, &o));
			break;
		}
	f->summary.options_bad += list.bad;
	const uint64_t told = f->interface[ear].lost;
	fl_pcapng_lost(f, ear, taken, dropped > told ? dropped - told : 0);
	return FL_OK;
}

uint32_t fl_pcapng_packet_notes(struct fl_capfile *f, struct fl_slice options,
				size_t ear, fl_time time)
{
	struct fl_options list = OPTIONS(options, f->big, packet_lengths);
	struct fl_option o;
	uint32_t flags = 0;
	while (fl_options_next(&list, &o))
		switch (o.code) {
		case FL_OPTION_COMMENT:
			say_comment(f, ear, time, &o);
			break;
		case FLAGS:
			flags = (uint32_t)fl_option_number(&list, &o);
			break;
		case DROPPED:
			fl_pcapng_lost(f, ear, time, fl_option_number(&list, &o));
			break;
		}
	f->summary.options_bad += list.bad;
	return flags;
}

void fl_pcapng_section_notes(struct fl_capfile *f, struct fl_slice options)
{
	struct fl_options list = fl_options(options, f->big, NULL, 0);
	struct fl_option o;
	while (fl_options_next(&list, &o))
		if (o.code == FL_OPTION_COMMENT && !f->section.comment[0])
			(void)fl_option_text(&o, f->section.comment);
	f->summary.options_bad += list.bad;
}
