/* live_open.c -- open a port by libpcap: the only part that needs a right.
 *
 * Not in immediate mode: that makes libpcap use the kernel's second ring, with
 * a slot of the greatest length for each frame, where the third packs them.
 * Its blocks become readable when full or after FL_LIVE_RETIRE, so a burst is
 * one waking and nothing heard is none.
 *
 * Source  pcap(3PCAP)
 */
#include "source/live_filter.h"
#include "source/live_inner.h"

#include <errno.h>
#include <net/if.h>
#include <stdio.h>
#include <string.h>

enum { SNAP = 65535, RING_LEAST = 1 << 20 };

static const struct refusal {
	int         answer;
	enum fl_status status;
	int         system;
	const char *rule;
} refusals[] = {
	{ PCAP_ERROR_PERM_DENIED, FL_SYSTEM, EPERM,
	  "no right to listen: needs CAP_NET_RAW" },
	{ PCAP_ERROR_PROMISC_PERM_DENIED, FL_SYSTEM, EPERM,
	  "no right to listen to all: needs CAP_NET_RAW" },
	{ PCAP_ERROR_NO_SUCH_DEVICE, FL_SYSTEM, ENODEV, "there is no such port" },
	{ PCAP_ERROR_IFACE_NOT_UP, FL_SYSTEM, ENETDOWN,
	  "the port is not enabled; fairlead ports says how to bring it up" },
	{ PCAP_ERROR, FL_SYSTEM, 0, "cannot be listened to" },
};

static bool refuse(struct fl_error *error, int answer, const char *port)
{
	const struct refusal *r = refusals;
	while (r->answer != answer && r->answer != PCAP_ERROR)
		r++;
	fl_error_set(error, r->status, r->system, 0, r->rule, port);
	return false;
}

static int activate(const char *port, int ring, pcap_t **out)
{
	char why[PCAP_ERRBUF_SIZE];
	pcap_t *pcap = pcap_create(port, why);
	*out = NULL;
	if (!pcap)
		return PCAP_ERROR;
	(void)pcap_set_snaplen(pcap, SNAP);
	(void)pcap_set_promisc(pcap, 1);
	(void)pcap_set_timeout(pcap, (int)(FL_LIVE_RETIRE / FL_MILLISECOND));
	(void)pcap_set_buffer_size(pcap, ring);
	(void)pcap_set_tstamp_precision(pcap, PCAP_TSTAMP_PRECISION_NANO);
	const int answer = pcap_activate(pcap);    /* above 0: a warning */
	if (answer < 0)
		pcap_close(pcap);
	else
		*out = pcap;
	return answer;
}

static bool prepare(struct fl_live_ear *ear, struct fl_error *error)
{
	char why[PCAP_ERRBUF_SIZE];
	struct bpf_program program;
	if (pcap_datalink(ear->pcap) != DLT_EN10MB) {
		fl_error_set(error, FL_UNSUPPORTED, 0, 0,
			     "the port is not Ethernet", ear->name);
		return false;
	}
	bool done = pcap_setnonblock(ear->pcap, 1, why) == 0 &&
		    pcap_get_tstamp_precision(ear->pcap) ==
			    PCAP_TSTAMP_PRECISION_NANO &&
		    fl_live_filter(ear->pcap, &program);
	if (done) {
		done = pcap_setfilter(ear->pcap, &program) == 0;
		pcap_freecode(&program);
	}
	return done || refuse(error, PCAP_ERROR, ear->name);
}

static bool open_handle(struct fl_live_ear *ear, struct fl_error *error)
{
	int ring = FL_LIVE_RING, answer;
	while ((answer = activate(ear->name, ring, &ear->pcap)) == PCAP_ERROR &&
	       ring > RING_LEAST)
		ring /= 2;
	if (!ear->pcap)
		return refuse(error, answer, ear->name);
	ear->summary.ring = fl_live_ring(pcap_get_selectable_fd(ear->pcap));
	(void)fl_live_bound(ear);
	return prepare(ear, error);
}

/* Asked by index first: to libpcap "any" and some others are names too. */
bool fl_live_open(struct fl_live *live, const char *port, uint16_t number,
		  struct fl_error *error)
{
	if (strlen(port) >= FL_LIVE_NAME || if_nametoindex(port) == 0)
		return refuse(error, PCAP_ERROR_NO_SUCH_DEVICE, port);
	if (live->ear_count == FL_LIVE_PORTS) {
		fl_error_set(error, FL_UNSUPPORTED, 0, 0,
			     "more ports than can be listened to at once", port);
		return false;
	}
	struct fl_live_ear *ear = &live->ears[live->ear_count];
	*ear = (struct fl_live_ear){ .live = live, .number = number };
	(void)snprintf(ear->name, sizeof ear->name, "%s", port);
	if (!open_handle(ear, error)) {
		if (ear->pcap)
			pcap_close(ear->pcap);
		return false;
	}
	ear->opened = ear->looked = fl_live_read_clocks(live);
	ear->turn.last = ear->opened;
	live->ear_count++;
	return true;
}
