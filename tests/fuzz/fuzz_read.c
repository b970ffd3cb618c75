/* fuzz_read.c -- octets as a capture, through tally into a ledger: no time,
 * address or name in it breaks a sum or a table, and spans meet end to end. */
#include "ledger/ledger.h"
#include "source/capfile.h"
#include "tally/tally.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n)
{
	struct fl_error error = { 0 };
	struct fl_ledger *ledger = fl_ledger_new();
	struct fl_tally *tally = ledger
		? fl_tally_new("fuzz", NULL, fl_ledger_observer(ledger)) : NULL;
	if (!tally)
		abort();
	const struct fl_frame_sink sink = fl_tally_sink(tally);
	struct fl_capfile *file = fl_capfile_open_memory(data, n, "fuzz", &sink, &error);
	while (file && fl_capfile_pump(file, 16) == FL_OK)
		;
	fl_tally_end(tally);
	size_t presences;
	struct fl_span spans[64];
	(void)fl_ledger_presences(ledger, &presences);
	for (uint32_t i = 0; i < presences; i++) {
		const size_t count = fl_ledger_spans(ledger, i, spans, 64);
		for (size_t k = 1; k < count && k < 64; k++)
			if (spans[k].from != spans[k - 1].to || spans[k].to <= spans[k].from)
				abort();
	}
	fl_capfile_close(file);
	fl_tally_free(tally);
	fl_ledger_free(ledger);
	return 0;
}
