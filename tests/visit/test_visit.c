#define _GNU_SOURCE   /* unshare() */
#include "test.h"

#include "visit/journal.h"
#include "visit/visit.h"

#include <errno.h>
#include <fcntl.h>
#include <sched.h>
#include <signal.h>
#include <sys/mount.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/* Every test has a folder of its own, and takes it away again. */
static char folder[64];

static int make_folder(void **state)
{
	(void)state;
	(void)snprintf(folder, sizeof folder, "/tmp/fairlead-visit.XXXXXX");
	return mkdtemp(folder) ? 0 : -1;
}

static int take_folder(void **state)
{
	(void)state;
	char path[FL_VISIT_PATH];
	for (enum fl_visit_file f = FL_VISIT_PLAN; f <= FL_VISIT_HAND; f++)
		if (fl_visit_path(folder, f, path))
			(void)unlink(path);
	return rmdir(folder);
}

static const char *journal(void)
{
	static char path[FL_VISIT_PATH];
	assert_true(fl_visit_path(folder, FL_VISIT_JOURNAL, path));
	return path;
}

static struct fl_visit *opened(const char *sum)
{
	struct fl_error error = { 0 };
	struct fl_visit *v = fl_visit_open(folder, FL_VISIT_JOURNAL, sum, &error);
	if (!v)
		print_error("%s: %s\n", error.subject, error.rule);
	assert_non_null(v);
	return v;
}

static void closed(struct fl_visit *v)
{
	struct fl_error error = { 0 };
	assert_true(fl_visit_close(v, &error));
	assert_int_equal(error.status, FL_OK);
}

static struct fl_observation mark(fl_time at, const char *text)
{
	return (struct fl_observation){
		.kind = FL_OBSERVED_HAND, .from = at, .to = at,
		.hand = { .act = FL_HAND_MARK, .name = "", .text = text },
	};
}

static char *content(void)
{
	static char text[1 << 16];
	FILE *in = fopen(journal(), "re");
	assert_non_null(in);
	const size_t n = fread(text, 1, sizeof text - 1, in);
	fclose(in);
	text[n] = '\0';
	return text;
}

static void put_content(const char *text)
{
	FILE *out = fopen(journal(), "we");
	assert_non_null(out);
	assert_int_equal(fwrite(text, 1, strlen(text), out), strlen(text));
	assert_int_equal(fclose(out), 0);
}

/* What replay hands over: the times, in order. */
struct heard { size_t n; fl_time last; };

static void hear(void *context, const struct fl_observation *o)
{
	struct heard *h = context;
	h->n++;
	h->last = o->to;
}

static struct fl_journal_summary replayed(struct heard *h)
{
	struct fl_error error = { 0 };
	*h = (struct heard){ 0 };
	struct fl_journal *j = fl_journal_open(journal(),
		(struct fl_observer){ h, hear }, &error);
	assert_non_null(j);
	while (fl_journal_pump(j, 64) == FL_OK)
		;
	const struct fl_journal_summary s = *fl_journal_summary(j);
	fl_journal_close(j);
	return s;
}

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

