/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>

#include "fixture.h"
#include "sim/decimal.h"

static const char *written(double value, int places)
{
    static char text[DECIMAL_SIZE + 1];
    *decimal_write(text, value, places) = '\0';
    return text;
}

Test(decimal, writes_plain_numbers)
{
    cr_assert_str_eq(written(0.0, 3), "0");
    cr_assert_str_eq(written(-0.0004, 3), "0");
    cr_assert_str_eq(written(0.05, 3), "0.05");
    cr_assert_str_eq(written(-0.25, 3), "-0.25");
    cr_assert_str_eq(written(100.0, 3), "100");
    cr_assert_str_eq(written(123.456789, 3), "123.457");
    cr_assert_str_eq(written(NAN, 3), "");
    cr_assert_str_eq(written(INFINITY, 3), "inf");
    cr_assert_str_eq(written(1e12, 3), "1e+12");
}

Test(decimal, is_read_back_to_half_a_last_place)
{
    unsigned long seed = 3;
    for (int k = 0; k < 300000; k++) {
        const int places = (int)(8.0 * fixture_random(&seed));
        const double value =
            (fixture_random(&seed) - 0.5) * pow(10.0, 9.0 - 12.0 * fixture_random(&seed));
        const double back = strtod(written(value, places), NULL);
        cr_assert_leq(fabs(back - value), 0.5000001 * pow(10.0, -places) + 1e-15 * fabs(value),
                      "%.17g to %d places: %s", value, places, written(value, places));
    }
}
