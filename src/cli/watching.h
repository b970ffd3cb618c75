/* watching.h -- what the files of the watch share, and nobody else. */
#ifndef FL_CLI_WATCHING_H
#define FL_CLI_WATCHING_H

#include "cli/events.h"
#include "cli/keys.h"
#include "cli/visit_heard.h"
#include "cli/watch.h"
#include "source/ports.h"
#include "tally/tally.h"
#include "visit/visit.h"

/* Own link or device under somebody's hands. */
struct wiggled {
	bool    link;                /* the own link, not a device           */
	int     device;
	bool    ever, heard;
	bool    deaf;                /* the own link is down                 */
	fl_time hears;               /* since it came back                   */
	fl_time changed;             /* when `heard` last became so          */
	fl_time usual;               /* how long it is silent, 0: not known  */
	fl_time ticked;              /* bell of the steady tick              */
	uint32_t losses;
	fl_time longest;
};

/* What was said of the listening itself. */
struct own {
	uint32_t overruns;
	uint32_t bound_anew[FL_LIVE_PORTS];
	bool     unkept;             /* lines of the visit lack              */
	char     status[160];
};

enum { FL_WATCH_SIGNALS = 6 };

struct watch {
	const struct fl_watch_order *order;
	struct fl_judging *judging;
	struct fl_observer ledger;
	struct fl_live   *live;
	struct fl_ports  *ports;
	struct fl_tally  *tally;
	struct fl_visit  *visit;
	struct fl_hand_file *hand;   /* notes of the visit; NULL: no visit   */
	struct fl_terminal *terminal;
	struct fl_grid    grid;
	struct fl_events *events;
	struct fl_keys    keys;
	uv_loop_t   loop;
	uv_timer_t  second, quick;
	uv_poll_t   keyboard;
	uv_signal_t signals[FL_WATCH_SIGNALS];
	bool        quick_runs, keyboard_runs, signals_run, second_runs;
	bool        started;
	bool        ending;          /* asked for; fl_watch_stop()           */
	bool        no_right;        /* it was the ports that were refused   */
	bool        not_kept;        /* ... or the visit                     */
	fl_time     begun;           /* listening time                       */
	fl_time     within;          /* a silence means something then; 0: of
				      * no device                            */
	size_t      unknown;         /* devices of which it never will       */
	uint64_t    ticks;
	fl_time     answered, cost;  /* when, and how long it took           */
	const struct fl_answer *answer;
	bool        asked, ask_waits;
	uint16_t    ears[FL_LIVE_PORTS];
	char        ports_text[256];
	bool        linked[FL_LIVE_PORTS];       /* a port has a link        */
	struct wiggled wiggled;
	struct own  own;
};

/* watch.c */
/* Ask for the end, from wherever: it comes when the loop has gone round. */
void fl_watch_stop(struct watch *w);
void fl_watch_hand(void *context, enum fl_hand act, const char *text);
void fl_watch_say_hand(struct watch *w, fl_time at, enum fl_hand act, const char *text);
/* watch_again.c: which ear each port is; false: none, which was said. */
bool fl_watch_take_ears(struct watch *w);
/* Nothing may be told of before that; 0: nothing is kept. */
fl_time fl_watch_kept_until(const struct watch *w);
/* Before any port is opened; false: no memory. */
bool fl_watch_go_on(struct watch *w);
/* watch_tick.c: what is done each second. */
void fl_watch_tick(struct watch *w);
fl_time fl_watch_firm_in(const struct watch *w);
fl_time fl_watch_ends_in(const struct watch *w);
/* When it ends at the latest, unless told otherwise. */
fl_time fl_watch_longest(const struct watch *w);
/* watch_signals.c, in this order */
bool fl_watch_heed(struct watch *w);
void fl_watch_hold(struct watch *w);
void fl_watch_heed_late(const struct watch *w);
void fl_watch_heed_no_more(const struct watch *w);
/* watch_own.c */
void fl_watch_notice(struct watch *w);
const char *fl_watch_status(const struct watch *w);
void fl_watch_say_state(struct watch *w);
/* watch_show.c */
void fl_watch_show(struct watch *w);
void fl_watch_tell(struct watch *w);
void fl_watch_say_begin(const struct watch *w);
/* wiggle.c */
bool fl_wiggle_choose(struct watch *w);
void fl_wiggle_look(struct watch *w);
void fl_wiggle_end(struct watch *w);
/* The longest loss, also one that still goes on. */
fl_time fl_wiggle_longest(const struct watch *w);
/* ask.c */
void fl_watch_ask(struct watch *w);
/* How many addresses are to be asked. */
size_t fl_watch_to_ask(const struct watch *w);
void fl_watch_say_unasked(const struct watch *w);

#endif
