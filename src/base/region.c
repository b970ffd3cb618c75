#include "base/region.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CHUNK = 64 * 1024 };

struct chunk {
	struct chunk *next;
	size_t        used, size;
	_Alignas(max_align_t) unsigned char at[];
};

struct fl_region {
	struct chunk *chunks;
	size_t        held, ceiling;
	bool          full;
};

struct fl_region *fl_region_new(size_t ceiling)
{
	struct fl_region *region = calloc(1, sizeof *region);
	if (region)
		region->ceiling = ceiling;
	return region;
}

void fl_region_free(struct fl_region *region)
{
	if (!region)
		return;
	for (struct chunk *c = region->chunks, *next; c; c = next) {
		next = c->next;
		free(c);
	}
	free(region);
}

bool fl_region_full(const struct fl_region *region)
{
	return region->full;
}

static struct chunk *chunk_for(struct fl_region *region, size_t n)
{
	struct chunk *c = region->chunks;
	if (c && c->size - c->used >= n)
		return c;
	const size_t size = n > CHUNK ? n : CHUNK;
	if (size > region->ceiling - region->held)
		return NULL;
	c = calloc(1, sizeof *c + size);
	if (!c)
		return NULL;
	c->size = size;
	c->next = region->chunks;
	region->chunks = c;
	region->held += size;
	return c;
}

void *fl_region_take(struct fl_region *region, size_t n)
{
	const size_t align = _Alignof(max_align_t);
	const size_t padded = (n + align - 1) & ~(align - 1);
	struct chunk *c = padded < n ? NULL : chunk_for(region, padded);
	if (!c) {
		region->full = true;
		return NULL;
	}
	void *piece = c->at + c->used;
	c->used += padded;
	return piece;
}

void *fl_region_array(struct fl_region *region, size_t count, size_t size)
{
	if (size && count > SIZE_MAX / size) {
		region->full = true;
		return NULL;
	}
	return fl_region_take(region, count * size);
}

char *fl_region_text(struct fl_region *region, const char *text, size_t n)
{
	char *copy = n == SIZE_MAX ? NULL : fl_region_take(region, n + 1);
	if (copy && n)
		memcpy(copy, text, n);
	return copy;
}

const char *fl_region_format(struct fl_region *region, const char *format, ...)
{
	va_list args, again;
	va_start(args, format);
	va_copy(again, args);
	const int n = vsnprintf(NULL, 0, format, args);
	va_end(args);
	char *text = n < 0 ? NULL : fl_region_take(region, (size_t)n + 1);
	if (text)
		(void)vsnprintf(text, (size_t)n + 1, format, again);
	va_end(again);
	return text ? text : "";
}
