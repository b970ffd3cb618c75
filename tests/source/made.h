/* made.h -- captures made octet by octet, and a transcript of what a walker
 * told of one: a line a frame, a line an ear event. Two readings are alike
 * when their transcripts are.
 *
 *     open 0 link 1 "eth0"
 *     frame 0 at 1000000000 60/60
 */
#ifndef FL_TESTS_SOURCE_MADE_H
#define FL_TESTS_SOURCE_MADE_H

#include "test.h"

#include "source/capfile.h"

#include <inttypes.h>
#include <unistd.h>
#include <zlib.h>

enum { MADE_MAX = 4 << 20 };

struct made {
	uint8_t at[MADE_MAX];
	size_t  n;
	bool    big;
	size_t  block;             /* where the open block begins             */
};

static inline struct made *made_new(bool big)
{
	struct made *m = calloc(1, sizeof *m);
	if (!m)
		abort();
	m->big = big;
	return m;
}

static inline void put(struct made *m, uint64_t v, size_t n)
{
	if (n > MADE_MAX - m->n)
		abort();
	for (size_t i = 0; i < n; i++)
		m->at[m->n++] = (uint8_t)(v >> 8 * (m->big ? n - 1 - i : i));
}

static inline void put_octets(struct made *m, const void *octets, size_t n)
{
	if (n > MADE_MAX - m->n)
		abort();
	memcpy(m->at + m->n, octets, n);
	m->n += n;
}

/* Hexadecimal digits, spaces between them passed over. */
static inline void put_hex(struct made *m, const char *digits)
{
	for (unsigned v; *digits; digits += 2) {
		digits += strspn(digits, " ");
		if (sscanf(digits, "%2x", &v) != 1)
			abort();
		put(m, v, 1);
	}
}

static inline void put_zeros(struct made *m, size_t n)
{
	while (n--)
		put(m, 0, 1);
}

/* Classic pcap: the header with its magic and link word, and one record. */
static inline void put_pcap(struct made *m, uint32_t magic, uint32_t link)
{
	put(m, magic, 4), put(m, 2, 2), put(m, 4, 2), put(m, 0, 8);
	put(m, 65535, 4), put(m, link, 4);
}

static inline void put_record(struct made *m, uint32_t seconds,
			      uint32_t fraction, size_t captured, size_t length)
{
	put(m, seconds, 4), put(m, fraction, 4);
	put(m, captured, 4), put(m, length, 4);
	for (size_t i = 0; i < captured; i++)
		put(m, i + m->n, 1);
}

static inline void begin_block(struct made *m, uint32_t type)
{
	m->block = m->n;
	put(m, type, 4), put(m, 0, 4);
}

/* Pad the body and write the total length, at both ends. */
static inline void end_block(struct made *m)
{
	put_zeros(m, -(m->n - m->block) & 3);
	const size_t total = m->n - m->block + 4, end = m->n;
	m->n = m->block + 4;
	put(m, total, 4);
	m->n = end;
	put(m, total, 4);
}

static inline void put_option(struct made *m, uint16_t code, const void *value,
			      size_t n)
{
	put(m, code, 2), put(m, n, 2);
	put_octets(m, value, n);
	put_zeros(m, -n & 3);
}

static inline void put_number_option(struct made *m, uint16_t code, uint64_t v,
				     size_t n)
{
	put(m, code, 2), put(m, n, 2), put(m, v, n);
	put_zeros(m, -n & 3);
}

static inline void put_section(struct made *m, uint16_t major, uint16_t minor)
{
	begin_block(m, 0x0a0d0d0a);
	put(m, 0x1a2b3c4d, 4), put(m, major, 2), put(m, minor, 2);
	put(m, UINT64_MAX, 8);
	end_block(m);
}

static inline void begin_interface(struct made *m, uint16_t link, uint32_t snap)
{
	begin_block(m, 1);
	put(m, link, 2), put(m, 0, 2), put(m, snap, 4);
}

static inline void put_interface(struct made *m, uint16_t link, uint32_t snap)
{
	begin_interface(m, link, snap);
	end_block(m);
}

static inline void begin_packet(struct made *m, uint32_t id, uint64_t ticks,
				size_t captured, size_t length)
{
	begin_block(m, 6);
	put(m, id, 4), put(m, ticks >> 32, 4), put(m, ticks & UINT32_MAX, 4);
	put(m, captured, 4), put(m, length, 4);
	for (size_t i = 0; i < captured; i++)
		put(m, i + m->n, 1);
	put_zeros(m, -captured & 3);
}

static inline void put_packet(struct made *m, uint32_t id, uint64_t ticks,
			      size_t captured, size_t length)
{
	begin_packet(m, id, ticks, captured, length);
	end_block(m);
}

