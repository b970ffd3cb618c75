/* blocks.h -- the parts of the screen, each as lines of text before it is cut
 * to the rows that are left for it.
 *
 * Owns    a block owns its text from fl_block_open() to fl_block_close()
 * Errors  without memory a block is short, as if nothing more were known
 */
#ifndef FL_RENDER_BLOCKS_H
#define FL_RENDER_BLOCKS_H

#include "render/screen.h"
#include "render/text.h"

struct fl_block {
	const struct fl_screen *screen;
	struct fl_page page;         /* lays out into `text`                 */
	struct fl_text text;
};

bool fl_block_open(struct fl_block *block, const struct fl_screen *screen,
		   size_t width);
void fl_block_close(struct fl_block *block);

/* Each writes its lines, or none where there is nothing to say. */
void fl_block_place(struct fl_block *block);
void fl_block_headline(struct fl_block *block);
void fl_block_meaning(struct fl_block *block);
void fl_block_story(struct fl_block *block);
void fl_block_suspects(struct fl_block *block);
void fl_block_devices(struct fl_block *block);
void fl_block_strangers(struct fl_block *block);
void fl_block_ports(struct fl_block *block);
void fl_block_step(struct fl_block *block);
void fl_block_events(struct fl_block *block);
void fl_block_status(struct fl_block *block);

/* The last line of the screen: the keys, or the mark being typed, of which
 * the end stays in sight. */
void fl_screen_keys(struct fl_grid *grid, const char *keys, const char *typed);

#endif
