/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "fixture.h"
#include "sim/summary.h"

static struct summary summary;
static struct outcome out;

static void run(const struct plant *p, const struct plan *plan)
{
    summary_init(&summary);
    const struct observer o = { summary_see, &summary };
    fixture_run(p, plan, &o, &out);
    cr_assert_eq(out.status, STATUS_OK);
}

Test(summary, keeps_the_extremes_of_the_tank)
{
    const struct plant p = fixture_plant();
    const struct plan plan = fixture_plan(30.0);
    run(&p, &plan);
    /* a draw of 40 L takes the tank some 20 cm down, at worst from the start switch */
    cr_assert_gt(summary.tank_lowest, p.fill.on_at - 0.22);
    cr_assert_lt(summary.tank_lowest, p.fill.on_at);
    cr_assert_float_eq(summary.tank_highest, p.fill.off_at, 1e-6);
    cr_assert_gt(summary.fills, 2);
    cr_assert(isnan(summary.dry_first_day));
    cr_assert(isnan(summary.spill_first_day));
    cr_assert_float_eq(summary.days, 30.0, 1e-12);
}

/* All fills end at the stop switch, but for rounding; which rounds up most must not decide. */
Test(summary, tells_the_first_of_equal_highs)
{
    static struct state state;
    struct plant p = fixture_plant();
    p.has_basin = false;
    const struct plan plan = fixture_plan(30.0);
    struct settings set;
    settings_init(&set);
    summary_init(&summary);
    for (int day = 1; day <= 20; day++) {
        const struct signals signals = { .tank_level = 0.68 + 1e-15 * day };
        const struct glimpse g = { MOMENT_SAMPLE, &p,      &plan,    &set, &state,
                                   86400.0 * day, state.x, &signals, NULL };
        summary_see(&summary, &g);
    }
    cr_assert_float_eq(summary.tank_highest_day, 1.0, 1e-9);
}

Test(summary, counts_the_time_without_water)
{
    struct plant p = fixture_plant();
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    struct plan plan = fixture_plan(1.0);
    plan.event[plan.events++] = (struct event){ .at = 0.0, .kind = EVENT_SUPPLY_OFF };
    plan.draw[0] = (struct draw){ 0.2, INFINITY, 3600.0, 20e-3 / 60.0 };
    run(&p, &plan);
    const double there = M_PI / 4.0 * 0.25 * (0.6 - 0.03);
    cr_assert_float_eq(summary.dry_time, (0.2 - there) / (20e-3 / 60.0), 1e-3);
    cr_assert_float_eq(summary.dry_first_day * 86400.0, 3600.0 + there / (20e-3 / 60.0), 1e-3);
    cr_assert_eq(summary_broken(&summary, &plan, NULL), 1, "a dry tank breaks the limit");
}

Test(summary, dates_what_the_product_shows_in_the_order_that_chemistry_wants)
{
    struct plant p = fixture_plant();
    p.feed.c[CARBON] = 3.0; /* acid: silica, then carbon, then sodium */
    struct plan plan = fixture_plan(500.0);
    plan.draw[0].every = 2.0 * 86400.0;
    plan.limits.product = 1e-3;
    run(&p, &plan);
    const double *day = summary.first.day;
    cr_assert_gt(day[PASSED_SILICA], 1.0, "%g", day[PASSED_SILICA]);
    cr_assert_gt(day[PASSED_CARBON], day[PASSED_SILICA], "%g, silica %g", day[PASSED_CARBON],
                 day[PASSED_SILICA]);
    cr_assert_gt(day[PASSED_PRODUCT_LIMIT], day[PASSED_SILICA], "silica shows on no meter");
    cr_assert(!(day[PASSED_SODIUM] <= day[PASSED_CARBON]), "sodium last, if at all");
    cr_assert_gt(summary.first.litres[PASSED_CARBON], summary.first.litres[PASSED_SILICA]);
}

Test(summary, adds_up_the_money)
{
    struct plant p = fixture_plant();
    struct plan plan = fixture_plan(10.0);
    plan.prices.water = 2.0;
    plan.prices.sewer = 3.0;
    plan.prices.electricity = 0.3 / 3.6e6;
    plan.prices.stage[3] = 20.0;
    plan.event[plan.events++] =
        (struct event){ .at = 5.0 * 86400.0, .kind = EVENT_REPLACE, .which = 3 };
    run(&p, &plan);
    const struct cost c = summary_cost(&summary, &plan, &p);
    cr_assert_float_eq(c.water, 2.0 * out.state.x[X_FEED], 1e-12);
    cr_assert_float_eq(c.sewer, 3.0 * out.state.x[X_DRAIN], 1e-12);
    cr_assert_float_eq(c.electricity, 0.3 * out.state.x[X_ENERGY] / 3.6e6, 1e-12);
    cr_assert_eq(c.cartridges, 20.0);
    cr_assert_float_eq(c.per_litre, c.total / (1e3 * out.state.x[X_PRODUCT]), 1e-12);
}

