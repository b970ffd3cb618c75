/* test_lab_events.c -- every capture of the lab boat, scored against its marks:
 * who starts, who falls, and what a managed switch tells of its ports. A row of
 * the score is printed for each. Skipped where the folder is not there. */
#include "marks.h"

#include "diagnose/diagnose.h"
#include "source/capfile.h"
#include "tally/tally.h"

#include <unistd.h>

enum { STARTS = 256 };

static const char *const devices[] = { "display", "radar", "sounder", "camera" };

/* Who may be told to have been away in the captures as they are, and the mark
 * it began after; lab: of nobody else was anything done. */
static const struct row {
	const char *file;
	const char *falls, *mark;
} rows[] = {
	{ "baseline", NULL, NULL },
	{ "boot", NULL, NULL },
	{ "dhcp2", NULL, NULL },
	{ "dhcp2_switched", NULL, NULL },
	{ "dupip", NULL, NULL },
	{ "flap", "sounder", "flap down" },
	{ "laptop_pull", NULL, NULL },
	{ "loss", NULL, NULL },
	{ "ovs-rstp-lldp-sflow", NULL, NULL },
	{ "pull", "radar", "pull" },
	{ "pull_stp", "radar", "pull" },
	{ "reboot_clean", "sounder", "shutdown" },
	{ "reboot_full", "radar", "power cut" },
	{ "reboot_linkup", "display", "warm reboot" },
};

/* The ledger's observer, and on the way each sign of a stack that starts. */
struct ears {
	struct fl_ledger *ledger;
	struct { struct fl_mac mac; fl_time at; } starts[STARTS];
	size_t start_count;
};

static void observe(void *context, const struct fl_observation *o)
{
	struct ears *ears = context;
	const struct fl_observer ledger = fl_ledger_observer(ears->ledger);
	if (o->kind == FL_OBSERVED_SIGN && o->sign.kind == FL_FACT_STARTING &&
	    o->sign.aspect == FL_BY_STACK && ears->start_count < STARTS) {
		ears->starts[ears->start_count].mac = o->sign.mac;
		ears->starts[ears->start_count++].at = o->from;
	}
	ledger.observe(ledger.context, o);
}

static void hear(const char *file, struct ears *ears)
{
	char path[512];
	struct fl_error error = { 0 };
	snprintf(path, sizeof path, FL_SHARED "/lab/%s.pcap", file);
	*ears = (struct ears){ .ledger = fl_ledger_new() };
	struct fl_tally *tally = fl_tally_new(file, NULL,
		(struct fl_observer){ ears, observe });
	const struct fl_frame_sink sink = fl_tally_sink(tally);
	struct fl_capfile *capture = fl_capfile_open(path, &sink, &error);
	assert_non_null(capture);
	while (fl_capfile_pump(capture, 256) == FL_OK)
		;
	fl_capfile_close(capture);
	fl_tally_end(tally);
	fl_tally_free(tally);
}

static const char *name_of(const struct fl_ledger *ledger, struct fl_mac mac)
{
	const struct fl_station *s = fl_ledger_find(ledger, mac);
	return s && s->name_count ? s->names[0] : "?";
}

/* Only who was touched fell, and not before; true: it was told. */
static bool check_fallen(const struct row *row, const struct fl_answer *a)
{
	for (size_t i = 0; i < a->episode_count; i++) {
		const struct fl_answer_episode *e = &a->episodes[i];
		print_message("  %s\n", e->text);
		assert_non_null(row->falls);
		assert_int_equal(e->fell.n, 1);
		assert_non_null(strstr(e->fell.at[0], row->falls));
		assert_true((double)e->from_latest / 1e9 > mark_of(row->file, row->mark));
	}
	return a->episode_count > 0;
}

static void nobody_falls_but_who_was_touched(void **state)
{
	unsigned told = 0, touched = 0;
	(void)state;
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct ears ears;
		print_message("%s\n", rows[i].file);
		hear(rows[i].file, &ears);
		struct fl_region *region = fl_region_new(64 << 20);
		const struct fl_answer *a = fl_diagnose(ears.ledger, NULL,
			(struct fl_texts){ 0 }, region);
		assert_non_null(a);
		touched += rows[i].falls != NULL;
		told += check_fallen(&rows[i], a);
		fl_region_free(region);
		fl_ledger_free(ears.ledger);
	}
	/* Captures of half a minute are too short for most beats to be known. */
	print_message("score: %u of %u that were touched, 0 of %zu others\n", told,
		      touched, sizeof rows / sizeof rows[0] - touched);
}

/* The stack speaks within 1.5 s of power: RFC 4862 section 5.4.2 (a random
 * delay of at most 1 s before address detection). */
static void each_device_starts_where_it_was_switched_on(void **state)
{
	struct ears ears;
	(void)state;
	hear("boot", &ears);
	for (size_t i = 0; i < sizeof devices / sizeof devices[0]; i++) {
		char words[64];
		fl_time first = INT64_MAX, last = 0;
		snprintf(words, sizeof words, "boot %s", devices[i]);
		const double mark = mark_of("boot", words);
		for (size_t k = 0; k < ears.start_count; k++) {
			if (strcmp(name_of(ears.ledger, ears.starts[k].mac), devices[i]))
				continue;
			first = ears.starts[k].at < first ? ears.starts[k].at : first;
			last = ears.starts[k].at > last ? ears.starts[k].at : last;
		}
		print_message("  %s: stack starts %.2f to %.2f s after its mark\n",
			devices[i], (double)first / 1e9 - mark, (double)last / 1e9 - mark);
		assert_true((double)first / 1e9 > mark);
		assert_true((double)last / 1e9 < mark + 1.5);
	}
	fl_ledger_free(ears.ledger);
}

/* Open vSwitch counts octets and, of damaged frames, FCS and alignment; all
 * else it says is unknown: all ones in the samples as they stand. ifStatus
 * of index 2 is 1 in one sample, 3 in all others. */
static void a_managed_switch_tells_of_its_ports(void **state)
{
	struct ears ears;
	size_t n, told = 0;
	uint32_t flaps = 0;
	(void)state;
	hear("ovs-rstp-lldp-sflow", &ears);
	const struct fl_port_state *p = fl_ledger_ports(ears.ledger, &n);
	for (size_t i = 0; i < n; i++) {
		print_message("  port %u \"%s\": link lost %u times\n", p[i].now.index,
			      p[i].now.name, p[i].flaps);
		assert_false(fl_mac_is_none(p[i].now.of));
		assert_int_equal(p[i].now.mbit, 10000);
		assert_true(p[i].counted >> FL_COUNT_OCTETS_RECEIVED & 1);
		assert_true(p[i].counted >> FL_COUNT_CRC & 1);
		assert_int_equal(p[i].counts[FL_COUNT_CRC], 0);
		assert_false(p[i].counted >> FL_COUNT_LATE_COLLISIONS & 1);
		assert_false(p[i].counted >> FL_COUNT_RECEIVED & 1);
		flaps += p[i].flaps;
		told++;
	}
	assert_true(told >= 3);
	assert_int_equal(flaps, 1);
	fl_ledger_free(ears.ledger);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(nobody_falls_but_who_was_touched),
		cmocka_unit_test(each_device_starts_where_it_was_switched_on),
		cmocka_unit_test(a_managed_switch_tells_of_its_ports),
	};
	if (access(FL_SHARED "/lab/pull.pcap", R_OK) != 0) {
		puts("skipped: no lab captures here");
		return FL_SKIPPED;
	}
	return FL_RUN(tests);
}
