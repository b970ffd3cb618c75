/* cli.h -- commands, their options, and how they end. */
#ifndef FL_CLI_CLI_H
#define FL_CLI_CLI_H

#include "base/error.h"
#include "plan/plan.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

enum fl_exit {
	FL_EXIT_WELL   = 0,   /* nothing wrong                           */
	FL_EXIT_WRONG  = 1,   /* something is wrong on the boat          */
	FL_EXIT_USAGE  = 2,   /* the call or the plan was wrong          */
	FL_EXIT_SILENT = 3,   /* nothing could be read or heard          */
};

/* One option: a switch where `value` is NULL, else what its value is called.
 * Help, parsing and the check against the manual are all made of these. */
struct fl_option {
	const char *name;     /* "--plan"                                */
	const char *value;    /* "FILE", or NULL                         */
	const char *help;     /* one sentence                            */
};

struct fl_command {
	const char *name;
	const char *arguments;               /* "CAPTURE ..."            */
	const char *help;                    /* one sentence             */
	const struct fl_option *options;     /* closed by a NULL name    */
	enum fl_exit (*run)(const struct fl_command *, int argc, char **argv);
};

/* Read options before and after the arguments. `values` has one slot for each
 * option, in order: NULL not given, "" a switch. Arguments are moved to the
 * front of argv and counted. False: the call was wrong, which was said, or
 * help was asked for and given (*status tells). */
bool fl_options(const struct fl_command *command, int *argc, char **argv,
		const char **values, enum fl_exit *status);
void fl_help(const struct fl_command *command);
void fl_say_error(const struct fl_error *error);
void fl_say_faults(const char *path, const struct fl_plan_faults *faults);
/* As fl_text_clean() lets it in: names of ports and files may hold anything. */
void fl_put_clean(FILE *out, const char *text);
/* Write a text to standard output. False: it was not written, which was said.
 * Whoever reads a pipe or a terminal may leave: that is no failure. */
bool fl_put(const char *text, size_t n);

/* A length of time as after --for: 90s, 15m, 8h. */
bool fl_length_of(const char *text, fl_time *length);

/* Each command, and its table of options. */
#define COMMAND(name, arguments, help)                                          \
	enum fl_exit fl_##name##_command(const struct fl_command *, int argc,   \
					 char **argv);                          \
	extern const struct fl_option fl_##name##_options[];
#include "cli/commands.def"
#undef COMMAND

#endif
