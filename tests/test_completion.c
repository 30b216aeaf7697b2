/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of sim/completion.c: the completed water is neutral, gives back what was given, keeps
 * single ions, and odd input neither crashes nor leaves a number that is none.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "models/water.h"
#include "sim/completion.h"

static struct analysis blank(void)
{
    struct analysis a;

    for (int i = 0; i < SPECIES_COUNT; i++)
        a.ion[i] = NAN;
    a.bicarbonate = a.carbon_dioxide = a.hardness = a.alkalinity = NAN;
    a.ph = a.temperature = a.conductivity = a.dissolved = NAN;
    a.close_by_sodium = false;
    return a;
}

/* A small generator of our own: the same numbers everywhere. */
static double uniform(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (double)(*state >> 11) / 9007199254740992.0;
}

static double between(uint64_t *state, double low, double high)
{
    return low + (high - low) * uniform(state);
}

/* Charge that is left over, relative to all charge. */
static double unbalance(const struct completion *w, double temperature)
{
    const struct speciation s = water_speciate(w->c, temperature);
    double cations = s.h - s.nh3, anions = s.oh + s.hco3 + 2.0 * s.co3 + s.h3sio4;

    for (int i = 0; i <= FLUORIDE; i++) {
        const double charge = w->c[i] * species[i].charge;
        cations += fmax(charge, 0.0);
        anions += fmax(-charge, 0.0);
    }
    return fabs(cations - anions) / (cations + anions);
}

static bool assumed(const struct completion *w, const char *key)
{
    for (int i = 0; i < w->assumptions; i++)
        if (strcmp(w->assumed[i].key, key) == 0)
            return true;
    return false;
}

static void expect_finite(const struct completion *w, const char *what, int round)
{
    for (int i = 0; i < SPECIES_COUNT; i++)
        cr_assert(isfinite(w->c[i]) && w->c[i] >= 0.0, "%s, round %d: %s is %g", what, round,
                  species[i].key, w->c[i]);
    cr_assert(isfinite(w->ph) && isfinite(w->conductivity) && isfinite(w->conductivity_least),
              "%s %d", what, round);
    cr_assert(
        w->co2_low >= 0.0 && w->co2_low <= w->co2 && w->co2 <= w->co2_high && isfinite(w->co2_high),
        "%s, round %d: CO2 %g between %g and %g", what, round, w->co2, w->co2_low, w->co2_high);
    cr_assert(w->assumptions >= 0 && w->assumptions <= ASSUMED_MAX);
    for (int i = 0; i < w->assumptions; i++)
        cr_assert(isfinite(w->assumed[i].value) && w->assumed[i].key && w->assumed[i].why &&
                      w->assumed[i].unit,
                  "%s, round %d, row %d", what, round, i);
}

Test(completion, a_meter_reading_is_met_by_a_neutral_water)
{
    static const double reading[] = { 2e-4,   10e-4,  50e-4,   100e-4,  199e-4, 201e-4,
                                      490e-4, 900e-4, 2000e-4, 5000e-4, 0.1e-4 };

    for (size_t i = 0; i < sizeof reading / sizeof *reading; i++) {
        struct analysis a = blank();
        struct completion w;
        a.conductivity = reading[i];
        cr_assert_eq(completion_make(&a, &w), COMPLETION_FINE, "%g", reading[i]);
        cr_assert_float_eq(w.conductivity / reading[i], 1.0, 1e-6, "%g", reading[i]);
        cr_assert_lt(unbalance(&w, 25.0), 1e-12, "%g", reading[i]);
        cr_assert_float_eq(w.ph, 7.5, 1e-6);
        cr_assert(assumed(&w, "ph") && assumed(&w, "alkalinity") && assumed(&w, "calcium"));
    }
}

Test(completion, gives_back_hardness_alkalinity_ph_and_conductivity)
{
    uint64_t seed = 1;

    for (int i = 0; i < 400; i++) {
        struct analysis a = blank();
        struct completion w;
        a.hardness = i % 7 == 0 ? 0.0 : between(&seed, 0.01, 11.0);
        a.alkalinity = between(&seed, 0.02, 6.0);
        a.ph = between(&seed, 5.0, 9.0);
        a.temperature = between(&seed, 2.0, 30.0);
        a.conductivity = between(&seed, 1.6e-2, 5e-2) * fmax(a.hardness, a.alkalinity);
        cr_assert_eq(completion_make(&a, &w), COMPLETION_FINE, "round %d", i);
        expect_finite(&w, "full", i);
        const double alkalinity = w.c[SODIUM] + w.c[POTASSIUM] + 2.0 * w.c[CALCIUM] +
                                  2.0 * w.c[MAGNESIUM] + w.c[AMMONIUM] - w.c[CHLORIDE] -
                                  2.0 * w.c[SULFATE] - w.c[NITRATE] - w.c[FLUORIDE];
        cr_assert_float_eq(w.ph, a.ph, 1e-6, "round %d: pH %.9g for %.9g", i, w.ph, a.ph);
        cr_assert_float_eq(w.conductivity / a.conductivity, 1.0, 1e-6, "round %d", i);
        cr_assert_float_eq(2.0 * (w.c[CALCIUM] + w.c[MAGNESIUM]), a.hardness,
                           1e-12 + 1e-12 * a.hardness);
        cr_assert_float_eq(alkalinity, a.alkalinity, 1e-12 * (a.hardness + a.conductivity * 200.0));
        cr_assert_lt(unbalance(&w, a.temperature), 1e-12, "round %d: %g", i,
                     unbalance(&w, a.temperature));
    }
}

