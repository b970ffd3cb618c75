/* membership.h -- who listens to which multicast group: what IGMP and MLD
 * have in common.
 *
 * Source  RFC 3376 sections 4.1 and 4.2, RFC 3810 sections 5.1 and 5.2. The
 *         older reports are held as the record they are equal to (RFC 3376
 *         section 7.3.2, RFC 3810 section 8.3.2)
 * Units   response in milliseconds, interval in seconds
 * Ceiling FL_RECORDS_MAX records are kept; the rest is counted and checked
 */
#ifndef FL_DECODE_MEMBERSHIP_H
#define FL_DECODE_MEMBERSHIP_H

#include "decode/decode.h"

enum { FL_RECORDS_MAX = FL_FACTS_MAX };

/* RFC 3376 section 4.2.12, RFC 3810 section 5.2.12. */
enum fl_record_type {
	FL_RECORD_IS_IN = 1, FL_RECORD_IS_EX, FL_RECORD_TO_IN, FL_RECORD_TO_EX,
	FL_RECORD_ALLOW, FL_RECORD_BLOCK,
};

struct fl_group_record {
	uint8_t      type;
	uint16_t     sources;
	struct fl_ip group;
};

struct fl_membership {
	bool     query;                  /* else a report or a leave         */
	uint8_t  version;                /* of IGMP or MLD                   */
	struct fl_ip group;              /* query: unspecified asks for all  */
	uint32_t response;               /* query: longest time to answer    */
	uint32_t interval;               /* query: from one to the next, 0
					  * where the version does not say   */
	uint8_t  robustness;
	bool     suppress;
	uint16_t sources;
	uint16_t records;                /* as announced                     */
	size_t   kept;
	struct fl_group_record record[FL_RECORDS_MAX];
};

/* How one of the two families writes a message. */
struct fl_membership_family {
	struct fl_ip (*address)(struct fl_cursor *c);
	size_t      address_octets;
	const char *not_a_group;         /* rule that a report's group broke */
};

/* A code whose top bit makes it a float: `mantissa` bits below three of
 * exponent (RFC 3376 section 4.1.1: 4 bits; RFC 3810 section 5.1.3: 12). */
uint32_t fl_scaled_code(uint32_t code, unsigned mantissa);

/* Flags, interval code and sources of a version 3 IGMP or version 2 MLD
 * query. */
void fl_membership_read_query(struct fl_cursor *c, struct fl_membership *m,
			      const struct fl_membership_family *family);
/* The only record of an older report. */
void fl_membership_read_one(struct fl_cursor *c, struct fl_membership *m,
			    enum fl_record_type type,
			    const struct fl_membership_family *family);
/* The count of records, and the records. */
void fl_membership_read_records(struct fl_cursor *c, struct fl_membership *m,
				const struct fl_membership_family *family);

/* Whether a report joins a group anew, keeps or joins one, as told by its
 * records. */
bool fl_membership_joins(const struct fl_membership *m);
bool fl_membership_wants(const struct fl_membership *m);
/* WANTS for each record, or SERVES for a query. A report of nothing but
 * current states is taken for an answer to a query. */
void fl_membership_say(const struct fl_packet *packet,
		       const struct fl_membership *m, struct fl_facts *out,
		       enum fl_manner *manner);

#endif
