/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * holdup: closed forms, conservation, and many cycles at once against the same cycles one by one.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/holdup.h"
#include "models/water.h"

static const double LITRE = 1e-3;

static double draw(unsigned long *seed, double low, double high)
{
    *seed = (*seed * 1103515245UL + 12345UL) % 2147483648UL;
    return low + (high - low) * (double)*seed / 2147483648.0;
}

/* Evenly in the logarithm. */
static double draw_log(unsigned long *seed, double low, double high)
{
    return exp(draw(seed, log(low), log(high)));
}

static double relative_of[SPECIES_COUNT];

static void usual_passages(void)
{
    for (int i = 0; i < SPECIES_COUNT; i++)
        relative_of[i] = species[i].passage;
}

struct scene {
    struct holdup h;
    struct holdup_rhythm rhythm;
    struct parcel permeate, concentrate;
};

/* Any holdup, any rhythm; the permeate is usually purer, some solutes are missing. */
static struct scene any_scene(unsigned long *seed)
{
    struct scene s = { 0 };
    double xp[SPECIES_COUNT], xf[SPECIES_COUNT];
    const struct holdup_size size = { draw_log(seed, 1e-5, 3e-4), draw_log(seed, 3e-5, 1e-3) };

    s.permeate.volume = draw_log(seed, 1e-5, 1e-2);
    s.concentrate.volume = draw_log(seed, 1e-5, 4e-2);
    for (int i = 0; i < SPECIES_COUNT; i++) {
        const double c = draw(seed, 0, 1) < 0.1 ? 0.0 : draw_log(seed, 1e-4, 10.0);
        xf[i] = c * draw(seed, 0, 2);
        xp[i] = xf[i] * draw(seed, 0, 1.2);
        s.concentrate.c[i] = c;
        s.permeate.c[i] = c * draw(seed, 0, 0.2);
    }
    holdup_init(&s.h, &size, xp, xf);
    s.rhythm = (struct holdup_rhythm){ .starts = draw_log(seed, 0.01, 50.0),
                                       .rest = draw_log(seed, 1.0, 1e5),
                                       .BA = draw_log(seed, 1e-9, 1e-6),
                                       .relative = relative_of };
    usual_passages();
    return s;
}

static double total(const struct scene *s, int i)
{
    return s->h.permeate.amount[i] + s->h.feed.amount[i] + s->permeate.volume * s->permeate.c[i] +
           s->concentrate.volume * s->concentrate.c[i];
}

/* The same cycles one by one; the parcels are gathered again afterwards. */
static void one_by_one(struct scene *s, int cycles)
{
    double out_p[SPECIES_COUNT] = { 0 }, out_c[SPECIES_COUNT] = { 0 };
    struct parcel p = s->permeate, c = s->concentrate;
    p.volume /= cycles;
    c.volume /= cycles;
    for (int k = 0; k < cycles; k++) {
        struct parcel pk = p, ck = c;
        holdup_rest(&s->h, s->rhythm.BA, s->rhythm.relative, s->rhythm.rest);
        holdup_pass(&s->h, &pk, &ck);
        for (int i = 0; i < SPECIES_COUNT; i++) {
            out_p[i] += pk.c[i];
            out_c[i] += ck.c[i];
        }
    }
    for (int i = 0; i < SPECIES_COUNT; i++) {
        s->permeate.c[i] = out_p[i] / cycles;
        s->concentrate.c[i] = out_c[i] / cycles;
    }
}

/* Largest difference of two scenes, relative to the most that this species could be there. */
static double apart(const struct scene *a, const struct scene *b)
{
    double worst = 0.0;
    for (int i = 0; i < SPECIES_COUNT; i++) {
        const double all = total(a, i), Vp = a->h.permeate.volume, Vf = a->h.feed.volume;
        const double c = all / fmin(fmin(Vp, Vf), fmin(a->permeate.volume, a->concentrate.volume));
        if (all <= 0.0)
            continue;
        worst = fmax(worst, fabs(a->h.permeate.amount[i] - b->h.permeate.amount[i]) / (c * Vp));
        worst = fmax(worst, fabs(a->h.feed.amount[i] - b->h.feed.amount[i]) / (c * Vf));
        worst = fmax(worst, fabs(a->permeate.c[i] - b->permeate.c[i]) / c);
        worst = fmax(worst, fabs(a->concentrate.c[i] - b->concentrate.c[i]) / c);
    }
    return worst;
}

