/* scenes.h -- answers made by hand: what diagnose would say of small boats. */
#ifndef FL_TESTS_RENDER_SCENES_H
#define FL_TESTS_RENDER_SCENES_H

#include "render/render.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])
#define TEXTS(...) { (const char *[]){ __VA_ARGS__ }, \
	COUNT(((const char *[]){ __VA_ARGS__ })) }

/* 2026-05-02T09:14:07.120Z */
static const fl_time scene_start = INT64_C(1777713247120) * FL_MILLISECOND;

static const struct fl_mac radar_mac = { { 2, 0x1b, 0xc5, 0, 0, 0x21 } };
static const struct fl_ip radar_ip =
	{ { 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xff, 0xff, 172, 20, 0, 0x21 } };

static struct fl_answer_device scene_devices[] = {
	{ .name = "arch radar", .kind = "radar", .state = FL_STATE_SILENT,
	  .macs = &radar_mac, .mac_count = 1, .addresses = &radar_ip,
	  .address_count = 1, .ever_heard = true, .last_heard = INT64_C(1777713272120) *
	  FL_MILLISECOND, .cadence = 2 * FL_SECOND,
	  .due = 65, .heard = 25, .dropout_count = 1,
	  .loss = { true, 4089, 31, 0.005117, 0.010660, true },
	  .dropouts = &(const struct fl_answer_dropout){ 50 * FL_SECOND, 0, FL_RETURNS } },
	{ .name = "helm display", .state = FL_STATE_HEARD, .due = 130, .heard = 130 },
	{ .name = "sounder", .state = FL_STATE_HEARD, .due = 65, .heard = 65 },
	{ .name = "camera", .state = FL_STATE_HEARD, .due = 65, .heard = 64 },
	{ .name = "pilot gateway", .state = FL_STATE_HEARD },
};
static struct fl_answer_station scene_stations[] = {
	{ .mac = { { 2, 0x1b, 0xc5, 0, 0, 0x21 } }, .planned = "arch radar",
	  .frames = 900, .cadence = 2 * FL_SECOND, .cadence_to_group = true,
	  .services = TEXTS("_radar._udp") },
	{ .mac = { { 2, 0, 0, 0, 0, 0x77 } },
	  .guess = "asks for an address, perhaps a phone" },
};
static struct fl_answer_finding scene_findings[] = {
	{ "device-missing", FL_FAULT, "arch radar", "The arch radar is missing.",
	  TEXTS("It was due 65 times and heard 25 times.") },
};
static struct fl_answer_hypothesis scene_hypotheses[] = {
	{ TEXTS("run W7"), 0.70 }, { TEXTS("port 3 of lower switch"), 0.17 },
	{ TEXTS("device arch radar"), 0.06 }, { TEXTS("run W7", "feed breaker 12"), 0.01 },
	{ TEXTS("feed breaker 12"), 0.03 },
};
static struct fl_answer_suspect scene_suspects[] = {
	{ .part = "run W7", .text = "W7: arch radar - arch bulkhead - lower switch 3",
	  .piece = "cable, plugs or joint", .probability = 0.71, .group = 0,
	  .parted_by = 2, .equals = TEXTS("port 3 of lower switch"),
	  .supports = TEXTS("It lost its link without a restart.") },
	{ .part = "port 3 of lower switch", .text = "port 3 of lower switch",
	  .piece = "port", .probability = 0.17, .group = 0, .parted_by = 2,
	  .equals = TEXTS("run W7") },
	{ .part = "device arch radar", .piece = "device", .probability = 0.08,
	  .text = "the radar, or it was put to sleep at a display", .group = 1 },
	{ .part = "feed breaker 12", .text = "breaker 12, its fuse", .group = 2,
	  .piece = "breaker, fuse or lead", .probability = 0.03,
	  .speaks_against = TEXTS("The camera shares it and is heard.") },
};
static struct fl_answer_step scene_steps[] = {
	{ "Light at port 3.", 1, "Lit: wake the radar at a display.", "Dark: step 2.",
	  "jot light 3 dark", NULL },
	{ "Exchange the plugs of ports 3 and 4.", 2, "Radar back: port 3.",
	  "Camera heard, radar not: W7 or the radar.", "jot exchange 3 4", NULL },
	{ "Open, look, seat: bulkhead, then both plugs.", 10, NULL, NULL,
	  "jot seat W7", NULL },
	{ "Good cable over the deck in place of W7.", 15, NULL, NULL, "jot swap W7", NULL },
};
static struct fl_answer_ear scene_ears[] = {
	{ .name = "eth1", .place = "lower switch port 5", .frames = 48210, .octets = 4000000 },
};

