/* privilege.c -- every right given up, in the order of privilege.h.
 *
 * What is left after fl_privilege_seal() is what the loop, the rings, netlink,
 * the screen and files already open need: no new socket, no new process, no
 * other program, no file opened for writing, no code that was not there.
 *
 * A call outside of the list fails with EPERM and does not end the process. It
 * does as little either way; but a call that was forgotten here, or that the
 * next C library makes, would else end a night's watch on some boat, and take
 * its open second with it. So whoever made the call fails, and tells.
 */
#define _GNU_SOURCE   /* setresuid() */
#include "cli/privilege.h"

#include <cap-ng.h>
#include <errno.h>
#include <fcntl.h>
#include <grp.h>
#include <limits.h>
#include <linux/sockios.h>
#include <seccomp.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/statvfs.h>
#include <unistd.h>

#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define FL_SANITIZED
#endif
#endif
#if defined(__SANITIZE_ADDRESS__)
#define FL_SANITIZED
#endif

static bool refuse(struct fl_error *error, int system, const char *rule)
{
	fl_error_set(error, FL_SYSTEM, system, 0, rule, "giving up rights");
	return false;
}

/* ---- who called ---- */

/* A number of the environment: digits only, and not the one that means "leave
 * it as it is" (setresuid(2)). */
static bool number_of(const char *text, uint32_t *number)
{
	uint64_t value = 0;
	if (!text || !text[0] || strlen(text) > 10)
		return false;
	for (const char *at = text; *at; at++) {
		if (*at < '0' || *at > '9')
			return false;
		value = value * 10 + (uint64_t)(*at - '0');
	}
	*number = (uint32_t)value;
	return value < UINT32_MAX;
}

static bool become(uid_t user, gid_t group, struct fl_error *error)
{
	if (setgroups(1, &group) != 0 || setresgid(group, group, group) != 0 ||
	    setresuid(user, user, user) != 0)
		return refuse(error, errno, "cannot become who called");
	if (user != 0 && (setuid(0) == 0 || setresuid(0, 0, 0) == 0))
		return refuse(error, 0, "the way back to root is open");
	return true;
}

/* Root alone is needed again, for the ports; any other owner of the file, and
 * its group, are given up here. */
bool fl_privilege_caller(struct fl_error *error)
{
	const uid_t user = getuid(), owner = geteuid();
	const gid_t group = getgid();
	if ((group != getegid() && setresgid(group, group, group) != 0) ||
	    (user != owner && setresuid(user, user, owner == 0 ? 0 : user) != 0))
		return refuse(error, errno, "cannot be who called");
	return true;
}

bool fl_privilege_file(struct fl_error *error)
{
	uid_t real, effective, saved;
	if (getresuid(&real, &effective, &saved) != 0 ||
	    (effective != 0 && saved == 0 && seteuid(0) != 0))
		return refuse(error, errno, "the right of the file is gone");
	return true;
}

bool fl_privilege_user(struct fl_error *error)
{
	const char *user = getenv("SUDO_UID"), *group = getenv("SUDO_GID");
	uint32_t uid, gid;
	if (geteuid() != 0)
		return true;
	if (getuid() != 0)   /* the file is set-user-ID */
		return become(getuid(), getgid(), error);
	if (!user && !group)
		return true;
	if (number_of(user, &uid) && number_of(group, &gid))
		return become(uid, gid, error);
	return refuse(error, 0, "SUDO_UID and SUDO_GID name no user and group");
}

/* ---- rights ---- */

/* capabilities(7): the bounding set is only for whoever has CAP_SETPCAP. Where
 * that is lacking, no_new_privs keeps what the set would have kept. */
static bool drop_capabilities(void)
{
	if (capng_get_caps_process() != 0)
		return false;
	if (capng_have_capability(CAPNG_EFFECTIVE, CAP_SETPCAP)) {
		capng_clear(CAPNG_SELECT_BOUNDS);
		if (capng_apply(CAPNG_SELECT_BOUNDS) != 0)
			return false;
	}
	if (prctl(PR_CAP_AMBIENT, PR_CAP_AMBIENT_CLEAR_ALL, 0, 0, 0) != 0)
		return false;
	capng_clear(CAPNG_SELECT_CAPS);
	return capng_apply(CAPNG_SELECT_CAPS) == 0 && capng_get_caps_process() == 0 &&
	       capng_have_capabilities(CAPNG_SELECT_CAPS) == CAPNG_NONE;
}

bool fl_privilege_drop(struct fl_error *error)
{
	const struct rlimit none = { 0, 0 };
	if (!drop_capabilities())
		return refuse(error, errno, "capabilities cannot be given up");
	if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0)
		return refuse(error, errno, "no_new_privs cannot be set");
	/* What was heard is private: it is in no core file, and no other process
	 * of the user looks into this one. */
	if (prctl(PR_SET_DUMPABLE, 0, 0, 0, 0) != 0 ||
	    setrlimit(RLIMIT_CORE, &none) != 0)
		return refuse(error, errno, "core dumps cannot be switched off");
	return true;
}

