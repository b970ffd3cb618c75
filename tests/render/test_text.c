#define _XOPEN_SOURCE 700   /* wcwidth() */
#include "test.h"

#include "render/scenes.h"

#include <locale.h>
#include <wchar.h>

static struct fl_text out;

static const char *laid_out(const struct fl_answer *answer)
{
	fl_text_close(&out);
	assert_true(fl_text_init(&out, 1 << 20));
	assert_true(fl_render(answer, "text", 0, &out));
	return out.at;
}

static int close_out(void **state)
{
	(void)state;
	fl_text_close(&out);
	return 0;
}

/* Columns as the C library counts them, none of whose tables render uses. */
static size_t columns_of(const char *line, size_t n)
{
	size_t columns = 0;
	mbstate_t shift = { 0 };
	while (n) {
		wchar_t c;
		const size_t size = mbrtowc(&c, line, n, &shift);
		assert_true(size && size <= n);   /* valid UTF-8 */
		const int width = wcwidth(c);
		assert_true(width >= 0);          /* no control character */
		columns += (size_t)width;
		line += size;
		n -= size;
	}
	return columns;
}

/* No line is over 80 columns wide, ends in a space or moves the cursor, and
 * no two empty lines follow each other. Returns how many there are. */
static size_t lines_within(const char *text, size_t columns)
{
	size_t lines = 0;
	while (*text) {
		const size_t n = strcspn(text, "\n");
		assert_true(columns_of(text, n) <= columns);
		assert_true(!n || text[n - 1] != ' ');
		assert_int_equal(text[n], '\n');
		assert_false(n == 0 && text[1] == '\n');
		text += n + 1;
		lines++;
	}
	return lines;
}

static size_t well_formed_lines(const char *text)
{
	return lines_within(text, 80);
}

static bool holds(const char *text, const char *part) { return strstr(text, part); }

/* As holds(), wherever the lines break. */
static bool says(const char *text, const char *part)
{
	char *flat = strdup(text);
	assert_non_null(flat);
	for (char *c = flat; *c; c++)
		*c = *c == '\n' ? ' ' : *c;
	const bool found = holds(flat, part);
	free(flat);
	return found;
}

static size_t times(const char *text, const char *part)
{
	size_t n = 0;
	for (const char *at = text; (at = strstr(at, part)); at++)
		n++;
	return n;
}

/* The scene fairlead was drawn up for: common practice. */
static void lays_out_a_missing_radar(void **state)
{
	(void)state;
	struct fl_answer answer = missing_radar();
	struct fl_answer_port whole = scene_ports[0];
	whole.error_frames = 0;
	answer.ports = &whole;
	assert_string_equal(laid_out(&answer),
"Storm Petrel: heard 2 min 10 s at lower switch 5. fairlead sent nothing.\n"
"\n"
"ARCH RADAR IS MISSING.  Look first at cable W7, its plugs, the arch bulkhead.\n"
"\n"
"Silent since 09:14:32 (80 s); due every 2 s. Before that it blinked 3 times for\n"
"1 to 2 s without a restart: likely it kept its power and lost its link.\n"
"\n"
"  these 2 sound the same from here; step 2 parts them:\n"
"    7 in 10  W7: arch radar - arch bulkhead - lower switch 3\n"
"    2 in 10  port 3 of lower switch\n"
"  1 in 10  the radar, or it was put to sleep at a display\n"
"  hardly   breaker 12, its fuse. The camera shares it and is heard.\n"
"\n"
"DO NEXT                                                    then tell me\n"
"  1  Light at port 3.                               1 min  jot light 3 dark\n"
"     Lit: wake the radar at a display. Dark: step 2.\n"
"  2  Exchange the plugs of ports 3 and 4.           2 min  jot exchange 3 4\n"
"     Radar back: port 3. Camera heard, radar not: W7 or the radar.\n"
"  3  Open, look, seat: bulkhead, then both plugs.  10 min  jot seat W7\n"
"  4  Good cable over the deck in place of W7.      15 min  jot swap W7\n"
"\n"
"Heard without a gap: helm display, sounder, camera, pilot gateway (4 of 5).\n"
"Not in the plan: 1 (asks for an address, perhaps a phone).\n"
"From here I cannot see: bad frames on W7, volts at the radar, lights, menus.\n");
	assert_true(well_formed_lines(out.at) <= 24);
}

