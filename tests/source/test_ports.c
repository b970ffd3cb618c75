/* Ports of a network namespace of our own: a cable of two ends (veth, near and
 * far), a port that can be given a speed (tap). Skipped where no namespace may
 * be made. What is waited for is waited for within bounds; nothing is timed. */
#define _GNU_SOURCE   /* unshare(2) */
#include "test.h"

#include "source/ports.h"

#include <fcntl.h>
#include <linux/if_packet.h>
#include <linux/if_tun.h>
#include <net/if.h>
#include <sched.h>
#include <sys/ioctl.h>
#include <sys/mount.h>
#include <sys/socket.h>
#include <unistd.h>

enum { PATIENCE = 3000 };   /* milliseconds */

struct told {
	size_t n;
	struct fl_port last;
	uint16_t ear;
	bool was_down;
};

static uv_loop_t loop;
static struct fl_ports *ports;
static struct told heard;

static bool run(const char *command)
{
	return system(command) == 0;
}

static void on_told(void *context, uint16_t ear, const struct fl_port *port)
{
	struct told *t = context;
	t->n++;
	t->last = *port;
	t->ear = ear;
	t->was_down |= port->there && !port->link;
}

static void on_time(uv_timer_t *timer)
{
	*(bool *)timer->data = true;
}

/* Run the loop until `met` or for so many milliseconds. */
static bool loop_until(bool (*met)(const struct told *), uint64_t milliseconds)
{
	uv_timer_t timer;
	bool over = false;
	uv_timer_init(&loop, &timer);
	timer.data = &over;
	uv_timer_start(&timer, on_time, milliseconds, 0);
	while (!over && !(met && met(&heard)))
		uv_run(&loop, UV_RUN_ONCE);
	uv_close((uv_handle_t *)&timer, NULL);
	uv_run(&loop, UV_RUN_NOWAIT);
	return met && met(&heard);
}

static bool is_gone(const struct told *t)   { return !t->last.there; }
static bool is_there(const struct told *t)  { return t->last.there; }
static bool has_link(const struct told *t)  { return t->last.link; }
static bool lost_link(const struct told *t) { return t->last.there && !t->last.link; }

static void watch(const char *name)
{
	struct fl_error error = { 0 };
	heard = (struct told){ 0 };
	ports = fl_ports_open(&loop, "/sys", on_told, &heard, &error);
	assert_non_null(ports);
	assert_true(fl_ports_watch(ports, name, 5, &error));
}

static int make_cable(void **state)
{
	(void)state;
	uv_loop_init(&loop);
	return run("ip link add near type veth peer name far && "
		   "sysctl -qw net.ipv6.conf.near.disable_ipv6=1 net.ipv6.conf.far.disable_ipv6=1; "
		   "ip link set near up && ip link set far up") ? 0 : -1;
}

static int remove_cable(void **state)
{
	(void)state;
	if (ports) {
		fl_ports_stop(ports);
		uv_run(&loop, UV_RUN_DEFAULT);
		fl_ports_free(ports);
		ports = NULL;
	}
	assert_int_equal(uv_loop_close(&loop), 0);
	run("ip link del near 2>/dev/null");
	return 0;
}

/* ports.h: told once when watching begins. veth: 10000 Mbit/s full, no modes. */
static void watching_begins_with_the_port_as_it_is(void **state)
{
	(void)state;
	watch("near");
	assert_int_equal(heard.n, 1);
	assert_int_equal(heard.ear, 5);
	assert_string_equal(heard.last.name, "near");
	assert_true(heard.last.there && heard.last.enabled && heard.last.link);
	assert_true(heard.last.flaps_counted);
	assert_int_equal(heard.last.mbit, 10000);
	assert_int_equal(heard.last.duplex, FL_DUPLEX_FULL);
	assert_int_equal(heard.last.theirs, 0);
	assert_int_equal(heard.last.energy, FL_NOT_KNOWN);
	assert_false(fl_port_counts(&heard.last, FL_COUNT_CRC));
	assert_true(fl_port_counts(&heard.last, FL_COUNT_SENT));
}

/* IFLA_CARRIER_DOWN_COUNT: the kernel counts what its messages, about one a
 * second, leave out. */
static void each_of_ten_downs_is_counted(void **state)
{
	(void)state;
	watch("near");
	const uint32_t ups = heard.last.ups, downs = heard.last.downs;
	for (int i = 0; i < 10; i++) {
		assert_true(run("ip link set far down"));
		loop_until(NULL, 100);
		assert_true(run("ip link set far up"));
		loop_until(NULL, 100);
	}
	assert_true(loop_until(has_link, PATIENCE));
	assert_true(heard.was_down);          /* told without being asked */
	fl_ports_sample(ports);
	assert_int_equal(heard.last.downs - downs, 10);
	assert_int_equal(heard.last.ups - ups, 10);
}

