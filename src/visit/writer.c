/* writer.c -- lines on their way to a disk.
 *
 * Whoever queues a line holds the lock for the length of a copy, and the
 * thread holds it never while it writes or syncs: so no disk, however slow,
 * holds up listening.
 *
 * Source  pthread_create(3), write(2), fdatasync(2)
 * Errors  a write that is refused is tried again each second with the same
 *         octets, so a line cut by a full disk is made whole once there is
 *         room; meanwhile the queue fills, and then lines are dropped
 * Ceiling FL_VISIT_QUEUE octets
 */
#include "visit/inner.h"
#include "visit/journal.h"
#include "visit/visit.h"

#include <errno.h>
#include <pthread.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { PIECE = 256 << 10 };   /* octets of one write(2) */

struct fl_writer {
	int       fd;
	pthread_t thread;
	bool      running, closing;
	pthread_mutex_t lock;        /* over all that follows                */
	pthread_cond_t  more;
	char     *ring;              /* FL_VISIT_QUEUE octets                */
	size_t    start, waiting;    /* octets                               */
	uint64_t  lines, dropped;    /* lines that wait; that found no room  */
	int       refused;           /* errno of the last write; 0: it went  */
	int       unwritten;         /* the first errno of writing           */
	int       not_synced;        /* ... of syncing                       */
	bool      unsynced;
	fl_time   sync_at, retry_at; /* CLOCK_MONOTONIC                      */
};

struct fl_writer *fl_writer_new(int fd)
{
	struct fl_writer *w = calloc(1, sizeof *w);
	pthread_condattr_t monotonic;
	if (!w)
		return NULL;
	w->fd = fd;
	w->ring = malloc(FL_VISIT_QUEUE);
	if (!w->ring) {
		free(w);
		return NULL;
	}
	pthread_mutex_init(&w->lock, NULL);
	pthread_condattr_init(&monotonic);
	pthread_condattr_setclock(&monotonic, CLOCK_MONOTONIC);
	pthread_cond_init(&w->more, &monotonic);
	pthread_condattr_destroy(&monotonic);
	return w;
}

/* ---- the one that queues ---- */

static void copy_in(struct fl_writer *w, const char *octets, size_t n)
{
	const size_t end = (w->start + w->waiting) % FL_VISIT_QUEUE;
	const size_t before = n < FL_VISIT_QUEUE - end ? n : FL_VISIT_QUEUE - end;
	memcpy(w->ring + end, octets, before);
	memcpy(w->ring, octets + before, n - before);
	w->waiting += n;
}

void fl_writer_put(struct fl_writer *w, const char *line)
{
	const size_t n = line ? strlen(line) + 1 : 0;
	pthread_mutex_lock(&w->lock);
	if (n == 0 || n >= FL_JOURNAL_LINE || n > FL_VISIT_QUEUE - w->waiting) {
		w->dropped++;
	} else {
		copy_in(w, line, n - 1);
		copy_in(w, "\n", 1);
		w->lines++;
		pthread_cond_signal(&w->more);
	}
	pthread_mutex_unlock(&w->lock);
}

uint64_t fl_writer_lost(struct fl_writer *w)
{
	pthread_mutex_lock(&w->lock);
	const uint64_t lost = w->dropped + (w->refused ? w->lines : 0);
	pthread_mutex_unlock(&w->lock);
	return lost;
}

/* ---- the one that writes; the lock is held but where it says so ---- */

static fl_time now(void)
{
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec * FL_SECOND + t.tv_nsec;
}

static uint64_t ends_in(const char *at, size_t n)
{
	uint64_t ends = 0;
	for (const char *end = at + n; (at = memchr(at, '\n', (size_t)(end - at))); at++)
		ends++;
	return ends;
}

static void write_piece(struct fl_writer *w)
{
	const char *at = w->ring + w->start;
	size_t n = FL_VISIT_QUEUE - w->start;
	n = n < w->waiting ? n : w->waiting;
	n = n < PIECE ? n : PIECE;
	pthread_mutex_unlock(&w->lock);
	const ssize_t went = write(w->fd, at, n);
	const int refused = went > 0 ? 0 : went == 0 ? EIO : errno;
	const uint64_t ends = went > 0 ? ends_in(at, (size_t)went) : 0;
	const fl_time t = now();
	pthread_mutex_lock(&w->lock);
	if (refused == EINTR)
		return;
	w->refused = refused;
	w->unwritten = w->unwritten ? w->unwritten : refused;
	w->retry_at = t + FL_SECOND;
	if (refused)
		return;
	w->start = (w->start + (size_t)went) % FL_VISIT_QUEUE;
	w->waiting -= (size_t)went;
	w->lines -= ends;
	if (!w->unsynced)
		w->sync_at = t + FL_SECOND;
	w->unsynced = true;
}

static void sync_now(struct fl_writer *w)
{
	w->unsynced = false;
	pthread_mutex_unlock(&w->lock);
	const int refused = fdatasync(w->fd) == 0 ? 0 : errno;
	pthread_mutex_lock(&w->lock);
	w->not_synced = w->not_synced ? w->not_synced : refused;
}

static void wait_for_more(struct fl_writer *w)
{
	const fl_time until = w->refused ? w->retry_at : w->sync_at;
	const struct timespec t = { until / FL_SECOND, until % FL_SECOND };
	if (w->refused || w->unsynced)
		pthread_cond_timedwait(&w->more, &w->lock, &t);
	else
		pthread_cond_wait(&w->more, &w->lock);
}

/* The next thing to do; false: all is done. A closing writer tries once more
 * to write what was refused, and waits for nothing. */
static bool work(struct fl_writer *w)
{
	if (w->unsynced && now() >= w->sync_at) {
		sync_now(w);
	} else if (w->waiting && (!w->refused || w->closing || now() >= w->retry_at)) {
		write_piece(w);
		return !(w->closing && w->refused);
	} else if (w->closing) {
		return false;
	} else {
		wait_for_more(w);
	}
	return true;
}

static void *run(void *context)
{
	struct fl_writer *w = context;
	pthread_mutex_lock(&w->lock);
	while (work(w))
		;
	if (w->unsynced)
		sync_now(w);
	pthread_mutex_unlock(&w->lock);
	return NULL;
}

int fl_writer_start(struct fl_writer *w)
{
	sigset_t all, was;
	sigfillset(&all);
	/* Signals are for the thread that listens. */
	pthread_sigmask(SIG_SETMASK, &all, &was);
	const int refused = pthread_create(&w->thread, NULL, run, w);
	pthread_sigmask(SIG_SETMASK, &was, NULL);
	w->running = refused == 0;
	return refused;
}

uint64_t fl_writer_close(struct fl_writer *w, int *broken)
{
	pthread_mutex_lock(&w->lock);
	w->closing = true;
	pthread_cond_signal(&w->more);
	pthread_mutex_unlock(&w->lock);
	if (w->running)
		pthread_join(w->thread, NULL);
	else
		run(w);
	const uint64_t lost = w->dropped + w->lines;
	/* What a disk refused and took later is no harm. */
	*broken = lost ? w->unwritten : w->not_synced;
	pthread_cond_destroy(&w->more);
	pthread_mutex_destroy(&w->lock);
	free(w->ring);
	free(w);
	return lost;
}
