/* In a network namespace of its own, where _GNU_SOURCE gives unshare(2). */
#ifndef _GNU_SOURCE
#define _GNU_SOURCE
#endif
#include "cable.h"


/* Judgement: one sentence when it begins, whatever joins in, and one word when
 * the last reason is gone. */
static void is_deaf_until_the_last_reason_is_gone(void **state)
{
	(void)state;
	told(true, true);
	assert_int_equal(said_n, 2);
	told(true, false);
	assert_int_equal(said_n, 3);
	assert_int_equal(said[2].news, FL_EAR_DEAFENED);
	assert_string_equal(said[2].name, "the port has no link");
	told(true, false);
	told(false, false);
	assert_int_equal(said_n, 3);
	told(true, true);
	assert_int_equal(said_n, 4);
	assert_int_equal(said[3].news, FL_EAR_HEARS);
	assert_true(said[3].time > said[2].time);
}

/* A pulled cable: the far port goes down, and the near one loses its link. */
static void hears_on_after_a_pull(void **state)
{
	(void)state;
	send_numbered(0, 5);
	run_until(5);
	sh("ip link set " FAR " down");
	told(true, false);
	run(50);
	sh("ip link set " FAR " up");
	wait_for_link();
	told(true, true);
	send_numbered(5, 5);
	run_until(10);
	assert_int_equal(times_said(FL_EAR_DEAFENED), 1);
	assert_int_equal(times_said(FL_EAR_HEARS), 1);
}

/* netdevice(7): taking a port down raises an error on its sockets. */
static void hears_on_after_the_port_was_down(void **state)
{
	(void)state;
	for (uint32_t round = 0; round < 2; round++) {
		send_numbered(round * 5, 5);
		run_until(round * 5 + 5);
		sh("ip link set " NEAR " down");
		told(false, false);
		run(350);
		sh("ip link set " NEAR " up");
		wait_for_link();
		told(true, true);
	}
	send_numbered(10, 5);
	run_until(15);
	for (uint32_t i = 0; i < 15; i++)
		assert_int_equal(heard[i].number, i);
	assert_int_equal(times_said(FL_EAR_DEAFENED), 2);
	assert_int_equal(times_said(FL_EAR_HEARS), 2);
	assert_string_equal(said[2].name, "the port is not enabled");
	assert_int_equal(fl_live_summary(live, EAR)->bound_anew, 0);
}

/* The port, told of by one who has no right left: capabilities(7), the
 * effective set goes with the effective user. */
static void told_without_a_right(void)
{
	assert_int_equal(seteuid(65534), 0);
	assert_int_equal(socket(AF_PACKET, SOCK_RAW, 0), -1);
	told(true, true);
	assert_int_equal(seteuid(0), 0);
}

/* live.h: a port that was deleted and made anew needs no right and no new
 * socket; and it is heard whole, so promiscuously: the frames here go to
 * nobody's address. */
static void hears_on_after_the_port_was_made_anew(void **state)
{
	(void)state;
	send_numbered(0, 5);
	run_until(5);
	for (uint32_t round = 1; round <= 2; round++) {
		sh("ip link del " NEAR);
		if (round == 1)    /* the second time it is back too soon */
			run(100);
		told(false, false);
		make_ports();
		told_without_a_right();
		run(350);
		sh("ip -d link show " NEAR " | grep -q 'promiscuity 1'");
		send_numbered(round * 5, 5);
		run_until(round * 5 + 5);
		assert_int_equal(fl_live_summary(live, EAR)->bound_anew, round);
	}
	assert_string_equal(said[2].name, "the port is gone");
	assert_int_equal(times_said(FL_EAR_DEAFENED), 2);
	assert_int_equal(times_said(FL_EAR_HEARS), 2);
	assert_int_equal(heard[14].number, 14);
}

/* packet(7), PACKET_STATISTICS: a drop needs a full ring. Nobody reads while 90
 * MB of whole frames come into 64 MiB. */
static void says_what_was_dropped_and_is_deaf_meanwhile(void **state)
{
	(void)state;
	enum { MANY = 60000 };
	static const uint8_t frame[1500] = { 2, 0, 0, 0, 0, 1, 2, 0, 0, 0, 0, 9,
		0x88, 0xb5 };
	send_frames(FAR, frame, sizeof frame, MANY);
	fl_live_drain(live);
	const struct fl_live_port_summary *s = fl_live_summary(live, EAR);
	assert_true(s->dropped >= MANY / 10);
	assert_int_equal(times_said(FL_EAR_LOST), 1);
	assert_int_equal(times_said(FL_EAR_DEAFENED), 1);
	assert_string_equal(said[3].name,
			    "the laptop dropped a tenth of the frames or more");
	assert_int_equal(said[3].time, said[1].time);
	run(150);
	fl_live_drain(live);
	assert_int_equal(s->frames + s->dropped, MANY);
	assert_int_equal(heard_n, s->frames);
	assert_int_equal(times_said(FL_EAR_LOST), 1);
	assert_int_equal(times_said(FL_EAR_HEARS), 1);
}

/* live.h: what was told before the start is said behind the opening. */
static void is_deaf_from_the_start_without_a_link(void **state)
{
	(void)state;
	const struct fl_frame_sink sink = { NULL, take_frames, take_ear };
	struct fl_error error = { 0 };
	heard_n = said_n = 0;
	make_ports();
	assert_int_equal(uv_loop_init(&loop), 0);
	live = fl_live_new(&loop, &sink);
	assert_true(fl_live_open(live, NEAR, EAR, &error));
	told(true, false);
	assert_int_equal(said_n, 0);
	assert_true(fl_live_start(live, &error));
	assert_int_equal(said_n, 3);
	assert_int_equal(said[2].news, FL_EAR_DEAFENED);
	assert_int_equal(tear_down(state), 0);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		ON_CABLE(is_deaf_until_the_last_reason_is_gone),
		ON_CABLE(hears_on_after_a_pull),
		ON_CABLE(hears_on_after_the_port_was_down),
		ON_CABLE(hears_on_after_the_port_was_made_anew),
		ON_CABLE(says_what_was_dropped_and_is_deaf_meanwhile),
		cmocka_unit_test(is_deaf_from_the_start_without_a_link),
	};
	return apart() ? FL_RUN(tests) : FL_SKIPPED;
}
