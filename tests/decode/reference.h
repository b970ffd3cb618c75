/* reference.h -- walk the shared captures, each beside the answers that a
 * decoder which shares nothing with ours computed from it.
 *
 * Frames come by way of the capture reader, as they do for the program. */
#ifndef FL_TESTS_DECODE_REFERENCE_H
#define FL_TESTS_DECODE_REFERENCE_H

#include "source/captures.h"

#include "decode/decode.h"
#include "source/capfile.h"

#include <jansson.h>

/* Where an answer is not followed, and what decides. */
struct reference_exception {
	const char *file, *key, *because;       /* key NULL: every one */
	unsigned met;
};

struct reference {
	void (*frame)(struct reference *r, const struct fl_packet *packet);
	/* After the last frame of a file of which each frame was seen. */
	void (*file)(struct reference *r);
	struct reference_exception *exceptions;
	size_t      exceptions_n;
	const char *name;
	json_t     *expected;
	unsigned    number;              /* of this frame, from 1 */
	unsigned    compared, wrong;
};

/* captures_each() passes no context. */
static struct reference *walked;

static inline void reference_differs(struct reference *r, const char *key,
				     const json_t *theirs, const json_t *ours)
{
	for (size_t i = 0; i < r->exceptions_n; i++) {
		struct reference_exception *e = &r->exceptions[i];
		if (strcmp(e->file, r->name) == 0 &&
		    (!e->key || strcmp(e->key, key) == 0)) {
			e->met++;
			return;
		}
	}
	char *a = json_dumps(theirs, JSON_ENCODE_ANY | JSON_SORT_KEYS);
	char *b = json_dumps(ours, JSON_ENCODE_ANY | JSON_SORT_KEYS);
	print_error("%s frame %u %s:\n  expected %s\n  read     %s\n", r->name,
		    r->number, key, a ? a : "nothing", b ? b : "nothing");
	free(a);
	free(b);
	r->wrong++;
}

static inline void reference_compare(struct reference *r, const char *key,
				     const json_t *theirs, const json_t *ours)
{
	r->compared++;
	if ((theirs || ours) && !json_equal(theirs, ours))
		reference_differs(r, key, theirs, ours);
}

static inline void reference_frames(void *context, const struct fl_frame *frames,
				    size_t n)
{
	struct reference *r = context;
	for (size_t i = 0; i < n; i++) {
		struct fl_packet packet;
		(void)fl_packet_read(&frames[i], &packet);
		r->number++;
		r->frame(r, &packet);
	}
}

static inline void reference_ear(void *context, const struct fl_ear_event *e)
{
	(void)context;
	(void)e;
}

static inline bool all_frames_are_of_links_read(const json_t *expected)
{
	const char *link;
	json_t *count;
	json_object_foreach(json_object_get(expected, "linktypes"), link, count)
		if (atoi(link) != FL_LINK_ETHERNET && atoi(link) != FL_LINK_COOKED &&
		    atoi(link) != FL_LINK_COOKED2)
			return false;
	return true;
}

static inline void reference_one(const char *path, const char *name)
{
	struct reference *r = walked;
	char answers[512];
	(void)snprintf(answers, sizeof answers, "%s/captures/expected/%s.json",
		       FL_SHARED, name);
	r->expected = json_load_file(answers, JSON_ALLOW_NUL, NULL);
	assert_non_null(r->expected);
	r->name = name;
	r->number = 0;
	const struct fl_frame_sink sink = { r, reference_frames, reference_ear };
	struct fl_error error;
	struct fl_capfile *file = all_frames_are_of_links_read(r->expected)
		? fl_capfile_open(path, &sink, &error) : NULL;
	if (file) {
		while (fl_capfile_pump(file, FL_BATCH_MAX) == FL_OK)
			;
		/* A version that is refused is the container's affair. */
		if (r->number)
			r->file(r);
	}
	fl_capfile_close(file);
	json_decref(r->expected);
}

/* Walk all; nothing differs but what the exceptions say, and each of them is
 * still needed. */
static inline void reference_holds(struct reference *r)
{
	walked = r;
	assert_true(captures_each("captures", reference_one) > 100);
	print_message("%u compared, %u differ\n", r->compared, r->wrong);
	assert_true(r->compared > 0);
	assert_int_equal(r->wrong, 0);
	for (size_t i = 0; i < r->exceptions_n; i++)
		if (!r->exceptions[i].met)
			fail_msg("%s is no exception any more: %s",
				 r->exceptions[i].file, r->exceptions[i].because);
}

#endif
