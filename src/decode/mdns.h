/* mdns.h -- one Multicast DNS message, with what DNS-SD reads in its names.
 *
 * Source  RFC 6762 section 18 (message); RFC 6763 sections 4 and 7 (names)
 * Owns    nothing: all slices borrow the message
 * Ceiling FL_MDNS_QUESTIONS_MAX and FL_MDNS_RECORDS_MAX, else FL_FULL
 */
#ifndef FL_DECODE_MDNS_H
#define FL_DECODE_MDNS_H

#include "decode/dns.h"

enum { FL_MDNS_QUESTIONS_MAX = 128, FL_MDNS_RECORDS_MAX = 256 };

struct fl_mdns {
	struct fl_dns dns;
	size_t question_n, record_n;
	size_t section[4];   /* the first record of each section, the end   */
	struct fl_dns_question questions[FL_MDNS_QUESTIONS_MAX];
	struct fl_dns_record   records[FL_MDNS_RECORDS_MAX];
};

/* Read one whole UDP payload. Returns c->status. */
enum fl_status fl_mdns_read(struct fl_cursor *c, struct fl_mdns *message);

/* A query that proposes records in its authority section is a probe (RFC
 * 6762 section 8.1). */
bool fl_mdns_is_probe(const struct fl_mdns *message);

/* Parts of <Instance>.<Service>.<Domain>, RFC 6763 section 4.1: the number of
 * the service's first label, which "_tcp" or "_udp" follows (section 7); or
 * -1. Number 0 is a service type, else the labels before it are an instance
 * or, before "_sub", a subtype (section 7.1). */
int fl_mdns_service(const struct fl_dns *dns, struct fl_dns_name name);

#endif
