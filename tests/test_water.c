/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of models/water.c: closed forms, limits, conservation and bounds over random compositions.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "models/water.h"

static double uniform(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(*seed >> 11) * 0x1p-53;
}

static double decades(uint64_t *seed, double low, double high)
{
    return low * pow(high / low, uniform(seed));
}

/* Any water from pure to brine, acid or alkaline, each ion there or not. */
static void random_water(uint64_t *seed, double c[SPECIES_COUNT])
{
    const double most = decades(seed, 1e-6, 300.0);

    for (int i = 0; i < SPECIES_COUNT; i++)
        c[i] = uniform(seed) < 0.3 ? 0.0 : most * uniform(seed);
}

/* A water whose strong ions balance but for what bicarbonate makes good. */
static void natural_water(uint64_t *seed, double strength, double c[SPECIES_COUNT])
{
    double anions = 0.0, cations = 0.0;

    memset(c, 0, SPECIES_COUNT * sizeof *c);
    for (int i = 0; i < EXCHANGED_COUNT; i++) {
        c[i] = strength * uniform(seed);
        if (i <= LAST_CATION)
            cations += species[i].charge * c[i];
        else if (i < SILICA)
            anions -= species[i].charge * c[i];
    }
    for (int i = CHLORIDE; i <= CARBON; i++)
        c[i] *= cations / anions;
    c[CARBON] *= 1.1;
}

static double relative(double got, double want)
{
    return fabs(got - want) / fabs(want);
}

static double charge_of(const double c[], const struct speciation *s)
{
    double sum = s->h - s->oh - s->hco3 - 2.0 * s->co3 - s->h3sio4 - s->nh3;

    for (int i = FIRST_CATION; i <= FLUORIDE; i++)
        sum += species[i].charge * c[i];
    return sum;
}

static double size_of(const double c[])
{
    double sum = 0.0;

    for (int i = 0; i < EXCHANGED_COUNT; i++)
        sum += fabs((double)species[i].charge) * c[i];
    return sum;
}

/* --- water itself ------------------------------------------------------------------------- */

Test(water, is_densest_at_four_degrees)
{
    double densest = 0.0;

    for (double t = 0.0; t < 10.0; t += 0.01)
        if (water_density(t) > water_density(densest))
            densest = t;
    cr_assert(fabs(densest - 3.98) < 0.05, "%g degC", densest);
}

Test(water, thins_and_evaporates_more_as_it_warms)
{
    for (double t = -5.0; t < 60.0; t += 0.5) {
        cr_assert(water_viscosity(t + 0.5) < water_viscosity(t), "%g degC", t);
        cr_assert(water_vapour_pressure(t + 0.5) > water_vapour_pressure(t), "%g degC", t);
        cr_assert(water_pure_conductivity(t + 0.5) > water_pure_conductivity(t), "%g degC", t);
    }
}

/* Clausius-Clapeyron: R T2 dlnp/dT is the heat of evaporation, 2501 - 2.381 t kJ/kg, but for the
 * vapour's departure from an ideal gas. */
Test(water, has_a_vapour_pressure_that_agrees_with_its_heat_of_evaporation)
{
    for (double t = 0.0; t <= 50.0; t += 5.0) {
        const double kelvin = t + 273.15;
        const double slope =
            log(water_vapour_pressure(t + 0.01) / water_vapour_pressure(t - 0.01)) / 0.02;
        const double heat = 8.314462618 / 18.015268e-3 * kelvin * kelvin * slope;
        cr_assert(relative(heat, 1e3 * (2501.0 - 2.381 * t)) < 0.008, "%g degC: %g J/kg", t, heat);
    }
}

Test(water, gives_the_table_diffusivity_at_25_and_follows_the_viscosity)
{
    for (int i = 0; i < SPECIES_COUNT; i++) {
        const enum species s = (enum species)i;
        cr_assert(relative(water_diffusivity(s, 25.0), species[i].diffusivity) < 1e-10, "%s",
                  species[i].key);
        const double a = water_diffusivity(s, 5.0) * water_viscosity(5.0) / 278.15;
        const double b = water_diffusivity(s, 40.0) * water_viscosity(40.0) / 313.15;
        cr_assert(relative(a, b) < 1e-12, "%s", species[i].key);
    }
}