/* Nothing is agreed on without a link (IEEE Std 802.3 clause 28). */
static void without_a_link_there_is_no_speed(void **state)
{
	(void)state;
	watch("near");
	assert_true(run("ip link set far down"));
	assert_true(loop_until(lost_link, PATIENCE));
	assert_true(heard.last.enabled);
	assert_int_equal(heard.last.mbit, 0);
	assert_int_equal(heard.last.duplex, FL_DUPLEX_UNKNOWN);
}

/* ports.h: a port is followed by its name. */
static void a_port_taken_away_and_made_anew_is_told(void **state)
{
	(void)state;
	watch("near");
	const uint32_t index = heard.last.index;
	assert_true(run("ip link del near"));
	assert_true(loop_until(is_gone, PATIENCE));
	assert_false(heard.last.link);
	assert_true(run("ip link add near type veth peer name far"));
	assert_true(loop_until(is_there, PATIENCE));
	assert_true(heard.last.index != index);
	assert_false(heard.last.enabled);
	assert_true(run("ip link set near up && ip link set far up"));
	assert_true(loop_until(has_link, PATIENCE));
}

static void a_port_that_gets_another_name_is_gone(void **state)
{
	(void)state;
	watch("near");
	assert_true(run("ip link set near down && ip link set near name other"));
	assert_true(loop_until(is_gone, PATIENCE));
	assert_true(run("ip link set other name near"));
	assert_true(loop_until(is_there, PATIENCE));
}

/* Linux net/bridge: RTM_DELLINK of family AF_BRIDGE. */
static void a_port_that_leaves_a_bridge_is_not_gone(void **state)
{
	(void)state;
	if (!run("ip link add bridge0 type bridge"))
		skip();
	watch("near");
	assert_true(run("ip link set near master bridge0 && ip link set near nomaster"));
	loop_until(NULL, 100);
	assert_true(heard.last.there);
	assert_true(run("ip link del bridge0"));
}

static void send_from_far(int frames)
{
	uint8_t frame[60] = { 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x02, 0, 0, 0, 0, 1, 0x88, 0xb5 };
	const struct sockaddr_ll to = {
		.sll_family = AF_PACKET, .sll_ifindex = (int)if_nametoindex("far"),
	};
	const int fd = socket(AF_PACKET, SOCK_RAW, 0);
	assert_true(fd >= 0);
	for (int i = 0; i < frames; i++)
		assert_int_equal(sendto(fd, frame, sizeof frame, 0, (const struct sockaddr *)&to,
					sizeof to), sizeof frame);
	close(fd);
}

/* statistics.rst: frames are counted by any driver. */
static void a_sample_reads_the_counters(void **state)
{
	(void)state;
	watch("near");
	const uint64_t before = heard.last.counts[FL_COUNT_RECEIVED];
	send_from_far(3);
	fl_ports_sample(ports);
	assert_int_equal(heard.n, 2);
	assert_int_equal(heard.last.counts[FL_COUNT_RECEIVED] - before, 3);
}

static bool is_off(const struct told *t) { return t->last.there && !t->last.enabled; }

/* netlink(7): ENOBUFS tells that messages were lost; here the last one, which
 * alone is of the port watched. */
static void after_an_overrun_all_is_read_anew(void **state)
{
	(void)state;
	watch("near");
	assert_true(run("{ i=0; while [ $i -lt 1500 ]; do "
			"echo link set far mtu 1400; echo link set far mtu 1300; "
			"i=$((i + 1)); done; echo link set near down; } | ip -batch -"));
	assert_true(loop_until(is_off, PATIENCE));
	assert_int_equal(fl_ports_overruns(ports), 1);
	/* libuv had stopped the handle: news must still come. */
	assert_true(run("ip link set near up"));
	assert_true(loop_until(has_link, PATIENCE));
}

static void a_port_that_is_not_there_is_refused(void **state)
{
	(void)state;
	struct fl_error error = { 0 };
	watch("near");
	assert_false(fl_ports_watch(ports, "nowhere", 1, &error));
	assert_int_equal(error.system, ENODEV);
	error = (struct fl_error){ 0 };
	assert_false(fl_ports_watch(ports, "a-name-of-twenty-char", 1, &error));
	assert_int_equal(error.system, ENODEV);
	assert_int_equal(heard.n, 1);
}

/* A tap takes any speed that it is set to. */
static void half_duplex_at_100_is_told(void **state)
{
	(void)state;
	struct ifreq wish = { .ifr_name = "tap0" };
	const int fd = open("/dev/net/tun", O_RDWR | O_CLOEXEC);
	wish.ifr_flags = IFF_TAP | IFF_NO_PI;
	if (fd < 0 || ioctl(fd, TUNSETIFF, &wish) < 0 ||
	    !run("ip link set tap0 up && "
		 "ethtool -s tap0 speed 100 duplex half autoneg off 2>/dev/null")) {
		if (fd >= 0)
			close(fd);
		skip();
	}
	watch("tap0");
	assert_int_equal(heard.last.mbit, 100);
	assert_int_equal(heard.last.duplex, FL_DUPLEX_HALF);
	close(fd);
	assert_true(loop_until(is_gone, PATIENCE));
}

