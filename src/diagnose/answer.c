#include "diagnose/answer.h"

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

const char *fl_way_words(enum fl_return way)
{
	static const char *const rows[] = {
		[FL_REBOOTED] = "restarted", [FL_OWN_LINK] = "own link lost",
		[FL_UNAWARE] = "noticed nothing", [FL_SOFTWARE] = "software started anew",
		[FL_PAUSED] = "paused by itself", [FL_RETURNS] = "cannot be told",
	};
	return rows[way];
}
