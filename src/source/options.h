/* options.h -- the options at the end of a pcapng block, one after another.
 *
 *   code 2 | length 2 | value, padded to 4 |...| code 0, length 0
 *
 * Source  draft-ietf-opsawg-pcapng section 3.5: a list may lack its end
 *         mark; an option of a wrong length may be passed over, but must be
 *         reported
 * Takes   the rest of the block's body, and the lengths its codes must have
 * Says    each option once, of the length its block's table asks for
 * Refuses nothing: `bad` counts options of a wrong length, and the one that
 *         runs past the block, with which the list ends
 */
#ifndef FL_SOURCE_OPTIONS_H
#define FL_SOURCE_OPTIONS_H

#include "base/cursor.h"
#include "base/text.h"

enum { FL_OPTION_COMMENT = 1 };

struct fl_options {
	struct fl_cursor rest;
	bool             big;
	const uint8_t   *lengths;      /* by code; 0: any                     */
	size_t           codes;        /* entries in `lengths`                */
	uint64_t         bad;
};

struct fl_option {
	uint16_t        code;
	struct fl_slice value;
};

static inline struct fl_options fl_options(struct fl_slice options, bool big,
					   const uint8_t *lengths, size_t codes)
{
	return (struct fl_options){ fl_cursor(options.at, options.n), big,
				    lengths, codes, 0 };
}

/* False at the end of the list. */
bool fl_options_next(struct fl_options *options, struct fl_option *option);
/* The value as an unsigned number of its own length, 1 to 8 octets. */
uint64_t fl_option_number(const struct fl_options *options,
			  const struct fl_option *option);
/* The value as a time stamp: upper, then lower 32 bits (section 4.3). */
uint64_t fl_option_stamp(const struct fl_options *options,
			 const struct fl_option *option);
/* The value as cleaned text; a zero octet ends it (section 3.5). */
char *fl_option_text(const struct fl_option *option,
		     char out[static FL_TEXT_MAX + 1]);

#endif
