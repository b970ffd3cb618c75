/* marks.h -- when what was done to a lab boat while it was captured. */
#ifndef FL_TESTS_DIAGNOSE_MARKS_H
#define FL_TESTS_DIAGNOSE_MARKS_H

#include "test.h"

#include <stdio.h>
#include <string.h>

/* The time of the first mark that holds these words, in seconds since 1970. */
static inline double mark_of(const char *file, const char *words)
{
	char path[512], line[256];
	double at = 0, t;
	snprintf(path, sizeof path, FL_SHARED "/lab/%s.marks", file);
	FILE *in = fopen(path, "r");
	assert_non_null(in);
	while (fgets(line, sizeof line, in))
		if (strstr(line, words) && sscanf(line, "%lf", &t) == 1 && at <= 0)
			at = t;
	fclose(in);
	assert_true(at > 0);
	return at;
}

#endif
