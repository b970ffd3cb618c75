#include "base/checksum.h"

#include <zlib.h>

uint16_t fl_inet_sum(const uint8_t *bytes, size_t n)
{
	uint64_t sum = 0;
	for (size_t i = 0; i < n; i++)
		sum += (i & 1) ? bytes[i] : (uint64_t)bytes[i] << 8;
	while (sum >> 16)
		sum = (sum & 0xffff) + (sum >> 16);
	return (uint16_t)sum;
}

uint16_t fl_inet_add(uint16_t a, uint16_t b)
{
	const uint32_t sum = (uint32_t)a + b;
	return (uint16_t)((sum & 0xffff) + (sum >> 16));
}

uint32_t fl_fcs(const uint8_t *bytes, size_t n)
{
	return (uint32_t)crc32_z(0, bytes, n);
}

bool fl_fcs_holds(const uint8_t *bytes, size_t n)
{
	/* The CRC over frame and FCS is a constant: the residue. */
	return n >= 4 && fl_fcs(bytes, n) == 0x2144df1c;
}
