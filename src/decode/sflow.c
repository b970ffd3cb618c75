/* sflow.c -- what a switch counted at each of its ports.
 *
 * Source  sFlow Version 5, section 5 (see sflow.h); RFC 2863 section 6
 *         (interface types and states); RFC 3635 section 5 (what the Ethernet
 *         counters count)
 * Takes   one whole UDP payload, port 6343
 * Says    PORT for each Ethernet port counted, NUMBERED uptime
 * Refuses what sflow_read.c refuses
 */
#include "decode/sflow.h"

enum { ADMIN_UP = 1, OPERATION_UP = 2 };      /* ifStatus */
enum { FULL_DUPLEX = 1, HALF_DUPLEX = 2 };    /* ifDirection */
enum { IN_ERRORS = 4 };                       /* of fl_sflow_interface.in */
enum { MILLISECONDS_IN_TICK = 10 };
#define MEGABIT UINT64_C(1000000)

/* The kinds of error a port counts, out of those that Ethernet has. */
static const struct {
	enum fl_sflow_ethernet from;
	enum fl_counter        to;
} kinds[] = {
	{ FL_SFLOW_ALIGNMENT,      FL_COUNT_ALIGNMENT },
	{ FL_SFLOW_FCS,            FL_COUNT_CRC },
	{ FL_SFLOW_LATE_COLLISION, FL_COUNT_LATE_COLLISIONS },
	{ FL_SFLOW_CARRIER_SENSE,  FL_COUNT_CARRIER },
	{ FL_SFLOW_TOO_LONG,       FL_COUNT_OVERSIZE },
	{ FL_SFLOW_SYMBOL,         FL_COUNT_SYMBOL },
};

static void set(struct fl_port *port, enum fl_counter what, uint64_t n)
{
	port->counted |= UINT32_C(1) << what;
	port->counts[what] = n;
}

static void count32(struct fl_port *port, enum fl_counter what, uint32_t n)
{
	if (n != UINT32_MAX)
		set(port, what, n);
}

static void count64(struct fl_port *port, enum fl_counter what, uint64_t n)
{
	if (n != UINT64_MAX)
		set(port, what, n);
}

/* A sum is known where each of its `parts` is. */
static void count_sum(struct fl_port *port, enum fl_counter what,
		      const uint32_t *parts, size_t n)
{
	uint64_t sum = 0;
	for (size_t i = 0; i < n; i++) {
		if (parts[i] == UINT32_MAX)
			return;
		sum += parts[i];
	}
	set(port, what, sum);
}

/* Discarded frames are left out: a port that the spanning tree holds blocked
 * discards what it gets, and nothing is wrong. */
static void count_interface(struct fl_port *port,
			    const struct fl_sflow_interface *i)
{
	count64(port, FL_COUNT_OCTETS_RECEIVED, i->octets_in);
	count64(port, FL_COUNT_OCTETS_SENT, i->octets_out);
	count_sum(port, FL_COUNT_RECEIVED, i->in, 3);
	count_sum(port, FL_COUNT_SENT, i->out, 3);
}

static void count_ethernet(struct fl_port *port, const uint32_t *ethernet)
{
	for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
		count32(port, kinds[i].to, ethernet[kinds[i].from]);
	count_sum(port, FL_COUNT_COLLISIONS,
		  &ethernet[FL_SFLOW_SINGLE_COLLISION], 2);
}

/* RFC 2863 section 6 and RFC 3635 section 3.2.4: 6, and three that older
 * agents use. An interface of a VLAN or a loop has no cable. */
static bool is_ethernet(uint32_t type)
{
	return type == 6 || type == 62 || type == 69 || type == 117;
}

static uint32_t megabits(uint64_t speed)
{
	const uint64_t mbit = speed / MEGABIT;
	return mbit > UINT32_MAX ? 0 : (uint32_t)mbit;
}

static void say_port(const struct fl_sflow_sample *s, struct fl_facts *out)
{
	const struct fl_sflow_interface *i = &s->interface;
	struct fl_fact *f = fl_say_port(out);
	f->text = fl_static("sFlow");
	f->other_text = s->name;
	f->port->index = i->index;
	f->port->enabled = i->status & ADMIN_UP;
	f->port->link = i->status & OPERATION_UP;
	f->port->mbit = megabits(i->speed);
	f->port->duplex = i->direction == FULL_DUPLEX ? FL_DUPLEX_FULL
			: i->direction == HALF_DUPLEX ? FL_DUPLEX_HALF
						      : FL_DUPLEX_UNKNOWN;
	count_interface(f->port, i);
	/* Errors of no kind are told where no kinds are, so that none is
	 * counted twice. */
	if (s->ethernet_told)
		count_ethernet(f->port, s->ethernet);
	else
		count32(f->port, FL_COUNT_ERRORS, i->in[IN_ERRORS]);
}

static void say_uptime(const struct fl_sflow *sflow, struct fl_facts *out)
{
	struct fl_fact *f = fl_say(out, FL_FACT_NUMBERED);
	f->aspect = FL_NUMBER_RUNS;
	f->text = fl_static("uptime");
	f->number = sflow->uptime / MILLISECONDS_IN_TICK;
	f->seconds = UINT32_MAX / MILLISECONDS_IN_TICK + 1;
}

enum fl_status fl_decode_sflow(const struct fl_packet *packet,
			       struct fl_cursor *c, struct fl_facts *out,
			       enum fl_manner *manner)
{
	(void)packet, (void)manner;
	struct fl_sflow sflow;
	if (fl_sflow_read(c, &sflow) != FL_OK)
		return c->status;
	say_uptime(&sflow, out);
	for (uint32_t i = 0; i < sflow.samples && fl_ok(c); i++) {
		struct fl_sflow_sample sample;
		if (!fl_sflow_sample(c, &sample) || !sample.interface_told ||
		    !is_ethernet(sample.interface.type))
			continue;
		if (out->port_n == FL_FACTS_PORTS)
			fl_refuse(c, FL_FULL, "too many ports");
		else
			say_port(&sample, out);
	}
	return c->status;
}