Test(completion, gives_back_dissolved_solids)
{
    struct analysis a = blank();
    struct completion w;

    a.dissolved = 3.0;
    a.hardness = 8.0;
    a.alkalinity = 5.0;
    cr_assert_eq(completion_make(&a, &w), COMPLETION_FINE);
    const struct speciation s = water_speciate(w.c, 25.0);
    double mass = w.c[SILICA] * species[SILICA].molar_mass + (0.5 * s.hco3 + s.co3) * 60.0089e-3;
    for (int i = 0; i <= FLUORIDE; i++)
        mass += w.c[i] * species[i].molar_mass;
    cr_assert_float_eq(mass, 3.0, 1e-9, "%.12g", mass);
}

Test(completion, a_composition_is_copied_to_the_bit)
{
    uint64_t seed = 2;

    for (int i = 0; i < 200; i++) {
        struct analysis a = blank();
        struct completion w;
        for (int s = 0; s < SPECIES_COUNT; s++)
            a.ion[s] = between(&seed, 0.0, 3.0);
        if (i % 2)
            a.temperature = 12.0;
        cr_assert_eq(completion_make(&a, &w), COMPLETION_FINE);
        cr_assert_arr_eq(w.c, a.ion, sizeof w.c, "round %d", i);
        cr_assert_eq(w.assumptions, 0);
    }
}

Test(completion, a_completed_water_passes_through_again)
{
    struct analysis a = blank(), b = blank();
    struct completion first, second;

    a.conductivity = 490e-4;
    a.hardness = 3.0;
    completion_make(&a, &first);
    memcpy(b.ion, first.c, sizeof b.ion);
    completion_make(&b, &second);
    cr_assert_arr_eq(second.c, first.c, sizeof first.c);
    cr_assert_eq(second.ph, first.ph);
    cr_assert_eq(second.conductivity, first.conductivity);
}

Test(completion, keeps_single_ions_and_scales_the_rest)
{
    static const enum species ion[] = { SODIUM,   POTASSIUM, CALCIUM, MAGNESIUM, AMMONIUM,
                                        CHLORIDE, SULFATE,   NITRATE, FLUORIDE,  SILICA };

    for (size_t i = 0; i < sizeof ion / sizeof *ion; i++) {
        struct analysis a = blank();
        struct completion w;
        a.conductivity = 600e-4;
        a.ion[ion[i]] = 0.37;
        cr_assert_eq(completion_make(&a, &w), COMPLETION_FINE);
        cr_assert_eq(w.c[ion[i]], 0.37, "%s", species[ion[i]].key);
        cr_assert_not(assumed(&w, species[ion[i]].key));
        cr_assert_float_eq(w.conductivity, 600e-4, 6e-8);
        cr_assert_lt(unbalance(&w, 25.0), 1e-12);
    }
}

Test(completion, reports_the_least_conductivity_of_a_contradiction)
{
    struct analysis a = blank();
    struct completion w, at_least;

    a.hardness = 3.0;
    a.alkalinity = 2.0;
    a.ph = 7.6;
    a.conductivity = 200e-4;
    cr_assert_eq(completion_make(&a, &w), COMPLETION_CONTRADICTS);
    cr_assert_eq(w.conductivity, w.conductivity_least);
    cr_assert_gt(w.conductivity_least, a.conductivity);
    cr_assert(assumed(&w, "conductivity"));

    a.conductivity = w.conductivity_least * 1.0001; /* fluoride and silica shift with it a little */
    cr_assert_neq(completion_make(&a, &at_least), COMPLETION_NOTHING);
    a.conductivity = w.conductivity_least * 1.05;
    cr_assert_eq(completion_make(&a, &at_least), COMPLETION_FINE);
    cr_assert_float_eq(at_least.conductivity / a.conductivity, 1.0, 1e-6);
}

/* An analysis of 5 eq/m3 cations, whose anions are `factor` times that. */
static struct analysis unbalanced(double factor)
{
    struct analysis a = blank();