static struct fl_answer_port scene_ports[] = {
	{ .name = "eth1", .own = true, .link = true, .mbit = 100,
	  .duplex = FL_DUPLEX_FULL, .flaps_known = true, .errors_counted = true,
	  .error_frames = 12, .error_low = 1.2857e-4, .error_high = 4.3467e-4,
	  .counted = 1u << FL_COUNT_RECEIVED | 1u << FL_COUNT_SENT | 1u << FL_COUNT_CRC,
	  .counts = { [FL_COUNT_RECEIVED] = 48210, [FL_COUNT_CRC] = 12 } },
};

static const struct fl_texts scene_story =
	TEXTS("Silent since 09:14:32 (80 s); due every 2 s.",
	      "Before that it blinked 3 times for 1 to 2 s without a restart: "
	      "likely it kept its power and lost its link.");
static const struct fl_texts scene_cannot_see =
	TEXTS("bad frames on W7", "volts at the radar", "lights", "menus");

/* The radar of the arch is missing. */
static inline struct fl_answer missing_radar(void)
{
	return (struct fl_answer){
		.segment = "Storm Petrel", .seat = "lower switch 5",
		.planned = true, .wired = true, .firm = true, .live = true,
		.anything_heard = true, .from = scene_start,
		.to = scene_start + 130 * FL_SECOND, .listened = 130 * FL_SECOND,
		.frames = 48210, .what = "arch radar is missing",
		.look = "cable W7, its plugs, the arch bulkhead",
		.story = scene_story,
		.ears = scene_ears, .ear_count = COUNT(scene_ears),
		.ports = scene_ports, .port_count = COUNT(scene_ports),
		.devices = scene_devices, .device_count = COUNT(scene_devices),
		.stations = scene_stations, .station_count = COUNT(scene_stations),
		.findings = scene_findings, .finding_count = COUNT(scene_findings),
		.no_fault = 0.01, .other = 0.01, .rest = 0.01,
		.hypotheses = scene_hypotheses, .hypothesis_count = COUNT(scene_hypotheses),
		.suspects = scene_suspects, .suspect_count = COUNT(scene_suspects),
		.steps = scene_steps, .step_count = COUNT(scene_steps),
		.cannot_see = scene_cannot_see,
	};
}

/* Five devices of the plan, all heard, for 44 s. */
static struct fl_ip well_ip[] = {
	{ { 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xff, 0xff, 172, 20, 0, 21 } },
	{ { 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xff, 0xff, 172, 20, 0, 11 } },
	{ { 0xfe, 0x80, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1 } },
};
static struct fl_answer_device well_devices[] = {
	{ .name = "arch radar", .due = 22, .heard = 22, .addresses = &well_ip[0],
	  .address_count = 1 },
	{ .name = "helm display", .due = 44, .heard = 44, .addresses = &well_ip[1],
	  .address_count = 2 },
	{ .name = "sounder", .due = 22, .heard = 21, .addresses = &well_ip[2],
	  .address_count = 1 },
	{ .name = "camera", .due = 9, .heard = 9 },
	{ .name = "pilot gateway" },
};
static struct fl_answer_ear well_ears[] = {
	{ .name = "eth1", .frames = 17020, .own = 12 },
};
static const struct fl_texts well_cannot_see =
	TEXTS("bad frames on other runs", "volts", "lights", "menus");

static inline struct fl_answer all_well(void)
{
	return (struct fl_answer){
		.segment = "Storm Petrel", .seat = "lower switch 5",
		.planned = true, .wired = true, .firm = true, .live = true,
		.anything_heard = true, .from = scene_start,
		.to = scene_start + 44 * FL_SECOND, .listened = 44 * FL_SECOND,
		.frames = 17020, .what = "nothing wrong heard", .no_fault = 1,
		.ears = well_ears, .ear_count = COUNT(well_ears),
		.devices = well_devices, .device_count = COUNT(well_devices),
		.cannot_see = well_cannot_see,
	};
}

/* Three stations on a segment of which nobody wrote a plan. */
static struct fl_answer_station bare_stations[] = {
	{ .mac = { { 2, 0, 0, 0, 0, 1 } }, .names = TEXTS("helm-display"),
	  .kind = "display", .cadence = FL_SECOND, .addresses = &well_ip[1],
	  .address_count = 1, .services = TEXTS("_http._tcp", "_ssh._tcp") },
	{ .mac = { { 2, 0, 0, 0, 0, 2 } }, .cadence = 2 * FL_SECOND },
	{ .mac = { { 2, 0, 0, 0, 0, 3 } }, .guess = "perhaps a phone" },
};

static inline struct fl_answer no_plan(void)
{
	return (struct fl_answer){
		.segment = "", .anything_heard = true, .from = scene_start,
		.to = scene_start + 44 * FL_SECOND, .listened = 44 * FL_SECOND,
		.what = "3 stations are here", .stations = bare_stations,
		.station_count = COUNT(bare_stations), .ears = well_ears,
		.ear_count = COUNT(well_ears),
	};
}

#endif
