/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "fixture.h"
#include "sim/sizing.h"
#include "sim/summary.h"

static struct sizing sizing;

static void size(const struct plant *p, const struct plan *plan)
{
    const struct sizing_doubt doubt = { 0.2, 0.1, 0.4 };
    cr_assert_eq(sizing_of(p, plan, &doubt, &sizing), STATUS_OK);
}

Test(sizing, makes_less_in_the_cold)
{
    struct plant p = fixture_plant();
    p.feed.temperature = (struct cycle){ 12.0, 7.0, 220.0, 0.0, 0.0 };
    const struct plan plan = fixture_plan(365.0);
    size(&p, &plan);
    const struct sizing_point *z = sizing.point;
    cr_assert_float_eq(z[SIZING_COLDEST].temperature, 5.0, 0.01);
    cr_assert_float_eq(z[SIZING_WARMEST].temperature, 19.0, 0.01);
    cr_assert_lt(z[SIZING_COLDEST].signals.product_flow, 0.9 * z[SIZING_MEAN].signals.product_flow);
    cr_assert_gt(z[SIZING_WARMEST].signals.product_flow, 1.1 * z[SIZING_MEAN].signals.product_flow);
}

Test(sizing, needs_what_a_run_evaporates_and_draws)
{
    const struct plant p = fixture_plant();
    const struct plan plan = fixture_plan(100.0);
    size(&p, &plan);
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    const double used = (out.state.x[X_EVAPORATED] + out.state.x[X_DRAWN]) / plan.length;
    cr_assert_float_eq(sizing.need_mean, used, 0.01 * used);
}

Test(sizing, lasts_as_long_as_a_run_on_the_same_steady_water)
{
    struct plant p = fixture_plant();
    p.feed.c[CARBON] += 0.5;
    struct plan plan = fixture_plan(60.0);
    plan.limits.product = 2e-3;
    plan.draw[0].every = 2.0 * 86400.0;
    size(&p, &plan);
    cr_assert_eq(sizing.life[3][LIFE_MIDDLE].why, END_READING);

    static struct outcome out;
    static struct summary summary;
    summary_init(&summary);
    const struct observer o = { summary_see, &summary };
    fixture_run(&p, &plan, &o, &out);
    const double litres = summary.first.litres[PASSED_PRODUCT_LIMIT];
    cr_assert_float_eq(sizing.life[3][LIFE_MIDDLE].litres, litres, 0.03 * litres, "%g against %g",
                       sizing.life[3][LIFE_MIDDLE].litres, litres);
}

Test(sizing, lasts_shorter_with_more_carbon_dioxide)
{
    struct plant p = fixture_plant();
    p.feed.c[CARBON] += 0.5;
    const struct plan plan = fixture_plan(100.0);
    size(&p, &plan);
    const struct sizing_life *l = sizing.life[3];
    cr_assert_lt(l[LIFE_SHORT].litres, l[LIFE_MIDDLE].litres);
    cr_assert_lt(l[LIFE_MIDDLE].litres, l[LIFE_LONG].litres);
    double anions = 0.0;
    for (int i = FIRST_ANION; i <= LAST_ANION; i++)
        anions += l[LIFE_MIDDLE].share[i];
    cr_assert_lt(fabs(anions - 1.0), 0.1, "the anion sites are what ends: %g", anions);
}

/* A float valve on the product and nothing on the feed. */
static struct plant float_only(void)
{
    struct plant p = fixture_plant();
    p.fill = (struct fill){ .float_valve = true, .valve = { 0.7, 0.02, 2.5e-3 } };
    p.tank_start = 0.69;
    return p;
}

