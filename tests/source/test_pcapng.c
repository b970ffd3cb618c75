/* Sections, interfaces, blocks and options of pcapng. */
#include "source/made.h"

#include <sys/wait.h>

enum { SECTION = 0x0a0d0d0a };

/* Read it all, and compare what was told. */
static void tells(const struct made *m, enum fl_status status, const char *text)
{
	struct told t;
	told_memory(&t, m->at, m->n, 256);
	/* Sums over made-up octets are no part of what these tests state. */
	for (char *p; (p = strstr(t.text, " crc ")) != NULL;)
		memmove(p, p + 13, strlen(p + 13) + 1);
	assert_string_equal(t.text, text);
	assert_int_equal(t.status, status);
	told_close(&t);
}

/* A complete file, octet by octet by the rules of draft-ietf-opsawg-pcapng:
 * ns, one broadcast ARP frame with a flipped bit in octet 20, marked inbound,
 * broadcast, FCS 4, CRC error; 100 received and 3 dropped. */
static const char complete[] =
	"0a0d0d0a 1c000000 4d3c2b1a 0100 0000 ffffffffffffffff 1c000000"
	"01000000 34000000 0100 0000 00000000 0800 0800 00e1f50500000000"
	"0900 0100 09000000 0d00 0100 20000000 0000 0000 34000000"
	"06000000 6c000000 00000000 fe9c9717 15cd853d 40000000 40000000"
	"ffffffffffff 001122334455 0806 0001080006040101 001122334455 00000000"
	"000000000000 c0a80132 000000000000000000000000000000000000 07905407"
	"0200 0400 8d000001 0000 0000 6c000000"
	"05000000 34000000 00000000 fe9c9717 15cd853d 0400 0800 6400000000000000"
	"0500 0800 0300000000000000 0000 0000 34000000";

static void reads_a_complete_file(void **state)
{
	(void)state;
	struct made *m = made_new(false);
	put_hex(m, complete);
	tells(m, FL_END,
	      "open 0 link 1 speed 100000000\n"
	      "frame 0 at 1700000000123456789 60/60 errors 01 checked\n"
	      "lost 0 at 1700000000123456789 count 3\n"
	      "close 0\n");
	struct told t;
	told_memory(&t, m->at, m->n, 256);
	assert_true(t.summary.pcapng);
	assert_false(t.summary.swapped == (__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__));
	assert_int_equal(t.summary.fcs_checked, 1);
	assert_int_equal(t.summary.fcs_bad, 1);
	assert_int_equal(t.summary.options_bad, 0);
	assert_false(t.last.outbound);
	told_close(&t);
	free(m);
}

/* draft-ietf-opsawg-pcapng section 3.4 and 4.1: every section has its own
 * byte order and numbers its interfaces from 0; here they are ears in one
 * row. Version 1.2 must be read as 1.0; others are skipped (section 3.4). */
static void reads_sections_of_either_order_and_skips_other_versions(void **state)
{
	(void)state;
	struct made *m = made_new(false);
	put_section(m, 1, 0);
	put_interface(m, 1, 0);
	put_packet(m, 0, 1, 60, 60);
	m->big = true;
	put_section(m, 1, 2);
	put_interface(m, 113, 0);
	put_interface(m, 1, 0);
	put_packet(m, 1, 2, 60, 60);
	put_packet(m, 0, 3, 60, 60);
	put_section(m, 1, 1);
	put_interface(m, 1, 0);
	put_packet(m, 0, 4, 60, 60);
	begin_block(m, 0xbad), end_block(m);
	m->big = false;
	put_section(m, 2, 0);
	put_packet(m, 7, 5, 60, 60);
	put_section(m, 1, 0);
	put_interface(m, 1, 0);
	put_packet(m, 0, 6, 60, 60);
	tells(m, FL_END,
	      "open 0 link 1\n" "frame 0 at 1000 60/60\n"
	      "open 1 link 113\n" "open 2 link 1\n"
	      "frame 2 at 2000 60/60\n" "frame 1 at 3000 60/60 link 113\n"
	      "open 3 link 1\n" "frame 3 at 6000 60/60\n"
	      "close 0\n" "close 1\n" "close 2\n" "close 3\n");
	struct told t;
	told_memory(&t, m->at, m->n, 256);
	assert_int_equal(t.summary.sections_skipped, 2);
	assert_int_equal(t.summary.blocks_unknown, 0);
	told_close(&t);
	free(m);
}

