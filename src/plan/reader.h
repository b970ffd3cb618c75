/* reader.h -- what the files of the plan reader share; no other stage sees it.
 *
 * The text is walked once for each pass, in file order every time, so that a
 * thing may be used above the line that declares it:
 *
 *   SWITCHES    [switch] sections, so that a left side can be told for one
 *   NAMES       the other sections, and the left sides of [wiring]
 *   VALUES      keys that name nobody; unknown and repeated keys are told
 *   RIGHTS      the places right of = in [wiring]
 *   ENDS        from and to of runs
 *   WIRING      the short form: one line a cable
 *   REFERENCES  keys that name other things; places are read once more, for
 *               what has become ambiguous since
 *
 * Shapes  a span is a piece of the text and where it stands
 * Owns    a span borrows the text; whatever the plan keeps is copied
 * Errors  a fault is added and the reading goes on; the same fault at the
 *         same octet is told once, however many passes meet it
 */
#ifndef FL_PLAN_READER_H
#define FL_PLAN_READER_H

#include "plan/plan.h"

enum {
	FL_PLAN_TEXT = 1 << 20,   /* octets of one plan                    */
	FL_PLAN_NAME = 64,        /* octets of one name                    */
};

enum fl_section {
	FL_SECTION_NONE,
	FL_SECTION_SEGMENT, FL_SECTION_WIRING,
	FL_SECTION_DEVICE, FL_SECTION_SWITCH, FL_SECTION_RUN, FL_SECTION_FEED,
};

enum fl_pass {
	FL_PASS_SWITCHES, FL_PASS_NAMES, FL_PASS_VALUES, FL_PASS_RIGHTS,
	FL_PASS_ENDS, FL_PASS_WIRING, FL_PASS_REFERENCES,
};

struct fl_span {
	const char *at;
	size_t n;
	int line, column;   /* 1 the first; column counts octets            */
};

struct fl_reader {
	struct fl_plan   *plan;     /* arrays at their ceilings              */
	struct fl_region *region;   /* for texts that stay                   */
	struct fl_plan_faults *faults;
	enum fl_pass pass;
	bool closed;                /* a name must be known: none is made    */
	unsigned told;              /* bit a section: its ceiling was told   */
	struct fl_span *said;       /* where each key of each thing was said */
	struct fl_span seat;        /* where the laptop's seat was said      */
	bool declared[FL_PLAN_DEVICES];   /* has a section of its own        */
	bool hosts[FL_PLAN_DEVICES];      /* stands right of = in [wiring]   */
};

/* lines.c: the text as lines, and what can be done with a piece of it. */

enum fl_line_kind {
	FL_LINE_SECTION, FL_LINE_ENTRY, FL_LINE_BAD_SECTION, FL_LINE_BAD_ENTRY,
};

struct fl_line {
	enum fl_line_kind kind;
	struct fl_span first;      /* section's kind; key; what is bad       */
	struct fl_span second;     /* section's name; value                  */
	const char *text, *remedy; /* of a bad line                          */
};

struct fl_lines {
	const char *text;
	struct fl_cursor cursor;
	int line;
};

struct fl_lines fl_lines(const char *text, size_t n);
/* The next line that says something; false at the end of the text. */
bool fl_lines_next(struct fl_lines *lines, struct fl_line *line);

struct fl_span fl_span_trim(struct fl_span s);
/* Letter case aside and inner blanks folded, is `s` these words? */
bool fl_span_is(struct fl_span s, const char *words);
bool fl_span_equal(struct fl_span a, struct fl_span b);
/* Copy with each run of blanks as one; returns the octets there are, of
 * which `room` at most were copied. */
size_t fl_span_fold(struct fl_span s, char *out, size_t room);
/* If `s` opens with these words and more, step behind them. */
bool fl_span_opens(struct fl_span *s, const char *words);
/* Take the last word off; false if there is only one, and `s` stays. */
bool fl_span_last(struct fl_span *s, struct fl_span *word);
bool fl_span_has_word(struct fl_span s, const char *word);
/* The next piece up to a comma, trimmed; false when all are taken. */
bool fl_span_item(struct fl_span *rest, struct fl_span *item);
/* Digits alone, as a number of at most six of them. */
bool fl_span_count(struct fl_span s, int *count);
char fl_lower(char c);
bool fl_same_name(const char *a, const char *b);

/* faults.c: what is wrong, and what would be right. */

/* A sentence that lives as long as the plan's texts. */
#define FL_WORDS(r, ...) fl_region_format((r)->region, __VA_ARGS__)

void fl_reader_fault(struct fl_reader *r, struct fl_span where,
		     const char *text, const char *remedy);
