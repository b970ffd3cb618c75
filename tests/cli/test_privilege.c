#define _GNU_SOURCE   /* unshare(), clone(), getresuid() */
#include "test.h"

#include "cli/privilege.h"

#include <errno.h>
#include <fcntl.h>
#include <grp.h>
#include <pthread.h>
#include <sched.h>
#include <seccomp.h>
#include <signal.h>
#include <sys/epoll.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <sys/mount.h>
#include <sys/prctl.h>
#include <sys/ptrace.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/timerfd.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>
#include <uv.h>

/* What is given up is given up for good, so each test is a process of its own;
 * it ends with the first thing that does not hold. */
#define HOLDS(what) do { \
		if (!(what)) { \
			dprintf(2, "%s:%d: not so: %s (errno %d)\n", __FILE__, __LINE__, \
				#what, errno); \
			_exit(1); \
		} \
	} while (0)
#define FAILS(call, why) HOLDS((errno = 0, (long)(call) == -1) && errno == (why))

static void in_child(void (*child)(void))
{
	int ended;
	const pid_t pid = fork();
	if (pid == 0) {
		child();
		_exit(0);
	}
	assert_int_equal(waitpid(pid, &ended, 0), pid);
	if (WIFEXITED(ended) && WEXITSTATUS(ended) == FL_SKIPPED)
		skip();
	assert_int_equal(ended, 0);
}

/* The value of a line of /proc/self/status, proc(5). */
static const char *status_of(const char *key)
{
	static char line[256];
	FILE *in = fopen("/proc/self/status", "re");
	HOLDS(in);
	while (fgets(line, sizeof line, in))
		if (strncmp(line, key, strlen(key)) == 0) {
			fclose(in);
			line[strcspn(line, "\n")] = '\0';
			return line + strlen(key) + strspn(line + strlen(key), ":\t ");
		}
	fclose(in);
	return "no such line";
}

static void dropped(void)
{
	struct fl_error error = { 0 };
	struct rlimit core;
	const bool root = geteuid() == 0;
	HOLDS(fl_privilege_drop(&error));
	static const char *const sets[] = { "CapInh", "CapPrm", "CapEff", "CapAmb", "CapBnd" };
	for (size_t i = 0; i < (root ? 5 : 4); i++)
		HOLDS(strtoull(status_of(sets[i]), NULL, 16) == 0);
	HOLDS(strcmp(status_of("NoNewPrivs"), "1") == 0);
	HOLDS(getrlimit(RLIMIT_CORE, &core) == 0 && core.rlim_cur == 0 && core.rlim_max == 0);
	HOLDS(prctl(PR_GET_DUMPABLE) == 0);
	FAILS(socket(AF_PACKET, SOCK_RAW, 0), EPERM);   /* packet(7): CAP_NET_RAW */
}

/* capabilities(7), prctl(2), getrlimit(2). */
static void after_dropping_no_right_is_left(void **state)
{
	(void)state;
	in_child(dropped);
}

static void sudo_called(void)
{
	struct fl_error error = { 0 };
	uid_t user[3];
	gid_t group[3], more[8];
	if (geteuid() != 0)
		_exit(FL_SKIPPED);
	setenv("SUDO_UID", "65533", 1);
	setenv("SUDO_GID", "65532", 1);
	HOLDS(fl_privilege_user(&error));
	HOLDS(getresuid(&user[0], &user[1], &user[2]) == 0);
	HOLDS(getresgid(&group[0], &group[1], &group[2]) == 0);
	for (int i = 0; i < 3; i++)
		HOLDS(user[i] == 65533 && group[i] == 65532);
	HOLDS(getgroups(8, more) == 1 && more[0] == 65532);
	FAILS(setuid(0), EPERM);
	FAILS(setgroups(0, NULL), EPERM);
	dropped();
}

/* sudo(8) names its caller in the environment. */
static void through_sudo_it_becomes_who_called(void **state)
{
	(void)state;
	in_child(sudo_called);
}

static void set_user_id(void)
{
	struct fl_error error = { 0 };
	uid_t user[3];
	gid_t group[3];
	const char *const secret = "/proc/1/environ";   /* proc(5): its owner's */
	if (geteuid() != 0)
		_exit(FL_SKIPPED);
	unsetenv("SUDO_UID");
	unsetenv("SUDO_GID");
	HOLDS(setgroups(0, NULL) == 0 && setresgid(65532, 0, 0) == 0 &&
	      setresuid(65533, 0, 0) == 0);
	HOLDS(fl_privilege_caller(&error));
	HOLDS(getresuid(&user[0], &user[1], &user[2]) == 0);
	HOLDS(user[0] == 65533 && user[1] == 65533 && user[2] == 0);
	FAILS(open(secret, O_RDONLY | O_CLOEXEC), EACCES);
	HOLDS(fl_privilege_file(&error) && geteuid() == 0);
	HOLDS(fl_privilege_user(&error));
	HOLDS(getresuid(&user[0], &user[1], &user[2]) == 0);
	HOLDS(getresgid(&group[0], &group[1], &group[2]) == 0);
	for (int i = 0; i < 3; i++)
		HOLDS(user[i] == 65533 && group[i] == 65532);
	HOLDS(fl_privilege_file(&error) && geteuid() == 65533);
	FAILS(setuid(0), EPERM);
}