/* Judgement: a terminal of 60 columns folds nothing by itself, and what is
 * narrower gets lines of 60; the words are the same at every width. */
static void a_narrow_terminal_gets_narrow_lines(void **state)
{
	(void)state;
	static const struct { size_t asked, columns; } rows[] = {
		{ 0, 80 }, { 1000, 80 }, { 79, 79 }, { 70, 70 }, { 60, 60 }, { 10, 60 },
	};
	const struct fl_answer scenes[] = { missing_radar(), all_well(), no_plan() };
	for (size_t k = 0; k < COUNT(scenes); k++)
		for (size_t i = 0; i < COUNT(rows); i++) {
			fl_text_close(&out);
			assert_true(fl_text_init(&out, 1 << 20));
			assert_true(fl_render(&scenes[k], "text", rows[i].asked, &out));
			assert_true(lines_within(out.at, rows[i].columns) > 4);
			assert_non_null(strstr(out.at, k ? "helm" : "jot exchange 3 4"));
		}
	assert_non_null(strstr(out.at, "02:00:00:00:00:02"));
}

/* Common practice: silence of a fault is no proof, so the answer says how
 * long it speaks for, and what was not counted is not zero. */
static void lays_out_a_boat_with_nothing_wrong(void **state)
{
	(void)state;
	const struct fl_answer answer = all_well();
	assert_string_equal(laid_out(&answer),
"Storm Petrel: heard 44 s at lower switch 5. fairlead sent nothing.\n"
"\n"
"NOTHING WRONG HEARD.  All 5 devices of the plan are here.\n"
"\n"
"  arch radar                172.20.0.21        heard 22 of 22 due\n"
"  helm display              172.20.0.11        heard 44 of 44 due\n"
"  sounder                   fe80::1            heard 21 of 22 due\n"
"  camera                    -                  heard 9 of 9 due\n"
"  pilot gateway             -                  heard, no cadence known\n"
"\n"
"On eth1: 17020 frames, damaged ones not counted, 12 sent by the laptop's system.\n"
"This speaks for 44 s and for the way to this port.\n"
"From here I cannot see: bad frames on other runs, volts, lights, menus.\n");
	assert_true(well_formed_lines(out.at) <= 24);
}

/* Common practice: without a plan nobody can be missed. */
static void without_a_plan_it_says_who_is_here_and_not_that_all_is_well(void **state)
{
	(void)state;
	const struct fl_answer answer = no_plan();
	assert_string_equal(laid_out(&answer),
"Heard 44 s at a place not told, from a capture.\n"
"\n"
"3 STATIONS ARE HERE.\n"
"\n"
"  WHO IS HERE               address            says it is                  every\n"
"  helm-display              172.20.0.11        display, _http._tcp,          1 s\n"
"                                               _ssh._tcp\n"
"  02:00:00:00:00:02         -                  -                             2 s\n"
"  02:00:00:00:00:03         -                  perhaps a phone                 -\n"
"\n"
"On eth1: 17020 frames, damaged ones not counted, 12 sent by the laptop's system.\n"
"Captured from 2026-05-02T09:14:07.120Z on.\n");
	well_formed_lines(out.at);
}

/* Common practice: a file cannot tell what the port sent. */
static void a_capture_makes_no_claim_about_the_port(void **state)
{
	(void)state;
	struct fl_answer answer = missing_radar();
	answer.live = false;
	laid_out(&answer);
	assert_false(holds(out.at, "sent nothing"));
	assert_true(holds(out.at, "from a capture."));
	answer = all_well();
	answer.live = false;
	laid_out(&answer);
	assert_false(holds(out.at, "sent nothing"));
	assert_true(holds(out.at, "the way to where it was captured"));
}