/* Cleaned for a message, and cut where it is long. */
const char *fl_reader_quote(struct fl_reader *r, struct fl_span s);
/* The candidate fewest single-letter changes away, or NULL: none is near. */
const char *fl_nearest(struct fl_span s, const char *const *candidates,
		       size_t n);
/* "did you mean 'cadence'?", or `otherwise` where nothing is near. */
const char *fl_reader_mean(struct fl_reader *r, struct fl_span s,
			   const char *const *candidates, size_t n,
			   const char *otherwise);
void fl_faults_sort(struct fl_plan_faults *faults);

/* names.c: things found by name, and made where they are first used. */

int fl_plan_find(const struct fl_plan *plan, enum fl_section kind,
		 struct fl_span name);
/* Find or make; FL_NONE and a fault: the name will not do, or is another
 * kind of thing, or there are too many. */
int fl_reader_make(struct fl_reader *r, enum fl_section kind,
		   struct fl_span name);
/* A device of this name, or FL_NONE and a fault. */
int fl_reader_device(struct fl_reader *r, struct fl_span name);
/* A text of at most `most` octets for the plan, its inner blanks folded, or
 * NULL and a fault. */
const char *fl_reader_text(struct fl_reader *r, struct fl_span s, size_t most);
/* A text without marks of the format. */
const char *fl_reader_name(struct fl_reader *r, struct fl_span s);
int fl_thing_line(const struct fl_plan *plan, enum fl_section kind, int index);
const char *fl_place_name(const struct fl_plan *plan, struct fl_place place);

/* places.c: "lower switch 3", "lower switch port 3", "port 3 of lower
 * switch", "arch radar". */

enum fl_side {
	FL_SIDE_LEFT,    /* of = in [wiring]: a device, most often           */
	FL_SIDE_END,     /* of a run: from or to                             */
	FL_SIDE_RIGHT,   /* of = in [wiring]: whatever it is plugged into    */
	FL_SIDE_SEAT,    /* of the laptop: as RIGHT, but gives nobody ports  */
};

/* NOWHERE and a fault: it names no place. */
struct fl_place fl_reader_place(struct fl_reader *r, struct fl_span s,
				enum fl_side side);
/* Take a port off: the name left in `s`. False: no port is said. */
bool fl_span_port(struct fl_span *s, int *port);
bool fl_place_equal(struct fl_place a, struct fl_place b);
/* Equal, or equal but for a port that one of them does not say. */
bool fl_place_agrees(struct fl_place a, struct fl_place b);
bool fl_place_has_ports(const struct fl_plan *plan, struct fl_place place);
/* Of the run, which end this thing is at; FL_NONE: neither. */
int fl_run_end(const struct fl_run *run, struct fl_place thing);

/* wiring.c: one line of [wiring]. */

void fl_reader_wiring(struct fl_reader *r, struct fl_span left,
		      struct fl_span right);
void fl_reader_joint(struct fl_reader *r, struct fl_run *run,
		     struct fl_span name);

/* feeds.c: what feeds a device or switch. */

void fl_reader_supply(struct fl_reader *r, struct fl_place fed,
		      struct fl_supply supply, struct fl_span where);
/* One item of `feed = ...`. */
void fl_reader_feed(struct fl_reader *r, struct fl_place fed,
		    struct fl_span item);
/* What this feeds is fed from, over a run; NOWHERE: by no run. */
struct fl_place fl_supply_source(const struct fl_plan *plan,
				 struct fl_place fed, struct fl_supply supply);
size_t fl_supplies(const struct fl_plan *plan, struct fl_place fed,
		   const struct fl_supply **supplies);

/* seat.c */

void fl_reader_seat(struct fl_reader *r, struct fl_span s);

/* keys.c: every key, and how it is read. */

void fl_reader_key(struct fl_reader *r, enum fl_section section, int thing,
		   struct fl_span key, struct fl_span value);
/* Room for `said`: one span for every key of every thing. */
size_t fl_keys_room(void);
/* Where this key of this thing was said; line 0: it was not. */
struct fl_span fl_reader_said(const struct fl_reader *r,
			      enum fl_section section, const char *key,
			      int thing);

/* quantities.c: numbers with their units. */

struct fl_measure {
	const char *what;      /* "a length"                                 */
	const char *remedy;
	double least, most;
	struct { const char *name; double times; } units[8];
};

extern const struct fl_measure fl_measure_length, fl_measure_cadence,
	fl_measure_volts, fl_measure_amperes, fl_measure_speed;

/* False and a fault: not such a quantity, or not within its bounds. */
bool fl_reader_quantity(struct fl_reader *r, struct fl_span s,
			const struct fl_measure *measure, double *out);

/* check.c: what only the whole plan can show. */

void fl_reader_check(struct fl_reader *r);
/* loops.c: who wakes, speaks for or powers himself in the end. */
void fl_reader_check_loops(struct fl_reader *r);

#endif
