/* ports_counters.c -- what sysfs counts of a port, and its speed.
 *
 * Source  Linux Documentation/networking/statistics.rst (struct
 *         rtnl_link_stats64); Documentation/ABI/testing/sysfs-class-net
 * Takes   small text files; what is not a plain number is not told
 * Says    an error counter that stands at zero is no count, see ports.h
 */
#include "source/ports_inner.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const struct row {
	const char *file;
	enum fl_counter counter;
	bool zero_counts;            /* every driver counts frames           */
} rows[] = {
	{ "statistics/rx_packets",        FL_COUNT_RECEIVED,        true },
	{ "statistics/tx_packets",        FL_COUNT_SENT,            true },
	{ "statistics/rx_bytes",          FL_COUNT_OCTETS_RECEIVED, true },
	{ "statistics/tx_bytes",          FL_COUNT_OCTETS_SENT,     true },
	{ "statistics/rx_crc_errors",     FL_COUNT_CRC,             false },
	{ "statistics/rx_frame_errors",   FL_COUNT_ALIGNMENT,       false },
	{ "statistics/rx_length_errors",  FL_COUNT_LENGTH,          false },
	/* Two names for want of room; many drivers fill both with one number,
	 * so the larger counts, not the sum. */
	{ "statistics/rx_missed_errors",  FL_COUNT_MISSED,          false },
	{ "statistics/rx_fifo_errors",    FL_COUNT_MISSED,          false },
	{ "statistics/collisions",        FL_COUNT_COLLISIONS,      false },
	{ "statistics/tx_carrier_errors", FL_COUNT_CARRIER,         false },
};
enum { ROWS = sizeof rows / sizeof rows[0] };

bool fl_sysfs_path(const char *root, const char *port, const char *file, char *out,
		   size_t room)
{
	const int n = snprintf(out, room, "%s/class/net/%s/%s", root, port, file);
	return n > 0 && (size_t)n < room;
}

bool fl_sysfs_text(const char *root, const char *port, const char *file, char *out,
		   size_t room)
{
	char path[PATH_MAX];
	if (!fl_sysfs_path(root, port, file, path, sizeof path))
		return false;
	const int fd = open(path, O_RDONLY | O_CLOEXEC);
	if (fd < 0)
		return false;
	/* Some files refuse to be read while the port is down. */
	const ssize_t n = read(fd, out, room - 1);
	close(fd);
	if (n < 0)
		return false;
	out[n] = '\0';
	out[strcspn(out, "\n")] = '\0';
	return true;
}

static bool number(const char *root, const char *port, const char *file, uint64_t *out)
{
	char text[32], *end;
	if (!fl_sysfs_text(root, port, file, text, sizeof text) ||
	    text[0] < '0' || text[0] > '9')
		return false;
	errno = 0;
	const uintmax_t value = strtoumax(text, &end, 10);
	if (errno || *end != '\0' || value > UINT64_MAX)
		return false;
	*out = value;
	return true;
}

static void read_speed(const char *root, struct fl_port *port)
{
	char text[16];
	uint64_t mbit;
	if (port->mbit == 0 && number(root, port->name, "speed", &mbit) && mbit <= INT32_MAX)
		port->mbit = (uint32_t)mbit;
	if (port->duplex == FL_DUPLEX_UNKNOWN &&
	    fl_sysfs_text(root, port->name, "duplex", text, sizeof text))
		port->duplex = strcmp(text, "half") == 0 ? FL_DUPLEX_HALF
			     : strcmp(text, "full") == 0 ? FL_DUPLEX_FULL
			     : FL_DUPLEX_UNKNOWN;
}

void fl_counters_read(const char *root, struct fl_port *port,
		      struct fl_counters_known *known)
{
	uint64_t value;
	known->standard |= port->counted;
	/* A port of this name in another network namespace, or one made anew
	 * since, is another port. */
	if (number(root, port->name, "ifindex", &value) && value != port->index)
		return;
	for (size_t i = 0; i < ROWS; i++) {
		const struct row *r = &rows[i];
		const uint32_t bit = UINT32_C(1) << r->counter;
		if (known->standard & bit || !number(root, port->name, r->file, &value))
			continue;
		if (value || r->zero_counts)
			known->ever |= bit;
		if (known->ever & bit)
			port->counted |= bit;
		if (port->counts[r->counter] < value)
			port->counts[r->counter] = value;
	}
	read_speed(root, port);
}

bool fl_counters_of_errors(const struct fl_port *port)
{
	for (enum fl_counter c = FL_COUNT_CRC; c <= FL_COUNT_CARRIER; c++)
		if (fl_port_counts(port, c))
			return true;
	return false;
}
