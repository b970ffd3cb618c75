/* live.c -- a live source on the caller's loop: begin, go on, end. */
#include "source/live_inner.h"

#include "base/text.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

enum {
	AGAIN_MS = 250,              /* until a poll that failed begins anew   */
	A_TURN = 64,                 /* batches, then the other handles' turn  */
	ALL = 2048,                  /* batches: more than a ring holds        */
};

void fl_live_say(struct fl_live_ear *ear, const struct fl_ear_event *event)
{
	struct fl_ear_event e = *event;
	if (!ear->live->started)
		return;
	e.ear = ear->number;
	e.link = FL_LINK_ETHERNET;
	ear->live->sink.ear(ear->live->sink.context, &e);
}

struct fl_live *fl_live_new(uv_loop_t *loop, const struct fl_frame_sink *sink)
{
	struct fl_live *live = calloc(1, sizeof *live);
	if (!live)
		return NULL;
	live->loop = loop;
	live->sink = *sink;
	fl_live_start_clocks(live);
	return live;
}

static struct fl_live_ear *find(struct fl_live *live, uint16_t number)
{
	for (size_t i = 0; i < live->ear_count; i++)
		if (live->ears[i].number == number && live->ears[i].pcap)
			return &live->ears[i];
	return NULL;
}

static void say_named(struct fl_live_ear *ear, enum fl_ear_news news, fl_time t)
{
	char name[FL_TEXT_MAX + 1];
	(void)fl_text_clean((struct fl_slice){ (const uint8_t *)ear->name,
					       strlen(ear->name) }, name);
	fl_live_say(ear, &(struct fl_ear_event){
		.news = news, .time = t, .mac = ear->mac, .name = name });
}

static void ready(uv_poll_t *poll, int status, int events);

static void poll_again(uv_timer_t *timer)
{
	struct fl_live_ear *ear = timer->data;
	(void)uv_poll_start(&ear->poll, UV_READABLE, ready);
}

/* A port that is taken down raises an error on its descriptor, and libuv then
 * ends the poll for good. Reading clears the error; a little later the poll
 * begins anew, whether the port is back or not. */
static void ready(uv_poll_t *poll, int status, int events)
{
	struct fl_live_ear *ear = poll->data;
	(void)events;
	fl_live_take(ear, A_TURN);
	if (status < 0)
		(void)uv_timer_start(&ear->again, poll_again, AGAIN_MS, 0);
}

static bool join_loop(struct fl_live_ear *ear, struct fl_error *error)
{
	const int answer = uv_poll_init(ear->live->loop, &ear->poll,
					pcap_get_selectable_fd(ear->pcap));
	if (answer != 0) {
		fl_error_set(error, FL_SYSTEM, -answer, 0,
			     "cannot be waited for", ear->name);
		return false;
	}
	(void)uv_timer_init(ear->live->loop, &ear->again);
	ear->poll.data = ear->again.data = ear;
	ear->polled = true;
	return true;
}

/* What was told of the port before is said now, behind its opening. */
static void begin(struct fl_live_ear *ear)
{
	const unsigned deaf = ear->deaf;
	ear->deaf = 0;
	say_named(ear, FL_EAR_OPENED, ear->opened);
	say_named(ear, FL_EAR_SINCE, ear->opened);
	if (ear->live->behind)
		fl_live_say(ear, &(struct fl_ear_event){
			.news = FL_EAR_MOVED, .time = ear->opened,
			.amount = -ear->live->behind, .name = "" });
	for (unsigned why = 0; why < FL_LIVE_REASONS; why++)
		if (deaf >> why & 1)
			fl_live_deafen(ear, why, true, ear->opened);
	(void)uv_poll_start(&ear->poll, UV_READABLE, ready);
}

bool fl_live_start(struct fl_live *live, struct fl_error *error)
{
	for (size_t i = 0; i < live->ear_count; i++)
		if (!join_loop(&live->ears[i], error))
			return false;
	live->started = true;
	for (size_t i = 0; i < live->ear_count; i++)
		begin(&live->ears[i]);
	return true;
}

/* What begins is said before what ends, so that one reason may follow upon
 * another without a moment of hearing between them. */
void fl_live_told(struct fl_live *live, uint16_t number, const struct fl_port *port)
{
	struct fl_live_ear *ear = find(live, number);
	if (!ear)
		return;
	const fl_time now = fl_live_read_clocks(live);
	const bool bound = port->there && (fl_live_bound(ear) == (int)port->index ||
					   fl_live_bind(ear, (int)port->index));
	const bool holds[] = {
		[FL_LIVE_GONE]     = !bound,
		[FL_LIVE_DISABLED] = bound && !port->enabled,
		[FL_LIVE_NO_LINK]  = bound && port->enabled && !port->link,
	};
	for (int begins = 1; begins >= 0; begins--)
		for (unsigned why = 0; why < sizeof holds / sizeof *holds; why++)
			if (holds[why] == begins)
				fl_live_deafen(ear, why, begins, now);
}

/* The drops first: they fell behind what still lies in the ring. */
void fl_live_drain(struct fl_live *live)
{
	if (!live->started)
		return;
	(void)fl_live_read_clocks(live);
	for (size_t i = 0; i < live->ear_count; i++) {
		fl_live_look(&live->ears[i]);
		fl_live_take(&live->ears[i], ALL);
	}
}

fl_time fl_live_now(struct fl_live *live)
{
	return fl_live_read_clocks(live);
}

bool fl_live_send(struct fl_live *live, uint16_t number, const uint8_t *octets,
		  size_t n, struct fl_error *error)
{
	struct fl_live_ear *ear = find(live, number);
	if (ear && pcap_inject(ear->pcap, octets, n) == (int)n) {
		ear->summary.sent++;
		return true;
	}
	fl_error_set(error, FL_SYSTEM, ear ? errno : ENODEV, 0,
		     "the frame could not be sent", ear ? ear->name : "");
	return false;
}

static const struct fl_live_ear *recall(const struct fl_live *live, uint16_t number)
{
	for (size_t i = 0; i < live->ear_count; i++)
		if (live->ears[i].number == number)
			return &live->ears[i];
	return NULL;
}

struct fl_mac fl_live_mac(const struct fl_live *live, uint16_t number)
{
	const struct fl_live_ear *ear = recall(live, number);
	return ear ? ear->mac : (struct fl_mac){ { 0 } };
}

const struct fl_live_port_summary *fl_live_summary(const struct fl_live *live,
						   uint16_t number)
{
	const struct fl_live_ear *ear = recall(live, number);
	return ear ? &ear->summary : NULL;
}

/* libuv forgets a polled descriptor at once, so it may be closed here. */
static void end(struct fl_live_ear *ear)
{
	say_named(ear, FL_EAR_UNTIL, ear->turn.last);
	say_named(ear, FL_EAR_CLOSED, ear->turn.last);
	if (ear->polled) {
		uv_close((uv_handle_t *)&ear->poll, NULL);
		uv_close((uv_handle_t *)&ear->again, NULL);
	}
	ear->polled = false;
	pcap_close(ear->pcap);
	ear->pcap = NULL;
}

void fl_live_stop(struct fl_live *live)
{
	fl_live_drain(live);
	for (size_t i = 0; i < live->ear_count; i++)
		if (live->ears[i].pcap)
			end(&live->ears[i]);
	live->started = false;
}

void fl_live_free(struct fl_live *live)
{
	if (!live)
		return;
	for (size_t i = 0; i < live->ear_count; i++)
		if (live->ears[i].pcap)
			pcap_close(live->ears[i].pcap);
	free(live);
}
