/* test_reference.c -- headers of public captures against reference answers that
 * another decoder computed. Skipped where the folder is not there. */
#include "test.h"

#include "decode/decode.h"
#include "source/capfile.h"

#include <dirent.h>
#include <jansson.h>
#include <unistd.h>

/* What the reference counts and how our headers tell it. */
static const struct count {
	const char *name;
	uint16_t ethertype;
	uint8_t  protocol;
	uint16_t port, last_port;
	bool     tree;                /* spanning tree by its SAP */
} counts[] = {
	{ "arp", 0x0806, 0, 0, 0, false }, { "lldp", 0x88cc, 0, 0, 0, false },
	{ "ipv4", 0x0800, 0, 0, 0, false }, { "ipv6", 0x86dd, 0, 0, 0, false },
	{ "icmp", 0x0800, 1, 0, 0, false }, { "igmp", 0x0800, 2, 0, 0, false },
	{ "tcp", 0, 6, 0, 0, false }, { "udp", 0, 17, 0, 0, false },
	{ "icmpv6", 0x86dd, 58, 0, 0, false },
	{ "dhcp", 0, 17, 67, 68, false }, { "mdns", 0, 17, 5353, 5353, false },
	{ "ssdp", 0, 17, 1900, 1900, false }, { "stp", 0, 0, 0, 0, true },
};
enum { COUNTS = sizeof counts / sizeof counts[0] };

/* Files where our answer differs, and what decides. */
static const struct { const char *file, *name, *why; } exceptions[] = {
	{ "stp-edited.pcap", "stp", "IEEE Std 802.1D-2004 section 9.3.1: protocol id 0; "
	  "our count is of the SAP" },
	{ "gvrp-not-stp.pcapng", "stp", "the same" },
	{ "malformed-ipv4.pcap", "*", "RFC 791 section 3.1: the header's own length is "
	  "wrong, so nothing in it is believed" },
	{ "malformed-tiny.pcap", "*", "headers cut short: the reference names the "
	  "protocol, we claim no layer" },
	{ "trunc-ip6-ext.pcap", "*", "the same" },
	{ "trunc-icmp.pcap", "*", "the same" },
	{ "trunc-ipv4-length.pcap", "udp", "RFC 791 section 3.1: a total length past "
	  "the frame" },
	{ "stp-config-rst-tc-tcn.pcap", "*", "IEEE Std 802.3 section 3.2.6: the last "
	  "frame's length runs 16 octets past it" },
	{ "snmpv3.pcap", "*", "IEEE Std 802.3 section 3.2.3: a group is no sender" },
	{ "snmpv2c-getbulk.pcap", "*", "the same" },
};

struct tally {
	unsigned n[COUNTS];
	json_t  *macs;                /* source: frames */
};

static bool fits(const struct count *c, const struct fl_packet *p)
{
	if (c->tree)
		return p->llc && p->sap[0] == 0x42 && p->sap[1] == 0x42;
	if (c->ethertype && (p->llc || p->ethertype != c->ethertype))
		return false;
	if (c->protocol && (p->layer < FL_LAYER_NETWORK || p->protocol != c->protocol ||
			    p->later_fragment))
		return false;
	if (c->port)
		return p->layer == FL_LAYER_TRANSPORT &&
		       ((p->to_port >= c->port && p->to_port <= c->last_port) ||
			(p->from_port >= c->port && p->from_port <= c->last_port));
	return true;
}

static void take(void *context, const struct fl_frame *frames, size_t n)
{
	struct tally *t = context;
	for (size_t i = 0; i < n; i++) {
		struct fl_packet p;
		char mac[FL_MAC_TEXT];
		fl_packet_read(&frames[i], &p);
		if (p.layer == FL_LAYER_NONE)
			continue;
		for (size_t k = 0; k < COUNTS; k++)
			t->n[k] += fits(&counts[k], &p);
		if (!p.source_known)
			continue;
		fl_mac_text(p.source, mac);
		const json_int_t had = json_integer_value(json_object_get(t->macs, mac));
		json_object_set_new(t->macs, mac, json_integer(had + 1));
	}
}

static void hear_ear(void *context, const struct fl_ear_event *event)
{
	(void)context, (void)event;
}

static bool excepted(const char *file, const char *name)
{
	for (size_t i = 0; i < sizeof exceptions / sizeof exceptions[0]; i++)
		if (strcmp(file, exceptions[i].file) == 0 &&
		    (exceptions[i].name[0] == '*' || strcmp(name, exceptions[i].name) == 0))
			return true;
	return false;
}

static unsigned compare(const char *file, const json_t *expected, const struct tally *t)
{
	unsigned wrong = 0;
	const json_t *protocols = json_object_get(expected, "protocols");
	for (size_t k = 0; k < COUNTS; k++) {
		const json_int_t want = json_integer_value(
			json_object_get(protocols, counts[k].name));
		if (want == t->n[k] || excepted(file, counts[k].name))
			continue;
		print_error("%s: %s %u, the reference %d\n", file, counts[k].name, t->n[k],
			    (int)want);
		wrong++;
	}
	const char *mac;
	json_t *n;
	json_object_foreach(json_object_get(expected, "src_mac_frames"), mac, n) {
		const json_int_t got = json_integer_value(json_object_get(t->macs, mac));
		if (mac[0] == '\0' || got == json_integer_value(n) ||
		    strcmp(mac, "00:00:00:00:00:00") == 0 || excepted(file, "*"))
			continue;
		print_error("%s: %s %d frames, the reference %d\n", file, mac, (int)got,
			    (int)json_integer_value(n));
		wrong++;
	}
	return wrong;
}

static unsigned check(const char *name)
{
	char path[600];
	struct fl_error error = { 0 };
	struct tally t = { .macs = json_object() };
	snprintf(path, sizeof path, FL_SHARED "/captures/expected/%s", name);
	json_t *expected = json_load_file(path, JSON_ALLOW_NUL, NULL);
	const char *file = json_string_value(json_object_get(expected, "file"));
	assert_non_null(file);
	snprintf(path, sizeof path, FL_SHARED "/captures/%s", file);
	struct fl_capfile *capture = fl_capfile_open(path,
		&(struct fl_frame_sink){ &t, take, hear_ear }, &error);
	unsigned wrong = 0;
	if (capture) {
		while (fl_capfile_pump(capture, 256) == FL_OK)
			;
		/* Other link types are counted by the reader, not decoded here;
		 * what the reader refuses its own reference test decides. */
		if (fl_capfile_summary(capture)->skipped == 0 &&
		    fl_capfile_summary(capture)->frames ==
		    (uint64_t)json_integer_value(json_object_get(expected, "frames")))
			wrong = compare(file, expected, &t);
	}
	fl_capfile_close(capture);
	json_decref(expected);
	json_decref(t.macs);
	return wrong;
}

static void headers_are_as_the_reference_says(void **state)
{
	(void)state;
	unsigned files = 0, wrong = 0;
	DIR *dir = opendir(FL_SHARED "/captures/expected");
	assert_non_null(dir);
	for (const struct dirent *e; (e = readdir(dir)) != NULL;)
		if (e->d_name[0] != '.') {
			wrong += check(e->d_name);
			files++;
		}
	closedir(dir);
	assert_true(files > 100);
	assert_int_equal(wrong, 0);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(headers_are_as_the_reference_says),
	};
	if (access(FL_SHARED "/captures/expected", R_OK) != 0) {
		puts("skipped: no public captures here");
		return FL_SKIPPED;
	}
	return FL_RUN(tests);
}
