#include "test.h"

#include "render/scenes.h"

#include <jansson.h>
#include <math.h>

/* The answer laid out as JSON and read back; the caller lets go of it. */
static json_t *read_back(const struct fl_answer *answer)
{
	struct fl_text out;
	json_error_t error;
	assert_true(fl_text_init(&out, 1 << 24));
	assert_true(fl_render(answer, "json", 0, &out));
	assert_int_equal(out.at[out.n - 1], '\n');
	for (size_t i = 0; i < out.n; i++)   /* RFC 8259 section 7 */
		assert_true(out.at[i] == '\n' ||
			    ((unsigned char)out.at[i] >= 0x20 && out.at[i] != 0x7f));
	json_t *root = json_loads(out.at, JSON_REJECT_DUPLICATES, &error);
	assert_non_null(root);
	fl_text_close(&out);
	return root;
}

/* What stands at a path of keys, "devices.0.name". */
static const json_t *at(const json_t *value, const char *path)
{
	while (*path) {
		const size_t n = strcspn(path, ".");
		char key[40];
		assert_true(n < sizeof key);
		memcpy(key, path, n);
		key[n] = '\0';
		value = json_is_array(value) ? json_array_get(value, (size_t)atoi(key))
					     : json_object_get(value, key);
		assert_non_null(value);
		path += path[n] ? n + 1 : n;
	}
	return value;
}

static const char *text_at(const json_t *root, const char *path)
{
	assert_true(json_is_string(at(root, path)));
	return json_string_value(at(root, path));
}

static double number_at(const json_t *root, const char *path)
{
	assert_true(json_is_number(at(root, path)));
	return json_number_value(at(root, path));
}

static bool null_at(const json_t *root, const char *path)
{
	return json_is_null(at(root, path));
}

/* fairlead-json(5); the moment is RFC 3339 section 5.6 of the scene's. */
static void holds_every_field_of_the_missing_radar(void **state)
{
	(void)state;
	const struct fl_answer answer = missing_radar();
	json_t *root = read_back(&answer);
	assert_int_equal(json_integer_value(at(root, "fairlead")), 1);
	assert_int_equal(json_integer_value(at(root, "minor")), 0);
	assert_string_equal(text_at(root, "segment"), "Storm Petrel");
	assert_string_equal(text_at(root, "heard.from"), "2026-05-02T09:14:07.120Z");
	assert_true(number_at(root, "heard.seconds") == 130);
	assert_true(number_at(root, "heard.deaf_seconds") == 0);
	assert_int_equal(json_integer_value(at(root, "heard.frames")), 48210);
	assert_true(json_is_true(at(root, "heard.firm")));
	assert_string_equal(text_at(root, "ears.0.ear"), "eth1");
	assert_string_equal(text_at(root, "ears.0.place"), "lower switch port 5");
	assert_string_equal(text_at(root, "devices.0.name"), "arch radar");
	assert_string_equal(text_at(root, "devices.0.state"), "silent");
	assert_string_equal(text_at(root, "devices.0.stations.0"), "02:1b:c5:00:00:21");
	assert_string_equal(text_at(root, "devices.0.addresses.0"), "172.20.0.33");
	assert_string_equal(text_at(root, "devices.0.last_heard"), "2026-05-02T09:14:32.120Z");
	assert_int_equal(json_integer_value(at(root, "devices.0.beats_due")), 65);
	assert_int_equal(json_integer_value(at(root, "devices.0.loss.received")), 4089);
	assert_int_equal(json_integer_value(at(root, "devices.0.loss.missed")), 31);
	assert_true(number_at(root, "devices.0.loss.low") == 0.005117);
	assert_true(number_at(root, "devices.0.loss.high") == 0.010660);
	assert_true(json_is_true(at(root, "devices.0.loss.grows_with_size")));
	assert_true(null_at(root, "devices.1.loss"));
	assert_int_equal(json_integer_value(at(root, "devices.0.beats_heard")), 25);
	assert_int_equal(json_integer_value(at(root, "devices.0.dropouts")), 1);
	assert_true(number_at(root, "devices.0.cadence_seconds") == 2);
	assert_string_equal(text_at(root, "stations.0.planned"), "arch radar");
	assert_string_equal(text_at(root, "stations.0.services.0"), "_radar._udp");
	assert_string_equal(text_at(root, "findings.0.id"), "device-missing");
	assert_string_equal(text_at(root, "findings.0.severity"), "fault");
	assert_int_equal(json_array_size(at(root, "findings.0.evidence")), 1);
	assert_string_equal(text_at(root, "hypotheses.0.parts.0"), "run W7");
	assert_string_equal(text_at(root, "suspects.0.part"), "run W7");
	assert_true(number_at(root, "suspects.0.probability") == 0.71);
	assert_string_equal(text_at(root, "suspects.0.equals.0"), "port 3 of lower switch");
	assert_int_equal(json_array_size(at(root, "suspects.0.for")), 1);
	assert_int_equal(json_array_size(at(root, "suspects.3.against")), 1);
	assert_string_equal(text_at(root, "next.0.do"), "Light at port 3.");
	assert_int_equal(json_integer_value(at(root, "next.1.minutes")), 2);
	assert_string_equal(text_at(root, "next.1.then"), "jot exchange 3 4");
	assert_int_equal(json_array_size(at(root, "cannot_see")), 4);
	json_decref(root);
}

