/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Tests of models/parcel.c.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

#include "models/parcel.h"

/* Uniform in 0..1, the same sequence on every machine. */
static double uniform(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(*seed >> 11) * 0x1p-53;
}

/* Spread over decades. */
static double decades(uint64_t *seed, double low, double high)
{
    return low * pow(high / low, uniform(seed));
}

struct flows {
    double held, in, out, lost; /* m3 */
};

/* Any flows that leave some water; some of them zero, some balanced. */
static struct flows random_flows(uint64_t *seed)
{
    struct flows f = {
        .held = uniform(seed) < 0.1 ? 0.0 : decades(seed, 1e-3, 1.0),
        .in = uniform(seed) < 0.1 ? 0.0 : decades(seed, 1e-4, 3.0),
    };
    const double water = f.held + f.in;
    f.out = uniform(seed) < 0.1 ? 0.0 : 0.97 * water * uniform(seed);
    f.lost = uniform(seed) < 0.3 ? 0.0 : 0.97 * (0.97 * water - f.out) * uniform(seed);
    if (f.held > 0.0 && uniform(seed) < 0.2) { /* in = out + lost to rounding */
        f.out = 0.75 * f.in;
        f.lost = 0.25 * f.in;
    }
    return f;
}

static struct parcel parcel_of(double volume, double c)
{
    struct parcel p = { .volume = volume, .duration = 60.0, .temperature = 20.0 };

    for (int i = 0; i < SPECIES_COUNT; i++)
        p.c[i] = c;
    return p;
}

static struct vessel vessel_of(double volume, double c)
{
    struct vessel v = { .volume = volume };

    for (int i = 0; i < SPECIES_COUNT; i++)
        v.amount[i] = volume * c;
    return v;
}

/* dm/dt = in c - out m/V with V linear in time, classical Runge-Kutta in 4000 steps. */
static double rate(const struct flows *f, double c, double t, double m)
{
    return f->in * c - f->out * m / (f->held + (f->in - f->out - f->lost) * t);
}

static double runge_kutta(const struct flows *f, double c, double m)
{
    const int steps = 4000;
    const double h = 1.0 / steps;

    for (int i = 0; i < steps; i++) {
        const double t = i * h;
        const double k1 = rate(f, c, t, m);
        const double k2 = rate(f, c, t + 0.5 * h, m + 0.5 * h * k1);
        const double k3 = rate(f, c, t + 0.5 * h, m + 0.5 * h * k2);
        const double k4 = rate(f, c, t + h, m + h * k3);
        m += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
    }
    return m;
}

Test(parcel, mixes_as_a_fine_integration_does)
{
    uint64_t seed = 1;
    int compared = 0;

    for (int n = 0; n < 300; n++) {
        struct flows f = random_flows(&seed);
        /* a finite start and no dash to empty, so that fixed steps are accurate */
        f.held = fmax(f.held, 0.05 * (f.in + f.out + f.lost) + 1e-3);
        if (f.held + f.in - f.out - f.lost < 0.05 * (f.in + f.out + f.lost))
            continue;
        const double c_held = uniform(&seed), c_in = uniform(&seed);
        const struct parcel in = parcel_of(f.in, c_in);
        struct vessel v = vessel_of(f.held, c_held);
        double leaving[SPECIES_COUNT];
        vessel_mix(&v, &in, f.out, f.lost, leaving);
        const double want = runge_kutta(&f, c_in, f.held * c_held);
        cr_assert(fabs(v.amount[SODIUM] - want) < 1e-9 * (want + 1e-12),
                  "held %g in %g out %g lost %g: %.15g, not %.15g", f.held, f.in, f.out, f.lost,
                  v.amount[SODIUM], want);
        compared++;
    }
    cr_assert(compared > 150, "only %d", compared);
}

