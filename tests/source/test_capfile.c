/* What both formats share: opening, batches, cuts, check sequences. */
#include "source/made.h"

#include <errno.h>
#include <fcntl.h>
#include <sys/wait.h>

enum { MICRO = 0xa1b2c3d4, NANO = 0xa1b23c4d };

/* draft-ietf-opsawg-pcap section 4, the magic field (its section 4.1 is
 * wrong): octets d4 c3 b2 a1 are little-endian microseconds, and so on. */
static void reads_both_byte_orders_and_clocks(void **state)
{
	(void)state;
	static const struct { uint32_t magic; bool big; const char *first; } rows[] = {
		{ MICRO, false, "\xd4\xc3\xb2\xa1" }, { NANO, false, "\x4d\x3c\xb2\xa1" },
		{ MICRO, true, "\xa1\xb2\xc3\xd4" }, { NANO, true, "\xa1\xb2\x3c\x4d" },
	};
	for (size_t i = 0; i < 4; i++) {
		struct made *m = made_new(rows[i].big);
		put_pcap(m, rows[i].magic, 1);
		assert_memory_equal(m->at, rows[i].first, 4);
		put_record(m, 1700000000, 123456, 60, 1514);
		struct told t;
		told_memory(&t, m->at, m->n, 256);
		assert_int_equal(t.status, FL_END);
		assert_int_equal(t.last.time, 1700000000 * FL_SECOND +
				 (rows[i].magic == MICRO ? 123456000 : 123456));
		assert_int_equal(t.last.captured, 60);
		assert_int_equal(t.last.length, 1514);
		assert_int_equal(t.summary.cut_short, 1);
		assert_int_equal(t.summary.octets, m->n);
		assert_false(t.summary.pcapng);
		told_close(&t);
		free(m);
	}
}

/* draft-ietf-opsawg-pcap section 4: P says that the FCS length is known, and
 * it counts pairs of octets: 24000001 is Ethernet with four. */
static void reads_the_fcs_length_of_the_link_word(void **state)
{
	(void)state;
	static const struct { const char *header; uint8_t fcs; } rows[] = {
		{ "d4c3b2a1 0200 0400 00000000 00000000 ffff0000 01000000", 0 },
		{ "4d3cb2a1 0200 0400 00000000 00000000 ffff0000 01000024", 4 },
		{ "4d3cb2a1 0200 0400 00000000 00000000 ffff0000 01000020", 0 },
		{ "4d3cb2a1 0200 0400 00000000 00000000 ffff0000 010000f4", 30 },
	};
	for (size_t i = 0; i < 4; i++) {
		struct made *m = made_new(false);
		put_hex(m, rows[i].header);
		struct told t;
		const struct fl_frame_sink sink = told_sink(&t);
		struct fl_capfile *f = fl_capfile_open_memory(m->at, m->n, "made", &sink, NULL);
		assert_int_equal(fl_capfile_pump(f, 1), FL_END);
		const struct fl_capfile_summary *s = fl_capfile_summary(f);
		assert_int_equal(s->interfaces, 1);
		assert_int_equal(s->interface[0].link, FL_LINK_ETHERNET);
		assert_int_equal(s->interface[0].snap, 65535);
		assert_int_equal(s->interface[0].fcs, rows[i].fcs);
		assert_int_equal(s->interface[0].section, 1);
		told_all(&t, f, 1);
		assert_string_equal(t.text, "open 0 link 1\nclose 0\n");
		told_close(&t);
		free(m);
	}
}

/* IEEE Std 802.3 section 3.2.9: FCS of whole frames, zero octets padding each
 * to 60; computed by the rule of that section. */
static const struct { const char *frame, *fcs; } checked[] = {
	{ "ffffffffffff 001122334455 0806 0001080006040001 001122334455 00000000 "
	  "000000000000 c0a80132", "07905407" },
	{ "ffffffffffff 001122334455 0806 0001080006040001 001122334455 c0a80132 "
	  "000000000000 c0a80132", "88b73e5c" },
	{ "0180c2000001 001122334455 8808 0001ffff", "9b60e93c" },
	{ "ffffffffffff 001122334455 8100a064 0806 0001080006040001 001122334455 "
	  "c0a80132 000000000000 c0a80132", "5841c403" },
	{ "0180c200000e 001122334455 88cc 020704001122334455 040703001122334456 "
	  "06020079 0000", "63bebe53" },
	{ "0180c200000e 001122334455 88cc 020704001122334455 040703001122334456 "
	  "06020000 0000", "914f2a89" },
	{ "0180c2000000 001122334455 0027 424203 0000 02 02 3d 8000001122334455 "
	  "00000000 8000001122334455 8001 0000 1400 0200 0f00 00", "ffcde463" },
	{ "0180c2000000 001122334455 0007 424203 0000 00 80", "26bf200b" },
};