    a.ion[CALCIUM] = 1.5;
    a.ion[MAGNESIUM] = 0.5;
    a.ion[SODIUM] = 1.0;
    a.ion[POTASSIUM] = 0.0;
    a.alkalinity = 2.0 * factor;
    a.ion[CHLORIDE] = 2.0 * factor;
    a.ion[SULFATE] = 0.5 * factor;
    a.ion[NITRATE] = a.ion[FLUORIDE] = 0.0;
    a.ph = 7.5;
    return a;
}

Test(completion, warns_above_five_and_refuses_above_twenty_percent)
{
    static const struct {
        double balance;
        enum completion_outcome outcome;
    } at[] = { { 4.9, COMPLETION_FINE },         { 5.1, COMPLETION_UNBALANCED },
               { -4.9, COMPLETION_FINE },        { -5.1, COMPLETION_UNBALANCED },
               { 19.9, COMPLETION_UNBALANCED },  { 20.1, COMPLETION_REFUSED },
               { -19.9, COMPLETION_UNBALANCED }, { -20.1, COMPLETION_REFUSED } };

    for (size_t i = 0; i < sizeof at / sizeof *at; i++) {
        const double b = at[i].balance / 100.0; /* b = (1 - f)/(1 + f) */
        struct analysis a = unbalanced((1.0 - b) / (1.0 + b));
        struct completion w;
        cr_assert_eq(completion_make(&a, &w), at[i].outcome, "%g %%", at[i].balance);
        cr_assert_float_eq(w.balance, at[i].balance, 1e-9, "%g", w.balance);
        cr_assert_lt(unbalance(&w, 25.0), 1e-12);
        cr_assert_float_eq(w.ph, 7.5, 1e-6);
        cr_assert(assumed(&w, b > 0.0 ? "chloride" : "sodium"));
        cr_assert_eq(b > 0.0 ? w.c[SODIUM] : w.c[CHLORIDE],
                     b > 0.0 ? a.ion[SODIUM] : a.ion[CHLORIDE]);
        a.close_by_sodium = true;
        cr_assert_neq(completion_make(&a, &w), COMPLETION_REFUSED);
    }
}

Test(completion, two_measures_of_carbonate_give_the_same_water_as_ph_and_alkalinity)
{
    struct analysis a = blank();
    struct completion whole, part;

    a.hardness = 3.0;
    a.alkalinity = 2.4;
    a.ph = 7.2;
    a.conductivity = 480e-4;
    completion_make(&a, &whole);
    const struct speciation s = water_speciate(whole.c, 25.0);
    for (int way = 0; way < 7; way++) {
        struct analysis b = a;
        if (way <= 3)
            b.alkalinity = NAN;
        if (way >= 3)
            b.ph = NAN;
        if (way == 0 || way == 3 || way == 6)
            b.bicarbonate = way == 6 ? NAN : s.hco3;
        if (way == 1 || way == 3 || way == 4)
            b.carbon_dioxide = s.co2;
        if (way == 2 || way == 5)
            b.ion[CARBON] = whole.c[CARBON];
        if (way == 6) {
            b.alkalinity = NAN;
            b.ion[CARBON] = whole.c[CARBON];
            b.carbon_dioxide = s.co2;
        }
        cr_assert_eq(completion_make(&b, &part), COMPLETION_FINE, "way %d", way);
        cr_assert_float_eq(part.ph, 7.2, 1e-6, "way %d: pH %.9g", way, part.ph);
        for (int i = 0; i <= SILICA; i++)
            cr_assert_float_eq(part.c[i], whole.c[i], 1e-6, "way %d: %s %g for %g", way,
                               species[i].key, part.c[i], whole.c[i]);
    }
}

Test(completion, carbon_and_all_ions_give_the_ph)
{
    struct analysis a = blank(), b = blank();
    struct completion whole, part;

    a.conductivity = 490e-4;
    a.ph = 7.9;
    completion_make(&a, &whole);
    memcpy(b.ion, whole.c, sizeof b.ion);
    b.conductivity = 490e-4; /* so that it is an analysis, not a composition */
    cr_assert_eq(completion_make(&b, &part), COMPLETION_FINE);
    cr_assert_float_eq(part.ph, 7.9, 1e-6);
    for (int i = 0; i <= SILICA; i++)
        cr_assert_float_eq(part.c[i], whole.c[i], 1e-9, "%s", species[i].key);
}

