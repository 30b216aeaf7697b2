/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * models/wear.c: closed forms and limits, splitting of parcels, conservation of what scale takes,
 * bounds over random histories, and what must follow without being put in.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "models/scaling.h"
#include "models/water.h"
#include "models/wear.h"

static const double AREA = 0.42, DAY = 86400.0;

static double uniform(uint64_t *seed, double low, double high)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(*seed >> 11) * 0x1p-53;
}

static struct wear presets(void)
{
    struct wear p = { .on = true };
    for (const struct field *f = wear_fields; f->key; f++)
        if (f->type == FIELD_NUMBER)
            *(double *)((char *)&p + f->offset) = f->preset;
    return p;
}

static const double dirty[SPECIES_COUNT] = {
    [SOLIDS] = 1e-3, [CHLORINE] = 0.01, [CHLORAMINE] = 0.02
};

static struct wear_load load_of(double drawn, double duration, const double c[])
{
    return (struct wear_load){ AREA, drawn, duration, 1.3, c, 0.0 };
}

/* A hard concentrate, far above saturation. */
static struct parcel hard(double volume)
{
    return (struct parcel){
        .volume = volume,
        .temperature = 20.0,
        .c = { [SODIUM] = 1.0, [CALCIUM] = 4.0, [CHLORIDE] = 2.0, [CARBON] = 7.2 }
    };
}

Test(wear, presets_lie_within_their_ranges)
{
    int fields = 0;
    for (const struct field *f = wear_fields; f->key; f++, fields++) {
        cr_expect(f->min <= f->low && f->low <= f->preset && f->preset <= f->high &&
                      f->high <= f->max,
                  "%s", f->key);
        cr_expect(f->doc[0] && f->source[0], "%s", f->key);
    }
    cr_assert_eq(fields, 17);
}

Test(wear, new_element_has_factors_of_one)
{
    const struct wear p = presets();
    const struct wear_state s = { 0 };
    cr_expect_eq(wear_flow_factor(&p, &s, AREA), 1.0);
    cr_expect_eq(wear_salt_factor(&p, &s), 1.0);
}

Test(wear, switched_off_changes_nothing)
{
    struct wear p = presets();
    p.on = false;
    p.biofilm = 1e-6;
    const struct wear_state zero = { 0 };
    struct wear_state s = { 0 };
    struct parcel w = hard(1e-4);
    const struct parcel before = w;
    const struct wear_load load = load_of(1e-3, 100.0, dirty);
    cr_expect_eq(wear_carry(&p, &s, &load, &w), 0.0);
    cr_expect_eq(wear_rest(&p, &s, AREA, DAY, &w), 0.0);
    w.duration = 60.0;
    wear_rinse(&p, &s, 0.1, &w);
    cr_expect_arr_eq(&s, &zero, sizeof s);
    cr_expect_arr_eq(w.c, before.c, sizeof w.c);
}

/* ---- deposit ---- */

Test(wear, cake_follows_its_closed_form_and_nothing_is_lost_to_the_layer)
{
    const struct wear p = presets();
    struct wear_state s = { .cake = 0.2, .layer = 0.1 };
    const double t = 5.0 * DAY, drawn = 0.05;
    const double g = dirty[SOLIDS] * drawn / AREA / p.solids_halving; /* R/R_m brought */
    struct parcel none = { 0 };
    const struct wear_load load = load_of(drawn, t, dirty);
    wear_carry(&p, &s, &load, &none);
    const double e = exp(-t / p.consolidation);
    cr_expect_float_eq(s.cake, 0.2 * e + p.reversible * g * p.consolidation / t * (1.0 - e), 1e-14);
    cr_expect_float_eq(s.cake + s.layer, 0.3 + g, 1e-14);
}