Test(water, is_heavier_the_saltier_it_is_and_fresh_at_no_salt)
{
    for (double t = 0.0; t <= 40.0; t += 5.0) {
        cr_assert(fabs(water_sea_density(0.0, t) - water_density(t)) < 0.01, "%g degC", t);
        for (double s = 0.0; s < 42.0; s += 1.0)
            cr_assert(water_sea_density(s + 1.0, t) - water_sea_density(s, t) > 0.7, "%g, %g", s,
                      t);
    }
}

/* --- acids -------------------------------------------------------------------------------- */

Test(water, has_constants_that_carry_the_activity_coefficients)
{
    for (double t = 0.0; t <= 50.0; t += 10.0) {
        const struct equilibria zero = water_equilibria(t, 0.0);
        cr_assert_eq(zero.g1, 1.0);
        for (double i = 0.1; i < 400.0; i *= 3.0) {
            const struct equilibria k = water_equilibria(t, i);
            const double g = k.g1, g2 = g * g * g * g;
            cr_assert(g > 0.6 && g < 1.0, "g1 = %g at %g mol/m3", g, i);
            cr_assert(relative(k.kw * g * g, zero.kw) < 1e-14, "%g, %g", t, i);
            cr_assert(relative(k.k1 * g * g, zero.k1) < 1e-14, "%g, %g", t, i);
            cr_assert(relative(k.k2 * g2, zero.k2) < 1e-14, "%g, %g", t, i);
            cr_assert(relative(k.ksi * g * g, zero.ksi) < 1e-14, "%g, %g", t, i);
            cr_assert_eq(k.knh4, zero.knh4);
        }
    }
}

/* Davies at 25 degC: A = 0.5108, so that at 0.01 mol/L log g1 = -0.5108 (1/11 - 0.003). */
Test(water, has_activity_coefficients_after_davies)
{
    const double want = pow(10.0, -0.5108 * (1.0 / 11.0 - 0.003));

    cr_assert(relative(water_equilibria(25.0, 10.0).g1, want) < 1e-5);
    cr_assert_eq(water_equilibria(25.0, 500.0).g1, water_equilibria(25.0, 5e4).g1, "is not held");
}

Test(water, finds_the_closed_form_of_a_strong_acid_and_of_a_strong_base)
{
    const struct equilibria k = water_equilibria(25.0, 0.0);

    for (double acid = -100.0; acid <= 100.0; acid += 0.37) {
        const double root = sqrt(acid * acid + 4.0 * k.kw);
        const double h = acid > 0.0 ? 0.5 * (acid + root) : 2.0 * k.kw / (root - acid);
        cr_assert(relative(water_hydrogen(&k, -acid, 0.0, 0.0, 0.0), h) < 1e-13, "%g mol/m3", acid);
    }
}

/* Silicic acid alone: h = kw/h + S ksi/(h + ksi); with h as the parameter, S in closed form. */
Test(water, finds_the_closed_form_of_weak_acids_and_bases_alone)
{
    const struct equilibria k = water_equilibria(15.0, 2.0);
    const double neutral = sqrt(k.kw);

    for (double f = 1.001; f < 1e4; f *= 1.7) {
        const double acid = f * neutral, base = neutral / f;
        const double left = acid - k.kw / acid;
        const double silica = left * (acid + k.ksi) / k.ksi;
        const double d = acid * acid + k.k1 * acid + k.k1 * k.k2;
        const double carbon = left * d / (k.k1 * acid + 2.0 * k.k1 * k.k2);
        const double ammonia = (k.kw / base - base) * (base + k.knh4) / base;
        cr_assert(relative(water_hydrogen(&k, 0.0, 0.0, 0.0, silica), acid) < 1e-12, "Si, %g", f);
        cr_assert(relative(water_hydrogen(&k, 0.0, 0.0, carbon, 0.0), acid) < 1e-12, "C, %g", f);
        cr_assert(relative(water_hydrogen(&k, 0.0, ammonia, 0.0, 0.0), base) < 1e-12, "N, %g", f);
    }
}