/* The thread and the queue change no octet: common practice. */
static void with_a_thread_the_octets_are_the_same(void **state)
{
	(void)state;
	struct fl_error error = { 0 };
	char *texts[2];
	for (int threaded = 0; threaded < 2; threaded++) {
		struct fl_visit *v = opened(NULL);
		if (threaded)
			assert_true(fl_visit_start(v, &error));
		for (fl_time t = 0; t < 500; t++) {
			const struct fl_observation o = mark(t, "x");
			fl_visit_write(v, &o);
		}
		closed(v);
		texts[threaded] = strdup(content());
		unlink(journal());
	}
	assert_true(strlen(texts[0]) > 500 * 40);
	assert_string_equal(texts[0], texts[1]);
	free(texts[0]);
	free(texts[1]);
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

/* Without the thread nothing is taken out: what the queue has no room for is
 * dropped at once, counted, and leaves its place in the order. */
static void a_full_queue_drops_and_counts(void **state)
{
	(void)state;
	static char text[60000];
	memset(text, 'x', sizeof text - 1);
	struct fl_visit *v = opened(NULL);
	const size_t fit = FL_VISIT_QUEUE / sizeof text;
	for (fl_time t = 0; t < 200; t++) {
		const struct fl_observation o = mark(t, text);
		fl_visit_write(v, &o);
	}
	const uint64_t lost = fl_visit_lost(v);
	assert_in_range(200 - lost, fit - 2, fit);
	const struct fl_observation o = mark(1000, "small");
	fl_visit_write(v, &o);   /* there may still be room for a small one */
	assert_int_equal(fl_visit_lost(v), lost);
	struct fl_error error = { 0 };
	assert_false(fl_visit_close(v, &error));
	assert_non_null(strstr(error.rule, "lost"));
	struct heard h;
	const struct fl_journal_summary s = replayed(&h);
	assert_int_equal(h.n, 201 - lost);
	assert_int_equal(h.last, 1000);
	assert_int_equal(s.gaps, 1);
	assert_int_equal(s.skipped + s.torn, 0);
}

/* A line that a reader would refuse is not written. */
static void a_line_over_the_ceiling_is_lost(void **state)
{
	(void)state;
	char *text = malloc(FL_JOURNAL_LINE + 1);
	memset(text, 'x', FL_JOURNAL_LINE);
	text[FL_JOURNAL_LINE] = '\0';
	struct fl_visit *v = opened(NULL);
	const struct fl_observation o = mark(1, text);
	fl_visit_write(v, &o);
	assert_int_equal(fl_visit_lost(v), 1);
	assert_false(fl_visit_close(v, NULL));
	free(text);
}

static void sleep_ms(long ms)
{
	nanosleep(&(struct timespec){ ms / 1000, ms % 1000 * 1000000 }, NULL);
}

static void child_writes(int out)
{
	struct fl_visit *v = fl_visit_open(folder, FL_VISIT_JOURNAL, NULL, NULL);
	if (!v || !fl_visit_start(v, NULL))
		_exit(1);
	for (uint64_t n = 0; n < 100000; n++) {
		const struct fl_observation o = mark((fl_time)n, "x");
		fl_visit_write(v, &o);
		if (write(out, &n, sizeof n) < 0)
			_exit(1);
		sleep_ms(1);
	}
	_exit(0);
}

/* kill -9: all that is older than a second is in the file. The child is killed a
 * second and more after it told of the last line that is then asked for. */
static void a_kill_loses_no_more_than_the_last_second(void **state)
{
	(void)state;
	int told[2];
	assert_int_equal(pipe(told), 0);
	const pid_t child = fork();
	if (child == 0)
		child_writes(told[1]);
	close(told[1]);
	uint64_t n = 0;
	while (n < 200 && read(told[0], &n, sizeof n) == sizeof n)
		;
	assert_int_equal(n, 200);
	sleep_ms(1200);
	kill(child, SIGKILL);
	waitpid(child, NULL, 0);
	close(told[0]);
	struct heard h;
	const struct fl_journal_summary s = replayed(&h);
	assert_true(h.n >= 200);
	assert_int_equal(s.gaps + s.skipped, 0);
	closed(opened(NULL));
}

/* The child's part of the full disk; each number is the place that failed. */
static int fill_a_disk(void)
{
	static char text[20000];
	memset(text, 'x', sizeof text - 1);
	if (unshare(CLONE_NEWNS) != 0 ||
	    mount("none", "/", NULL, MS_REC | MS_PRIVATE, NULL) != 0 ||
	    mount("none", folder, "tmpfs", 0, "size=256k") != 0)
		return FL_SKIPPED;
	char hog[FL_VISIT_PATH];
	struct fl_error error = { 0 };
	struct fl_visit *v = fl_visit_open(folder, FL_VISIT_JOURNAL, NULL, &error);
	if (!v || !fl_visit_start(v, &error))
		return 1;
	(void)snprintf(hog, sizeof hog, "%s/hog", folder);
	const int fd = open(hog, O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
	while (write(fd, text, sizeof text) > 0)
		;
	/* Far more than the disk and the queue hold. */
	for (fl_time t = 0; t < 600; t++) {
		const struct fl_observation o = mark(t, text);
		fl_visit_write(v, &o);
	}
	for (int i = 0; i < 5000 && fl_visit_lost(v) < 600; i++)
		sleep_ms(1);
	const uint64_t lost = fl_visit_lost(v);
	if (lost == 0)
		return 2;
	/* Room again: what waits is written, and it goes on. */
	if (close(fd) != 0 || unlink(hog) != 0 ||
	    mount("none", folder, "tmpfs", MS_REMOUNT, "size=32m") != 0)
		return 3;
	for (int i = 0; i < 5000 && fl_visit_lost(v) >= lost; i++)
		sleep_ms(1);
	const uint64_t dropped = fl_visit_lost(v);
	if (dropped == 0 || dropped >= lost)
		return 4;
	const struct fl_observation o = mark(1000, "after");
	fl_visit_write(v, &o);
	if (fl_visit_close(v, &error) || error.system != ENOSPC)
		return 5;
	struct heard h;
	const struct fl_journal_summary s = replayed(&h);
	return h.n != 601 - dropped || h.last != 1000 ? 6
	     : s.gaps != 1 || s.skipped || s.torn ? 7 : 0;
}

/* ENOSPC, write(2): lines are lost and counted, a line that was cut is made
 * whole, and nothing has to be begun anew. */
static void a_full_disk_loses_lines_and_goes_on(void **state)
{
	(void)state;
	const pid_t child = fork();
	if (child == 0)
		_exit(fill_a_disk());
	int ended;
	waitpid(child, &ended, 0);
	assert_true(WIFEXITED(ended));
	if (WEXITSTATUS(ended) == FL_SKIPPED)
		skip();   /* no right to mount */
	assert_int_equal(WEXITSTATUS(ended), 0);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, make_folder, take_folder)

int main(void)
{
	const struct CMUnitTest tests[] = {
		IN_FOLDER(what_is_written_is_a_journal),
		IN_FOLDER(with_a_thread_the_octets_are_the_same),
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
		IN_FOLDER(a_full_queue_drops_and_counts),
		IN_FOLDER(a_line_over_the_ceiling_is_lost),
		IN_FOLDER(a_kill_loses_no_more_than_the_last_second),
		IN_FOLDER(a_full_disk_loses_lines_and_goes_on),
	};
	return FL_RUN(tests);
}
