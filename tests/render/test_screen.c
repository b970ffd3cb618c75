#define _XOPEN_SOURCE 700   /* wcwidth() */
#include "test.h"

#include "render/scenes.h"
#include "render/screen.h"

#include <locale.h>
#include <wchar.h>

/* To renew tests/golden/screen-*.txt after a change of wording: RENEW=1. */

enum { MOST_COLUMNS = 400, MOST_ROWS = 200, GUARD = 64, GUARDED = 0x2603 };

static struct fl_grid_cell cells[MOST_COLUMNS * MOST_ROWS + GUARD];
static char text[MOST_COLUMNS * MOST_ROWS * 4 + MOST_ROWS];

static const char scene_keys[] = "m mark  n next device  w work on/off  q quit";
static const struct fl_texts scene_events =
	TEXTS("09:14:07 first heard: arch radar.", "09:14:08 first heard: sounder.",
	      "09:14:32 arch radar fell silent.",
	      "09:15:01 mark: seated the plug at the arch bulkhead, then looked at "
	      "the light of port 3 of the lower switch");
static struct fl_answer_port screen_ports[] = {
	{ .name = "eth1", .own = true, .link = true, .mbit = 100, .duplex = FL_DUPLEX_FULL,
	  .flaps_known = true, .flaps = 2, .without_link = 3 * FL_SECOND },
};

/* A grid of this size whose cells behind the last must stay as they are. */
static struct fl_grid grid_of(unsigned columns, unsigned rows)
{
	for (size_t i = 0; i < sizeof cells / sizeof cells[0]; i++)
		cells[i] = (struct fl_grid_cell){ GUARDED, FL_STYLE_ALARM };
	return (struct fl_grid){ columns, rows, cells };
}

static size_t utf8(uint32_t c, char *out)
{
	if (c < 0x80)
		return (void)(out[0] = (char)c), 1;
	const size_t n = c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
	static const uint32_t lead[] = { 0, 0, 0xc0, 0xe0, 0xf0 };
	for (size_t i = n; i-- > 0; c >>= 6)
		out[i] = (char)(i ? 0x80 | (c & 0x3f) : lead[n] | c);
	return n;
}

/* The grid as lines, without the spaces at their ends. */
static const char *as_text(const struct fl_grid *g)
{
	size_t n = 0;
	for (unsigned r = 0; r < g->rows; r++) {
		size_t end = n;
		for (unsigned c = 0; c < g->columns; c++) {
			const uint32_t point = g->cells[r * g->columns + c].point;
			n += point ? utf8(point, text + n) : 0;
			end = point && point != ' ' ? n : end;
		}
		n = end;
		text[n++] = '\n';
	}
	text[n] = '\0';
	return text;
}

/* Every cell holds one printable character of one column, or half of one of
 * two, its other half beside it, as the C library counts; nothing was written
 * behind the last. */
static void well_formed(const struct fl_grid *g)
{
	const size_t n = (size_t)g->columns * g->rows;
	for (size_t i = 0; i < n; i++) {
		const struct fl_grid_cell *c = &g->cells[i];
		const bool last = (i + 1) % g->columns == 0;
		assert_true(c->style < FL_STYLES);
		if (!c->point) {
			assert_true(i % g->columns && g->cells[i - 1].point);
			continue;
		}
		const int width = wcwidth((wchar_t)c->point);
		const bool wide = !last && !g->cells[i + 1].point;
		assert_true(width == 1 || (width == 2 && wide));
	}
	for (size_t i = n; i < n + GUARD; i++)
		assert_true(cells[i].point == GUARDED);
}

static void hold(const char *name, unsigned columns, unsigned rows, const char *got)
{
	static char path[1024], expected[sizeof text];
	(void)snprintf(path, sizeof path, "%s/tests/golden/screen-%s-%ux%u.txt",
		       FL_TOP, name, columns, rows);
	if (getenv("RENEW")) {
		FILE *out = fopen(path, "w");
		assert_non_null(out);
		assert_true(fputs(got, out) >= 0);
		assert_int_equal(fclose(out), 0);
	}
	FILE *in = fopen(path, "r");
	assert_non_null(in);
	expected[fread(expected, 1, sizeof expected - 1, in)] = '\0';
	(void)fclose(in);
	assert_string_equal(got, expected);
}

