/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * feed: seasons, dated steps, a log of readings, extremes.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/feed.h"

static const double DAY = 86400.0;

static struct feed_step nothing_at(double t)
{
    return (struct feed_step){ t, NAN, NAN, NAN, NAN, NAN, NAN };
}

static struct feed plain(void)
{
    struct feed f = { .temperature = { .mean = 12.0, .season = 6.0, .peak_day = 220.0 },
                      .pressure = { .mean = 3.5e5, .daily = 0.5e5, .peak_hour = 3.0 },
                      .start_day = 15.0 };
    for (int i = 0; i < SPECIES_COUNT; i++)
        f.c[i] = 0.1 * (i + 1);
    return f;
}

Test(feed, without_steps_and_log_is_its_base_and_its_seasons)
{
    const struct feed f = plain();
    for (double t = 0.0; t < 400 * DAY; t += 3.7 * DAY) {
        const struct feed_now now = feed_at(&f, t);
        cr_assert_eq(now.temperature, cycle_at(&f.temperature, 15.0, t));
        cr_assert_eq(now.pressure, cycle_at(&f.pressure, 15.0, t));
        for (int i = 0; i < SPECIES_COUNT; i++)
            cr_assert_eq(now.c[i], f.c[i], "species %d", i);
    }
}

Test(feed, conditions_are_those_of_feed_at)
{
    struct feed f = plain();
    f.steps = 1;
    f.step[0] = nothing_at(9.0 * DAY);
    f.step[0].pressure_change = -1e5;
    for (double t = 0.0; t < 20 * DAY; t += 1234.5) {
        double temperature, pressure;
        feed_conditions(&f, t, &temperature, &pressure);
        const struct feed_now now = feed_at(&f, t);
        cr_assert(temperature == now.temperature && pressure == now.pressure, "t = %g", t);
    }
}

Test(feed, a_step_changes_from_its_instant_on_only_what_it_names)
{
    struct feed f = plain();
    f.steps = 1;
    f.step[0] = nothing_at(10.0 * DAY);
    f.step[0].chlorine = 0.0;
    f.step[0].chloramine = 0.04;
    const struct feed_now before = feed_at(&f, nextafter(10.0 * DAY, 0.0));
    const struct feed_now after = feed_at(&f, 10.0 * DAY);
    cr_assert_eq(before.c[CHLORINE], f.c[CHLORINE]);
    cr_assert_eq(before.c[CHLORAMINE], f.c[CHLORAMINE]);
    cr_assert_eq(after.c[CHLORINE], 0.0);
    cr_assert_eq(after.c[CHLORAMINE], 0.04);
    for (int i = 0; i < SPECIES_COUNT; i++)
        if (i != CHLORINE && i != CHLORAMINE)
            cr_assert_eq(after.c[i], f.c[i], "species %d", i);
    cr_assert_float_eq(after.temperature, before.temperature, 1e-9);
}

Test(feed, a_later_step_leaves_standing_what_it_does_not_name)
{
    struct feed f = plain();
    f.steps = 3;
    f.step[0] = nothing_at(1.0 * DAY);
    f.step[0].pressure_change = -0.5e5;
    f.step[0].temperature_change = 2.0;
    f.step[1] = nothing_at(2.0 * DAY);
    f.step[1].strength = 1.5;
    f.step[1].solids = 0.004;
    f.step[2] = nothing_at(3.0 * DAY);
    f.step[2].pressure_change = 0.0; /* undoes the first, does not add to it */
    const struct feed_now second = feed_at(&f, 2.5 * DAY), third = feed_at(&f, 3.5 * DAY);
    cr_assert_float_eq(second.pressure, cycle_at(&f.pressure, 15.0, 2.5 * DAY) - 0.5e5, 1e-9);
    cr_assert_float_eq(second.temperature, cycle_at(&f.temperature, 15.0, 2.5 * DAY) + 2.0, 1e-12);
    cr_assert_float_eq(third.pressure, cycle_at(&f.pressure, 15.0, 3.5 * DAY), 1e-9);
    cr_assert_float_eq(third.temperature, cycle_at(&f.temperature, 15.0, 3.5 * DAY) + 2.0, 1e-12);
    cr_assert_eq(third.c[SOLIDS], 0.004);
    cr_assert_float_eq(third.c[CALCIUM], 1.5 * f.c[CALCIUM], 1e-15);
}