/* execve(2): such a file starts as its owner, with the caller's real ID. */
static void a_file_that_is_set_user_id_reads_as_who_called(void **state)
{
	(void)state;
	in_child(set_user_id);
}

static void set_to_another(void)
{
	struct fl_error error = { 0 };
	if (geteuid() != 0)
		_exit(FL_SKIPPED);
	HOLDS(setresgid(65532, 65531, 65531) == 0 && setresuid(65533, 65530, 65530) == 0);
	HOLDS(fl_privilege_caller(&error) && fl_privilege_file(&error));
	HOLDS(geteuid() == 65533 && getegid() == 65532);
	FAILS(seteuid(65530), EPERM);
	FAILS(setegid(65531), EPERM);
}

/* setresuid(2): whom nobody needs again is given up for good. */
static void an_owner_who_is_not_root_is_given_up(void **state)
{
	(void)state;
	in_child(set_to_another);
}

static void named_badly(void)
{
	static const char *const bad[] = {
		"", "-1", "+5", " 5", "5 ", "0x10", "12a", "4294967295", "4294967296",
		"99999999999999999999", "root",
	};
	if (geteuid() != 0)
		_exit(FL_SKIPPED);
	for (size_t i = 0; i < 2 * sizeof bad / sizeof bad[0]; i++) {
		struct fl_error error = { 0 };
		setenv("SUDO_UID", i % 2 ? bad[i / 2] : "65533", 1);
		setenv("SUDO_GID", i % 2 ? "65533" : bad[i / 2], 1);
		HOLDS(!fl_privilege_user(&error));
		HOLDS(strstr(error.rule, "SUDO_UID") && geteuid() == 0);
	}
	unsetenv("SUDO_GID");
	setenv("SUDO_UID", "65533", 1);
	HOLDS(!fl_privilege_user(NULL));
	unsetenv("SUDO_UID");
	HOLDS(fl_privilege_user(NULL) && geteuid() == 0);
	dropped();   /* root without sudo stays root, and has no right */
}

/* setresuid(2): 4294967295 means "leave it as it is". */
static void an_environment_that_names_nobody_is_refused(void **state)
{
	(void)state;
	in_child(named_badly);
}

/* ---- sealed ---- */

static void seal(void)
{
	struct fl_error error = { 0 };
	HOLDS(fl_privilege_drop(&error));
	HOLDS(fl_privilege_seal(&error));
}

static int nothing(void *unused)
{
	(void)unused;
	return 0;
}

static void escapes(void)
{
	static char stack[65536];
	char *const none[] = { NULL };
	char path[] = "/tmp/fairlead-sealed.XXXXXX";
	const int held = mkstemp(path);
	HOLDS(held >= 0);
	seal();
	FAILS(execve("/bin/true", none, none), EPERM);
	FAILS(syscall(SYS_execveat, AT_FDCWD, "/bin/true", none, none, 0), EPERM);
	FAILS(socket(AF_INET, SOCK_DGRAM, 0), EPERM);
	FAILS(socket(AF_INET6, SOCK_STREAM, 0), EPERM);
	FAILS(socket(AF_UNIX, SOCK_STREAM, 0), EPERM);
	FAILS(socket(AF_PACKET, SOCK_RAW, 0), EPERM);
	FAILS(fork(), EPERM);
	FAILS(clone(nothing, stack + sizeof stack, SIGCHLD, NULL), EPERM);
	FAILS(syscall(SYS_clone3, NULL, 0), EPERM);
	FAILS(ptrace(PTRACE_TRACEME, 0, NULL, NULL), EPERM);
	FAILS(kill(getppid(), 0), EPERM);
	FAILS(open(path, O_WRONLY), EPERM);
	FAILS(open(path, O_RDWR), EPERM);
	FAILS(open(path, O_RDONLY | O_CREAT, 0600), EPERM);
	FAILS(open(path, O_RDONLY | O_TRUNC), EPERM);
	FAILS(open("/tmp", O_TMPFILE | O_WRONLY, 0600), EPERM);
	FAILS(syscall(SYS_openat2, AT_FDCWD, path, NULL, 0), EPERM);
	FAILS(unlink(path), EPERM);
	FAILS(rename(path, "/tmp/elsewhere"), EPERM);
	FAILS(mkdir("/tmp/fairlead-new", 0700), EPERM);
	FAILS(chmod(path, 0777), EPERM);
	FAILS(ioctl(held, TIOCSTI, "x"), EPERM);
	FAILS(syscall(SYS_mmap, NULL, 4096, PROT_READ | PROT_EXEC,
		      MAP_PRIVATE | MAP_ANONYMOUS, -1, 0), EPERM);
	FAILS(mprotect(stack, 1, PROT_READ | PROT_EXEC), EPERM);
	FAILS(syscall(SYS_prlimit64, 0, RLIMIT_CORE, &(struct rlimit){ 0, 0 }, NULL), EPERM);
	FAILS(syscall(SYS_seccomp, 0, 0, NULL), EPERM);
	FAILS(setuid(getuid()), EPERM);
}

