/* ports.c -- ports that are watched, on the loop.
 *
 * Source  rtnetlink(7), netlink(7)
 * Says    one snapshot a change. A message only says that something may have
 *         changed: what it holds may be older than what was read already, so
 *         the kernel is asked for the state as it is now.
 * Owns    see ports.h
 */
#include "source/ports_inner.h"

#include <errno.h>
#include <linux/rtnetlink.h>
#include <stdlib.h>
#include <string.h>

/* A driver that needs this long for an answer is not asked again: the loop
 * stands still meanwhile. Judgement: a PHY behind USB answers in 0.05 s. */
#define SLOW UINT64_C(500000000)

enum { READS = 64 };                 /* a turn of the loop */

struct watched {
	char     name[FL_PORT_NAME];
	uint16_t ear;
	bool     stale, slow;
	struct fl_port port;
	struct fl_counters_known known;
};

struct fl_ports {
	uv_poll_t poll;
	struct mnl_socket *news;
	struct fl_asker route;
	struct fl_ethtool ethtool;
	fl_ports_told_fn *told;
	void    *context;
	uint32_t overruns;
	size_t   n;
	struct watched watched[FL_PORTS];
	_Alignas(struct nlmsghdr) uint8_t message[FL_ANSWER];
	char     root[];
};

void fl_port_fill(struct fl_port *port, struct fl_ethtool *ethtool, const char *root,
		  struct fl_counters_known *known)
{
	if (ethtool)
		fl_ethtool_ask(ethtool, port->index, port);
	fl_counters_read(root, port, known);
	if (port->link)
		return;
	/* Nothing is agreed on without a link, but drivers go on to tell it. */
	port->mbit = 0;
	port->duplex = FL_DUPLEX_UNKNOWN;
	port->theirs = 0;
	port->signal = port->signal_most = 0;
}

static bool changed(const struct fl_port *a, const struct fl_port *b)
{
	return a->there != b->there || a->index != b->index ||
	       a->enabled != b->enabled || a->link != b->link ||
	       a->ups != b->ups || a->downs != b->downs;
}

static void fill(struct fl_ports *ports, struct watched *w)
{
	const uint64_t before = uv_hrtime();
	fl_port_fill(&w->port, w->slow ? NULL : &ports->ethtool, ports->root, &w->known);
	w->slow |= uv_hrtime() - before > SLOW;
}

/* Read a port anew, and tell if it changed or if `always`. */
static int refresh(struct fl_ports *ports, struct watched *w, bool always)
{
	struct fl_route_link link;
	struct fl_port now = { .name = w->name, .why = "" };
	const int refused = fl_route_ask(&ports->route, w->name, &link);
	if (refused && refused != ENODEV)
		return refused;            /* still stale: asked again */
	w->stale = false;
	if (!refused)
		fl_port_set(&now, &link);
	if (!always && !changed(&now, &w->port))
		return 0;
	if (now.index != w->port.index) {
		w->known = (struct fl_counters_known){ 0 };
		w->slow = false;
	}
	w->port = now;
	if (now.there)
		fill(ports, w);
	ports->told(ports->context, w->ear, &w->port);
	return 0;
}

static int mark_stale(const struct nlmsghdr *h, void *context)
{
	struct fl_ports *ports = context;
	struct fl_route_link link;
	if ((h->nlmsg_type != RTM_NEWLINK && h->nlmsg_type != RTM_DELLINK) ||
	    !fl_route_read(mnl_nlmsg_get_payload(h), mnl_nlmsg_get_payload_len(h), &link))
		return MNL_CB_OK;
	for (size_t i = 0; i < ports->n; i++) {
		struct watched *w = &ports->watched[i];
		w->stale |= strcmp(w->name, link.name) == 0 || w->port.index == link.index;
	}
	return MNL_CB_OK;
}

/* One message of the kernel, if there is one. */
static bool hear(struct fl_ports *ports)
{
	const ssize_t n = mnl_socket_recvfrom(ports->news, ports->message,
					      sizeof ports->message);
	if (n >= 0) {
		mnl_cb_run(ports->message, (size_t)n, 0, 0, mark_stale, ports);
		return true;
	}
	if (errno != ENOBUFS)
		return errno == EINTR;
	ports->overruns++;
	for (size_t i = 0; i < ports->n; i++)
		ports->watched[i].stale = true;
	return true;
}

