/* ports_ask.c -- a question to the kernel and its answer, over netlink.
 *
 * Source  netlink(7)
 * Errors  no answer within WAIT is EAGAIN: a driver at work is not waited for.
 *         (The kernel asks a driver within sendto(), which no time limit of a
 *         socket cuts short; ports.c therefore stops asking a slow one.)
 * Ceiling MESSAGES datagrams an answer
 */
#include "source/ports_inner.h"

#include <errno.h>
#include <string.h>
#include <sys/time.h>

enum { WAIT = 200000, MESSAGES = 4096 };   /* microseconds; judgement */

int fl_asker_open(struct fl_asker *asker, int bus)
{
	struct timeval wait = { .tv_usec = WAIT };
	asker->socket = mnl_socket_open2(bus, SOCK_CLOEXEC);
	if (!asker->socket)
		return errno;
	if (mnl_socket_bind(asker->socket, 0, MNL_SOCKET_AUTOPID) == 0 &&
	    setsockopt(mnl_socket_get_fd(asker->socket), SOL_SOCKET, SO_RCVTIMEO, &wait,
		       sizeof wait) == 0)
		return 0;
	const int why = errno;
	fl_asker_close(asker);
	return why;
}

void fl_asker_close(struct fl_asker *asker)
{
	if (asker->socket)
		mnl_socket_close(asker->socket);
	asker->socket = NULL;
}

struct nlmsghdr *fl_question(struct fl_asker *asker, uint16_t type, uint16_t flags,
			     const void *head, size_t n)
{
	struct nlmsghdr *question = mnl_nlmsg_put_header(asker->question);
	question->nlmsg_type = type;
	question->nlmsg_flags = (uint16_t)(NLM_F_REQUEST | flags);
	question->nlmsg_seq = ++asker->sequence;
	memcpy(mnl_nlmsg_put_extra_header(question, n), head, n);
	return question;
}

int fl_ask(struct fl_asker *asker, const struct nlmsghdr *question, mnl_cb_t read,
	   void *context)
{
	const unsigned me = mnl_socket_get_portid(asker->socket);
	if (mnl_socket_sendto(asker->socket, question, question->nlmsg_len) < 0)
		return errno;
	for (int i = 0; i < MESSAGES; i++) {
		const ssize_t n = mnl_socket_recvfrom(asker->socket, asker->answer,
						      sizeof asker->answer);
		if (n < 0)
			return errno;
		const int more = mnl_cb_run(asker->answer, (size_t)n, question->nlmsg_seq,
					    me, read, context);
		if (more == MNL_CB_STOP)
			return 0;
		/* EPROTO: the answer to an older question, come too late. */
		if (more < 0 && errno != EPROTO)
			return errno;
	}
	return EMSGSIZE;
}

struct sorting {
	const struct nlattr **found;
	size_t kinds;
};

static int sort(const struct nlattr *a, void *context)
{
	const struct sorting *s = context;
	const uint16_t kind = mnl_attr_get_type(a);
	if (kind < s->kinds)
		s->found[kind] = a;
	return MNL_CB_OK;
}

void fl_attributes(const void *at, size_t n, const struct nlattr **found, size_t kinds)
{
	struct sorting s = { found, kinds };
	for (size_t i = 0; i < kinds; i++)
		found[i] = NULL;
	mnl_attr_parse_payload(at, n, sort, &s);
}

void fl_attributes_within(const struct nlattr *nest, const struct nlattr **found,
			  size_t kinds)
{
	const bool told = nest && mnl_attr_validate(nest, MNL_TYPE_NESTED) == 0;
	fl_attributes(told ? mnl_attr_get_payload(nest) : NULL,
		      told ? mnl_attr_get_payload_len(nest) : 0, found, kinds);
}

bool fl_attribute_number(const struct nlattr *a, uint64_t *out)
{
	switch (a ? mnl_attr_get_payload_len(a) : 0) {
	case 1: *out = mnl_attr_get_u8(a);  return true;
	case 4: *out = mnl_attr_get_u32(a); return true;
	case 8: *out = mnl_attr_get_u64(a); return true;
	}
	return false;
}
