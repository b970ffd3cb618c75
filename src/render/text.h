/* text.h -- the sections of the text output, each in the order of the page.
 *
 * A section writes its lines, or nothing where the answer holds nothing of
 * it. An empty line stands before each that writes.
 */
#ifndef FL_RENDER_TEXT_H
#define FL_RENDER_TEXT_H

#include "diagnose/answer.h"
#include "render/layout.h"

/* What is shown of long lists: the whole of each is in the JSON. */
enum {
	FL_SHOWN_ROWS = 14,       /* devices or stations, one a line          */
	FL_SHOWN_NAMES = 12,      /* in a sentence                            */
	FL_SHOWN_STRANGERS = 4,
	FL_SHOWN_SUSPECTS = 7, FL_BRIEF_SUSPECTS = 3,
	FL_SHOWN_STEPS = 5,
	FL_SHOWN_EPISODES = 6,
	FL_SHOWN_NOTES = 6,       /* findings, warnings, ears                 */
};

struct fl_page {
	const struct fl_answer *answer;
	struct fl_layout        lay;
	bool                    brief;   /* on a screen: less of long lists  */
};

/* How many columns the page is narrower than FL_COLUMNS. */
size_t fl_page_lacks(const struct fl_page *page);
void fl_section_head(struct fl_page *page);
void fl_section_headline(struct fl_page *page);
void fl_section_story(struct fl_page *page);
void fl_section_suspects(struct fl_page *page);
void fl_section_steps(struct fl_page *page);
void fl_section_cautions(struct fl_page *page);
void fl_section_episodes(struct fl_page *page);
void fl_section_here(struct fl_page *page);
void fl_section_notes(struct fl_page *page);
/* Of the notes: what ears and ports counted. */
void fl_section_ports(struct fl_page *page);
/* Of the notes, who is heard and not in the plan. */
void fl_section_strangers(struct fl_page *page);

/* Every device of a plan is heard without a gap and nothing worse than a
 * remark was found. */
bool fl_all_well(const struct fl_answer *answer);
/* The headline has said this finding already. */
bool fl_is_told(const struct fl_answer *answer,
		const struct fl_answer_finding *finding);
/* "Storm Petrel: heard 44 s at lower switch 5", without a stop. */
void fl_add_place(struct fl_text *line, const struct fl_answer *answer);
/* The action of a step is told: what its outcome means. */
void fl_add_outcomes(struct fl_text *line, const struct fl_answer_step *step);
/* "and 12 more NOUN; --json lists all." from `column`, where `left` > 0. */
void fl_fold(struct fl_page *page, size_t column, size_t left,
	     const char *noun);

#endif