static double left_over(const struct equilibria *k, double strong, const double weak[3], double h)
{
    return strong + h - k->kw / h + weak[0] * h / (h + k->knh4) -
           weak[1] * (k->k1 * h + 2.0 * k->k1 * k->k2) / (h * h + k->k1 * h + k->k1 * k->k2) -
           weak[2] * k->ksi / (h + k->ksi);
}

/* The slow and sure way. */
static double bisected(const struct equilibria *k, double strong, const double weak[3])
{
    double low = 1e-11 / k->g1, high = 1e3 / k->g1;

    for (int i = 0; i < 200; i++) {
        const double h = sqrt(low * high);
        *(left_over(k, strong, weak, h) > 0.0 ? &high : &low) = h;
    }
    return sqrt(low * high);
}

Test(water, finds_the_hydrogen_that_bisection_finds)
{
    uint64_t seed = 5;

    for (int n = 0; n < 20000; n++) {
        const struct equilibria k = water_equilibria(50.0 * uniform(&seed), 100.0 * uniform(&seed));
        double weak[3];
        for (int i = 0; i < 3; i++)
            weak[i] = uniform(&seed) < 0.3 ? 0.0 : decades(&seed, 1e-6, 1e3);
        const double sign = uniform(&seed) < 0.5 ? -1.0 : 1.0;
        const double strong = uniform(&seed) < 0.2   ? 0.0
                              : uniform(&seed) < 0.5 ? weak[1] * 2.0 * uniform(&seed)
                                                     : sign * decades(&seed, 1e-6, 1e3);
        const double h = water_hydrogen(&k, strong, weak[0], weak[1], weak[2]);
        const double want = bisected(&k, strong, weak);
        /* the sums cancel where there is much salt and little buffer */
        const double rounding =
            1e-15 * (fabs(strong) + weak[0] + 2.0 * weak[1] + weak[2]) /
            fabs(left_over(&k, strong, weak, 1.01 * want) - left_over(&k, strong, weak, want)) *
            0.01;
        cr_assert(relative(h, want) < 1e-12 + 10.0 * rounding, "%g %g %g %g: %.15g, not %.15g",
                  strong, weak[0], weak[1], weak[2], h, want);
    }
}

Test(water, turns_less_acid_the_more_strong_base_is_in_it)
{
    const struct equilibria k = water_equilibria(20.0, 5.0);
    double last = INFINITY;

    for (double strong = -20.0; strong < 20.0; strong += 0.01) {
        const double h = water_hydrogen(&k, strong, 0.1, 5.0, 0.2);
        cr_assert(h < last, "at %g", strong);
        last = h;
    }
}

Test(water, keeps_ph_within_0_and_14_and_all_finite_whatever_it_is_given)
{
    const double much[] = { 0.0, 1e-300, 1.0, 1e4, 1e9, 1e150 };
    const int values = sizeof much / sizeof *much;

    for (int n = 0; n < values * values * values; n++) {
        double c[SPECIES_COUNT] = { 0.0 };
        c[SODIUM] = much[n % values];
        c[SULFATE] = much[n / values % values];
        c[CARBON] = c[AMMONIUM] = much[n / values / values];
        for (double t = -10.0; t <= 70.0; t += 20.0) {
            const struct speciation s = water_speciate(c, t);
            cr_assert(s.ph >= -1e-9 && s.ph <= 14.0 + 1e-9, "pH %g", s.ph);
            cr_assert(isfinite(s.ionic_strength) && s.h > 0.0 && s.oh > 0.0);
            cr_assert(s.co2 >= 0.0 && s.hco3 >= 0.0 && s.co3 >= 0.0 && s.nh3 >= 0.0);
            const double kappa = water_conductivity(c, &s);
            cr_assert(isfinite(kappa) && kappa > 0.0, "%g S/m", kappa);
        }
    }
}

