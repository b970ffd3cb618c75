/* sflow.h -- what one sFlow datagram counted of each port.
 *
 * Source  sFlow Version 5 (sflow.org, July 2004), section 5
 * Owns    nothing: names borrow the datagram
 * Ceiling FL_SFLOW_SAMPLES_MAX samples, FL_SFLOW_RECORDS_MAX records in one,
 *         FL_FACTS_PORTS ports; else FL_FULL
 */
#ifndef FL_DECODE_SFLOW_H
#define FL_DECODE_SFLOW_H

#include "decode/decode.h"

enum { FL_SFLOW_SAMPLES_MAX = 256, FL_SFLOW_RECORDS_MAX = 64 };

/* Counters in the order in which they stand; all ones: not counted. */
struct fl_sflow_interface {          /* if_counters                   */
	uint32_t index, type;
	uint64_t speed;              /* bit/s                         */
	uint32_t direction, status;
	uint64_t octets_in;
	uint32_t in[6];              /* unicast, multicast, broadcast,
				      * discarded, errors, unknown    */
	uint64_t octets_out;
	uint32_t out[5];             /* the same, but for unknown     */
	uint32_t promiscuous;
};

enum fl_sflow_ethernet {             /* ethernet_counters             */
	FL_SFLOW_ALIGNMENT, FL_SFLOW_FCS, FL_SFLOW_SINGLE_COLLISION,
	FL_SFLOW_MULTIPLE_COLLISION, FL_SFLOW_SQE, FL_SFLOW_DEFERRED,
	FL_SFLOW_LATE_COLLISION, FL_SFLOW_EXCESSIVE_COLLISION,
	FL_SFLOW_INTERNAL_SENT, FL_SFLOW_CARRIER_SENSE, FL_SFLOW_TOO_LONG,
	FL_SFLOW_INTERNAL_RECEIVED, FL_SFLOW_SYMBOL, FL_SFLOW_ETHERNET,
};

/* One counters sample. */
struct fl_sflow_sample {
	uint32_t sequence, source_type, source_index;
	bool     interface_told, ethernet_told;
	struct fl_sflow_interface interface;
	uint32_t ethernet[FL_SFLOW_ETHERNET];
	struct fl_slice name;
};

struct fl_sflow {
	struct fl_ip agent;
	uint32_t sub_agent, sequence;
	uint32_t uptime;             /* ms                            */
	uint32_t samples;            /* as announced                  */
};

/* Read up to the first sample. Returns c->status. */
enum fl_status fl_sflow_read(struct fl_cursor *c, struct fl_sflow *sflow);
/* The next sample. False: it counts nothing, and was passed over. */
bool fl_sflow_sample(struct fl_cursor *c, struct fl_sflow_sample *sample);

#endif
