#define _GNU_SOURCE   /* unshare() */
#include "visit/visiting.h"

#include <errno.h>
#include <fcntl.h>
#include <sched.h>
#include <signal.h>
#include <sys/mount.h>
#include <sys/wait.h>
#include <time.h>

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

int main(void)
{
	const struct CMUnitTest tests[] = {
		IN_FOLDER(with_a_thread_the_octets_are_the_same),
		IN_FOLDER(a_full_queue_drops_and_counts),
		IN_FOLDER(a_line_over_the_ceiling_is_lost),
		IN_FOLDER(a_kill_loses_no_more_than_the_last_second),
		IN_FOLDER(a_full_disk_loses_lines_and_goes_on),
	};
	return FL_RUN(tests);
}