static void checks_and_strips_a_whole_fcs(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof checked / sizeof checked[0]; i++) {
		for (int damaged = 0; damaged < 2; damaged++) {
			struct made *m = made_new(false);
			put_pcap(m, NANO, 0x24000001);
			put(m, 1, 4), put(m, 0, 4), put(m, 64, 4), put(m, 64, 4);
			const size_t start = m->n;
			put_hex(m, checked[i].frame);
			put_zeros(m, start + 60 - m->n);
			put_hex(m, checked[i].fcs);
			m->at[start + 20] ^= (uint8_t)damaged;
			struct told t;
			told_memory(&t, m->at, m->n, 256);
			assert_int_equal(t.status, FL_END);
			assert_true(t.last.fcs_checked);
			assert_int_equal(t.last.errors, damaged ? FL_ERROR_CRC : 0);
			assert_int_equal(t.last.captured, 60);
			assert_int_equal(t.last.length, 60);
			assert_int_equal(t.summary.fcs_checked, 1);
			assert_int_equal(t.summary.fcs_bad, damaged);
			told_close(&t);
			free(m);
		}
	}
}

/* Common practice: an FCS that was not captured whole cannot be checked; its
 * captured part is no data, and the wire length counts without it. */
static void strips_an_fcs_cut_by_the_capture(void **state)
{
	(void)state;
	static const struct { size_t captured, length; const char *says; } rows[] = {
		{ 64, 68, " 64/64 " }, { 66, 68, " 64/64 " }, { 50, 68, " 50/64 " },
		{ 3, 3, " 3/3 " }, { 4, 4, " 0/0 errors 01 checked " },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct made *m = made_new(false);
		put_pcap(m, NANO, 0x24000001);
		put_record(m, 1, 0, rows[i].captured, rows[i].length);
		struct told t;
		told_memory(&t, m->at, m->n, 256);
		assert_non_null(strstr(t.text, rows[i].says));
		assert_int_equal(t.last.fcs_checked, rows[i].captured == 4);
		told_close(&t);
		free(m);
	}
}

/* draft-ietf-opsawg-pcap section 5: a reader may raise an original length
 * that is less than the captured one. */
static void raises_a_length_below_what_was_captured(void **state)
{
	(void)state;
	struct made *m = made_new(true);
	put_pcap(m, MICRO, 1);
	put_record(m, 1, 0, 60, 14);
	struct told t;
	told_memory(&t, m->at, m->n, 256);
	assert_int_equal(t.last.captured, 60);
	assert_int_equal(t.last.length, 60);
	assert_int_equal(t.summary.cut_short, 0);
	told_close(&t);
	free(m);
}

/* draft-ietf-opsawg-pcaplinktype: 1 Ethernet, 113 and 276 Linux cooked; the
 * rest is counted and named. Cooked octets are as captured. */
static void pushes_three_link_types_and_counts_the_others(void **state)
{
	(void)state;
	static const struct { uint16_t link; bool read; const char *name; } rows[] = {
		{ 1, true, "Ethernet" }, { 113, true, "Linux cooked" },
		{ 276, true, "Linux cooked version 2" }, { 105, false, "wireless LAN" },
		{ 0, false, "loopback" }, { 60000, false, "link type" },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct made *m = made_new(false);
		put_pcap(m, NANO, 0x24000000u | rows[i].link);
		put_record(m, 1, 0, 64, 64);
		put_record(m, 2, 0, 20, 64);
		struct told t;
		told_memory(&t, m->at, m->n, 256);
		assert_int_equal(t.status, FL_END);
		assert_int_equal(t.summary.frames, rows[i].read ? 2 : 0);
		assert_int_equal(t.summary.skipped, rows[i].read ? 0 : 2);
		assert_int_equal(t.summary.cut_short, 1);
		assert_int_equal(told_count(&t, "frame"), rows[i].read ? 2 : 0);
		if (rows[i].read && rows[i].link != FL_LINK_ETHERNET)
			assert_int_equal(t.last.length, 64);
		assert_string_equal(fl_link_name(rows[i].link), rows[i].name);
		told_close(&t);
		free(m);
	}
}

