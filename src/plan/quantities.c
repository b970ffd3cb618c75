/* quantities.c -- numbers as a technician writes them: 60 ft, 18 m, 12,4,
 * 12.4, 2 s, 500 ms, 15 A.
 *
 * Takes   digits with one decimal point or comma, then a unit, with or
 *         without a blank between; "" is the unit that need not be said
 * Refuses more than nine digits, other units, and what lies out of bounds.
 *         A length must say its unit: 60 may be feet on one boat and metres
 *         on the next
 */
#include "plan/reader.h"

const struct fl_measure fl_measure_length = {
	"a length", "write it as 18 m or 60 ft, above 0 and up to 1000 m",
	0.01, 1000,
	{ { "m", 1 }, { "metres", 1 }, { "meters", 1 }, { "cm", 0.01 },
	  { "ft", 0.3048 }, { "feet", 0.3048 } },   /* 1959 agreement: exact */
};

const struct fl_measure fl_measure_cadence = {
	"an interval", "write it as 2 s or 500 ms, from 1 ms to 24 h",
	0.001, 86400,
	{ { "s", 1 }, { "", 1 }, { "sec", 1 }, { "ms", 0.001 },
	  { "min", 60 }, { "h", 3600 } },
};

const struct fl_measure fl_measure_volts = {
	"a voltage", "write it as 12 V or 12,4, from 1 to 1000 V", 1, 1000,
	{ { "", 1 }, { "V", 1 }, { "volts", 1 } },
};

const struct fl_measure fl_measure_amperes = {
	"a fuse", "write it as 15 A, above 0 and up to 1000 A", 0.01, 1000,
	{ { "A", 1 }, { "", 1 }, { "amps", 1 }, { "mA", 0.001 } },
};

const struct fl_measure fl_measure_speed = {
	"a speed", "write 10, 100, 1000, 2500, 5000 or 10000 (Mbit/s)",
	10, 10000,
	{ { "", 1 }, { "Mbit/s", 1 }, { "Mbit", 1 }, { "M", 1 },
	  { "Gbit/s", 1000 }, { "Gbit", 1000 }, { "G", 1000 } },
};

/* The digits before the unit, which is left in `s`. Whole tenth parts are
 * divided once, so that 12,4 is the number nearest to 12.4. */
static bool read_number(struct fl_span *s, double *out)
{
	long digits = 0;
	double parts = 1;
	size_t i = 0, n = 0;
	bool marked = false;
	for (; i < s->n; i++) {
		const char c = s->at[i];
		if ((c == '.' || c == ',') && !marked && n) {
			marked = true;
			continue;
		}
		if (c < '0' || c > '9')
			break;
		digits = 10 * digits + (c - '0');
		parts *= marked ? 10 : 1;
		if (++n > 9)
			return false;
	}
	if (!n || s->at[i - 1] == '.' || s->at[i - 1] == ',')
		return false;
	*out = (double)digits / parts;
	*s = fl_span_trim((struct fl_span){ s->at + i, s->n - i, s->line,
					    s->column + (int)i });
	return true;
}

static bool read_unit(struct fl_span s, const struct fl_measure *measure,
		      double *number)
{
	const size_t most = sizeof measure->units / sizeof measure->units[0];
	for (size_t i = 0; i < most && measure->units[i].name; i++) {
		const char *name = measure->units[i].name;
		if (*name ? !fl_span_is(s, name) : s.n != 0)
			continue;
		*number *= measure->units[i].times;
		return true;
	}
	return false;
}

bool fl_reader_quantity(struct fl_reader *r, struct fl_span s,
			const struct fl_measure *measure, double *out)
{
	struct fl_span rest = s;
	double number = 0;
	if (read_number(&rest, &number) && read_unit(rest, measure, &number) &&
	    number >= measure->least && number <= measure->most) {
		*out = number;
		return true;
	}
	fl_reader_fault(r, s,
		FL_WORDS(r, "%s is not %s", fl_reader_quote(r, s),
			measure->what),
		measure->remedy);
	return false;
}
