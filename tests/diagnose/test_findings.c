/* test_findings.c -- each finding by a boat that has it, and what the boat's
 * plan must say for it. The scenarios are made up. */
#include "test.h"

#include "diagnose/diagnose.h"
#include "listen.h"

static const char base[] =
	"boat Storm Petrel\n"
	"listen 120, start 1777713142, seed 5, snap 128\n"
	"feed breaker 9\n"
	"switch lower switch, ports 8, feed breaker 9, with link-local flooding\n"
	"device helm display, kind display, mac 02:1b:c5:00:00:11, address 172.20.0.11, feed breaker 9\n"
	"device camera, kind camera, mac 02:1b:c5:00:00:31, address 172.20.0.31, feed breaker 9, lldp 20\n"
	"device sounder, kind sounder, mac 02:1b:c5:00:00:41, address 172.20.0.41, feed breaker 9, rate 2\n"
	"device pilot gateway, kind gateway, mac 02:1b:c5:00:00:51, address 172.20.0.51, feed breaker 9\n"
	"run W1, helm display, lower switch 1\n"
	"run W8, camera, lower switch 4\n"
	"run W2, sounder, lower switch 2\n"
	"run W6, pilot gateway, lower switch 6\n"
	"laptop lower switch 5\n";

static const struct row {
	const char *id;               /* the finding, or NULL: nothing but remarks */
	enum fl_severity severity;
	const char *subject;
	struct { const char *from, *to; } boat, plan[2];   /* texts to replace */
} rows[] = {
	{ NULL, FL_REMARK, NULL, { 0 }, { { 0 } } },
	{ "device-replaced", FL_REMARK, "camera", { 0 },
	  { { "mac = 02:1b:c5:00:00:31", "mac = 02:1b:c5:00:99:31\nname = camera" } } },
	{ "plan-ambiguous", FL_DOUBT, "helm display", { 0 },
	  { { "mac = 02:1b:c5:00:00:31\naddress = 172.20.0.31", "service = upnp:*" },
	    { "mac = 02:1b:c5:00:00:11\naddress = 172.20.0.11", "service = upnp:*" } } },
	{ "self-assigned-address", FL_DOUBT, "sounder",
	  { "address 172.20.0.41", "address 169.254.7.41" }, { { 0 } } },
	{ "address-outside-network", FL_FAULT, "sounder",
	  { "address 172.20.0.41", "address 192.168.1.41" }, { { 0 } } },
	{ "address-requests-unanswered", FL_REMARK, "02:1b:c5:00:00:77",
	  { "laptop lower", "device tablet, kind instrument, mac 02:1b:c5:00:00:77, "
	    "feed breaker 9, with dhcp, without mdns, arps 0, with no place in the plan, boots in 5\nrun W9, tablet, lower switch 7\n"
	    "fault device tablet, reboots, from 20, to 21\nlaptop lower" }, { { 0 } } },
	{ "address-requests-unanswered", FL_FAULT, "02:1b:c5:00:00:77",
	  { "laptop lower", "device tablet, kind instrument, mac 02:1b:c5:00:00:77, "
	    "feed breaker 9, with dhcp, without mdns, arps 0, with no place in the plan, boots in 5\nrun W9, tablet, lower switch 7\n"
	    "fault device tablet, reboots, from 20, to 21\nlaptop lower" },
	  { { "kind = display", "kind = display\nserves = addresses" } } },
	{ "other-network", FL_FAULT, "laptop lead", { 0 },
	  { { "02:1b:c5:00", "02:1b:c6:00" }, { "172.20.0", "10.8.0" } } },
	{ "device-missing", FL_FAULT, "sounder",
	  { "laptop lower switch 5\n", "laptop lower switch 5\nfault device sounder, dead, from 60\n" },
	  { { 0 } } },
	{ "device-restarts", FL_FAULT, "helm display",
	  { "laptop lower switch 5\n", "laptop lower switch 5\nfault device helm display, reboots, from 60, to 60.5\n" },
	  { { 0 } } },
	{ "device-comes-and-goes", FL_FAULT, "sounder",
	  { "laptop lower switch 5\n", "laptop lower switch 5\nfault run W2, dead, from 60, to 80\n" },
	  { { 0 } } },
	{ "frames-lost", FL_DOUBT, "sounder",
	  { "lower switch 2\n", "lower switch 2, loses 0.1\n" }, { { 0 } } },
	{ "not-in-plan", FL_REMARK, "segment",
	  { "address 172.20.0.41, ", "address 172.20.0.41, with no place in the plan, " }, { { 0 } } },
};

/* A copy with every `from` replaced. */
static char *replaced(const char *text, const char *from, const char *to)
{
	struct fl_text out;
	assert_true(fl_text_init(&out, 1 << 20));
	for (const char *at; from && (at = strstr(text, from)) != NULL;) {
		fl_text_add(&out, "%.*s%s", (int)(at - text), text, to);
		text = at + strlen(from);
	}
	fl_text_add(&out, "%s", text);
	return out.at;
}

static const struct fl_answer *judge(const struct row *row, struct fl_region *region,
				     struct fl_ledger *ledger)
{
	static struct fl_plan_faults faults;
	char why[200] = "";
	char *scenario = replaced(base, row->boat.from, row->boat.to);
	struct sim_boat *boat = sim_boat_read(scenario, why, sizeof why);
	if (!boat)
		fail_msg("%s\n%s", why, scenario);
	assert_true(listen_to(boat, 0, 0, fl_ledger_observer(ledger)));
	char *written = sim_plan_text(boat);
	char *half = replaced(written, row->plan[0].from, row->plan[0].to);
	char *text = replaced(half, row->plan[1].from, row->plan[1].to);
	const struct fl_plan *plan = fl_plan_read(text, strlen(text), region, &faults);
	if (!plan)
		fail_msg("%d: %s\n%s", faults.at[0].line, faults.at[0].text, text);
	free(scenario), free(written), free(half), free(text);
	sim_boat_free(boat);
	return fl_diagnose(ledger, plan, (struct fl_texts){ 0 }, region);
}

static void check(const struct row *row)
{
	struct fl_region *region = fl_region_new(64 << 20);
	struct fl_ledger *ledger = fl_ledger_new();
	const struct fl_answer *a = judge(row, region, ledger);
	assert_non_null(a);
	bool found = row->id == NULL;
	for (size_t i = 0; i < a->finding_count; i++) {
		const struct fl_answer_finding *f = &a->findings[i];
		if (row->id && strcmp(f->id, row->id) == 0 && f->severity == row->severity)
			found |= strstr(f->subject, row->subject) != NULL;
		else if (!row->id)
			assert_int_equal(f->severity, FL_REMARK);
	}
	for (size_t i = 0; !found && i < a->finding_count; i++)
		print_error("%s: but %s %d %s: %s\n", row->id, a->findings[i].id,
			    a->findings[i].severity, a->findings[i].subject, a->findings[i].text);
	assert_true(found);
	/* A doubt too may leave no other way than that some part is at fault. */
	const bool named = a->suspect_count && a->no_fault < 0.1;
	assert_int_equal(fl_answer_status(a), row->severity == FL_FAULT || named);
	fl_ledger_free(ledger);
	fl_region_free(region);
}

static void each_finding_is_found_where_it_is(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		print_message("%s\n", rows[i].id ? rows[i].id : "none");
		check(&rows[i]);
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(each_finding_is_found_where_it_is),
	};
	return FL_RUN(tests);
}