/* --- rest ------------------------------------------------------------------------------------ */

Test(holdup, starts_with_the_waters_given)
{
    double p[SPECIES_COUNT], f[SPECIES_COUNT];
    for (int i = 0; i < SPECIES_COUNT; i++) {
        p[i] = 0.1 * i;
        f[i] = 1.0 + i;
    }
    struct holdup h;
    holdup_init(&h, &(struct holdup_size){ 0.06 * LITRE, 0.2 * LITRE }, p, f);
    cr_assert_eq(h.permeate.volume, 0.06 * LITRE);
    cr_assert_eq(h.feed.volume, 0.2 * LITRE);
    for (int i = 0; i < SPECIES_COUNT; i++) {
        cr_assert_eq(h.permeate.amount[i], p[i] * (0.06 * LITRE));
        cr_assert_eq(h.feed.amount[i], f[i] * (0.2 * LITRE));
    }
}

/* Vp dcp/dt = BA (cf - cp) and its mirror, by the classical Runge-Kutta method. */
Test(holdup, rests_as_the_equations_say)
{
    unsigned long seed = 11;
    for (int trial = 0; trial < 50; trial++) {
        struct scene s = any_scene(&seed);
        const struct holdup start = s.h;
        const double Vp = start.permeate.volume, Vf = start.feed.volume;
        const double seconds = draw(&seed, 0.0, 4.0) / (s.rhythm.BA * (1.0 / Vp + 1.0 / Vf));
        holdup_rest(&s.h, s.rhythm.BA, relative_of, seconds);
        double d = start.feed.amount[SODIUM] / Vf - start.permeate.amount[SODIUM] / Vp;
        double moved = 0.0;
        const double rate = s.rhythm.BA * (1.0 / Vp + 1.0 / Vf), dt = seconds / 400.0;
        for (int k = 0; k < 400; k++) {
            const double k1 = -rate * d, k2 = -rate * (d + 0.5 * dt * k1);
            const double k3 = -rate * (d + 0.5 * dt * k2), k4 = -rate * (d + dt * k3);
            const double step = dt / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
            moved -= step / rate * s.rhythm.BA;
            d += step;
        }
        const double got = s.h.permeate.amount[SODIUM] - start.permeate.amount[SODIUM];
        cr_assert_float_eq(got, moved, 1e-9 * (fabs(moved) + start.feed.amount[SODIUM]),
                           "trial %d: %g, %g", trial, got, moved);
    }
}

Test(holdup, conserves_and_keeps_bounds_at_rest)
{
    unsigned long seed = 12;
    for (int trial = 0; trial < 500; trial++) {
        struct scene s = any_scene(&seed);
        const struct holdup before = s.h;
        const double t = draw_log(&seed, 1e-3, 1e9);
        holdup_rest(&s.h, s.rhythm.BA, relative_of, t);
        for (int i = 0; i < SPECIES_COUNT; i++) {
            const double x0 = before.permeate.amount[i] / before.permeate.volume;
            const double y0 = before.feed.amount[i] / before.feed.volume;
            const double x = s.h.permeate.amount[i] / s.h.permeate.volume;
            const double y = s.h.feed.amount[i] / s.h.feed.volume;
            const double all = before.permeate.amount[i] + before.feed.amount[i];
            const double eps = 1e-14 * all / before.permeate.volume;
            cr_assert_float_eq(s.h.permeate.amount[i] + s.h.feed.amount[i], all, 1e-15 * all);
            cr_assert(x >= fmin(x0, y0) - eps && x <= fmax(x0, y0) + eps, "%s", species[i].key);
            cr_assert(y >= fmin(x0, y0) - eps && y <= fmax(x0, y0) + eps, "%s", species[i].key);
            cr_assert((y - x) * (y0 - x0) >= -eps * (eps + fabs(y0 - x0)), "%s crosses over",
                      species[i].key);
        }
    }
}

Test(holdup, two_rests_are_one)
{
    unsigned long seed = 13;
    for (int trial = 0; trial < 200; trial++) {
        struct scene a = any_scene(&seed), b = a;
        const double t1 = draw_log(&seed, 1.0, 1e5), t2 = draw_log(&seed, 1.0, 1e5);
        holdup_rest(&a.h, a.rhythm.BA, relative_of, t1);
        holdup_rest(&a.h, a.rhythm.BA, relative_of, t2);
        holdup_rest(&b.h, b.rhythm.BA, relative_of, t1 + t2);
        cr_assert(apart(&a, &b) < 1e-14, "trial %d: %g", trial, apart(&a, &b));
    }
}

