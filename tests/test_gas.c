/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * gas: uptake and loss of carbon dioxide: conservation, ends, direction, and one long step against
 * many short ones.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/gas.h"
#include "models/water.h"

static const struct gas air = { .air = 420e-6, .film = 2e-5, .enhancement = 1.0 };

static double draw(unsigned long *seed, double low, double high)
{
    *seed = (*seed * 1103515245UL + 12345UL) % 2147483648UL;
    return low + (high - low) * (double)*seed / 2147483648.0;
}

static double draw_log(unsigned long *seed, double low, double high)
{
    return exp(draw(seed, log(low), log(high)));
}

static struct vessel filled(double volume, const double c[])
{
    struct vessel v = { .volume = volume };
    for (int i = 0; i < SPECIES_COUNT; i++)
        v.amount[i] = c[i] * volume;
    return v;
}

static double free_co2(const struct vessel *v, double temperature)
{
    double c[SPECIES_COUNT];
    for (int i = 0; i < SPECIES_COUNT; i++)
        c[i] = v->amount[i] / v->volume;
    return water_speciate(c, temperature).co2;
}

/* Any water from nearly pure to hard, acid to alkaline. */
static struct vessel any_water(unsigned long *seed)
{
    double c[SPECIES_COUNT] = { 0.0 };
    const double size = draw_log(seed, 1e-4, 5.0);
    c[SODIUM] = size * draw(seed, 0.0, 1.5);
    c[CALCIUM] = size * draw(seed, 0.0, 0.5);
    c[CHLORIDE] = size * draw(seed, 0.0, 1.0);
    c[AMMONIUM] = size * draw(seed, 0.0, 0.05);
    c[SILICA] = size * draw(seed, 0.0, 0.2);
    c[CARBON] = size * draw(seed, 0.0, 2.0);
    return filled(draw_log(seed, 1e-3, 1.0), c);
}

Test(gas, changes_carbon_alone_and_by_what_it_says)
{
    unsigned long seed = 1;
    for (int i = 0; i < 500; i++) {
        struct vessel v = any_water(&seed);
        const struct vessel before = v;
        const double t = draw(&seed, 0.0, 45.0);
        const double moved =
            gas_exchange(&air, draw_log(&seed, 1e-3, 1.0), &v, t, draw_log(&seed, 1.0, 1e8));
        for (int k = 0; k < SPECIES_COUNT; k++)
            if (k != CARBON)
                cr_assert_eq(v.amount[k], before.amount[k]);
        cr_assert_float_eq(v.amount[CARBON] - before.amount[CARBON], moved,
                           1e-15 * before.amount[CARBON]);
        cr_assert(v.amount[CARBON] >= 0.0 && isfinite(moved), "case %d", i);
        cr_assert_eq(v.volume, before.volume);
    }
}

Test(gas, goes_towards_equilibrium_and_not_past_it)
{
    unsigned long seed = 2;
    for (int i = 0; i < 500; i++) {
        struct vessel v = any_water(&seed);
        const double t = draw(&seed, 0.0, 45.0), goal = gas_equilibrium(&air, t);
        const double before = free_co2(&v, t);
        const double moved =
            gas_exchange(&air, draw_log(&seed, 1e-3, 1.0), &v, t, draw_log(&seed, 1.0, 1e8));
        const double after = free_co2(&v, t);
        cr_assert(moved * (goal - before) >= 0.0, "case %d", i);
        cr_assert(fabs(after - goal) <= fabs(before - goal) * (1.0 + 1e-9), "case %d", i);
        /* the ionic strength of the carbon that came is seen one step late */
        cr_assert((after - goal) * (before - goal) > -1e-2 * goal * goal, "case %d: %g %g %g", i,
                  before, after, goal);
    }
}

Test(gas, ends_in_equilibrium_with_the_air)
{
    unsigned long seed = 3;
    for (int i = 0; i < 200; i++) {
        struct vessel v = any_water(&seed);
        const double t = draw(&seed, 0.0, 45.0);
        for (int k = 0; k < 6; k++)
            gas_exchange(&air, 0.5, &v, t, 1e12);
        cr_assert_float_eq(free_co2(&v, t) / gas_equilibrium(&air, t), 1.0, 1e-6, "case %d: %g", i,
                           free_co2(&v, t) / gas_equilibrium(&air, t));
        const double held = v.amount[CARBON];
        const double moved = gas_exchange(&air, 0.5, &v, t, 1e4);
        cr_assert(fabs(moved) < 1e-8 * held, "stays there");
    }
}

