/* What the unit tests share. */
#ifndef PREARC_TESTS_CHECK_PREARC_H
#define PREARC_TESTS_CHECK_PREARC_H

#include <check.h>

/* The path of FILE under the source tree ("tests/x/y.cir"), in a buffer that the next but three calls reuse. */
const char *source_path(const char *file);

/* Asserts that GOT is within PERCENT of WANT, with both in the message. */
#define assert_within(got, want, percent)                                                          \
    ck_assert_msg(within((got), (want), (percent)), "%s: got %g, want %g within %g %%", #got,      \
                  (double)(got), (double)(want), (double)(percent))
int within(double got, double want, double percent);

#endif