Test(wear, any_split_of_a_parcel_gives_the_same)
{
    struct wear p = presets();
    p.biofilm = 1e-8;
    uint64_t seed = 21;
    for (int n = 0; n < 200; n++) {
        struct wear_state whole = { .cake = uniform(&seed, 0.0, 1.0) }, parts = whole;
        const double t = exp(uniform(&seed, 0.0, 16.0)), drawn = uniform(&seed, 0.0, 0.1);
        const int pieces = 1 + (int)uniform(&seed, 1.0, 20.0);
        struct parcel none = { .duration = t };
        memcpy(none.c, dirty, sizeof none.c);
        struct wear_load load = load_of(drawn, t, dirty);
        wear_carry(&p, &whole, &load, &none);
        wear_rest(&p, &whole, AREA, t, &none);
        wear_rinse(&p, &whole, 0.01, &none);
        load = load_of(drawn / pieces, t / pieces, dirty);
        for (int i = 0; i < pieces; i++)
            wear_carry(&p, &parts, &load, &none);
        for (int i = 0; i < pieces; i++)
            wear_rest(&p, &parts, AREA, t / pieces, &none);
        none.duration = t / pieces;
        for (int i = 0; i < pieces; i++)
            wear_rinse(&p, &parts, 0.01, &none);
        cr_assert_float_eq(parts.cake, whole.cake, 1e-12, "%d pieces", pieces);
        cr_assert_float_eq(parts.layer, whole.layer, 1e-12, "%d pieces", pieces);
        cr_assert_float_eq(parts.dose / whole.dose, 1.0, 1e-12, "%d pieces", pieces);
        cr_assert_float_eq(parts.biofilm / whole.biofilm, 1.0, 1e-12, "%d pieces", pieces);
        cr_assert_float_eq(parts.age / whole.age, 1.0, 1e-12, "%d pieces", pieces);
    }
}

/* Flow left after `t` of constant pressure, in n parcels whose flux is that of their beginning. */
static double flow_after(const struct wear *p, double t, int n)
{
    const double J0 = 8e-6;
    struct wear_state s = { 0 };
    struct parcel none = { 0 };
    for (int i = 0; i < n; i++) {
        const double J = J0 * wear_flow_factor(p, &s, AREA);
        const struct wear_load load = load_of(J * AREA * t / n, t / n, dirty);
        wear_carry(p, &s, &load, &none);
    }
    return wear_flow_factor(p, &s, AREA);
}

Test(wear, constant_pressure_converges_to_cake_filtration)
{
    /* t = a V + b V2, so J/J0 = (1 + 2x)^-1/2 with x = C J0 t/m = 1; first order in the parcel */
    struct wear p = presets();
    p.creep = p.oxidant_swelling = 0.0;
    const double t = p.solids_halving / (dirty[SOLIDS] * 8e-6), exact = 1.0 / sqrt(3.0);
    double before = flow_after(&p, t, 10) - exact;
    for (int n = 20; n <= 320; n *= 2) {
        const double error = flow_after(&p, t, n) - exact;
        cr_expect_float_eq(before / error, 2.0, 0.15, "%d parcels: %g after %g", n, error, before);
        before = error;
    }
    cr_expect_lt(fabs(before), 1e-3);
}

Test(wear, consolidated_deposit_cannot_be_rinsed_away)
{
    const struct wear p = presets();
    struct parcel rinse = { .duration = 1e5 }, none = { 0 };
    struct wear_state fresh = { .cake = 0.3 }, old = fresh;
    wear_rest(&p, &old, AREA, 3.0 * p.consolidation, &none);
    wear_rinse(&p, &fresh, p.rinse_speed, &rinse);
    wear_rinse(&p, &old, p.rinse_speed, &rinse);
    cr_expect_lt(fresh.cake + fresh.layer, 0.001);
    cr_expect_float_eq(old.cake + old.layer, 0.3 * (1.0 - exp(-3.0)), 0.001);
}