Test(feed, strength_scales_what_is_dissolved_but_not_oxidants_or_solids)
{
    struct feed f = plain();
    f.steps = 1;
    f.step[0] = nothing_at(0.0);
    f.step[0].strength = 2.0;
    const struct feed_now now = feed_at(&f, 0.0);
    for (int i = 0; i <= SILICA; i++)
        cr_assert_float_eq(now.c[i], 2.0 * f.c[i], 1e-15, "species %d", i);
    cr_assert_eq(now.c[CHLORINE], f.c[CHLORINE]);
    cr_assert_eq(now.c[CHLORAMINE], f.c[CHLORAMINE]);
    cr_assert_eq(now.c[SOLIDS], f.c[SOLIDS]);
}

Test(feed, pressure_never_falls_below_zero)
{
    struct feed f = plain();
    f.steps = 1;
    f.step[0] = nothing_at(DAY);
    f.step[0].pressure_change = -1e7;
    cr_assert_eq(feed_at(&f, 2.0 * DAY).pressure, 0.0);
}

Test(feed, a_log_is_linear_between_rows_and_held_at_its_ends)
{
    static const double at[] = { 0.0, 100.0, 100.0, 300.0 };
    static const double temperature[] = { 10.0, 12.0, 20.0, 16.0 };
    const struct feed_log log = { .rows = 4, .at = at, .temperature = temperature };
    struct feed f = plain();
    f.log = &log;
    const double cases[][2] = { { -50.0, 10.0 }, { 0.0, 10.0 },   { 25.0, 10.5 },  { 99.0, 11.98 },
                                { 100.0, 20.0 }, { 200.0, 18.0 }, { 300.0, 16.0 }, { 1e9, 16.0 } };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        cr_assert_float_eq(feed_at(&f, cases[i][0]).temperature, cases[i][1], 1e-12, "t = %g",
                           cases[i][0]);
    /* a column that is not there leaves the season alone */
    cr_assert_eq(feed_at(&f, 50.0).pressure, cycle_at(&f.pressure, 15.0, 50.0));
}

Test(feed, a_long_log_gives_back_the_line_that_it_was_made_from)
{
    enum { ROWS = 1000 };
    double at[ROWS], pressure[ROWS], strength[ROWS];
    for (int i = 0; i < ROWS; i++) {
        at[i] = 10.0 * i + (i % 3);
        pressure[i] = 2e5 + 3.0 * at[i];
        strength[i] = 1.0 + 1e-4 * at[i];
    }
    const struct feed_log log = {
        .rows = ROWS, .at = at, .pressure = pressure, .strength = strength
    };
    struct feed f = plain();
    f.log = &log;
    for (double t = 0.0; t < at[ROWS - 1]; t += 7.7) {
        const struct feed_now now = feed_at(&f, t);
        cr_assert_float_eq(now.pressure, 2e5 + 3.0 * t, 1e-8, "t = %g", t);
        cr_assert_float_eq(now.c[SODIUM], f.c[SODIUM] * (1.0 + 1e-4 * t), 1e-12, "t = %g", t);
        cr_assert_eq(now.c[CHLORINE], f.c[CHLORINE], "t = %g", t);
    }
}