static void make_small_pcap(struct made *m)
{
	put_pcap(m, NANO, 1);
	for (uint32_t i = 0; i < 4; i++)
		put_record(m, i, i, 14 + i, 60);
}

static void make_small_pcapng(struct made *m)
{
	put_section(m, 1, 0);
	begin_interface(m, 1, 0);
	put_option(m, 2, "eth0", 4);
	put_number_option(m, 9, 9, 1);
	end_block(m);
	put_packet(m, 0, 1, 14, 60);
	begin_packet(m, 0, 2, 15, 60);
	put_option(m, 1, "note", 4);
	put_number_option(m, 2, 2, 4);
	end_block(m);
	begin_block(m, 0xbad);
	put_zeros(m, 16);
	end_block(m);
	put_packet(m, 0, 3, 16, 60);
	begin_block(m, 5);
	put(m, 0, 4), put(m, 0, 8), put_number_option(m, 5, 7, 8);
	end_block(m);
}

static const struct { void (*make)(struct made *); } small[] = {
	{ make_small_pcap }, { make_small_pcapng },
};

/* Ends of the records of a small capture, by a plain walk over lengths. */
static size_t record_ends(const struct made *m, bool ng, size_t ends[static 16])
{
	size_t n = 0, at = ng ? 0 : 24;
	if (!ng)
		ends[n++] = at;
	while (at < m->n) {
		const uint8_t *p = m->at + at + (ng ? 4 : 8);
		const size_t low = m->big ? p[3] : p[0], high = m->big ? p[2] : p[1];
		at += (high << 8 | low) + (ng ? 0 : 16);
		ends[n++] = at;
	}
	return n;
}

/* Each record stands by itself (draft-ietf-opsawg-pcap section 5,
 * draft-ietf-opsawg-pcapng section 3.1), so that a cut takes only one. */
static void a_cut_gives_all_whole_records_and_says_where(void **state)
{
	(void)state;
	for (size_t kind = 0; kind < 4; kind++) {
		struct made *m = made_new(kind & 1);
		small[kind / 2].make(m);
		struct told whole;
		told_memory(&whole, m->at, m->n, 256);
		assert_int_equal(whole.status, FL_END);
		size_t ends[16], done = 0;
		const size_t records = record_ends(m, kind / 2, ends);
		assert_int_equal(ends[records - 1], m->n);
		for (size_t cut = 4; cut < m->n; cut++) {
			uint8_t *tight = memcpy(test_malloc(cut), m->at, cut);
			struct told t;
			told_memory(&t, tight, cut, 256);
			while (done < records && ends[done] <= cut)
				done++;
			const size_t start = done ? ends[done - 1] : 0;
			assert_int_equal(t.status, start == cut ? FL_END : FL_SHORT);
			assert_int_equal(t.summary.error.status,
					 start == cut ? FL_OK : FL_SHORT);
			assert_int_equal(t.summary.error.offset, start == cut ? 0 : start);
			if (start != cut)
				assert_non_null(strstr(t.summary.error.rule, "cut"));
			assert_int_equal(told_count(&t, "open"), told_count(&t, "close"));
			/* What it says but for the closing is how the whole began. */
			char *closing = strstr(t.text, "close");
			const size_t said = closing ? (size_t)(closing - t.text) : t.n;
			assert_memory_equal(t.text, whole.text, said);
			told_close(&t);
			test_free(tight);
		}
		told_close(&whole);
		free(m);
	}
}

static int file_of(const struct made *m)
{
	char path[] = "/tmp/test_capfile.XXXXXX";
	const int fd = mkstemp(path);
	assert_true(fd >= 0);
	assert_int_equal(unlink(path), 0);
	assert_int_equal(write(fd, m->at, m->n), (ssize_t)m->n);
	assert_int_equal(lseek(fd, 0, SEEK_SET), 0);
	return fd;
}

/* Long enough that the window slides, in both formats. */
static void make_long(struct made *m, bool ng)
{
	if (ng) {
		put_section(m, 1, 0);
		put_interface(m, 1, 0);
		put_interface(m, 113, 0);
		put_interface(m, 105, 0);
	} else {
		put_pcap(m, MICRO, 0x24000001);
	}
	for (uint32_t i = 0; i < 6000; i++) {
		const size_t n = i == 3000 ? 262144 : i * 7919 % 700;
		if (!ng)
			put_record(m, i, i, n, n);
		else if (i % 1000 == 999)
			begin_block(m, 4), put_zeros(m, n), end_block(m);
		else
			put_packet(m, i % 3, i, n, n);
	}
}

