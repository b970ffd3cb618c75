/* cable.h -- two ports joined by a made-up cable, in a network namespace of the
 * test's own: NEAR is listened to, FAR is the other end. */
#ifndef FL_TESTS_CABLE_H
#define FL_TESTS_CABLE_H

#include "test.h"

#include "source/live.h"

#include <linux/if_packet.h>
#include <net/if.h>
#include <sched.h>
#include <sys/socket.h>
#include <unistd.h>

#define NEAR "near0"
#define FAR  "far0"

enum { HEARD = 4096, SAID = 64, SIZE = 300, EAR = 5 };

static struct heard {
	fl_time  time;
	uint32_t number, captured, length;
	uint16_t ear;
	bool     outbound;
} heard[HEARD];
static size_t heard_n;

static struct said {
	enum fl_ear_news news;
	uint16_t ear;
	fl_time time;
	int64_t amount;
	char    name[64];
} said[SAID];
static size_t said_n;
static struct fl_mac said_mac;

static uv_loop_t loop;
static struct fl_live *live;

static inline void take_frames(void *context, const struct fl_frame *frames, size_t n)
{
	(void)context;
	assert_in_range(n, 1, 256);
	for (size_t i = 0; i < n; i++) {
		const struct fl_frame *f = &frames[i];
		assert_int_equal(f->link, FL_LINK_ETHERNET);
		assert_true(f->captured >= 18);
		heard[heard_n++ % HEARD] = (struct heard){
			f->time, (uint32_t)f->at[14] << 24 | (uint32_t)f->at[15] << 16 |
			(uint32_t)f->at[16] << 8 | f->at[17],
			f->captured, f->length, f->ear, f->outbound };
	}
}

static inline void take_ear(void *context, const struct fl_ear_event *event)
{
	(void)context;
	assert_true(said_n < SAID);
	struct said *s = &said[said_n++];
	s->news = event->news;
	s->ear = event->ear;
	s->time = event->time;
	s->amount = event->amount;
	(void)snprintf(s->name, sizeof s->name, "%s", event->name);
	if (event->news == FL_EAR_OPENED)
		said_mac = event->mac;
}

static inline void sh(const char *command)
{
	assert_int_equal(system(command), 0);
}

/* The kernel lets frames out of a port up to a second after its carrier came
 * (linkwatch), and throws away what is sent before. */
static inline void wait_for_link(void)
{
	sh("for i in $(seq 50); do ip link show " FAR " | grep -q 'state UP'"
	   " && exit 0; sleep 0.1; done; exit 1");
}

static inline void make_ports(void)
{
	sh("ip link add " NEAR " type veth peer name " FAR " &&"
	   " ip link set " NEAR " addrgenmode none arp off multicast off up &&"
	   " ip link set " FAR " addrgenmode none arp off multicast off up");
	wait_for_link();
}

static inline void stop_loop(uv_timer_t *timer)
{
	uv_stop(timer->loop);
}

/* Let the loop run for so many ms. */
static inline void run(unsigned ms)
{
	uv_timer_t timer;
	uv_update_time(&loop);
	assert_int_equal(uv_timer_init(&loop, &timer), 0);
	assert_int_equal(uv_timer_start(&timer, stop_loop, ms, 0), 0);
	(void)uv_run(&loop, UV_RUN_DEFAULT);
	uv_close((uv_handle_t *)&timer, NULL);
	(void)uv_run(&loop, UV_RUN_NOWAIT);
}

/* Run until so many frames are heard, for at most five seconds. */
static inline void run_until(size_t n)
{
	for (int i = 0; i < 50 && heard_n < n; i++)
		run(100);
	assert_int_equal(heard_n, n);
}

/* Send a frame out of a port `times` times; octets 14 to 17 count up from it. */
static inline void send_frames(const char *port, const uint8_t *frame, size_t n,
			       uint32_t times)
{
	uint8_t out[1514];
	const union { struct sockaddr any; struct sockaddr_ll link; } to = { .link = {
		.sll_family = AF_PACKET, .sll_ifindex = (int)if_nametoindex(port) } };
	const int fd = socket(AF_PACKET, SOCK_RAW, 0);
	assert_true(fd >= 0 && n <= sizeof out);
	memcpy(out, frame, n);
	while (times--) {
		assert_int_equal(sendto(fd, out, n, 0, &to.any, sizeof to.link), n);
		for (int i = 17; i >= 14 && ++out[i] == 0; i--)
			;
	}
	(void)close(fd);
}

/* Send `n` numbered frames from the far port, of the local experimental type
 * (IEEE Std 802 section 9.2.3), to nobody's address. */
static inline void send_numbered(uint32_t first, uint32_t n)
{
	const uint8_t frame[SIZE] = {
		2, 0, 0, 0, 0, 1, 2, 0, 0, 0, 0, 9, 0x88, 0xb5, (uint8_t)(first >> 24),
		(uint8_t)(first >> 16), (uint8_t)(first >> 8), (uint8_t)first };
	send_frames(FAR, frame, sizeof frame, n);
}

/* Tell of the port as it is there now. */
static inline void told(bool enabled, bool link)
{
	const unsigned index = if_nametoindex(NEAR);
	const struct fl_port port = {
		.name = NEAR, .index = index, .there = index != 0,
		.enabled = enabled, .link = link, .why = "" };
	fl_live_told(live, EAR, &port);
}

static inline int set_up(void **state)
{
	(void)state;
	heard_n = said_n = 0;
	make_ports();
	const struct fl_frame_sink sink = { NULL, take_frames, take_ear };
	struct fl_error error = { 0 };
	if (uv_loop_init(&loop) != 0 || !(live = fl_live_new(&loop, &sink)) ||
	    !fl_live_open(live, NEAR, EAR, &error) || !fl_live_start(live, &error)) {
		print_error("%s\n", error.rule ? error.rule : "no memory");
		return -1;
	}
	return 0;
}

/* Nothing of it is left on the loop: uv_loop_close() says so. */
static inline int tear_down(void **state)
{
	(void)state;
	fl_live_stop(live);
	const int left = uv_run(&loop, UV_RUN_DEFAULT);
	fl_live_free(live);
	const int busy = uv_loop_close(&loop);
	return left == 0 && busy == 0 &&
	       system("ip link show " NEAR " >/dev/null 2>&1 && ip link del " NEAR) >= 0
	       ? 0 : -1;
}

static inline size_t times_said(enum fl_ear_news news)
{
	size_t n = 0;
	for (size_t i = 0; i < said_n; i++)
		n += said[i].news == news;
	return n;
}

/* A namespace of its own, or the reason why not. */
static inline bool apart(void)
{
	if (unshare(CLONE_NEWNET) != 0) {
		perror("skipped: no network namespace of its own");
		return false;
	}
	if (system("ip link add " NEAR " type veth peer name " FAR
		   " && ip link del " NEAR) == 0)
		return true;
	(void)fputs("skipped: ip(8) cannot make a pair of ports here\n", stderr);
	return false;
}

/* A test on a cable of its own. */
#define ON_CABLE(test) cmocka_unit_test_setup_teardown(test, set_up, tear_down)

#endif