Test(wear, rinse_removes_what_was_assumed_and_grows_with_the_shear)
{
    struct wear p = presets();
    p.consolidation = 1e12;
    const struct parcel minute = { .duration = 60.0 };
    struct wear_state s = { .cake = 1.0 }, fast = s, still = s;
    wear_rinse(&p, &s, p.rinse_speed, &minute);
    wear_rinse(&p, &fast, 2.0 * p.rinse_speed, &minute);
    wear_rinse(&p, &still, 0.0, &minute);
    cr_expect_float_eq(s.cake, 0.60, 0.002, "%g", s.cake);
    cr_expect_float_eq(log(fast.cake) / log(s.cake), pow(2.0, 1.7), 1e-3);
    cr_expect_float_eq(still.cake + still.layer, 1.0, 1e-14);
}

/* ---- scale ---- */

Test(wear, scale_takes_from_the_concentrate_what_it_gains)
{
    uint64_t seed = 23;
    struct wear p = presets();
    int formed = 0;
    for (int n = 0; n < 300; n++) {
        struct wear_state s = { 0 };
        struct parcel w = hard(exp(uniform(&seed, log(1e-6), log(1e-1))));
        w.temperature = uniform(&seed, 2.0, 35.0);
        w.c[CALCIUM] = uniform(&seed, 0.1, 6.0);
        w.c[CARBON] = 2.0 * w.c[CALCIUM] * uniform(&seed, 0.3, 1.5);
        w.c[CHLORIDE] = 1.0 + fmax(2.0 * w.c[CALCIUM] - w.c[CARBON], 0.0);
        p.scale_growth = exp(uniform(&seed, log(1e-16), log(1e-9)));
        const struct parcel was = w;
        struct wear_load load = load_of(0.0, exp(uniform(&seed, 0.0, 16.0)), was.c);
        load.polarization = uniform(&seed, 1.0, 2.0);
        const double x =
            n % 2 ? wear_carry(&p, &s, &load, &w) : wear_rest(&p, &s, AREA, load.duration, &w);
        formed += x > 0.0;
        cr_assert(x >= 0.0 && s.scale == x, "%d: %g", n, x);
        for (int i = 0; i < SPECIES_COUNT; i++) {
            const double taken = i == CALCIUM || i == CARBON ? x : 0.0;
            cr_assert(w.c[i] >= 0.0);
            cr_assert_float_eq(w.c[i] * w.volume + taken, was.c[i] * was.volume,
                               4e-16 * was.c[i] * was.volume, "%d, %s", n, species[i].key);
        }
    }
    cr_assert_gt(formed, 100);
}

Test(wear, resting_concentrate_comes_down_to_saturation_and_no_farther)
{
    const struct wear p = presets();
    double before = INFINITY;
    for (double t = 1e2; t < 1e9; t *= 3.0) {
        struct parcel w = hard(1.5e-4);
        struct wear_state s = { 0 };
        wear_rest(&p, &s, AREA, t, &w);
        const struct speciation forms = water_speciate(w.c, w.temperature);
        const double index = scaling_calcite(w.c, &forms, w.temperature);
        cr_assert(index > -1e-4 && index <= before, "%g s: %g after %g", t, index, before);
        before = index;
    }
    cr_assert_lt(before, 1e-4);
}

Test(wear, slow_scale_grows_by_the_excess_of_saturation)
{
    /* so short that the water does not change: k A (omega - 1) t */
    const struct wear p = presets();
    struct wear_state s = { 0 };
    struct parcel w = hard(1.0);
    const struct speciation forms = water_speciate(w.c, w.temperature);
    const double omega = pow(10.0, scaling_calcite(w.c, &forms, w.temperature));
    const double x = wear_rest(&p, &s, AREA, 10.0, &w);
    cr_expect_float_eq(x / (p.scale_growth / 36.93e-6 * AREA * (omega - 1.0) * 10.0), 1.0, 1e-6);
}

