/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * carbon: conservation of chlorine and nitrogen, bounds, order in the parcel, independence of
 * cells.
 */
#include <criterion/criterion.h>
#include <math.h>

#include "models/carbon.h"
#include "models/stage.h"
#include "models/water.h"
#include "tests/at.h"

static double draw(unsigned long *seed, double low, double high)
{
    *seed = (*seed * 1103515245UL + 12345UL) % 2147483648UL;
    return low + (high - low) * (double)*seed / 2147483648.0;
}

static const struct carbon block = { .volume = 0.588e-3,
                                     .resistance = 4.4e8,
                                     .chlorine_rate = 0.4167,
                                     .chloramine_rate = 0.0208,
                                     .activation = 2947.0,
                                     .capacity = 18.9e-3,
                                     .ammonia_share = 1.0,
                                     .cells = 20 };

static const double CHLORINE_MASS = 0.070906; /* kg/mol of Cl2 */

static struct parcel parcel_of(double volume, double flow, double chlorine, double chloramine)
{
    struct parcel w = { .volume = volume, .duration = volume / flow, .temperature = 20.0 };
    for (int i = 0; i < SPECIES_COUNT; i++)
        w.c[i] = 0.05 * (i + 1);
    w.c[CHLORINE] = chlorine;
    w.c[CHLORAMINE] = chloramine;
    return w;
}

static double left(const struct carbon *p, const struct carbon_state *s)
{
    double sum = 0.0;
    for (int i = 0; i < p->cells; i++)
        sum += s->left[i];
    return sum / p->cells;
}

Test(carbon, fresh_block_removes_as_exp_of_rate_and_contact_time)
{
    for (double flow = 1e-6; flow < 2e-4; flow *= 1.7) {
        struct carbon_state s;
        double nitrogen = 0.0;
        carbon_init(&block, &s);
        struct parcel w = parcel_of(1e-12, flow, 0.03, 0.04); /* uses next to no sites */
        carbon_carry(&block, &s, &w, &nitrogen);
        const double tau = carbon_contact_time(&block, flow);
        cr_assert_float_eq(w.c[CHLORINE], 0.03 * exp(-0.4167 * tau), 1e-9, "flow %g", flow);
        cr_assert_float_eq(w.c[CHLORAMINE], 0.04 * exp(-0.0208 * tau), 1e-9, "flow %g", flow);
    }
}

Test(carbon, conserves_chlorine_and_nitrogen_and_touches_nothing_else)
{
    unsigned long seed = 8;
    struct carbon_state s;
    carbon_init(&block, &s);
    for (int i = 0; i < 3000; i++) {
        struct carbon p = block;
        p.ammonia_share = draw(&seed, 1.0 / 3.0, 1.0);
        struct parcel w = parcel_of(draw(&seed, 1e-5, 0.2), draw(&seed, 1e-6, 1e-4),
                                    draw(&seed, 0.0, 0.05), draw(&seed, 0.0, 0.06));
        w.temperature = draw(&seed, 2.0, 30.0);
        const struct parcel in = w;
        double nitrogen = 0.0;
        carbon_carry(&p, &s, &w, &nitrogen);
        const double chlorine = w.c[CHLORIDE] + w.c[CHLORINE] + w.c[CHLORAMINE];
        cr_assert_float_eq(chlorine, in.c[CHLORIDE] + in.c[CHLORINE] + in.c[CHLORAMINE], 1e-15,
                           "parcel %d", i);
        cr_assert_float_eq((w.c[AMMONIUM] + w.c[CHLORAMINE]) * w.volume + nitrogen,
                           (in.c[AMMONIUM] + in.c[CHLORAMINE]) * in.volume, 1e-16, "parcel %d", i);
        cr_assert(w.c[CHLORINE] >= 0.0 && w.c[CHLORINE] <= in.c[CHLORINE], "parcel %d", i);
        cr_assert(w.c[CHLORAMINE] >= 0.0 && w.c[CHLORAMINE] <= in.c[CHLORAMINE], "parcel %d", i);
        for (int k = 0; k < SPECIES_COUNT; k++)
            if (k != CHLORINE && k != CHLORAMINE && k != CHLORIDE && k != AMMONIUM)
                cr_assert_eq(w.c[k], in.c[k], "parcel %d, species %d", i, k);
        if (left(&p, &s) < 0.01)
            carbon_init(&p, &s);
    }
}