Test(water, is_electroneutral_and_keeps_its_totals_in_any_composition)
{
    uint64_t seed = 6;

    for (int n = 0; n < 20000; n++) {
        double c[SPECIES_COUNT];
        random_water(&seed, c);
        const double t = 50.0 * uniform(&seed);
        const struct speciation s = water_speciate(c, t);
        if (s.ph > 1e-6 && s.ph < 14.0 - 1e-6)
            cr_assert(fabs(charge_of(c, &s)) < 1e-12 * (size_of(c) + s.h + s.oh), "%g left of %g",
                      charge_of(c, &s), size_of(c));
        cr_assert(fabs(s.co2 + s.hco3 + s.co3 - c[CARBON]) <= 1e-14 * c[CARBON]);
        cr_assert(s.nh3 >= 0.0 && s.nh3 <= c[AMMONIUM] * (1.0 + 1e-15));
        cr_assert(s.h3sio4 >= 0.0 && s.h3sio4 <= c[SILICA] * (1.0 + 1e-15));
    }
}

Test(water, has_an_ionic_strength_and_forms_that_belong_together)
{
    uint64_t seed = 7;

    for (int n = 0; n < 20000; n++) {
        double c[SPECIES_COUNT];
        random_water(&seed, c);
        const double t = 50.0 * uniform(&seed);
        const struct speciation s = water_speciate(c, t);
        const struct equilibria k = water_equilibria(t, s.ionic_strength);
        double i = s.h + s.oh + s.hco3 + 4.0 * s.co3 + s.h3sio4 + c[AMMONIUM] - s.nh3;
        for (int j = FIRST_CATION; j <= FLUORIDE; j++)
            i += j == AMMONIUM ? 0.0 : species[j].charge * species[j].charge * c[j];
        cr_assert(relative(0.5 * i, s.ionic_strength) < 1e-12, "%g, not %g", 0.5 * i,
                  s.ionic_strength);
        cr_assert(relative(s.h * s.oh, k.kw) < 1e-8, "%d", n);
        cr_assert(fabs(s.h * s.hco3 - k.k1 * s.co2) <= 1e-8 * k.k1 * s.co2, "%d", n);
        cr_assert(fabs(s.h * s.co3 - k.k2 * s.hco3) <= 1e-8 * k.k2 * s.hco3, "%d", n);
        cr_assert(fabs(pow(10.0, -s.ph) * 1000.0 / (k.g1 * s.h) - 1.0) < 1e-8, "%d", n);
    }
}

/* No memory: the answer for a water does not depend on what was asked before. */
Test(water, answers_the_same_to_the_bit_whatever_was_asked_before)
{
    uint64_t seed = 8;

    for (int n = 0; n < 1000; n++) {
        double a[SPECIES_COUNT], b[SPECIES_COUNT];
        random_water(&seed, a);
        random_water(&seed, b);
        const struct speciation first = water_speciate(a, 12.0);
        (void)water_speciate(b, 33.0);
        const struct speciation again = water_speciate(a, 12.0);
        cr_assert(memcmp(&first, &again, sizeof first) == 0);
    }
}

/* --- conductivity ------------------------------------------------------------------------- */

/* Debye-Hueckel-Onsager of a single 1:1 salt, 25 degC (from memory: Robinson & Stokes). */
Test(water, conducts_a_single_salt_as_onsager_says)
{
    for (double c = 0.03; c <= 10.0; c *= 1.5) {
        double salt[SPECIES_COUNT] = { [SODIUM] = c, [CHLORIDE] = c };
        const struct speciation s = water_speciate(salt, 25.0);
        const double limit = 50.08 + 76.31;
        const double lambda = limit - (60.20 + 0.2289 * limit) * sqrt(1e-3 * c);
        const double pure = (349.65 * s.h + 198.0 * s.oh) * 1e-4;
        const double kappa = water_conductivity(salt, &s) - pure;
        cr_assert(relative(kappa, 1e-4 * lambda * c) < 1.2e-3, "%g mol/m3: %g", c, kappa);
    }
}

