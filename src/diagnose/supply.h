/* supply.h -- what a reading of a meter says of battery, fuse and lead.
 *
 * Source  common practice for the limits at battery and plug; the rest table
 *         is the Battery Council International's of a 12 V lead-acid battery
 *         at 26.7 C; drop by the conductor: ABYC E-11, and its metric form
 * Units   volts, amperes, metres out and back, mm2
 */
#ifndef FL_DIAGNOSE_SUPPLY_H
#define FL_DIAGNOSE_SUPPLY_H

#include <stdbool.h>
#include <stddef.h>

enum fl_loaded { FL_LOAD_UNSAID, FL_LOAD_ON, FL_LOAD_IDLE };
enum fl_resting { FL_REST_UNSAID, FL_RESTING, FL_CHARGING, FL_ENGINE_ON };

struct fl_reading {
	double volts;                /* as read, its sign too                */
	enum fl_loaded loaded;
	enum fl_resting resting;
	bool   lithium;
	double amperes, metres, square_mm;   /* of the lead; 0: not said     */
};

/* "12.4", "12,4", "-12.4V". */
bool fl_reading_volts(const char *word, double *volts);
/* "load", "idle", "rest", "charging", "engine", "lead", "lithium", "4A",
 * "22m", "36ft", "1.5mm2", "16awg". */
bool fl_reading_word(struct fl_reading *reading, const char *word);
/* The small fixed form that a journal holds: "12.4V load rest 4A 22m 1.5mm2". */
enum { FL_READING_TEXT = 112 };
const char *fl_reading_text(const struct fl_reading *reading,
			    char out[static FL_READING_TEXT]);
bool fl_reading_read(const char *text, struct fl_reading *out);

/* Sign away, and a 24 V system halved: as of a 12 V one. */
double fl_reading_twelve(const struct fl_reading *reading);
/* Charge in hundredths of a lead-acid battery at rest, by the table. */
double fl_rest_charge(double volts);

enum fl_supplied {
	FL_SUPPLY_UNTOLD,            /* no test in this state                */
	FL_SUPPLY_WELL,
	FL_SUPPLY_FUSE_WELL,         /* good without load: the fuse alone    */
	FL_SUPPLY_LOW,               /* the fuse first                       */
	FL_SUPPLY_BAD,               /* fuse or holder first, then the lead  */
	FL_SUPPLY_BATTERY,           /* low, but no lower than the battery   */
	FL_SUPPLY_OFF,               /* next to nothing                      */
};
enum fl_supplied fl_judge_battery(const struct fl_reading *battery);
/* `battery` was read in the same state; NULL: none was. */
enum fl_supplied fl_judge_plug(const struct fl_reading *plug,
			     const struct fl_reading *battery);

/* ABYC E-11: CM = K I L / E and E = K I L / CM, L in feet out and back. */
double fl_drop_feet(double amperes, double feet, double circular_mils);
double fl_least_circular_mils(double amperes, double feet, double drop);
/* E = rho L I / A, copper at 20 C. */
double fl_drop_metres(double amperes, double metres, double square_mm);
/* ASTM B258. */
double fl_awg_square_mm(int gauge);

#endif