/* Common practice: an answer that is not firm is never "all are here". */
static void what_is_not_firm_is_not_called_whole(void **state)
{
	(void)state;
	struct fl_answer answer = all_well();
	answer.firm = false;
	assert_false(holds(laid_out(&answer), "of the plan are here"));
	answer = all_well();
	struct fl_answer_finding doubt = { "loss", FL_DOUBT, "camera", "Frames are lost.",
					   { NULL, 0 } };
	answer.findings = &doubt;
	answer.finding_count = 1;
	assert_false(holds(laid_out(&answer), "of the plan are here"));
	assert_true(holds(out.at, "Also: Frames are lost."));
}

/* Half of one in a hundred is told in hundreds, rarer in more; what a finding
 * tells has no line of its own, and what lost nothing neither. */
static void losses_are_told_of_so_many_as_can_be_read(void **state)
{
	(void)state;
	const struct { double low, high; const char *text; } rows[] = {
		{ 0.09, 0.12, "(9 to 12 in 100)" }, { 0.5, 1, "(50 to 100 in 100)" },
		{ 0.0015, 0.0042, "(1.5 to 4.2 in 1000)" },
		{ 0.00002, 0.0004, "(0.2 to 4 in 10000)" },
		{ 0.000002, 0.00001, "(2 to 10 in 1000000)" },
	};
	struct fl_answer answer = all_well();
	struct fl_answer_device camera = { .name = "camera", .state = FL_STATE_HEARD };
	answer.devices = &camera;
	answer.device_count = 1;
	for (size_t i = 0; i < COUNT(rows); i++) {
		camera.loss = (struct fl_answer_loss){ true, 90, 7, rows[i].low,
			rows[i].high, false };
		assert_true(holds(laid_out(&answer), "Lost on the way: camera 7 of 97 frames"));
		assert_true(holds(out.at, rows[i].text));
	}
	struct fl_answer_finding found = { "frames-lost", FL_DOUBT, "camera",
		"camera: 7 of 97 frames (9 to 12 in 100) missing.", { NULL, 0 } };
	answer.findings = &found;
	answer.finding_count = 1;
	assert_false(holds(laid_out(&answer), "Lost on the way"));
	answer.finding_count = 0;
	camera.loss.missed = 0;
	assert_false(holds(laid_out(&answer), "Lost on the way"));
}

static void nothing_at_all_is_still_laid_out(void **state)
{
	(void)state;
	const struct fl_answer answer = { 0 };
	laid_out(&answer);
	assert_true(holds(out.at, "Heard 0 s"));
	assert_true(well_formed_lines(out.at) >= 1);
}

/* What, where and next stand in the first three lines, also where a name is
 * too long for the first. */
static void the_first_three_lines_hold_where_what_and_next(void **state)
{
	(void)state;
	struct fl_answer answer = missing_radar();
	answer.seat = "in place of the display on the upper steering stand";
	const char *line = laid_out(&answer);
	assert_memory_equal(line, "Storm Petrel: heard 2 min 10 s in place of the", 46);
	for (int i = 0; i < 2; i++)
		line = strchr(line, '\n') + 1;
	assert_memory_equal(line, "ARCH RADAR IS MISSING.  Look first at cable W7", 46);
	well_formed_lines(out.at);
}

static unsigned tenths_shown(const char *text)
{
	unsigned sum = 0;
	for (const char *at = text; (at = strstr(at, " in 10  ")); at++)
		sum += (unsigned)(at[-1] - '0');
	return sum;
}