Test(holdup, solids_and_sea_salt_stay_and_oxidants_cross_first)
{
    unsigned long seed = 14;
    struct scene s = any_scene(&seed);
    for (int i = 0; i < SPECIES_COUNT; i++) {
        s.h.permeate.amount[i] = 0.0;
        s.h.feed.amount[i] = s.h.feed.volume;
    }
    holdup_rest(&s.h, 1e-8, relative_of, 60.0);
    cr_assert_eq(s.h.permeate.amount[SOLIDS], 0.0);
    cr_assert_eq(s.h.permeate.amount[SALT], 0.0);
    cr_assert(s.h.permeate.amount[CHLORINE] > s.h.permeate.amount[SILICA]);
    cr_assert(s.h.permeate.amount[SILICA] > s.h.permeate.amount[SODIUM]);
    for (int i = SODIUM; i <= CARBON; i++)
        cr_assert_eq(s.h.permeate.amount[i], s.h.permeate.amount[SODIUM], "%s", species[i].key);
}

/* A natural water and its permeate with the same CO2, as a membrane leaves them. */
Test(holdup, carbon_dioxide_stays_equal_while_the_ions_move)
{
    double f[SPECIES_COUNT] = { [SODIUM] = 1.5,   [CALCIUM] = 2.0, [MAGNESIUM] = 0.6,
                                [CHLORIDE] = 2.0, [SULFATE] = 0.8, [CARBON] = 3.3 };
    double p[SPECIES_COUNT] = { [SODIUM] = 0.075,  [CALCIUM] = 0.02,  [MAGNESIUM] = 0.006,
                                [CHLORIDE] = 0.05, [SULFATE] = 0.004, [CARBON] = 0.0 };
    const double co2 = water_speciate(f, 25.0).co2;
    p[CARBON] = 0.069 + co2; /* HCO3- that balances, and the gas */
    cr_assert_float_eq(water_speciate(p, 25.0).co2, co2, 0.01 * co2);

    struct holdup h;
    holdup_init(&h, &(struct holdup_size){ 0.06 * LITRE, 0.194 * LITRE }, p, f);
    usual_passages();
    for (int k = 0; k < 10; k++) {
        holdup_rest(&h, 4e-8, relative_of, 300.0);
        for (int i = 0; i < SPECIES_COUNT; i++) {
            p[i] = h.permeate.amount[i] / h.permeate.volume;
            f[i] = h.feed.amount[i] / h.feed.volume;
        }
        cr_assert_float_eq(water_speciate(p, 25.0).co2, co2, 0.015 * co2, "rest %d: %g", k,
                           water_speciate(p, 25.0).co2 / co2);
        cr_assert_float_eq(water_speciate(f, 25.0).co2, co2, 0.015 * co2, "rest %d", k);
    }
}

/* Strong ions in balance on each side stay so: what crosses is neutral. */
Test(holdup, both_sides_stay_electroneutral)
{
    double f[SPECIES_COUNT] = {
        [SODIUM] = 3.0, [CALCIUM] = 1.0, [CHLORIDE] = 3.0, [SULFATE] = 0.5, [NITRATE] = 1.0
    };
    double p[SPECIES_COUNT] = { [POTASSIUM] = 0.2, [FLUORIDE] = 0.1, [CHLORIDE] = 0.1 };
    struct holdup h;
    holdup_init(&h, &(struct holdup_size){ 0.06 * LITRE, 0.194 * LITRE }, p, f);
    usual_passages();
    struct parcel permeate = { .volume = 1e-4, .c = { [SODIUM] = 0.1, [CHLORIDE] = 0.1 } };
    struct parcel brine = { .volume = 3e-4, .c = { [CALCIUM] = 2.0, [SULFATE] = 2.0 } };
    const struct holdup_rhythm r = { 3.7, 200.0, 4e-8, relative_of };
    for (int k = 0; k < 20; k++) {
        struct parcel a = permeate, b = brine;
        holdup_rest(&h, 4e-8, relative_of, 100.0);
        holdup_cycles(&h, &r, &a, &b);
        double charge[4] = { 0 };
        for (int i = FIRST_CATION; i <= FLUORIDE; i++) {
            charge[0] += species[i].charge * h.permeate.amount[i];
            charge[1] += species[i].charge * h.feed.amount[i];
            charge[2] += species[i].charge * a.c[i];
            charge[3] += species[i].charge * b.c[i];
        }
        cr_assert(fabs(charge[0]) < 1e-18 && fabs(charge[1]) < 1e-17, "%g %g", charge[0],
                  charge[1]);
        cr_assert(fabs(charge[2]) < 1e-13 && fabs(charge[3]) < 1e-12, "%g %g", charge[2],
                  charge[3]);
    }
}