/* What interaction takes off two ions of any charge, S/m, by Onsager's law in its textbook form at
 * 25 degC (from memory: Robinson & Stokes, with the permittivity 78.54 and the viscosity
 * 0.008937 poise of that time; c in mol/L). */
struct pair {
    double z1, z2; /* charges, without sign */
    double l1, l2; /* S cm2/eq */
};

static double onsager_loss(const struct pair *p, double eq)
{
    const double eps_t = 78.54 * 298.15, poise = 8.937e-3;
    const double limit = p->l1 + p->l2;
    const double q = p->z1 * p->z2 * limit / ((p->z1 + p->z2) * (p->z1 * p->l2 + p->z2 * p->l1));
    const double relaxation =
        2.801e6 * p->z1 * p->z2 * q * limit / (eps_t * sqrt(eps_t) * (1.0 + sqrt(q)));
    const double drag = 41.25 * (p->z1 + p->z2) / (poise * sqrt(eps_t));

    return 1e-4 * eq * (relaxation + drag) * sqrt(0.5e-3 * eq * (p->z1 + p->z2));
}

Test(water, loses_to_interaction_what_onsagers_law_says_for_ions_of_any_charge)
{
    const struct pair pairs[] = {
        { 1, 2, 50.08, 80.0 }, { 2, 1, 59.47, 76.31 }, { 2, 2, 53.0, 80.0 }, { 1, 2, 73.48, 69.3 }
    };

    for (double eq = 0.01; eq <= 1.0; eq *= 2.0) {
        const double waters[][SPECIES_COUNT] = {
            { [SODIUM] = eq, [SULFATE] = 0.5 * eq },
            { [CALCIUM] = 0.5 * eq, [CHLORIDE] = eq },
            { [MAGNESIUM] = 0.5 * eq, [SULFATE] = 0.5 * eq },
            { [POTASSIUM] = eq }, /* its carbonate, all of it CO3 */
        };
        for (int i = 0; i < 4; i++) {
            const struct speciation s = { .h = 1e-12, .oh = 1e-12, .co3 = i == 3 ? 0.5 * eq : 0.0 };
            const double limit = 1e-4 * eq * (pairs[i].l1 + pairs[i].l2);
            const double loss = limit - water_conductivity_rossum(waters[i], &s);
            cr_assert(relative(loss, onsager_loss(&pairs[i], eq)) < 0.01, "pair %d, %g eq/m3: %g",
                      i, eq, loss / onsager_loss(&pairs[i], eq));
        }
    }
}

Test(water, conducts_the_limiting_sum_when_very_dilute)
{
    uint64_t seed = 9;

    for (int n = 0; n < 200; n++) {
        double c[SPECIES_COUNT], sum = 0.0;
        natural_water(&seed, 1e-6, c);
        const struct speciation s = water_speciate(c, 25.0);
        for (int i = FIRST_CATION; i <= FLUORIDE; i++)
            sum += species[i].conductance * fabs((double)species[i].charge) * c[i];
        sum += 349.65e-4 * s.h + 198e-4 * s.oh + 44.5e-4 * s.hco3 + 2.0 * 69.3e-4 * s.co3 +
               35e-4 * s.h3sio4 - 73.5e-4 * s.nh3;
        cr_assert(relative(water_conductivity(c, &s), sum) < 1e-3, "%g, not %g",
                  water_conductivity(c, &s), sum);
    }
}

Test(water, conducts_less_than_the_limiting_sum_and_more_the_stronger_it_is)
{
    uint64_t seed = 10;

    for (int n = 0; n < 100; n++) {
        double base[SPECIES_COUNT], last = 0.0;
        natural_water(&seed, 1.0, base);
        for (double strength = 1e-4; strength < 3e3; strength *= 1.3) {
            double c[SPECIES_COUNT];
            for (int i = 0; i < SPECIES_COUNT; i++)
                c[i] = strength * base[i];
            const struct speciation s = water_speciate(c, 25.0);
            const double kappa = water_conductivity(c, &s);
            cr_assert(kappa > last, "falls at strength %g of water %d", strength, n);
            last = kappa;
        }
    }
}