static const struct { unsigned columns, rows; } sizes[] = {
	{ 60, 20 }, { 80, 24 }, { 200, 60 },
};

static struct fl_screen screen_of(const struct fl_answer *answer)
{
	return (struct fl_screen){
		.answer = answer, .ports = "eth1", .now = answer->to,
		.firm_in = 34 * FL_SECOND, .chosen = -1, .events = &scene_events,
		.keys = scene_keys,
	};
}

/* The text of the screen when it is so. */
static const char *drawn(const struct fl_screen *screen, unsigned columns,
			 unsigned rows)
{
	struct fl_grid grid = grid_of(columns, rows);
	fl_screen_draw(screen, &grid);
	well_formed(&grid);
	return as_text(&grid);
}

static bool holds(const char *whole, const char *part) { return strstr(whole, part); }

/* The scene fairlead was drawn up for; judgement: who, what and where to look
 * stand in the first lines at every size. */
static void the_answer_is_on_top_at_every_size(void **state)
{
	(void)state;
	struct fl_answer answer = missing_radar();
	answer.ports = screen_ports;
	answer.port_count = COUNT(screen_ports);
	struct fl_screen screen = screen_of(&answer);
	for (size_t i = 0; i < COUNT(sizes); i++) {
		const char *got = drawn(&screen, sizes[i].columns, sizes[i].rows);
		hold("missing", sizes[i].columns, sizes[i].rows, got);
		const char *headline = strstr(got, "ARCH RADAR IS MISSING.");
		assert_non_null(headline);
		assert_true(headline - got < 3 * (int)sizes[i].columns);
		assert_true(holds(got, "A silence means something in 34 s."));
		assert_true(holds(got, "in 10  W7: arch radar - arch bulkhead"));
		assert_true(holds(got, "arch radar"));
		assert_true(holds(got, "bad frames not counted"));
		assert_true(holds(got, "Light at port 3."));
		assert_true(holds(got, "fell silent"));
		assert_true(holds(got, scene_keys));
	}
}

static void all_well_is_said_on_top(void **state)
{
	(void)state;
	const struct fl_answer answer = all_well();
	struct fl_screen screen = screen_of(&answer);
	screen.firm_in = 0;
	screen.ends_in = 300 * FL_SECOND;
	for (size_t i = 0; i < COUNT(sizes); i++)
		hold("well", sizes[i].columns, sizes[i].rows,
		     drawn(&screen, sizes[i].columns, sizes[i].rows));
}

/* Judgement: without a plan the stations are the list, and can be chosen. */
static void without_a_plan_the_stations_are_listed(void **state)
{
	(void)state;
	struct fl_answer answer = no_plan();
	struct fl_answer_station stations[COUNT(bare_stations)];
	for (size_t i = 0; i < COUNT(stations); i++) {
		stations[i] = bare_stations[i];
		stations[i].last_heard = answer.to - (fl_time)i * FL_SECOND;
		stations[i].cadence = 0;
	}
	answer.stations = stations;
	struct fl_screen screen = screen_of(&answer);
	screen.firm_in = -1;
	screen.chosen = 0;
	hold("no-plan", 80, 24, drawn(&screen, 80, 24));
	assert_true(holds(text, "> helm-display"));
	assert_true(holds(text, "a silence means nothing yet"));
}

/* Judgement: who is silent from the first and has no cadence takes nothing from
 * what is known of the others. */
static void of_whom_a_silence_means_nothing_is_named(void **state)
{
	(void)state;
	struct fl_answer answer = all_well();
	struct fl_answer_device devices[COUNT(well_devices)];
	memcpy(devices, well_devices, sizeof devices);
	devices[3] = (struct fl_answer_device){ .name = "camera", .state = FL_STATE_UNHEARD };
	answer.devices = devices;
	struct fl_screen screen = screen_of(&answer);
	screen.firm_in = -1;
	assert_true(holds(drawn(&screen, 80, 24), "Of camera, never heard, a silence means "
			  "nothing yet; of others it does."));
	assert_false(holds(text, "Nobody here keeps a beat"));
	for (size_t i = 0; i < COUNT(devices); i++)
		devices[i] = devices[3];
	assert_true(holds(drawn(&screen, 80, 24), "Nobody here keeps a beat"));
	const struct fl_answer bare = no_plan();
	screen = screen_of(&bare);
	screen.firm_in = -1;
	assert_true(holds(drawn(&screen, 80, 24), "A silence of those that keep a beat means"));
}