/* draft-ietf-opsawg-pcapng section 4.2: the options of an interface. */
static void reads_what_is_said_of_an_interface(void **state)
{
	(void)state;
	for (int big = 0; big < 2; big++) {
		struct made *m = made_new(big);
		put_section(m, 1, 0);
		begin_interface(m, 1, 96);
		put_option(m, 2, "eth\x1b" "0\0junk", 10);
		put_option(m, 3, "described", 9);
		put_option(m, 6, "\x02\x00\x5e\x10\x00\x01", 6);
		put_number_option(m, 8, 100000000, 8);
		put_number_option(m, 9, 0x8a, 1);
		put_number_option(m, 14, (uint64_t)-3, 8);
		put_option(m, 1, "patched in", 10);
		put(m, 0, 4);
		end_block(m);
		put_packet(m, 0, 3 * 1024 + 512, 60, 60);
		tells(m, FL_END,
		      "open 0 link 1 speed 100000000 mac 02:00:5e:10:00:01 \"eth?0\"\n"
		      "comment 0 \"patched in\"\n"
		      "frame 0 at 500000000 60/60\n"
		      "close 0 \"eth?0\"\n");
		struct told t;
		const struct fl_frame_sink sink = told_sink(&t);
		struct fl_capfile *f = fl_capfile_open_memory(m->at, m->n, "made", &sink, NULL);
		assert_int_equal(fl_capfile_pump(f, 256), FL_END);
		const struct fl_interface *i = fl_capfile_summary(f)->interface;
		assert_int_equal(i->snap, 96);
		assert_int_equal(i->ticks_a_second, 1024);
		assert_int_equal(i->offset_seconds, -3);
		assert_int_equal(i->frames, 1);
		assert_string_equal(i->name, "eth?0");
		told_all(&t, f, 1);
		told_close(&t);
		free(m);
	}
}

/* draft-ietf-opsawg-pcapng section 4.2 says if_fcslen in bits and shows 4;
 * both 4 and 32 are four octets. Section 4.3.1: epb_flags override it. */
static void takes_four_octets_of_fcs_said_either_way(void **state)
{
	(void)state;
	static const struct { uint8_t said; uint32_t flags; unsigned length; } rows[] = {
		{ 4, 0, 60 }, { 32, 0, 60 }, { 0, 0, 64 }, { 0, 4 << 5, 60 },
		{ 32, 2 << 5, 62 }, { 16, 0, 62 }, { 0, 15 << 5, 49 },
	};
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct made *m = made_new(i & 1);
		put_section(m, 1, 0);
		begin_interface(m, 1, 0);
		put_number_option(m, 13, rows[i].said, 1);
		end_block(m);
		begin_packet(m, 0, 1, 64, 64);
		put_number_option(m, 2, rows[i].flags, 4);
		end_block(m);
		struct told t;
		told_memory(&t, m->at, m->n, 256);
		assert_int_equal(t.last.captured, rows[i].length);
		assert_int_equal(t.last.length, rows[i].length);
		assert_int_equal(t.last.fcs_checked, rows[i].length == 60);
		told_close(&t);
		free(m);
	}
}

/* draft-ietf-opsawg-pcapng section 4.3.1: bit 0 is the least significant;
 * 10 in bits 0 and 1 is outbound, 24 to 31 are link-layer errors. */
static void reads_the_flags_of_a_frame(void **state)
{
	(void)state;
	for (int big = 0; big < 2; big++) {
		struct made *m = made_new(big);
		put_section(m, 1, 0);
		put_interface(m, 1, 0);
		for (unsigned i = 0; i < 4; i++) {
			begin_packet(m, 0, 1, 60, 60);
			put_number_option(m, 2, 0x24u << 24 | 3 << 9 | i, 4);
			end_block(m);
		}
		tells(m, FL_END,
		      "open 0 link 1\n"
		      "frame 0 at 1000 60/60 errors 24\n"
		      "frame 0 at 1000 60/60 errors 24\n"
		      "frame 0 at 1000 60/60 errors 24 outbound\n"
		      "frame 0 at 1000 60/60 errors 24\n"
		      "close 0\n");
		free(m);
	}
}

