/* In a network namespace of its own, where _GNU_SOURCE gives unshare(2). */
#ifndef _GNU_SOURCE
#define _GNU_SOURCE
#endif
#include "cable.h"

#include <errno.h>
#include <time.h>

struct frames { long received, sent; };

/* proc(5), /proc/net/dev: of this namespace. */
static struct frames frames_of(const char *port)
{
	char line[256], *at;
	struct frames n = { -1, -1 };
	FILE *f = fopen("/proc/net/dev", "re");
	assert_non_null(f);
	while (fgets(line, sizeof line, f))
		if ((at = strstr(line, port)) && (at = strchr(at, ':')))
			(void)sscanf(at + 1, "%*s %ld %*s %*s %*s %*s %*s %*s %*s %ld",
				     &n.received, &n.sent);
	(void)fclose(f);
	return n;
}

static fl_time wall(void)
{
	struct timespec t;
	(void)clock_gettime(CLOCK_REALTIME, &t);
	return t.tv_sec * FL_SECOND + t.tv_nsec;
}

/* live.h: the opening first; the address is what the kernel says of the port. */
static void says_who_listens_before_anything_else(void **state)
{
	(void)state;
	assert_true(said_n >= 2);
	assert_int_equal(said[0].news, FL_EAR_OPENED);
	assert_string_equal(said[0].name, NEAR);
	assert_int_equal(said[1].news, FL_EAR_SINCE);
	assert_true(said[1].time > 0 && said[1].time <= wall());
	assert_false(fl_mac_is_none(said_mac));
	assert_true(fl_mac_equal(said_mac, fl_live_mac(live, EAR)));
	char text[FL_MAC_TEXT], command[128];
	(void)snprintf(command, sizeof command,
		       "ip link show " NEAR " | grep -q 'ether %s'",
		       fl_mac_text(said_mac, text));
	sh(command);
}

/* packet(7), PACKET_MR_PROMISC: what is sent to others is heard too. */
static void asks_its_port_for_every_frame(void **state)
{
	(void)state;
	sh("ip -d link show " NEAR " | grep -q 'promiscuity 1'");
}

/* live.h: 64 MiB; any modern host gives as much. */
static void says_what_ring_it_got(void **state)
{
	(void)state;
	assert_int_equal(fl_live_summary(live, EAR)->ring, FL_LIVE_RING);
}

/* By definition: each once, in order, at the time of its sending. */
static void hears_each_frame_once_and_in_time(void **state)
{
	(void)state;
	enum { N = 1000 };
	const fl_time before = wall();
	send_numbered(0, N / 2);
	run(150);
	send_numbered(N / 2, N / 2);
	const fl_time after = wall();
	run_until(N);
	for (size_t i = 0; i < N; i++) {
		assert_int_equal(heard[i].number, i);
		assert_true(heard[i].time >= (i ? heard[i - 1].time : before));
		assert_true(heard[i].time <= after);
		assert_int_equal(heard[i].ear, EAR);
		assert_int_equal(heard[i].captured, SIZE);
		assert_int_equal(heard[i].length, SIZE);
		assert_false(heard[i].outbound);
	}
	assert_true(heard[N / 2].time - heard[N / 2 - 1].time >=
		    100 * FL_MILLISECOND);
	const struct fl_live_port_summary *s = fl_live_summary(live, EAR);
	assert_int_equal(s->frames, N);
	assert_int_equal(s->dropped, 0);
	assert_int_equal(s->sent, 0);
}

/* live.h: bulk is cut by the kernel. An Internet packet of no known protocol
 * would be whole; version 4 with protocol 6 is TCP (RFC 9293). */
static void hears_bulk_cut_short(void **state)
{
	(void)state;
	uint8_t frame[SIZE] = { 2, 0, 0, 0, 0, 1, 2, 0, 0, 0, 0, 9, 8, 0,
		0x45, 0, 1, 30, 0, 0, 0, 0, 64, 6 };
	send_frames(FAR, frame, sizeof frame, 1);
	run_until(1);
	assert_int_equal(heard[0].captured, FL_LIVE_CUT);
	assert_int_equal(heard[0].length, SIZE);
}

/* pcap-filter(7) and the kernel: the tag is not part of what is filtered, and
 * libpcap puts it back. */
static void hears_a_tagged_frame_with_its_tag(void **state)
{
	(void)state;
	uint8_t frame[SIZE] = { 2, 0, 0, 0, 0, 1, 2, 0, 0, 0, 0, 9, 0x81, 0, 0, 7,
		8, 0, 0x45, 0, 1, 26, 0, 0, 0, 0, 64, 17 };
	frame[18 + 20 + 2] = 5353 >> 8;
	frame[18 + 20 + 3] = 5353 & 0xff;
	send_frames(FAR, frame, sizeof frame, 1);
	frame[18 + 20 + 2] = 6878 >> 8;
	frame[18 + 20 + 3] = 6878 & 0xff;
	send_frames(FAR, frame, sizeof frame, 1);
	run_until(2);
	assert_int_equal(heard[0].length, SIZE);
	assert_int_equal(heard[0].captured, SIZE);
	assert_int_equal(heard[0].number >> 16, 7);
	assert_int_equal(heard[1].length, SIZE);
	assert_in_range(heard[1].captured, FL_LIVE_CUT, FL_LIVE_CUT + 4);
}

