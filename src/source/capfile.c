/* capfile.c -- opening, pushing, ending: what both formats have in common. */
#include "source/capfile.h"
#include "source/walk.h"

#include "base/checksum.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

enum { FIRST = 4 };                /* octets that tell the format             */

static const char gzip[] = "compressed as by RFC 1952: unpack it first";
static const char zstd[] = "compressed as by RFC 8878: unpack it first";
static const char other[] = "neither pcap nor pcapng by its first octets";
static const char empty[] = "the file is empty: a capture begins with a header";
static const char brief[] = "too short: a capture begins with a header";

static const struct format {
	uint8_t     first[FIRST];
	uint8_t     n;             /* of `first`                              */
	bool        big;
	uint8_t     resolution;
	fl_walk_fn *walk;          /* 0: not read, and why                    */
	const char *why;
} formats[] = {
	{ { 0xa1, 0xb2, 0xc3, 0xd4 }, 4, true,  FL_MICROSECONDS, fl_pcap_begin, 0 },
	{ { 0xd4, 0xc3, 0xb2, 0xa1 }, 4, false, FL_MICROSECONDS, fl_pcap_begin, 0 },
	{ { 0xa1, 0xb2, 0x3c, 0x4d }, 4, true,  FL_NANOSECONDS, fl_pcap_begin, 0 },
	{ { 0x4d, 0x3c, 0xb2, 0xa1 }, 4, false, FL_NANOSECONDS, fl_pcap_begin, 0 },
	{ { 0x0a, 0x0d, 0x0d, 0x0a }, 4, false, 0, fl_pcapng_walk, 0 },
	{ { 0x1f, 0x8b }, 2, false, 0, 0, gzip },
	{ { 0x28, 0xb5, 0x2f, 0xfd }, 4, false, 0, 0, zstd },
	{ { 0 }, 0, false, 0, 0, other },
};

enum fl_status fl_walk_refuse(struct fl_capfile *f, uint64_t offset,
			      enum fl_status status, const char *rule)
{
	fl_error_set(&f->summary.error, status,
		     status == FL_SYSTEM ? f->octets.system : 0, offset, rule,
		     f->name);
	return status;
}

enum fl_status fl_walk_stop(struct fl_capfile *f, uint64_t offset,
			    const char *rule)
{
	if (f->octets.system)
		return fl_walk_refuse(f, offset, FL_SYSTEM, "cannot be read on");
	if (fl_octets_ahead(&f->octets) == 0 && fl_walk_here(f) == offset)
		return FL_END;
	return fl_walk_refuse(f, offset, FL_SHORT, rule);
}

/* Count pending frames and move those of link types that are read to the
 * front; returns how many these are. */
static size_t sift(struct fl_capfile *f)
{
	size_t kept = 0;
	for (size_t i = 0; i < f->batched; i++) {
		const struct fl_frame *frame = &f->batch[i];
		f->interface[frame->ear].frames++;
		f->summary.untimed += frame->untimed;
		f->summary.cut_short += frame->captured < frame->length;
		if (!fl_link_is_read(frame->link))
			f->summary.skipped++;
		else if (kept++ != i)
			f->batch[kept - 1] = *frame;
	}
	f->summary.frames += kept;
	return kept;
}

void fl_walk_flush(struct fl_capfile *f)
{
	const size_t n = sift(f);
	f->batched = 0;
	if (n)
		f->sink.frames(f->sink.context, f->batch, n);
}

void fl_walk_say(struct fl_capfile *f, const struct fl_ear_event *event)
{
	fl_walk_flush(f);
	f->sink.ear(f->sink.context, event);
}

bool fl_walk_slide(struct fl_capfile *f, size_t n)
{
	fl_walk_flush(f);
	return fl_octets_slide(&f->octets, n);
}

bool fl_walk_describe(struct fl_capfile *f, const struct fl_interface *i,
		      uint8_t resolution)
{
	const size_t number = f->summary.interfaces;
	if (number == FL_INTERFACES_MAX)
		return false;
	f->interface[number] = *i;
	f->interface[number].ticks_a_second = fl_clock_ticks_a_second(resolution);
	f->clock[number] = fl_clock_new(resolution, i->offset_seconds);
	f->summary.interfaces++;
	return true;
}

/* Of a frame that was cut in its FCS, what was captured of that goes too. */
void fl_walk_strip(struct fl_capfile *f, struct fl_frame *frame, uint8_t fcs)
{
	if (frame->length < fcs)
		return;
	if (frame->captured == frame->length && fcs == FL_FCS) {
		frame->fcs_checked = true;
		f->summary.fcs_checked++;
		if (!fl_fcs_holds(frame->at, frame->captured)) {
			frame->errors |= FL_ERROR_CRC;
			f->summary.fcs_bad++;
		}
	}
	frame->length -= fcs;
	if (frame->captured > frame->length)
		frame->captured = frame->length;
}