static void the_chosen_one_is_told_at_length(void **state)
{
	(void)state;
	const struct fl_answer answer = missing_radar();
	struct fl_screen screen = screen_of(&answer);
	screen.chosen = 0;
	screen.working = true;
	screen.status = "The disk is full: marks are no longer kept.";
	screen.typed = "seated the plug";
	hold("chosen", 80, 24, drawn(&screen, 80, 24));
	assert_true(holds(text, "> arch radar"));
	assert_true(holds(text, "MAC 02:1b:c5:00:00:21; address 172.20.0.33."));
	assert_true(holds(text, "Sends every 2 s; heard 25 of 65 due."));
	assert_true(holds(text, "mark: seated the plug_   Enter keeps it, "
				"Esc drops it"));
	assert_true(holds(text, "Work is on"));
	assert_true(holds(text, screen.status));
	assert_false(holds(text, scene_keys));
}

/* A list that is cut says how much is not shown, and what of it is not well;
 * whatever is chosen stands on the screen. */
static void sixty_devices_are_cut_and_counted(void **state)
{
	(void)state;
	enum { MANY = 60 };
	struct fl_answer_device devices[MANY];
	char names[MANY][16];
	for (size_t i = 0; i < MANY; i++) {
		(void)snprintf(names[i], sizeof names[i], "device %02zu", i);
		devices[i] = (struct fl_answer_device){ .name = names[i],
			.state = i % 10 == 9 ? FL_STATE_SILENT : FL_STATE_HEARD };
	}
	struct fl_answer answer = missing_radar();
	answer.devices = devices;
	answer.device_count = MANY;
	struct fl_screen screen = screen_of(&answer);
	screen.events = NULL;
	screen.keys = "q quit";
	for (size_t i = 0; i < COUNT(sizes); i++)
		for (int chosen = -1; chosen < MANY; chosen++) {
			screen.chosen = chosen;
			(void)drawn(&screen, sizes[i].columns, sizes[i].rows);
			unsigned shown = 0, told = 0, ill = 0, n, bad;
			for (const char *at = text; (at = strstr(at, "device ")); at++)
				shown++;
			for (const char *at = text; (at = strstr(at, "fell silent")); at++)
				ill++;
			for (const char *at = text; (at = strstr(at, "  and ")); at++) {
				if (sscanf(at, " and %u more here, %u of them not well.",
					   &n, &bad) == 2 ||
				    sscanf(at, " and %u more here above, %u of them",
					   &n, &bad) == 2)
					ill += bad;
				told += strncmp(strchr(at + 6, ' '), " more here", 10)
					? 0 : n;
			}
			assert_int_equal(shown + told, MANY);
			assert_int_equal(ill, MANY / 10);
			if (chosen >= 0) {
				char line[24];
				(void)snprintf(line, sizeof line, "> %s", names[chosen]);
				assert_true(holds(text, line));
			}
		}
}

/* Below 60 x 20 the headline is what is left, and what to do about it. */
static void a_small_window_asks_to_be_larger(void **state)
{
	(void)state;
	const struct fl_answer answer = missing_radar();
	const struct fl_screen screen = screen_of(&answer);
	const char *got = drawn(&screen, 59, 20);
	assert_true(strncmp(got, "Make the window larger: 60 x 20.\n", 33) == 0);
	assert_true(holds(got, "ARCH RADAR IS MISSING."));
	assert_true(holds(drawn(&screen, 60, 19), "Make the window larger"));
	for (unsigned columns = 0; columns < 60; columns++)
		for (unsigned rows = 0; rows < 20; rows++)
			(void)drawn(&screen, columns, rows);
}