Test(parcel, conserves_every_species_and_the_water_to_rounding)
{
    uint64_t seed = 2;

    for (int n = 0; n < 20000; n++) {
        const struct flows f = random_flows(&seed);
        struct parcel in = parcel_of(f.in, 0.0);
        struct vessel v = { .volume = f.held };
        for (int i = 0; i < SPECIES_COUNT; i++) {
            in.c[i] = decades(&seed, 1e-9, 10.0);
            v.amount[i] = f.held * decades(&seed, 1e-9, 10.0);
        }
        const struct vessel before = v;
        double leaving[SPECIES_COUNT];
        vessel_mix(&v, &in, f.out, f.lost, leaving);
        for (int i = 0; i < SPECIES_COUNT; i++) {
            const double had = before.amount[i] + f.in * in.c[i];
            const double has = v.amount[i] + leaving[i];
            cr_assert(fabs(has - had) <= 4e-16 * had, "%d: %.17g, not %.17g", i, has, had);
            cr_assert(v.amount[i] >= 0.0 && leaving[i] >= 0.0, "negative amount");
        }
        cr_assert(fabs(v.volume - (f.held + f.in - f.out - f.lost)) <= 1e-14 * (f.held + f.in));
    }
}

Test(parcel, stays_between_the_two_waters_when_nothing_evaporates)
{
    uint64_t seed = 3;

    for (int n = 0; n < 20000; n++) {
        struct flows f = random_flows(&seed);
        f.lost = 0.0;
        const double c_held = decades(&seed, 1e-6, 1.0), c_in = decades(&seed, 1e-6, 1.0);
        const struct parcel in = parcel_of(f.in, c_in);
        struct vessel v = vessel_of(f.held, c_held);
        double leaving[SPECIES_COUNT];
        vessel_mix(&v, &in, f.out, 0.0, leaving);
        const double low = f.held > 0.0 ? fmin(c_held, c_in) : c_in;
        const double high = f.held > 0.0 ? fmax(c_held, c_in) : c_in;
        const double c = v.volume > 0.0 ? v.amount[SALT] / v.volume : low;
        cr_assert(c >= low * (1.0 - 1e-12) && c <= high * (1.0 + 1e-12), "%g not in %g..%g", c, low,
                  high);
        if (f.out > 0.0) {
            const double left = leaving[SALT] / f.out;
            cr_assert(left >= low * (1.0 - 1e-9) && left <= high * (1.0 + 1e-9),
                      "%g left, not in %g..%g", left, low, high);
        }
    }
}

/* Steady rates: a parcel in two halves, in any split, is the same parcel. */
Test(parcel, gives_the_same_in_one_piece_and_in_two)
{
    uint64_t seed = 4;

    for (int n = 0; n < 5000; n++) {
        const struct flows f = random_flows(&seed);
        const double part = 0.02 + 0.96 * uniform(&seed), rest = 1.0 - part;
        const struct parcel whole = parcel_of(f.in, 0.3);
        const struct parcel first = parcel_of(part * f.in, 0.3);
        const struct parcel second = parcel_of(rest * f.in, 0.3);
        struct vessel once = vessel_of(f.held, 1.0), twice = once;
        double leaving[SPECIES_COUNT], a[SPECIES_COUNT], b[SPECIES_COUNT];
        vessel_mix(&once, &whole, f.out, f.lost, leaving);
        vessel_mix(&twice, &first, part * f.out, part * f.lost, a);
        vessel_mix(&twice, &second, rest * f.out, rest * f.lost, b);
        const double had = f.held + 0.3 * f.in;
        cr_assert(fabs(once.amount[0] - twice.amount[0]) <= 1e-13 * had, "held %g in %g out %g",
                  f.held, f.in, f.out);
        cr_assert(fabs(leaving[0] - a[0] - b[0]) <= 1e-13 * had, "held %g in %g out %g", f.held,
                  f.in, f.out);
    }
}

