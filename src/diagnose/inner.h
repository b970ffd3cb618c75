/* inner.h -- what the files of diagnose/ share, and nobody else. */
#ifndef FL_DIAGNOSE_INNER_H
#define FL_DIAGNOSE_INNER_H

#include "diagnose/answer.h"
#include "diagnose/diagnose.h"
#include "diagnose/evidence.h"
#include "diagnose/match.h"
#include "plan/graph.h"

/* How one planned device stands, beside what the answer shows. */
struct fl_standing {
	enum fl_state state;
	bool     heard;              /* at least one frame, ever              */
	bool     present;            /* heard, and not silent at the end      */
	bool     left;               /* it said goodbye before it fell silent */
	bool     only_groups;        /* all that is known of it a switch may
				      * hold back                             */
	double   unheard;            /* P(never heard so long | it is there)  */
	fl_time  last;
	int      open;               /* dropout that lasts to the end, or -1  */
	uint32_t dropouts, blinks, starts;   /* of those not withdrawn        */
	fl_time  cadence;
	uint64_t due, beats;
};

/* Dropouts that began together. */
struct fl_happening {
	enum fl_happened what;
	fl_time  from, from_latest;  /* began between these                   */
	fl_time  to;                 /* the last that is back                 */
	bool     open, working;      /* one is still away; one began at work  */
	fl_time  shortest;           /* of their lengths                      */
	uint32_t *dropouts;          /* of the ledger                         */
	size_t   n, fallen;          /* dropouts; devices                     */
	struct fl_devices fell, stayed, blind;
};

struct fl_case {
	const struct fl_ledger *ledger;
	const struct fl_plan   *plan;
	struct fl_region       *region;
	struct fl_matching     *matching;
	struct fl_graph        *graph;
	struct fl_standing     *standing;   /* a row a device                */
	struct fl_happening    *happenings; size_t happening_count;
	int    *device_of;           /* of each presence, or FL_NO_DEVICE      */
	struct fl_answer       *answer;
	fl_time from, to;
	double  seconds;             /* listened, deaf time taken out         */
	double  *hands;              /* a row of FL_MODES a part: fl_hand_log */
	bool    floods;              /* groups nobody here asked for are heard */
};

/* standing.c */
bool fl_stand(struct fl_case *c);
bool fl_show_devices(struct fl_case *c);
/* losses.c */
void fl_show_losses(struct fl_case *c);
/* More than is told of as nothing. */
bool fl_loses_frames(const struct fl_answer_loss *loss);
/* stations.c */
bool fl_show_stations(struct fl_case *c);
bool fl_show_ears(struct fl_case *c);
/* All addresses that this station claimed, in `region`. */
const struct fl_ip *fl_addresses_of(struct fl_case *c, struct fl_mac mac, size_t *n);
/* "camera (02:…)" or "02:… (phone-x)": the name a person knows. */
const char *fl_name_of(struct fl_case *c, struct fl_mac mac);
/* own_ports.c */
bool fl_show_ports(struct fl_case *c);
/* findings.c */
bool fl_find(struct fl_case *c);
struct fl_answer_finding *fl_found(struct fl_case *c, const char *id,
				   enum fl_severity severity,
				   const char *subject, const char *text);
/* A sentence more of evidence for a finding or suspect. */
void fl_texts_add(struct fl_case *c, struct fl_texts *list, const char *text);
/* episodes.c: which dropouts began together, in the order of time. */
bool fl_happened(struct fl_case *c);
/* The device whose dropout this is, or FL_NO_DEVICE. */
int fl_device_of(const struct fl_case *c, const struct fl_dropout *d);
/* A dropout or blink that counts: of the plan's devices, or of all without a
 * plan; not deaf time, not what said goodbye. */
bool fl_is_away(const struct fl_case *c, const struct fl_dropout *d);
/* episodes_show.c */
bool fl_show_episodes(struct fl_case *c);
/* A sentence of the story where episodes come at even times, or near marks. */
void fl_tell_recurrence(struct fl_case *c);
/* ways_back.c: P(each way of coming back), the chances even beforehand; false:
 * the signs do not tell, or it is still away. */
bool fl_way_back(const struct fl_dropout *d, double p[static FL_RETURNS]);
/* The one that the signs tell; FL_RETURNS: none. */
enum fl_return fl_way_told(const struct fl_dropout *d);
/* touch.c: how a fault of this part touches each of `who` that it hides. */
void fl_touch(const struct fl_case *c, const struct fl_part *part,
	      const struct fl_devices *who, struct fl_hidden *hidden);
/* gather.c: devices and episodes as evidence. False: the region is full. */
bool fl_gather(struct fl_case *c, struct fl_evidence *e);
/* suspects.c */
bool fl_suspect(struct fl_case *c);
/* The part that programs read as `key`; NULL: none. */
const struct fl_part *fl_part_of(const struct fl_case *c, const char *key);
/* steps.c */
bool fl_next(struct fl_case *c);
/* hands.c: what hands saw and did, in sentences and as evidence. */
bool fl_hands(struct fl_case *c);
/* ln P(what was seen by hand | this part at fault) less that with another. */
double fl_hand_log(const struct fl_case *c, size_t part, enum fl_mode mode);
/* What was metered and done, and what changed after it, for the story. */
void fl_tell_hands(struct fl_case *c);
/* The newest reading of the battery in the state of this one at a plug. */
struct fl_reading;
bool fl_battery_before(const struct fl_case *c, const struct fl_act *act,
		       struct fl_reading *battery);
/* True if this feed feeds the device (or FL_NONE) straight. */
bool fl_feeds(const struct fl_plan *plan, int device, int feed);
/* exchange.c: a port of the same switch whose plug may change places with that
 * of `port` for a moment: its cable works, powers nobody and steers nothing.
 * `run`: the one in `port`. */
bool fl_may_exchange(const struct fl_case *c, struct fl_place port, int *run,
		     struct fl_place *other);
/* A name as one word of a shell. */
const char *fl_quoted(struct fl_case *c, const char *name);
/* wording.c: the answer in one sentence, where to look, and the story. */
void fl_word(struct fl_case *c);
/* "arch radar", "arch radar and camera", "arch radar, camera and 2 more". */
const char *fl_list(struct fl_case *c, const char *const *names, size_t n);

#endif