/* Nothing is told by a style alone, but the headline of a fault stands out. */
static void styles_follow_the_words(void **state)
{
	(void)state;
	struct fl_answer answer = missing_radar();
	struct fl_grid grid = grid_of(80, 24);
	struct fl_screen screen = screen_of(&answer);
	fl_screen_draw(&screen, &grid);
	assert_int_equal(grid.cells[80].point, 'A');
	assert_int_equal(grid.cells[80].style, FL_STYLE_ALARM);
	for (unsigned c = 0; c < 80; c++)
		assert_int_equal(grid.cells[23 * 80 + c].style, FL_STYLE_BAR);
	answer = all_well();
	fl_screen_draw(&screen, &grid);
	assert_int_equal(grid.cells[2 * 80].point, 'N');
	assert_int_equal(grid.cells[2 * 80].style, FL_STYLE_STRONG);
}

/* ---- anything at all ---- */

static uint32_t any(uint32_t below)
{
	static uint64_t seed = 20260502;
	seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
	return (uint32_t)(seed >> 33) % below;
}

/* Names that nobody should have: controls, turned directions, wide and
 * combining characters, broken UTF-8, 10 000 of each. */
static const char *bad_name(void)
{
	enum { LONG = 10000 };
	static char longest[3][LONG + 1];
	static const char *const names[] = {
		"", " ", "arch radar", "\x1b[2J\x1b[H", "\xc2\x9b" "2J",
		"bell\a\b\r\n\tname", "\xff\xfe\xc3", "\xe2\x80\xae" "reversed",
		"\xe6\xb8\xaf\xe6\xb8\xaf\xe6\xb8\xaf", "S\xc3\xa9maphore",
		"Se\xcc\x81maphore", "\xcc\x81", "\xcc\x81\xcc\x81 \xcc\x81",
		"100 % %s %n", "\xef\xbf\xbe", "\x7f", "\xe0\xb8\xaa\xe0\xb8\xb1",
		"> not chosen", "    deep", "line\nbreak", "and 3 more here.",
		longest[0], longest[1], longest[2],
	};
	for (size_t i = 0; i + 3 <= LONG; i += 3) {
		memcpy(longest[0] + i, "www", 3);
		memcpy(longest[1] + i, "\xe6\xb8\xaf", 3);
		memcpy(longest[2] + i, i % 6 ? "a\xcc\x81" : "\xcc\x81" "b", 3);
	}
	return names[any(COUNT(names))];
}

enum { SOME = 40 };

static struct fl_answer any_answer(struct fl_answer_device devices[static SOME],
				   struct fl_answer_station stations[static SOME],
				   struct fl_answer_suspect suspects[static SOME],
				   struct fl_answer_port ports[static 5])
{
	struct fl_answer a = any(3) ? missing_radar() : any(2) ? all_well() : no_plan();
	for (size_t i = 0; i < SOME; i++) {
		devices[i] = scene_devices[any(COUNT(scene_devices))];
		devices[i].name = bad_name();
		devices[i].software = any(2) ? bad_name() : NULL;
		devices[i].state = (enum fl_state)any(FL_STATE_REPLACED + 1);
		stations[i] = bare_stations[any(COUNT(bare_stations))];
		stations[i].guess = any(2) ? bad_name() : NULL;
		stations[i].kind = any(2) ? bad_name() : NULL;
		suspects[i] = scene_suspects[any(COUNT(scene_suspects))];
		suspects[i].text = bad_name();
		suspects[i].group = (int)any(6);
	}
	for (size_t i = 0; i < 5; i++)
		ports[i] = (struct fl_answer_port){ .name = bad_name(), .own = any(2),
			.link = any(2), .error_frames = any(2),
			.mbit = any(3) * 1000, .counted = any(1 << FL_COUNTERS),
			.counts = { [FL_COUNT_CRC] = any(9) }, .flaps = any(1u << 30) };
	a.segment = any(2) ? bad_name() : "";
	a.seat = any(2) ? bad_name() : NULL;
	a.what = any(2) ? bad_name() : NULL;
	a.look = any(2) ? bad_name() : NULL;
	a.devices = devices, a.device_count = any(SOME + 1);
	a.stations = stations, a.station_count = any(SOME + 1);
	a.suspects = suspects, a.suspect_count = any(SOME + 1);
	a.ports = ports, a.port_count = any(6);
	return a;
}

/* RFC 3629 and judgement: whatever is said and however large the terminal is,
 * each cell holds a character that takes a cell. */