/* draft-ietf-opsawg-pcapng appendix A: 16 bits of interface, 16 of drops,
 * of which ffff says that they are not known; pack_flags as epb_flags. */
static void reads_the_obsolete_packet_block(void **state)
{
	(void)state;
	for (int big = 0; big < 2; big++) {
		struct made *m = made_new(big);
		put_section(m, 1, 0);
		put_interface(m, 1, 0);
		put_interface(m, 1, 0);
		for (int i = 0; i < 2; i++) {
			begin_block(m, 2);
			put(m, 1, 2), put(m, i ? 5 : 0xffff, 2);
			put(m, 0, 4), put(m, 7, 4), put(m, 61, 4), put(m, 70, 4);
			put_zeros(m, 64);
			put_number_option(m, 2, 2, 4);
			end_block(m);
		}
		tells(m, FL_END,
		      "open 0 link 1\n" "open 1 link 1\n"
		      "frame 1 at 7000 61/70 outbound\n"
		      "lost 1 at 7000 count 5\n"
		      "frame 1 at 7000 61/70 outbound\n"
		      "close 0\n" "close 1\n");
		free(m);
	}
}

/* draft-ietf-opsawg-pcapng section 4.4: on interface 0, without a stamp; the
 * snap length tells how much was captured. */
static void reads_the_simple_packet_block(void **state)
{
	(void)state;
	struct made *m = made_new(true);
	put_section(m, 1, 0);
	put_interface(m, 1, 50);
	put_interface(m, 1, 0);
	for (int i = 0; i < 2; i++) {
		begin_block(m, 3);
		put(m, i ? 49 : 1000, 4), put_zeros(m, i ? 49 : 50);
		end_block(m);
		put_packet(m, 1, 7, 60, 60);
	}
	tells(m, FL_END,
	      "open 0 link 1\n" "open 1 link 1\n"
	      "frame 0 at 0 50/1000 untimed\n" "frame 1 at 7000 60/60\n"
	      "frame 0 at 7000 49/49 untimed\n" "frame 1 at 7000 60/60\n"
	      "close 0\n" "close 1\n");
	struct told t;
	told_memory(&t, m->at, m->n, 256);
	assert_int_equal(t.summary.untimed, 2);
	assert_int_equal(t.summary.cut_short, 1);
	told_close(&t);
	free(m);
}

/* draft-ietf-opsawg-pcapng section 4.3: epb_dropcount are lost since the
 * packet before. Section 4.6: statistics count from the start, so they hold
 * these; isb_endtime is a stamp, upper 32 bits first. */
static void tells_losses_once_and_how_long_it_listened(void **state)
{
	(void)state;
	for (int big = 0; big < 2; big++) {
		struct made *m = made_new(big);
		put_section(m, 1, 0);
		begin_interface(m, 1, 0);
		put_option(m, 2, "eth0", 4);
		end_block(m);
		begin_packet(m, 0, 1, 60, 60);
		put_number_option(m, 4, 5, 8);
		end_block(m);
		for (int i = 0; i < 3; i++) {
			begin_block(m, 5);
			put(m, 0, 4), put(m, 0, 4), put(m, 9, 4);
			put(m, 3, 2), put(m, 8, 2);
			put(m, 1, 4), put(m, (unsigned)i, 4);     /* endtime */
			put_number_option(m, 5, i == 0 ? 3 : 4, 8);
			put_number_option(m, 7, i == 0 ? 2 : 8, 8);
			end_block(m);
		}
		tells(m, FL_END,
		      "open 0 link 1 \"eth0\"\n"
		      "lost 0 at 1000 count 5 \"eth0\"\n"
		      "frame 0 at 1000 60/60\n"
		      "until 0 at 4294967296000 \"eth0\"\n"
		      "until 0 at 4294967297000 \"eth0\"\n"
		      "lost 0 at 9000 count 7 \"eth0\"\n"
		      "until 0 at 4294967298000 \"eth0\"\n"
		      "close 0 \"eth0\"\n");
		free(m);
	}
}