/* Arithmetic: tenths rounded one by one would add up to 12 and to 11. */
static void tenths_never_add_up_to_more_than_ten(void **state)
{
	(void)state;
	static const double lists[][4] = {
		{ 0.55, 0.15, 0.15, 0.15 }, { 0.36, 0.36, 0.18, 0.10 },
		{ 0.25, 0.25, 0.25, 0.25 }, { 0.97, 0.01, 0.01, 0.01 },
		{ 0.85, 0.06, 0.06, 0.03 }, { 0, 0, 0, 0 }, { 0.09, 0.09, 0.06, 0.05 },
	};
	struct fl_answer answer = missing_radar();
	struct fl_answer_suspect suspects[4];
	memcpy(suspects, scene_suspects, sizeof suspects);
	answer.suspects = suspects;
	for (size_t i = 0; i < COUNT(lists); i++) {
		for (size_t k = 0; k < 4; k++)
			suspects[k].probability = lists[i][k];
		assert_true(tenths_shown(laid_out(&answer)) <= 10);
	}
}

/* Common practice: what is equally likely is shown as equally likely. */
static void equals_are_shown_equal(void **state)
{
	(void)state;
	struct fl_answer answer = missing_radar();
	struct fl_answer_suspect suspects[4];
	memcpy(suspects, scene_suspects, sizeof suspects);
	for (size_t k = 0; k < 4; k++)
		suspects[k].probability = 0.2375;
	answer.suspects = suspects;
	laid_out(&answer);
	assert_int_equal(times(out.at, "2 in 10  "), 4);
}

/* A group whose members lie apart in the list is still shown as one. */
static void gathers_those_that_sound_the_same(void **state)
{
	(void)state;
	struct fl_answer answer = missing_radar();
	struct fl_answer_suspect suspects[4];
	memcpy(suspects, scene_suspects, sizeof suspects);
	suspects[0].group = suspects[3].group = 7;
	suspects[0].parted_by = 0;
	suspects[1].group = 8;
	answer.suspects = suspects;
	assert_true(holds(laid_out(&answer),
"  these 2 sound the same from here:\n"
"    7 in 10  W7: arch radar - arch bulkhead - lower switch 3\n"
"    hardly   breaker 12, its fuse. The camera shares it and is heard.\n"
"  2 in 10  port 3 of lower switch\n"));
}

/* Common practice: no fault is left unsaid, and none is said twice. */
static void tells_every_finding_that_the_headline_does_not(void **state)
{
	(void)state;
	struct fl_answer_finding all[] = {
		{ "device-missing", FL_FAULT, "arch radar", "It is missing.", { 0 } },
		{ "device-missing", FL_FAULT, "camera", "The camera is missing.", { 0 } },
		{ "device-comes-and-goes", FL_DOUBT, "arch radar", "It blinks.", { 0 } },
		{ "traffic-storm", FL_FAULT, "", "A storm blows.", { 0 } },
		{ "not-in-plan", FL_REMARK, "02:00:00:00:00:77", "A stranger.", { 0 } },
	};
	struct fl_answer answer = missing_radar();
	answer.findings = all;
	answer.finding_count = COUNT(all);
	laid_out(&answer);
	assert_false(holds(out.at, "It is missing."));
	assert_false(holds(out.at, "A stranger."));
	assert_int_equal(times(out.at, "Also: "), 3);
	answer.what = "A storm blows";
	laid_out(&answer);
	assert_false(holds(out.at, "Also: A storm blows."));
	assert_int_equal(times(out.at, "Also: "), 3);
	assert_true(holds(out.at, "Fell silent: arch radar (1 of 5)."));
}

/* Common practice: where no fault is likely, the list must say so. */
static void a_doubt_says_that_nothing_may_be_wrong(void **state)
{
	(void)state;
	struct fl_answer answer = missing_radar();
	struct fl_answer_suspect one = scene_suspects[0];
	one.probability = 0.3;
	answer.suspects = &one;
	answer.suspect_count = 1;
	answer.no_fault = 0.6;
	answer.other = 0.1;
	laid_out(&answer);
	assert_true(holds(out.at, "  6 in 10  no part at fault: missed by chance\n"));
	assert_true(holds(out.at, "  1 in 10  something that is not in the plan\n"));
}

