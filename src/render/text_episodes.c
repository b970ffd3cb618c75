/* text_episodes.c -- what happened together, the newest last. */
#include "render/text.h"

void fl_section_episodes(struct fl_page *page)
{
	const struct fl_answer *a = page->answer;
	const size_t n = a->episode_count;
	const size_t first = n > FL_SHOWN_EPISODES ? n - FL_SHOWN_EPISODES : 0;
	if (!n)
		return;
	fl_text_add(&page->lay.line, "WHAT HAPPENED");
	fl_layout_flow(&page->lay, 0);
	fl_fold(page, 5, first, " before");
	for (size_t i = first; i < n; i++) {
		fl_text_add(&page->lay.line, "%s", a->episodes[i].text);
		fl_layout_flow(&page->lay, 5);
	}
}