Test(parcel, washes_out_exponentially_at_constant_volume)
{
    for (double turns = 1e-6; turns < 100.0; turns *= 3.7) {
        const struct parcel in = parcel_of(turns, 0.0);
        struct vessel v = vessel_of(1.0, 1.0);
        double leaving[SPECIES_COUNT];
        vessel_mix(&v, &in, turns, 0.0, leaving);
        cr_assert(fabs(v.amount[0] / exp(-turns) - 1.0) < 1e-13, "%g turns: %g", turns,
                  v.amount[0]);
        cr_assert(fabs(leaving[0] / -expm1(-turns) - 1.0) < 1e-13, "%g turns: %g", turns,
                  leaving[0]);
    }
}

/* Growing at g while q leaves: what was there falls as (V0/V1)^(q/g). */
Test(parcel, washes_out_by_a_power_of_the_volume_while_filling)
{
    const struct parcel in = parcel_of(3.0, 0.0);
    struct vessel v = vessel_of(1.0, 1.0);
    double leaving[SPECIES_COUNT];

    vessel_mix(&v, &in, 1.0, 0.0, leaving);
    cr_assert_float_eq(v.volume, 3.0, 1e-15);
    cr_assert_float_eq(v.amount[0], sqrt(1.0 / 3.0), 1e-15);
}

/* Amount left in 1 m3 of c = 1 after 0.5 m3 of c = 0.2 came in, or 0.3 m3. */
static double left_after(double in_volume, double out, double lost)
{
    const struct parcel in = parcel_of(in_volume, 0.2);
    struct vessel v = vessel_of(1.0, 1.0);
    double leaving[SPECIES_COUNT];

    vessel_mix(&v, &in, out, lost, leaving);
    return v.amount[0];
}

/* The formulas change at these points: value and slope must not. */
Test(parcel, goes_smoothly_over_the_balanced_case)
{
    const double at = left_after(0.5, 0.5, 0.0);
    const double slope = (left_after(0.5, 0.5001, 0.0) - left_after(0.5, 0.4999, 0.0)) / 2e-4;

    for (double d = 1e-4; d > 1e-18; d *= 0.3) {
        const double above = left_after(0.5, 0.5 + d, 0.0), below = left_after(0.5, 0.5 - d, 0.0);
        cr_assert(fabs(above - at - slope * d) < 2.0 * d * d + 4e-16 + 1e-7 * d, "d = %g", d);
        cr_assert(fabs(below - at + slope * d) < 2.0 * d * d + 4e-16 + 1e-7 * d, "d = %g", d);
    }
}

Test(parcel, goes_smoothly_over_inflow_equal_to_evaporation)
{
    const double at = left_after(0.3, 0.5, 0.3);
    const double slope = (left_after(0.3, 0.5, 0.3001) - left_after(0.3, 0.5, 0.2999)) / 2e-4;

    for (double d = 1e-4; d > 1e-18; d *= 0.3) {
        const double above = left_after(0.3, 0.5, 0.3 + d), below = left_after(0.3, 0.5, 0.3 - d);
        cr_assert(fabs(above - at - slope * d) < 2.0 * d * d + 4e-16 + 1e-7 * d, "d = %g", d);
        cr_assert(fabs(below - at + slope * d) < 2.0 * d * d + 4e-16 + 1e-7 * d, "d = %g", d);
    }
}

Test(parcel, keeps_everything_when_nothing_flows_out)
{
    const struct parcel in = parcel_of(0.1, 2.0);
    struct vessel v = vessel_of(0.5, 3.0);
    double leaving[SPECIES_COUNT];

    vessel_mix(&v, &in, 0.0, 0.25, leaving);
    cr_assert_eq(leaving[CHLORIDE], 0.0);
    cr_assert_float_eq(v.amount[CHLORIDE], 1.7, 1e-15);
    cr_assert_float_eq(v.volume, 0.35, 1e-15);
}