Test(carbon, sites_fall_by_what_reacted_and_stay_within_bounds)
{
    unsigned long seed = 12;
    for (int i = 0; i < 2000; i++) {
        struct carbon p = block;
        p.ammonia_share = draw(&seed, 1.0 / 3.0, 1.0);
        p.cells = 1 + (int)draw(&seed, 0.0, 63.99);
        struct carbon_state s;
        carbon_init(&p, &s);
        for (int k = 0; k < p.cells; k++)
            s.left[k] = draw(&seed, 0.0, 1.0);
        const double before = left(&p, &s);
        struct parcel w = parcel_of(exp(draw(&seed, log(1e-6), log(100.0))),
                                    exp(draw(&seed, log(1e-8), log(1e-3))), draw(&seed, 0.0, 0.1),
                                    draw(&seed, 0.0, 0.1));
        const struct parcel in = w;
        double nitrogen = 0.0;
        carbon_carry(&p, &s, &w, &nitrogen);
        const double used = (in.c[CHLORINE] - w.c[CHLORINE] +
                             (1.5 * p.ammonia_share - 0.5) * (in.c[CHLORAMINE] - w.c[CHLORAMINE])) *
                            w.volume;
        const double sites = p.capacity / CHLORINE_MASS;
        cr_assert_float_eq((before - left(&p, &s)) * sites, used, 1e-13 * sites + 1e-13 * used,
                           "case %d: %g, %g", i, (before - left(&p, &s)) * sites, used);
        for (int k = 0; k < p.cells; k++)
            cr_assert(s.left[k] >= 0.0 && s.left[k] <= 1.0, "case %d, cell %d", i, k);
    }
}

Test(carbon, uses_up_no_sites_where_a_third_of_the_nitrogen_leaves_as_ammonia)
{
    struct carbon p = block;
    p.ammonia_share = 1.0 / 3.0;
    struct carbon_state s;
    carbon_init(&p, &s);
    double nitrogen = 0.0;
    for (int i = 0; i < 100; i++) {
        struct parcel w = parcel_of(1.0, 1e-5, 0.0, 0.05);
        const double ammonium = w.c[AMMONIUM];
        carbon_carry(&p, &s, &w, &nitrogen);
        cr_assert_float_eq(w.c[AMMONIUM] - ammonium, (0.05 - w.c[CHLORAMINE]) / 3.0, 1e-15);
    }
    cr_assert_float_eq(left(&p, &s), 1.0, 1e-12);
    cr_assert_gt(nitrogen, 1.0);
}

/* A parcel of a block's whole life or of no water, no time or no oxidant is taken as it comes. */
Test(carbon, takes_parcels_of_any_size)
{
    const double sites = block.capacity / CHLORINE_MASS;
    struct carbon_state s;
    double nitrogen = 0.0;
    carbon_init(&block, &s);
    struct parcel huge = parcel_of(1000.0 * sites / 0.03, 1e-5, 0.03, 0.0);
    carbon_carry(&block, &s, &huge, &nitrogen);
    cr_assert_float_eq((0.03 - huge.c[CHLORINE]) * huge.volume, sites, 0.01 * sites);
    cr_assert_leq((0.03 - huge.c[CHLORINE]) * huge.volume, sites * (1.0 + 1e-12));

    carbon_init(&block, &s);
    struct parcel none = parcel_of(1.0, 1e-5, 0.03, 0.03);
    none.volume = none.duration = 0.0;
    struct parcel sudden = parcel_of(1e-3, 1e-5, 0.03, 0.03);
    sudden.duration = 0.0;
    struct parcel clean = parcel_of(1.0, 1e-5, 0.0, 0.0);
    carbon_carry(&block, &s, &none, &nitrogen);
    carbon_carry(&block, &s, &sudden, &nitrogen);
    carbon_carry(&block, &s, &clean, &nitrogen);
    cr_assert(none.c[CHLORINE] == 0.03 && sudden.c[CHLORINE] == 0.03 && clean.c[CHLORINE] == 0.0);
    cr_assert_eq(left(&block, &s), 1.0);
    cr_assert_eq(nitrogen, 0.0);
}