/* The first octets name the format, or why it is none. */
static void identify(struct fl_capfile *f)
{
	const uint64_t start = fl_walk_here(f);
	if (!fl_walk_see(f, FIRST)) {
		if (fl_walk_stop(f, start, brief) == FL_END)
			(void)fl_walk_refuse(f, start, FL_SHORT, empty);
		return;
	}
	const struct format *format = formats;
	while (memcmp(f->octets.at, format->first, format->n) != 0)
		format++;                          /* the last fits all */
	f->walk = format->walk;
	f->big = format->big;
	f->resolution = format->resolution;
	f->summary.pcapng = f->walk == fl_pcapng_walk;
	if (!f->walk)
		(void)fl_walk_refuse(f, start, FL_UNSUPPORTED, format->why);
}

static struct fl_capfile *refused(struct fl_capfile *f, struct fl_error *error)
{
	fl_error_set(error, f->summary.error.status, f->summary.error.system,
		     f->summary.error.offset, f->summary.error.rule, f->name);
	fl_capfile_close(f);
	return NULL;
}

static struct fl_capfile *new_file(const char *name,
				   const struct fl_frame_sink *sink,
				   struct fl_error *error)
{
	struct fl_capfile *f = calloc(1, sizeof *f);
	if (f) {
		fl_octets_open_memory(&f->octets, NULL, 0);
		f->sink = *sink;
		(void)snprintf(f->name, sizeof f->name, "%s", name);
		f->interface = calloc(FL_INTERFACES_MAX, sizeof *f->interface);
		f->clock = calloc(FL_INTERFACES_MAX, sizeof *f->clock);
		f->summary.interface = f->interface;
	}
	if (f && f->interface && f->clock)
		return f;
	fl_error_set(error, FL_NO_MEMORY, 0, 0, "no memory to read it", name);
	fl_capfile_close(f);
	return NULL;
}

static struct fl_capfile *begin(struct fl_capfile *f, struct fl_error *error)
{
	identify(f);
	return f->walk ? f : refused(f, error);
}

struct fl_capfile *fl_capfile_open_memory(const void *octets, size_t n,
					  const char *name,
					  const struct fl_frame_sink *sink,
					  struct fl_error *error)
{
	struct fl_capfile *f = new_file(name, sink, error);
	if (!f)
		return NULL;
	fl_octets_open_memory(&f->octets, octets, n);
	return begin(f, error);
}

struct fl_capfile *fl_capfile_open_fd(int fd, const char *name,
				      const struct fl_frame_sink *sink,
				      struct fl_error *error)
{
	struct fl_capfile *f = new_file(name, sink, error);
	if (!f) {
		(void)close(fd);
		return NULL;
	}
	if (fl_octets_open(&f->octets, fd))
		return begin(f, error);
	(void)fl_walk_refuse(f, 0, FL_SYSTEM, "cannot be read as a capture file");
	return refused(f, error);
}

struct fl_capfile *fl_capfile_open(const char *path,
				   const struct fl_frame_sink *sink,
				   struct fl_error *error)
{
	const bool standard = strcmp(path, "-") == 0;
	const int fd = standard ? fcntl(STDIN_FILENO, F_DUPFD_CLOEXEC, 0)
				: open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
	if (fd >= 0)
		return fl_capfile_open_fd(fd, standard ? "standard input" : path,
					  sink, error);
	fl_error_set(error, FL_SYSTEM, errno, 0, "cannot be opened", path);
	return NULL;
}

static void close_ears(struct fl_capfile *f)
{
	for (size_t i = 0; i < f->summary.interfaces; i++)
		fl_walk_say(f, &(struct fl_ear_event){
			.news = FL_EAR_CLOSED, .ear = (uint16_t)i,
			.link = f->interface[i].link,
			.name = f->interface[i].name });
}

enum fl_status fl_capfile_pump(struct fl_capfile *f, size_t most)
{
	if (f->ended != FL_OK)
		return f->ended;
	if (most < 1)
		most = 1;
	f->ended = f->walk(f, most < FL_BATCH_MAX ? most : FL_BATCH_MAX);
	fl_walk_flush(f);
	f->summary.octets = fl_walk_here(f);
	if (f->ended != FL_OK)
		close_ears(f);
	return f->ended;
}

const struct fl_capfile_summary *fl_capfile_summary(const struct fl_capfile *f)
{
	return &f->summary;
}

void fl_capfile_close(struct fl_capfile *f)
{
	if (!f)
		return;
	fl_octets_close(&f->octets);
	free(f->interface);
	free(f->clock);
	free(f);
}
