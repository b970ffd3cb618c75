/* dhcp4_read.c -- the octets of a DHCP message, option by option.
 *
 * Refuses a wrong cookie, a missing message type or END, an option whose
 *         length breaks its own rule
 * Ceiling FL_DHCP4_JOINED_MAX octets of options that came in parts
 */
#include "decode/dhcp4.h"

enum { COOKIE = 0x63825363 };                /* RFC 2131 section 3          */
enum { PAD = 0, END = 255 };                 /* RFC 2132 sections 3.1, 3.2  */
enum { IN_FILE = 1, IN_SNAME = 2 };          /* RFC 2132 section 9.3        */
enum { CHADDR = 16, SNAME = 64, FILE_NAME = 128 };
enum { ETHERNET = 1, IEEE_802 = 6 };         /* htype, RFC 1700             */

enum form { OCTET, SHORT, LONG, ADDRESS, TEXT, OCTETS };

/* The options read. `unit` 0: exactly `least` octets; else `least` or more,
 * a multiple of `unit`. An empty list or text is let pass as none. */
static const struct {
	uint8_t     code;
	enum form   form;
	uint8_t     least, unit;
	size_t      to;
	const char *rule;
} rows[] = {
#define TO(member) offsetof(struct fl_dhcp4, member)
	{ 1,  ADDRESS, 4, 0, TO(mask),
	  "RFC 2132 section 3.3: a subnet mask has 4 octets" },
	{ 3,  ADDRESS, 4, 4, TO(router),
	  "RFC 2132 section 3.5: routers have 4 octets each" },
	{ 12, TEXT,    0, 1, TO(host_name), NULL },
	{ 50, ADDRESS, 4, 0, TO(requested),
	  "RFC 2132 section 9.1: a requested address has 4 octets" },
	{ 51, LONG,    4, 0, TO(lease),
	  "RFC 2132 section 9.2: a lease time has 4 octets" },
	{ 52, OCTET,   1, 0, TO(overload),
	  "RFC 2132 section 9.3: an option overload has 1 octet" },
	{ 53, OCTET,   1, 0, TO(type),
	  "RFC 2132 section 9.6: a message type has 1 octet" },
	{ 54, ADDRESS, 4, 0, TO(server),
	  "RFC 2132 section 9.7: a server identifier has 4 octets" },
	{ 55, OCTETS,  0, 1, TO(parameters), NULL },
	{ 57, SHORT,   2, 0, TO(largest),
	  "RFC 2132 section 9.10: a message size has 2 octets" },
	{ 58, LONG,    4, 0, TO(renew),
	  "RFC 2132 section 9.11: a renewal time has 4 octets" },
	{ 59, LONG,    4, 0, TO(rebind),
	  "RFC 2132 section 9.12: a rebinding time has 4 octets" },
	{ 60, TEXT,    0, 1, TO(vendor_class), NULL },
	{ 61, OCTETS,  2, 1, TO(client_id),
	  "RFC 2132 section 9.14: a client identifier has 2 octets or more" },
	{ 81, OCTETS,  3, 1, TO(full_name),
	  "RFC 4702 section 2: a client name has 3 octets or more" },
	{ 82, OCTETS,  2, 1, TO(relay),
	  "RFC 3046 section 2.0: relay information has 2 octets or more" },
#undef TO
};
enum { ROWS = sizeof rows / sizeof rows[0] };

/* An option's octets; `first` stands at its first part, to be refused. */
struct option {
	bool             seen;
	struct fl_cursor first;
	struct fl_slice  value;
};

/* RFC 3396 section 7: the parts of an option are one after the other, in the
 * order of the areas, whatever lies between them. */
static void append(struct fl_cursor *c, struct fl_dhcp4 *m, struct option *o,
		   struct fl_slice part)
{
	uint8_t *end = m->joined + m->joined_n;
	const bool last = o->value.n && o->value.at + o->value.n == end;
	const size_t moved = last ? 0 : o->value.n;

	if (moved + part.n > FL_DHCP4_JOINED_MAX - m->joined_n) {
		fl_refuse(c, FL_FULL, "RFC 3396 section 7: too long together");
		return;
	}
	if (moved) {
		memcpy(end, o->value.at, moved);
		o->value.at = end;
	}
	if (!o->value.n)
		o->value.at = end;
	if (part.n)
		memcpy(end + moved, part.at, part.n);
	o->value.n += part.n;
	m->joined_n += moved + part.n;
}

static void keep(struct fl_cursor *c, struct fl_dhcp4 *m, struct option *o,
		 struct fl_cursor *part)
{
	const struct fl_cursor first = *part;
	const struct fl_slice value = fl_rest(part);

	if (o->seen)
		append(c, m, o, value);
	else
		*o = (struct option){ true, first, value };
}

/* One area of options up to its END. RFC 2131 section 4.1: END is always the
 * last one, so an area that ends before it was cut, also between options. */
static void gather(struct fl_cursor *c, struct fl_dhcp4 *m,
		   struct option options[static ROWS])
{
	while (fl_ok(c)) {
		const uint8_t code = fl_u8(c);
		if (code == PAD)
			continue;
		if (code == END)
			return;
		struct fl_cursor part = fl_sub(c, fl_u8(c));
		for (size_t r = 0; r < ROWS && fl_ok(c); r++)
			if (rows[r].code == code)
				keep(c, m, &options[r], &part);
	}
}

