/* fairlead.h -- captures and a plan in, an answer out: the library's face. */
#ifndef FAIRLEAD_FAIRLEAD_H
#define FAIRLEAD_FAIRLEAD_H

#include <fairlead/status.h>
#include <stddef.h>

/* Judge n captures (pcap, pcapng) or journals, merged by time.
 *
 * plan    path of a plan file, or NULL: none
 * place   where the laptop was joined, as after --at, or NULL: as in the plan
 * output  "json" or "text"
 * text    the answer, closed by a NUL, for the caller to free(); NULL unless
 *         FL_OK is returned. Inputs that were cut or not read stand in it as
 *         warnings
 *
 * FL_OK; FL_MALFORMED: the plan or the place is wrong; FL_SHORT: none of the
 * inputs could be read; FL_UNSUPPORTED: no such output; FL_SYSTEM: the plan
 * could not be read; FL_NO_MEMORY. */
FL_API enum fl_status fl_judge_captures(const char *const *paths, size_t n,
					const char *plan, const char *place,
					const char *output, char **text);

#endif
