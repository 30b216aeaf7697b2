/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * models/scaling.c: saturation by hand, what is above it, how polarization and recovery raise it,
 * bounds over random waters.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "models/scaling.h"

static double uniform(uint64_t *seed, double low, double high)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(*seed >> 11) * 0x1p-53;
}

/* Any natural water, neutral within what carbon makes up for. */
static double any_water(uint64_t *seed, double c[SPECIES_COUNT])
{
    double strong = 0.0;
    memset(c, 0, SPECIES_COUNT * sizeof *c);
    for (int i = FIRST_CATION; i <= FLUORIDE; i++) {
        c[i] = exp(uniform(seed, log(1e-3), log(5.0)));
        strong += species[i].charge * c[i];
    }
    if (strong < 0.0)
        c[SODIUM] -= strong;
    c[CARBON] = fabs(strong) * uniform(seed, 1.01, 1.5);
    c[SILICA] = uniform(seed, 0.0, 3.0);
    return uniform(seed, 1.0, 40.0);
}

static double calcite(const double c[], double temperature)
{
    const struct speciation s = water_speciate(c, temperature);
    return scaling_calcite(c, &s, temperature);
}

Test(scaling, index_of_calcite_is_that_of_the_activities)
{
    const double c[SPECIES_COUNT] = {
        [SODIUM] = 1.0, [CALCIUM] = 2.0, [CHLORIDE] = 1.5, [CARBON] = 3.7
    };
    const struct speciation s = water_speciate(c, 25.0);
    const double i = 1e-3 * s.ionic_strength;
    const double lg = -4.0 * 0.511 * (sqrt(i) / (1.0 + sqrt(i)) - 0.3 * i); /* Davies, z = 2 */
    const double by_hand = 2.0 * lg + log10(2.0e-3 * 1e-3 * s.co3) + 8.480;
    cr_expect_float_eq(scaling_calcite(c, &s, 25.0), by_hand, 0.002, "%g against %g",
                       scaling_calcite(c, &s, 25.0), by_hand);
}

Test(scaling, indices_are_finite_for_any_water)
{
    uint64_t seed = 3;
    for (int n = 0; n < 2000; n++) {
        double c[SPECIES_COUNT];
        const double t = any_water(&seed, c);
        const bool without = n % 3 == 0;
        if (without)
            c[CALCIUM] = c[SULFATE] = c[SILICA] = 0.0;
        const struct speciation s = water_speciate(c, t);
        const double at[] = { scaling_calcite(c, &s, t), scaling_gypsum(c, &s, t),
                              scaling_silica(c, &s, t) };
        for (int k = 0; k < 3; k++)
            cr_assert(isfinite(at[k]) && (!without || at[k] < -20.0), "water %d, index %d: %g", n,
                      k, at[k]);
    }
}

Test(scaling, pure_water_is_far_below_saturation)
{
    const double c[SPECIES_COUNT] = { 0 };
    const struct speciation s = water_speciate(c, 25.0);
    cr_expect_lt(scaling_calcite(c, &s, 25.0), -20.0);
    cr_expect_lt(scaling_gypsum(c, &s, 25.0), -20.0);
    cr_expect_lt(scaling_silica(c, &s, 25.0), -20.0);
    cr_expect_eq(scaling_excess(c, 25.0), 0.0);
}

Test(scaling, pairs_lower_the_index_of_gypsum_and_stay_below_what_there_is)
{
    uint64_t seed = 5;
    for (int n = 0; n < 500; n++) {
        double c[SPECIES_COUNT];
        const double t = any_water(&seed, c);
        const struct speciation s = water_speciate(c, t);
        const double g1 = water_equilibria(t, s.ionic_strength).g1;
        const double alone =
            log10(pow(g1, 8.0) * c[CALCIUM] * c[SULFATE] * 1e-6) - scaling_gypsum_constant(t);
        const double paired = scaling_gypsum(c, &s, t);
        cr_assert(paired < alone && paired > alone - 1.0, "water %d: %g, %g", n, paired, alone);
    }
    /* so strong that most is paired: still finite and growing */
    double before = -INFINITY;
    for (double m = 1.0; m < 3000.0; m *= 1.5) {
        const double c[SPECIES_COUNT] = { [CALCIUM] = m, [SULFATE] = m };
        const struct speciation s = water_speciate(c, 25.0);
        const double index = scaling_gypsum(c, &s, 25.0);
        cr_assert(index > before && isfinite(index), "%g mol/m3: %g after %g", m, index, before);
        before = index;
    }
}

Test(scaling, what_is_above_saturation_brings_the_water_down_to_it)
{
    uint64_t seed = 7;
    int above = 0;
    for (int n = 0; n < 500; n++) {
        double c[SPECIES_COUNT];
        const double t = any_water(&seed, c), more = uniform(&seed, 0.0, 4.0);
        c[CALCIUM] += more;
        c[CARBON] += 2.05 * more;
        const double index = calcite(c, t), x = scaling_excess(c, t);
        cr_assert(x >= 0.0 && x <= c[CALCIUM] && x <= c[CARBON], "water %d: %g", n, x);
        cr_assert_eq(x > 0.0, index > 0.0, "water %d: index %g, %g", n, index, x);
        if (x <= 0.0)
            continue;
        above++;
        c[CALCIUM] -= x;
        c[CARBON] -= x;
        cr_assert_float_eq(calcite(c, t), 0.0, 1e-4, "water %d: %g", n, calcite(c, t));
    }
    cr_assert_gt(above, 50);
}

