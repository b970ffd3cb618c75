/* told.h -- a ledger of what is told to it by hand, and the findings of it. */
#ifndef FL_TESTS_DIAGNOSE_TOLD_H
#define FL_TESTS_DIAGNOSE_TOLD_H

#include "test.h"

#include "diagnose/diagnose.h"

#include <string.h>

static const fl_time told_start = INT64_C(1777713247) * FL_SECOND;

/* Stream numbers of the stations that told_beats() makes. */
enum { TOLD_STREAMS = 16 };

struct told {
	struct fl_ledger *ledger;
	struct fl_region *region;
	const struct fl_plan *plan;
	const struct fl_answer *answer;
	struct fl_seen_stream streams[TOLD_STREAMS];
	double every[TOLD_STREAMS], from[TOLD_STREAMS], to[TOLD_STREAMS];
	size_t stream_count;
};

static inline fl_time told_at(double seconds)
{
	return told_start + (fl_time)(seconds * 1e9);
}

static inline void told_tell(struct told *t, const struct fl_observation *o)
{
	const struct fl_observer to = fl_ledger_observer(t->ledger);
	to.observe(to.context, o);
}

static inline struct told told_begin(const char *plan)
{
	static struct fl_plan_faults faults;
	struct told t = { .ledger = fl_ledger_new(), .region = fl_region_new(16 << 20) };
	assert_non_null(t.ledger);
	t.plan = plan ? fl_plan_read(plan, strlen(plan), t.region, &faults) : NULL;
	if (plan && !t.plan)
		fail_msg("line %d: %s", faults.at[0].line, faults.at[0].text);
	told_tell(&t, &(struct fl_observation){ .kind = FL_OBSERVED_EAR,
		.from = told_start, .to = told_start,
		.listening = { .change = FL_EAR_LISTENS, .name = "eth1", .text = "" } });
	return t;
}

static inline void told_end(struct told *t)
{
	fl_ledger_free(t->ledger);
	fl_region_free(t->region);
}

static inline struct fl_mac told_mac(uint8_t last)
{
	return (struct fl_mac){ { 2, 0x1b, 0xc5, 0, 0, last } };
}

/* A stream of station `last` that beats every so many seconds from one time to
 * another, to a group that a switch may hold back or to everybody. */
static inline void told_beats(struct told *t, uint8_t last, bool to_group,
			      double every, double from, double to)
{
	const size_t i = t->stream_count++;
	assert_true(i < TOLD_STREAMS);
	t->streams[i] = (struct fl_seen_stream){
		.number = (uint32_t)i, .mac = told_mac(last), .unasked = true,
		.kind = FL_STREAM_GROUP, .protocol = 17, .port = (uint16_t)(4000 + i),
		.group = to_group ? (struct fl_mac){ { 1, 0, 0x5e, 1, 2, 3 } }
				  : (struct fl_mac){ { 255, 255, 255, 255, 255, 255 } },
		.filterable = to_group,
	};
	t->every[i] = every;
	t->from[i] = from;
	t->to[i] = to;
	told_tell(t, &(struct fl_observation){ .kind = FL_OBSERVED_STREAM,
		.from = told_at(from), .to = told_at(from), .stream = t->streams[i] });
}

/* One second, with the beats that fall into it; what else of it is `more`. */
static inline void told_second(struct told *t, int second,
			       const struct fl_observation *more)
{
	struct fl_heard heard[TOLD_STREAMS];
	size_t n = 0;
	for (size_t i = 0; i < t->stream_count; i++)
		for (double at = t->from[i]; at < t->to[i] && at < second + 1;
		     at += t->every[i])
			if (at >= second && (!n || heard[n - 1].stream != i))
				heard[n++] = (struct fl_heard){ .stream = (uint32_t)i,
					.ms = (uint16_t)((at - second) * 1000) };
	struct fl_observation o = more ? *more : (struct fl_observation){ .kind = 0 };
	o.kind = FL_OBSERVED_SECOND;
	o.from = told_at(second);
	o.to = told_at(second + 1);
	o.second.heard = heard;
	o.second.n = n;
	o.second.frames += (uint32_t)n;
	told_tell(t, &o);
}

static inline void told_seconds(struct told *t, int from, int to)
{
	for (int s = from; s < to; s++)
		told_second(t, s, NULL);
}

static inline void told_port(struct told *t, double at, struct fl_port port)
{
	port.name = port.name ? port.name : "eth1";
	port.why = port.why ? port.why : "";
	told_tell(t, &(struct fl_observation){ .kind = FL_OBSERVED_PORT,
		.from = told_at(at), .to = told_at(at), .port = port });
}

/* A sign of a station, said `count` times since it was told last. */
static inline void told_sign(struct told *t, double at, struct fl_observation o)
{
	o.kind = FL_OBSERVED_SIGN;
	o.from = o.to = told_at(at);
	o.sign.count = o.sign.count ? o.sign.count : 1;
	o.sign.text = o.sign.text ? o.sign.text : "";
	o.sign.other_text = o.sign.other_text ? o.sign.other_text : "";
	o.sign.third_text = o.sign.third_text ? o.sign.third_text : "";
	told_tell(t, &o);
}

static inline void told_judge(struct told *t)
{
	t->answer = fl_diagnose(t->ledger, t->plan, (struct fl_texts){ 0 }, t->region);
	assert_non_null(t->answer);
}

/* The finding of this kind, NULL: there is none. */
static inline const struct fl_answer_finding *told_finding(struct told *t, const char *id)
{
	if (!t->answer)
		told_judge(t);
	for (size_t i = 0; i < t->answer->finding_count; i++)
		if (strcmp(t->answer->findings[i].id, id) == 0)
			return &t->answer->findings[i];
	return NULL;
}

static inline bool told_says(const struct fl_answer_finding *f, const char *part)
{
	for (size_t i = 0; i < f->evidence.n; i++)
		if (strstr(f->evidence.at[i], part))
			return true;
	return strstr(f->text, part) != NULL;
}

#endif