/* Counts are 64 bits of anybody's choice; their sum must not come round. */
static void adds_losses_without_coming_round(void **state)
{
	(void)state;
	struct made *m = made_new(false);
	put_section(m, 1, 0);
	put_interface(m, 1, 0);
	for (int i = 0; i < 2; i++) {
		begin_packet(m, 0, 1, 0, 0);
		put_number_option(m, 4, UINT64_MAX - 1, 8);
		end_block(m);
	}
	begin_block(m, 5);
	put(m, 0, 4), put(m, 0, 8);
	put_number_option(m, 5, UINT64_MAX, 8);
	put_number_option(m, 7, UINT64_MAX, 8);
	end_block(m);
	tells(m, FL_END,
	      "open 0 link 1\n"
	      "lost 0 at 1000 count 18446744073709551614\n"
	      "frame 0 at 1000 0/0\n"
	      "lost 0 at 1000 count 18446744073709551614\n"
	      "frame 0 at 1000 0/0\n"
	      "close 0\n");
	free(m);
}

/* draft-ietf-opsawg-pcapng section 3.5: opt_comment, in any block, more than
 * once. A section's is said at its first interface, for it has no other ear. */
static void tells_comments_where_they_stand(void **state)
{
	(void)state;
	struct made *m = made_new(false);
	begin_block(m, SECTION);
	put(m, 0x1a2b3c4d, 4), put(m, 1, 2), put(m, 0, 2), put(m, 0, 8);
	put_option(m, 1, "quiet night", 11);
	end_block(m);
	put_interface(m, 1, 0);
	put_interface(m, 1, 0);
	put_packet(m, 1, 1, 60, 60);
	begin_packet(m, 1, 2, 60, 60);
	put_option(m, 1, "radar off", 9);
	put_option(m, 1, "line\nbreak", 10);
	end_block(m);
	put_packet(m, 1, 3, 60, 60);
	begin_block(m, 5);
	put(m, 1, 4), put(m, 0, 4), put(m, 9, 4);
	put_option(m, 1, "done", 4);
	end_block(m);
	put_section(m, 1, 0);
	put_interface(m, 1, 0);
	tells(m, FL_END,
	      "open 0 link 1\n" "comment 0 \"quiet night\"\n" "open 1 link 1\n"
	      "frame 1 at 1000 60/60\n"
	      "comment 1 at 2000 \"radar off\"\n"
	      "comment 1 at 2000 \"line?break\"\n"
	      "frame 1 at 2000 60/60\n" "frame 1 at 3000 60/60\n"
	      "comment 1 at 9000 \"done\"\n"
	      "open 2 link 1\n" "close 0\n" "close 1\n" "close 2\n");
	free(m);
}

/* draft-ietf-opsawg-pcapng section 3.5: an option of a wrong length may be
 * ignored and is to be reported; a list may end without its end mark. */
static void counts_options_of_a_wrong_length(void **state)
{
	(void)state;
	struct made *m = made_new(false);
	put_section(m, 1, 0);
	begin_interface(m, 1, 0);
	put_number_option(m, 9, 9, 2);             /* resolution: not 1 octet */
	end_block(m);
	begin_packet(m, 0, 1, 60, 60);
	put_number_option(m, 2, 2, 3);             /* flags: not 4            */
	put_option(m, 1, "kept", 4);
	put(m, 4, 2), put(m, 9, 2), put(m, 1, 8);  /* runs past the block     */
	end_block(m);
	begin_packet(m, 0, 2, 60, 60);
	put(m, 0, 4);
	put_number_option(m, 2, 2, 4);             /* behind the end mark     */
	end_block(m);
	tells(m, FL_END,
	      "open 0 link 1\n" "comment 0 at 1000 \"kept\"\n"
	      "frame 0 at 1000 60/60\n" "frame 0 at 2000 60/60\n" "close 0\n");
	struct told t;
	told_memory(&t, m->at, m->n, 256);
	assert_int_equal(t.summary.options_bad, 3);
	told_close(&t);
	free(m);
}

/* draft-ietf-opsawg-pcapng section 3.1: unknown blocks are skipped, however
 * long; a cut within one is a cut. */
