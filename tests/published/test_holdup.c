/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * models/holdup.c against stated values.  No measured curve of the first minutes after a rest was
 * found anywhere; these are computed from the equations of diffusion and wash-out for one element
 * (Vp 0.060 L, Vf 0.094 L, 0.42 m2, B 0.35 L/(m2 h), 300 mg/L against 6), printed to four digits;
 * 0.5 %.  They test the arithmetic, not the physics.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/holdup.h"

static const double LITRE = 1e-3, MINUTE = 60.0;
static const double BA = 0.42 * 0.35e-3 / 3600.0; /* m3/s */

static double relative_of[SPECIES_COUNT];

static double off(double got, double want)
{
    return fabs(got - want) / want;
}

/* 6 mg/L against 300, as g/m3 of one salt. */
static struct holdup element(double feed_volume)
{
    const double p[SPECIES_COUNT] = { [SODIUM] = 6.0 }, f[SPECIES_COUNT] = { [SODIUM] = 300.0 };
    struct holdup h;
    holdup_init(&h, &(struct holdup_size){ 0.060 * LITRE, feed_volume }, p, f);
    return h;
}

static double permeate(const struct holdup *h)
{
    return h->permeate.amount[SODIUM] / h->permeate.volume;
}

static double after(double feed_volume, double minutes)
{
    struct holdup h = element(feed_volume);
    holdup_rest(&h, BA, relative_of, minutes * MINUTE);
    return permeate(&h);
}

/* Computed: tau = Vp/(BA), tau2 = Vp Vf/(Vp + Vf)/(BA); after one of them 1/e of the difference to
 * the end is left. */
Test(holdup, has_the_time_constants)
{
    const double large = 1e6; /* m3: fresh feed without end */
    cr_assert(off(300.0 - after(large, 24.49), 294.0 / M_E) < 0.005);
    const double end = 185.45;
    cr_assert(off(after(0.094 * LITRE, 1e4), end) < 1e-4);
    cr_assert(off(end - after(0.094 * LITRE, 14.95), (end - 6.0) / M_E) < 0.005);
}

Test(holdup, creeps_as_one_volume_while_fresh_feed_replaces_the_other)
{
    const double rows[][2] = {
        { 15, 140.7 }, { 30, 213.6 }, { 60, 274.6 }, { 120, 297.8 }, { 480, 300.0 }
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_assert(off(after(1e6, rows[i][0]), rows[i][1]) < 0.005, "%g min: %g", rows[i][0],
                  after(1e6, rows[i][0]));
}

Test(holdup, creeps_as_two_volumes_when_shut_in)
{
    const double rows[][2] = { { 15, 119.7 }, { 30, 161.3 }, { 60, 182.2 }, { 120, 185.40 } };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        cr_assert(off(after(0.094 * LITRE, rows[i][0]), rows[i][1]) < 0.005, "%g min: %g",
                  rows[i][0], after(0.094 * LITRE, rows[i][0]));
}

/* Wash-out from 200 mg/L at 150 mL/min, 6 mg/L coming in: what stands there, and so what comes out,
 * after a time; 10 mg/L after 93 s and 0.233 L. */
Test(holdup, washes_out)
{
    const double rows[][2] = {
        { 10, 133.9 }, { 30, 61.6 }, { 60, 21.9 }, { 120, 7.31 }, { 93, 10 }
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct holdup h = element(0.094 * LITRE);
        h.permeate.amount[SODIUM] = 200.0 * 0.060 * LITRE;
        struct parcel water = { .volume = 0.150 * LITRE / MINUTE * rows[i][0],
                                .c = { [SODIUM] = 6.0 } };
        struct parcel none = { 0 };
        holdup_pass(&h, &water, &none);
        cr_assert(off(permeate(&h), rows[i][1]) < 0.005, "%g s: %g", rows[i][0], permeate(&h));
    }
    cr_assert(off(0.150 / MINUTE * 93.0, 0.233) < 0.005);
}

/* After two hours shut in: 10.74 mg more than the steady 6 mg/L come out, whatever the path; a
 * batch of 0.5 L has 27.5 mg/L on average, one of 10 L 7.07. */
Test(holdup, gives_the_creep_load_to_the_first_batch)
{
    const double rows[][2] = { { 0.5, 27.5 }, { 10.0, 7.07 } };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct holdup h = element(0.094 * LITRE);
        holdup_rest(&h, BA, relative_of, 120.0 * MINUTE);
        struct parcel batch = { .volume = rows[i][0] * LITRE, .c = { [SODIUM] = 6.0 } };
        struct parcel none = { 0 };
        holdup_pass(&h, &batch, &none);
        cr_assert(off(batch.c[SODIUM], rows[i][1]) < 0.005, "%g L: %g", rows[i][0],
                  batch.c[SODIUM]);
        const double load = (batch.c[SODIUM] - 6.0) * batch.volume * 1e3; /* mg */
        cr_assert(off(load, 10.74) < 0.005, "%g L: %g mg", rows[i][0], load);
    }
}

/* A manual for home units says that 1 to 4 minutes of running clear it after a long rest: within
 * them at most a tenth of the pulse is left at 150 mL/min. */
Test(holdup, is_clear_within_the_minutes_that_a_manual_gives)
{
    double left[2];
    for (int minutes = 1, i = 0; i < 2; minutes = 4, i++) {
        struct holdup h = element(0.094 * LITRE);
        holdup_rest(&h, BA, relative_of, 8 * 60 * MINUTE);
        const double before = permeate(&h) - 6.0;
        struct parcel water = { .volume = 0.150 * LITRE * minutes, .c = { [SODIUM] = 6.0 } };
        struct parcel none = { 0 };
        holdup_pass(&h, &water, &none);
        left[i] = (permeate(&h) - 6.0) / before;
    }
    cr_assert(left[0] < 0.1 && left[0] > 0.01, "after 1 min %g", left[0]);
    cr_assert(left[1] < 1e-3, "after 4 min %g", left[1]);
}