Test(summary, pays_for_each_element_of_a_membrane)
{
    struct plant p = fixture_plant();
    struct plan plan = fixture_plan(4.0);
    p.train[2].params.membrane.elements = 3;
    plan.prices.stage[2] = 60.0;
    plan.prices.stage[3] = 20.0;
    for (int k = 2; k <= 3; k++)
        plan.event[plan.events++] =
            (struct event){ .at = 2.0 * 86400.0, .kind = EVENT_REPLACE, .which = k };
    run(&p, &plan);
    cr_assert_eq(summary_renewal_cost(&summary, &plan, &p, 2), 180.0);
    cr_assert_eq(summary_renewal_cost(&summary, &plan, &p, 3), 20.0);
    cr_assert_eq(summary_cost(&summary, &plan, &p).cartridges, 200.0);
}

Test(summary, writes_null_for_what_is_not_there)
{
    const struct plant p = fixture_plant();
    const struct plan plan = fixture_plan(1.0);
    run(&p, &plan);
    json_t *o = summary_json(&summary, &plan, &p);
    const json_t *levels = json_object_get(o, "levels");
    cr_assert(json_is_null(json_object_get(levels, "first_day_of_spill")));
    cr_assert(json_is_real(json_object_get(levels, "tank_lowest_cm")));
    char *text = json_dumps(o, 0);
    cr_assert_not_null(text);
    cr_assert_null(strstr(text, "nan"));
    free(text);
    json_decref(o);
}

Test(summary, calls_bicarbonate_no_carbon_dioxide)
{
    struct plant p = fixture_plant();
    p.stages = 3;            /* no resin: bicarbonate stays in the product */
    p.feed.c[CARBON] = 1.85; /* as much as the charge of the rest binds: no free CO2 to speak of */
    const struct plan plan = fixture_plan(5.0);
    run(&p, &plan);
    double co2, bicarbonate;
    summary_carbon(&summary, &co2, &bicarbonate);
    cr_assert_lt(co2, summary.readings.product_carbon);
    cr_assert_gt(bicarbonate, 0.0);
    cr_assert_float_eq(co2 + bicarbonate, summary.readings.product_carbon,
                       0.02 * summary.readings.product_carbon, "the rest is carbonate");
}

Test(summary, dates_one_ppm_where_no_limit_is_set_and_breaks_nothing)
{
    struct plant p = fixture_plant();
    p.feed.c[CARBON] = 3.0;
    struct plan plan = fixture_plan(400.0);
    plan.draw[0].every = 2.0 * 86400.0;
    run(&p, &plan);
    cr_assert_not(isnan(summary.first.day[PASSED_PRODUCT_USUAL]));
    cr_assert(isnan(summary.first.day[PASSED_PRODUCT_LIMIT]));
    cr_assert_eq(summary_broken(&summary, &plan, NULL), 0);
}

/* Without a membrane the bed meets the feed, and 5 % are of the feed's sodium. */
Test(summary, dates_sodium_without_a_membrane_by_what_the_bed_meets)
{
    struct plant p = fixture_plant();
    p.stages = 1;
    p.membrane = -1;
    fixture_stage(&p.train[0], &stage_resin);
    p.train[0].params.resin.short_flow = 0.0;
    p.line.supply_bore = 0.7e-3; /* slowly, so that nothing slips through at once */
    struct plan plan = fixture_plan(60.0);
    run(&p, &plan);
    cr_assert_gt(summary.first.litres[PASSED_SODIUM], 50.0, "%g",
                 summary.first.litres[PASSED_SODIUM]);
}

Test(summary, knows_no_reading_where_no_water_flowed)
{
    struct plant p = fixture_plant();
    struct plan plan = fixture_plan(1.0);
    plan.draws = 0;
    plan.event[plan.events++] = (struct event){ .at = 0.0, .kind = EVENT_SUPPLY_OFF };
    run(&p, &plan);
    double co2, bicarbonate;
    summary_carbon(&summary, &co2, &bicarbonate);
    cr_assert(isnan(co2) && isnan(bicarbonate));
}

/* A fill is half a litre, and salt that crossed at rest comes first: smaller parcels show a higher
 * peak of it.  By parcels the date moved thirtyfold. */
Test(summary, dates_the_meter_alike_however_small_the_parcels_of_many_small_fills)
{
    struct plant p = fixture_plant();
    p.feed.c[CHLORINE] = p.feed.c[CHLORAMINE] = 0.0;
    p.fill.on_at = 0.598;
    p.fill.off_at = 0.602;
    p.train[3].params.resin.cation_capacity *= 0.1;
    p.train[3].params.resin.anion_capacity *= 0.1;
    const struct plan plan = fixture_plan(120.0);
    run(&p, &plan);
    const double day = summary.first.day[PASSED_PRODUCT_USUAL];
    cr_assert_gt(day, 5.0, "%g", day);
    p.parcel_scale = 0.1;
    run(&p, &plan);
    cr_assert_float_eq(summary.first.day[PASSED_PRODUCT_USUAL], day, 0.05 * day, "%g against %g",
                       day, summary.first.day[PASSED_PRODUCT_USUAL]);
}