/* In acid water all carbon is CO2 and the law is one exponential. */
Test(gas, is_one_exponential_where_the_gas_stays_gas)
{
    const double acid[SPECIES_COUNT] = { [CHLORIDE] = 1.0, [CARBON] = 0.5 }; /* pH 3 */
    const double k = 2e-5 * 0.25 / 0.1;
    for (double t = 100.0; t < 1e5; t *= 3.0) {
        struct vessel v = filled(0.1, acid);
        gas_exchange(&air, 0.25, &v, 25.0, t);
        const double goal = gas_equilibrium(&air, 25.0);
        cr_assert_float_eq(free_co2(&v, 25.0), goal + (0.5 - goal) * exp(-k * t), 1e-3, "%g s", t);
    }
}

/* At first sight: k A (CO2eq - CO2), whatever the water. */
Test(gas, begins_with_the_rate_of_the_film)
{
    unsigned long seed = 4;
    for (int i = 0; i < 300; i++) {
        struct vessel v = any_water(&seed);
        const double t = draw(&seed, 0.0, 45.0), area = draw_log(&seed, 1e-3, 1.0);
        const double drive = gas_equilibrium(&air, t) - free_co2(&v, t);
        const double dt = 1e-6 * v.volume / (2e-5 * area);
        const double moved = gas_exchange(&air, area, &v, t, dt);
        cr_assert_float_eq(moved, 2e-5 * area * drive * dt,
                           2e-6 * fabs(2e-5 * area * drive * dt) + 1e-14 * v.amount[CARBON],
                           "case %d", i);
    }
}

/* CO2 is not quite linear in carbon: a day at once against its minutes, in stored pure water. */
Test(gas, one_step_is_near_many_and_halving_steps_halves_what_is_wrong)
{
    const double pure[SPECIES_COUNT] = { 0.0 };
    double end[8];
    for (int j = 0; j < 8; j++) {
        struct vessel v = filled(0.1, pure);
        const int steps = j < 7 ? 1 << j : 4096;
        for (int i = 0; i < steps; i++)
            gas_exchange(&air, 0.25, &v, 22.0, 43200.0 / steps);
        end[j] = v.amount[CARBON];
    }
    cr_assert_float_eq(end[0] / end[7], 1.0, 0.05, "one step: %g", end[0] / end[7]);
    for (int j = 3; j < 6; j++) {
        const double ratio = (end[j] - end[7]) / (end[j + 1] - end[7]);
        cr_assert(ratio > 1.7, "%d steps, ratio %g", 1 << j, ratio);
    }
}

Test(gas, an_empty_vessel_and_no_surface_exchange_nothing)
{
    struct vessel none = { 0 };
    cr_assert_eq(gas_exchange(&air, 1.0, &none, 20.0, 1e6), 0.0);
    unsigned long seed = 5;
    struct vessel v = any_water(&seed);
    cr_assert_eq(gas_exchange(&air, 0.0, &v, 20.0, 1e6), 0.0);
    cr_assert_eq(gas_exchange(&air, 1.0, &v, 20.0, 0.0), 0.0);
}

/* Air without CO2 takes all of it from water without alkalinity. */
Test(gas, air_without_carbon_dioxide_strips_it)
{
    const struct gas nitrogen = { .air = 0.0, .film = 2e-5, .enhancement = 1.0 };
    const double fizzy[SPECIES_COUNT] = { [CARBON] = 0.3 };
    struct vessel v = filled(0.1, fizzy);
    for (int i = 0; i < 60; i++)
        gas_exchange(&nitrogen, 0.25, &v, 20.0, 1e7);
    cr_assert(v.amount[CARBON] >= 0.0 && v.amount[CARBON] < 1e-6 * 0.03, "%g", v.amount[CARBON]);
}

/* A film of water is at equilibrium at once, and then there is nothing to take. */
Test(gas, rounding_never_takes_more_than_there_is)
{
    unsigned long seed = 9;
    for (int i = 0; i < 2000; i++) {
        struct vessel v = any_water(&seed);
        const double thin = pow(10.0, -8.0 * i / 2000.0);
        v.volume *= thin;
        for (int k = 0; k < SPECIES_COUNT; k++)
            v.amount[k] *= k == CARBON ? 1e-3 * thin : thin;
        for (int k = 0; k < 3; k++)
            gas_exchange(&air, 10.0, &v, 20.0, 1e6);
        cr_assert(v.amount[CARBON] >= 0.0, "%g of %g m3", v.amount[CARBON], v.volume);
    }
}

Test(gas, dissolves_more_in_the_cold)
{
    double before = INFINITY;
    for (double t = 0.0; t <= 50.0; t += 1.0) {
        const double now = gas_solubility(t);
        cr_assert(now < before && now > 0.0, "%g degC", t);
        before = now;
    }
}

Test(gas, the_table_is_sound)
{
    for (const struct field *f = gas_fields; f->key; f++)
        cr_assert(f->preset >= f->low && f->preset <= f->high && f->min <= f->low &&
                      f->high <= f->max && f->offset < sizeof(struct gas),
                  "%s", f->key);
}
