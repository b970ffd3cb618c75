/* dns.c -- header, names, questions and records of a DNS message.
 *
 * Source  RFC 1035 sections 3.1 and 4.1; RFC 2782 (SRV); RFC 3596 (AAAA)
 * Refuses a pointer that does not lead back, a reserved label, a name over 255
 *         octets, data that its type's rule does not fit
 */
#include "decode/dns.h"

static const char
	TOO_LONG[] = "RFC 1035 section 3.1: a name has 255 octets",
	RESERVED[] = "RFC 1035 section 4.1.4: 01 and 10 are reserved";

/* One step after the other along a name, from part to part. */
struct walk {
	struct fl_cursor at;
	size_t   part;               /* where the part now walked began     */
	size_t   octets;
	unsigned pointers;
};

static size_t place(const struct fl_dns *dns, const struct fl_cursor *c)
{
	return fl_offset(c) - fl_offset(&dns->start);
}

/* RFC 1035 section 4.1.4: a pointer names a prior place. Each must lead back
 * before the part it ends, so no walk comes by one place twice. */
static void jump(struct walk *w, const struct fl_dns *dns, size_t to)
{
	if (to >= w->part)
		fl_refuse(&w->at, FL_MALFORMED,
			  "RFC 1035 section 4.1.4: a pointer leads back");
	else if (++w->pointers > FL_DNS_POINTERS_MAX)
		fl_refuse(&w->at, FL_FULL, "too many pointers in a name");
	if (!fl_ok(&w->at))
		return;
	w->at = dns->start;
	fl_skip(&w->at, to);
	w->part = to;
}

/* The next label, empty at the root or on refusal. The pointer that ended
 * the name's own part leaves its cursor in `behind`, if that is not NULL. */
static struct fl_slice step(struct walk *w, const struct fl_dns *dns,
			    struct fl_cursor *behind)
{
	for (;;) {
		const uint8_t head = fl_u8(&w->at);
		if (head <= FL_DNS_LABEL_MAX) {
			w->octets += head + 1u;
			if (w->octets > FL_DNS_NAME_MAX)
				fl_refuse(&w->at, FL_MALFORMED, TOO_LONG);
			return fl_take(&w->at, head);
		}
		if (head < 0xc0) {
			fl_refuse(&w->at, FL_MALFORMED, RESERVED);
			continue;
		}
		const size_t to = (head & 0x3fu) << 8 | fl_u8(&w->at);
		if (behind && !w->pointers)
			*behind = w->at;
		jump(w, dns, to);
	}
}

static struct walk walk_from(const struct fl_dns *dns, struct fl_dns_name name)
{
	struct walk w = { .at = dns->start, .part = name.at };
	fl_skip(&w.at, name.at);
	return w;
}

static struct fl_dns_name read_name(struct fl_cursor *c,
				    const struct fl_dns *dns)
{
	const size_t at = place(dns, c);
	struct fl_dns_name name = { .at = (uint32_t)at };
	struct walk w = { .at = *c, .part = at };
	while (step(&w, dns, c).n)
		name.labels++;
	name.octets = (uint8_t)w.octets;
	if (w.pointers)
		fl_join(c, &w.at);
	else
		*c = w.at;
	return name;
}

enum fl_status fl_dns_read(struct fl_cursor *c, struct fl_dns *dns)
{
	*dns = (struct fl_dns){ .start = *c };
	dns->id = fl_u16(c);
	const uint16_t flags = fl_u16(c);      /* RFC 1035 section 4.1.1 */
	dns->response = flags & 0x8000;
	dns->opcode = flags >> 11 & 0xf;
	dns->top = flags & 0x0400;
	dns->truncated = flags & 0x0200;
	dns->second = flags & 0x0100;
	dns->rcode = flags & 0xf;
	dns->questions = fl_u16(c);
	for (size_t i = 0; i < 3; i++)
		dns->records[i] = fl_u16(c);
	return c->status;
}

struct fl_dns_question fl_dns_question(struct fl_cursor *c,
				       const struct fl_dns *dns)
{
	struct fl_dns_question q = { .name = read_name(c, dns) };
	q.type = fl_u16(c);
	const uint16_t class = fl_u16(c);
	q.class = class & 0x7fff;
	q.unicast = class & 0x8000;
	return q;
}

/* RFC 1035 section 3.3.14: strings with a length octet each; RFC 6763 section
 * 6.1 lets none at all stand for one empty string. */
static void check_strings(struct fl_cursor *data)
{
	while (fl_ok(data) && fl_left(data))
		fl_skip(data, fl_u8(data));
}

