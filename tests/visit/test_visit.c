#include "visit/visiting.h"

#include <errno.h>
#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>

/* fairlead-journal(5): the first line has the plan's sum; every other one is an
 * observation or said. */
static void what_is_written_is_a_journal(void **state)
{
	(void)state;
	struct fl_visit *v = opened("00c0ffee");
	struct fl_observation o = mark(7, "loose \"plug\"");
	fl_visit_write(v, &o);
	fl_visit_say(v, 8, "dropout", "radar is silent");
	o = mark(9, "");
	fl_visit_write(v, &o);
	assert_int_equal(fl_visit_order(v), 2);
	closed(v);
	assert_string_equal(content(),
		"{\"journal\":1,\"minor\":0,\"plan\":\"00c0ffee\"}\n"
		"{\"kind\":\"hand\",\"ear\":0,\"order\":0,\"from\":7,\"to\":7,"
		"\"act\":\"mark\",\"text\":\"loose \\\"plug\\\"\"}\n"
		"{\"said\":\"radar is silent\",\"kind\":\"dropout\",\"at\":8}\n"
		"{\"kind\":\"hand\",\"ear\":0,\"order\":1,\"from\":9,\"to\":9,"
		"\"act\":\"mark\"}\n");
	struct heard h;
	const struct fl_journal_summary s = replayed(&h);
	assert_int_equal(h.n, 2);
	assert_int_equal(s.skipped + s.gaps + s.torn, 0);
}

/* The mode keeps private traffic from others: judgement. */
static void files_are_not_for_everybody(void **state)
{
	(void)state;
	struct stat is;
	char inner[FL_VISIT_PATH];
	(void)snprintf(inner, sizeof inner, "%s/new", folder);
	struct fl_error error = { 0 };
	const mode_t was = umask(0);
	struct fl_visit *v = fl_visit_open(inner, FL_VISIT_HAND, NULL, &error);
	umask(was);
	assert_non_null(v);
	assert_int_equal(stat(inner, &is), 0);
	assert_int_equal(is.st_mode & 0777, 0750);
	assert_true(fl_visit_has(inner, FL_VISIT_HAND));
	assert_false(fl_visit_has(inner, FL_VISIT_JOURNAL));
	char path[FL_VISIT_PATH];
	assert_true(fl_visit_path(inner, FL_VISIT_HAND, path));
	assert_int_equal(stat(path, &is), 0);
	assert_int_equal(is.st_mode & 0777, 0640);
	closed(v);
	unlink(path);
	rmdir(inner);
}

/* One writer a file, and the next is told which process it is: flock(2),
 * fcntl(2) F_GETLK. */
static void a_second_writer_is_refused_and_told_who_writes(void **state)
{
	(void)state;
	int ready[2], done[2];
	char octet = 0;
	assert_int_equal(pipe(ready) + pipe(done), 0);
	const pid_t child = fork();
	if (child == 0) {
		struct fl_visit *v = fl_visit_open(folder, FL_VISIT_JOURNAL, NULL, NULL);
		close(done[1]);
		(void)!write(ready[1], "r", 1);
		(void)!read(done[0], &octet, 1);
		_exit(v && fl_visit_close(v, NULL) ? 0 : 1);
	}
	close(done[0]);
	assert_int_equal(read(ready[0], &octet, 1), 1);
	struct fl_error error = { 0 };
	assert_null(fl_visit_open(folder, FL_VISIT_JOURNAL, NULL, &error));
	assert_int_equal(error.status, FL_FULL);
	char name[32];
	(void)snprintf(name, sizeof name, "process %ld ", (long)child);
	assert_non_null(strstr(error.rule, name));
	/* Its death, however it comes, frees the file. */
	kill(child, SIGKILL);
	waitpid(child, NULL, 0);
	close(done[1]);
	close(ready[0]);
	close(ready[1]);
	closed(opened(NULL));
}