Test(wear, soft_water_and_no_water_leave_no_scale)
{
    const struct wear p = presets();
    struct wear_state s = { .scale = 1e-3 };
    struct parcel none = { .temperature = 20.0 }, soft = hard(1.0), empty = hard(0.0);
    soft.c[CALCIUM] = 0.0;
    soft.c[SODIUM] += 8.0;
    cr_expect_eq(wear_rest(&p, &s, AREA, DAY, &none), 0.0);
    cr_expect_eq(wear_rest(&p, &s, AREA, DAY, &soft), 0.0);
    cr_expect_eq(wear_rest(&p, &s, AREA, DAY, &empty), 0.0);
    cr_expect_eq(s.scale, 1e-3);
}

Test(wear, polarization_can_scale_where_the_bulk_is_below_saturation)
{
    const struct wear p = presets();
    struct parcel w = hard(1e-3);
    w.c[CALCIUM] = 1.2;
    w.c[CHLORIDE] = 1.0;
    w.c[CARBON] = 2.62;
    const struct speciation forms = water_speciate(w.c, w.temperature);
    cr_assert_lt(scaling_calcite(w.c, &forms, w.temperature), 0.0);
    struct wear_state s = { 0 };
    struct wear_load load = load_of(0.0, 3600.0, dirty);
    load.polarization = 1.0;
    cr_expect_eq(wear_carry(&p, &s, &load, &w), 0.0);
    load.polarization = 1.8;
    cr_expect_gt(wear_carry(&p, &s, &load, &w), 0.0);
}

/* ---- the rest ---- */

Test(wear, creep_ends_where_it_was_said_to)
{
    const struct wear p = presets();
    const struct wear_state young = { .run = p.creep_time }, settled = { .run = 1e12 };
    cr_expect_float_eq(wear_flow_factor(&p, &young, AREA), 1.0 - 0.05 * (1.0 - exp(-1.0)), 1e-12);
    cr_expect_float_eq(wear_flow_factor(&p, &settled, AREA), 0.95, 1e-12);
}

Test(wear, halving_amounts_halve_the_flow)
{
    struct wear p = presets();
    p.creep = p.oxidant_swelling = 0.0;
    const struct wear_state scaled = { .scale = AREA * p.scale_halving / 36.93e-6 };
    cr_expect_float_eq(wear_flow_factor(&p, &scaled, AREA), 0.5, 1e-12);
    struct wear_state s = { 0 };
    struct parcel none = { 0 };
    const struct wear_load load = load_of(AREA * p.solids_halving / dirty[SOLIDS], 1e4, dirty);
    wear_carry(&p, &s, &load, &none);
    cr_expect_float_eq(wear_flow_factor(&p, &s, AREA), 0.5, 1e-12);
}

Test(wear, any_history_stays_within_bounds)
{
    uint64_t seed = 27;
    struct wear p = presets();
    struct wear_state s = { 0 };
    for (int n = 0; n < 3000; n++) {
        if (n % 300 == 0) {
            s = (struct wear_state){ 0 };
            p.biofilm = uniform(&seed, 0.0, 1e-6);
        }
        double c[SPECIES_COUNT] = { [CHLORINE] = uniform(&seed, 0.0, 0.1),
                                    [CHLORAMINE] = uniform(&seed, 0.0, 0.1),
                                    [SOLIDS] = uniform(&seed, 0.0, 0.01) };
        struct parcel w = hard(uniform(&seed, 0.0, 1e-2));
        w.duration = exp(uniform(&seed, -3.0, 15.0));
        const struct wear_state was = s;
        const double flow = wear_flow_factor(&p, &s, AREA), salt = wear_salt_factor(&p, &s);
        if (n % 3 == 0) {
            const struct wear_load load = load_of(uniform(&seed, 0.0, 0.1), w.duration, c);
            wear_carry(&p, &s, &load, &w);
        } else if (n % 3 == 1) {
            wear_rest(&p, &s, AREA, w.duration, &w);
        } else {
            wear_rinse(&p, &s, uniform(&seed, 0.0, 0.3), &w);
        }
        cr_assert(s.cake >= 0.0 && s.layer >= was.layer && s.scale >= was.scale, "step %d", n);
        cr_assert(s.dose >= was.dose && s.biofilm >= was.biofilm && s.age > was.age, "step %d", n);
        cr_assert(s.cake + s.layer <= was.cake + was.layer + 1e-12 || n % 3 == 0, "step %d", n);
        const double after = wear_flow_factor(&p, &s, AREA);
        cr_assert(after > 0.0 && after <= 3.0 && isfinite(after), "step %d: %g", n, after);
        cr_assert(n % 3 != 1 || after <= flow, "step %d: rest raised the flow", n);
        cr_assert(wear_salt_factor(&p, &s) >= salt && salt <= 1.1e3, "step %d: %g", n, salt);
    }
}