static void on_news(uv_poll_t *poll, int status, int events)
{
	struct fl_ports *ports = poll->data;
	(void)events;
	for (int i = 0; i < READS && hear(ports); i++)
		;
	for (size_t i = 0; i < ports->n; i++)
		if (ports->watched[i].stale)
			(void)refresh(ports, &ports->watched[i], false);
	/* An overrun is an error of the socket until it is read; libuv takes
	 * it for a bad descriptor and stops the handle. */
	if (status < 0 && !uv_is_closing((uv_handle_t *)poll))
		uv_poll_start(poll, UV_READABLE, on_news);
}

static int open_all(struct fl_ports *ports, uv_loop_t *loop)
{
	int refused;
	ports->news = mnl_socket_open2(NETLINK_ROUTE, SOCK_CLOEXEC | SOCK_NONBLOCK);
	if (!ports->news || mnl_socket_bind(ports->news, RTMGRP_LINK, MNL_SOCKET_AUTOPID) < 0)
		return errno;
	if ((refused = fl_asker_open(&ports->route, NETLINK_ROUTE)) != 0 ||
	    (refused = fl_ethtool_open(&ports->ethtool)) != 0)
		return refused;
	return -uv_poll_init(loop, &ports->poll, mnl_socket_get_fd(ports->news));
}

struct fl_ports *fl_ports_open(uv_loop_t *loop, const char *root,
			       fl_ports_told_fn *told, void *context,
			       struct fl_error *error)
{
	const size_t n = strlen(root) + 1;
	struct fl_ports *ports = calloc(1, sizeof *ports + n);
	if (!ports) {
		fl_error_set(error, FL_NO_MEMORY, 0, 0, "no memory to watch ports", "ports");
		return NULL;
	}
	memcpy(ports->root, root, n);
	ports->told = told;
	ports->context = context;
	ports->poll.data = ports;
	const int refused = open_all(ports, loop);
	if (refused) {
		fl_error_set(error, FL_SYSTEM, refused, 0, "the kernel cannot be asked",
			     "ports");
		fl_ports_free(ports);
		return NULL;
	}
	return ports;
}

bool fl_ports_watch(struct fl_ports *ports, const char *name, uint16_t ear,
		    struct fl_error *error)
{
	if (ports->n == FL_PORTS) {
		fl_error_set(error, FL_FULL, 0, 0, "too many ports to watch", name);
		return false;
	}
	struct watched *w = &ports->watched[ports->n];
	*w = (struct watched){ .ear = ear };
	if (strlen(name) >= sizeof w->name) {
		fl_error_set(error, FL_SYSTEM, ENODEV, 0, "there is no such port", name);
		return false;
	}
	memcpy(w->name, name, strlen(name));
	int refused = -uv_poll_start(&ports->poll, UV_READABLE, on_news);
	struct fl_route_link link;
	if (!refused)
		refused = fl_route_ask(&ports->route, name, &link);
	if (!refused)
		refused = refresh(ports, w, true);
	if (refused) {
		fl_error_set(error, FL_SYSTEM, refused, 0,
			     refused == ENODEV ? "there is no such port"
					       : "the kernel cannot be asked", name);
		return false;
	}
	ports->n++;
	return true;
}

void fl_ports_sample(struct fl_ports *ports)
{
	for (size_t i = 0; i < ports->n; i++)
		(void)refresh(ports, &ports->watched[i], true);
}

uint32_t fl_ports_overruns(const struct fl_ports *ports)
{
	return ports->overruns;
}

void fl_ports_stop(struct fl_ports *ports)
{
	uv_close((uv_handle_t *)&ports->poll, NULL);
}

void fl_ports_free(struct fl_ports *ports)
{
	if (!ports)
		return;
	if (ports->news)
		mnl_socket_close(ports->news);
	fl_asker_close(&ports->route);
	fl_ethtool_close(&ports->ethtool);
	free(ports);
}
