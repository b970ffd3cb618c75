/* Which port is fit, and what quiets it. The order of reasons is judgement; a
 * command that is shown must be one that does what it says. */
#include "test.h"

#include "cli/fit.h"

static const struct fl_port_facts good = {
	.name = "eth1", .ethernet = true, .enabled = true, .link = true,
	.counts_errors = true, .arp = true, .mbit = 100, .duplex = FL_DUPLEX_FULL,
};

static struct fl_port_facts with_address(struct fl_port_facts f, const char *address)
{
	assert_true(fl_ip_parse(address, strlen(address), &f.addresses[f.address_count++]));
	return f;
}

static void a_quiet_port_with_a_link_is_fit(void **state)
{
	(void)state;
	const char *sends[FL_SENDS];
	const struct fl_fit fit = fl_fit(&good);
	assert_int_equal(fit.verdict, FL_FIT);
	assert_int_equal(fit.n, 0);
	assert_int_equal(fl_fit_sends(&good, sends), 0);
	assert_int_equal(fl_fit_steps(&good).n, 0);
}

/* Each of these alone speaks against a port that is good otherwise. */
static void each_reason_is_told_by_its_key(void **state)
{
	(void)state;
	struct { const char *key; enum fl_verdict verdict; struct fl_port_facts f; } all[] = {
		{ "loopback", FL_UNFIT, good }, { "wireless", FL_UNFIT, good },
		{ "not-ethernet", FL_UNFIT, good }, { "member", FL_UNFIT, good },
		{ "virtual", FL_UNFIT, good }, { "down", FL_NOT_YET, good },
		{ "no-link", FL_NOT_YET, good }, { "address", FL_LIMITED, good },
		{ "no-counts", FL_LIMITED, good }, { "saves-power", FL_LIMITED, good },
	};
	all[0].f.loopback = true;
	all[1].f.wireless = true;
	all[2].f.ethernet = false;
	all[3].f.member = true;
	all[4].f.virtual_port = true;
	all[5].f.enabled = false;
	all[6].f.link = false;
	all[7].f = with_address(good, "192.0.2.7");
	all[8].f.counts_errors = false;
	all[9].f.saves_power = true;
	for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
		const struct fl_fit fit = fl_fit(&all[i].f);
		assert_int_equal(fit.verdict, all[i].verdict);
		assert_int_equal(fit.n, 1);
		assert_string_equal(fit.reasons[0]->key, all[i].key);
	}
}

static void what_cannot_be_mended_is_told_before_what_can(void **state)
{
	(void)state;
	struct fl_port_facts f = good;
	f.wireless = true;
	f.enabled = f.link = f.counts_errors = false;
	assert_string_equal(fl_fit(&f).reasons[0]->key, "wireless");
	assert_int_equal(fl_fit_steps(&f).n, 0);
	f.wireless = false;
	assert_string_equal(fl_fit(&f).reasons[0]->key, "down");
}

static void limits_add_up(void **state)
{
	(void)state;
	struct fl_port_facts f = with_address(good, "192.0.2.7");
	f.counts_errors = false;
	f.saves_power = true;
	const struct fl_fit fit = fl_fit(&f);
	assert_int_equal(fit.verdict, FL_LIMITED);
	assert_int_equal(fit.n, 3);
}

/* RFC 4862 section 5.3: every IPv6 port has a link-local address by itself. */
static void a_link_local_address_is_no_limit(void **state)
{
	(void)state;
	const struct fl_port_facts f = with_address(good, "fe80::1");
	assert_int_equal(fl_fit(&f).verdict, FL_FIT);
	const struct fl_port_facts g = with_address(good, "2001:db8::1");
	assert_int_equal(fl_fit(&g).verdict, FL_LIMITED);
}

/* ip-sysctl.rst: disable_ipv6. Seen on Linux: with it set before the link comes
 * up a port sends nothing. */
