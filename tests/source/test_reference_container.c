/* Shared captures with reference answers: what the container says of itself,
 * its interfaces, and the frames in it. */
#include "source/captures.h"

#include "base/text.h"
#include "source/capfile.h"

#include <inttypes.h>
#include <jansson.h>

enum { FRAMES_MAX = 4096, COMMENTS_MAX = 64 };

struct seen {
	size_t  frames;
	fl_time time[FRAMES_MAX];
	uint8_t errors[FRAMES_MAX];
	bool    untimed[FRAMES_MAX], outbound[FRAMES_MAX];
	size_t  comments, comment_frame[COMMENTS_MAX];
	char    comment[COMMENTS_MAX][256];
	size_t  opened, closed;
};

/* Where the reference is not followed, and the clause that decides. */
static const struct deviation {
	const char *name, *because;
	size_t frames;
	bool   error;
} deviations[] = {
	{ "pcap-version-543.pcap", "draft-ietf-opsawg-pcap section 4: a reader "
	  "of 2.4 cannot read another major version", 0, true },
	{ "pcap-version-bad2.pcap", "draft-ietf-opsawg-pcap section 4: a reader "
	  "of 2.4 cannot read all of a later minor version", 0, true },
};

static const struct deviation *deviation_of(const char *name)
{
	for (size_t i = 0; i < sizeof deviations / sizeof deviations[0]; i++)
		if (strcmp(deviations[i].name, name) == 0)
			return &deviations[i];
	return NULL;
}

static void see_frames(void *context, const struct fl_frame *frames, size_t n)
{
	struct seen *s = context;
	for (size_t i = 0; i < n; i++) {
		assert_true(s->frames < FRAMES_MAX);
		s->time[s->frames] = frames[i].time;
		s->errors[s->frames] = frames[i].errors;
		s->untimed[s->frames] = frames[i].untimed;
		s->outbound[s->frames] = frames[i].outbound;
		s->frames++;
	}
}

static void see_ear(void *context, const struct fl_ear_event *e)
{
	struct seen *s = context;
	s->opened += e->news == FL_EAR_OPENED;
	s->closed += e->news == FL_EAR_CLOSED;
	/* Of a section or an interface: no time. The answers have none. */
	if (e->news != FL_EAR_COMMENT || !e->time || s->comments == COMMENTS_MAX)
		return;
	s->comment_frame[s->comments] = s->frames + 1;   /* said before it */
	(void)snprintf(s->comment[s->comments++], 256, "%s", e->name);
}

static json_int_t number(const json_t *object, const char *key)
{
	return json_integer_value(json_object_get(object, key));
}

static void same_time(const json_t *expected, const char *key, fl_time time,
		      const char *name)
{
	const json_t *v = json_object_get(expected, key);
	if (json_is_integer(v) && json_integer_value(v) != time)
		fail_msg("%s: %s is %" PRId64, name, key, time);
}

static void compare_times(const json_t *expected, const struct seen *s,
			  const char *name)
{
	fl_time first = 0, last = 0, least = INT64_MAX, most = INT64_MIN;
	size_t n = 0;
	for (size_t i = 0; i < s->frames; i++) {
		if (s->untimed[i])
			continue;
		last = s->time[i];
		first = n++ ? first : last;
		least = last < least ? last : least;
		most = last > most ? last : most;
	}
	if (n == 0) {
		assert_false(json_is_integer(json_object_get(expected, "first_ts_ns")));
		return;
	}
	same_time(expected, "first_ts_ns", first, name);
	same_time(expected, "last_ts_ns", last, name);
	same_time(expected, "min_ts_ns", least, name);
	same_time(expected, "max_ts_ns", most, name);
}

static void compare_flags(const json_t *expected, const struct seen *s)
{
	size_t i;
	const json_t *row;
	json_array_foreach(json_object_get(expected, "epb_flags"), i, row) {
		const json_int_t frame = json_integer_value(json_array_get(row, 0));
		const json_int_t flags = json_integer_value(json_array_get(row, 1));
		assert_in_range(frame, 1, s->frames);
		assert_int_equal(s->errors[frame - 1], flags >> 24);
		assert_int_equal(s->outbound[frame - 1], (flags & 3) == 2);
	}
}

/* The reference's text, with what may not reach a terminal taken out. */
static void same_text(const json_t *expected, const char *text)
{
	char clean[FL_TEXT_MAX + 1];
	const char *raw = json_string_value(expected);
	const struct fl_slice s = { (const uint8_t *)raw, raw ? strlen(raw) : 0 };
	(void)fl_text_clean(s, clean);
	assert_string_equal(text, clean);
}