/* seccomp(2). What must fail, fails with EPERM. */
static void a_sealed_process_can_begin_nothing_new(void **state)
{
	(void)state;
	in_child(escapes);
	(void)!system("rm -f /tmp/fairlead-sealed.??????");
}

static void count(uv_timer_t *timer)
{
	if (++*(int *)timer->data == 3)
		uv_close((uv_handle_t *)timer, NULL);
}

static void goes_on(void)
{
	int pipes[2], ticks = 0;
	char octet = 'x';
	struct timespec now;
	struct winsize size;
	struct itimerspec soon = { .it_value = { 0, 1000000 } };
	struct epoll_event event = { .events = EPOLLIN };
	uv_loop_t loop;
	uv_timer_t timer;
	uv_signal_t signals;
	const int file = open("/tmp", O_TMPFILE | O_RDWR | O_CLOEXEC, 0600);
	HOLDS(file >= 0 && pipe(pipes) == 0);
	HOLDS(uv_loop_init(&loop) == 0);
	seal();
	HOLDS(clock_gettime(CLOCK_BOOTTIME, &now) == 0);
	HOLDS(write(pipes[1], &octet, 1) == 1 && read(pipes[0], &octet, 1) == 1);
	HOLDS(write(file, "line\n", 5) == 5 && fdatasync(file) == 0 && fsync(file) == 0);
	FAILS(ioctl(file, TIOCGWINSZ, &size), ENOTTY);   /* let through, and no terminal */
	const int epoll = epoll_create1(EPOLL_CLOEXEC);
	const int alarm_clock = timerfd_create(CLOCK_MONOTONIC, TFD_CLOEXEC);
	HOLDS(epoll >= 0 && alarm_clock >= 0);
	HOLDS(epoll_ctl(epoll, EPOLL_CTL_ADD, alarm_clock, &event) == 0);
	HOLDS(timerfd_settime(alarm_clock, 0, &soon, NULL) == 0);
	HOLDS(epoll_wait(epoll, &event, 1, 10000) == 1);
	/* A loop that was made before, with a timer and a signal. */
	timer.data = &ticks;
	HOLDS(uv_timer_init(&loop, &timer) == 0 && uv_timer_start(&timer, count, 1, 1) == 0);
	HOLDS(uv_signal_init(&loop, &signals) == 0);
	HOLDS(uv_signal_start(&signals, NULL, SIGWINCH) == 0);
	uv_close((uv_handle_t *)&signals, NULL);
	HOLDS(uv_run(&loop, UV_RUN_DEFAULT) == 0 && ticks == 3);
	HOLDS(uv_loop_close(&loop) == 0);
	/* The C library: time zones, memory, files that are read. */
	char *much = malloc(64 << 20);
	HOLDS(much);
	memset(much, 1, 64 << 20);
	free(much);
	tzset();
	HOLDS(localtime(&now.tv_sec));
	HOLDS(strcmp(status_of("Seccomp"), "2") == 0);   /* proc(5): filtered */
}

static void a_sealed_process_still_listens_and_writes(void **state)
{
	(void)state;
	in_child(goes_on);
}

static void *other_thread(void *pipes)
{
	char octet;
	const int *fd = pipes;
	HOLDS(read(fd[0], &octet, 1) == 1);
	FAILS(socket(AF_INET, SOCK_DGRAM, 0), EPERM);
	FAILS(open("/dev/null", O_WRONLY), EPERM);
	return NULL;
}

static void threads(void)
{
	int pipes[2];
	pthread_t thread;
	struct fl_error error = { 0 };
	HOLDS(pipe(pipes) == 0);
	HOLDS(fl_privilege_drop(&error));
	HOLDS(pthread_create(&thread, NULL, other_thread, pipes) == 0);
	HOLDS(fl_privilege_seal(&error));
	HOLDS(write(pipes[1], "x", 1) == 1);
	HOLDS(pthread_join(thread, NULL) == 0);
}

