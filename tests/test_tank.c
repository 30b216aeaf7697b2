/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * tank: shapes and overflow against closed forms, inverses, limits and order.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/tank.h"

static const double GRAVITY = 9.80665;

static double draw(unsigned long *seed, double low, double high)
{
    *seed = (*seed * 1103515245UL + 12345UL) % 2147483648UL;
    return low + (high - low) * (double)*seed / 2147483648.0;
}

static const struct tank shapes[] = {
    { .shape = TANK_BOX, .length = 0.6, .width = 0.4, .height = 0.5 },
    { .shape = TANK_UPRIGHT, .diameter = 0.5, .height = 0.8 },
    { .shape = TANK_LYING, .diameter = 0.6, .length = 1.2, .height = 0.6 },
    { .shape = TANK_CONE,
      .diameter = 0.6,
      .bottom_diameter = 0.05,
      .cone_height = 0.2,
      .height = 0.9 },
    { .shape = TANK_CONE,
      .diameter = 0.6,
      .bottom_diameter = 0.0,
      .cone_height = 0.2,
      .height = 0.9 },
    { .shape = TANK_CONE,
      .diameter = 0.3,
      .bottom_diameter = 0.5,
      .cone_height = 0.4,
      .height = 0.6 },
    { .shape = TANK_TABLE,
      .height = 0.7,
      .rows = 4,
      .table_level = { 0.0, 0.1, 0.5, 0.7 },
      .table_volume = { 0.0, 0.004, 0.05, 0.06 } },
};

enum { SHAPES = sizeof shapes / sizeof shapes[0] };

Test(tank, keeps_volume_and_level_inverse)
{
    for (int s = 0; s < SHAPES; s++) {
        const struct tank *t = &shapes[s];
        const double full = tank_full(t);
        for (int i = 0; i <= 2000; i++) {
            const double volume = full * i / 2000.0;
            cr_assert_float_eq(tank_volume(t, tank_level(t, volume)), volume, 4e-15 * full + 1e-18,
                               "shape %d, volume %g", s, volume);
        }
    }
}

Test(tank, keeps_level_and_volume_inverse)
{
    /* a lying cylinder is flat at its crown: there a rounding of the volume is 4e-11 of its
     * diameter */
    for (int s = 0; s < SHAPES; s++) {
        const struct tank *t = &shapes[s];
        for (int i = 0; i <= 2000; i++) {
            const double level = t->height * i / 2000.0;
            const double slack = t->shape == TANK_LYING && i == 2000 ? 1e-10 : 1e-12;
            cr_assert_float_eq(tank_level(t, tank_volume(t, level)), level, slack,
                               "shape %d, level %g", s, level);
        }
    }
}

Test(tank, level_is_sound_for_volumes_near_nothing_and_near_full)
{
    for (int s = 0; s < SHAPES; s++) {
        const struct tank *t = &shapes[s];
        const double full = tank_full(t);
        double before = 0.0;
        for (double share = 1e-18; share < 0.5; share *= 1.7) {
            const double level = tank_level(t, share * full);
            cr_assert(level > before && level < t->height, "shape %d, share %g", s, share);
            before = level;
            const double high = tank_level(t, full * (1.0 - share));
            cr_assert(high >= level && high <= t->height, "shape %d, share %g", s, share);
        }
        cr_assert_eq(tank_level(t, 0.0), 0.0);
        cr_assert_eq(tank_level(t, -1.0), 0.0);
        cr_assert_float_eq(tank_level(t, full), t->height, 1e-12);
        cr_assert_eq(tank_level(t, 2.0 * full), t->height);
        cr_assert_eq(tank_volume(t, -1.0), 0.0);
        cr_assert_eq(tank_volume(t, 9.0), full);
    }
}

Test(tank, area_is_the_slope_of_volume)
{
    for (int s = 0; s < SHAPES; s++) {
        const struct tank *t = &shapes[s];
        for (int i = 1; i < 97; i++) {
            const double h = t->height * i / 97.0, d = 1e-5;
            const double slope = (tank_volume(t, h + d) - tank_volume(t, h - d)) / (2.0 * d);
            cr_assert_float_eq(tank_area(t, h) / slope, 1.0, 2e-6, "shape %d, level %g", s, h);
        }
    }
}

Test(tank, lying_cylinder_is_symmetric)
{
    const struct tank *t = &shapes[2];
    for (double h = 0.0; h <= 0.3; h += 0.001)
        cr_assert_float_eq(tank_volume(t, h) + tank_volume(t, 0.6 - h), tank_full(t), 1e-15,
                           "level %g", h);
    cr_assert_float_eq(tank_full(t), M_PI * 0.09 * 1.2, 1e-15);
}

