/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * cycle: seasonal and daily swings against their closed form and bounds.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/cycle.h"

static const double DAY = 86400.0;

static double draw(unsigned long *seed, double low, double high)
{
    *seed = (*seed * 1103515245UL + 12345UL) % 2147483648UL;
    return low + (high - low) * (double)*seed / 2147483648.0;
}

static const struct cycle both = {
    .mean = 12.0, .season = 6.0, .peak_day = 220.0, .daily = 1.5, .peak_hour = 16.0
};

Test(cycle, without_swings_is_its_mean)
{
    const struct cycle c = { .mean = 25.0, .peak_day = 30.0, .peak_hour = 6.0 };
    for (double t = 0.0; t < 400 * DAY; t += 12345.0)
        cr_assert_eq(cycle_at(&c, 17.0, t), 25.0, "t = %g", t);
}

Test(cycle, peaks_on_the_day_and_hour_that_it_names)
{
    /* noon of the hour and day of both peaks, half a year and half a day later the trough */
    const struct cycle season = { .mean = 12.0, .season = 6.0, .peak_day = 220.0 };
    const struct cycle daily = { .mean = 12.0, .daily = 1.5, .peak_hour = 16.0 };
    cr_assert_float_eq(cycle_at(&season, 0.0, 220.0 * DAY), 18.0, 1e-12);
    cr_assert_float_eq(cycle_at(&season, 220.0, 182.625 * DAY), 6.0, 1e-12);
    cr_assert_float_eq(cycle_at(&daily, 3.0, 16.0 * 3600.0), 13.5, 1e-12);
    cr_assert_float_eq(cycle_at(&daily, 3.0, 4.0 * 3600.0), 10.5, 1e-12);
    cr_assert_float_eq(cycle_at(&daily, 3.25, 10.0 * 3600.0), 13.5, 1e-12);
}

Test(cycle, comes_round_after_a_year_of_365_and_a_quarter_days)
{
    const struct cycle season = { .mean = 12.0, .season = 6.0, .peak_day = 220.0 };
    for (double day = 0.0; day < 365.0; day += 7.3)
        cr_assert_float_eq(cycle_at(&season, 0.0, day * DAY), cycle_at(&season, 365.25, day * DAY),
                           1e-12, "day %g", day);
}

Test(cycle, depends_on_start_day_only_as_a_shift)
{
    for (double day = 0.0; day < 365.0; day += 7.37)
        cr_assert_float_eq(cycle_at(&both, day, 0.0), cycle_at(&both, 0.0, day * DAY), 1e-12,
                           "day %g", day);
}

Test(cycle, stays_within_lowest_and_highest_and_reaches_them_nearly)
{
    unsigned long seed = 1;
    for (int i = 0; i < 50; i++) {
        const struct cycle c = { draw(&seed, -5.0, 30.0), draw(&seed, -9.0, 9.0),
                                 draw(&seed, 0.0, 365.0), draw(&seed, -3.0, 3.0),
                                 draw(&seed, 0.0, 24.0) };
        double low = INFINITY, high = -INFINITY;
        for (double t = 0.0; t < 366 * DAY; t += 1800.0) {
            low = fmin(low, cycle_at(&c, 40.0, t));
            high = fmax(high, cycle_at(&c, 40.0, t));
        }
        cr_assert(low >= cycle_lowest(&c) - 1e-12 && high <= cycle_highest(&c) + 1e-12, "case %d",
                  i);
        cr_assert(low < cycle_lowest(&c) + 0.01 && high > cycle_highest(&c) - 0.01, "case %d", i);
    }
}