/* --- runs ------------------------------------------------------------------------------------ */

/* c_out = c_in + (c0 - c_in) exp(-v/V), so that the holdup ends there and the rest came out. */
Test(holdup, washes_out_as_one_mixed_volume)
{
    unsigned long seed = 21;
    for (int trial = 0; trial < 200; trial++) {
        struct scene s = any_scene(&seed);
        const struct scene before = s;
        holdup_pass(&s.h, &s.permeate, &s.concentrate);
        for (int i = 0; i < SPECIES_COUNT; i++) {
            const double V = s.h.permeate.volume, v = s.permeate.volume;
            const double c0 = before.h.permeate.amount[i] / V, in = before.permeate.c[i];
            const double end = in + (c0 - in) * exp(-v / V);
            cr_assert_float_eq(s.h.permeate.amount[i] / V, end, 1e-12 * (c0 + in));
            cr_assert_float_eq(s.permeate.c[i] * v, in * v + V * (c0 - end),
                               1e-12 * (c0 + in) * (v + V));
            cr_assert_float_eq(total(&s, i), total(&before, i), 1e-14 * total(&before, i));
        }
        cr_assert_eq(s.h.permeate.volume, before.h.permeate.volume);
        cr_assert_eq(s.h.feed.volume, before.h.feed.volume);
    }
}

Test(holdup, nothing_happens_without_water)
{
    unsigned long seed = 22;
    struct scene s = any_scene(&seed);
    s.permeate.volume = s.concentrate.volume = 0.0;
    const struct scene before = s;
    holdup_pass(&s.h, &s.permeate, &s.concentrate);
    holdup_rinse(&s.h, &s.concentrate);
    cr_assert(memcmp(&s, &before, sizeof s) == 0);
}

/* A feed side rinsed with feed lets the permeate rise to feed, not to concentrate. */
Test(holdup, a_rinse_with_feed_lowers_the_creep_by_the_concentration_factor)
{
    const double feed[SPECIES_COUNT] = { [SODIUM] = 2.0, [CHLORIDE] = 2.0 };
    const double strong[SPECIES_COUNT] = { [SODIUM] = 2.0 / 0.75, [CHLORIDE] = 2.0 / 0.75 };
    const double none[SPECIES_COUNT] = { 0.0 };
    struct holdup h, rinsed;
    holdup_init(&h, &(struct holdup_size){ 0.06 * LITRE, 0.194 * LITRE }, none, strong);
    rinsed = h;
    struct parcel water = { .volume = 5e-3 };
    memcpy(water.c, feed, sizeof feed);
    usual_passages();
    holdup_rinse(&rinsed, &water);
    cr_assert_float_eq(water.volume * water.c[SODIUM] + rinsed.feed.amount[SODIUM],
                       5e-3 * 2.0 + h.feed.amount[SODIUM], 1e-16);
    holdup_rest(&h, 4e-8, relative_of, 1800.0);
    holdup_rest(&rinsed, 4e-8, relative_of, 1800.0);
    cr_assert_float_eq(rinsed.permeate.amount[SODIUM] / h.permeate.amount[SODIUM], 0.75, 1e-9);
}

/* --- many cycles at once --------------------------------------------------------------------- */