static const char *rule_of(uint16_t type)
{
	switch (type) {
	case FL_DNS_A:    return "RFC 1035 section 3.4.1: A has 4 octets";
	case FL_DNS_AAAA: return "RFC 3596 section 2.2: AAAA has 16 octets";
	case FL_DNS_PTR:  return "RFC 1035 section 3.3.12: PTR is one name";
	case FL_DNS_SRV:  return "RFC 2782: SRV is three numbers and a name";
	case FL_DNS_TXT:  return "RFC 1035 section 3.3.14: TXT is strings";
	}
	return NULL;
}

static void read_data(struct fl_cursor *data, const struct fl_dns *dns,
		      struct fl_dns_record *r)
{
	switch (r->type) {
	case FL_DNS_A:
		r->ip = fl_ip4(data);
		break;
	case FL_DNS_AAAA:
		r->ip = fl_ip6(data);
		break;
	case FL_DNS_SRV:
		r->priority = fl_u16(data);
		r->weight = fl_u16(data);
		r->port = fl_u16(data);
		r->target = read_name(data, dns);
		break;
	case FL_DNS_PTR:
		r->target = read_name(data, dns);
		break;
	case FL_DNS_TXT:
		check_strings(data);
		break;
	default:
		fl_rest(data);
	}
}

struct fl_dns_record fl_dns_record(struct fl_cursor *c,
				   const struct fl_dns *dns)
{
	struct fl_dns_record r = { .name = read_name(c, dns) };
	r.type = fl_u16(c);
	const uint16_t class = fl_u16(c);
	r.class = class & 0x7fff;
	r.flush = class & 0x8000;
	r.ttl = fl_u32(c);
	struct fl_cursor data = fl_sub(c, fl_u16(c)), whole = data;
	r.data = fl_rest(&whole);
	read_data(&data, dns, &r);
	/* The data lies whole before us: too short is a broken rule here. */
	if (fl_ok(c) && (data.status == FL_SHORT || fl_left(&data)))
		fl_refuse(c, FL_MALFORMED, rule_of(r.type));
	fl_join(c, &data);
	return r;
}

struct fl_slice fl_dns_label(const struct fl_dns *dns, struct fl_dns_name name,
			     unsigned number)
{
	struct walk w = walk_from(dns, name);
	struct fl_slice label = step(&w, dns, NULL);
	while (label.n && number--)
		label = step(&w, dns, NULL);
	return label;
}

static uint8_t lower(uint8_t c)
{
	return c >= 'A' && c <= 'Z' ? (uint8_t)(c + ('a' - 'A')) : c;
}

static bool same(struct fl_slice a, struct fl_slice b)
{
	size_t i = 0;
	while (a.n == b.n && i < a.n && lower(a.at[i]) == lower(b.at[i]))
		i++;
	return a.n == b.n && i == a.n;
}

static struct fl_slice slice_of(const char *text)
{
	return (struct fl_slice){ (const uint8_t *)text, strlen(text) };
}

bool fl_dns_label_is(struct fl_slice label, const char *text)
{
	return same(label, slice_of(text));
}

struct fl_slice fl_dns_text(const struct fl_dns *dns, struct fl_dns_name name,
			    unsigned first, unsigned count,
			    uint8_t out[static FL_DNS_NAME_MAX])
{
	struct walk w = walk_from(dns, name);
	size_t n = 0;
	for (unsigned i = 0; i < first + count; i++) {
		const struct fl_slice label = step(&w, dns, NULL);
		if (!label.n || n + 1 + label.n > FL_DNS_NAME_MAX)
			break;
		if (i < first)
			continue;
		if (n)
			out[n++] = '.';
		memcpy(out + n, label.at, label.n);
		n += label.n;
	}
	return (struct fl_slice){ out, n };
}

struct fl_slice fl_dns_txt(struct fl_slice data, const char *key)
{
	const struct fl_slice wanted = slice_of(key);
	struct fl_cursor c = fl_cursor(data.at, data.n);
	while (fl_ok(&c) && fl_left(&c)) {
		struct fl_cursor pair = fl_sub(&c, fl_u8(&c));
		const uint8_t *equals = memchr(pair.at, '=', fl_left(&pair));
		const size_t n = equals ? (size_t)(equals - pair.at)
					: fl_left(&pair);
		if (!same(fl_take(&pair, n), wanted))
			continue;
		if (equals)
			fl_skip(&pair, 1);
		return fl_rest(&pair);
	}
	return (struct fl_slice){ NULL, 0 };
}
