/* panel.c -- a patch panel: runs between pairs of taps, each with the faults
 * of a cable that a kernel without traffic shaping cannot make.
 *
 *     panel SEED NAME,TAP,TAP ...
 *
 * It makes the taps in its own network namespace, to be moved from there, and
 * says "ready". Then each line of standard input is done, and answered:
 *
 *     cut NAME               nothing goes through       done
 *     mend NAME              everything again, at once
 *     lose NAME PERCENT      by chance, of the seed
 *     corrupt NAME PERCENT   one bit of one octet behind the addresses
 *     delay NAME MS          later, in order
 *     double NAME PERCENT    sent twice
 *     carrier TAP on|off     the link of one end
 *     count NAME             NAME forwarded N lost N altered N doubled N
 *
 * It ends with standard input.
 *
 * Source  Linux Documentation/networking/tuntap; ioctl TUNSETCARRIER (5.0)
 * Errors  a line it does not know, or a tap it cannot have, ends it with 2
 * Ceiling RUNS runs; WAITING frames wait in one run, more are lost
 */
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <time.h>
#include <unistd.h>

#include <linux/if.h>
#include <linux/if_tun.h>

enum { RUNS = 16, WAITING = 1024, FRAME = 2048, NAME = 32, BATCH = 64 };
enum { HEAD = 14 };                  /* both addresses and the type */

struct waiting {
	int64_t due;
	int     to;                  /* which end                   */
	size_t  n;
	uint8_t octets[FRAME];
};

struct run {
	char    name[NAME];
	char    taps[2][IFNAMSIZ];
	int     fds[2];
	bool    cut;
	double  lose, corrupt, twice;        /* percent             */
	int64_t delay;                       /* ns                  */
	struct waiting *ring;
	size_t   first, n;
	uint64_t forwarded, lost, altered, doubled;
};

static struct run runs[RUNS];
static size_t run_count;
static uint64_t chance_state;

/* Vigna's splitmix64: a few lines, the same on every machine. */
static uint64_t chance_next(void)
{
	uint64_t z = chance_state += 0x9e3779b97f4a7c15;
	z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9;
	z = (z ^ z >> 27) * 0x94d049bb133111eb;
	return z ^ z >> 31;
}

static bool chance(double percent)
{
	return (double)(chance_next() >> 11) * 0x1p-53 * 100 < percent;
}

static int64_t now(void)
{
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec * INT64_C(1000000000) + t.tv_nsec;
}

static _Noreturn void give_up(const char *what, const char *subject)
{
	fprintf(stderr, "panel: %s: %s\n", subject, what);
	exit(2);
}

static int tap_open(const char *name)
{
	const int fd = open("/dev/net/tun", O_RDWR | O_NONBLOCK | O_CLOEXEC);
	struct ifreq ask = { .ifr_flags = IFF_TAP | IFF_NO_PI };
	snprintf(ask.ifr_name, sizeof ask.ifr_name, "%s", name);
	if (fd < 0 || ioctl(fd, TUNSETIFF, &ask) < 0)
		give_up(strerror(errno), name);
	return fd;
}

/* "NAME,TAP,TAP" */
static void run_add(char *text)
{
	if (run_count == RUNS)
		give_up("one run too many", text);
	struct run *r = &runs[run_count++];
	const char *name = strtok(text, ",");
	if (!name)
		give_up("a run is NAME,TAP,TAP", "arguments");
	snprintf(r->name, sizeof r->name, "%s", name);
	for (int i = 0; i < 2; i++) {
		const char *tap = strtok(NULL, ",");
		if (!tap)
			give_up("a run is NAME,TAP,TAP", name);
		snprintf(r->taps[i], sizeof r->taps[i], "%s", tap);
		r->fds[i] = tap_open(tap);
	}
	r->ring = calloc(WAITING, sizeof *r->ring);
	if (!r->ring)
		give_up("no memory", name);
}

static void put_by(struct run *r, int to, const uint8_t *octets, size_t n)
{
	if (r->n == WAITING) {
		r->lost++;
		return;
	}
	struct waiting *w = &r->ring[(r->first + r->n++) % WAITING];
	w->due = now() + r->delay;
	w->to = to;
	w->n = n;
	memcpy(w->octets, octets, n);
}

/* One frame came in at an end: what becomes of it is decided here. Chances
 * are drawn in the same order for each frame, whatever the run's faults. */
static void frame_in(struct run *r, int from, uint8_t *octets, size_t n)
{
	const bool lose = chance(r->lose), corrupt = chance(r->corrupt);
	const bool twice = chance(r->twice);
	const uint64_t where = chance_next();
	if (r->cut || lose) {
		r->lost++;
		return;
	}
	if (corrupt && n > HEAD) {
		octets[HEAD + where % (n - HEAD)] ^=
			(uint8_t)(1u << (where >> 32 & 7));
		r->altered++;
	}
	put_by(r, !from, octets, n);
	if (twice) {
		r->doubled++;
		put_by(r, !from, octets, n);
	}
}

static void take_in(struct run *r, int from)
{
	uint8_t octets[FRAME];
	for (int i = 0; i < BATCH; i++) {
		const ssize_t n = read(r->fds[from], octets, sizeof octets);
		if (n <= 0)
			return;
		frame_in(r, from, octets, (size_t)n);
	}
}

