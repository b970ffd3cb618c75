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

static void ask_one(struct watch *w, uint16_t ear, struct fl_ip ip)
{
	uint8_t frame[PROBE];
	char address[FL_IP_TEXT], text[FL_IP_TEXT + 32];
	struct fl_error error = { 0 };
	probe(fl_live_mac(w->live, ear), ip, frame);
	(void)snprintf(text, sizeof text, "ARP request for %s", fl_ip_text(ip, address));
	if (!fl_live_send(w->live, ear, frame, sizeof frame, &error)) {
		fl_events_say(w->events, fl_live_now(w->live), error.rule);
		return;
	}
	fl_tally_also(w->tally, &(struct fl_observation){
		.kind = FL_OBSERVED_EAR, .ear = ear, .to = fl_live_now(w->live),
		.listening = { .change = FL_EAR_ASKED, .amount = 1, .name = "",
			       .text = text },
	});
	fl_events_say(w->events, fl_live_now(w->live), text);
}

void fl_watch_ask(struct watch *w)
{
	const struct fl_plan *plan = fl_judge_planned(w->judging);
	for (size_t i = 0; plan && i < plan->device_count; i++)
		for (size_t p = 0; fl_ip_is4(plan->devices[i].address) &&
				   p < w->order->port_count; p++)
			ask_one(w, w->ears[p], plan->devices[i].address);
	w->asked = true;
}