/* The cell mean of u obeys the cell's equations exactly, so that cells do not enter the outlet. */
Test(carbon, outlet_does_not_depend_on_the_number_of_cells)
{
    struct carbon one = block, many = block;
    one.cells = 1;
    many.cells = 64;
    struct carbon_state s1, s64;
    carbon_init(&one, &s1);
    carbon_init(&many, &s64);
    double nitrogen = 0.0;
    unsigned long seed = 21;
    for (int i = 0; i < 200; i++) {
        struct parcel a = parcel_of(draw(&seed, 0.01, 0.1), draw(&seed, 5e-6, 6e-5),
                                    draw(&seed, 0.0, 0.03), draw(&seed, 0.0, 0.03));
        struct parcel b = a;
        carbon_carry(&one, &s1, &a, &nitrogen);
        carbon_carry(&many, &s64, &b, &nitrogen);
        cr_assert_float_eq(a.c[CHLORINE], b.c[CHLORINE], 1e-13, "parcel %d", i);
        cr_assert_float_eq(a.c[CHLORAMINE], b.c[CHLORAMINE], 1e-13, "parcel %d", i);
    }
    cr_assert_float_eq(s1.left[0], left(&many, &s64), 1e-12);
    cr_assert(s1.left[0] > 0.01 && s1.left[0] < 0.9, "%g", s1.left[0]);
}

/* Volume at which a chlorine feed of c0 comes through at a tenth of it. */
static double breakthrough(double c0, double flow, double parcel)
{
    struct carbon_state s;
    carbon_init(&block, &s);
    double nitrogen = 0.0, before = 0.0;
    for (double v = 0.0;; v += parcel) {
        struct parcel w = parcel_of(parcel, flow, c0, 0.0);
        carbon_carry(&block, &s, &w, &nitrogen);
        const double x = w.c[CHLORINE] / c0;
        if (x > 0.1)
            return v + parcel * (0.5 - (x - 0.1) / (x - before));
        before = x;
    }
}

Test(carbon, breakthrough_converges_at_first_order_in_the_parcel_and_is_settled_at_the_limit)
{
    const double c0 = 0.02, flow = 1.09e-5;
    struct parcel w = parcel_of(1.0, flow, c0, 0.0);
    union stage_params p = { .carbon = block };
    const double limit = stage_carbon.parcel_limit(&p, NULL, w.c);
    const double v1 = breakthrough(c0, flow, limit), v2 = breakthrough(c0, flow, limit / 2.0);
    const double v4 = breakthrough(c0, flow, limit / 4.0);
    cr_assert_float_eq((v2 - v1) / (v4 - v2), 2.0, 0.2, "ratio %g", (v2 - v1) / (v4 - v2));
    cr_assert_float_eq(v2 / v1, 1.0, 0.002, "halving moves it by %g", v2 / v1 - 1.0);
}

