/* row_key.h -- a number that tells one row of numbers from another.
 *
 * Source  FNV-1a of 64 bits (from memory: offset basis and prime)
 *
 * Not seeded: what is told must not depend on it. */
#ifndef FL_DECODE_ROW_KEY_H
#define FL_DECODE_ROW_KEY_H

#include "base/cursor.h"

static const uint64_t FL_ROW_KEY = 0xcbf29ce484222325u;   /* of nothing yet */

static inline uint64_t fl_row_key_add(uint64_t key, struct fl_slice text)
{
	for (size_t i = 0; i < text.n; i++)
		key = (key ^ text.at[i]) * 0x100000001b3u;
	return (key ^ 0xff) * 0x100000001b3u;     /* "ab" "c" is not "a" "bc" */
}

#endif
