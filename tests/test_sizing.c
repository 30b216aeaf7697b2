/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>

#include "fixture.h"
#include "sim/sizing.h"
#include "sim/summary.h"

static struct sizing sizing;

static void size(const struct plant *p, const struct plan *plan)
{
    const struct sizing_doubt doubt = { 0.2, 0.1, 0.4 };
    sizing_of(p, plan, &doubt, &sizing);
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
    const double litres = summary.passed_litres[PASSED_PRODUCT_LIMIT];
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
