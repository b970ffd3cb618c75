/* options.c -- the command line, and what is said when it is wrong. */
#include "cli/cli.h"

#include "render/layout.h"

#include <errno.h>
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { CLEANED = 16 << 10 };   /* octets of a text from the command line */

void fl_help(const struct fl_command *command)
{
	printf("fairlead %s [options] %s\n\n%s.\n\n", command->name,
	       command->arguments, command->help);
	for (const struct fl_option *o = command->options; o->name; o++)
		printf("  %s%s%-*s  %s\n", o->name, o->value ? " " : "",
		       (int)(18 - strlen(o->name) - (o->value ? 1 : 0)),
		       o->value ? o->value : "", o->help);
	printf("  %-18s  %s\n", "--help", "this text");
	printf("\nman fairlead-%s says more.\n", command->name);
}

static int find(const struct fl_command *command, const char *word, size_t n)
{
	for (int i = 0; command->options[i].name; i++)
		if (strlen(command->options[i].name) == n &&
		    memcmp(command->options[i].name, word, n) == 0)
			return i;
	return -1;
}

static bool refuse(const struct fl_command *command, enum fl_exit *status,
		   const char *what, const char *word)
{
	fprintf(stderr, "fairlead %s: %s ", command->name, what);
	fl_put_clean(stderr, word);
	fprintf(stderr, "; fairlead %s --help lists the options\n", command->name);
	*status = FL_EXIT_USAGE;
	return false;
}

bool fl_options(const struct fl_command *command, int *argc, char **argv,
		const char **values, enum fl_exit *status)
{
	int kept = 0;
	bool only_arguments = false;
	for (int i = 0; i < *argc; i++) {
		char *word = argv[i];
		/* -12.4 is a reading with its leads the wrong way round. */
		if (only_arguments || word[0] != '-' || word[1] == '\0' ||
		    (word[1] >= '0' && word[1] <= '9')) {
			argv[kept++] = word;
			continue;
		}
		if (strcmp(word, "--") == 0) {
			only_arguments = true;
			continue;
		}
		if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0) {
			fl_help(command);
			*status = FL_EXIT_WELL;
			return false;
		}
		const char *equals = strchr(word, '=');
		const size_t n = equals ? (size_t)(equals - word) : strlen(word);
		const int found = find(command, word, n);
		if (found < 0)
			return refuse(command, status, "there is no option", word);
		if (!command->options[found].value) {
			if (equals)
				return refuse(command, status, "no value belongs to", word);
			values[found] = "";
		} else if (equals) {
			values[found] = equals + 1;
		} else if (i + 1 < *argc) {
			values[found] = argv[++i];
		} else {
			return refuse(command, status, "a value is missing after", word);
		}
	}
	*argc = kept;
	return true;
}

void fl_put_clean(FILE *out, const char *text)
{
	struct fl_text clean;
	if (!fl_text_init(&clean, CLEANED))
		return;
	fl_clean_add(&clean, text);
	fputs(clean.at, out);
	fl_text_close(&clean);
}

void fl_say_error(const struct fl_error *e)
{
	fputs("fairlead: ", stderr);
	fl_put_clean(stderr, e->subject);
	fprintf(stderr, ": %s", e->rule);
	if (e->system)
		fprintf(stderr, " (%s)", strerror(e->system));
	fputc('\n', stderr);
}

void fl_say_faults(const char *path, const struct fl_plan_faults *faults)
{
	for (size_t i = 0; i < faults->n; i++) {
		const struct fl_plan_fault *f = &faults->at[i];
		fl_put_clean(stderr, path);
		if (f->line)
			fprintf(stderr, ":%d:%d", f->line, f->column);
		fprintf(stderr, ": %s; %s\n", f->text, f->remedy);
	}
	if (faults->more) {
		fl_put_clean(stderr, path);
		fputs(": and more faults after these\n", stderr);
	}
}

/* write(2): EPIPE of a pipe, EIO of a terminal that was hung up. */
static bool reader_left(void)
{
	const int refused = errno;
	struct stat is;
	const bool hung_up = refused == EIO && fstat(STDOUT_FILENO, &is) == 0 &&
			     S_ISCHR(is.st_mode);
	errno = refused;
	return refused == EPIPE || hung_up;
}

bool fl_put(const char *text, size_t n)
{
	if (fwrite(text, 1, n, stdout) == n && fflush(stdout) == 0)
		return true;
	if (reader_left())
		return true;
	fprintf(stderr, "fairlead: standard output: %s\n", strerror(errno));
	return false;
}

bool fl_length_of(const char *text, fl_time *length)
{
	static const struct { const char *unit; fl_time of; } units[] = {
		{ "", FL_SECOND }, { "s", FL_SECOND }, { "m", FL_MINUTE },
		{ "min", FL_MINUTE }, { "h", FL_HOUR },
	};
	enum { LONGEST = 1000000 };   /* of any unit */
	char *end;
	errno = 0;
	const long n = strtol(text, &end, 10);
	if (errno || end == text || n <= 0 || n > LONGEST)
		return false;
	while (*end == ' ')
		end++;
	for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
		if (strcmp(end, units[i].unit) == 0) {
			*length = n * units[i].of;
			return true;
		}
	return false;
}