static void passes_over_blocks_of_other_types(void **state)
{
	(void)state;
	struct made *m = made_new(false);
	put_section(m, 1, 0);
	put_interface(m, 1, 0);
	begin_block(m, 0x40000bad), put_zeros(m, 3), end_block(m);
	const size_t start = m->n;
	begin_block(m, 4), put_zeros(m, 3 << 20), end_block(m);
	put_packet(m, 0, 1, 60, 60);
	tells(m, FL_END, "open 0 link 1\n" "frame 0 at 1000 60/60\n" "close 0\n");
	for (int way = 0; way < 2; way++) {
		const size_t cut = start + (way ? 2 << 20 : (3 << 20) + 10);
		struct told t;
		told_memory(&t, m->at, cut, 256);
		assert_int_equal(t.status, FL_SHORT);
		assert_int_equal(t.summary.error.offset, start);
		assert_int_equal(t.summary.blocks_unknown, 1);
		told_close(&t);
	}
	free(m);
}

/* The same of a stream, where nothing can be sought. */
static void passes_over_a_long_block_of_a_pipe(void **state)
{
	(void)state;
	struct made *m = made_new(true);
	put_section(m, 1, 0);
	put_interface(m, 1, 0);
	begin_block(m, 4), put_zeros(m, 3 << 20), end_block(m);
	put_packet(m, 0, 1, 60, 60);
	struct told memory, t;
	told_memory(&memory, m->at, m->n, 256);
	told_fd(&t, pipe_of(m), 256);
	assert_int_equal(t.status, FL_END);
	assert_string_equal(t.text, memory.text);
	assert_true(wait(NULL) > 0);
	told_close(&memory);
	told_close(&t);
	free(m);
}

/* Each breaks one rule of draft-ietf-opsawg-pcapng (or a ceiling of ours)
 * with its last block; what stood before is given all the same. */
static void break_total(struct made *m)
{
	put_packet(m, 0, 2, 60, 60);
	m->at[m->block + 4]++;
}

static void break_total_of_unknown(struct made *m)
{
	put(m, 77, 4), put(m, 14, 4), put(m, 0, 2), put(m, 14, 4);
}

static void break_short_total(struct made *m)
{
	put(m, 6, 4), put(m, 8, 4), put(m, 8, 4);
}

static void break_tail(struct made *m)
{
	put_packet(m, 0, 2, 60, 60);
	m->at[m->n - 4] += 4;
}

static void break_tail_unknown(struct made *m)
{
	begin_block(m, 77), end_block(m);
	m->at[m->n - 4] += 4;
}

static void break_captured(struct made *m)
{
	put_packet(m, 0, 2, 60, 60);
	m->at[m->block + 20] = 61;
}

static void break_packet_head(struct made *m)
{
	begin_block(m, 6), put_zeros(m, 16), end_block(m);
}

static void break_ceiling(struct made *m)
{
	put_packet(m, 0, 2, (256 << 10) + 1, 300000);
}

static void break_interface_number(struct made *m)
{
	put_packet(m, 1, 2, 60, 60);
}

static void break_statistics(struct made *m)
{
	begin_block(m, 5), put(m, 1, 4), put_zeros(m, 8), end_block(m);
}

static void break_statistics_head(struct made *m)
{
	begin_block(m, 5), put_zeros(m, 8), end_block(m);
}

static void break_interface(struct made *m)
{
	begin_block(m, 1), put(m, 1, 4), end_block(m);
}

static void break_simple(struct made *m)
{
	begin_block(m, 3), put(m, 65, 4), put_zeros(m, 64), end_block(m);
}

static void break_magic(struct made *m)
{
	put_section(m, 1, 0);
	m->at[m->block + 8] ^= 1;
}

static void break_section_length(struct made *m)
{
	begin_block(m, SECTION);
	put(m, 0x1a2b3c4d, 4), put_zeros(m, 8);
	end_block(m);
	put_zeros(m, 8);
}

static void break_section_tail(struct made *m)
{
	put_section(m, 1, 0);
	m->at[m->n - 4]++;
}

static void break_length_ceiling(struct made *m)
{
	begin_packet(m, 0, 2, 60, 60), put_zeros(m, 1 << 20), end_block(m);
}

