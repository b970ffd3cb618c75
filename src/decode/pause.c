/* pause.c -- somebody asks the port at the other end to be quiet.
 *
 * Source  IEEE Std 802.3 clause 31 (MAC Control), annex 31B (PAUSE)
 * Takes   what follows the ethertype 8808: opcode, time; the rest is padding
 * Says    PAUSE
 * Refuses other opcodes, as not read here
 */
#include "decode/decode.h"

enum { PAUSE = 0x0001 };             /* annex 31A table 31A-1 */

enum fl_status fl_decode_pause(const struct fl_packet *packet,
			       struct fl_cursor *c, struct fl_facts *out,
			       enum fl_manner *manner)
{
	(void)packet, (void)manner;
	if (fl_u16(c) != PAUSE)
		fl_refuse(c, FL_UNSUPPORTED, "another opcode than PAUSE");
	const uint16_t quanta = fl_u16(c);
	if (!fl_ok(c))
		return c->status;
	fl_say(out, FL_FACT_PAUSE)->number = quanta;
	return FL_OK;
}