Test(holdup, cycles_at_once_are_the_cycles_one_by_one)
{
    unsigned long seed = 31;
    double worst = 0.0;
    for (int trial = 0; trial < 600; trial++) {
        struct scene a = any_scene(&seed), b;
        const int n = 1 + (int)draw(&seed, 0.0, 60.0);
        a.rhythm.starts = n;
        b = a;
        holdup_cycles(&a.h, &a.rhythm, &a.permeate, &a.concentrate);
        one_by_one(&b, n);
        worst = fmax(worst, apart(&a, &b));
        cr_assert(apart(&a, &b) < 1e-11, "trial %d, n %d: %g", trial, n, apart(&a, &b));
    }
    cr_assert(worst > 0.0, "two different ways cannot agree to the last digit everywhere");
}

Test(holdup, cycles_conserve_and_stay_within_bounds)
{
    unsigned long seed = 32;
    for (int trial = 0; trial < 2000; trial++) {
        struct scene s = any_scene(&seed);
        s.rhythm.starts = draw_log(&seed, 1e-4, 1e5);
        s.rhythm.rest = draw_log(&seed, 1e-2, 1e7);
        s.permeate.volume = draw_log(&seed, 1e-9, 1e-1);
        s.concentrate.volume = draw_log(&seed, 1e-9, 1e-1);
        const struct scene before = s;
        holdup_cycles(&s.h, &s.rhythm, &s.permeate, &s.concentrate);
        for (int i = 0; i < SPECIES_COUNT; i++) {
            const double all = total(&before, i);
            const double most = fmax(fmax(before.h.permeate.amount[i] / before.h.permeate.volume,
                                          before.h.feed.amount[i] / before.h.feed.volume),
                                     fmax(before.permeate.c[i], before.concentrate.c[i]));
            cr_assert(isfinite(s.permeate.c[i]) && isfinite(s.concentrate.c[i]));
            cr_assert_float_eq(total(&s, i), all, 1e-13 * all, "trial %d, %s: %g", trial,
                               species[i].key, total(&s, i) / all - 1.0);
            cr_assert(s.h.permeate.amount[i] >= 0.0 && s.h.feed.amount[i] >= 0.0);
            cr_assert(s.permeate.c[i] >= 0.0 && s.concentrate.c[i] >= 0.0);
            const double room = most + 1e-12 * all / s.permeate.volume;
            cr_assert(s.permeate.c[i] <= room, "trial %d, %s: %g of %g", trial, species[i].key,
                      s.permeate.c[i], most);
            cr_assert(s.h.permeate.amount[i] <= s.h.permeate.volume * most * (1.0 + 1e-12));
            cr_assert(s.h.feed.amount[i] <= s.h.feed.volume * most * (1.0 + 1e-12));
        }
    }
}

/* n cycles at once, then m more with the other part of the parcels. */
static void in_two_portions(struct scene *s, double n, double m)
{
    const double part = n / (n + m);
    struct scene first = *s, second;
    first.rhythm.starts = n;
    first.permeate.volume *= part;
    first.concentrate.volume *= part;
    second = *s;
    holdup_cycles(&first.h, &first.rhythm, &first.permeate, &first.concentrate);
    second.h = first.h;
    second.rhythm.starts = m;
    second.permeate.volume *= 1.0 - part;
    second.concentrate.volume *= 1.0 - part;
    holdup_cycles(&second.h, &second.rhythm, &second.permeate, &second.concentrate);
    s->h = second.h;
    for (int i = 0; i < SPECIES_COUNT; i++) {
        s->permeate.c[i] = part * first.permeate.c[i] + (1.0 - part) * second.permeate.c[i];
        s->concentrate.c[i] =
            part * first.concentrate.c[i] + (1.0 - part) * second.concentrate.c[i];
    }
}

Test(holdup, whole_cycles_add_up)
{
    unsigned long seed = 33;
    for (int trial = 0; trial < 300; trial++) {
        struct scene a = any_scene(&seed), b = a;
        const double n = floor(draw_log(&seed, 1.0, 2000.0));
        const double m = floor(draw_log(&seed, 1.0, 2000.0));
        a.rhythm.starts = n + m;
        holdup_cycles(&a.h, &a.rhythm, &a.permeate, &a.concentrate);
        in_two_portions(&b, n, m);
        cr_assert(apart(&a, &b) < 1e-11, "trial %d, %g and %g: %g", trial, n, m, apart(&a, &b));
    }
}

