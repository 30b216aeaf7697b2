/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * leak_selftest: leaks on purpose.  Criterion calls such a test passed, so tests/run.sh and CTest
 * go by what the sanitizer writes; this test shows that they still see it.
 */
#include <criterion/criterion.h>
#include <stdlib.h>

Test(leak_selftest, loses_seven_bytes)
{
    char *volatile lost = malloc(7);
    cr_assert_not_null(lost);
    lost = NULL;
}
