/* render.h -- an answer laid out for a reader.
 *
 * Render says nothing of its own accord about the boat: the sentences and
 * numbers are those of the answer. A new output is one file here and one row
 * in renderers.def.
 *
 * Takes   an answer; suspects and steps lie best first
 * Owns    nothing; the text goes to the caller's builder
 * Errors  false: no output has that name, or the builder was full
 * Promise no control character, direction mark or invalid UTF-8 of any name
 *         reaches the output, whoever let it in
 */
#ifndef FL_RENDER_RENDER_H
#define FL_RENDER_RENDER_H

#include "base/text.h"
#include "diagnose/answer.h"

struct fl_renderer {
	const char *name;
	bool (*render)(const struct fl_answer *answer, size_t width,
		       struct fl_text *out);
	const char *sentence;
};

/* All rows of renderers.def, closed by a row whose name is NULL. */
extern const struct fl_renderer fl_renderers[];

/* `width`: columns that lines may take, where the output has any; 0: as many as
 * it takes at most. */
bool fl_render(const struct fl_answer *answer, const char *name, size_t width,
	       struct fl_text *out);

#define RENDER(name, function, sentence) \
	bool function(const struct fl_answer *answer, size_t width, \
		      struct fl_text *out);
#include "render/renderers.def"
#undef RENDER

#endif