/* Salt that crosses in rests, in `parcels` parcels of an element that cycles for an hour. */
static double salt_of(double parcels, double cycles, double rest)
{
    const double strong[SPECIES_COUNT] = { [SODIUM] = 6.0 }, pure[SPECIES_COUNT] = { 0.0 };
    struct holdup h;
    double salt = 0.0;
    holdup_init(&h, &(struct holdup_size){ 0.06 * LITRE, 0.194 * LITRE }, pure, strong);
    const struct holdup_rhythm r = { cycles / parcels, rest, 4e-8, relative_of };
    for (int k = 0; k < (int)parcels; k++) {
        struct parcel p = { .volume = 0.5 * LITRE / parcels, .c = { [SODIUM] = 0.1 } };
        struct parcel c = { .volume = 1.5 * LITRE / parcels, .c = { [SODIUM] = 6.0 } };
        holdup_cycles(&h, &r, &p, &c);
        salt += p.volume * (p.c[SODIUM] - 0.1);
    }
    return salt + h.permeate.amount[SODIUM];
}

/* Parcels may cut a cycle: while a rest is short against tau2 (19 min here) that hardly matters. */
Test(holdup, small_parcels_give_the_salt_of_large_ones)
{
    usual_passages();
    for (double rest = 60.0; rest > 1.0; rest *= 0.5) {
        const double whole = salt_of(1.0, 60.0, rest);
        for (double parcels = 7.0; parcels < 3000.0; parcels *= 4.0) {
            const double cut = salt_of(parcels, 60.0, rest);
            cr_assert(fabs(cut / whole - 1.0) < 2e-4 + 1e-5 * rest, "rest %g, %g parcels: %g", rest,
                      parcels, cut / whole - 1.0);
        }
    }
}

Test(holdup, fewer_and_fewer_starts_become_one_long_run)
{
    unsigned long seed = 34;
    for (int trial = 0; trial < 100; trial++) {
        const struct scene scene = any_scene(&seed);
        struct scene run = scene, last = scene;
        holdup_pass(&run.h, &run.permeate, &run.concentrate);
        last.rhythm.starts = 0.0;
        holdup_cycles(&last.h, &last.rhythm, &last.permeate, &last.concentrate);
        cr_assert(apart(&last, &run) < 1e-15, "no start is a run");
        double before = INFINITY;
        for (double n = 1e-7; n > 1e-15; n *= 0.1) {
            struct scene s = scene;
            s.rhythm.starts = n;
            holdup_cycles(&s.h, &s.rhythm, &s.permeate, &s.concentrate);
            const double d = apart(&s, &run);
            cr_assert(d < 0.2 * before + 1e-13, "trial %d, n %g: %g", trial, n, d);
            before = d;
        }
        cr_assert(before < 1e-8, "trial %d: %g", trial, before);
    }
}

Test(holdup, there_is_no_step_between_one_number_of_starts_and_the_next)
{
    unsigned long seed = 35;
    for (int trial = 0; trial < 100; trial++) {
        const struct scene scene = any_scene(&seed);
        for (double n = 0.5; n < 4.0; n += 0.125) {
            struct scene a = scene, b = scene;
            a.rhythm.starts = n;
            b.rhythm.starts = n * (1.0 - 1e-10);
            holdup_cycles(&a.h, &a.rhythm, &a.permeate, &a.concentrate);
            holdup_cycles(&b.h, &b.rhythm, &b.permeate, &b.concentrate);
            cr_assert(apart(&a, &b) < 1e-7, "trial %d, n %g: %g", trial, n, apart(&a, &b));
        }
    }
}

Test(holdup, settles_to_the_swing_in_closed_form)
{
    unsigned long seed = 36;
    for (int trial = 0; trial < 60; trial++) {
        struct scene s = any_scene(&seed);
        s.rhythm.starts = 1 + (int)draw(&seed, 0.0, 10.0);
        s.permeate.volume = draw_log(&seed, 0.05, 5.0) * s.h.permeate.volume * s.rhythm.starts;
        s.concentrate.volume = draw_log(&seed, 0.05, 5.0) * s.h.feed.volume * s.rhythm.starts;
        const struct scene fresh = s;
        for (int k = 0; k < 400; k++) {
            s.permeate = fresh.permeate;
            s.concentrate = fresh.concentrate;
            one_by_one(&s, (int)s.rhythm.starts);
        }
        for (int i = 0; i < SPECIES_COUNT; i++) {
            const struct holdup_swing swing =
                holdup_swing(&fresh.h, &fresh.rhythm, &fresh.permeate, &fresh.concentrate, i);
            const double c = fresh.permeate.c[i] + fresh.concentrate.c[i];
            struct holdup h = s.h;
            cr_assert_float_eq(swing.end, h.permeate.amount[i] / h.permeate.volume, 1e-9 * c,
                               "end of %s", species[i].key);
            cr_assert_float_eq(swing.mean, s.permeate.c[i], 1e-9 * c, "mean of %s", species[i].key);
            holdup_rest(&h, s.rhythm.BA, relative_of, s.rhythm.rest);
            cr_assert_float_eq(swing.rest, h.permeate.amount[i] / h.permeate.volume, 1e-9 * c,
                               "rest of %s", species[i].key);
        }
    }
}