Test(sizing, counts_the_drain_of_a_float_only_plant_as_a_run_does)
{
    const struct plant p = float_only();
    const struct plan plan = fixture_plan(60.0);
    size(&p, &plan);
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    const double drain = out.state.x[X_DRAIN] / plan.length;
    cr_assert(sizing.throttled);
    cr_assert_float_eq(sizing.drain, drain, 0.02 * drain, "%g against %g", sizing.drain, drain);
    cr_assert_float_eq(sizing.rest_drain, drain, 0.05 * drain);
    const double feed = out.state.x[X_FEED] / plan.length;
    cr_assert_float_eq(sizing.feed, feed, 0.02 * feed);
    cr_assert_lt(sizing.pace.rejection, sizing.point[SIZING_MEAN].rejection - 0.05,
                 "throttled water is saltier");
}

Test(sizing, ends_the_sediment_of_a_float_only_plant_by_all_the_water_that_passes)
{
    const struct plant p = float_only();
    const struct plan plan = fixture_plan(60.0);
    size(&p, &plan);
    const struct sizing_life *l = &sizing.life[0][LIFE_MIDDLE];
    static struct outcome out;
    static struct summary summary;
    summary_init(&summary);
    const struct observer o = { summary_see, &summary };
    fixture_run(&p, &plan, &o, &out);
    cr_assert_eq(l->why, END_DEPOSIT);
    const double days = 1e-3 * l->litres / (sizing.need_mean * 86400.0);
    cr_assert_float_eq(days, 60.0 / summary.used[0], 0.03 * days, "%g against %g", days,
                       60.0 / summary.used[0]);
}

Test(sizing, has_a_solenoid_rest_without_drain)
{
    struct plant p = fixture_plant();
    p.train[2].params.membrane.wear.on = false; /* the sizing is that of a new one */
    const struct plan plan = fixture_plan(60.0);
    size(&p, &plan);
    cr_assert_not(sizing.throttled);
    cr_assert_eq(sizing.rest_drain, 0.0);
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    const double ratio = out.state.x[X_DRAIN] / out.state.x[X_PRODUCT];
    cr_assert_float_eq(sizing.drain / sizing.need_mean, ratio, 0.02 * ratio);
}

Test(sizing, takes_what_a_fresh_bed_lets_past_for_no_end)
{
    struct plant p = fixture_plant();
    const struct plan plan = fixture_plan(60.0);
    p.train[3].params.resin.short_flow = 0.05; /* loose: a fresh bed shows more than 1 ppm */
    p.train[3].params.resin.short_resin = 1e-4;
    p.train[2] = p.train[3]; /* and there is no membrane before it */
    p.stages = 3;
    p.membrane = -1;
    size(&p, &plan);
    const struct sizing_life *l = &sizing.life[2][LIFE_MIDDLE];
    cr_assert_geq(l->fresh, 1e-3, "%g", l->fresh);
    cr_assert_float_eq(l->due, l->fresh + 1e-3, 1e-12);
    cr_assert_gt(l->litres, 10.0, "%g", l->litres);
}

Test(sizing, counts_litres_where_nothing_is_needed)
{
    struct plant p = fixture_plant();
    struct plan plan = fixture_plan(60.0);
    size(&p, &plan);
    const struct sizing with = sizing;
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    plan.draws = 0;
    size(&p, &plan);
    cr_assert_eq(sizing.need_mean, 0.0);
    cr_assert_eq(sizing.life[3][LIFE_MIDDLE].why, END_READING);
    cr_assert_float_eq(sizing.life[3][LIFE_MIDDLE].litres, with.life[3][LIFE_MIDDLE].litres, 1e-6);
}

Test(sizing, orders_its_ranges_and_judges_only_what_it_can)
{
    for (unsigned long seed = 1; seed <= 12; seed++) {
        const struct plant p = fixture_random_plant(seed);
        const struct plan plan = fixture_plan(60.0);
        size(&p, &plan);
        for (int k = 0; k < p.stages; k++) {
            const struct sizing_life *l = sizing.life[k];
            cr_assert_leq(l[LIFE_SHORT].litres, l[LIFE_MIDDLE].litres, "seed %lu", seed);
            cr_assert_leq(l[LIFE_MIDDLE].litres, l[LIFE_LONG].litres, "seed %lu", seed);
            if (p.train[k].kind == &stage_membrane || p.train[k].kind == &stage_pump)
                cr_assert_eq(l[LIFE_MIDDLE].why, END_UNKNOWN);
        }
    }
}