/* Put out what is due, in order: a frame behind a slower one waits for it.
 * A tap without a link refuses (EIO): the frame is lost, as in a cable. */
static void put_out(struct run *r)
{
	const int64_t t = now();
	for (; r->n && r->ring[r->first].due <= t; r->n--) {
		const struct waiting *w = &r->ring[r->first];
		if (write(r->fds[w->to], w->octets, w->n) == (ssize_t)w->n)
			r->forwarded++;
		else
			r->lost++;
		r->first = (r->first + 1) % WAITING;
	}
}

/* Milliseconds until the next frame is due; -1: none waits. */
static int patience(void)
{
	int64_t least = INT64_MAX;
	for (size_t i = 0; i < run_count; i++)
		if (runs[i].n && runs[i].ring[runs[i].first].due < least)
			least = runs[i].ring[runs[i].first].due;
	if (least == INT64_MAX)
		return -1;
	const int64_t wait = (least - now() + 999999) / 1000000;
	return wait < 0 ? 0 : wait > 1000 ? 1000 : (int)wait;
}

static void cut(struct run *r, double value)
{
	(void)value;
	r->cut = true;
}

static void lose(struct run *r, double percent)    { r->lose = percent; }
static void corrupt(struct run *r, double percent) { r->corrupt = percent; }
static void twice(struct run *r, double percent)   { r->twice = percent; }
static void delay(struct run *r, double ms) { r->delay = (int64_t)(ms * 1e6); }

static void mend(struct run *r, double value)
{
	(void)value;
	r->cut = false;
	r->lose = r->corrupt = r->twice = 0;
	r->delay = 0;
}

static const struct {
	const char *word;
	void (*obey)(struct run *, double value);
	bool valued;
} commands[] = {
	{ "cut",     cut,     false },
	{ "mend",    mend,    false },
	{ "lose",    lose,    true  },
	{ "corrupt", corrupt, true  },
	{ "delay",   delay,   true  },
	{ "double",  twice,   true  },
};

static struct run *run_named(const char *name)
{
	for (size_t i = 0; i < run_count; i++)
		if (name && strcmp(runs[i].name, name) == 0)
			return &runs[i];
	give_up("no such run", name ? name : "command");
}

static void set_carrier(const char *tap, const char *how)
{
	int on = how && strcmp(how, "on") == 0;
	for (size_t i = 0; i < 2 * run_count; i++) {
		const struct run *r = &runs[i / 2];
		if (!tap || strcmp(r->taps[i % 2], tap) != 0)
			continue;
		if (ioctl(r->fds[i % 2], TUNSETCARRIER, &on) < 0)
			give_up(strerror(errno), tap);
		puts("done");
		return;
	}
	give_up("no such tap", tap ? tap : "carrier");
}

static void obey(char *line)
{
	const char *word = strtok(line, " "), *name = strtok(NULL, " ");
	const char *value = strtok(NULL, " ");
	if (!word)
		return;
	if (strcmp(word, "carrier") == 0) {
		set_carrier(name, value);
		return;
	}
	struct run *r = run_named(name);
	if (strcmp(word, "count") == 0) {
		printf("%s forwarded %llu lost %llu altered %llu doubled %llu\n",
			r->name, (unsigned long long)r->forwarded,
			(unsigned long long)r->lost,
			(unsigned long long)r->altered,
			(unsigned long long)r->doubled);
		return;
	}
	for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
		if (strcmp(commands[i].word, word) != 0)
			continue;
		if (commands[i].valued != (value != NULL))
			break;
		commands[i].obey(r, value ? strtod(value, NULL) : 0);
		puts("done");
		return;
	}
	give_up("no such command", word);
}

/* Obey the whole lines that have come. False: standard input has ended. */
static bool read_commands(void)
{
	static char held[256];
	static size_t n;
	const ssize_t got = read(STDIN_FILENO, held + n, sizeof held - 1 - n);
	if (got <= 0)
		return false;
	n += (size_t)got;
	held[n] = '\0';
	for (char *end; (end = strchr(held, '\n')); ) {
		*end = '\0';
		obey(held);
		n -= (size_t)(end + 1 - held);
		memmove(held, end + 1, n + 1);
	}
	return true;
}

int main(int argc, char **argv)
{
	if (argc < 3)
		give_up("panel SEED NAME,TAP,TAP ...", "arguments");
	chance_state = strtoull(argv[1], NULL, 10);
	for (int i = 2; i < argc; i++)
		run_add(argv[i]);
	setvbuf(stdout, NULL, _IOLBF, BUFSIZ);
	puts("ready");
	for (;;) {
		struct pollfd fds[1 + 2 * RUNS] = {{ STDIN_FILENO, POLLIN, 0 }};
		for (size_t i = 0; i < 2 * run_count; i++)
			fds[1 + i] = (struct pollfd){
				runs[i / 2].fds[i % 2], POLLIN, 0 };
		if (poll(fds, 1 + 2 * run_count, patience()) < 0)
			give_up(strerror(errno), "poll");
		for (size_t i = 0; i < 2 * run_count; i++)
			if (fds[1 + i].revents & POLLIN)
				take_in(&runs[i / 2], (int)(i % 2));
		for (size_t i = 0; i < run_count; i++)
			put_out(&runs[i]);
		if (fds[0].revents && !read_commands())
			return 0;
	}
}