static void no_answer_breaks_a_cell(void **state)
{
	(void)state;
	struct fl_answer_device devices[SOME];
	struct fl_answer_station stations[SOME];
	struct fl_answer_suspect suspects[SOME];
	struct fl_answer_port ports[5];
	for (int i = 0; i < 500; i++) {
		const struct fl_answer answer =
			any_answer(devices, stations, suspects, ports);
		const char *said[SOME];
		for (size_t k = 0; k < SOME; k++)
			said[k] = bad_name();
		const struct fl_texts events = { said, any(SOME + 1) };
		struct fl_screen screen = {
			.answer = &answer, .ports = any(2) ? bad_name() : NULL,
			.now = answer.to + any(100) * FL_SECOND,
			.firm_in = (fl_time)any(200) * FL_SECOND - 100 * FL_SECOND,
			.chosen = (int)any(SOME + 2) - 1, .working = any(2),
			.typed = any(2) ? bad_name() : NULL,
			.events = any(4) ? &events : NULL,
			.status = any(2) ? bad_name() : NULL,
			.keys = any(2) ? bad_name() : NULL,
		};
		const unsigned columns = any(5) ? 60 + any(341) : any(60);
		const unsigned rows = any(5) ? 20 + any(181) : any(20);
		(void)drawn(&screen, columns, rows);
		const struct fl_wiggle wiggle = {
			.name = bad_name(), .heard = any(2), .ever = any(2),
			.deaf = any(2), .since = (fl_time)any(10000) * FL_SECOND, .losses = any(5),
			.events = &events, .typed = screen.typed, .keys = screen.keys,
		};
		struct fl_grid grid = grid_of(columns, rows);
		fl_wiggle_draw(&wiggle, &grid);
		well_formed(&grid);
	}
}

/* ---- large words ---- */

static const char *wiggled(const struct fl_wiggle *wiggle, unsigned columns,
			   unsigned rows)
{
	struct fl_grid grid = grid_of(columns, rows);
	fl_wiggle_draw(wiggle, &grid);
	well_formed(&grid);
	return as_text(&grid);
}

/* Judgement: a word that is read from a plug away, and the same word plainly
 * where there is no room. */
static void a_device_is_told_in_large_words(void **state)
{
	(void)state;
	struct fl_wiggle w = {
		.name = "arch radar", .heard = true, .ever = true,
		.since = 12 * FL_SECOND, .losses = 3, .longest = 1900 * FL_MILLISECOND,
		.events = &scene_events, .keys = "space mark  q quit",
	};
	for (size_t i = 0; i < COUNT(sizes); i++)
		hold("heard", sizes[i].columns, sizes[i].rows,
		     wiggled(&w, sizes[i].columns, sizes[i].rows));
	w.heard = false;
	hold("lost", 80, 24, wiggled(&w, 80, 24));
	assert_true(holds(text, "Lost for 12 s. Lost 3 times, the longest 1.9 s."));
	w.ever = false;
	w.losses = 0;
	hold("never", 80, 24, wiggled(&w, 80, 24));
	assert_true(holds(text, "Not heard for 12 s."));
	assert_true(holds(wiggled(&w, 30, 8), "NEVER HEARD"));
	assert_true(holds(text, "arch radar"));
	assert_true(holds(text, "space mark"));
	w.ever = w.deaf = true;
	w.losses = 3;
	hold("no-link", 60, 20, wiggled(&w, 60, 20));
	assert_true(holds(text, "The laptop's own link is down. Lost 3 times"));
}

int main(void)
{
	if (!setlocale(LC_CTYPE, "C.UTF-8") || setenv("TZ", "UTC", 1) != 0) {
		fputs("no C.UTF-8 locale: columns cannot be counted\n", stderr);
		return FL_SKIPPED;
	}
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(the_answer_is_on_top_at_every_size),
		cmocka_unit_test(all_well_is_said_on_top),
		cmocka_unit_test(without_a_plan_the_stations_are_listed),
		cmocka_unit_test(of_whom_a_silence_means_nothing_is_named),
		cmocka_unit_test(the_chosen_one_is_told_at_length),
		cmocka_unit_test(sixty_devices_are_cut_and_counted),
		cmocka_unit_test(a_small_window_asks_to_be_larger),
		cmocka_unit_test(styles_follow_the_words),
		cmocka_unit_test(no_answer_breaks_a_cell),
		cmocka_unit_test(a_device_is_told_in_large_words),
	};
	return FL_RUN(tests);
}