static void says_each_caution_once(void **state)
{
	(void)state;
	static const char danger[] = "The radar turns and radiates: switch it off first.";
	struct fl_answer answer = missing_radar();
	struct fl_answer_step steps[8];
	for (size_t i = 0; i < COUNT(steps); i++) {
		steps[i] = scene_steps[i % 4];
		steps[i].caution = danger;
	}
	steps[7].caution = "Clip on before you climb.";
	answer.steps = steps;
	answer.step_count = COUNT(steps);
	laid_out(&answer);
	assert_int_equal(times(out.at, "radiates"), 1);
	assert_int_equal(times(out.at, "Take care: "), 1);
	assert_true(says(out.at, "Clip on before you climb."));   /* its step is folded */
	assert_true(holds(out.at, "and 3 more; --json lists all."));
}

/* Judgement: a switch's port is told where it is in trouble, and what it does not
 * count is never zero; the laptop's own always, where all is well. */
static void says_what_each_port_counted(void **state)
{
	(void)state;
	struct fl_answer answer = all_well();
	struct fl_answer_port ports[] = {
		{ .name = "eth1", .own = true, .link = true },
		{ .name = "port 3 of lower switch", .station = "radar", .flaps_known = true,
		  .flaps = 2, .without_link = 3 * FL_SECOND },
		{ .name = "port 4 of lower switch", .flaps_known = true, .link = true },
	};
	answer.ports = ports;
	answer.port_count = COUNT(ports);
	laid_out(&answer);
	assert_true(says(out.at, "Own link eth1: speed not told, losses not counted; "
				 "damaged frames not counted by this adapter."));
	assert_true(says(out.at, "At port 3 of lower switch, to radar: no link now, lost 2 "
				 "times (3 s); damaged frames not counted by this switch."));
	assert_false(holds(out.at, "port 4"));
	ports[0].errors_counted = true;
	ports[0].counted = 1u << FL_COUNT_CRC | 1u << FL_COUNT_ALIGNMENT;
	ports[0].counts[FL_COUNT_RECEIVED] = 48198;
	ports[0].counts[FL_COUNT_CRC] = ports[0].counts[FL_COUNT_ALIGNMENT] = 6;
	ports[0].error_frames = 12;
	ports[0].error_low = 1.2862e-4;
	ports[0].error_high = 4.3475e-4;
	laid_out(&answer);
	assert_true(says(out.at, "12 of 48210 frames damaged: 1.3 to 4.3 in 10 000 (6 frames "
				 "with a bad check sum, 6 frames not of whole octets)."));
}

static void says_what_the_listening_missed(void **state)
{
	(void)state;
	struct fl_answer answer = missing_radar();
	struct fl_answer_ear ear = { .name = "eth1", .frames = 10, .errors = 3,
				     .errors_known = true, .lost = 4,
				     .error_low = 0.06674, .error_high = 0.6525 };
	const char *warning = "night.pcapng was cut at octet 4096.";
	answer.ears = &ear;
	answer.clock_moved = -192 * FL_MINUTE;
	answer.warnings = (struct fl_texts){ &warning, 1 };
	laid_out(&answer);
	assert_true(holds(out.at, "On eth1: 3 of 10 frames damaged: 6.7 to 65 in 100, 4 lost by the laptop."));
	assert_true(says(out.at, "The clock was moved by -3 h 12 min meanwhile."));
	assert_true(holds(out.at, "Input: night.pcapng was cut at octet 4096."));
}

enum { MANY = 200 };
static struct fl_answer_device many_devices[MANY];
static struct fl_answer_station many_stations[MANY];
static struct fl_answer_finding many_findings[MANY];
static struct fl_answer_suspect many_suspects[MANY];
static const char *many_texts[MANY];

