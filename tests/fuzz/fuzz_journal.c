/* fuzz_journal.c -- a journal file through the reader into a ledger: whatever
 * stands in it, the ledger's spans meet end to end, and losses go by time. */
#define _GNU_SOURCE   /* memfd_create */
#include "ledger/ledger.h"
#include "visit/journal.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);

static void check_spans(const struct fl_ledger *ledger)
{
	size_t presences;
	struct fl_span spans[64];
	struct fl_loss hours[4];
	struct fl_size_sample streams[4];
	(void)fl_ledger_presences(ledger, &presences);
	for (uint32_t i = 0; i < presences; i++) {
		const size_t count = fl_ledger_spans(ledger, i, spans, 64);
		for (size_t k = 1; k < count && k < 64; k++)
			if (spans[k].from != spans[k - 1].to || spans[k].to <= spans[k].from)
				abort();
		const size_t losses = fl_ledger_loss(ledger, i, hours, 4);
		for (size_t k = 0; k < losses; k++)
			if (losses > 4 || hours[k].listened < 0 ||
			    (k && hours[k].from < hours[k - 1].from))
				abort();
		if (fl_ledger_stream_loss(ledger, i, streams, 4) > 4)
			abort();
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
	char path[64];
	struct fl_error error = { 0 };
	const int fd = memfd_create("journal", MFD_CLOEXEC);
	struct fl_ledger *ledger = fl_ledger_new();
	if (fd < 0 || !ledger || write(fd, data, n) != (ssize_t)n)
		abort();
	(void)snprintf(path, sizeof path, "/proc/self/fd/%d", fd);
	struct fl_journal *journal = fl_journal_open(path, fl_ledger_observer(ledger), &error);
	if (!journal)
		abort();
	while (fl_journal_pump(journal, 16) == FL_OK)
		;
	fl_journal_close(journal);
	check_spans(ledger);
	fl_ledger_free(ledger);
	close(fd);
	return 0;
}
