/* fuzz_capfile.c -- any octets as a capture, read twice: in one batch after
 * another, and record by record. Both must tell the same, and what they tell
 * must hold together. */
#include "source/capfile.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);

struct reading {
	const uint8_t *data, *end;
	size_t   opened, closed;
	uint64_t frames, sum;
	bool     open[FL_INTERFACES_MAX];
};

static void demand(bool holds)
{
	if (!holds)
		abort();
}

static void mix(struct reading *r, uint64_t v)
{
	r->sum = (r->sum ^ v) * 0x9e3779b97f4a7c15u;
}

static void see_frames(void *context, const struct fl_frame *frames, size_t n)
{
	struct reading *r = context;
	demand(n > 0 && n <= FL_BATCH_MAX);
	for (size_t i = 0; i < n; i++) {
		const struct fl_frame *f = &frames[i];
		demand(f->ear < r->opened && r->open[f->ear]);
		demand(f->captured <= f->length);
		demand(f->at >= r->data && f->captured <= (size_t)(r->end - f->at));
		demand(f->link == FL_LINK_ETHERNET || f->link == FL_LINK_COOKED ||
		       f->link == FL_LINK_COOKED2);
		mix(r, (uint64_t)f->time);
		mix(r, f->captured);
		mix(r, f->length ^ (uint64_t)f->errors << 32);
		mix(r, (uint64_t)(f->at - r->data));
		r->frames++;
	}
}

static void see_ear(void *context, const struct fl_ear_event *e)
{
	struct reading *r = context;
	demand(e->name && strlen(e->name) < 256);
	mix(r, e->news);
	mix(r, e->count ^ (uint64_t)e->time);
	if (e->news == FL_EAR_OPENED) {
		demand(e->ear == r->opened && r->opened < FL_INTERFACES_MAX);
		r->open[r->opened++] = true;
		return;
	}
	demand(e->ear < r->opened && r->open[e->ear]);
	if (e->news == FL_EAR_CLOSED) {
		r->open[e->ear] = false;
		r->closed++;
	}
}

static void check_summary(const struct fl_capfile_summary *s,
			  const struct reading *r, enum fl_status status)
{
	uint64_t frames = 0;
	demand(s->frames == r->frames && s->interfaces == r->opened);
	demand(r->closed == r->opened);
	for (size_t i = 0; i < s->interfaces; i++)
		frames += s->interface[i].frames;
	demand(frames == s->frames + s->skipped);
	demand(s->octets <= (size_t)(r->end - r->data));
	demand(s->fcs_bad <= s->fcs_checked && s->fcs_checked <= frames);
	demand(s->error.status == (status == FL_END ? FL_OK : status));
	demand(status == FL_END || (s->error.rule && s->error.offset <= s->octets));
}

static void read_all(struct reading *r, const uint8_t *data, size_t n, size_t most)
{
	*r = (struct reading){ .data = data, .end = data + n };
	const struct fl_frame_sink sink = { r, see_frames, see_ear };
	struct fl_error error = { 0 };
	struct fl_capfile *f = fl_capfile_open_memory(data, n, "fuzzed", &sink, &error);
	demand(f ? error.status == FL_OK : error.status != FL_OK && error.rule);
	if (!f)
		return;
	enum fl_status status;
	while ((status = fl_capfile_pump(f, most)) == FL_OK)
		;
	demand(fl_capfile_pump(f, most) == status);
	check_summary(fl_capfile_summary(f), r, status);
	fl_capfile_close(f);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
	static struct reading batched, single;
	read_all(&batched, data, n, FL_BATCH_MAX);
	read_all(&single, data, n, 1);
	demand(batched.sum == single.sum && batched.frames == single.frames);
	return 0;
}
