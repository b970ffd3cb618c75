/* test.h -- what every test file needs before its first line. */
#ifndef FL_TESTS_TEST_H
#define FL_TESTS_TEST_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Exit status that ctest counts as skipped. */
enum { FL_SKIPPED = 77 };

#define FL_RUN(tests) cmocka_run_group_tests(tests, NULL, NULL)

#endif
