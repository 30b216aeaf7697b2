/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>

#include "fixture.h"
#include "sim/balance.h"

Test(balance, closes_over_a_season_and_sees_what_goes_missing)
{
    const struct plant p = fixture_plant();
    const struct plan plan = fixture_plan(40.0);
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    struct balance_row row[BALANCE_ROWS];
    balance_of(&p, &out.state, row);
    cr_assert_lt(balance_worst(row), 1e-12, "%g", balance_worst(row));
    cr_assert_str_eq(row[0].name, "water");
    cr_assert_gt(row[0].in, 100.0);
    cr_assert_gt(row[0].out[EXIT_DRAIN], 0.5 * row[0].in);

    /* a millionth of the sodium in the tank taken away must show */
    out.state.tank.amount[SODIUM] -= 1e-6 * row[1 + ELEMENT_SODIUM].in;
    balance_of(&p, &out.state, row);
    cr_assert_float_eq(row[1 + ELEMENT_SODIUM].error, 1e-6, 1e-9);
}

/* The volumes of the ledger against the integral of the flows, taken from samples apart from both.
 */
struct trapezoid {
    double t, feed, flow;
};

static void see(void *self, const struct glimpse *g)
{
    struct trapezoid *z = self;
    if (g->moment != MOMENT_SAMPLE && g->moment != MOMENT_CHANGE)
        return;
    z->feed += 0.5 * (g->t - z->t) * (g->signals->feed_flow + z->flow);
    z->t = g->t;
    z->flow = g->signals->feed_flow;
}

Test(balance, agrees_with_the_flows_of_the_series)
{
    const struct plant p = fixture_plant();
    struct plan plan = fixture_plan(20.0);
    plan.record = 5.0;
    struct trapezoid z = { 0 };
    const struct observer o = { see, &z };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    const double in = account_total(&out.state.ledger.water_in);
    /* a start or stop between two rows, five seconds apart, is cut short by half a row */
    cr_assert_float_eq(z.feed, in, 2e-3 * in, "%g against %g", z.feed, in);
}
