#include "source/octets.h"

#include <errno.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum {
	PIECE  = 1 << 20,          /* of one read(): larger gains nothing     */
	BUFFER = FL_WINDOW_LEAST + PIECE,
};

static void set_window(struct fl_octets *o, const uint8_t *start, size_t n,
		       uint64_t offset)
{
	o->start = o->at = start;
	o->end = start + n;
	o->offset = offset;
}

bool fl_octets_open(struct fl_octets *o, int fd)
{
	*o = (struct fl_octets){ .fd = fd };
	struct stat s;
	if (fstat(fd, &s) != 0)
		o->system = errno;
	else if (S_ISDIR(s.st_mode))
		o->system = EISDIR;
	else if (!(o->buffer = malloc(BUFFER)))
		o->system = ENOMEM;
	if (o->system)
		return false;
	const off_t from = lseek(fd, 0, SEEK_CUR);        /* -1: a pipe */
	set_window(o, o->buffer, 0, from > 0 ? (uint64_t)from : 0);
	return true;
}

void fl_octets_open_memory(struct fl_octets *o, const void *at, size_t n)
{
	*o = (struct fl_octets){ .fd = -1 };
	const void *none = "";                 /* no arithmetic on NULL */
	set_window(o, n ? at : none, n, 0);
}

void fl_octets_close(struct fl_octets *o)
{
	free(o->buffer);
	if (o->fd >= 0)
		(void)close(o->fd);
	*o = (struct fl_octets){ .fd = -1 };
}

/* One read() at the end of the window. False: the end, or `system`. */
static bool read_piece(struct fl_octets *o)
{
	const size_t held = (size_t)(o->end - o->start);
	const size_t room = BUFFER - held;
	for (;;) {
		const ssize_t got = read(o->fd, o->buffer + held,
					 room < PIECE ? room : PIECE);
		if (got >= 0) {
			o->end += got;
			return got > 0;
		}
		if (errno == EAGAIN)
			(void)poll(&(struct pollfd){ o->fd, POLLIN, 0 }, 1, -1);
		else if (errno != EINTR)
			break;
	}
	o->system = errno;
	return false;
}

bool fl_octets_slide(struct fl_octets *o, size_t n)
{
	const size_t left = fl_octets_ahead(o);
	if (left < n && o->buffer) {
		const uint64_t offset = fl_octets_offset(o);
		memmove(o->buffer, o->at, left);
		set_window(o, o->buffer, left, offset);
	}
	while (fl_octets_ahead(o) < n)
		if (!o->buffer || !read_piece(o))
			return false;
	return true;
}

bool fl_octets_skip(struct fl_octets *o, uint64_t n)
{
	while (n > fl_octets_ahead(o)) {
		n -= fl_octets_ahead(o);
		fl_octets_pass(o, fl_octets_ahead(o));
		if (!fl_octets_slide(o, 1))
			return false;
	}
	fl_octets_pass(o, (size_t)n);
	return true;
}