static const struct {
	void (*breaks)(struct made *);
	enum fl_status status;
	const char *rule;
} broken[] = {
	{ break_total, FL_MALFORMED, "section 3.1" },
	{ break_total_of_unknown, FL_MALFORMED, "section 3.1" },
	{ break_short_total, FL_MALFORMED, "section 3.1" },
	{ break_tail, FL_MALFORMED, "section 3.1" },
	{ break_tail_unknown, FL_MALFORMED, "section 3.1" },
	{ break_captured, FL_MALFORMED, "section 4.3" },
	{ break_packet_head, FL_MALFORMED, "section 3.1" },
	{ break_ceiling, FL_MALFORMED, "262144" },
	{ break_interface_number, FL_MALFORMED, "section 4.3" },
	{ break_statistics, FL_MALFORMED, "section 4.6" },
	{ break_statistics_head, FL_MALFORMED, "section 4.6" },
	{ break_interface, FL_MALFORMED, "section 4.2" },
	{ break_simple, FL_MALFORMED, "section 4.3" },
	{ break_magic, FL_MALFORMED, "section 4.1" },
	{ break_section_length, FL_MALFORMED, "section 3.1" },
	{ break_section_tail, FL_MALFORMED, "section 3.1" },
	{ break_length_ceiling, FL_FULL, "1 MiB" },
};

static void a_broken_rule_ends_it_with_all_before(void **state)
{
	(void)state;
	for (size_t i = 0; i < sizeof broken / sizeof broken[0]; i++) {
		struct made *m = made_new(false);
		put_section(m, 1, 0);
		put_interface(m, 1, 0);
		put_packet(m, 0, 1, 60, 60);
		const size_t start = m->n;
		broken[i].breaks(m);
		tells(m, broken[i].status,
		      "open 0 link 1\n" "frame 0 at 1000 60/60\n" "close 0\n");
		struct told t;
		told_memory(&t, m->at, m->n, 256);
		assert_int_equal(t.summary.error.status, broken[i].status);
		assert_int_equal(t.summary.error.offset, start);
		assert_non_null(strstr(t.summary.error.rule, broken[i].rule));
		assert_string_equal(t.summary.error.subject, "made");
		told_close(&t);
		free(m);
	}
}

/* draft-ietf-opsawg-pcapng section 4.4: a simple packet before any interface
 * has none it could be of. */
static void refuses_a_packet_before_any_interface(void **state)
{
	(void)state;
	struct made *m = made_new(false);
	put_section(m, 1, 0);
	begin_block(m, 3), put(m, 4, 4), put(m, 0, 4), end_block(m);
	tells(m, FL_MALFORMED, "");
	free(m);
}

/* The ceiling of capfile.h. */
static void reads_no_more_interfaces_than_its_ceiling(void **state)
{
	(void)state;
	struct made *m = made_new(false);
	put_section(m, 1, 0);
	for (int i = 0; i < FL_INTERFACES_MAX; i++)
		put_interface(m, 1, 0);
	put_packet(m, FL_INTERFACES_MAX - 1, 1, 60, 60);
	const size_t start = m->n;
	put_interface(m, 1, 0);
	struct told t;
	told_memory(&t, m->at, m->n, 256);
	assert_int_equal(t.status, FL_FULL);
	assert_int_equal(t.summary.error.offset, start);
	assert_int_equal(t.summary.interfaces, FL_INTERFACES_MAX);
	assert_int_equal(t.last.ear, FL_INTERFACES_MAX - 1);
	assert_int_equal(told_count(&t, "open"), FL_INTERFACES_MAX);
	assert_int_equal(told_count(&t, "close"), FL_INTERFACES_MAX);
	told_close(&t);
	free(m);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(reads_a_complete_file),
		cmocka_unit_test(reads_sections_of_either_order_and_skips_other_versions),
		cmocka_unit_test(reads_what_is_said_of_an_interface),
		cmocka_unit_test(takes_four_octets_of_fcs_said_either_way),
		cmocka_unit_test(reads_the_flags_of_a_frame),
		cmocka_unit_test(reads_the_obsolete_packet_block),
		cmocka_unit_test(reads_the_simple_packet_block),
		cmocka_unit_test(tells_losses_once_and_how_long_it_listened),
		cmocka_unit_test(adds_losses_without_coming_round),
		cmocka_unit_test(tells_comments_where_they_stand),
		cmocka_unit_test(counts_options_of_a_wrong_length),
		cmocka_unit_test(passes_over_blocks_of_other_types),
		cmocka_unit_test(passes_over_a_long_block_of_a_pipe),
		cmocka_unit_test(a_broken_rule_ends_it_with_all_before),
		cmocka_unit_test(refuses_a_packet_before_any_interface),
		cmocka_unit_test(reads_no_more_interfaces_than_its_ceiling),
	};
	return FL_RUN(tests);
}