static const struct fl_port_facts *find(const struct fl_port_facts *all, size_t n,
					const char *name)
{
	for (size_t i = 0; i < n; i++)
		if (strcmp(all[i].name, name) == 0)
			return &all[i];
	fail_msg("no port %s", name);
	return NULL;
}

static void the_list_tells_the_facts_of_each_port(void **state)
{
	(void)state;
	static struct fl_port_facts all[FL_PORTS];
	struct fl_error error = { 0 };
	assert_true(run("ip addr add 192.0.2.7/24 dev near && ip link set far arp off"));
	const size_t n = fl_ports_list(all, FL_PORTS, "/sys", "/proc/sys", &error);
	const struct fl_port_facts *lo = find(all, n, "lo"), *near = find(all, n, "near"),
				   *far = find(all, n, "far");
	char text[FL_IP_TEXT];
	assert_true(lo->loopback && !lo->ethernet && !lo->enabled && !lo->link);
	assert_true(near->ethernet && near->virtual_port && near->link && near->arp);
	assert_false(near->wireless || near->member || near->ipv6 || near->counts_errors);
	assert_false(far->arp);
	assert_string_equal(near->driver, "veth");
	assert_string_equal(near->bus, "");
	assert_int_equal(near->address_count, 1);
	assert_string_equal(fl_ip_text(near->addresses[0], text), "192.0.2.7");
	assert_int_equal(far->address_count, 0);
	assert_int_equal(near->mac.b[0] & 1, 0);
	assert_false(fl_mac_is_none(near->mac));
	assert_int_equal(near->mbit, 10000);
	assert_int_equal(fl_ports_list(all, 1, "/sys", "/proc/sys", &error), 1);
}

/* sysfs-class-net, sysfs-bus-usb: an adapter behind USB, made up of folders and
 * links as sysfs lays them out. */
static void an_adapter_behind_usb_is_told(void **state)
{
	(void)state;
	static struct fl_port_facts all[FL_PORTS];
	struct fl_error error = { 0 };
	char root[] = "/tmp/fairlead-ports.XXXXXX", command[1024];
	assert_non_null(mkdtemp(root));
	(void)snprintf(command, sizeof command, "cd %s && mkdir -p class/net bus/usb/drivers/cable "
		"devices/pci0/usb1/1-1/power devices/pci0/usb1/1-1/1-1:1.0/net/near/statistics "
		"proc/net/ipv6/conf/near && ln -s ../../devices/pci0/usb1/1-1/1-1:1.0/net/near class/net/near && "
		"cd devices/pci0/usb1/1-1 && echo auto > power/control && cd 1-1:1.0 && "
		"ln -s ../../../../../bus/usb subsystem && ln -s ../../../../../bus/usb/drivers/cable driver && "
		"ln -s ../.. net/near/device && echo 4 > net/near/statistics/rx_crc_errors && "
		"echo 9 > net/near/statistics/tx_packets && echo 0 > %s/proc/net/ipv6/conf/near/disable_ipv6",
		root, root);
	assert_true(run(command));
	char proc[64];
	(void)snprintf(proc, sizeof proc, "%s/proc", root);
	const size_t n = fl_ports_list(all, FL_PORTS, root, proc, &error);
	const struct fl_port_facts *near = find(all, n, "near");
	assert_string_equal(near->bus, "usb");
	assert_string_equal(near->driver, "cable");
	assert_true(near->saves_power && near->counts_errors && near->ipv6);
	assert_false(near->virtual_port);
	assert_int_equal(near->sent, 9);
	(void)snprintf(command, sizeof command, "rm -r %s", root);
	assert_true(run(command));
}

/* False: this host allows no namespace of our own. */
static bool own_namespace(void)
{
	return unshare(CLONE_NEWNET | CLONE_NEWNS) == 0 &&
	       mount("none", "/", NULL, MS_REC | MS_PRIVATE, NULL) == 0 &&
	       mount("sysfs", "/sys", "sysfs", 0, NULL) == 0 &&
	       run("ip link add near type veth peer name far 2>/dev/null && ip link del near");
}

#define CABLE(test) cmocka_unit_test_setup_teardown(test, make_cable, remove_cable)

int main(void)
{
	const struct CMUnitTest tests[] = {
		CABLE(watching_begins_with_the_port_as_it_is),
		CABLE(each_of_ten_downs_is_counted),
		CABLE(without_a_link_there_is_no_speed),
		CABLE(a_port_taken_away_and_made_anew_is_told),
		CABLE(a_port_that_gets_another_name_is_gone),
		CABLE(a_port_that_leaves_a_bridge_is_not_gone),
		CABLE(a_sample_reads_the_counters),
		CABLE(after_an_overrun_all_is_read_anew),
		CABLE(a_port_that_is_not_there_is_refused),
		CABLE(half_duplex_at_100_is_told),
		CABLE(the_list_tells_the_facts_of_each_port),
		CABLE(an_adapter_behind_usb_is_told),
	};
	if (!own_namespace()) {
		puts("skipped: this needs root, iproute2 and a kernel with network "
		     "namespaces and veth");
		return FL_SKIPPED;
	}
	return FL_RUN(tests);
}
