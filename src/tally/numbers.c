/* numbers.c -- which of a stream's numbers came, and which are missing.
 *
 * A row of numbers counts once it went up by one RUN_ENOUGH times, and its
 * first number counts for nothing: it was not waited for. A number twice, or
 * late by less than the window, is no loss. A jump that is neither a hole nor
 * late begins the row anew; MISFITS_MAX of them, with no run between, are no
 * numbers at all, and the row is not looked at again until its stream was
 * silent for a minute.
 *
 * An identification (RFC 791 section 3.1) is a number only where a host takes
 * the next one for each packet of this stream and for no other; what it sends
 * elsewhere makes holes too. So it clears and never accuses: it counts up to
 * its first hole, and never again.
 *
 * Says    received and missed numbers of a minute
 * Ceiling NUMBERS_EACH rows a stream; a further one is not counted
 */
#include "tally/inner.h"

/* Judgement, all of it. */
enum { WINDOW = 32 };        /* numbers that may come late              */
enum { GAP_HOLE = 3 };       /* more in a row over GAP_TIME are a gap: a */
#define GAP_TIME FL_SECOND   /* silence, and not loss                    */
enum { HOLE_MAX = 1024 };    /* more at once is not loss of single frames */
#define ANEW_AFTER FL_MINUTE
/* A number that came so long after the one before is not counted, so that
 * what a minute counts does not reach back farther. */
#define REACH (5 * FL_SECOND)

/* Whose hole is a loss. A message number also goes up with what is sent to
 * single stations (WS-Discovery: one AppSequence may number both). */
static const bool counts_loss[FL_SEQUENCES] = {
	[FL_SEQUENCE_LINES] = true, [FL_SEQUENCE_RTP] = true,
};

static struct numbers *rows_of(struct fl_tally *tally, const struct stream *s)
{
	return tally->numbers +
	       fl_table_number(&tally->streams, s) * NUMBERS_EACH;
}

static void begin_at(struct numbers *row, uint32_t number, fl_time t)
{
	row->last = number;
	row->holes = 0;
	row->run = 0;
	row->at = t;
}

/* The stream's row of this key, NULL where there is no room for it. */
static struct numbers *row_for(struct fl_tally *tally, struct stream *s,
			       const struct fl_fact *f, fl_time t)
{
	struct numbers *rows = rows_of(tally, s);
	for (size_t i = 0; i < NUMBERS_EACH; i++) {
		struct numbers *row = &rows[i];
		if (row->used && row->key == f->speeds && row->size == f->seconds)
			return row;
		if (row->used && t - row->at < 10 * ANEW_AFTER)
			continue;
		const uint32_t received = row->received, missed = row->missed;
		*row = (struct numbers){
			.used = true, .key = f->speeds, .size = f->seconds,
			.counts_loss = counts_loss[f->aspect],
			.received = received, .missed = missed,
		};
		begin_at(row, f->number, t);
		s->rows_open = true;
		return row;
	}
	return NULL;
}

/* It lies `ahead` numbers before the highest. */
static void step_on(struct numbers *row, uint32_t number, uint32_t ahead, fl_time t)
{
	const uint32_t hole = ahead - 1;
	const bool counts = row->run == RUN_ENOUGH;
	const bool gap = (hole > GAP_HOLE && t - row->at >= GAP_TIME) ||
			 t - row->at > REACH;
	if (counts && !gap) {
		row->received++;
		row->missed += row->counts_loss ? hole : 0;
	}
	row->holes = !counts || gap || !row->counts_loss ? 0
		: ahead > WINDOW ? UINT32_MAX
		: (ahead < WINDOW ? row->holes << ahead : 0) |
		  ((UINT32_C(1) << hole) - 1);
	row->last = number;
	row->at = t;
	if (counts)
		return;
	row->run = hole ? 0 : (uint8_t)(row->run + 1);
	if (row->run == RUN_ENOUGH)
		row->misfits = 0;
}

/* It lies `behind` numbers after the highest: late, or again. */
static void come_late(struct numbers *row, uint32_t behind)
{
	const uint32_t bit = UINT32_C(1) << (behind - 1);
	if (!(row->holes & bit))
		return;
	row->holes &= ~bit;
	row->received++;
	row->missed -= row->missed > 0;
}

static void misfit(struct numbers *row, uint32_t number, fl_time t)
{
	if (++row->misfits == MISFITS_MAX)
		row->received = row->missed = 0;
	begin_at(row, number, t);
}

static void take(struct numbers *row, uint32_t number, fl_time t)
{
	if (row->misfits >= MISFITS_MAX) {
		if (t - row->at >= ANEW_AFTER)
			row->misfits = 0;
		begin_at(row, number, t);
		return;
	}
	const uint64_t size = row->size ? row->size : UINT64_C(1) << 32;
	const uint64_t ahead = (number + size - row->last) % size;
	if (number > size || row->last > size)
		misfit(row, number, t);
	else if (ahead > 0 && (ahead <= HOLE_MAX + 1 || t - row->at >= GAP_TIME) &&
		 ahead <= size / 2)
		step_on(row, number, (uint32_t)ahead, t);
	else if (ahead > 0 && size - ahead <= WINDOW)
		come_late(row, (uint32_t)(size - ahead));
	else if (ahead > 0)
		misfit(row, number, t);
}

void fl_tally_number(struct fl_tally *tally, struct stream *s,
		     const struct fl_facts *facts, fl_time t)
{
	for (size_t i = 0; i < facts->n; i++) {
		const struct fl_fact *f = &facts->at[i];
		if (f->kind != FL_FACT_SEQUENCE || f->aspect >= FL_SEQUENCES ||
		    (f->seconds && f->seconds < 4 * WINDOW))
			continue;
		struct numbers *row = row_for(tally, s, f, t);
		if (row)
			take(row, f->number, t);
	}
}

/* Not one more than the last. */
static void break_run(struct stream *s, uint16_t ahead, fl_time t)
{
	if (ahead == 0)
		return;              /* sent again */
	const bool dense = s->runs_on == DENSE;
	const bool gap = dense && ahead > GAP_HOLE + 1 && t - s->last >= GAP_TIME;
	if ((dense && !gap) || ++s->misfits >= MISFITS_MAX)
		s->runs_on = RUNS_OFF;
	else if (!dense)
		s->runs_on = 0;
}

void fl_tally_identify(struct stream *s, uint16_t identification, fl_time t)
{
	const uint16_t ahead = (uint16_t)(identification - s->identification);
	if (ahead != 1)
		break_run(s, ahead, t);
	else if (s->runs_on == DENSE)
		s->ran_on += t - s->last <= REACH;
	else
		s->runs_on++;
	s->identification = identification;
}

void fl_tally_numbers_told(struct fl_tally *tally, struct stream *s,
			   struct fl_minute_row *row)
{
	struct numbers *rows = rows_of(tally, s);
	for (size_t i = 0; s->rows_open && i < NUMBERS_EACH; i++) {
		row->received += rows[i].received;
		row->missed += rows[i].missed;
		rows[i].received = rows[i].missed = 0;
	}
	/* The same frames twice would be counted twice. */
	if (!s->rows_open)
		row->received = s->ran_on;
	s->ran_on = 0;
}

void fl_tally_numbers_forget(struct fl_tally *tally, struct stream *s)
{
	if (s->rows_open)
		memset(rows_of(tally, s), 0, NUMBERS_EACH * sizeof(struct numbers));
}
