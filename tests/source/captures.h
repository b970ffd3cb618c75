/* captures.h -- walk a folder of shared captures; skip where there is none. */
#ifndef FL_TESTS_SOURCE_CAPTURES_H
#define FL_TESTS_SOURCE_CAPTURES_H

#include "test.h"

#include <dirent.h>

/* Call `each` with every capture in a folder of FL_SHARED. Returns how many there were; exits with FL_SKIPPED if the
 * folder is not there. */
static inline size_t captures_each(const char *folder,
				   void (*each)(const char *path, const char *name))
{
	char path[512];
	(void)snprintf(path, sizeof path, "%s/%s", FL_SHARED, folder);
	DIR *d = opendir(path);
	if (!d) {
		fprintf(stderr, "SKIPPED: %s is not there\n", path);
		exit(FL_SKIPPED);
	}
	size_t n = 0;
	for (const struct dirent *e; (e = readdir(d)) != NULL;) {
		const char *dot = strrchr(e->d_name, '.');
		if (!dot || strncmp(dot, ".pcap", 5) != 0)
			continue;
		(void)snprintf(path, sizeof path, "%s/%s/%s", FL_SHARED, folder,
			       e->d_name);
		each(path, e->d_name);
		n++;
	}
	closedir(d);
	return n;
}

#endif