/* Common practice: what was not counted or is not known is null, not zero. */
static void what_was_not_counted_is_null(void **state)
{
	(void)state;
	struct fl_answer answer = missing_radar();
	answer.seat = NULL;
	json_t *root = read_back(&answer);
	assert_true(null_at(root, "ears.0.errors"));
	assert_true(null_at(root, "heard.place"));
	assert_true(null_at(root, "devices.1.last_heard"));
	assert_true(null_at(root, "devices.1.cadence_seconds"));
	assert_true(null_at(root, "devices.0.silences.0.to"));
	assert_true(null_at(root, "stations.1.planned"));
	assert_true(null_at(root, "next.2.if_better"));
	json_decref(root);
	struct fl_answer_ear ear = { .name = "eth1", .errors_known = true };
	answer.ears = &ear;
	root = read_back(&answer);
	assert_int_equal(json_integer_value(at(root, "ears.0.errors")), 0);
	json_decref(root);
}

/* The sum of all that can be so, in millionths; every number is a whole one. */
static long long millionths(const json_t *root)
{
	const json_t *list = at(root, "hypotheses");
	long long sum = 0;
	for (size_t i = 0; i < json_array_size(list) + 3; i++) {
		static const char *const others[] = { "no_fault", "other", "rest" };
		const double p = 1e6 * (i < 3 ? number_at(root, others[i]) :
			number_at(json_array_get(list, i - 3), "p"));
		assert_true(fabs(p - round(p)) < 1e-4);
		assert_true(p >= 0 && p <= 1e6);
		sum += llround(p);
	}
	return sum;
}

/* Probability: what excludes each other and leaves nothing out adds up to 1. */
static void certainty_adds_up_to_one(void **state)
{
	(void)state;
	enum { MANY = 2999 };
	static struct fl_answer_hypothesis thirds[MANY];
	struct fl_answer answer = missing_radar();
	json_t *root = read_back(&answer);
	assert_int_equal(millionths(root), 1000000);
	assert_true(number_at(root, "hypotheses.0.p") == 0.7);
	assert_true(number_at(root, "rest") == 0.01);
	json_decref(root);
	answer.hypotheses = thirds;
	for (size_t n = 1; n <= MANY; n = n * 3 + 2) {
		for (size_t i = 0; i < n; i++)
			thirds[i].probability = 0.97 * 2 * (double)(i + 1) / (double)(n * (n + 1));
		answer.hypothesis_count = n;
		root = read_back(&answer);
		assert_int_equal(millionths(root), 1000000);
		json_decref(root);
		for (size_t i = 0; i < n; i++)
			thirds[i].probability = 0.97 / (double)n;
		root = read_back(&answer);
		assert_int_equal(millionths(root), 1000000);
		json_decref(root);
	}
}

/* Without a plan nothing is judged: no number then. */
static void without_a_plan_no_probability_is_told(void **state)
{
	(void)state;
	const struct fl_answer answer = no_plan();
	json_t *root = read_back(&answer);
	assert_true(null_at(root, "no_fault"));
	assert_true(null_at(root, "other"));
	assert_true(null_at(root, "rest"));
	assert_int_equal(json_array_size(at(root, "hypotheses")), 0);
	assert_true(json_is_false(at(root, "planned")));
	assert_string_equal(text_at(root, "stations.0.names.0"), "helm-display");
	json_decref(root);
}