/* Within one process too, where F_GETLK names nobody. */
static void one_process_does_not_write_it_twice(void **state)
{
	(void)state;
	struct fl_error error = { 0 };
	struct fl_visit *v = opened(NULL);
	assert_null(fl_visit_open(folder, FL_VISIT_JOURNAL, NULL, &error));
	assert_int_equal(error.status, FL_FULL);
	closed(v);
}

/* fairlead-journal(5): `order` counts up by one, also over a second sitting. */
static void order_runs_on(void **state)
{
	(void)state;
	const struct fl_observation o = mark(1, "x");
	for (int sitting = 0; sitting < 3; sitting++) {
		struct fl_visit *v = opened(sitting == 1 ? "0000000b" : NULL);
		assert_int_equal(fl_visit_order(v), 2 * sitting);
		fl_visit_write(v, &o);
		fl_visit_write(v, &o);
		fl_visit_say(v, 1, "note", "{\"order\":77}");
		closed(v);
	}
	struct heard h;
	const struct fl_journal_summary s = replayed(&h);
	assert_int_equal(h.n, 6);
	assert_int_equal(s.gaps + s.skipped + s.torn, 0);
	/* Another plan is told where it began. */
	assert_non_null(strstr(content(), "\n{\"journal\":1,\"minor\":0,\"plan\":\"0000000b\"}\n"));
}

static void what_follows_a_torn_line_stands_on_its_own(void **state)
{
	(void)state;
	put_content("{\"journal\":1,\"minor\":0}\n"
		    "{\"kind\":\"hand\",\"ear\":0,\"order\":0,\"from\":1,\"to\":1,\"act\":\"mark\"}\n"
		    "{\"kind\":\"hand\",\"ear\":0,\"order\":1,\"from\":2,\"to\":2,\"ac");
	struct fl_visit *v = opened(NULL);
	assert_int_equal(fl_visit_order(v), 1);
	const struct fl_observation o = mark(3, "x");
	fl_visit_write(v, &o);
	closed(v);
	struct heard h;
	const struct fl_journal_summary s = replayed(&h);
	assert_int_equal(h.n, 2);
	assert_int_equal(h.last, 3);
	assert_int_equal(s.skipped, 1);
	assert_int_equal(s.gaps + s.torn, 0);
}

/* A crash within the very first line left nothing of worth. */
static void a_torn_first_line_is_begun_anew(void **state)
{
	(void)state;
	static const char *const torn[] = { "{", "{\"jour", "{\"journal\":1,\"mi" };
	for (size_t i = 0; i < sizeof torn / sizeof torn[0]; i++) {
		put_content(torn[i]);
		closed(opened(NULL));
		assert_string_equal(content(), "{\"journal\":1,\"minor\":0}\n");
	}
}

static void refused(const char *text, enum fl_status status)
{
	struct fl_error error = { 0 };
	put_content(text);
	assert_null(fl_visit_open(folder, FL_VISIT_JOURNAL, NULL, &error));
	assert_int_equal(error.status, status);
	assert_string_equal(content(), text);
}

/* What is not ours to write is left as it is. */
static void other_files_and_newer_journals_are_left_alone(void **state)
{
	(void)state;
	refused("{\"journal\":2,\"minor\":0}\n", FL_UNSUPPORTED);
	refused("{\"journal\":1,\"minor\":0}\n{\"journal\":2}\n", FL_UNSUPPORTED);
	refused("Dear yard, the radar is dead again.\n", FL_MALFORMED);
	refused("{\"name\":\"something\"}\n", FL_MALFORMED);
	unlink(journal());
	assert_int_equal(symlink("/dev/null", journal()), 0);
	struct fl_error error = { 0 };
	assert_null(fl_visit_open(folder, FL_VISIT_JOURNAL, NULL, &error));
	assert_int_equal(error.system, ELOOP);   /* open(2) O_NOFOLLOW */
	unlink(journal());
	assert_int_equal(mkfifo(journal(), 0600), 0);
	error = (struct fl_error){ 0 };
	assert_null(fl_visit_open(folder, FL_VISIT_JOURNAL, NULL, &error));
	assert_int_equal(error.status, FL_MALFORMED);
}

