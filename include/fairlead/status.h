/* status.h -- every way a fairlead call can refuse, and its sentence. */
#ifndef FAIRLEAD_STATUS_H
#define FAIRLEAD_STATUS_H

#if defined(__GNUC__)
#define FL_API __attribute__((visibility("default")))
#else
#define FL_API
#endif

/* One row per status; the enum and fl_status_text() are both made of it. */
#define FL_STATUS_MAP(X)                                                  \
	X(OK,          "all well")                                        \
	X(END,         "nothing more to come")                            \
	X(SHORT,       "the bytes end before the field does")             \
	X(MALFORMED,   "a field breaks the rule of its specification")    \
	X(UNSUPPORTED, "well formed, but not a form this build reads")    \
	X(FULL,        "a stated ceiling was reached")                    \
	X(NO_MEMORY,   "the system gave no memory")                       \
	X(SYSTEM,      "the system refused a call")

enum fl_status {
#define X(name, text) FL_##name,
	FL_STATUS_MAP(X)
#undef X
};

/* The sentence for a status; never NULL, static storage. */
FL_API const char *fl_status_text(enum fl_status status);

#endif
