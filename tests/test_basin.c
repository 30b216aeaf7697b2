/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * basin: evaporation's limits, signs and order; salinity and rim as balances.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdbool.h>

#include "models/basin.h"
#include "models/evaporation.h"
#include "models/water.h"

static const double DAY = 86400.0;

static double draw(unsigned long *seed, double low, double high)
{
    *seed = (*seed * 1103515245UL + 12345UL) % 2147483648UL;
    return low + (high - low) * (double)*seed / 2147483648.0;
}

Test(basin, evaporation_is_shah_in_still_air_and_three_quarters_of_carrier_in_a_draught)
{
    unsigned long seed = 2;
    for (int i = 0; i < 2000; i++) {
        const double w = draw(&seed, 5, 35), a = draw(&seed, 5, 35), h = draw(&seed, 0, 1);
        const double v = draw(&seed, 0.1, 3.0);
        cr_assert_eq(evaporation_rate(w, a, h, 0.0), evaporation_shah(w, a, h), "%g %g %g", w, a,
                     h);
        cr_assert_float_eq(evaporation_rate(w, a, h, v), 0.74 * evaporation_carrier(w, a, h, v),
                           1e-18, "%g %g %g %g", w, a, h, v);
        cr_assert_eq(evaporation_rate(w, a, h, -1.0), evaporation_shah(w, a, h), "%g %g %g", w, a,
                     h);
    }
}

Test(basin, evaporation_is_smooth_in_air_speed)
{
    /* no jump of value and, at both ends of the blend, none of slope */
    const double d = 1e-7, scale = evaporation_rate(25.0, 22.0, 0.5, 0.1);
    for (double v = 0.0; v < 0.2; v += 0.0005)
        cr_assert(fabs(evaporation_rate(25, 22, 0.5, v + d) - evaporation_rate(25, 22, 0.5, v)) <
                      100.0 * d * scale,
                  "v = %g", v);
    for (double v = 0.0; v < 0.15; v += 0.1) {
        const double left = evaporation_rate(25, 22, 0.5, v) - evaporation_rate(25, 22, 0.5, v - d);
        const double right =
            evaporation_rate(25, 22, 0.5, v + d) - evaporation_rate(25, 22, 0.5, v);
        cr_assert_float_eq(left, right, 1e-3 * d * scale, "v = %g", v);
    }
}

Test(basin, evaporation_has_the_sign_of_the_pressure_difference_and_vanishes_with_it)
{
    unsigned long seed = 4;
    for (int i = 0; i < 5000; i++) {
        const double w = draw(&seed, 5, 35), a = draw(&seed, 5, 35), h = draw(&seed, 0.05, 1);
        const double v = draw(&seed, 0.0, 0.3);
        const double dp = water_vapour_pressure(w) - h * water_vapour_pressure(a);
        cr_assert(evaporation_rate(w, a, h, v) * dp >= 0.0, "%g %g %g %g", w, a, h, v);
        const double dew = water_vapour_pressure(w) / water_vapour_pressure(a); /* humidity */
        cr_assert_float_eq(evaporation_rate(w, a, dew, v), 0.0, 1e-15, "%g %g", w, a);
    }
}

Test(basin, condensing_takes_the_stronger_of_shahs_branches)
{
    /* cold water, moist warm air: nothing rises, the forced branch with its sign; never weaker */
    const double w = 10.0, a = 30.0, h = 0.9;
    const double dp = water_vapour_pressure(w) - h * water_vapour_pressure(a);
    cr_assert_float_eq(evaporation_shah(w, a, h), 5e-5 * dp / 3600.0, 1e-15);
    /* warm dry-air-light surface below supersaturated air: natural convection and condensing */
    const double strong = evaporation_shah(25.0, 20.0, 1.0 + 0.6);
    const double forced = 5e-5 * (water_vapour_pressure(25.0) - 1.6 * water_vapour_pressure(20.0));
    cr_assert(strong < 0.0 && strong <= forced / 3600.0 + 1e-18);
}

/* The rules of use: warmer water, drier or faster air, more evaporation.  The cubic rises all along
 * where still air takes less than 0.973 of what 0.1 m/s does; see the page. */
Test(basin, evaporation_rises_with_warmth_dryness_and_draught)
{
    for (double a = 12.0; a <= 30.0; a += 1.0)
        for (double w = fmax(a - 3.0, 12.0); w <= a + 8.0; w += 0.5)
            for (double h = 0.2; h < 0.75; h += 0.05)
                for (double v = 0.0; v < 0.5; v += 0.05) {
                    const double e = evaporation_rate(w, a, h, v);
                    const double top = evaporation_rate(w, a, h, 0.1);
                    const bool ruled = e > 0.0 && evaporation_rate(w, a, h, 0.0) < 0.97 * top;
                    cr_assert(evaporation_rate(w + 0.1, a, h, v) > e, "%g %g %g %g", w, a, h, v);
                    cr_assert(evaporation_rate(w, a, h - 0.01, v) > e, "%g %g %g %g", w, a, h, v);
                    cr_assert(!ruled || evaporation_rate(w, a, h, v + 0.01) > e, "%g %g %g %g", w,
                              a, h, v);
                }
}