/* ---- water that no valve on the feed holds back -------------------------------------------------
 */

/* What a full bladder gives, against a run: a day to fill it, then the float sticks open with the
 * feed shut. */
static void expect_bladder_gives(bool valve)
{
    struct plant p = fixture_plant();
    p.train[2].params.membrane.wear.on = false;
    p.fill = (struct fill){ .float_valve = true,
                            .valve = { 0.7, 0.02, 2.5e-3 },
                            .stiction = 0.05,
                            .shutoff_valve = valve,
                            .shutoff = p.fill.shutoff };
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    p.tank_start = 0.71;
    p.line.inlet_height = 2.0;
    fixture_presets(&p.bladder, bladder_fields);
    p.bladder.precharge_loss = 0.0;
    p.bladder.precharge = 10e3; /* below the lift: some of it never comes */
    p.has_bladder = true;
    struct plan plan = fixture_plan(4.0);
    plan.draws = 0;
    int stuck = 0;
    while (strcmp(fault_modes[stuck].part, "float valve") != 0)
        stuck++;
    plan.event[plan.events++] = (struct event){ .at = 3.0 * 86400.0, .kind = EVENT_HAND_SHUT };
    plan.event[plan.events++] =
        (struct event){ 3.0 * 86400.0, EVENT_FAULT, stuck, fault_modes[stuck].value };
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    size(&p, &plan);
    const double gave = out.state.x[X_DELIVERED];
    cr_assert_gt(gave, 3e-3);
    cr_assert_leq(gave, sizing.bladder_gives * (1.0 + 1e-4), "%g of %g L", 1e3 * gave,
                  1e3 * sizing.bladder_gives);
    cr_assert_gt(gave, 0.98 * sizing.bladder_gives, "%g of %g L", 1e3 * gave,
                 1e3 * sizing.bladder_gives);
    cr_assert_float_eq(sizing.room, tank_full(&p.tank) - tank_volume(&p.tank, 0.7), 1e-12);
}

Test(sizing, a_bladder_gives_as_much_as_is_told)
{
    expect_bladder_gives(true);
    expect_bladder_gives(false);
}

Test(sizing, a_siphon_brings_as_much_as_is_told)
{
    struct plant p = fixture_plant();
    p.basin.freeboard = 0.01;
    p.basin.open_surface = 1e-4;
    p.topoff.hose_end = 0.3;
    p.topoff.hose_bore = 8e-3;
    p.topoff.hose_length = 2.0;
    p.tank_start = p.fill.off_at;
    struct plan plan = fixture_plan(1.0);
    plan.draws = 0;
    int runs = 0;
    while (strcmp(fault_modes[runs].mode, "does not stop") != 0)
        runs++;
    plan.event[plan.events++] = (struct event){ .at = 0.0, .kind = EVENT_SUPPLY_OFF };
    plan.event[plan.events++] = (struct event){ 0.0, EVENT_FAULT, runs, 1.0 };
    plan.event[plan.events++] = (struct event){ 10.0, EVENT_MEND, runs, 0.0 };
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    size(&p, &plan);
    const struct sizing_siphon *s = &sizing.siphon;
    cr_assert_float_eq(out.state.x[X_TOPOFF], s->brings, 5e-3 * s->brings, "%g against %g L",
                       1e3 * out.state.x[X_TOPOFF], 1e3 * s->brings);
    cr_assert_float_eq(out.state.x[X_BASIN_SPILL], s->spills, 5e-3 * s->brings);
    cr_assert_float_eq(basin_salinity(&out.state.basin, 25.0), s->salinity, 5e-3 * s->salinity);
    p.topoff.hose_end = NAN;
    size(&p, &plan);
    cr_assert_eq(sizing.siphon.brings, 0.0);
}
