/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * bladder: Boyle's law and its inverse, and the filling time against the same filling integrated.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/bladder.h"

static double draw(unsigned long *seed, double low, double high)
{
    *seed = (*seed * 1103515245UL + 12345UL) % 2147483648UL;
    return low + (high - low) * (double)*seed / 2147483648.0;
}

static struct bladder any_bladder(unsigned long *seed)
{
    return (struct bladder){ .volume = draw(seed, 2e-3, 0.3),
                             .precharge = draw(seed, 0.0, 2e5),
                             .precharge_loss = draw(seed, 0.0, 1e-7),
                             .atmosphere = draw(seed, 7e4, 1.03e5) };
}

Test(bladder, keeps_pressure_and_water_inverse)
{
    unsigned long seed = 1;
    for (int i = 0; i < 5000; i++) {
        const struct bladder b = any_bladder(&seed);
        const double p = b.precharge + draw(&seed, 0.0, 1e6);
        cr_assert_float_eq(bladder_pressure(&b, bladder_stored(&b, p)), p, 1e-12 * (p + 1e5) * 20,
                           "case %d, %g Pa", i, p);
        const double w = b.volume * draw(&seed, 0.0, 0.95);
        cr_assert_float_eq(bladder_stored(&b, bladder_pressure(&b, w)), w, 1e-12 * b.volume);
    }
}

Test(bladder, keeps_its_air)
{
    unsigned long seed = 2;
    for (int i = 0; i < 1000; i++) {
        const struct bladder b = any_bladder(&seed);
        const double air = (b.precharge + b.atmosphere) * b.volume;
        const double w = b.volume * draw(&seed, 0.0, 0.95);
        cr_assert_float_eq((bladder_pressure(&b, w) + b.atmosphere) * (b.volume - w), air,
                           1e-12 * air);
    }
}

Test(bladder, holds_nothing_up_to_its_precharge_and_never_its_volume)
{
    unsigned long seed = 3;
    for (int i = 0; i < 500; i++) {
        const struct bladder b = any_bladder(&seed);
        double before = 0.0;
        cr_assert_eq(bladder_stored(&b, b.precharge * draw(&seed, 0.0, 1.0)), 0.0);
        cr_assert_eq(bladder_stored(&b, -2.0 * b.atmosphere), 0.0);
        for (double p = b.precharge + 1.0; p < 1e15; p *= 3.0) {
            const double w = bladder_stored(&b, p);
            cr_assert(w >= before && w < b.volume, "%g Pa", p);
            before = w;
        }
        cr_assert_float_eq(bladder_pressure(&b, 0.0), b.precharge, 1e-9 * b.atmosphere);
        cr_assert(isfinite(bladder_pressure(&b, 2.0 * b.volume)));
        cr_assert(bladder_pressure(&b, 2.0 * b.volume) > 1e9);
    }
}

/* dVw/dt = k (p_max - p) by the classical Runge-Kutta method. */
static double runge_kutta(const struct bladder *b, double k, double p_max, double from, double t)
{
    const int steps = 2000;
    const double dt = t / steps;
    double w = from;
    for (int i = 0; i < steps; i++) {
        const double k1 = k * (p_max - bladder_pressure(b, w));
        const double k2 = k * (p_max - bladder_pressure(b, w + 0.5 * dt * k1));
        const double k3 = k * (p_max - bladder_pressure(b, w + 0.5 * dt * k2));
        const double k4 = k * (p_max - bladder_pressure(b, w + dt * k3));
        w += dt / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
    }
    return w;
}

Test(bladder, fills_in_the_time_that_the_equation_takes)
{
    unsigned long seed = 4;
    for (int i = 0; i < 40; i++) {
        const struct bladder b = any_bladder(&seed);
        const double k = 1e-11 * draw(&seed, 0.1, 1.0);
        const double p_max = b.precharge + draw(&seed, 5e4, 4e5);
        const double most = bladder_stored(&b, p_max);
        const double from = most * draw(&seed, 0.0, 0.5), to = most * draw(&seed, 0.5, 0.99);
        const double t = bladder_fill_time(&b, k, p_max, from, to);
        cr_assert_float_eq(runge_kutta(&b, k, p_max, from, t), to, 1e-8 * most, "case %d", i);
        const double middle = 0.5 * (from + to);
        cr_assert_float_eq(bladder_fill_time(&b, k, p_max, from, middle) +
                               bladder_fill_time(&b, k, p_max, middle, to),
                           t, 1e-10 * t);
    }
}