Test(basin, still_air_takes_less_than_a_draught_in_usual_rooms)
{
    for (double a = 15.0; a <= 28.0; a += 1.0)
        for (double w = a - 3.0; w <= a + 5.0; w += 0.5)
            for (double h = 0.3; h < 0.75; h += 0.05)
                cr_assert(evaporation_rate(w, a, h, 0.0) < 0.97 * evaporation_rate(w, a, h, 0.1) ||
                              evaporation_rate(w, a, h, 0.0) <= 0.0,
                          "%g %g %g", w, a, h);
}

Test(basin, evaporation_stays_finite_a_little_outside_its_range)
{
    for (double w = -5.0; w <= 60.0; w += 5.0)
        for (double a = -10.0; a <= 60.0; a += 5.0)
            for (double h = 0.0; h <= 1.1; h += 0.1)
                for (double v = 0.0; v <= 10.0; v += 0.5)
                    cr_assert(isfinite(evaporation_rate(w, a, h, v)), "%g %g %g %g", w, a, h, v);
}

static const struct basin bench = {
    .surface = 0.3,
    .open_surface = 1.1,
    .volume = 0.4,
    .freeboard = 0.05,
    .water = { .mean = 25.0 },
    .air = { .mean = 21.0, .season = 3.0, .peak_day = 200.0, .daily = 1.0, .peak_hour = 15.0 },
    .humidity = { .mean = 0.5, .season = 0.15, .peak_day = 200.0 },
    .calibration = 1.0,
    .salinity = 35.0,
    .start_day = 40.0
};

Test(basin, evaporation_is_that_of_its_conditions_over_its_open_surface)
{
    for (double t = 0.0; t < 366.0 * DAY; t += 0.37 * DAY) {
        const double law = evaporation_rate(25.0, cycle_at(&bench.air, 40.0, t),
                                            cycle_at(&bench.humidity, 40.0, t), 0.0);
        cr_assert_float_eq(basin_evaporation(&bench, t), 1.1 * law / water_density(25.0), 1e-20,
                           "t = %g", t);
    }
    struct basin twice = bench;
    twice.calibration = 2.0;
    cr_assert_float_eq(basin_evaporation(&twice, 0.0), 2.0 * basin_evaporation(&bench, 0.0), 1e-20);
}

Test(basin, keeps_humidity_between_nothing_and_saturation)
{
    struct basin b = bench;
    b.humidity = (struct cycle){ .mean = 1.7 };
    cr_assert_float_eq(basin_evaporation(&b, 0.0),
                       1.1 * evaporation_rate(25.0, cycle_at(&b.air, 40.0, 0.0), 1.0, 0.0) /
                           water_density(25.0),
                       1e-20);
    b.humidity.mean = -0.2;
    cr_assert_float_eq(basin_evaporation(&b, 0.0),
                       1.1 * evaporation_rate(25.0, cycle_at(&b.air, 40.0, 0.0), 0.0, 0.0) /
                           water_density(25.0),
                       1e-20);
}

Test(basin, level_counts_from_the_working_level_to_the_rim)
{
    cr_assert_float_eq(basin_level(&bench, 0.4), 0.0, 1e-15);
    cr_assert_float_eq(basin_level(&bench, 0.394), -0.02, 1e-15);
    cr_assert_float_eq(basin_level(&bench, basin_rim_volume(&bench)), bench.freeboard, 1e-15);
}

Test(basin, salinity_solves_its_definition)
{
    unsigned long seed = 6;
    for (int i = 0; i < 5000; i++) {
        const double s = draw(&seed, 0.0, 60.0), t = draw(&seed, 0.0, 40.0);
        struct vessel v = { .volume = draw(&seed, 0.01, 2.0) };
        v.amount[SALT] = s / 1000.0 * water_sea_density(s, t) * v.volume;
        cr_assert_float_eq(basin_salinity(&v, t), s, 1e-7, "S %g, t %g", s, t);
    }
}

Test(basin, salinity_of_fresh_dry_and_brackish_water_is_sound)
{
    struct vessel v = { .volume = 1.0 };
    cr_assert_eq(basin_salinity(&v, 25.0), 0.0);
    v.amount[SALT] = 5.0;
    double before = 0.0;
    for (double volume = 2.0; volume > 1e-9; volume /= 1.5) {
        v.volume = volume;
        const double s = basin_salinity(&v, 25.0);
        cr_assert(s >= before && s <= 1000.0, "volume %g", volume);
        before = s;
    }
    v.volume = 0.0;
    cr_assert_eq(basin_salinity(&v, 25.0), 1000.0);
    v.amount[SALT] = 0.0;
    cr_assert_eq(basin_salinity(&v, 25.0), 0.0);
}
