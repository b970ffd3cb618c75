/* dns.h -- a message in the form of the DNS, for each protocol that uses it.
 *
 *   fl_dns_read(c, &dns)       the header; `dns` remembers where it began
 *   fl_dns_question(c, &dns)   then as many questions as it counts,
 *   fl_dns_record(c, &dns)     then the records of its three sections
 *
 * Names stay where they lie: a name is the place it begins at, and is walked
 * label by label. Reading it once proves that each later walk ends.
 *
 * Source  RFC 1035 sections 3.1, 3.2, 3.3 and 4.1; RFC 2782 (SRV);
 *         RFC 3596 section 2.2 (AAAA); RFC 6763 section 6 (TXT pairs)
 * Owns    nothing: all slices borrow the message
 * Ceiling a name has 255 octets and FL_DNS_POINTERS_MAX pointers, each of
 *         which leads back before the part of the name it ends
 */
#ifndef FL_DECODE_DNS_H
#define FL_DECODE_DNS_H

#include "base/cursor.h"

enum {
	FL_DNS_LABEL_MAX = 63, FL_DNS_NAME_MAX = 255,
	FL_DNS_POINTERS_MAX = 127,
};

/* RFC 1035 section 3.2.2, RFC 2782, RFC 3596: the types read or named. */
enum fl_dns_type {
	FL_DNS_A = 1, FL_DNS_PTR = 12, FL_DNS_TXT = 16, FL_DNS_AAAA = 28,
	FL_DNS_SRV = 33, FL_DNS_ANY = 255,
};
enum { FL_DNS_INTERNET = 1 };        /* class IN                            */

enum fl_dns_section { FL_DNS_ANSWERS, FL_DNS_AUTHORITY, FL_DNS_ADDITIONAL };

struct fl_dns {
	struct fl_cursor start;      /* the whole message                   */
	uint16_t id;
	bool     response;           /* QR                                  */
	uint8_t  opcode, rcode;
	bool     truncated;          /* TC                                  */
	bool     top;                /* 0x0400: AA; LLMNR's conflict bit    */
	bool     second;             /* 0x0100: RD; LLMNR's tentative bit   */
	uint16_t questions, records[3];
};

struct fl_dns_name {
	uint32_t at;                 /* octets from the message's start     */
	uint8_t  labels;             /* the root left out                   */
	uint8_t  octets;             /* uncompressed, the root included     */
};

struct fl_dns_question {
	struct fl_dns_name name;
	uint16_t type, class;       /* class without its top bit           */
	bool     unicast;            /* that bit: QU, RFC 6762 section 5.4  */
};

struct fl_dns_record {
	struct fl_dns_name name;
	uint16_t type, class;
	bool     flush;              /* its top bit, RFC 6762 section 10.2  */
	uint32_t ttl;
	struct fl_slice data;
	struct fl_ip    ip;          /* A, AAAA                             */
	struct fl_dns_name target;   /* PTR, SRV                            */
	uint16_t priority, weight, port;                           /* SRV   */
};

enum fl_status fl_dns_read(struct fl_cursor *c, struct fl_dns *dns);
struct fl_dns_question fl_dns_question(struct fl_cursor *c,
				       const struct fl_dns *dns);
struct fl_dns_record fl_dns_record(struct fl_cursor *c,
				   const struct fl_dns *dns);

/* The number'th label, counted from the left; empty past the last one. */
struct fl_slice fl_dns_label(const struct fl_dns *dns, struct fl_dns_name name,
			     unsigned number);
/* Whether a label is this text, in either case (RFC 1035 section 2.3.3). */
bool fl_dns_label_is(struct fl_slice label, const char *text);
/* `count` labels from number `first` on with dots between; a dot within a
 * label stays as it is. Borrows `out`. */
struct fl_slice fl_dns_text(const struct fl_dns *dns, struct fl_dns_name name,
			    unsigned first, unsigned count,
			    uint8_t out[static FL_DNS_NAME_MAX]);
/* The value of `key` in a TXT record's data: at NULL where the key is not
 * there; the first one counts (RFC 6763 section 6.4). */
struct fl_slice fl_dns_txt(struct fl_slice data, const char *key);

#endif
