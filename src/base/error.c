#include "base/error.h"

#include <stdio.h>

void fl_error_set(struct fl_error *error, enum fl_status status, int system,
		  uint64_t offset, const char *rule, const char *subject)
{
	if (!error || error->status != FL_OK)
		return;
	error->status = status;
	error->system = system;
	error->offset = offset;
	error->rule = rule;
	(void)snprintf(error->subject, sizeof error->subject, "%s",
		       subject ? subject : "");
}
