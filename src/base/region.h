/* region.h -- memory for one job, freed in one call.
 *
 * Shapes  a list of chunks; every piece is aligned for any object
 * Owns    all pieces it gave out; they die with fl_region_free()
 * Errors  NULL when the ceiling is reached or the system gives no memory;
 *         `full` then sticks, so that a job may ask once at its end
 * Ceiling the octets given to fl_region_new()
 */
#ifndef FL_BASE_REGION_H
#define FL_BASE_REGION_H

#include <stdbool.h>
#include <stddef.h>

struct fl_region;

struct fl_region *fl_region_new(size_t ceiling);
void fl_region_free(struct fl_region *region);
/* True once a piece was refused. */
bool fl_region_full(const struct fl_region *region);

/* A zeroed piece of n octets. */
void *fl_region_take(struct fl_region *region, size_t n);
/* A zeroed array of `count` pieces of `size` octets; NULL on overflow. */
void *fl_region_array(struct fl_region *region, size_t count, size_t size);
/* A copy of n octets of text, closed by a NUL. */
char *fl_region_text(struct fl_region *region, const char *text, size_t n);
/* A formatted text. Never NULL: "" when the region is full, so a list of
 * sentences can be made straight down and asked about once. */
const char *fl_region_format(struct fl_region *region, const char *format, ...)
	__attribute__((format(printf, 2, 3)));

#endif
