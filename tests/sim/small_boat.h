/* small_boat.h -- a boat of seven that speak, and an ear that hears it.
 *
 * What the ear checks it works out by itself, with no code of the simulator.
 */
#ifndef SIM_SMALL_BOAT_H
#define SIM_SMALL_BOAT_H

#include "test.h"

#include "sim.h"

enum { MOST_NODES = 64 };

/* Two switches, five devices. A test adds to the near switch (first %s), and
 * faults (second). */
#define BASE \
	"boat test\n" \
	"listen 600, seed 5\n" \
	"feed breaker 1\nfeed breaker 2\nfeed breaker 3\n" \
	"switch near, ports 8, feed breaker 1, boots in 10, lldp 30" \
	", bpdu 2%s\n" \
	"switch far, ports 8, feed breaker 1, boots in 10, lldp 30\n" \
	"device radar, kind radar, feed breaker 2, boots in 30, rate 10\n" \
	"device camera, kind camera, feed breaker 2, boots in 12\n" \
	"device display, kind display, feed breaker 3, boots in 40" \
	", with dhcp\n" \
	"device wind, kind weather, feed breaker 3, boots in 5\n" \
	"device targets, kind AIS, feed breaker 3\n" \
	"run A, radar, far 1\nrun B, camera, far 2\nrun C, display, near 1\n" \
	"run D, wind, near 2\nrun E, targets, near 3\nrun T, far 8, near 8\n" \
	"laptop near 5\n%s"
enum { NEAR, FAR, RADAR, CAMERA, DISPLAY, WIND, TARGETS, NODES };

/* What a sink remembers of a run. */
struct heard {
	uint64_t frames, damaged, hash[MOST_NODES];
	uint64_t of[MOST_NODES];
	sim_time last, last_of[MOST_NODES];
	sim_time longest_of[MOST_NODES];   /* gap */
	bool     disordered, badly_summed, short_frame;
	/* Frames that fell into the silent spans of this boat. */
	const struct sim_boat *silent;
	uint64_t in_silence[MOST_NODES];
};

static inline uint64_t mix(uint64_t hash, const uint8_t *octets, size_t n)
{
	for (size_t i = 0; i < n; i++)     /* FNV-1a */
		hash = (hash ^ octets[i]) * 0x100000001b3;
	return hash;
}

/* RFC 1071 section 4.1, "C": the plain loop over a copy of the words, with a
 * carry added at once; no code of the simulator. */
static inline uint16_t plain_sum(const uint8_t *octets, size_t n, uint16_t sum)
{
	for (size_t i = 0; i < n; i++) {
		const uint32_t word = i % 2 ? octets[i]
					    : (uint32_t)octets[i] << 8;
		const uint32_t next = sum + word;
		sum = (uint16_t)((next & 0xffff) + (next >> 16));
	}
	return sum;
}

static inline size_t be16(const uint8_t *at)
{
	return (size_t)at[0] << 8 | at[1];
}

static inline bool ip4_sums_hold(const uint8_t *ip)
{
	const size_t header = (ip[0] & 15u) * 4, n = be16(ip + 2) - header;
	const uint8_t *payload = ip + header;
	if (plain_sum(ip, header, 0) != 0xffff)
		return false;
	const bool udp = ip[9] == 17;
	const uint16_t pseudo = udp ? plain_sum(ip + 12, 8, (uint16_t)(17 + n))
				    : 0;
	return plain_sum(payload, n, pseudo) == 0xffff &&
	       (!udp || be16(payload + 4) == n);
}

static inline bool ip6_sums_hold(const uint8_t *ip)
{
	const size_t options = ip[6] == 0 ? 8 : 0, n = be16(ip + 4) - options;
	const uint16_t pseudo = plain_sum(ip + 8, 32, (uint16_t)(58 + n));
	return plain_sum(ip + 40 + options, n, pseudo) == 0xffff;
}

static inline bool sums_hold(const struct sim_frame *frame)
{
	switch (be16(frame->at + 12)) {
	case 0x0800: return ip4_sums_hold(frame->at + 14);
	case 0x86dd: return ip6_sums_hold(frame->at + 14);
	default:     return true;
	}
}

static inline bool is_silent(const struct sim_boat *boat, int node, sim_time t)
{
	const struct sim_heard heard = sim_heard(boat, (size_t)node);
	for (size_t i = 0; i < heard.silent_count; i++) {
		if (heard.silent[i].from <= t && t < heard.silent[i].to)
			return true;
	}
	return false;
}

static inline void listen(void *context, const struct sim_frame *frame)
{
	struct heard *heard = context;
	const int node = frame->node;
	heard->disordered |= frame->time < heard->last;
	heard->last = frame->time;
	heard->short_frame |= frame->length < 60;
	if (frame->captured == frame->length && !frame->damaged)
		heard->badly_summed |= !sums_hold(frame);
	heard->damaged += frame->damaged;
	heard->frames++;
	const sim_time gap = frame->time - heard->last_of[node];
	if (heard->of[node]++ && gap > heard->longest_of[node])
		heard->longest_of[node] = gap;
	heard->last_of[node] = frame->time;
	heard->in_silence[node] += is_silent(heard->silent, node, frame->time -
					     sim_start(heard->silent));
	heard->hash[node] = mix(heard->hash[node] ^ (uint64_t)frame->time,
				frame->at, frame->captured);
}

static inline struct sim_boat *read_boat_with(const char *near,
					      const char *more)
{
	char text[4096], why[200] = "";
	snprintf(text, sizeof text, BASE, near, more);
	struct sim_boat *boat = sim_boat_read(text, why, sizeof why);
	if (!boat)
		fail_msg("%s", why);
	return boat;
}

static inline struct sim_boat *read_boat(const char *more)
{
	return read_boat_with("", more);
}

/* Hear `boat`, and count what falls into the silences of `silent`, which has
 * been run or is the boat itself. No time lies before the start. */
static inline struct heard run_beside(struct sim_boat *boat, double seconds,
				      uint64_t seed,
				      const struct sim_boat *silent)
{
	struct heard heard = { .last = sim_start(boat), .silent = silent };
	const struct sim_sink sink = { &heard, listen };
	sim_run(boat, seconds, seed, &sink);
	return heard;
}

static inline struct heard run(struct sim_boat *boat, double seconds)
{
	return run_beside(boat, seconds, 0, boat);
}

static inline struct heard run_text(const char *more)
{
	struct sim_boat *boat = read_boat(more);
	struct heard heard = run(boat, 0);
	sim_boat_free(boat);
	heard.silent = NULL;
	return heard;
}

#endif
