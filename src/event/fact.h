/* fact.h -- what a decoder says: the only thing the right of it ever hears.
 *
 * Facts are few and name no protocol, so a new decoder needs no change to
 * the right of this header.
 *
 * Shapes  fl_facts holds up to FL_FACTS_MAX facts of one frame, by value
 * Units   seconds are seconds; addresses are in wire order
 * Owns    nothing but `kept`: texts borrow the frame, or `kept` where they do
 *         not lie in the frame as they read, and die with the frame's facts;
 *         tally copies what it keeps
 * Errors  saying one fact too many sets `spilled`; the extra fact lands in
 *         a scratch slot and is dropped, so fl_say() never returns NULL. A
 *         text too many for `kept` sets `spilled` too and reads as empty
 */
#ifndef FL_EVENT_FACT_H
#define FL_EVENT_FACT_H

#include "base/cursor.h"
#include "event/port.h"

enum { FL_FACTS_MAX = 64, FL_KEPT_MAX = 2048, FL_FACTS_PORTS = 32 };

enum fl_fact_kind {
#define FACT(kind, means) FL_FACT_##kind,
#include "event/facts.def"
#undef FACT
};

/* IDENTITY: which property `text` (or `ip`) is. */
enum fl_identity {
	FL_ID_NAME,       /* host name, system name: text                  */
	FL_ID_SERVICE,    /* a service it offers, "_http._tcp": text       */
	FL_ID_MODEL, FL_ID_MAKER, FL_ID_SERIAL, FL_ID_SOFTWARE, FL_ID_HARDWARE,
	FL_ID_KIND,       /* radar, switch, router ...: text               */
	FL_ID_ADDRESS,    /* one of its own addresses: ip                  */
};

/* STARTING, LINKING and LEAVING: the mechanism that spoke. Signs of one
 * mechanism count once a return (it would be the same event told twice). */
enum fl_mechanism {
	FL_BY_STACK,      /* DAD, MLD from ::, router solicitation         */
	FL_BY_ADDRESS,    /* the form of DHCP, an ARP probe                */
	FL_BY_SERVICES,   /* a boot number, a name probe, a goodbye        */
	FL_BY_NUMBERS,    /* a sequence that ran on or began anew          */
	FL_BY_SWITCH,     /* a trap, LLDP of the switch, a topology change */
};

/* CLAIM: how sure the claim is. */
enum fl_claim {
	FL_CLAIM_USES,    /* sends from the address or announces it        */
	FL_CLAIM_PROBES,  /* asks whether somebody uses it; no claim yet   */
};

/* SERVES: what; `ip` is the server's own address. */
enum fl_service {
	FL_SERVES_ADDRESSES,   /* DHCP: it answered, or a client chose it  */
	FL_SERVES_ROUTE,       /* router advertisement, DHCP router option */
	FL_SERVES_QUERIES,     /* IGMP or MLD querier                      */
};

/* WANTS: what. */
enum fl_want {
	FL_WANTS_ADDRESS,      /* asks a server for an address             */
	FL_WANTS_GROUP,        /* joined the group `ip`                    */
	FL_WANTS_NO_GROUP,     /* left the group `ip`                      */
	FL_WANTS_HOST,         /* asks who has `ip`                        */
	FL_WANTS_SERVICE,      /* asks who offers `text`                   */
};

/* NUMBERED: what another number than before tells. */
enum fl_numbered {
	FL_NUMBER_CHANGES,        /* a start                               */
	FL_NUMBER_AHEAD,          /* told ahead of a change, no restart    */
	FL_NUMBER_RUNS,           /* a clock since the start, in 0.01 s: a
				   * start if it is less than it was       */
};

/* SEQUENCE: whose numbers they are. */
enum fl_sequence {
	FL_SEQUENCE_LINES,     /* IEC 61162-450 TAG block line count       */
	FL_SEQUENCE_RTP,       /* RFC 3550 sequence number                 */
	FL_SEQUENCE_MESSAGES,  /* WS-Discovery message number, and the like */
	FL_SEQUENCES,
};

