/* ask.c -- one ARP probe to each planned address: the only thing that listening
 * ever sends, and only when it was told to.
 *
 * Source  RFC 826 (packet format); RFC 5227 section 1.1 (a probe names no
 *         sender address, so that nobody's table is changed by it)
 */
#include "cli/watching.h"

#include <string.h>

enum { PROBE = 60 };   /* IEEE Std 802.3 section 3.2.8: least frame, no FCS */

static void probe(struct fl_mac own, struct fl_ip ip, uint8_t out[PROBE])
{
	static const uint8_t fixed[] = {
		0x08, 0x06,                  /* ARP                          */
		0, 1, 0x08, 0, 6, 4, 0, 1,   /* Ethernet, IPv4, request      */
	};
	memset(out, 0, PROBE);
	memset(out, 0xff, 6);
	memcpy(out + 6, own.b, 6);
	memcpy(out + 12, fixed, sizeof fixed);
	memcpy(out + 22, own.b, 6);
	memcpy(out + 38, ip.b + 12, 4);
}

/* An address that several devices of the plan have is asked once. */
static bool is_asked(const struct fl_plan *plan, size_t i)
{
	const struct fl_ip ip = plan->devices[i].address;
	for (size_t k = 0; k < i; k++)
		if (fl_ip_equal(plan->devices[k].address, ip))
			return false;
	return fl_ip_is4(ip);
}

size_t fl_watch_to_ask(const struct watch *w)
{
	const struct fl_plan *plan = fl_judge_planned(w->judging);
	size_t n = 0;
	for (size_t i = 0; w->order->ask && plan && i < plan->device_count; i++)
		n += is_asked(plan, i);
	return n;
}

static void ask_one(struct watch *w, size_t port, struct fl_ip ip)
{
	uint8_t frame[PROBE];
	char address[FL_IP_TEXT], text[FL_IP_TEXT + 32], sentence[FL_TEXT_MAX];
	struct fl_error error = { 0 };
	const uint16_t ear = w->ears[port];
	const fl_time now = fl_live_now(w->live);
	probe(fl_live_mac(w->live, ear), ip, frame);
	(void)snprintf(text, sizeof text, "ARP request for %s", fl_ip_text(ip, address));
	const bool sent = fl_live_send(w->live, ear, frame, sizeof frame, &error);
	if (sent)
		(void)snprintf(sentence, sizeof sentence, "%s at %s.", text,
			       w->order->ports[port]);
	else
		(void)snprintf(sentence, sizeof sentence, "%s at %s: %s (%s).", text,
			       w->order->ports[port], error.rule, strerror(error.system));
	fl_events_say(w->events, now, sentence);
	if (sent)
		fl_tally_also(w->tally, &(struct fl_observation){
			.kind = FL_OBSERVED_EAR, .ear = ear, .to = now,
			.listening = { .change = FL_EAR_ASKED, .amount = 1, .name = "",
				       .text = text },
		});
}

static void ask_at(struct watch *w, size_t port)
{
	const struct fl_plan *plan = fl_judge_planned(w->judging);
	for (size_t i = 0; i < plan->device_count; i++)
		if (is_asked(plan, i))
			ask_one(w, port, plan->devices[i].address);
	w->asked = true;
}

void fl_watch_ask(struct watch *w)
{
	if (w->asked || fl_watch_to_ask(w) == 0)
		return;
	for (size_t i = 0; i < w->order->port_count; i++)
		if (w->linked[i]) {
			ask_at(w, i);
			return;
		}
	if (!w->ask_waits)
		fl_events_say(w->events, fl_live_now(w->live),
			      "nobody is asked yet: no port has a link.");
	w->ask_waits = true;
}

void fl_watch_say_unasked(const struct watch *w)
{
	if (!w->asked && fl_watch_to_ask(w))
		fputs("fairlead: nobody was asked: no port had a link.\n", stderr);
}
