/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * valve: friction factors and tube loss against published values.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/valve.h"
#include "models/water.h"
#include "tests/at.h"

/* Colebrook 1939 and Swamee & Jain 1976 at Re 1e5, e/D 1e-4: doc-strings of the general
 * fluid-dynamics library `fluids` 1.0.22, read. */
Test(published_valve, friction_factors_of_the_library_example)
{
    cr_assert_float_eq(friction_colebrook(1e5, 1e-4), 0.018513866077471, 1e-9);
    cr_assert_float_eq(friction_swamee_jain(1e5, 1e-4) / 0.018452424431902, 1.0, 1e-4);
}

/* Computed from both formulas; the smooth values agree with the Moody chart's 0.0309, 0.0180,
 * 0.0116 (from memory). */
Test(published_valve, friction_factor_table)
{
    static const double rows[][4] = {
        { 1e4, 0.0, 0.03088, 0.03097 },  { 1e5, 0.0, 0.01799, 0.01786 },
        { 1e6, 0.0, 0.01165, 0.01161 },  { 1e5, 1e-3, 0.02217, 0.02234 },
        { 1e6, 1e-3, 0.01994, 0.02003 }, { 1e5, 1e-2, 0.03850, 0.03875 },
        { 1e7, 1e-4, 0.01217, 0.01221 },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const double *r = rows[i];
        cr_assert_float_eq(friction_colebrook(r[0], r[1]), r[2], 6e-6, "row %zu", i);
        cr_assert_float_eq(friction_swamee_jain(r[0], r[1]), r[3], 6e-6, "row %zu", i);
        cr_assert_float_eq(r[3] / r[2], 1.0, 0.01, "row %zu", i);
    }
}

/* 200 mL/min in a tube of 4.32 mm at 20 degC: Re 979, 0.391 kPa/m; Hagen and Poiseuille, computed.
 */
Test(published_valve, product_tube_at_two_hundred_millilitres_a_minute)
{
    const double q = 0.2e-3 / 60.0, bore = 0.00432;
    const double re = 4.0 * q * water_density(20.0) / (M_PI * bore * water_viscosity(20.0));
    cr_assert_float_eq(re, 979.0, 1.0);
    cr_assert_float_eq(tube_loss(1.0, bore, q, AT(20.0)), 391.0, 1.0);
}

/* Sharp-edged orifice Cd 0.60 to 0.62 (Midoux, Mecanique et rheologie des fluides en genie
 * chimique, p. 51, read in quotation: 0.6; 0.62 from memory): the effective coefficient lies in
 * that range. */
Test(published_valve, float_valve_seat_is_a_sharp_edged_orifice)
{
    const struct float_valve v = { .shuts_at = 0.5, .band = 0.02, .seat = 0.003 };
    const double area = M_PI * v.seat * v.seat / 4.0;
    const double cd = float_valve_flow(&v, 1.0, 5e5, AT(20.0)) / (area * sqrt(2.0 * 5e5 / 998.2));
    cr_assert(cd > 0.599 && cd < 0.621, "Cd %g", cd);
}
