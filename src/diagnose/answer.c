#include "diagnose/answer.h"

#include <inttypes.h>
#include <stdio.h>

const char *fl_state_word(enum fl_state state)
{
	static const char *const rows[] = {
#define STATE(id, word, words, known) [FL_STATE_##id] = word,
#include "diagnose/states.def"
#undef STATE
	};
	return rows[state];
}

const char *fl_state_words(enum fl_state state)
{
	static const char *const rows[] = {
#define STATE(id, word, words, known) [FL_STATE_##id] = words,
#include "diagnose/states.def"
#undef STATE
	};
	return rows[state];
}

/* Of so many as leaves one or two digits to read. */
static double out_of(double share)
{
	return share >= 0.005 ? 1e2 : share >= 0.0005 ? 1e3
	     : share >= 0.00005 ? 1e4 : 1e6;
}

const char *fl_loss_text(const struct fl_answer_loss *loss, char out[static FL_LOSS_TEXT])
{
	const double of = out_of(loss->high);
	const double low = loss->low * of, high = loss->high * of;
	(void)snprintf(out, FL_LOSS_TEXT, "%" PRIu64 " of %" PRIu64
		       " frames (%.*g to %.*g in %.0f)", loss->missed,
		       loss->received + loss->missed, low < 10 ? 2 : 3, low,
		       high < 10 ? 2 : 3, high, of);
	return out;
}

const char *fl_way_words(enum fl_return way)
{
	static const char *const rows[] = {
		[FL_REBOOTED] = "restarted", [FL_OWN_LINK] = "own link lost",
		[FL_UNAWARE] = "noticed nothing", [FL_SOFTWARE] = "software started anew",
		[FL_PAUSED] = "paused by itself", [FL_RETURNS] = "cannot be told",
	};
	return rows[way];
}