/* The source and the size of the batches are no part of a capture. */
static void tells_the_same_from_memory_file_and_pipe(void **state)
{
	(void)state;
	for (int kind = 0; kind < 4; kind++) {
		struct made *m = made_new(kind & 1);
		make_long(m, kind / 2);
		struct told memory;
		told_memory(&memory, m->at, m->n, 256);
		assert_int_equal(memory.status, FL_END);
		assert_true(memory.batch_longest > 1 && memory.batch_longest <= 256);
		for (int other = 0; other < 5; other++) {
			const size_t most = other < 3 ? 256 : 1;
			struct told t;
			switch (other) {
			case 0: told_fd(&t, file_of(m), most); break;
			case 1: told_fd(&t, pipe_of(m), most); break;
			case 2: told_memory(&t, m->at, m->n, SIZE_MAX); break;
			case 3: told_memory(&t, m->at, m->n, most); break;
			case 4: told_fd(&t, file_of(m), 0); break;
			}
			assert_true(other != 1 || wait(NULL) > 0);
			assert_int_equal(t.status, FL_END);
			assert_true(t.batch_longest <= most);
			assert_string_equal(t.text, memory.text);
			assert_int_equal(t.summary.octets, m->n);
			assert_int_equal(t.summary.frames, memory.summary.frames);
			assert_int_equal(t.summary.skipped, memory.summary.skipped);
			assert_int_equal(t.summary.fcs_bad, memory.summary.fcs_bad);
			told_close(&t);
		}
		told_close(&memory);
		free(m);
	}
}

/* capfile.h: "-" is standard input, which stays open for others. */
static void reads_standard_input(void **state)
{
	(void)state;
	struct made *m = made_new(false);
	make_small_pcapng(m);
	const int kept = dup(STDIN_FILENO), fd = file_of(m);
	assert_int_equal(dup2(fd, STDIN_FILENO), STDIN_FILENO);
	struct told t, memory;
	told_path(&t, "-", 256);
	assert_true(fcntl(STDIN_FILENO, F_GETFD) >= 0);
	assert_int_equal(dup2(kept, STDIN_FILENO), STDIN_FILENO);
	close(kept);
	close(fd);
	told_memory(&memory, m->at, m->n, 256);
	assert_int_equal(t.status, FL_END);
	assert_string_equal(t.text, memory.text);
	told_close(&memory);
	told_close(&t);
	free(m);
}

static void shrink(void *context, const struct fl_frame *frames, size_t n)
{
	/* Its octets stay what they were while the file goes away. */
	assert_int_equal(ftruncate(*(const int *)context, 100), 0);
	for (size_t i = 0; i < n; i++)
		(void)crc32_z(0, frames[i].at, frames[i].captured);
}

static void ignore(void *context, const struct fl_ear_event *event)
{
	(void)context, (void)event;
}

/* A capture may be overwritten while it is read: that ends the reading, not
 * the process. */
static void survives_a_file_that_shrinks(void **state)
{
	(void)state;
	struct made *m = made_new(false);
	make_long(m, true);
	int fd = file_of(m);
	const int other = dup(fd);
	const struct fl_frame_sink sink = { &fd, shrink, ignore };
	struct fl_capfile *f = fl_capfile_open_fd(other, "made", &sink, NULL);
	enum fl_status status;
	while ((status = fl_capfile_pump(f, 256)) == FL_OK)
		;
	assert_int_equal(status, FL_SHORT);
	assert_true(fl_capfile_summary(f)->error.offset < m->n);
	assert_true(fl_capfile_summary(f)->frames > 0);
	fl_capfile_close(f);
	close(fd);
	free(m);
}

