/* number.h -- numbers of captures, whose byte order the file decides.
 *
 * Spelt out octet by octet: where the compiler knows that the cursor is long
 * enough, each becomes one load.
 */
#ifndef FL_SOURCE_NUMBER_H
#define FL_SOURCE_NUMBER_H

#include "base/cursor.h"

enum { FL_HOST_IS_BIG = __BYTE_ORDER__ == __ORDER_BIG_ENDIAN__ };

static inline uint16_t fl_half(struct fl_cursor *c, bool big)
{
	const struct fl_slice s = fl_take(c, 2);
	if (!s.n)
		return 0;
	return (uint16_t)(big ? s.at[0] << 8 | s.at[1] : s.at[1] << 8 | s.at[0]);
}

static inline uint32_t fl_word(struct fl_cursor *c, bool big)
{
	const struct fl_slice s = fl_take(c, 4);
	if (!s.n)
		return 0;
	const uint32_t a = s.at[0], b = s.at[1], d = s.at[2], e = s.at[3];
	return big ? a << 24 | b << 16 | d << 8 | e
		   : e << 24 | d << 16 | b << 8 | a;
}

/* Upper, then lower 32 bits (draft-ietf-opsawg-pcapng section 4.3). */
static inline uint64_t fl_stamp(struct fl_cursor *c, bool big)
{
	const uint64_t upper = fl_word(c, big);
	return upper << 32 | fl_word(c, big);
}

#endif