/* RFC 2132 section 2: a receiver deletes the NULs at the end of a text. */
static struct fl_slice text_of(struct fl_slice s)
{
	while (s.n && !s.at[s.n - 1])
		s.n--;
	return s;
}

static void read_value(size_t row, struct option *o, struct fl_dhcp4 *m)
{
	const size_t n = o->value.n, least = rows[row].least;
	const uint8_t unit = rows[row].unit;
	if (unit ? n < least || n % unit : n != least) {
		fl_refuse(&o->first, FL_MALFORMED, rows[row].rule);
		return;
	}
	struct fl_cursor v = fl_cursor(o->value.at, n);
	void *to = (unsigned char *)m + rows[row].to;
	switch (rows[row].form) {
	case OCTET:   *(uint8_t *)to = fl_u8(&v);                break;
	case SHORT:   *(uint16_t *)to = fl_u16(&v);              break;
	case LONG:    *(uint32_t *)to = fl_u32(&v);              break;
	case ADDRESS: *(struct fl_ip *)to = fl_ip4(&v);          break;
	case TEXT:    *(struct fl_slice *)to = text_of(o->value);break;
	case OCTETS:  *(struct fl_slice *)to = o->value;         break;
	}
}

static void read_values(struct fl_cursor *c, struct fl_dhcp4 *m,
			struct option options[static ROWS])
{
	for (size_t r = 0; r < ROWS && fl_ok(c); r++) {
		if (!options[r].seen)
			continue;
		read_value(r, &options[r], m);
		fl_join(c, &options[r].first);
	}
}

/* RFC 3046 section 2.0: suboptions of one code and one length octet each. */
static void read_relay(struct fl_cursor *c, struct fl_dhcp4 *m)
{
	struct fl_cursor v = fl_cursor(m->relay.at, m->relay.n);
	while (fl_ok(&v) && fl_left(&v)) {
		const uint8_t code = fl_u8(&v);
		const struct fl_slice value = fl_take(&v, fl_u8(&v));
		if (code == 1)
			m->circuit = value;
		if (code == 2)
			m->remote = value;
	}
	if (!fl_ok(&v))
		fl_refuse(c, FL_MALFORMED,
			  "RFC 3046 section 2.0: a suboption is whole");
}

/* RFC 2131 section 4.4.5: half and seven eighths of the lease; section 3.3: a
 * lease of all ones never ends, nor does any part of it. */
static void fill_times(struct fl_dhcp4 *m)
{
	const bool ends = m->lease != UINT32_MAX;
	if (!m->renew)
		m->renew = ends ? m->lease / 2 : UINT32_MAX;
	if (!m->rebind)
		m->rebind = ends ? m->lease - m->lease / 8 : UINT32_MAX;
}

static void read_fixed(struct fl_cursor *c, struct fl_dhcp4 *m)
{
	m->op = fl_u8(c);
	if (m->op != 1 && m->op != 2)
		fl_refuse(c, FL_MALFORMED, "RFC 2131 section 2: op is 1 or 2");
	m->htype = fl_u8(c);
	m->hlen = fl_u8(c);
	if (m->hlen > CHADDR)
		fl_refuse(c, FL_MALFORMED,
			  "RFC 2131 section 2: chaddr has 16 octets");
	m->hops = fl_u8(c);
	m->xid = fl_u32(c);
	m->secs = fl_u16(c);
	m->flags = fl_u16(c);
	m->ciaddr = fl_ip4(c);
	m->yiaddr = fl_ip4(c);
	m->siaddr = fl_ip4(c);
	m->giaddr = fl_ip4(c);
	struct fl_cursor chaddr = fl_sub(c, CHADDR), mac = chaddr;
	m->hardware = fl_take(&chaddr, m->hlen);
	if (m->hlen == sizeof m->chaddr &&
	    (m->htype == ETHERNET || m->htype == IEEE_802))
		m->chaddr = fl_mac(&mac);
}

enum fl_status fl_dhcp4_read(struct fl_cursor *c, struct fl_dhcp4 *m)
{
	struct option options[ROWS] = { 0 };
	*m = (struct fl_dhcp4){ 0 };
	read_fixed(c, m);
	struct fl_cursor sname = fl_sub(c, SNAME);
	struct fl_cursor file = fl_sub(c, FILE_NAME);
	m->sname = (struct fl_slice){ sname.at, fl_left(&sname) };
	m->file = (struct fl_slice){ file.at, fl_left(&file) };
	if (fl_u32(c) != COOKIE)
		fl_refuse(c, FL_MALFORMED, "RFC 2131 section 3: magic cookie");
	gather(c, m, options);
	read_values(c, m, options);
	/* RFC 2131 section 4.1: options first, then file, then sname. */
	if (m->overload & IN_FILE)
		gather(&file, m, options);
	if (m->overload & IN_SNAME)
		gather(&sname, m, options);
	fl_join(c, &file);
	fl_join(c, &sname);
	read_values(c, m, options);
	if (m->relay.n)
		read_relay(c, m);
	fill_times(m);
	if (!m->type)
		fl_refuse(c, FL_MALFORMED,
			  "RFC 2131 section 3: a message type is included");
	return c->status;
}
