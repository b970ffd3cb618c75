/* kinds.c -- the habits of each kind of device: made up for this simulator.
 *
 * Period and sizes are of the order such devices have; no maker's format is
 * imitated. A scenario overrides any of them.
 */
#include "boat.h"

#include <string.h>

const char *const sim_stream_words[SIM_STREAMS] = {
	[SIM_BULK] = "bulk", [SIM_STATUS] = "status", [SIM_TEXT] = "text",
	[SIM_TARGETS] = "targets", [SIM_ARPS] = "arps",
	[SIM_QUERIES] = "queries", [SIM_SSDP] = "ssdp", [SIM_LLDP] = "lldp",
	[SIM_BPDU] = "bpdu",
};

const struct sim_kind sim_kinds[] = {
	{ "radar",     { [SIM_BULK] = .04, [SIM_STATUS] = 2 }, 900,
	  SIM_MDNS | SIM_IPV6 | SIM_GROUPS },
	{ "sounder",   { [SIM_BULK] = .1, [SIM_STATUS] = 2 }, 420, SIM_GROUPS },
	{ "camera",    { [SIM_STATUS] = 5, [SIM_SSDP] = 30 }, 700,
	  SIM_MDNS | SIM_IPV6 | SIM_GROUPS },
	{ "display",   { [SIM_STATUS] = 1, [SIM_ARPS] = 30, [SIM_QUERIES] = 20,
			 [SIM_SSDP] = 30 }, 300,
	  SIM_MDNS | SIM_IPV6 | SIM_GROUPS },
	{ "autopilot", { [SIM_BULK] = .1, [SIM_ARPS] = 120 }, 120, SIM_GROUPS },
	{ "gateway",   { [SIM_TEXT] = 1, [SIM_ARPS] = 60 }, 200, SIM_MDNS },
	{ "weather",   { [SIM_TEXT] = 1 }, 200, 0 },
	{ "GNSS",      { [SIM_BULK] = .2 }, 140, SIM_GROUPS },
	{ "AIS",       { [SIM_TARGETS] = 4 }, 200, 0 },
	{ "router",    { [SIM_ARPS] = 15, [SIM_SSDP] = 60 }, 200,
	  SIM_MDNS | SIM_IPV6 },
	{ "instrument", { [SIM_ARPS] = 40 }, 200, SIM_MDNS },
	{ "phone",     { [SIM_QUERIES] = 30 }, 200,
	  SIM_MDNS | SIM_IPV6 | SIM_DHCP | SIM_FLAG | SIM_UNPLANNED },
	{ "laptop",    { 0 }, 0,
	  SIM_IPV6 | SIM_DHCP | SIM_OWN | SIM_UNPLANNED },
	{ "switch",    { 0 }, 0, 0 },
	{ .name = NULL },
};

const struct sim_kind *sim_kind(const char *name)
{
	for (const struct sim_kind *kind = sim_kinds; kind->name; kind++) {
		if (strcmp(kind->name, name) == 0)
			return kind;
	}
	return NULL;
}

unsigned sim_does_bit(const char *word)
{
	static const struct { const char *word; unsigned bit; } table[] = {
		{ "mdns", SIM_MDNS }, { "ipv6", SIM_IPV6 },
		{ "groups", SIM_GROUPS }, { "dhcp", SIM_DHCP },
		{ "carrier sense", SIM_CARRIER },
		{ "broadcast answers", SIM_FLAG },
		{ "address server", SIM_SERVES }, { "rtp", SIM_RTP },
		{ "link-local flooding", SIM_FLOODS },
		{ "snooping", SIM_SNOOPS }, { "bypass", SIM_BYPASS },
		{ "steering", SIM_LEAVE },
		{ "no place in the plan", SIM_UNPLANNED },
	};
	for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
		if (strcmp(table[i].word, word) == 0)
			return table[i].bit;
	}
	return 0;
}

/* The slow announcement where there is one: it is what a person would wait
 * for, and every kind's bulk stream may be switched off at a display. */
double sim_cadence(const struct sim_node *node)
{
	static const enum sim_stream steady[] = {
		SIM_STATUS, SIM_TEXT, SIM_BULK,
	};
	for (size_t i = 0; i < sizeof steady / sizeof *steady; i++) {
		if (node->every[steady[i]] > 0)
			return node->every[steady[i]];
	}
	return 0;
}
