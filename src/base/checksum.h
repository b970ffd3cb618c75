/* checksum.h -- the two sums that tell a damaged frame.
 *
 * Source  RFC 1071 section 1 (Internet checksum); IEEE Std 802.3 section
 *         3.2.9 (frame check sequence), computed by zlib's crc32()
 * Takes   n bytes, any alignment, n odd or even; 0 bytes sum to 0
 * Errors  none
 */
#ifndef FL_BASE_CHECKSUM_H
#define FL_BASE_CHECKSUM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The folded 16-bit one's-complement sum, not yet inverted: a packet with a
 * right checksum in place sums to 0xffff. */
uint16_t fl_inet_sum(const uint8_t *bytes, size_t n);
/* Add two sums, the first over an even number of bytes. */
uint16_t fl_inet_add(uint16_t a, uint16_t b);

/* The frame check sequence of n bytes from the destination address to the
 * padding; it stands on the wire in little-endian order. */
uint32_t fl_fcs(const uint8_t *bytes, size_t n);
/* True if the last four of n bytes are the right FCS of those before. */
bool fl_fcs_holds(const uint8_t *bytes, size_t n);

#endif