/* Deposit after `days` of an hour's service a day, with a rinse of a minute every so many days. */
static double deposit_after(const struct wear *p, int days, int every)
{
    struct wear_state s = { 0 };
    struct parcel none = { 0 };
    const struct parcel minute = { .duration = 60.0 };
    const double c[SPECIES_COUNT] = { [SOLIDS] = 5e-5 };
    for (int day = 0; day < days; day++) {
        const struct wear_load load = load_of(0.01, 3600.0, c);
        wear_carry(p, &s, &load, &none);
        if (every > 0 && day % every == every - 1)
            wear_rinse(p, &s, p->rinse_speed, &minute);
        wear_rest(p, &s, AREA, DAY - 3600.0, &none);
    }
    return s.cake + s.layer;
}

Test(wear, rinsing_helps_the_more_the_oftener_but_never_wholly)
{
    const struct wear p = presets();
    const double none = deposit_after(&p, 360, 0);
    double before = none;
    for (int every = 12; every >= 1; every /= 2) {
        const double left = deposit_after(&p, 360, every);
        cr_expect_lt(left, before, "every %d days: %g after %g", every, left, before);
        before = left;
    }
    cr_expect_gt(before, (1.0 - p.reversible) * none);
}

Test(wear, scale_of_unrinsed_rests_outweighs_that_of_service)
{
    /* hard concentrate: an hour of service and a night of rest with 0.15 L of it */
    const struct wear p = presets();
    struct wear_state s = { 0 };
    struct parcel passing = hard(0.04), held = hard(1.5e-4);
    const struct wear_load load = load_of(0.01, 3600.0, dirty);
    const double service = wear_carry(&p, &s, &load, &passing);
    const double rest = wear_rest(&p, &s, AREA, 23.0 * 3600.0, &held);
    cr_expect(service > 0.0 && rest > service, "service %g, rest %g mol", service, rest);
}

/* A parcel that rinses is one parcel: its time and its oxidant count once, and it takes off what a rinse of
 * the same speed does. */
Test(wear, a_rinse_with_feed_counts_its_time_once)
{
    const struct wear p = presets();
    struct wear_state s = { .cake = 0.3 };
    const double c[SPECIES_COUNT] = { [CHLORINE] = 0.01 };
    struct parcel concentrate = { .volume = 1e-3, .duration = 60.0, .temperature = 20.0 };
    const struct wear_load load = { .area = 0.4, .drawn = 0.0, .duration = 60.0,
                                    .polarization = 1.0, .c = c, .rinse = p.rinse_speed };
    struct wear_state still = s;
    wear_carry(&p, &s, &load, &concentrate);
    cr_assert_float_eq(s.age, 60.0, 1e-12);
    struct wear_load plain = load;
    plain.rinse = 0.0;
    wear_carry(&p, &still, &plain, &concentrate);
    cr_assert_float_eq(s.dose, still.dose, 1e-15, "the oxidant counts once");
    cr_assert_float_eq(s.cake, still.cake * exp(-p.rinse_rate * 60.0), 1e-9);
}
