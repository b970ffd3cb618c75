#include "render/render.h"

#include <string.h>

const struct fl_renderer fl_renderers[] = {
#define RENDER(name, function, sentence) { #name, function, sentence },
#include "render/renderers.def"
#undef RENDER
	{ NULL, NULL, NULL },
};

bool fl_render(const struct fl_answer *answer, const char *name, size_t width,
	       struct fl_text *out)
{
	for (const struct fl_renderer *r = fl_renderers; r->name; r++)
		if (strcmp(r->name, name) == 0)
			return r->render(answer, width, out);
	return false;
}
