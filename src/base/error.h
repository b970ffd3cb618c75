/* error.h -- one refusal, told well enough to mend what was wrong.
 *
 * Shapes  one error by value; the caller owns it and zeroes it before use
 * Units   `offset` counts bytes from the start of the file or message
 * Owns    a copy of the subject; `rule` is static text
 * Errors  none: the first one set sticks, later ones are dropped
 */
#ifndef FL_BASE_ERROR_H
#define FL_BASE_ERROR_H

#include <fairlead/status.h>
#include <stdint.h>

struct fl_error {
	enum fl_status status;        /* FL_OK: nothing was refused          */
	int            system;        /* errno, or 0                         */
	uint64_t       offset;        /* where, or 0                         */
	const char    *rule;          /* what was broken and what is right   */
	char           subject[160];  /* what it was about: a path, a name   */
};

void fl_error_set(struct fl_error *error, enum fl_status status, int system,
		  uint64_t offset, const char *rule, const char *subject);

#endif