/* live.h: nothing is sent but by fl_live_send(), which counts. */
static void sends_nothing_but_what_it_is_told_to(void **state)
{
	(void)state;
	send_numbered(0, 10);
	run_until(10);
	assert_int_equal(frames_of(NEAR).sent, 0);
	assert_int_equal(frames_of(FAR).received, 0);
	struct fl_error error = { 0 };
	const uint8_t frame[60] = { 0xff, 0xff, 0xff, 0xff, 0xff, 0xff,
		2, 0, 0, 0, 0, 1, 0x88, 0xb5 };
	assert_true(fl_live_send(live, EAR, frame, sizeof frame, &error));
	assert_int_equal(fl_live_summary(live, EAR)->sent, 1);
	assert_int_equal(frames_of(NEAR).sent, 1);
	assert_int_equal(frames_of(FAR).received, 1);
	assert_false(fl_live_send(live, EAR + 1, frame, sizeof frame, &error));
	assert_int_equal(error.status, FL_SYSTEM);
	assert_int_equal(error.system, ENODEV);
}

/* frame.h, `outbound`: sent by the host that captured. */
static void knows_its_own_host_by_the_address(void **state)
{
	(void)state;
	uint8_t frame[60] = { 0xff, 0xff, 0xff, 0xff, 0xff, 0xff };
	memcpy(frame + 6, said_mac.b, sizeof said_mac.b);
	frame[12] = 0x88;
	frame[13] = 0xb5;
	send_frames(NEAR, frame, sizeof frame, 1);
	run_until(1);
	assert_true(heard[0].outbound);
}

/* By definition: nothing was begun, so there is nothing to end. */
static void can_be_given_up_before_it_began(void **state)
{
	(void)state;
	const struct fl_frame_sink sink = { NULL, take_frames, take_ear };
	struct fl_error error = { 0 };
	make_ports();
	assert_int_equal(uv_loop_init(&loop), 0);
	live = fl_live_new(&loop, &sink);
	assert_true(fl_live_open(live, NEAR, EAR, &error));
	fl_live_free(live);
	assert_int_equal(uv_loop_close(&loop), 0);
	sh("ip link del " NEAR);
}

/* live.h, Errors. */
static void says_why_a_port_cannot_be_opened(void **state)
{
	(void)state;
	struct fl_error gone = { 0 }, any = { 0 }, down = { 0 }, right = { 0 };
	assert_false(fl_live_open(live, "none0", EAR + 1, &gone));
	assert_int_equal(gone.status, FL_SYSTEM);
	assert_int_equal(gone.system, ENODEV);
	assert_string_equal(gone.subject, "none0");
	assert_false(fl_live_open(live, "any", EAR + 1, &any));
	assert_int_equal(any.system, ENODEV);
	assert_false(fl_live_open(live, "lo", EAR + 1, &down));
	assert_int_equal(down.system, ENETDOWN);
	assert_int_equal(seteuid(65534), 0);
	assert_false(fl_live_open(live, FAR, EAR + 1, &right));
	assert_int_equal(seteuid(0), 0);
	assert_int_equal(right.status, FL_SYSTEM);
	assert_int_equal(right.system, EPERM);
}

/* live.h: what is said last. The teardown sees that the loop runs out. */
static void says_until_when_and_closes(void **state)
{
	(void)state;
	send_numbered(0, 3);
	run_until(3);
	fl_live_stop(live);
	assert_int_equal(said_n, 4);
	assert_int_equal(said[2].news, FL_EAR_UNTIL);
	assert_true(said[2].time >= heard[2].time && said[2].time <= wall());
	assert_int_equal(said[3].news, FL_EAR_CLOSED);
	assert_string_equal(said[3].name, NEAR);
	assert_int_equal(fl_live_summary(live, EAR)->frames, 3);
}

/* A wall clock that the kernel steps needs the whole host; that listening time
 * runs on like CLOCK_BOOTTIME can be seen without. */
static void tells_the_time_of_now(void **state)
{
	(void)state;
	const fl_time before = wall(), now = fl_live_now(live), after = wall();
	assert_in_range(now, before - FL_MILLISECOND, after + FL_MILLISECOND);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		ON_CABLE(says_who_listens_before_anything_else),
		ON_CABLE(asks_its_port_for_every_frame),
		ON_CABLE(says_what_ring_it_got),
		ON_CABLE(hears_each_frame_once_and_in_time),
		ON_CABLE(hears_bulk_cut_short),
		ON_CABLE(hears_a_tagged_frame_with_its_tag),
		ON_CABLE(sends_nothing_but_what_it_is_told_to),
		ON_CABLE(knows_its_own_host_by_the_address),
		ON_CABLE(says_why_a_port_cannot_be_opened),
		ON_CABLE(says_until_when_and_closes),
		ON_CABLE(tells_the_time_of_now),
		cmocka_unit_test(can_be_given_up_before_it_began),
	};
	return apart() ? FL_RUN(tests) : FL_SKIPPED;
}