static void nothing_at_all_is_still_an_object(void **state)
{
	(void)state;
	const struct fl_answer answer = { 0 };
	json_t *root = read_back(&answer);
	assert_true(null_at(root, "heard.from"));
	assert_int_equal(json_array_size(at(root, "devices")), 0);
	json_decref(root);
}

/* RFC 8259 section 7 for what is escaped, RFC 3629 for what is no UTF-8. */
static void hostile_names_come_back_harmless(void **state)
{
	(void)state;
	static const struct { const char *name, *back; } rows[] = {
		{ "quote \" and \\ ", "quote \" and \\ " },
		{ "</script>", "</script>" },
		{ "\x1b[2J", "?[2J" }, { "\xc2\x9b" "2J", "?2J" }, { "\x7f", "?" },
		{ "\xff", "?" }, { "S\xc3\xa9maphore", "S\xc3\xa9maphore" },
	};
	for (size_t i = 0; i < COUNT(rows); i++) {
		struct fl_answer answer = missing_radar();
		struct fl_answer_device device = scene_devices[0];
		device.name = rows[i].name;
		answer.devices = &device;
		answer.device_count = 1;
		json_t *root = read_back(&answer);
		assert_string_equal(text_at(root, "devices.0.name"), rows[i].back);
		json_decref(root);
	}
}

/* Every key of every object within `value` stands in the manual. */
static void all_are_told(const json_t *value, const char *manual)
{
	const char *key;
	const json_t *member;
	size_t i;
	json_object_foreach((json_t *)(uintptr_t)value, key, member) {
		char row[64];
		(void)snprintf(row, sizeof row, " %s", key);
		const char *found = strstr(manual, row);
		for (; found; found = strstr(found + 1, row))
			if (strchr(" \n", found[strlen(row)]))
				break;
		if (!found)
			fail_msg("fairlead-json(5) does not tell of \"%s\"", key);
		all_are_told(member, manual);
	}
	json_array_foreach(value, i, member)
		all_are_told(member, manual);
}

/* The lines of the manual that name keys, `.It Cm from , to`. */
static void the_manual_tells_of_every_key(void **state)
{
	(void)state;
	static char manual[1 << 16];
	char line[256];
	FILE *page = fopen(FL_TOP "/man/fairlead-json.5", "r");
	assert_non_null(page);
	while (fgets(line, sizeof line, page))
		if (strncmp(line, ".It Cm ", 7) == 0 || strncmp(line, ".Cm ", 4) == 0)
			strcat(manual, strchr(line, ' '));
	fclose(page);
	const struct fl_answer answer = missing_radar();
	json_t *root = read_back(&answer);
	all_are_told(root, manual);
	json_decref(root);
}

/* Common practice: a script that compares two answers sees only what changed. */
static void the_same_answer_is_the_same_text(void **state)
{
	(void)state;
	const struct fl_answer answer = missing_radar();
	struct fl_text a, b;
	assert_true(fl_text_init(&a, 1 << 20) && fl_text_init(&b, 1 << 20));
	assert_true(fl_render_json(&answer, 0, &a) && fl_render_json(&answer, 0, &b));
	assert_string_equal(a.at, b.at);
	assert_memory_equal(a.at, "{\n  \"fairlead\": 1,\n  \"minor\": 0,\n  \"segment\": ", 46);
	fl_text_close(&a);
	fl_text_close(&b);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(holds_every_field_of_the_missing_radar),
		cmocka_unit_test(what_was_not_counted_is_null),
		cmocka_unit_test(certainty_adds_up_to_one),
		cmocka_unit_test(without_a_plan_no_probability_is_told),
		cmocka_unit_test(nothing_at_all_is_still_an_object),
		cmocka_unit_test(hostile_names_come_back_harmless),
		cmocka_unit_test(the_manual_tells_of_every_key),
		cmocka_unit_test(the_same_answer_is_the_same_text),
	};
	return FL_RUN(tests);
}
