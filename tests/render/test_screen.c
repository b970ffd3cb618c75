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
	      "09:14:32 arch radar fell silent.", "09:15:01 mark: seated the plug at "
	      "the arch bulkhead, then looked at the light of port 3 of the lower switch");
static struct fl_answer_port screen_ports[] = {
	{ .name = "eth1", .link = true, .mbit = 100, .duplex = FL_DUPLEX_FULL,
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
		.answer = answer, .ports = "eth1, ring 64 MiB", .now = answer->to,
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

int main(void)
{
	if (!setlocale(LC_CTYPE, "C.UTF-8") || setenv("TZ", "UTC", 1) != 0) {
		fputs("no C.UTF-8 locale: columns cannot be counted\n", stderr);
		return FL_SKIPPED;
	}
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(the_answer_is_on_top_at_every_size),
	};
	return FL_RUN(tests);
}
