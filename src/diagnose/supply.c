#include "diagnose/supply.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define GOOD 12.4            /* at the battery at rest and at the plug        */
#define BAD  12.0
#define OFF  1.0             /* judgement                                     */
#define LITHIUM_GOOD 12.8    /* four cells of iron phosphate; judgement       */
#define TWENTY_FOUR 18.0     /* above it is a 24 V system; judgement          */
#define CRITICAL 0.03        /* ABYC E-11: may be lost on the way to these    */
#define GENERAL  0.10        /* ... and to any other                          */
#define MOST 100.0           /* volts, amperes, ...: beyond is a slip         */

#define METRES_A_FOOT 0.3048
#define COPPER 0.017241      /* ohm mm2/m at 20 C, IEC 60028                  */
#define ABYC_K 10.75         /* ohm circular mils a foot                      */
#define CIRCULAR_MILS_A_SQUARE_MM 1973.525

/* ---- reading ---- */

/* A number, its decimals after a point or a comma, and what follows it. */
static bool number(const char *word, double *out, const char **unit)
{
	char text[16];
	size_t n = 0;
	bool point = false, digits = false;
	for (; word[n] && n + 1 < sizeof text; n++) {
		const bool digit = word[n] >= '0' && word[n] <= '9';
		const bool mark = (word[n] == '.' || word[n] == ',') && !point;
		if (!digit && !mark && !(n == 0 && (word[n] == '-' || word[n] == '+')))
			break;
		point |= mark;
		digits |= digit;
		text[n] = word[n] == ',' ? '.' : word[n];
	}
	text[n] = '\0';
	*out = strtod(text, NULL);   /* no locale is ever set               */
	*unit = word + n;
	return digits && fabs(*out) <= MOST;
}

bool fl_reading_volts(const char *word, double *volts)
{
	const char *unit;
	return number(word, volts, &unit) &&
	       (!*unit || strcmp(unit, "V") == 0 || strcmp(unit, "v") == 0);
}

static bool take_quantity(struct fl_reading *r, const char *word)
{
	double n;
	const char *unit;
	if (!number(word, &n, &unit) || n <= 0)
		return false;
	if (strcmp(unit, "A") == 0 || strcmp(unit, "a") == 0)
		r->amperes = n;
	else if (strcmp(unit, "m") == 0)
		r->metres = n;
	else if (strcmp(unit, "ft") == 0)
		r->metres = n * METRES_A_FOOT;
	else if (strcmp(unit, "mm2") == 0)
		r->square_mm = n;
	else if (strcmp(unit, "awg") == 0 && n <= 40)
		r->square_mm = fl_awg_square_mm((int)n);
	else
		return false;
	return true;
}

static const char *const loads[] = { "", "load", "idle" };
static const char *const rests[] = { "", "rest", "charging", "engine" };

bool fl_reading_word(struct fl_reading *r, const char *word)
{
	for (int i = FL_LOAD_ON; i <= FL_LOAD_IDLE; i++)
		if (strcmp(word, loads[i]) == 0) {
			r->loaded = (enum fl_loaded)i;
			return true;
		}
	for (int i = FL_RESTING; i <= FL_ENGINE_ON; i++)
		if (strcmp(word, rests[i]) == 0) {
			r->resting = (enum fl_resting)i;
			return true;
		}
	if (strcmp(word, "lithium") == 0 || strcmp(word, "lead") == 0) {
		r->lithium = word[1] == 'i';
		return true;
	}
	return take_quantity(r, word);
}

const char *fl_reading_text(const struct fl_reading *r, char out[static FL_READING_TEXT])
{
	int n = snprintf(out, FL_READING_TEXT, "%.4gV%s%s%s%s%s", r->volts,
			 r->loaded ? " " : "", loads[r->loaded],
			 r->resting ? " " : "", rests[r->resting],
			 r->lithium ? " lithium" : "");
	const struct { double of; const char *unit; } rows[] = {
		{ r->amperes, "A" }, { r->metres, "m" }, { r->square_mm, "mm2" } };
	for (size_t i = 0; i < 3; i++)
		if (rows[i].of > 0)
			n += snprintf(out + n, FL_READING_TEXT - (size_t)n, " %.4g%s",
				      rows[i].of, rows[i].unit);
	return out;
}

bool fl_reading_read(const char *text, struct fl_reading *out)
{
	char copy[FL_READING_TEXT], *rest;
	*out = (struct fl_reading){ 0 };
	if (strlen(text) >= sizeof copy)
		return false;
	memcpy(copy, text, strlen(text) + 1);
	const char *word = strtok_r(copy, " ", &rest);
	if (!word || !fl_reading_volts(word, &out->volts))
		return false;
	while ((word = strtok_r(NULL, " ", &rest)))
		if (!fl_reading_word(out, word))
			return false;
	return true;
}

/* ---- judging ---- */

double fl_reading_twelve(const struct fl_reading *r)
{
	const double volts = fabs(r->volts);
	return volts > TWENTY_FOUR ? volts / 2 : volts;
}

double fl_rest_charge(double volts)
{
	static const double table[] = { 11.89, 12.06, 12.24, 12.45, 12.65 };
	enum { LAST = sizeof table / sizeof table[0] - 1 };
	if (volts <= table[0])
		return 0;
	for (size_t i = 0; i < LAST; i++)
		if (volts < table[i + 1])
			return 25 * ((double)i + (volts - table[i]) /
						 (table[i + 1] - table[i]));
	return 100;
}

enum fl_supplied fl_judge_battery(const struct fl_reading *r)
{
	const double volts = fl_reading_twelve(r);
	if (volts < OFF)
		return FL_SUPPLY_OFF;
	if (r->resting == FL_CHARGING || r->resting == FL_ENGINE_ON ||
	    r->loaded == FL_LOAD_ON)
		return FL_SUPPLY_UNTOLD;
	return volts >= (r->lithium ? LITHIUM_GOOD : GOOD) ? FL_SUPPLY_WELL
	     : volts >= BAD ? FL_SUPPLY_LOW : FL_SUPPLY_BAD;
}

enum fl_supplied fl_judge_plug(const struct fl_reading *r, const struct fl_reading *battery)
{
	const double volts = fl_reading_twelve(r);
	const double lost = battery
		? 1 - volts / fmax(fl_reading_twelve(battery), OFF) : 0;
	if (volts < OFF)
		return FL_SUPPLY_OFF;
	if (lost > GENERAL)
		return FL_SUPPLY_BAD;
	if (volts < GOOD && battery && lost <= CRITICAL)
		return FL_SUPPLY_BATTERY;
	if (volts < GOOD)
		return volts < BAD ? FL_SUPPLY_BAD : FL_SUPPLY_LOW;
	return r->loaded == FL_LOAD_ON ? FL_SUPPLY_WELL : FL_SUPPLY_FUSE_WELL;
}

/* ---- the drop along a lead ---- */

double fl_drop_feet(double amperes, double feet, double circular_mils)
{
	return ABYC_K * amperes * feet / circular_mils;
}

double fl_least_circular_mils(double amperes, double feet, double drop)
{
	return ABYC_K * amperes * feet / drop;
}

double fl_drop_metres(double amperes, double metres, double square_mm)
{
	return COPPER * metres * amperes / square_mm;
}

double fl_awg_square_mm(int gauge)
{
	const double mm = 0.127 * pow(92, (36 - gauge) / 39.0);
	return acos(-1) / 4 * mm * mm;
}