Test(bladder, never_fills_to_where_the_membrane_stands_still)
{
    unsigned long seed = 5;
    for (int i = 0; i < 500; i++) {
        const struct bladder b = any_bladder(&seed);
        const double p_max = b.precharge + draw(&seed, 1e3, 4e5);
        const double most = bladder_stored(&b, p_max);
        cr_assert(isinf(bladder_fill_time(&b, 1e-11, p_max, 0.0, most * (1.0 + 1e-9))));
        cr_assert(isinf(bladder_fill_time(&b, 0.0, p_max, 0.0, 0.5 * most)));
        cr_assert(isinf(bladder_fill_time(&b, 1e-11, -2e5, 0.0, 0.5 * most)));
        cr_assert_eq(bladder_fill_time(&b, 1e-11, p_max, 0.5 * most, 0.2 * most), 0.0);
        double before = 0.0;
        for (double short_of = 0.5; short_of > 1e-9; short_of *= 0.3) {
            const double t = bladder_fill_time(&b, 1e-11, p_max, 0.0, most * (1.0 - short_of));
            cr_assert(t > before && isfinite(t));
            before = t;
        }
    }
}

/* With hardly any change of pressure it is a plain tank: t = V/(k (p_max - p)). */
Test(bladder, a_little_water_takes_the_time_of_a_plain_tank)
{
    const struct bladder b = { .volume = 1.0, .precharge = 5e4, .atmosphere = 101325.0 };
    const double t = bladder_fill_time(&b, 1e-11, 3.7e5, 0.0, 1e-4);
    cr_assert_float_eq(t, 1e-4 / (1e-11 * 3.2e5), 1e-4 * t);
}

Test(bladder, what_it_gives_is_what_it_held)
{
    unsigned long seed = 6;
    for (int i = 0; i < 500; i++) {
        const struct bladder b = any_bladder(&seed);
        const double high = b.precharge + draw(&seed, 1e5, 4e5);
        const double low = b.precharge + draw(&seed, 0.0, 1e5);
        const double air = b.volume * (b.precharge + b.atmosphere);
        const double want = air / (low + b.atmosphere) - air / (high + b.atmosphere);
        cr_assert_float_eq(bladder_drawdown(&b, high, low), want, 1e-12 * b.volume);
        cr_assert_eq(bladder_drawdown(&b, high, 0.5 * b.precharge), bladder_stored(&b, high));
    }
}

/* Less air holds more water at one pressure, but gives less of it above a delivery pressure that
 * it had enough air for. */
Test(bladder, an_old_one_holds_more_and_gives_less)
{
    const struct bladder new = { 1.2e-2, 5e4, 3.17e-9, 101325.0, 0.0 };
    double held = bladder_stored(&new, 2.6e5), given = bladder_drawdown(&new, 2.6e5, 1e5);
    for (double years = 1.0; years < 30.0; years += 1.0) {
        const struct bladder old = bladder_aged(&new, years * 365.25 * 86400.0);
        cr_assert_float_eq(old.precharge / 5e4, exp(-0.1 * years), 2e-3 * years);
        cr_assert_eq(old.volume, new.volume);
        cr_assert(bladder_stored(&old, 2.6e5) > held);
        cr_assert(bladder_drawdown(&old, 2.6e5, 1e5) < given);
        held = bladder_stored(&old, 2.6e5);
        given = bladder_drawdown(&old, 2.6e5, 1e5);
    }
    const struct bladder twice = bladder_aged(&new, 3e7), once = bladder_aged(&twice, 4e7);
    cr_assert_float_eq(once.precharge, bladder_aged(&new, 7e7).precharge, 1e-9);
}

Test(bladder, the_table_is_sound)
{
    for (const struct field *f = bladder_fields; f->key; f++)
        cr_assert(f->preset >= f->low && f->preset <= f->high && f->min <= f->low &&
                      f->high <= f->max && f->offset < sizeof(struct bladder),
                  "%s", f->key);
}