/* The system's own numbers (IEEE Std 1003.1-2017, errno.h) and capfile.h. */
static void says_why_a_file_cannot_be_opened(void **state)
{
	(void)state;
	struct told t;
	told_path(&t, "/nonexistent/capture", 256);
	assert_int_equal(t.status, FL_SYSTEM);
	assert_int_equal(t.open_error.system, ENOENT);
	assert_string_equal(t.open_error.subject, "/nonexistent/capture");
	told_close(&t);
	told_path(&t, "/tmp", 256);
	assert_int_equal(t.status, FL_SYSTEM);
	assert_int_equal(t.open_error.system, EISDIR);
	told_close(&t);
	told_fd(&t, open("/dev/null", O_WRONLY), 256);
	assert_int_equal(t.status, FL_SYSTEM);
	assert_int_equal(t.open_error.system, EBADF);
	told_close(&t);
	told_path(&t, "/dev/null", 256);
	assert_int_equal(t.status, FL_SHORT);
	assert_non_null(strstr(t.open_error.rule, "empty"));
	told_close(&t);
}

/* Section 4 of either draft; RFC 1952 section 2.3.1 and RFC 8878 section
 * 3.1.1 for what is compressed. */
static void knows_a_capture_by_its_first_octets(void **state)
{
	(void)state;
	static const struct { const char *at; enum fl_status status; const char *why; } rows[] = {
		{ "\xd4\xc3\xb2", FL_SHORT, "short" },
		{ "GIF89a..", FL_UNSUPPORTED, "neither pcap nor pcapng" },
		{ "\xa1\xb2\xcd\x34....", FL_UNSUPPORTED, "neither" },
		{ "\x1f\x8b\x08.......", FL_UNSUPPORTED, "unpack" },
		{ "\x28\xb5\x2f\xfd....", FL_UNSUPPORTED, "unpack" },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct told t;
		told_memory(&t, rows[i].at, strlen(rows[i].at), 256);
		assert_int_equal(t.status, rows[i].status);
		assert_non_null(strstr(t.open_error.rule, rows[i].why));
		assert_string_equal(t.text, "");
		told_close(&t);
	}
}

/* draft-ietf-opsawg-pcap section 4: the minor version changes where an old
 * reader could not read all of the new format. */
static void refuses_versions_of_pcap_it_cannot_know(void **state)
{
	(void)state;
	static const struct { uint16_t major, minor; bool read; } rows[] = {
		{ 2, 4, true }, { 2, 0, true }, { 2, 5, false }, { 1, 4, false },
		{ 543, 0, false }, { 0, 0, false },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct made *m = made_new(false);
		make_small_pcap(m);
		m->n = 4;
		put(m, rows[i].major, 2), put(m, rows[i].minor, 2);
		m->n = 60;
		struct told t;
		told_memory(&t, m->at, m->n, 256);
		assert_int_equal(t.status, rows[i].read ? FL_SHORT : FL_UNSUPPORTED);
		assert_int_equal(t.summary.frames, rows[i].read);
		told_close(&t);
		free(m);
	}
}

/* The ceiling of capfile.h: 256 KiB captured of one record. */
static void refuses_a_captured_length_above_the_ceiling(void **state)
{
	(void)state;
	for (size_t more = 0; more < 2; more++) {
		struct made *m = made_new(false);
		make_small_pcap(m);
		const size_t start = m->n;
		put_record(m, 9, 9, (256 << 10) + more, 300000);
		struct told t;
		told_memory(&t, m->at, m->n, 256);
		assert_int_equal(t.status, more ? FL_MALFORMED : FL_END);
		assert_int_equal(t.summary.frames, more ? 4 : 5);
		assert_int_equal(t.summary.error.offset, more ? start : 0);
		told_close(&t);
		free(m);
	}
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_both_byte_orders_and_clocks),
		cmocka_unit_test(reads_the_fcs_length_of_the_link_word),
		cmocka_unit_test(checks_and_strips_a_whole_fcs),
		cmocka_unit_test(strips_an_fcs_cut_by_the_capture),
		cmocka_unit_test(raises_a_length_below_what_was_captured),
		cmocka_unit_test(pushes_three_link_types_and_counts_the_others),
		cmocka_unit_test(a_cut_gives_all_whole_records_and_says_where),
		cmocka_unit_test(tells_the_same_from_memory_file_and_pipe),
		cmocka_unit_test(reads_standard_input),
		cmocka_unit_test(survives_a_file_that_shrinks),
		cmocka_unit_test(says_why_a_file_cannot_be_opened),
		cmocka_unit_test(knows_a_capture_by_its_first_octets),
		cmocka_unit_test(refuses_versions_of_pcap_it_cannot_know),
		cmocka_unit_test(refuses_a_captured_length_above_the_ceiling),
	};
	return FL_RUN(tests);
}