/* ---- system calls ---- */

/* What a row may ask of a call's arguments. */
enum check { anything, reads_1, reads_2, no_code, itself, asks, CHECKS };

enum { WRITES = O_ACCMODE | O_CREAT | O_TRUNC };

static int add_call(scmp_filter_ctx filter, int number, enum check check)
{
	/* The masked ones: of these bits, only those that follow. */
	const struct scmp_arg_cmp checks[CHECKS] = {
		[reads_1] = { 1, SCMP_CMP_MASKED_EQ, WRITES, O_RDONLY },
		[reads_2] = { 2, SCMP_CMP_MASKED_EQ, WRITES, O_RDONLY },
		[no_code] = { 2, SCMP_CMP_MASKED_EQ, PROT_EXEC, 0 },
		[itself]  = { 0, SCMP_CMP_EQ, (scmp_datum_t)getpid(), 0 },
		[asks]    = { 2, SCMP_CMP_EQ, 0, 0 },
	};
	return seccomp_rule_add_array(filter, SCMP_ACT_ALLOW, number,
				      check != anything, &checks[check]);
}

static const struct {
	const char *name;
	enum check  check;
} calls[] = {
#define CALL(name, check, what_for) { #name, check },
#include "cli/system_calls.def"
#undef CALL
};

/* ioctl(2) by request: among those left out is the one that types into the
 * terminal for its user. */
static const unsigned long requests[] = {
	TCGETS, TCSETS, TCSETSW, TCSETSF,   /* how the terminal answers keys   */
	TIOCGWINSZ,                         /* its size                        */
	FIONBIO, FIOCLEX,                   /* the loop: descriptors           */
	FIONREAD,                           /* keys: how many octets wait      */
	SIOCETHTOOL,                        /* what a port can and does        */
	SIOCGIFFLAGS, SIOCGIFNAME, SIOCGIFINDEX, SIOCGIFHWADDR, SIOCGIFMTU,
};

static int add_all(scmp_filter_ctx filter)
{
	int refused = seccomp_attr_set(filter, SCMP_FLTATR_CTL_TSYNC, 1);
	for (size_t i = 0; i < sizeof calls / sizeof calls[0] && !refused; i++) {
		const int number = seccomp_syscall_resolve_name(calls[i].name);
		if (number >= 0)   /* else a call of other machines */
			refused = add_call(filter, number, calls[i].check);
	}
	for (size_t i = 0; i < sizeof requests / sizeof requests[0] && !refused; i++) {
		const struct scmp_arg_cmp request = { 1, SCMP_CMP_EQ, requests[i], 0 };
		refused = seccomp_rule_add_array(filter, SCMP_ACT_ALLOW, SCMP_SYS(ioctl),
						 1, &request);
	}
	return refused;
}

#ifdef FL_SANITIZED
int __lsan_is_turned_off(void);
static bool sealed;

/* The search for leaks stops all threads with ptrace(2), at the very end: not in
 * a sealed process. What is sealed is searched by the tests of its parts. */
int __lsan_is_turned_off(void)
{
	return sealed;
}
#endif

bool fl_privilege_seal(struct fl_error *error)
{
	scmp_filter_ctx filter = seccomp_init(SCMP_ACT_ERRNO(EPERM));
	const int refused = !filter ? -ENOMEM : add_all(filter);
	const int result = refused ? refused : seccomp_load(filter);
	if (filter)
		seccomp_release(filter);
#ifdef FL_SANITIZED
	sealed = result == 0;
#endif
	return result == 0 || refuse(error, -result, "system calls cannot be given up");
}

/* ---- what gives the right ---- */

/* A path that can be shown and put in a line of a shell as it is; what cannot
 * is not shown. */
static bool plain(const char *path)
{
	static const char allowed[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
		"abcdefghijklmnopqrstuvwxyz0123456789/._+,@%-";
	return path[0] && path[strspn(path, allowed)] == '\0';
}

const char *fl_privilege_remedy(char *out, size_t room)
{
	char path[PATH_MAX];
	struct statvfs on;
	const ssize_t n = readlink("/proc/self/exe", path, sizeof path - 1);
	path[n > 0 ? n : 0] = '\0';
	const char *shown = plain(path) ? path : "\"$(command -v fairlead)\"";
	if (prctl(PR_GET_NO_NEW_PRIVS, 0, 0, 0, 0) == 1)
		(void)snprintf(out, room, "this shell runs under no_new_privs, as in a "
			"sandbox or container, where no program gains a right: call "
			"fairlead from another shell");
	else if (path[0] && statvfs(path, &on) == 0 && (on.f_flag & ST_NOSUID))
		(void)snprintf(out, room, "%s lies on a file system mounted nosuid, where "
			"the right of a file does not take hold: install it elsewhere, or "
			"call it through sudo", plain(path) ? path : "fairlead");
	else
		(void)snprintf(out, room, "sudo setcap cap_net_raw+ep %s", shown);
	return out;
}
