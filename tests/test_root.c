/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>

#include "models/root.h"

struct shape {
    int kind, looks;
    double root;
};

static double value(double x, void *context)
{
    struct shape *s = context;
    s->looks++;
    const double d = s->root - x;
    switch (s->kind) {
    case 0:
        return d;
    case 1:
        return d * d * d;
    case 2:
        return exp(20.0 * d) - 1.0;
    case 3:
        return d > 0.0 ? 1.0 : d < 0.0 ? -1.0 : 0.0; /* a jump */
    case 4:
        return copysign(sqrt(fabs(d)), d);
    default:
        return d + 1e-3 * d * d * d;
    }
}

Test(root, is_found_to_its_tolerance_for_every_shape)
{
    for (int kind = 0; kind < 6; kind++)
        for (int k = 1; k < 20; k++)
            for (int near = 0; near <= 1; near++) {
                struct shape s = { kind, 0, 0.05 * k };
                const double x = near ? root_falling_near(value, &s, 0.0, 1.0, 0.9, 1e-12)
                                      : root_falling(value, &s, 0.0, 1.0, 1e-12);
                const double within = kind == 1 ? 1e-4 : 1e-11; /* a triple root is flat */
                cr_assert_float_eq(x, s.root, within, "shape %d, root %g: %g", kind, s.root, x);
                cr_assert_leq(s.looks, 125, "shape %d: %d looks", kind, s.looks);
            }
}

Test(root, takes_few_looks_near_a_good_guess)
{
    struct shape s = { 5, 0, 0.3 };
    root_falling_near(value, &s, 0.0, 1.0, 0.31, 1e-12);
    cr_assert_leq(s.looks, 4, "%d", s.looks);
}

/* An early end needs more than two slopes that happen to agree. */
Test(root, does_not_end_early_where_slopes_agree_by_chance)
{
    for (int kind = 0; kind < 6; kind++)
        for (int k = 1; k < 100; k++)
            for (int g = 0; g <= 100; g++) {
                struct shape s = { kind, 0, 0.01 * k };
                const double x = root_falling_near(value, &s, 0.0, 1.0, 0.01 * g, 1e-12);
                cr_assert_float_eq(x, s.root, kind == 1 ? 1e-4 : 1e-11,
                                   "shape %d, root %g, guess %g: %g", kind, s.root, 0.01 * g, x);
            }
}

Test(root, is_the_end_of_the_bracket_beyond_it)
{
    struct shape s = { 0, 0, 2.0 };
    cr_assert_eq(root_falling(value, &s, 0.0, 1.0, 1e-12), 1.0);
    s.root = -1.0;
    cr_assert_eq(root_falling(value, &s, 0.0, 1.0, 1e-12), 0.0);
}
