/* inner.h -- what the files of visit/ share, and nobody else. */
#ifndef FL_VISIT_INNER_H
#define FL_VISIT_INNER_H

#include "base/error.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

/* writer.c: a bounded queue of whole lines before a descriptor, which stays
 * the caller's. */
struct fl_writer;

struct fl_writer *fl_writer_new(int fd);
/* 0, or the errno of pthread_create(3). */
int fl_writer_start(struct fl_writer *writer);
/* Queue one line, its end added here. Never waits; NULL counts as lost. */
void fl_writer_put(struct fl_writer *writer, const char *line);
uint64_t fl_writer_lost(struct fl_writer *writer);
/* Write what waits, sync, free. The lines lost; *broken: the errno that lost
 * them, or that of syncing what was written; 0 if there was none. */
uint64_t fl_writer_close(struct fl_writer *writer, int *broken);

/* tail.c: what stands in a file that is to be gone on with. */
struct fl_tail {
	uint64_t order;              /* of the observation to come           */
	bool     begun;              /* a first line stands whole            */
	bool     torn;               /* its last line has no end             */
};

/* False: not a journal that can be gone on with; *status and *rule say why
 * (FL_SYSTEM: errno). */
bool fl_tail_read(int fd, off_t size, struct fl_tail *tail,
		  enum fl_status *status, const char **rule);

#endif