Test(feed, steps_add_to_a_log_as_they_do_to_a_season)
{
    static const double at[] = { 0.0 }, pressure[] = { 3e5 }, strength[] = { 1.2 };
    const struct feed_log log = { 1, at, NULL, pressure, strength };
    struct feed f = plain();
    f.log = &log;
    f.steps = 1;
    f.step[0] = nothing_at(5.0);
    f.step[0].pressure_change = 2e4;
    f.step[0].strength = 2.0;
    cr_assert_float_eq(feed_at(&f, 6.0).pressure, 3.2e5, 1e-9);
    cr_assert_float_eq(feed_at(&f, 6.0).c[SODIUM], 2.4 * f.c[SODIUM], 1e-15);
}

Test(feed, names_the_next_step_strictly_after_a_time)
{
    struct feed f = plain();
    cr_assert_eq(feed_next_step(&f, 0.0), INFINITY);
    f.steps = 2;
    f.step[0] = nothing_at(10.0);
    f.step[1] = nothing_at(20.0);
    cr_assert_eq(feed_next_step(&f, 0.0), 10.0);
    cr_assert_eq(feed_next_step(&f, 10.0), 20.0);
    cr_assert_eq(feed_next_step(&f, 20.0), INFINITY);
}

Test(feed, extremes_are_those_of_the_season_over_a_year_and_of_a_part_of_it)
{
    struct feed f = plain();
    double coldest, warmest;
    feed_extremes(&f, 366.0 * DAY, &coldest, &warmest);
    cr_assert_float_eq(coldest, 6.0, 1e-5);
    cr_assert_float_eq(warmest, 18.0, 1e-5);
    feed_extremes(&f, 0.0, &coldest, &warmest);
    cr_assert_eq(coldest, feed_at(&f, 0.0).temperature);
    cr_assert_eq(warmest, coldest);
    /* from 15 January the coldest comes at 37.4 d and the warmest of 50 days is the last */
    feed_extremes(&f, 50.0 * DAY, &coldest, &warmest);
    cr_assert_float_eq(coldest, 6.0, 1e-5);
    cr_assert_float_eq(
        warmest, fmax(feed_at(&f, 0.0).temperature, feed_at(&f, 50.0 * DAY).temperature), 1e-12);
}

Test(feed, the_next_row_and_the_highest_pressure_are_those_of_its_log)
{
    static const double at[] = { 100.0, 200.0, 260.0 }, pressure[] = { 3e5, 5e5, 2e5 };
    const struct feed_log log = { .rows = 3, .at = at, .pressure = pressure };
    const struct feed_log mute = { .rows = 3, .at = at, .temperature = pressure };
    struct feed f = plain();
    cr_assert(isinf(feed_next_row(&f, 0.0)));
    f.log = &mute;
    cr_assert(isinf(feed_next_row(&f, 0.0)), "no column of pressures");
    f.log = &log;
    const double from[] = { 0.0, 100.0, 150.0, 200.0, 259.0, 260.0, 300.0 };
    const double to[] = { 100.0, 200.0, 200.0, 260.0, 260.0, INFINITY, INFINITY };
    for (int i = 0; i < 7; i++)
        cr_assert_eq(feed_next_row(&f, from[i]), to[i], "from %g", from[i]);
    cr_assert_eq(feed_highest_pressure(&f, DAY), 5e5);
    cr_assert_eq(feed_highest_pressure(&f, 150.0), 4e5, "not beyond the span");
}

Test(feed, the_highest_pressure_counts_swings_and_steps)
{
    struct feed f = plain();
    cr_assert_float_eq(feed_highest_pressure(&f, 3.0 * DAY), 4e5, 1.0, "at 3 o'clock");
    f.steps = 1;
    f.step[0] = nothing_at(1.1 * DAY);
    f.step[0].pressure_change = 1e5;
    cr_assert_float_eq(feed_highest_pressure(&f, 3.0 * DAY), 5e5, 1.0);
    cr_assert_float_eq(feed_highest_pressure(&f, DAY), 4e5, 1.0, "the step is yet to come");
}
