/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * valve: float valve and tube: limits, inverses, continuity and order, which a root finder needs.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/valve.h"
#include "models/water.h"
#include "tests/at.h"

static double draw(unsigned long *seed, double low, double high)
{
    *seed = (*seed * 1103515245UL + 12345UL) % 2147483648UL;
    return low + (high - low) * (double)*seed / 2147483648.0;
}

static const struct float_valve valve = { .shuts_at = 0.70, .band = 0.02, .seat = 0.003 };

Test(valve, opens_in_proportion_to_the_fall_of_the_level)
{
    const double cases[][2] = { { 0.90, 0.0 }, { 0.70, 0.0 }, { 0.695, 0.25 },
                                { 0.69, 0.5 }, { 0.68, 1.0 }, { -1.0, 1.0 } };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        cr_assert_float_eq(float_valve_opening(&valve, cases[i][0], -1.0, 0.0), cases[i][1], 1e-12,
                           "level %g", cases[i][0]);
}

Test(valve, snaps_when_it_has_no_band)
{
    const struct float_valve snap = { 0.70, 0.0, 0.003 };
    cr_assert_eq(float_valve_opening(&snap, 0.7, -1.0, 0.0), 0.0);
    cr_assert_eq(float_valve_opening(&snap, 0.6999, -1.0, 0.0), 1.0);
}

Test(valve, stuck_holds_its_opening_and_weeping_sets_the_least)
{
    for (double level = 0.0; level < 1.0; level += 0.01) {
        cr_assert_eq(float_valve_opening(&valve, level, 0.3, 0.0), 0.3, "level %g", level);
        cr_assert_eq(float_valve_opening(&valve, level, 0.0, 0.0), 0.0, "level %g", level);
        const double sound = float_valve_opening(&valve, level, -1.0, 0.0);
        cr_assert_eq(float_valve_opening(&valve, level, -1.0, 0.01), fmax(sound, 0.01), "level %g",
                     level);
        cr_assert_eq(float_valve_opening(&valve, level, 0.0, 0.01), 0.01, "level %g", level);
    }
}

Test(valve, float_valve_flow_and_loss_are_inverse)
{
    unsigned long seed = 3;
    for (int i = 0; i < 2000; i++) {
        const double x = draw(&seed, 0.001, 1.0), p = draw(&seed, -5e5, 5e5);
        const double t = draw(&seed, 0.0, 40.0);
        const double q = float_valve_flow(&valve, x, p, AT(t));
        cr_assert_float_eq(float_valve_loss(&valve, x, q, AT(t)), p, 1e-10 * fabs(p) + 1e-12,
                           "x %g, p %g", x, p);
    }
}

Test(valve, float_valve_passes_nothing_when_shut_and_its_loss_stays_finite)
{
    cr_assert_eq(float_valve_flow(&valve, 0.0, 4e5, AT(20.0)), 0.0);
    cr_assert_eq(float_valve_loss(&valve, 0.0, 0.0, AT(20.0)), 0.0);
    cr_assert(isfinite(float_valve_loss(&valve, 0.0, 1e-6, AT(20.0))));
}

Test(valve, float_valve_is_the_sharp_edged_orifice)
{
    /* Q = Cd a sqrt(2 dP/rho) by hand: 0.62 x 7.0686e-6 m2 x sqrt(2 x 1e5/998.2) = 62.04 mL/s */
    cr_assert_float_eq(float_valve_flow(&valve, 1.0, 1e5, AT(20.0)), 62.035e-6, 0.01e-6);
}

/* Rising, odd and without a jump: the step to the next flow is no more than the steepest law
 * allows. */
Test(valve, tube_loss_rises_with_flow_without_jumps_through_all_regimes)
{
    for (double bore = 0.003; bore < 0.03; bore *= 2.0) {
        const double nu = water_viscosity(20.0) / water_density(20.0);
        double before = 0.0;
        for (double re = 1.0; re < 20000.0; re += 1.0) {
            const double q = re * nu * M_PI * bore / 4.0;
            const double loss = tube_loss(2.0, bore, q, AT(20.0));
            cr_assert(loss > before, "bore %g, Re %g", bore, re);
            cr_assert(before == 0.0 || loss - before < 5.0 * loss / re, "bore %g, Re %g", bore, re);
            cr_assert_eq(tube_loss(2.0, bore, -q, AT(20.0)), -loss);
            before = loss;
        }
    }
}

Test(valve, tube_loss_meets_both_laws_where_the_join_ends)
{
    const double bore = 0.01, rho = water_density(15.0), mu = water_viscosity(15.0);
    const double per_re = 32.0 * mu * mu / (rho * bore * bore * bore);
    const double one = mu * M_PI * bore / (4.0 * rho); /* m3/s at Re 1 */
    cr_assert_float_eq(tube_loss(1.0, bore, 2300.0 * one, AT(15.0)) / (per_re * 2300.0), 1.0,
                       1e-12);
    const double f = friction_swamee_jain(4000.0, 1.5e-6 / bore);
    cr_assert_float_eq(tube_loss(1.0, bore, 4000.0 * one, AT(15.0)) / (per_re * f * 4000.0 * 62.5),
                       1.0, 1e-12);
}

Test(valve, tube_loss_is_in_proportion_to_length_and_when_laminar_to_flow_and_viscosity)
{
    const double q = 2e-6, bore = 0.00432;
    const double loss = tube_loss(1.0, bore, q, AT(10.0));
    cr_assert_float_eq(tube_loss(3.0, bore, q, AT(10.0)), 3.0 * loss, 1e-9);
    cr_assert_float_eq(tube_loss(1.0, bore, q / 4.0, AT(10.0)), loss / 4.0, 1e-9);
    cr_assert_float_eq(tube_loss(1.0, bore, q, AT(25.0)) / loss,
                       water_viscosity(25.0) / water_viscosity(10.0), 1e-12);
    cr_assert_eq(tube_loss(1.0, bore, 0.0, AT(10.0)), 0.0);
}

Test(valve, colebrook_solves_its_own_equation)
{
    for (double re = 3e3; re < 2e8; re *= 1.9)
        for (double e = 1e-7; e < 0.06; e *= 3.0) {
            const double x = 1.0 / sqrt(friction_colebrook(re, e));
            cr_assert_float_eq(x, -2.0 * log10(e / 3.7 + 2.51 * x / re), 1e-12 * x, "Re %g, e/D %g",
                               re, e);
        }
}

/* With its ends a tube loses what the pressure gives, from laminar to turbulent. */
Test(valve, flow_of_a_tube_undoes_its_loss)
{
    const struct fluid water = water_fluid(20.0);
    for (double pressure = 1.0; pressure < 1e6; pressure *= 3.0)
        for (int i = 0; i < 4; i++) {
            const struct tube t = { 0.5 + 2.0 * i, 2e-3 + 3e-3 * i, 1.5 * (i % 2) };
            const double q = tube_flow(&t, pressure, &water);
            const double v = q / (M_PI / 4.0 * t.bore * t.bore);
            const double lost =
                tube_loss(t.length, t.bore, q, &water) + t.ends * water.density / 2.0 * v * v;
            cr_assert_float_eq(lost, pressure, 1e-9 * pressure, "tube %d at %g Pa", i, pressure);
            cr_assert_eq(tube_flow(&t, -pressure, &water), 0.0);
        }
}
