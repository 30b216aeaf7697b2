/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of models/restrictor.c: the three closed forms, the inverse, a kink, and a tube worked out
 * from turbulent friction.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/restrictor.h"
#include "models/water.h"
#include "tests/at.h"

static const double PI = 3.14159265358979;
static const double ML_MIN = 1e-6 / 60.0; /* m3/s */

static const struct restrictor PRESET = {
    .flow = 500e-6 / 60.0, .pressure = 413685.0, .exponent = 0.556, .viscosity_exponent = 0.113
};

Test(restrictor, passes_its_marked_flow_at_its_rating)
{
    const double flow = restrictor_flow(&PRESET, PRESET.pressure, AT(25.0), 1.0);
    cr_expect_float_eq(flow / PRESET.flow, 1.0, 1e-7, "%.12g", flow);
}

Test(restrictor, follows_the_laws_of_tube_and_orifice)
{
    const double mu = water_viscosity(5.0) / water_viscosity(25.0);
    struct restrictor r = PRESET;
    r.exponent = 1.0, r.viscosity_exponent = 1.0; /* laminar: flow as pressure over viscosity */
    cr_expect_float_eq(restrictor_flow(&r, 2.0 * r.pressure, AT(5.0), 1.0) / r.flow, 2.0 / mu,
                       1e-6);
    r.exponent = 4.0 / 7.0, r.viscosity_exponent = 1.0 / 7.0; /* turbulent and smooth: Blasius */
    cr_expect_float_eq(restrictor_flow(&r, 128.0 * r.pressure, AT(5.0), 1.0) / r.flow,
                       16.0 * pow(mu, -1.0 / 7.0), 1e-5);
    r.exponent = 0.5, r.viscosity_exponent = 0.0; /* orifice: no viscosity */
    cr_expect_float_eq(restrictor_flow(&r, 4.0 * r.pressure, AT(5.0), 1.0) / r.flow, 2.0, 1e-12);
}

Test(restrictor, keeps_flow_and_pressure_inverse)
{
    for (double n = 0.4; n < 1.1; n += 0.1)
        for (double p = 1e-3; p < 1e7; p *= 3.0)
            for (double t = 0.0; t <= 40.0; t += 10.0)
                for (double open = 0.01; open <= 1.0; open *= 2.5) {
                    struct restrictor r = PRESET;
                    r.exponent = n;
                    const double q = restrictor_flow(&r, p, AT(t), open);
                    cr_assert_float_eq(restrictor_pressure(&r, q, AT(t), open) / p, 1.0, 1e-11,
                                       "n %g, %g Pa, %g degC, open %g", n, p, t, open);
                }
}

Test(restrictor, passes_nothing_when_unpressed_or_shut)
{
    cr_expect_eq(restrictor_flow(&PRESET, 0.0, AT(20.0), 1.0), 0.0);
    cr_expect_eq(restrictor_flow(&PRESET, -1e5, AT(20.0), 1.0), 0.0);
    cr_expect_eq(restrictor_flow(&PRESET, 4e5, AT(20.0), 0.0), 0.0);
    cr_expect_eq(restrictor_pressure(&PRESET, 0.0, AT(20.0), 0.0), 0.0);
    cr_expect(isinf(restrictor_pressure(&PRESET, 1e-6, AT(20.0), 0.0)));
}

Test(restrictor, kink_takes_its_share_at_any_pressure)
{
    for (double p = 1e2; p < 1e6; p *= 2.0) {
        const double whole = restrictor_flow(&PRESET, p, AT(10.0), 1.0);
        const double half = restrictor_flow(&PRESET, p, AT(10.0), 0.5);
        cr_expect_float_eq(half / whole, 0.5, 1e-12);
    }
}

/* Flow of a tube of 0.8 mm by 0.15 m with f = 0.3164 Re^-0.25 and K = 1.5 at its ends. */
static double turbulent_tube(double pressure, double temperature)
{
    const double d = 0.8e-3, rho = water_density(temperature), mu = water_viscosity(temperature);
    double v = 5.0;
    for (int i = 0; i < 100; i++) {
        const double f = 0.3164 * pow(rho * v * d / mu, -0.25);
        v = sqrt(2.0 * pressure / (rho * (f * 0.15 / d + 1.5)));
    }
    return v * PI / 4.0 * d * d;
}

Test(restrictor, power_law_follows_a_turbulent_tube_within_one_percent)
{
    /* flows computed from the same tube elsewhere: they hold turbulent_tube to account */
    static const double computed[][3] = { { 207e3, 25, 215.5 }, { 276e3, 25, 252.9 },
                                          { 345e3, 25, 286.3 }, { 414e3, 25, 316.9 },
                                          { 552e3, 25, 371.8 }, { 345e3, 5, 269.5 },
                                          { 345e3, 10, 274.2 }, { 345e3, 15, 278.5 },
                                          { 345e3, 20, 282.6 }, { 345e3, 30, 289.9 } };
    struct restrictor r = PRESET;
    r.pressure = 345e3;
    r.flow = 286.3 * ML_MIN;
    for (size_t i = 0; i < sizeof computed / sizeof *computed; i++) {
        const double p = computed[i][0], t = computed[i][1], q = computed[i][2];
        cr_expect_float_eq(turbulent_tube(p, t) / ML_MIN / q, 1.0, 0.002, "%g Pa, %g degC", p, t);
        cr_expect_float_eq(restrictor_flow(&r, p, AT(t), 1.0) / ML_MIN / q, 1.0, 0.01,
                           "%g Pa, %g degC", p, t);
    }
    const double slope =
        log(turbulent_tube(552e3, 25.0) / turbulent_tube(207e3, 25.0)) / log(552.0 / 207.0);
    cr_expect_float_eq(slope, PRESET.exponent, 0.001, "%g", slope);
}