/* Each comment of a frame was said right before that frame. */
static void compare_comments(const json_t *expected, const struct seen *s)
{
	size_t i, j, at = 0;
	const json_t *row, *text;
	json_array_foreach(json_object_get(expected, "comments"), i, row) {
		const json_int_t frame = json_integer_value(json_array_get(row, 0));
		json_array_foreach(json_array_get(row, 1), j, text) {
			while (at < s->comments && s->comment_frame[at] != (size_t)frame)
				at++;
			assert_true(at < s->comments);
			same_text(text, s->comment[at++]);
		}
	}
}

static uint64_t ticks_of(json_int_t resolution)
{
	uint64_t v = 1;
	for (json_int_t i = resolution & 0x7f; i; i--)
		v *= resolution & 0x80 ? 2 : 10;
	return v;
}

static void compare_interface(const json_t *row, const struct fl_interface *i,
			      bool ng)
{
	assert_int_equal(i->link, number(row, "linktype") & 0xffff);
	assert_int_equal(i->snap, number(row, "snaplen"));
	assert_int_equal(i->fcs, number(row, "fcslen"));
	if (!ng)
		return;
	assert_true(i->ticks_a_second == ticks_of(number(row, "tsresol")));
	assert_int_equal(i->offset_seconds, number(row, "tsoffset"));
	assert_int_equal(i->section, number(row, "section"));
	same_text(json_object_get(row, "name"), i->name);
}

static void compare_interfaces(const json_t *expected,
			       const struct fl_capfile_summary *s)
{
	const json_t *rows = json_object_get(json_object_get(expected, "container"),
					     "interfaces");
	const json_t *frames = json_object_get(expected, "frames_per_interface");
	assert_int_equal(s->interfaces, json_array_size(rows));
	for (size_t i = 0; i < s->interfaces; i++) {
		char key[24];
		(void)snprintf(key, sizeof key, "%zu", i);
		compare_interface(json_array_get(rows, i), &s->interface[i], s->pcapng);
		assert_int_equal(s->interface[i].frames, number(frames, key));
	}
}

static void compare_links(const json_t *expected,
			  const struct fl_capfile_summary *s)
{
	const char *key;
	const json_t *count;
	uint64_t read = 0, skipped = 0;
	json_object_foreach(json_object_get(expected, "linktypes"), key, count) {
		const bool is_read = strcmp(key, "1") == 0 ||
			strcmp(key, "113") == 0 || strcmp(key, "276") == 0;
		*(is_read ? &read : &skipped) += (uint64_t)json_integer_value(count);
	}
	assert_int_equal(s->frames, read);
	assert_int_equal(s->skipped, skipped);
}

static void compare_all(const json_t *expected, const struct seen *seen,
			const struct fl_capfile_summary *s, const char *name)
{
	const json_t *container = json_object_get(expected, "container");
	compare_interfaces(expected, s);
	compare_links(expected, s);
	compare_comments(expected, seen);
	assert_int_equal(s->cut_short, number(expected, "truncated_frames"));
	assert_int_equal(s->sections_skipped, number(container, "skipped_sections"));
	/* Frames of other link types are not pushed, and so cannot be seen. */
	if (s->skipped == 0) {
		compare_times(expected, seen, name);
		compare_flags(expected, seen);
	}
}

static void read_one(const char *path, const char *name)
{
	char answers[512];
	(void)snprintf(answers, sizeof answers, "%s/captures/expected/%s.json",
		       FL_SHARED, name);
	/* Texts of frames in the answers may hold a NUL. */
	json_t *expected = json_load_file(answers, JSON_ALLOW_NUL, NULL);
	if (!expected)
		fail_msg("%s cannot be read", answers);
	struct seen *seen = calloc(1, sizeof *seen);
	const struct fl_frame_sink sink = { seen, see_frames, see_ear };
	struct fl_error error = { 0 };
	struct fl_capfile *f = fl_capfile_open(path, &sink, &error);
	assert_non_null(f);
	enum fl_status status;
	while ((status = fl_capfile_pump(f, 256)) == FL_OK)
		;
	const struct fl_capfile_summary *s = fl_capfile_summary(f);
	const struct deviation *other = deviation_of(name);
	const json_t *wrong = json_object_get(json_object_get(expected, "container"), "error");
	const bool error_expected = other ? other->error : json_is_string(wrong);
	if (error_expected != (status != FL_END))
		fail_msg("%s: %s", name, s->error.rule ? s->error.rule : "read whole");
	assert_int_equal(s->frames, seen->frames);
	assert_int_equal(seen->opened, seen->closed);
	if (other)
		assert_int_equal(s->frames + s->skipped, other->frames);
	else
		compare_all(expected, seen, s, name);
	fl_capfile_close(f);
	free(seen);
	json_decref(expected);
}

static void says_of_each_container_what_the_reference_says(void **state)
{
	(void)state;
	assert_true(captures_each("captures", read_one) > 100);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(says_of_each_container_what_the_reference_says),
	};
	return FL_RUN(tests);
}
