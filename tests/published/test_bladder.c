/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Bladder tank against a worked example in print.  Source beside each check.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/bladder.h"

static const double PSI = 6894.757293168; /* Pa */

/* Bob Pelikan, The Driller, 2006 (read): a tank of 85 gal, air at 28 psi, between 30 and 50 psi:
 * factor 0.295, drawdown 25.1 gal. */
Test(published_bladder, gives_what_a_well_drillers_example_says)
{
    const struct bladder b = { .volume = 85.0, .precharge = 28.0 * PSI, .atmosphere = 14.7 * PSI };
    const double given = bladder_drawdown(&b, 50.0 * PSI, 30.0 * PSI);
    cr_assert_float_eq(given, 25.1, 3e-3 * 25.1, "%g gal", given);
    cr_assert_float_eq(given / 85.0, 0.295, 3e-3 * 0.295, "%g", given / 85.0);
}

/* The same, high in the mountains: 11.8 psi of air outside, 26.1 gal in print. */
Test(published_bladder, gives_more_high_in_the_mountains)
{
    const struct bladder b = { .volume = 85.0, .precharge = 28.0 * PSI, .atmosphere = 11.8 * PSI };
    const double given = bladder_drawdown(&b, 50.0 * PSI, 30.0 * PSI);
    cr_assert_float_eq(given, 26.1, 5e-3 * 26.1, "%g gal", given);
}

/* Computed by hand from Boyle's law: 12 L at 50 kPa. */
Test(published_bladder, holds_what_a_table_says)
{
    const struct bladder b = { .volume = 12.0, .precharge = 50e3, .atmosphere = 101325.0 };
    const double at[] = { 100e3, 200e3, 300e3, 400e3 }, held[] = { 2.980, 5.974, 7.475, 8.378 };
    for (int i = 0; i < 4; i++)
        cr_assert_float_eq(bladder_stored(&b, at[i]), held[i], 6e-4, "%g Pa: %g L", at[i],
                           bladder_stored(&b, at[i]));
}

/* 400 kPa of feed, 30 kPa osmotic, a membrane that makes 150 L/day at 370 kPa; stopped at 266.67
 * kPa: 7.0654 L in 1.86446 h (computed, numeric and analytic agree). */
Test(published_bladder, fills_in_the_time_that_a_table_says)
{
    const struct bladder b = { .volume = 12e-3, .precharge = 50e3, .atmosphere = 101325.0 };
    const double k = 150e-3 / 86400.0 / 370e3, to = bladder_stored(&b, 266.67e3);
    cr_assert_float_eq(1e3 * to, 7.0654, 1e-4);
    const double hours = bladder_fill_time(&b, k, 370e3, 0.0, to) / 3600.0;
    cr_assert_float_eq(hours, 1.86446, 1e-4, "%g h", hours);
}