/* A boat of n devices that are all called `name`, and as many of all else. */
static struct fl_answer crowd(size_t n, const char *name, enum fl_state state)
{
	struct fl_answer answer = missing_radar();
	for (size_t i = 0; i < n; i++) {
		many_devices[i] = (struct fl_answer_device){ .name = name, .state = state,
			.due = 22, .heard = 22 };
		many_stations[i] = (struct fl_answer_station){ .guess = name,
			.names = { &many_texts[i], 1 }, .kind = name, .model = name,
			.services = { many_texts, n } };
		many_findings[i] = (struct fl_answer_finding){ "device-missing", FL_FAULT,
			name, name, { many_texts, n } };
		many_suspects[i] = (struct fl_answer_suspect){ .part = name, .text = name,
			.probability = 1.0 / (double)n, .group = (int)i / 3,
			.speaks_against = { many_texts, n } };
		many_texts[i] = name;
	}
	answer.segment = answer.seat = answer.what = answer.look = name;
	answer.devices = many_devices;
	answer.stations = many_stations;
	answer.findings = many_findings;
	answer.suspects = many_suspects;
	answer.device_count = answer.station_count = n;
	answer.finding_count = answer.suspect_count = n;
	answer.story = answer.cannot_see = (struct fl_texts){ many_texts, 3 };
	answer.warnings = answer.cautions = (struct fl_texts){ many_texts, n };
	return answer;
}

static void folds_sixty_devices(void **state)
{
	(void)state;
	struct fl_answer answer = crowd(60, "cabin light", FL_STATE_HEARD);
	answer.station_count = answer.suspect_count = answer.finding_count = 0;
	answer.warnings.n = answer.cautions.n = answer.step_count = 0;
	answer.look = NULL;
	laid_out(&answer);
	assert_true(holds(out.at, "  All 60 devices of the plan are here.\n"));
	assert_true(holds(out.at, "  and 46 more, all heard; --json lists all.\n"));
	assert_true(well_formed_lines(out.at) <= 30);
	answer = crowd(60, "cabin light", FL_STATE_ABSENT);
	laid_out(&answer);
	for (size_t i = 0; i < 60; i++)
		many_findings[i].subject = "";
	answer.what = "much is wrong";
	laid_out(&answer);
	assert_true(holds(out.at, "and 54 more findings; --json lists all.\n"));
	assert_true(holds(out.at, "; and 56 more).\n"));
	well_formed_lines(out.at);
}

/* The newest say most: judgement. */
static void shows_the_last_six_episodes(void **state)
{
	(void)state;
	struct fl_answer_episode episodes[8] = { { .text = "The first." } };
	struct fl_answer answer = crowd(2, "cabin light", FL_STATE_HEARD);
	for (size_t i = 1; i < 8; i++)
		episodes[i].text = "The others.";
	episodes[2].text = "The third.";
	answer.episodes = episodes;
	answer.episode_count = 8;
	laid_out(&answer);
	assert_true(holds(out.at, "WHAT HAPPENED\n     and 2 more before; --json lists all.\n"
			  "     The third.\n     The others.\n"));
	assert_false(holds(out.at, "The first."));
	well_formed_lines(out.at);
}

/* RFC 3629 section 4 for what is no UTF-8; ECMA-48 section 5.4 (from memory):
 * ESC [ and the single character 9b begin an order to the terminal. */
static void no_name_moves_the_cursor_or_breaks_a_line(void **state)
{
	(void)state;
	static char long_word[256], long_wide[256], long_spaces[256];
	memset(long_word, 'w', 255);
	memset(long_spaces, ' ', 254);
	long_spaces[254] = 'x';
	for (size_t i = 0; i + 3 <= 255; i += 3)
		memcpy(long_wide + i, "\xe6\xb8\xaf", 3);   /* U+6E2F, wide */
	static const char *const names[] = {
		"", " ", "a", "\x1b[2J\x1b[H", "\xc2\x9b" "2J", "bell\a\b\r\n\tname",
		"\xff\xfe\xc3", "\xe2\x80\xae" "reversed", "\xf0\x9f\x93\xa1 mast",
		"S\xc3\xa9maphore", "100 % %s %n", "\xef\xbf\xbe", "\x7f",
		long_word, long_wide, long_spaces,
	};
	for (size_t i = 0; i < COUNT(names); i++)
		for (int s = FL_STATE_HEARD; s <= FL_STATE_REPLACED; s++) {
			struct fl_answer answer = crowd(MANY, names[i], (enum fl_state)s);
			well_formed_lines(laid_out(&answer));
			answer.planned = s % 2;
			answer.look = NULL;
			answer.finding_count = answer.story.n = 0;
			well_formed_lines(laid_out(&answer));
		}
}

