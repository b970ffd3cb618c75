/* decode.h -- a frame in, its headers and facts out; no state is kept.
 *
 * fl_packet_read() peels Ethernet or cooked headers, tags, LLC/SNAP, IPv4,
 * IPv6 with extension headers, UDP and TCP down to the payload, for every
 * frame. fl_decoder_for() then finds the one decoder that reads the payload,
 * and fl_decode() runs it, all or nothing.
 */
#ifndef FL_DECODE_DECODE_H
#define FL_DECODE_DECODE_H

#include "base/log_words.h"
#include "event/fact.h"
#include "event/frame.h"

enum { FL_NO_VLAN = 0, FL_VLANS_MAX = 4 };

/* How far the headers could be read. */
enum fl_layer {
	FL_LAYER_NONE,      /* shorter than a link header                     */
	FL_LAYER_LINK,      /* `ethertype` or `sap` is known                  */
	FL_LAYER_NETWORK,   /* source and target addresses too, `protocol`    */
	FL_LAYER_TRANSPORT, /* UDP or TCP ports too                           */
};

struct fl_packet {
	struct fl_mac source, target;   /* cooked: target inferred, or none  */
	bool     source_known;          /* cooked frames may carry no MAC     */
	bool     outgoing;              /* cooked: sent by the capturing host */
	uint8_t  tags;                  /* 802.1Q and stacked tags passed     */
	uint16_t vlan;                  /* of the outermost tag; id 0 is none */
	uint16_t vlans[FL_VLANS_MAX];   /* every tag's id, outermost first    */
	uint16_t ethertype;             /* 0 where LLC without SNAP           */
	bool     llc;
	uint8_t  sap[2];                /* LLC: DSAP, SSAP                    */
	enum fl_layer layer;
	struct fl_ip from, to;          /* NETWORK                            */
	uint8_t  protocol;              /* IP protocol of the payload         */
	uint8_t  hops;                  /* TTL or hop limit                   */
	bool     fragment;              /* any part of a fragmented packet    */
	bool     later_fragment;        /* not the first: no transport header */
	uint16_t identification;        /* IPv4                               */
	bool     header_sum_bad;        /* IPv4 header checksum does not hold */
	bool     payload_cut;           /* the capture ends before the packet */
	bool     udp_sum_absent;        /* UDP over IPv4 with checksum 0      */
	uint16_t udp_sum;               /* as sent                            */
	uint16_t from_port, to_port;    /* TRANSPORT                          */
	struct fl_cursor payload;       /* what the innermost header holds,
					 * padding after it left out          */
	struct fl_log_words log_words;  /* of whoever reads the frame; none
					 * after fl_packet_read()             */
};

/* Read the headers. Returns payload.status: FL_OK also for a payload that
 * nothing here reads, FL_SHORT where a header is cut, FL_MALFORMED where one
 * breaks its rule; `layer` says what holds all the same. A frame on a link
 * type that is not in enum fl_link gives FL_UNSUPPORTED. */
enum fl_status fl_packet_read(const struct fl_frame *frame,
			      struct fl_packet *packet);
/* Whether the UDP checksum holds: true where it is absent over IPv4, or
 * cannot be computed because the packet is cut or a fragment (RFC 768;
 * RFC 8200 section 8.1: 0 over IPv6 does not hold). */
bool fl_packet_udp_holds(const struct fl_packet *packet);

enum fl_carrier {
	FL_ETHERTYPE,     /* packet.ethertype, any layer                      */
	FL_LLC_SAP,       /* both SAPs equal the selector                     */
	FL_IP_PROTOCOL,   /* packet.protocol                                  */
	FL_UDP_PORT,      /* either port                                      */
};

/* Whether a message is sent unasked; only such may start a silence. */
enum fl_manner { FL_UNASKED, FL_ANSWER };

/* Reads one message at `c` and says its facts. Returns c->status. `packet`
 * gives the addresses around it. `manner` comes in as FL_UNASKED; a decoder
 * that sees an answer to a question sets FL_ANSWER. */
typedef enum fl_status fl_decode_fn(const struct fl_packet *packet,
				    struct fl_cursor *c, struct fl_facts *out,
				    enum fl_manner *manner);

struct fl_decoder {
	const char     *name;
	enum fl_carrier carrier;
	uint16_t        first, last;   /* selectors, both included         */
	fl_decode_fn   *decode;
	const char     *source;        /* the governing text; every
					* MALFORMED `why` begins with a text
					* named here                       */
	const char     *says;          /* one line for people              */
};

extern const struct fl_decoder fl_decoders[];
extern const size_t            fl_decoder_count;

#define DECODER(name, carrier, first, last, source, says) \
	fl_decode_fn fl_decode_##name;
#include "decode/decoders.def"
#undef DECODER

/* The decoder that reads this packet's payload, or NULL. */
const struct fl_decoder *fl_decoder_for(const struct fl_packet *packet);

/* Run one decoder, all or nothing: on refusal `out` is as it was. */
enum fl_status fl_decode(const struct fl_decoder *decoder,
			 const struct fl_packet *packet, struct fl_cursor *c,
			 struct fl_facts *out, enum fl_manner *manner);

#endif
