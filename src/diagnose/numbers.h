/* numbers.h -- every number of judgement that a probability rests on, a line
 * each with where it comes from. "judgement": nobody has counted it. */
#ifndef FL_DIAGNOSE_NUMBERS_H
#define FL_DIAGNOSE_NUMBERS_H

#define FL_NAMED 0.1              /* P(no fault) below which parts are named  */

/* Odds of a fault against none, in thousandths; no fault has 1000. */
#define FL_ODDS_NONE 1000.0
#define FL_ODDS_OTHER 20.0        /* a cause that is in no plan; judgement   */

/* ODDS(kind, dead or off, comes and goes, drops frames) */
#define FL_ODDS_ROWS(ODDS)                                                    \
	ODDS(PLUG_WEATHER, 5, 12, 3)    /* a plug in the weather; judgement  */ \
	ODDS(PLUG_INSIDE,  1, 4, 1)     /* judgement                         */ \
	ODDS(JOINT,        4, 9, 2)     /* judgement                         */ \
	ODDS(CABLE,        2, 1, 1)     /* judgement                         */ \
	ODDS(PORT,         1, 1, 0.5)   /* of a switch; judgement            */ \
	ODDS(SWITCH,       1, 2, 0)     /* dead, browns out; judgement       */ \
	ODDS(FEED,         12, 6, 0)    /* off, sags; judgement              */ \
	ODDS(DEVICE,       6, 4, 0)     /* dead, reboots; judgement          */ \
	ODDS(ASLEEP,       15, 0, 0)    /* or switched off; judgement        */ \
	ODDS(SETTINGS,     8, 0, 0)     /* set up wrong; judgement           */ \
	ODDS(FILTER,       3, 0, 0)     /* in a switch; judgement            */ \
	ODDS(LAPTOP,       5, 5, 1)     /* own lead and adapter; judgement   */

#define FL_HIDES_DEAD     0.98    /* P(a dead part hides what is behind it)  */
#define FL_HIDES_UNSTEADY 0.05    /* one that comes and goes, when looked at */
#define FL_HIDES_DROPS    0.01    /* one that drops frames                   */
#define FL_LEAK           0.002   /* hidden with no fault in the plan        */
#define FL_DIED_NOW       0.3     /* a dead part died while we listened      */
#define FL_FELL_BEHIND    0.97    /* judgement, all five                     */
#define FL_FELL_ELSEWHERE 0.003
#define FL_UNSTEADY_RATE  2.0     /* episodes an hour, negative binomial     */
#define FL_UNSTEADY_SHAPE 0.5
#define FL_BACKGROUND     0.002   /* episodes a device-hour: switched off    */
#define FL_BLINKS         0.05    /* ... with blinks counted as episodes     */
#define FL_LIKE_EPISODES  0.1     /* m = n / (1 + 0.1 (n - 1))               */
#define FL_SILENT_SETTING 0.1     /* mis-set, and no sign of it seen         */
#define FL_OTHER_HIDES    0.3     /* a cause in no plan hides a device       */
#define FL_OTHER_SHOWS    0.9     /* ... and leaves one alone                */

/* The episodes' shares of an unsteady part alone, and of the first of two where
 * chance has FL_CHANCE_OF_TWO; each as likely. Judgement. */
#define FL_SHARES_ALONE { .5, .8, .95, .99 }
#define FL_SHARES_OF_TWO { .1, .3, .5, .7, .9 }
#define FL_CHANCE_OF_TWO 0.02

/* Share of frames missing: beta-binomial. All devices have one mean in common,
 * any of these, a + b as given: at most 10 000, and so that ways of one run and
 * of three, or bursts, do not part them; behind a part that drops frames they
 * have another one. Judgement. */
#define FL_LOST_BACKGROUND { 3e-5, 1e-4, 3e-4, 1e-3, 3e-3, 1e-2 }
#define FL_LOST_SPREADS { 10000, 10000, 6667, 2000, 667, 200 }
#define FL_LOST_DROPS { 5.6e-4, 1.38e-3, 3.38e-3, 8.3e-3, .0203, .0499, .1222, .3 }
#define FL_LOST_DROPS_SPREAD 12.0

/* How a device comes back from a fault: rebooted, its own link, unaware, its
 * software anew, paused by itself. BACK(how the fault touches it, ...) */
#define FL_BACK_ROWS(BACK)                                                    \
	BACK(FAR,    .03, .07, .86, .02, .02)   /* judgement                */ \
	BACK(LINK,   .04, .86, .06, .02, .02)   /* judgement                */ \
	BACK(POWER,  .90, .03, .03, .02, .02)   /* judgement                */ \
	BACK(ITSELF, .50, .05, .03, .17, .25)   /* judgement                */
#define FL_BACK_BY_CHANCE { .45, .15, .10, .15, .15 }   /* somebody switched it
					   * off, pulled it; judgement       */

/* What a hand saw of a light or plug. SIGHT(what, P of it with no fault near;
 * with the run dead, the port, the device, its feed, its switch) */
#define FL_SIGHT_ROWS(SIGHT)                                                  \
	SIGHT(PORT_LIT,   .90, .10, .15, .40, .05, .02) /* judgement         */ \
	SIGHT(PORT_FAULT, .02, .05, .05, .05, .01, .05) /* judgement         */ \
	SIGHT(PORT_DARK,  .08, .85, .80, .55, .94, .93) /* judgement         */ \
	SIGHT(OWN_LIT,    .90, .90, .90, .35, .03, .90) /* judgement         */ \
	SIGHT(OWN_FAULT,  .03, .03, .03, .25, .02, .03) /* judgement         */ \
	SIGHT(OWN_DARK,   .07, .07, .07, .40, .95, .07) /* judgement         */ \
	SIGHT(PLUG_GOOD,  .93, .93, .93, .93, .03, .93) /* under load;
			  * judgement                                        */ \
	SIGHT(FUSE_GOOD,  .93, .93, .93, .93, .25, .93) /* without: the fuse
			  * alone is cleared; judgement                      */ \
	SIGHT(PLUG_BAD,   .07, .07, .07, .07, .95, .07) /* judgement         */ \
	SIGHT(SHOWN,      .90, .03, .03, .03, .03, .03) /* by a display: its
			  * whole way there; judgement                       */ \
	SIGHT(NOT_SHOWN,  .10, .97, .97, .97, .97, .97) /* judgement         */
#define FL_SIGHT_UNSTEADY 0.8     /* so much of it, of a part that comes and
				   * goes: whoever is behind it is away now;
				   * judgement                               */

#endif
