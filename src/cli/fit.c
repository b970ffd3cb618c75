/* fit.c -- whether a port is fit to listen at: one table, the first row that
 * speaks against it decides, rows that limit it add up. */
#include "cli/fit.h"

#include <string.h>

static bool is_loopback(const struct fl_port_facts *f)  { return f->loopback; }
static bool is_wireless(const struct fl_port_facts *f)  { return f->wireless; }
static bool no_ethernet(const struct fl_port_facts *f)  { return !f->ethernet; }
static bool is_member(const struct fl_port_facts *f)    { return f->member; }
static bool is_virtual(const struct fl_port_facts *f)   { return f->virtual_port; }
static bool is_down(const struct fl_port_facts *f)      { return !f->enabled; }
static bool has_no_link(const struct fl_port_facts *f)  { return !f->link; }
static bool counts_none(const struct fl_port_facts *f)  { return !f->counts_errors; }
static bool saves_power(const struct fl_port_facts *f)  { return f->saves_power; }

/* A link-local IPv6 address comes by itself and nobody works with it. */
static bool has_address(const struct fl_port_facts *f)
{
	for (size_t i = 0; i < f->address_count; i++)
		if (fl_ip_is4(f->addresses[i]) || !fl_ip_is_link_local(f->addresses[i]))
			return true;
	return false;
}

static bool has_address4(const struct fl_port_facts *f)
{
	for (size_t i = 0; i < f->address_count; i++)
		if (fl_ip_is4(f->addresses[i]))
			return true;
	return false;
}

static const struct row {
	bool (*holds)(const struct fl_port_facts *);
	struct fl_reason reason;
} rows[] = {
	{ is_loopback, { "loopback", FL_UNFIT, "it is the laptop talking to itself" } },
	{ is_wireless, { "wireless", FL_UNFIT,
	  "it is Wi-Fi, which hears little of what runs on cables" } },
	{ no_ethernet, { "not-ethernet", FL_UNFIT, "it is not an Ethernet port" } },
	{ is_member, { "member", FL_UNFIT,
	  "a bridge or bond of this laptop has taken it" } },
	{ is_virtual, { "virtual", FL_UNFIT,
	  "it has no plug: a program of this laptop made it" } },
	{ is_down, { "down", FL_NOT_YET, "it is switched off" } },
	{ has_no_link, { "no-link", FL_NOT_YET,
	  "it has no link. Plug it in; has the other end power?" } },
	{ has_address, { "address", FL_LIMITED,
	  "It has an address, so programs of this laptop may talk on it." } },
	{ counts_none, { "no-counts", FL_LIMITED,
	  "It shows no count of bad frames: none came yet, or it counts none." } },
	{ saves_power, { "saves-power", FL_LIMITED,
	  "Its power saving may put it to sleep, which looks like a lost link." } },
};
enum { ROWS = sizeof rows / sizeof rows[0] };

struct fl_fit fl_fit(const struct fl_port_facts *facts)
{
	struct fl_fit fit = { .verdict = FL_FIT };
	for (size_t i = 0; i < ROWS && fit.verdict >= FL_LIMITED; i++) {
		if (!rows[i].holds(facts))
			continue;
		fit.verdict = rows[i].reason.verdict;
		fit.reasons[fit.n++] = &rows[i].reason;
	}
	return fit;
}

size_t fl_fit_sends(const struct fl_port_facts *facts, const char *out[static FL_SENDS])
{
	size_t n = 0;
	if (facts->loopback)
		return 0;
	if (facts->ipv6)
		out[n++] = "IPv6 group reports (MLD), neighbour and router solicitations";
	if (has_address4(facts))
		out[n++] = facts->arp
			? "ARP for its IPv4 address, and what programs send from it"
			: "what programs send from its IPv4 address";
	return n;
}

/* A name that no shell takes for anything else. */
static bool is_plain(const char *name)
{
	static const char plain[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
				    "0123456789._-";
	return name[0] != '-' && name[0] != '.' && name[strspn(name, plain)] == '\0';
}

static void add(struct fl_steps *s, const char *before, const char *name, const char *after)
{
	(void)snprintf(s->at[s->n++], FL_STEP, "%s%s%s", before, name, after);
}

struct fl_steps fl_fit_steps(const struct fl_port_facts *facts)
{
	struct fl_steps s = { .up = !facts->enabled };
	const char *name = facts->name;
	const bool hush = facts->arp && (s.up || has_address4(facts));
	if (!is_plain(name) || fl_fit(facts).verdict == FL_UNFIT) {
		s.up = false;
		return s;
	}
	if (facts->ipv6)
		add(&s, "echo 1 >/proc/sys/net/ipv6/conf/", name, "/disable_ipv6");
	s.cuts = has_address(facts);
	if (s.cuts)
		add(&s, "ip addr flush dev ", name, "");
	s.quiet = s.n > 0 || hush;
	s.awake = facts->saves_power;
	if (s.awake)
		add(&s, "echo on >/sys/class/net/", name, "/device/../power/control");
	/* One call: up and ARP off at once, so that no question slips out. */
	if (s.up || hush)
		add(&s, "ip link set ", name,
		    !s.up ? " arp off" : hush ? " arp off up" : " up");
	return s;
}