Test(parcel, hands_over_all_when_it_ends_empty)
{
    const struct parcel in = parcel_of(0.1, 2.0);
    const double out[] = { 0.6, nextafter(0.6, 1.0), 0.6 * (1.0 - 2e-16), 1.0 };

    for (size_t i = 0; i < sizeof out / sizeof *out; i++) {
        struct vessel v = vessel_of(0.5, 3.0);
        double leaving[SPECIES_COUNT];
        vessel_mix(&v, &in, out[i], 0.0, leaving);
        cr_assert_eq(v.volume, 0.0, "case %zu keeps %g", i, v.volume);
        cr_assert_eq(v.amount[CALCIUM], 0.0, "case %zu keeps %g mol", i, v.amount[CALCIUM]);
        cr_assert_float_eq(leaving[CALCIUM], 1.7, 1e-15, "case %zu", i);
    }
}

Test(parcel, keeps_its_salt_when_it_dries_up_and_gives_it_to_the_next_water)
{
    struct parcel in = parcel_of(0.0, 0.0);
    struct vessel v = vessel_of(0.5, 3.0);
    double leaving[SPECIES_COUNT];

    vessel_mix(&v, &in, 0.0, 0.5, leaving);
    cr_assert_eq(v.volume, 0.0);
    cr_assert_float_eq(v.amount[SALT], 1.5, 1e-15);
    cr_assert_eq(leaving[SALT], 0.0);
    in = parcel_of(2.0, 0.1);
    vessel_mix(&v, &in, 1.0, 0.0, leaving);
    cr_assert_float_eq(leaving[SALT], 1.6, 1e-15, "%g", leaving[SALT]);
    cr_assert_float_eq(v.amount[SALT], 0.1, 1e-15, "%g", v.amount[SALT]);
}

Test(parcel, passes_the_parcel_unchanged_when_it_starts_empty)
{
    const struct parcel in = parcel_of(2.0, 0.7);
    struct vessel v = { .volume = 0.0 };
    double leaving[SPECIES_COUNT];

    vessel_mix(&v, &in, 1.5, 0.0, leaving);
    cr_assert_float_eq(v.volume, 0.5, 1e-15);
    cr_assert_float_eq(v.amount[0], 0.35, 1e-15);
    cr_assert_float_eq(leaving[0], 1.05, 1e-15);
}

Test(parcel, does_nothing_when_nothing_moves)
{
    const struct parcel in = parcel_of(0.0, 5.0);
    struct vessel v = vessel_of(0.5, 3.0);
    const struct vessel before = v;
    double leaving[SPECIES_COUNT];

    vessel_mix(&v, &in, 0.0, 0.0, leaving);
    cr_assert(memcmp(&v, &before, sizeof v) == 0);
    cr_assert_eq(leaving[0], 0.0);
}

/* Inflow makes good what evaporates and what is drawn: c settles at c_in in/out. */
Test(parcel, concentrates_to_the_blowdown_limit)
{
    const struct parcel in = parcel_of(1.0, 0.2);
    struct vessel v = vessel_of(1.0, 0.2);
    double leaving[SPECIES_COUNT];

    for (int i = 0; i < 400; i++)
        vessel_mix(&v, &in, 0.25, 0.75, leaving);
    cr_assert_float_eq(v.amount[0] / v.volume, 0.8, 1e-12, "%g", v.amount[0] / v.volume);
}

/* A small flow through a large vessel: what left is known to rounding, not by difference. */
Test(parcel, knows_what_left_a_large_vessel_accurately)
{
    const struct parcel in = parcel_of(1e-9, 0.0);
    struct vessel v = vessel_of(1.0, 1.0);
    double leaving[SPECIES_COUNT];

    vessel_mix(&v, &in, 1e-9, 0.0, leaving);
    cr_assert(fabs(leaving[0] / -expm1(-1e-9) - 1.0) < 1e-15, "%.17g", leaving[0]);
}
