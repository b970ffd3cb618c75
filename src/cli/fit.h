/* fit.h -- is a port of the laptop fit to listen at, what would the laptop's
 * own system send on it, and what makes it quiet: judged from facts alone.
 *
 * Source  RFC 4861, RFC 4862, RFC 3810 (what an IPv6 host says unasked when its
 *         link comes up); RFC 826 (ARP); ip-link(8), ip-address(8); Linux
 *         Documentation/networking/ip-sysctl.rst
 * Owns    nothing; texts are static but for the steps
 */
#ifndef FL_CLI_FIT_H
#define FL_CLI_FIT_H

#include "base/text.h"
#include "source/ports.h"

/* From worst to best. */
enum fl_verdict { FL_UNFIT, FL_NOT_YET, FL_LIMITED, FL_FIT };
enum { FL_VERDICTS = FL_FIT + 1 };

struct fl_reason {
	const char *key;             /* "no-link", for programs              */
	enum fl_verdict verdict;
	const char *words;           /* "it has no link: ..."                */
};

enum { FL_REASONS = 4, FL_SENDS = 2, FL_STEPS = 4, FL_STEP = 80 };

struct fl_fit {
	enum fl_verdict verdict;
	size_t n;                    /* one if it is not fit, any number else */
	const struct fl_reason *reasons[FL_REASONS];
};

/* Commands of a shell, to be called by root one after the other. */
struct fl_steps {
	bool   up;                   /* they also bring the port up          */
	bool   quiet, awake;         /* ... keep it quiet, keep it awake     */
	bool   cuts;                 /* ... take its addresses from it       */
	size_t n;
	char   at[FL_STEPS][FL_STEP];
};

struct fl_fit fl_fit(const struct fl_port_facts *facts);
/* What the system would say on it unasked; how many. */
size_t fl_fit_sends(const struct fl_port_facts *facts, const char *out[static FL_SENDS]);
/* What it takes to listen well. None where nothing is to be done, or where the
 * port's name is not plain letters and digits, which no shell should see. */
struct fl_steps fl_fit_steps(const struct fl_port_facts *facts);

/* The one port of this host that is fit. False: none or several are, which
 * was said. */
bool fl_fit_one(struct fl_port_facts *fit);

#endif