Test(carbon, front_moves_from_the_inlet_to_the_outlet)
{
    struct carbon_state s;
    carbon_init(&block, &s);
    double nitrogen = 0.0, last = 1.0;
    for (int i = 0; i < 200; i++) {
        struct parcel w = parcel_of(0.05, 1.09e-5, 0.02, 0.0);
        carbon_carry(&block, &s, &w, &nitrogen);
        for (int k = 1; k < block.cells; k++)
            cr_assert(s.left[k] >= s.left[k - 1], "parcel %d, cell %d", i, k);
        cr_assert(left(&block, &s) < last, "parcel %d", i);
        last = left(&block, &s);
    }
    cr_assert(s.left[0] < 0.01 && s.left[19] > 0.9, "%g %g", s.left[0], s.left[19]);
}

Test(carbon, warm_water_and_long_contact_remove_more)
{
    double before = INFINITY;
    for (double t = 2.0; t < 32.0; t += 3.0) {
        struct carbon_state s;
        double nitrogen = 0.0;
        carbon_init(&block, &s);
        struct parcel w = parcel_of(1e-4, 1.09e-5, 0.0, 0.04);
        w.temperature = t;
        carbon_carry(&block, &s, &w, &nitrogen);
        cr_assert(w.c[CHLORAMINE] < before, "t %g", t);
        before = w.c[CHLORAMINE];
    }
    before = 0.0;
    for (double flow = 1e-6; flow < 1e-4; flow *= 1.5) {
        struct carbon_state s;
        double nitrogen = 0.0;
        carbon_init(&block, &s);
        struct parcel w = parcel_of(1e-4, flow, 0.0, 0.04);
        carbon_carry(&block, &s, &w, &nitrogen);
        cr_assert(w.c[CHLORAMINE] > before, "flow %g", flow);
        before = w.c[CHLORAMINE];
    }
}

Test(carbon, pressure_drop_is_in_proportion_to_flow_and_viscosity)
{
    const double at20 = carbon_pressure_drop(&block, 1e-5, AT(20.0));
    cr_assert_float_eq(at20, 4.4e3, 1e-6);
    cr_assert_float_eq(carbon_pressure_drop(&block, -2e-5, AT(20.0)), -2.0 * at20, 1e-9);
    cr_assert_float_eq(carbon_pressure_drop(&block, 1e-5, AT(5.0)) / at20,
                       water_viscosity(5.0) / water_viscosity(20.0), 1e-10);
}

Test(carbon, contact_time_is_volume_over_flow_and_without_end_at_rest)
{
    cr_assert_float_eq(carbon_contact_time(&block, 1e-5), 58.8, 1e-12);
    cr_assert_eq(carbon_contact_time(&block, 0.0), INFINITY);
}

Test(carbon, row_of_the_stage_passes_on_nitrogen_and_counts_what_is_used)
{
    union stage_params p = { .carbon = block };
    p.carbon.ammonia_share = 0.5;
    union stage_state s;
    struct stage_exits exits = { .nitrogen = 0.25 };
    stage_carbon.start(&p, &s);
    cr_assert_eq(stage_carbon.used(&p, &s), 0.0);
    struct parcel w = parcel_of(0.5, 1e-5, 0.0, 0.04), direct = w;
    stage_carbon.carry(&p, &s, &w, &(struct stage_passage){ .starts = 0.0 }, &exits);
    struct carbon_state alone;
    double nitrogen = 0.25;
    carbon_init(&p.carbon, &alone);
    carbon_carry(&p.carbon, &alone, &direct, &nitrogen);
    cr_assert_eq(exits.nitrogen, nitrogen);
    cr_assert_gt(nitrogen, 0.25);
    cr_assert_float_eq(stage_carbon.used(&p, &s), 1.0 - left(&p.carbon, &alone), 1e-15);
    for (int i = 0; i < SPECIES_COUNT; i++)
        cr_assert_eq(stage_carbon.held(&p, &s, (enum species)i), 0.0);
    struct parcel clean = parcel_of(1.0, 1e-5, 0.0, 0.0);
    cr_assert_eq(stage_carbon.parcel_limit(&p, &s, clean.c), INFINITY);
}