static void ipv6_is_quieted_by_one_step(void **state)
{
	(void)state;
	const char *sends[FL_SENDS];
	struct fl_port_facts f = good;
	f.ipv6 = true;
	assert_int_equal(fl_fit_sends(&f, sends), 1);
	assert_non_null(strstr(sends[0], "MLD"));
	const struct fl_steps s = fl_fit_steps(&f);
	assert_int_equal(s.n, 1);
	assert_string_equal(s.at[0], "echo 1 >/proc/sys/net/ipv6/conf/eth1/disable_ipv6");
	assert_true(s.quiet && !s.up && !s.awake && !s.cuts);
}

static void an_address_is_taken_away_and_arp_put_off(void **state)
{
	(void)state;
	const struct fl_port_facts f = with_address(good, "192.0.2.7");
	const struct fl_steps s = fl_fit_steps(&f);
	assert_int_equal(s.n, 2);
	assert_true(s.cuts);
	assert_string_equal(s.at[0], "ip addr flush dev eth1");
	assert_string_equal(s.at[1], "ip link set eth1 arp off");
}

/* Quiet first, up last: a port that is up says its first words at once. */
static void a_port_that_is_down_is_brought_up_quietly(void **state)
{
	(void)state;
	struct fl_port_facts f = good;
	f.enabled = f.link = false;
	f.ipv6 = f.saves_power = true;
	const struct fl_steps s = fl_fit_steps(&f);
	assert_true(s.up && s.quiet && s.awake);
	assert_int_equal(s.n, 3);
	assert_string_equal(s.at[1], "echo on >/sys/class/net/eth1/device/../power/control");
	assert_string_equal(s.at[2], "ip link set eth1 arp off up");
	f.ipv6 = f.saves_power = f.arp = false;
	const struct fl_steps bare = fl_fit_steps(&f);
	assert_int_equal(bare.n, 1);
	assert_string_equal(bare.at[0], "ip link set eth1 up");
}

/* Linux dev_valid_name() refuses only '/', ':' and white space. */
static void no_shell_sees_an_odd_name(void **state)
{
	(void)state;
	static const char *const odd[] = { "a';reboot;'", "$(reboot)", "-x", "a\033[2J", "..", "`b`" };
	for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
		struct fl_port_facts f = good;
		(void)snprintf(f.name, sizeof f.name, "%s", odd[i]);
		f.ipv6 = true;
		f.enabled = f.link = false;
		assert_int_equal(fl_fit_steps(&f).n, 0);
	}
}

/* The longest name has 15 octets (linux/if.h). */
static void the_longest_name_fits_every_step(void **state)
{
	(void)state;
	struct fl_port_facts f = with_address(good, "192.0.2.7");
	memcpy(f.name, "enx0210c5000021", 16);
	f.ipv6 = f.saves_power = true;
	f.enabled = f.link = false;
	const struct fl_steps s = fl_fit_steps(&f);
	assert_int_equal(s.n, FL_STEPS);
	for (size_t i = 0; i < s.n; i++)
		assert_non_null(strstr(s.at[i], "enx0210c5000021"));
	assert_non_null(strstr(s.at[0], "/disable_ipv6"));
	assert_non_null(strstr(s.at[2], "/power/control"));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(a_quiet_port_with_a_link_is_fit),
		cmocka_unit_test(each_reason_is_told_by_its_key),
		cmocka_unit_test(what_cannot_be_mended_is_told_before_what_can),
		cmocka_unit_test(limits_add_up),
		cmocka_unit_test(a_link_local_address_is_no_limit),
		cmocka_unit_test(ipv6_is_quieted_by_one_step),
		cmocka_unit_test(an_address_is_taken_away_and_arp_put_off),
		cmocka_unit_test(a_port_that_is_down_is_brought_up_quietly),
		cmocka_unit_test(no_shell_sees_an_odd_name),
		cmocka_unit_test(the_longest_name_fits_every_step),
	};
	return FL_RUN(tests);
}
