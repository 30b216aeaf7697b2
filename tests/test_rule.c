/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "fixture.h"
#include "sim/rule.h"

static struct state state;

static const char *why(const struct plant *p, const struct plan *plan, int stage)
{
    static const double new[STAGES_MAX] = { 0.0 };
    const struct rule_look look = { p, plan, &state, new };
    return rule_due(&look, stage);
}

Test(rule, nothing_is_due_without_a_rule_and_all_of_them_work_alone)
{
    const struct plant p = fixture_plant();
    struct plan plan = fixture_plan(10.0);
    plant_start(&p, &state);
    state.t = 100.0 * 86400.0;
    for (int k = 0; k < p.stages; k++)
        cr_assert_null(why(&p, &plan, k));

    plan.rule[0].calendar = 99.0 * 86400.0;
    cr_assert_not_null(why(&p, &plan, 0));
    plan.rule[0].calendar = 101.0 * 86400.0;
    cr_assert_null(why(&p, &plan, 0));

    plan.rule[0].pressure_drop = 30e3;
    cr_assert_null(why(&p, &plan, 0));
    state.stage[0].sediment.mass = 0.96 * p.train[0].params.sediment.capacity;
    cr_assert_not_null(why(&p, &plan, 0));

    plan.rule[3].reading = 2e-3;
    cr_assert_null(why(&p, &plan, 3), "no water has passed it");
    double *behind = state.readings.behind[3];
    memset(behind, 0, sizeof state.readings.behind[3]);
    behind[SODIUM] = behind[CHLORIDE] = 0.01; /* 0.6 ppm */
    cr_assert_null(why(&p, &plan, 3));
    behind[SODIUM] = behind[CHLORIDE] = 0.04; /* 2.5 ppm */
    cr_assert_not_null(why(&p, &plan, 3));

    plan.rule[1].oxidant = 1e-4;
    state.readings.behind[1][CHLORINE] = 1e-3;
    state.readings.behind[1][CHLORAMINE] = 0.0;
    cr_assert_null(why(&p, &plan, 1));
    state.readings.behind[1][CHLORAMINE] = 1e-3;
    cr_assert_not_null(why(&p, &plan, 1));
}

Test(rule, a_cold_week_is_not_taken_for_a_tired_membrane)
{
    struct plant p = fixture_plant();
    struct plan plan = fixture_plan(10.0);
    plan.rule[2].flow = 0.85;
    p.feed.temperature = (struct cycle){ 14.0, 9.0, 0.0, 0.0, 0.0 }; /* warmest at the start */
    plant_start(&p, &state);
    state.t = 182.0 * 86400.0;
    const double raw = plant_filling(&p, &state).product_flow / state.reference_flow;
    cr_assert_lt(raw, 0.75, "the raw flow has fallen to %g", raw);
    cr_assert_null(why(&p, &plan, 2), "standardised %g", plant_standard_flow(&p, &state));
    cr_assert_float_eq(plant_standard_flow(&p, &state), 1.0, 0.02);

    state.stage[2].membrane.wear.layer = 0.25;
    cr_assert_not_null(why(&p, &plan, 2));
    cr_assert_float_eq(plant_standard_flow(&p, &state), 1.0 / 1.25, 0.03);
}

/* At the wall it is the salt that piles up, not sodium alone: with the diffusivity of the ion a
 * sound membrane strayed seven times as far. */
Test(rule, the_standardised_flow_of_a_sound_membrane_stays_through_the_seasons)
{
    struct plant p = fixture_plant();
    p.feed.temperature = (struct cycle){ 14.0, 9.0, 0.0, 0.0, 0.0 };
    plant_start(&p, &state);
    for (double day = 0.0; day < 365.0; day += 5.0) {
        state.t = day * 86400.0;
        const double stray = plant_standard_flow(&p, &state) - 1.0;
        cr_log_info("day %3.0f: %+.5f", day, stray);
        cr_expect_float_eq(stray, 0.0, 1e-3, "day %g: %+.5f", day, stray);
    }
}