Test(completion, acid_water_without_alkalinity_has_carbon_dioxide_of_a_natural_water)
{
    for (double ph = 4.0; ph < 6.01; ph += 0.25) {
        struct analysis a = blank();
        struct completion w;
        a.conductivity = 150e-4;
        a.ph = ph;
        if (ph < 4.5)
            a.alkalinity = 0.0;
        cr_assert_eq(completion_make(&a, &w), COMPLETION_FINE, "pH %g", ph);
        cr_assert_float_eq(w.ph, ph, 1e-6, "pH %g", ph);
        cr_assert_float_eq(w.conductivity, 150e-4, 1.5e-8);
        cr_assert_leq(w.co2, 1.0 + 1e-9, "pH %g: %g", ph, w.co2);
        cr_assert_gt(w.co2, 0.1, "pH %g: %g", ph, w.co2);
        cr_assert_lt(unbalance(&w, 25.0), 1e-12);
    }
}

Test(completion, three_tenths_of_ph_double_or_halve_carbon_dioxide)
{
    struct analysis a = blank();
    struct completion w;

    a.hardness = a.alkalinity = 2.0;
    a.ph = 7.2;
    completion_make(&a, &w);
    cr_assert_float_eq(w.co2_high / w.co2, 1.995, 0.02, "%g", w.co2_high / w.co2);
    cr_assert_float_eq(w.co2 / w.co2_low, 1.995, 0.02, "%g", w.co2 / w.co2_low);
}

Test(completion, says_when_nothing_was_given)
{
    struct analysis a = blank();
    struct completion w;

    cr_assert_eq(completion_make(&a, &w), COMPLETION_NOTHING);
    expect_finite(&w, "nothing", 0);
    a.ph = 7.0;
    a.ion[SILICA] = 0.1;
    cr_assert_eq(completion_make(&a, &w), COMPLETION_NOTHING);
    a.hardness = 2.0;
    cr_assert_eq(completion_make(&a, &w), COMPLETION_FINE);
}

Test(completion, more_conductivity_is_more_of_everything_that_is_free)
{
    double before[SPECIES_COUNT] = { 0.0 };

    for (double k = 250e-4; k < 2000e-4; k *= 1.1) {
        struct analysis a = blank();
        struct completion w;
        a.conductivity = k;
        completion_make(&a, &w);
        for (int i = 0; i <= NITRATE; i++)
            cr_assert(i == AMMONIUM || w.c[i] > before[i], "%s at %g S/m", species[i].key, k);
        memcpy(before, w.c, sizeof before);
    }
}

static double odd(uint64_t *seed)
{
    static const double value[] = { -1.0, 0.0, 1e-12, 1e-3, 0.5, 3.0, 50.0, 1e4, 1e300 };
    const double u = uniform(seed);

    if (u < 0.55)
        return NAN;
    if (u < 0.57)
        return INFINITY;
    return value[(size_t)(uniform(seed) * 9.0)];
}

Test(completion, odd_input_leaves_finite_numbers)
{
    uint64_t seed = 3;

    for (int round = 0; round < 4000; round++) {
        struct analysis a = blank();
        struct completion w;
        for (int i = 0; i < SPECIES_COUNT; i++)
            a.ion[i] = odd(&seed);
        a.bicarbonate = odd(&seed);
        a.carbon_dioxide = odd(&seed);
        a.hardness = odd(&seed);
        a.alkalinity = odd(&seed);
        a.ph = uniform(&seed) < 0.3 ? odd(&seed) : between(&seed, -1.0, 15.0);
        a.temperature = uniform(&seed) < 0.3 ? odd(&seed) : between(&seed, -5.0, 60.0);
        a.conductivity = uniform(&seed) < 0.3 ? odd(&seed) : between(&seed, 0.0, 1.0);
        a.dissolved = odd(&seed);
        completion_make(&a, &w);
        expect_finite(&w, "odd", round);
    }
}

/* A softened water: sodium, bicarbonate and chloride balance by themselves, so no hardness is made
 * up. */
Test(completion, puts_nothing_into_an_analysis_that_balances_by_itself)
{
    struct analysis a = blank();
    struct completion w;
    a.ion[SODIUM] = 4.785;
    a.ion[CHLORIDE] = 0.705;
    a.bicarbonate = 4.08;
    a.ph = 7.8;
    cr_assert_eq(completion_make(&a, &w), COMPLETION_FINE);
    for (int i = 0; i <= FLUORIDE; i++)
        if (i != SODIUM && i != CHLORIDE)
            cr_assert_eq(w.c[i], 0.0, "%s", species[i].key);
    cr_assert_float_eq(w.conductivity, 450e-4, 30e-4, "%g", w.conductivity);
    cr_assert_float_eq(w.ph, 7.8, 1e-6);

    a.conductivity = 900e-4; /* a reading that says there is more */
    cr_assert_eq(completion_make(&a, &w), COMPLETION_FINE);
    cr_assert_gt(w.c[CALCIUM], 0.1);
    cr_assert_float_eq(w.conductivity, 900e-4, 1e-7);
}
