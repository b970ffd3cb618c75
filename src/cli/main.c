/* main.c -- the program: one row a command. */
#include "cli/cli.h"
#include "cli/privilege.h"

#include <locale.h>
#include <signal.h>
#include <string.h>

static const struct fl_command commands[] = {
#define COMMAND(name, arguments, help) \
	{ #name, arguments, help, fl_##name##_options, fl_##name##_command },
#include "cli/commands.def"
#undef COMMAND
};
enum { COMMANDS = sizeof commands / sizeof commands[0] };

static void usage(FILE *out)
{
	fputs("fairlead finds the part to look at first when a device is missing or\n"
	      "unsteady on a boat's network.\n\n", out);
	for (size_t i = 0; i < COMMANDS; i++)
		fprintf(out, "  fairlead %-6s %-12s %s\n", commands[i].name,
			commands[i].arguments, "");
	fputc('\n', out);
	for (size_t i = 0; i < COMMANDS; i++)
		fprintf(out, "  %-6s %s\n", commands[i].name, commands[i].help);
	fputs("\nfairlead COMMAND --help says more; so does man fairlead.\n", out);
}

static enum fl_exit run(int argc, char **argv)
{
	for (size_t i = 0; i < COMMANDS; i++)
		if (strcmp(argv[1], commands[i].name) == 0)
			return commands[i].run(&commands[i], argc - 2, argv + 2);
	if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0) {
		usage(stdout);
		return FL_EXIT_WELL;
	}
	if (strcmp(argv[1], "--version") == 0 || strcmp(argv[1], "-V") == 0) {
		puts("fairlead " FAIRLEAD_VERSION);
		return FL_EXIT_WELL;
	}
	fputs("fairlead: no command \"", stderr);
	fl_put_clean(stderr, argv[1]);
	fputs("\"; fairlead --help lists them\n", stderr);
	(void)argc;
	return FL_EXIT_USAGE;
}

int main(int argc, char **argv)
{
	struct fl_error error = { 0 };
	setlocale(LC_CTYPE, "");
	signal(SIGPIPE, SIG_IGN);
	if (!fl_privilege_caller(&error)) {
		fl_say_error(&error);
		return FL_EXIT_SILENT;
	}
	if (argc < 2) {
		usage(stderr);
		return FL_EXIT_USAGE;
	}
	return (int)run(argc, argv);
}