/* Long runs after long rests: each start gives Vr (cc - cp), Vr = Vp Vf/(Vp + Vf). */
Test(holdup, long_cycles_give_the_whole_pulse)
{
    const struct holdup_size size = { 0.06 * LITRE, 0.194 * LITRE };
    const double none[SPECIES_COUNT] = { 0.0 };
    struct holdup h;
    holdup_init(&h, &size, none, none);
    usual_passages();
    const struct parcel permeate = { .volume = 50.0 * LITRE, .c = { [SODIUM] = 0.1 } };
    const struct parcel brine = { .volume = 100.0 * LITRE, .c = { [SODIUM] = 6.0 } };
    const struct holdup_rhythm r = { 10.0, 1e6, 4e-8, relative_of };
    const struct holdup_swing s = holdup_swing(&h, &r, &permeate, &brine, SODIUM);
    const double Vr = 0.06 * 0.194 / 0.254 * LITRE;
    cr_assert_float_eq((s.mean - 0.1) * 5.0 * LITRE, Vr * 5.9, 1e-12);
    cr_assert_float_eq(s.end, 0.1, 1e-12);
    cr_assert_float_eq(s.rest, 0.1 + 5.9 * 0.194 / 0.254, 1e-9);
}

/* What comes out of one species is more, the oftener the same water is made in portions. */
Test(holdup, more_starts_carry_more_salt)
{
    unsigned long seed = 37;
    for (int trial = 0; trial < 100; trial++) {
        struct scene s = any_scene(&seed);
        s.permeate.c[SODIUM] = 0.05;
        s.concentrate.c[SODIUM] = 2.0;
        double before = 0.0;
        for (double n = 0.01; n < 1e4; n *= 1.5) {
            s.rhythm.starts = n;
            const double mean =
                holdup_swing(&s.h, &s.rhythm, &s.permeate, &s.concentrate, SODIUM).mean;
            cr_assert(mean >= before * (1.0 - 1e-9), "trial %d, n %g: %g", trial, n, mean);
            cr_assert(mean >= 0.05 * (1.0 - 1e-12) && mean <= 2.0);
            before = mean;
        }
    }
}

Test(holdup, a_membrane_that_lets_nothing_pass_only_washes)
{
    unsigned long seed = 38;
    for (int trial = 0; trial < 100; trial++) {
        struct scene a = any_scene(&seed), b;
        a.rhythm.BA = 0.0;
        b = a;
        holdup_cycles(&a.h, &a.rhythm, &a.permeate, &a.concentrate);
        holdup_pass(&b.h, &b.permeate, &b.concentrate);
        cr_assert(apart(&a, &b) < 1e-12, "trial %d: %g", trial, apart(&a, &b));
    }
}

Test(holdup, without_water_cycles_are_one_rest)
{
    unsigned long seed = 39;
    struct scene a = any_scene(&seed), b;
    a.permeate.volume = a.concentrate.volume = 0.0;
    b = a;
    holdup_cycles(&a.h, &a.rhythm, &a.permeate, &a.concentrate);
    holdup_rest(&b.h, b.rhythm.BA, relative_of, b.rhythm.rest * b.rhythm.starts);
    for (int i = 0; i < SPECIES_COUNT; i++)
        cr_assert_float_eq(a.h.permeate.amount[i], b.h.permeate.amount[i], 1e-18);
}

Test(holdup, the_table_is_sound)
{
    for (const struct field *f = holdup_fields; f->key; f++)
        cr_assert(f->preset >= f->low && f->preset <= f->high && f->min <= f->low &&
                      f->high <= f->max && f->offset < sizeof(struct holdup_size),
                  "%s", f->key);
}