/* RFC 3629 section 3: a character is never parted, however long its word. */
static void long_words_are_cut_between_characters(void **state)
{
	(void)state;
	enum { CHARACTERS = 300 };
	char word[2 + 3 * CHARACTERS + 1] = "ab";
	for (size_t i = 0; i < CHARACTERS; i++)
		memcpy(word + 2 + 3 * i, "\xe6\xb8\xaf", 3);
	struct fl_answer answer = missing_radar();
	answer.look = word;
	laid_out(&answer);
	well_formed_lines(out.at);
	assert_false(holds(out.at, "?"));
	assert_int_equal(times(out.at, "\xe6\xb8\xaf"), CHARACTERS);
}

/* A name in another script is upper-cased where it is ASCII, and kept whole. */
static void keeps_names_in_other_scripts(void **state)
{
	(void)state;
	struct fl_answer answer = missing_radar();
	answer.what = "s\xc3\xa9maphore is missing";
	assert_true(holds(laid_out(&answer), "S\xc3\xa9MAPHORE IS MISSING."));
}

static void refuses_an_unknown_output_and_a_full_builder(void **state)
{
	(void)state;
	const struct fl_answer answer = missing_radar();
	struct fl_text text;
	assert_true(fl_text_init(&text, 100));
	assert_false(fl_render(&answer, "paper", 0, &text));
	assert_int_equal(text.n, 0);
	for (const struct fl_renderer *r = fl_renderers; r->name; r++) {
		assert_false(fl_render(&answer, r->name, 0, &text));
		assert_true(text.n <= 100);
		assert_true(strlen(r->sentence) > 0);
	}
	fl_text_close(&text);
}

int main(void)
{
	if (!setlocale(LC_CTYPE, "C.UTF-8")) {
		fputs("no C.UTF-8 locale: columns cannot be counted\n", stderr);
		return FL_SKIPPED;
	}
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(lays_out_a_missing_radar),
		cmocka_unit_test(lays_out_a_boat_with_nothing_wrong),
		cmocka_unit_test(without_a_plan_it_says_who_is_here_and_not_that_all_is_well),
		cmocka_unit_test(a_capture_makes_no_claim_about_the_port),
		cmocka_unit_test(a_narrow_terminal_gets_narrow_lines),
		cmocka_unit_test(what_is_not_firm_is_not_called_whole),
		cmocka_unit_test(losses_are_told_of_so_many_as_can_be_read),
		cmocka_unit_test(nothing_at_all_is_still_laid_out),
		cmocka_unit_test(the_first_three_lines_hold_where_what_and_next),
		cmocka_unit_test(tenths_never_add_up_to_more_than_ten),
		cmocka_unit_test(equals_are_shown_equal),
		cmocka_unit_test(gathers_those_that_sound_the_same),
		cmocka_unit_test(tells_every_finding_that_the_headline_does_not),
		cmocka_unit_test(a_doubt_says_that_nothing_may_be_wrong),
		cmocka_unit_test(says_each_caution_once),
		cmocka_unit_test(says_what_each_port_counted),
		cmocka_unit_test(says_what_the_listening_missed),
		cmocka_unit_test(folds_sixty_devices),
		cmocka_unit_test(shows_the_last_six_episodes),
		cmocka_unit_test(no_name_moves_the_cursor_or_breaks_a_line),
		cmocka_unit_test(long_words_are_cut_between_characters),
		cmocka_unit_test(keeps_names_in_other_scripts),
		cmocka_unit_test(refuses_an_unknown_output_and_a_full_builder),
	};
	return cmocka_run_group_tests(tests, NULL, close_out);
}