/* A pipe that a child fills in uneven pieces; wait() for it. */
static inline int pipe_of(const struct made *m)
{
	int ends[2];
	if (pipe(ends) != 0)
		abort();
	const pid_t child = fork();
	if (child < 0)
		abort();
	if (child == 0) {
		close(ends[0]);
		for (size_t at = 0, step = 1; at < m->n; step = step * 7 % 4099 + 1) {
			const size_t n = step < m->n - at ? step : m->n - at;
			if (write(ends[1], m->at + at, n) != (ssize_t)n)
				_exit(1);
			at += n;
		}
		_exit(0);
	}
	close(ends[1]);
	return ends[0];
}

struct told {
	FILE  *f;
	char  *text;
	size_t n;
	size_t batch_longest;
	struct fl_frame last;      /* its octets are dead                     */
	struct fl_capfile_summary summary;   /* its interfaces are dead       */
	enum fl_status status;
	struct fl_error open_error;
};

static inline void tell_frames(void *context, const struct fl_frame *frames,
			       size_t n)
{
	struct told *t = context;
	if (n > t->batch_longest)
		t->batch_longest = n;
	for (size_t i = 0; i < n; i++) {
		const struct fl_frame *x = &frames[i];
		fprintf(t->f, "frame %u at %" PRId64 " %u/%u", x->ear, x->time,
			x->captured, x->length);
		if (x->link != FL_LINK_ETHERNET)
			fprintf(t->f, " link %u", x->link);
		if (x->errors)
			fprintf(t->f, " errors %02x", x->errors);
		fprintf(t->f, "%s%s%s crc %08lx\n", x->fcs_checked ? " checked" : "",
			x->outbound ? " outbound" : "",
			x->untimed ? " untimed" : "",
			crc32_z(0, x->at, x->captured));
		t->last = *x;
	}
}

static inline void tell_ear(void *context, const struct fl_ear_event *e)
{
	struct told *t = context;
	static const char *const news[] = {
		[FL_EAR_OPENED] = "open", [FL_EAR_UNTIL] = "until",
		[FL_EAR_LOST] = "lost", [FL_EAR_COMMENT] = "comment",
		[FL_EAR_CLOSED] = "close",
	};
	fprintf(t->f, "%s %u", news[e->news], e->ear);
	if (e->news == FL_EAR_OPENED)
		fprintf(t->f, " link %u", e->link);
	if (e->bits_a_second)
		fprintf(t->f, " speed %" PRIu64, e->bits_a_second);
	if (!fl_mac_is_none(e->mac))
		fprintf(t->f, " mac %s", fl_mac_text(e->mac, (char[FL_MAC_TEXT]){ 0 }));
	if (e->time)
		fprintf(t->f, " at %" PRId64, e->time);
	if (e->count)
		fprintf(t->f, " count %" PRIu64, e->count);
	fprintf(t->f, "%s%s%s\n", e->name[0] ? " \"" : "", e->name,
		e->name[0] ? "\"" : "");
}

static inline struct fl_frame_sink told_sink(struct told *t)
{
	*t = (struct told){ 0 };
	t->f = open_memstream(&t->text, &t->n);
	if (!t->f)
		abort();
	return (struct fl_frame_sink){ t, tell_frames, tell_ear };
}

/* Pump to the end, close the file and the transcript. */
static inline void told_all(struct told *t, struct fl_capfile *file, size_t most)
{
	t->status = t->open_error.status;
	if (file) {
		while ((t->status = fl_capfile_pump(file, most)) == FL_OK)
			;
		if (fl_capfile_pump(file, most) != t->status)
			abort();
		t->summary = *fl_capfile_summary(file);
		fl_capfile_close(file);
	}
	if (fclose(t->f) != 0)
		abort();
}

static inline void told_memory(struct told *t, const void *at, size_t n,
			       size_t most)
{
	const struct fl_frame_sink sink = told_sink(t);
	told_all(t, fl_capfile_open_memory(at, n, "made", &sink, &t->open_error),
		 most);
}

static inline void told_path(struct told *t, const char *path, size_t most)
{
	const struct fl_frame_sink sink = told_sink(t);
	told_all(t, fl_capfile_open(path, &sink, &t->open_error), most);
}

static inline void told_fd(struct told *t, int fd, size_t most)
{
	const struct fl_frame_sink sink = told_sink(t);
	told_all(t, fl_capfile_open_fd(fd, "made", &sink, &t->open_error), most);
}

static inline void told_close(struct told *t)
{
	free(t->text);
}

/* How many lines of the transcript begin with `word`. */
static inline size_t told_count(const struct told *t, const char *word)
{
	size_t n = 0;
	for (const char *p = t->text; p && *p; p = strchr(p, '\n') + 1)
		n += strncmp(p, word, strlen(word)) == 0;
	return n;
}

#endif