Test(tank, cone_joins_its_cylinder_and_a_straight_cone_is_a_cylinder)
{
    const struct tank straight = { .shape = TANK_CONE,
                                   .diameter = 0.5,
                                   .bottom_diameter = 0.5,
                                   .cone_height = 0.3,
                                   .height = 0.8 };
    for (double h = 0.0; h < 0.8; h += 0.01) {
        cr_assert_float_eq(tank_volume(&straight, h), tank_volume(&shapes[1], h), 1e-15);
        cr_assert_float_eq(tank_level(&straight, tank_volume(&straight, h)), h, 1e-14);
    }
    const struct tank *t = &shapes[3];
    cr_assert_float_eq(tank_volume(t, 0.2 + 1e-12) - tank_volume(t, 0.2 - 1e-12),
                       2e-12 * tank_area(t, 0.2), 1e-16);
}

Test(tank, table_of_a_box_is_the_box)
{
    const struct tank t = { .shape = TANK_TABLE,
                            .height = 0.5,
                            .rows = 3,
                            .table_level = { 0.0, 0.2, 0.5 },
                            .table_volume = { 0.0, 0.2 * 0.24, 0.5 * 0.24 } };
    for (double h = 0.0; h <= 0.5; h += 0.007) {
        cr_assert_float_eq(tank_volume(&t, h), tank_volume(&shapes[0], h), 1e-16);
        cr_assert_float_eq(tank_area(&t, h), 0.24, 1e-14);
    }
}

/* ---- overflow -------------------------------------------------------------------------------- */

static struct overflow pipe_of(enum overflow_kind kind, double bore)
{
    return (struct overflow){ .kind = kind, .lip = 0.60, .bore = bore };
}

Test(tank, overflow_is_dry_at_and_below_its_lip_blocked_or_absent)
{
    const struct overflow o = pipe_of(OVERFLOW_STANDPIPE, 0.025);
    cr_assert_eq(overflow_flow(&o, 0.0, 1.0, 20.0), 0.0);
    cr_assert_eq(overflow_flow(&o, 0.60, 1.0, 20.0), 0.0);
    cr_assert_eq(overflow_flow(&o, 0.70, 0.0, 20.0), 0.0);
    const struct overflow none = pipe_of(OVERFLOW_NONE, 0.025);
    cr_assert_eq(overflow_flow(&none, 0.70, 1.0, 20.0), 0.0);
}

Test(tank, standpipe_is_a_weir_and_then_an_orifice_from_three_eighths_of_its_bore)
{
    for (double d = 0.01; d < 0.06; d += 0.005) {
        const struct overflow o = pipe_of(OVERFLOW_STANDPIPE, d);
        for (double x = 0.01; x < 3.0; x *= 1.3) {
            const double h = x * d, root = sqrt(2.0 * GRAVITY * h), area = M_PI * d * d / 4.0;
            const double law = x < 0.375 ? 0.4 * M_PI * d * h * root : 0.6 * area * root;
            cr_assert_float_eq(overflow_flow(&o, 0.6 + h, 1.0, 20.0) / law, 1.0, 1e-10,
                               "bore %g, h/D %g", d, x);
        }
    }
}

Test(tank, side_outlet_of_small_head_is_the_parabola_at_its_invert)
{
    /* near the invert the circle is a parabola: H = 4/3 y, Q = A sqrt(g A/T), A = 2/3 T y,
     * T = 2 sqrt(D y) */
    const double d = 0.04, h = 1e-5 * d, y = 0.75 * h, top = 2.0 * sqrt(d * y);
    const double area = 2.0 / 3.0 * top * y;
    const struct overflow o = pipe_of(OVERFLOW_SIDE, d);
    cr_assert_float_eq(overflow_flow(&o, 0.6 + h, 1.0, 20.0) / (area * sqrt(GRAVITY * area / top)),
                       1.0, 1e-4);
}

Test(tank, side_outlet_ends_as_an_orifice_under_the_head_over_its_axis)
{
    const struct overflow o = pipe_of(OVERFLOW_SIDE, 0.04);
    for (double x = 1.2; x < 5.0; x += 0.1) {
        const double law = 0.6 * M_PI * 0.0016 / 4.0 * sqrt(2.0 * GRAVITY * (x - 0.5) * 0.04);
        cr_assert_float_eq(overflow_flow(&o, 0.6 + 0.04 * x, 1.0, 20.0) / law, 1.0, 1e-10, "H/D %g",
                           x);
    }
}

/* Water that rises never drains slower, and no small rise makes a large difference; in all regimes,
 * blockages and pipes. */