/* seccomp(2) SECCOMP_FILTER_FLAG_TSYNC. */
static void threads_that_run_already_are_sealed_too(void **state)
{
	(void)state;
	in_child(threads);
}

/* A name mistyped would be a call that is never let through. */
static void every_row_is_a_system_call(void **state)
{
	(void)state;
	static const char *const names[] = {
#define CALL(name, check, what_for) #name,
#include "cli/system_calls.def"
#undef CALL
	};
	for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
		if (seccomp_syscall_resolve_name(names[i]) == __NR_SCMP_ERROR)
			print_error("%s\n", names[i]);
		assert_int_not_equal(seccomp_syscall_resolve_name(names[i]), __NR_SCMP_ERROR);
		for (size_t k = 0; k < i; k++)
			assert_string_not_equal(names[i], names[k]);
	}
}

/* ---- what gives the right ---- */

static void plain_remedy(void)
{
	char text[8192], path[4096] = { 0 };
	if (prctl(PR_GET_NO_NEW_PRIVS, 0, 0, 0, 0) == 1)
		_exit(FL_SKIPPED);
	HOLDS(readlink("/proc/self/exe", path, sizeof path - 1) > 0);
	fl_privilege_remedy(text, sizeof text);
	HOLDS(strncmp(text, "sudo setcap cap_net_raw+ep ", 27) == 0 || strstr(text, "nosuid"));
	HOLDS(strstr(text, path) || strchr(text, '$'));
	HOLDS(prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0);
	HOLDS(strstr(fl_privilege_remedy(text, sizeof text), "no_new_privs"));
	HOLDS(strlen(fl_privilege_remedy(text, 9)) == 8);   /* cut, not past its end */
}

/* setcap(8), prctl(2): under no_new_privs no file gives a right. */
static void the_remedy_names_the_program_or_what_is_in_its_way(void **state)
{
	(void)state;
	in_child(plain_remedy);
}

static void copy_itself(const char *to)
{
	static char piece[1 << 16];
	const int in = open("/proc/self/exe", O_RDONLY | O_CLOEXEC);
	const int out = open(to, O_WRONLY | O_CREAT | O_CLOEXEC, 0700);
	ssize_t n;
	HOLDS(in >= 0 && out >= 0);
	while ((n = read(in, piece, sizeof piece)) > 0)
		HOLDS(write(out, piece, (size_t)n) == n);
	HOLDS(n == 0 && close(out) == 0 && close(in) == 0);
}

static void on_nosuid(void)
{
	char folder[] = "/tmp/fairlead-nosuid.XXXXXX";
	char copy[64];
	HOLDS(mkdtemp(folder));
	const pid_t pid = fork();
	if (pid == 0) {
		if (unshare(CLONE_NEWNS) != 0 ||
		    mount("none", "/", NULL, MS_REC | MS_PRIVATE, NULL) != 0 ||
		    mount("none", folder, "tmpfs", MS_NOSUID, "size=64m") != 0)
			_exit(FL_SKIPPED);
		(void)snprintf(copy, sizeof copy, "%s/a program", folder);
		copy_itself(copy);
		execl(copy, copy, "nosuid", (char *)NULL);
		_exit(1);
	}
	int ended;
	waitpid(pid, &ended, 0);
	rmdir(folder);
	_exit(WIFEXITED(ended) ? WEXITSTATUS(ended) : 1);
}

/* mount(8) nosuid: capabilities of files do not take hold. */
static void the_remedy_tells_of_a_file_system_without_rights(void **state)
{
	(void)state;
	in_child(on_nosuid);
}

int main(int argc, char **argv)
{
	char text[512];
	if (argc == 2 && strcmp(argv[1], "nosuid") == 0) {
		const char *remedy = fl_privilege_remedy(text, sizeof text);
		/* A path that a shell would take apart is not shown. */
		return !strstr(remedy, "nosuid") || strstr(remedy, "a program");
	}
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(after_dropping_no_right_is_left),
		cmocka_unit_test(through_sudo_it_becomes_who_called),
		cmocka_unit_test(a_file_that_is_set_user_id_reads_as_who_called),
		cmocka_unit_test(an_owner_who_is_not_root_is_given_up),
		cmocka_unit_test(an_environment_that_names_nobody_is_refused),
		cmocka_unit_test(a_sealed_process_can_begin_nothing_new),
		cmocka_unit_test(a_sealed_process_still_listens_and_writes),
		cmocka_unit_test(threads_that_run_already_are_sealed_too),
		cmocka_unit_test(every_row_is_a_system_call),
		cmocka_unit_test(the_remedy_names_the_program_or_what_is_in_its_way),
		cmocka_unit_test(the_remedy_tells_of_a_file_system_without_rights),
	};
	return FL_RUN(tests);
}
