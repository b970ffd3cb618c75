/* Every shared capture that libpcap reads whole, read by both: the same
 * frames, one by one. libpcap knows no FCS, so that a frame is compared up
 * to where the FCS was taken off. */
#include "source/captures.h"

#include "source/capfile.h"

#include <pcap/pcap.h>

struct side {
	pcap_t  *pcap;
	const char *name;
	size_t   frames;
	const struct fl_capfile *file;
};

static pcap_t *open_pcap(const char *path)
{
	char why[PCAP_ERRBUF_SIZE];
	return pcap_open_offline_with_tstamp_precision(path,
		PCAP_TSTAMP_PRECISION_NANO, why);
}

/* How many frames, or -1 if libpcap does not read the file whole. */
static long count_whole(const char *path)
{
	pcap_t *p = open_pcap(path);
	if (!p)
		return -1;
	struct pcap_pkthdr *h;
	const u_char *octets;
	long n = 0;
	int got;
	while ((got = pcap_next_ex(p, &h, &octets)) == 1)
		n++;
	pcap_close(p);
	return got == PCAP_ERROR_BREAK ? n : -1;
}

static void compare_one(const struct side *side, const struct fl_frame *f,
			const struct pcap_pkthdr *h, const u_char *octets)
{
	/* libpcap drops what was captured beyond the snap length, though the
	 * captured length says how much there is (draft-ietf-opsawg-pcap
	 * section 5). */
	const uint8_t fcs = fl_capfile_summary(side->file)->interface[f->ear].fcs;
	const bool clipped = h->caplen == (bpf_u_int32)pcap_snapshot(side->pcap);
	const uint32_t length = h->len > h->caplen || clipped ? h->len : h->caplen;
	const uint32_t shared = f->captured < h->caplen ? f->captured : h->caplen;
	if (f->captured > h->caplen && !clipped)
		fail_msg("%s: %u octets, not %u", side->name, f->captured, h->caplen);
	assert_true(h->caplen - shared <= fcs);
	assert_int_equal(f->length, length - fcs);
	assert_memory_equal(f->at, octets, shared);
	if (!f->untimed)
		assert_int_equal(f->time, h->ts.tv_sec * FL_SECOND + h->ts.tv_usec);
}

static void compare(void *context, const struct fl_frame *frames, size_t n)
{
	struct side *side = context;
	for (size_t i = 0; i < n; i++) {
		struct pcap_pkthdr *h;
		const u_char *octets;
		assert_int_equal(pcap_next_ex(side->pcap, &h, &octets), 1);
		compare_one(side, &frames[i], h, octets);
		side->frames++;
	}
}

static void ignore(void *context, const struct fl_ear_event *event)
{
	(void)context, (void)event;
}

static void read_by_both(const char *path, const char *name)
{
	const long frames = count_whole(path);
	if (frames < 0)
		return;
	struct side side = { .pcap = open_pcap(path), .name = name };
	const struct fl_frame_sink sink = { &side, compare, ignore };
	struct fl_error error = { 0 };
	struct fl_capfile *f = fl_capfile_open(path, &sink, &error);
	if (!f)
		fail_msg("%s: %s", name, error.rule);
	side.file = f;
	enum fl_status status;
	while ((status = fl_capfile_pump(f, 7)) == FL_OK)
		;
	const struct fl_capfile_summary *s = fl_capfile_summary(f);
	if (status != FL_END)
		fail_msg("%s: %s", name, s->error.rule);
	assert_int_equal(s->frames + s->skipped, frames);
	assert_int_equal(s->frames, side.frames);
	fl_capfile_close(f);
	pcap_close(side.pcap);
}

static void gives_the_frames_that_libpcap_gives(void **state)
{
	(void)state;
	assert_true(captures_each("captures", read_by_both) > 100);
}

static void reads_the_lab_as_libpcap_does(void **state)
{
	(void)state;
	assert_true(captures_each("lab", read_by_both) > 10);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(gives_the_frames_that_libpcap_gives),
		cmocka_unit_test(reads_the_lab_as_libpcap_does),
	};
	return FL_RUN(tests);
}