/* Which members each kind fills, beside `kind`:
 *   IDENTITY   aspect = fl_identity, text or ip; seconds: how long it holds;
 *              number 1: `text` is told of the address `ip`, which is not
 *              the one the frame came from; so it says nothing of the
 *              sender's own presence, nor of the presence of `ip`
 *   STARTING   aspect = fl_mechanism, text: the form ("DISCOVER"), number:
 *              a boot number where there is one
 *   LINKING    as STARTING
 *   LEAVING    aspect = fl_mechanism, text
 *   CLAIM      aspect = fl_claim, ip, mac: who claims (not always the sender)
 *   CONFLICT   ip, mac: who complains
 *   SERVES     aspect = fl_service, ip: the server, other: what it gave,
 *              mac: whom it served, seconds: how long it holds,
 *              number: prefix length of its network where told (0 unknown)
 *   WANTS      aspect = fl_want, ip or text
 *   NEIGHBOUR  text: chassis, other_text: port, or its description where the
 *              port is an address; third_text: system name,
 *              number: fl_neighbour bits;
 *              seconds: time to live;
 *              speeds: Mbit/s it can do at most << 32 | Mbit/s it does
 *   NUMBERED   aspect = fl_numbered, text: which number ("BOOTID"), number;
 *              other_text: the number as it stood where it is not a decimal
 *              one; third_text: whose, where a station has several of that
 *              name; seconds, of a clock: at which number it begins anew by
 *              itself (0: 2^32)
 *   TOPOLOGY   text: root bridge, number: 1 if a change is signalled,
 *              other_text: the sending bridge
 *   SEQUENCE   aspect = fl_sequence, number; seconds: how many numbers there
 *              are before they begin anew (0: 2^32); speeds: tells one row of
 *              numbers of this stream from another
 *   PORT       port, all that was told of it; text: how ("trap", "sFlow",
 *              "syslog"); other_text: its name, where told
 *   PAUSE      number: quanta of 512 bit times
 * `mac` is the station a fact is about; none means the frame's sender. */
struct fl_fact {
	enum fl_fact_kind kind;
	unsigned        aspect;
	struct fl_mac   mac;
	struct fl_ip    ip, other;
	uint32_t        seconds;
	uint32_t        number;
	uint64_t        speeds;
	struct fl_slice text, other_text, third_text;
	struct fl_port *port;            /* PORT: lies in the facts; its name
					  * is other_text                   */
};

/* NEIGHBOUR's number: system capabilities enabled, IEEE Std 802.1AB-2016
 * section 8.5.8 table 8-4, as on the wire. */
enum fl_neighbour {
	FL_IS_REPEATER = 0x02, FL_IS_BRIDGE = 0x04, FL_IS_ACCESS_POINT = 0x08,
	FL_IS_ROUTER = 0x10, FL_IS_STATION = 0x80,
};

struct fl_facts {
	size_t         n;
	bool           spilled;
	struct fl_fact at[FL_FACTS_MAX + 1];   /* last slot is scratch */
	size_t         kept_n;
	uint8_t        kept[FL_KEPT_MAX];      /* emptied with `n` at 0 */
	size_t         port_n;                 /* so too                */
	struct fl_port ports[FL_FACTS_PORTS + 1];
};

/* Append a zeroed fact of `kind` and return it to be filled in. */
struct fl_fact *fl_say(struct fl_facts *facts, enum fl_fact_kind kind);
/* The same of kind PORT, with a zeroed port; one too many lands in a scratch slot
 * too. */
struct fl_fact *fl_say_port(struct fl_facts *facts);
/* Copy a text that dies before the frame's facts do; all of it or nothing. */
struct fl_slice fl_keep(struct fl_facts *facts, struct fl_slice text);
/* A slice over a NUL-closed static text. */
struct fl_slice fl_static(const char *text);
/* "STARTING" for FL_FACT_STARTING, as in the journal; and back, -1: none. */
const char *fl_fact_name(enum fl_fact_kind kind);
int fl_fact_named(const char *name);

#endif