/* Orders of a file are octets like any other. */
static void hostile_orders_are_passed_over(void **state)
{
	(void)state;
	put_content("{\"journal\":1}\n{\"order\":4}\n{\"order\":-3}\n"
		    "{\"order\":9223372036854775807}\n{\"order\":\"9\"}\n[]\n\n");
	struct fl_visit *v = opened(NULL);
	assert_int_equal(fl_visit_order(v), 5);
	closed(v);
}

static void a_file_of_its_own_must_be_new(void **state)
{
	(void)state;
	struct fl_error error = { 0 };
	struct fl_visit *v = fl_visit_open_file(journal(), "1", &error);
	assert_non_null(v);
	closed(v);
	assert_string_equal(content(), "{\"journal\":1,\"minor\":0,\"plan\":\"1\"}\n");
	assert_null(fl_visit_open_file(journal(), "1", &error));
	assert_int_equal(error.system, EEXIST);
}

static void a_folder_that_cannot_be_written_is_told(void **state)
{
	(void)state;
	struct fl_error error = { 0 };
	char path[FL_VISIT_PATH];
	(void)snprintf(path, sizeof path, "%s/none/below", folder);
	assert_null(fl_visit_open(path, FL_VISIT_JOURNAL, NULL, &error));
	assert_int_equal(error.system, ENOENT);
	assert_non_null(strstr(error.subject, "none/below"));
	put_content("");
	error = (struct fl_error){ 0 };
	assert_null(fl_visit_open(journal(), FL_VISIT_JOURNAL, NULL, &error));
	assert_int_equal(error.system, ENOTDIR);
	const pid_t child = fork();
	if (child == 0) {   /* root may write anywhere: be somebody else */
		error = (struct fl_error){ 0 };
		(void)!chmod(folder, 0500);
		if (geteuid() == 0 && setuid(65534) != 0)
			_exit(2);
		_exit(!fl_visit_open(folder, FL_VISIT_HAND, NULL, &error) &&
		      error.system == EACCES ? 0 : 1);
	}
	int ended;
	waitpid(child, &ended, 0);
	(void)chmod(folder, 0700);
	assert_int_equal(ended, 0);
}

/* visit.h: the octets that were judged by, whole; a part left over by one who
 * was killed is no plan, and a plan that is there stays. */
static void the_plan_is_kept_whole_and_once(void **state)
{
	(void)state;
	struct fl_error error = { 0 };
	char path[FL_VISIT_PATH], part[FL_VISIT_PATH + 8], text[16] = "";
	assert_true(fl_visit_path(folder, FL_VISIT_PLAN, path));
	(void)snprintf(part, sizeof part, "%s.part", path);
	FILE *f = fopen(part, "w");
	assert_non_null(f);
	fputs("cut short, and longer than it", f);
	fclose(f);
	assert_true(fl_visit_keep_plan(folder, "a plan", 6, &error));
	assert_true(fl_visit_keep_plan(folder, "another", 7, &error));
	f = fopen(path, "r");
	assert_non_null(f);
	assert_int_equal(fread(text, 1, sizeof text, f), 6);
	fclose(f);
	assert_memory_equal(text, "a plan", 6);
	assert_int_equal(access(part, F_OK), -1);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		IN_FOLDER(what_is_written_is_a_journal),
		IN_FOLDER(files_are_not_for_everybody),
		IN_FOLDER(a_second_writer_is_refused_and_told_who_writes),
		IN_FOLDER(one_process_does_not_write_it_twice),
		IN_FOLDER(order_runs_on),
		IN_FOLDER(what_follows_a_torn_line_stands_on_its_own),
		IN_FOLDER(a_torn_first_line_is_begun_anew),
		IN_FOLDER(other_files_and_newer_journals_are_left_alone),
		IN_FOLDER(hostile_orders_are_passed_over),
		IN_FOLDER(a_file_of_its_own_must_be_new),
		IN_FOLDER(a_folder_that_cannot_be_written_is_told),
		IN_FOLDER(the_plan_is_kept_whole_and_once),
	};
	return FL_RUN(tests);
}