Test(scaling, wall_has_the_gases_of_the_bulk)
{
    /* carbon as the only buffer, pH below 7.3: above, carbonate is as much as CO2 and they react */
    uint64_t seed = 9;
    for (int n = 0; n < 300; n++) {
        const double t = uniform(&seed, 1.0, 40.0), hco3 = uniform(&seed, 0.5, 5.0);
        const double c[SPECIES_COUNT] = { [SODIUM] = 1.0,
                                          [CALCIUM] = 0.5 * hco3,
                                          [CHLORIDE] = 1.0,
                                          [CARBON] = hco3 * uniform(&seed, 1.15, 2.0) };
        double wall[SPECIES_COUNT];
        const struct speciation s = water_speciate(c, t);
        scaling_wall(c, &s, 1.0, wall);
        for (int i = 0; i < SPECIES_COUNT; i++)
            cr_assert_float_eq(wall[i], c[i], 1e-14 * (1.0 + c[i]), "%s", species[i].key);
        scaling_wall(c, &s, 1.6, wall);
        const struct speciation at = water_speciate(wall, t);
        cr_assert_eq(wall[CALCIUM], 1.6 * c[CALCIUM]);
        cr_assert_float_eq(at.co2 / s.co2, 1.0, 0.05, "water %d, pH %g: %g", n, s.ph,
                           at.co2 / s.co2);
        cr_assert_float_eq(at.hco3 / s.hco3, 1.6, 0.05, "water %d: %g", n, at.hco3 / s.hco3);
    }
}

Test(scaling, calcite_goes_with_the_cube_of_polarization)
{
    /* [CO3] = K [HCO3]2/[CO2] with CO2 as it was, times [Ca]; activities take some of it back */
    const double c[SPECIES_COUNT] = {
        [SODIUM] = 0.5, [CALCIUM] = 1.5, [CHLORIDE] = 0.8, [CARBON] = 2.9
    };
    double wall[SPECIES_COUNT];
    const struct speciation s = water_speciate(c, 15.0);
    scaling_wall(c, &s, 1.5, wall);
    const double power = (calcite(wall, 15.0) - calcite(c, 15.0)) / log10(1.5);
    cr_expect(power > 2.7 && power < 3.0, "power %g", power);
}

Test(scaling, warmer_water_is_nearer_to_calcite_and_farther_from_silica)
{
    const double c[SPECIES_COUNT] = {
        [SODIUM] = 0.5, [CALCIUM] = 1.5, [CHLORIDE] = 0.8, [CARBON] = 2.9, [SILICA] = 0.3
    };
    double before = -INFINITY, silica = INFINITY;
    for (double t = 0.0; t <= 45.0; t += 5.0) {
        const struct speciation s = water_speciate(c, t);
        cr_expect_gt(scaling_calcite(c, &s, t), before, "%g degC", t);
        cr_expect_lt(scaling_silica(c, &s, t), silica, "%g degC", t);
        before = scaling_calcite(c, &s, t);
        silica = scaling_silica(c, &s, t);
    }
}

Test(scaling, trade_indices_move_as_they_must)
{
    /* rise with recovery: 2.9 log10 CF where pH goes with log10 alkalinity */
    const double at_feed = scaling_lsi(0.3, 3.0, 2.4, 7.6, 25.0);
    for (double cf = 1.25; cf < 5.0; cf *= 1.3) {
        const double rise =
            scaling_lsi(0.3 * cf, 3.0 * cf, 2.4 * cf, 7.6 + log10(cf), 25.0) - at_feed;
        cr_expect_float_eq(rise, 2.9 * log10(cf), 1e-12, "CF %g", cf);
    }
    cr_expect_float_eq(scaling_ryznar(7.2, 7.2), 7.2, 1e-12);
    cr_expect(isfinite(scaling_lsi(0.0, 0.0, 0.0, 7.0, 25.0)));
}

/* Silica that has given off a proton does not settle: of two waters with as much the alkaline one
 * is farther from it by just that share. */
Test(scaling, only_neutral_silica_counts)
{
    const double soft[SPECIES_COUNT] = { [SODIUM] = 0.5, [CHLORIDE] = 0.5, [SILICA] = 0.3 };
    const double alkaline[SPECIES_COUNT] = { [SODIUM] = 1.1, [CHLORIDE] = 0.5, [SILICA] = 0.3 };
    const struct speciation s = water_speciate(soft, 25.0), a = water_speciate(alkaline, 25.0);
    const double share = a.h3sio4 / alkaline[SILICA];
    cr_assert_gt(share, 0.3, "pH is to be high enough: %g", share);
    cr_assert_lt(s.h3sio4, 0.01 * soft[SILICA]);
    cr_assert_float_eq(scaling_silica(alkaline, &a, 25.0) - scaling_silica(soft, &s, 25.0),
                       log10((1.0 - share) / (1.0 - s.h3sio4 / soft[SILICA])), 1e-9);
}