Test(tank, overflow_rises_with_level_without_jumps)
{
    unsigned long seed = 5;
    for (int i = 0; i < 60; i++) {
        struct overflow o =
            pipe_of(i % 2 ? OVERFLOW_SIDE : OVERFLOW_STANDPIPE, draw(&seed, 0.01, 0.05));
        o.length = i % 3 ? draw(&seed, 0.0, 20.0) : 0.0;
        o.fall = draw(&seed, 0.0, 1.0);
        const double open = draw(&seed, 0.02, 1.0), t = draw(&seed, 5.0, 30.0);
        const double step = 1e-4 * o.bore;
        double before = 0.0;
        for (double h = step; h < 2.5 * o.bore; h += step) {
            const double q = overflow_flow(&o, 0.6 + h, open, t);
            cr_assert(q >= before, "case %d, h/D %g", i, h / o.bore);
            /* Q ~ h^n with n at most 2 (side outlet) bounds the rise from the second step on */
            cr_assert(h < 1.5 * step || q - before <= 2.5 * q * step / (h - step) + 1e-15,
                      "case %d, h/D %g", i, h / o.bore);
            before = q;
        }
    }
}

Test(tank, overflow_grows_with_what_is_left_open)
{
    for (int kind = OVERFLOW_STANDPIPE; kind <= OVERFLOW_SIDE; kind++) {
        struct overflow o = pipe_of((enum overflow_kind)kind, 0.02);
        o.length = 3.0;
        o.fall = 0.5;
        for (double h = 0.002; h < 0.06; h += 0.004) {
            double before = 0.0;
            for (double open = 0.01; open <= 1.0; open += 0.01) {
                const double q = overflow_flow(&o, 0.6 + h, open, 20.0);
                cr_assert(q >= before * (1.0 - 1e-12) && q > 0.0, "kind %d, h %g, open %g", kind, h,
                          open);
                before = q;
            }
        }
    }
}

Test(tank, a_long_thin_pipe_limits_the_overflow_and_a_short_wide_one_does_not)
{
    struct overflow o = pipe_of(OVERFLOW_STANDPIPE, 0.012);
    const double mouth = overflow_flow(&o, 0.70, 1.0, 20.0);
    o.length = 0.1;
    o.fall = 1.0;
    cr_assert_eq(overflow_flow(&o, 0.70, 1.0, 20.0), mouth);
    o.length = 50.0;
    cr_assert(overflow_flow(&o, 0.70, 1.0, 20.0) < 0.8 * mouth);
    cr_assert(overflow_flow(&o, 0.70, 1.0, 5.0) < overflow_flow(&o, 0.70, 1.0, 30.0));
}

Test(tank, dependable_capacity_is_the_flow_or_the_self_venting_limit)
{
    const struct overflow o = pipe_of(OVERFLOW_STANDPIPE, 0.025);
    const double limit = 0.3 * M_PI * 0.025 * 0.025 / 4.0 * sqrt(GRAVITY * 0.025);
    cr_assert_eq(overflow_dependable(&o, 0.605, 1.0), overflow_flow(&o, 0.605, 1.0, 20.0));
    cr_assert_float_eq(overflow_dependable(&o, 0.70, 1.0), limit, 1e-18);
    cr_assert(overflow_flow(&o, 0.70, 1.0, 20.0) > 3.0 * limit);
    /* a side outlet into the open does not gurgle; with a fall behind it does */
    struct overflow side = pipe_of(OVERFLOW_SIDE, 0.025);
    cr_assert_eq(overflow_dependable(&side, 0.70, 1.0), overflow_flow(&side, 0.70, 1.0, 20.0));
    side.fall = 0.5;
    cr_assert_float_eq(overflow_dependable(&side, 0.70, 1.0), limit, 1e-18);
}

Test(tank, overflow_level_is_the_inverse_of_its_flow)
{
    unsigned long seed = 9;
    for (int i = 0; i < 200; i++) {
        struct overflow o =
            pipe_of(i % 2 ? OVERFLOW_SIDE : OVERFLOW_STANDPIPE, draw(&seed, 0.01, 0.05));
        o.length = i % 3 ? 2.0 : 0.0;
        const double level = 0.6 + draw(&seed, 0.001, 0.15), open = draw(&seed, 0.1, 1.0);
        const double q = overflow_flow(&o, level, open, 20.0);
        cr_assert_float_eq(overflow_level(&o, q, open, 20.0, 0.8), level, 1e-10, "case %d", i);
    }
}

Test(tank, overflow_level_is_infinite_for_a_flow_that_it_cannot_carry)
{
    const struct overflow o = pipe_of(OVERFLOW_STANDPIPE, 0.0127);
    const struct overflow none = pipe_of(OVERFLOW_NONE, 0.05);
    cr_assert_eq(overflow_level(&o, 10e-3 / 60.0, 1.0, 20.0, 0.8), INFINITY);
    cr_assert_eq(overflow_level(&o, 1e-6, 0.0, 20.0, 0.8), INFINITY);
    cr_assert_eq(overflow_level(&none, 1e-6, 1.0, 20.0, 0.8), INFINITY);
    cr_assert_eq(overflow_level(&o, 0.0, 1.0, 20.0, 0.8), 0.6);
}