Test(water, goes_from_one_mixture_rule_to_the_other_with_hardness)
{
    for (double hard = 0.0; hard <= 1.0; hard += 0.05) {
        double c[SPECIES_COUNT] = { [SODIUM] = 4.0 * (1.0 - hard),
                                    [CALCIUM] = 2.0 * 0.7 * hard,
                                    [MAGNESIUM] = 2.0 * 0.3 * hard,
                                    [CHLORIDE] = 4.0 };
        const struct speciation s = water_speciate(c, 25.0);
        const double rossum = water_conductivity_rossum(c, &s);
        const double simple = water_conductivity_2510(c, &s);
        const double share = 4.0 * hard / (4.0 + s.h);
        const double want = (1.0 - share) * rossum + share * simple;
        cr_assert(relative(water_conductivity(c, &s), want) < 1e-13, "share %g", hard);
    }
}

/* --- osmosis ------------------------------------------------------------------------------ */

Test(water, counts_ions_and_not_what_passes_a_membrane)
{
    double c[SPECIES_COUNT] = { [SODIUM] = 3.0, [CHLORIDE] = 3.0 };
    struct speciation s = water_speciate(c, 25.0);

    cr_assert(relative(water_osmolarity(c, &s), 6.0 + s.h + s.oh) < 1e-15);
    c[CARBON] = 5.0;
    c[SILICA] = 0.3;
    c[CHLORINE] = c[CHLORAMINE] = c[SOLIDS] = c[SALT] = 1.0;
    s = water_speciate(c, 25.0);
    cr_assert(relative(water_osmolarity(c, &s), 6.0 + 2.0 * s.h) < 1e-7, "%g",
              water_osmolarity(c, &s));
}

Test(water, follows_vant_hoff_when_dilute_and_falls_below_it_when_not)
{
    const double rt = 8.314462618 * 298.15;

    cr_assert_eq(water_osmotic_pressure(0.0, 25.0), 0.0);
    cr_assert(relative(water_osmotic_pressure(1e-6, 25.0), 1e-6 * rt) < 1e-4);
    for (double c = 0.01; c < 500.0; c *= 1.5)
        cr_assert(water_osmotic_pressure(c, 25.0) < c * rt, "%g mol/m3", c);
}

Test(water, has_an_osmotic_pressure_that_grows_with_salt_and_with_warmth)
{
    for (double c = 0.01; c < 1e4; c *= 1.3) {
        cr_assert(water_osmotic_pressure(1.3 * c, 15.0) > 1.2 * water_osmotic_pressure(c, 15.0),
                  "%g mol/m3", c);
        cr_assert(relative(water_osmotic_pressure(c, 40.0) / water_osmotic_pressure(c, 10.0),
                           313.15 / 283.15) < 0.003,
                  "%g mol/m3", c);
    }
    cr_assert(isfinite(water_osmotic_pressure(1e6, 25.0)));
}

/* --- meters ------------------------------------------------------------------------------- */

Test(water, shows_on_a_meter_what_rounding_leaves)
{
    const struct meter meter = { .factor = 5.0, .resolution = 1e-3 };
    const struct meter exact = { .factor = 7.0, .resolution = 0.0 };

    cr_assert_eq(water_meter(&meter, 0.99e-4), 0.0);
    cr_assert_float_eq(water_meter(&meter, 1.01e-4), 1e-3, 1e-18);
    cr_assert_float_eq(water_meter(&meter, 490e-4), 0.245, 1e-15);
    cr_assert_float_eq(water_meter(&exact, 1.2345e-4), 7.0 * 1.2345e-4, 1e-18);
}

Test(water, shows_on_a_compensated_meter_the_same_at_25)
{
    cr_assert_eq(water_meter_compensated(0.05, 25.0, 0.02), 0.05);
    cr_assert_float_eq(water_meter_compensated(0.04, 15.0, 0.02), 0.05, 1e-16);
}
