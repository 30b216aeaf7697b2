/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "fixture.h"
#include "sim/trip.h"
#include "sim/balance.h"
#include "sim/commission.h"

static const double DAY = 86400.0;

/* ---- what is flushed when ---- */

static struct settings powered(void)
{
    struct settings set;
    settings_init(&set);
    return set;
}

Test(commission, knows_the_time_of_each_kind)
{
    const struct commissioning c = { 900.0, 1800.0, 600.0, false };
    cr_assert_eq(commission_time(&c, &stage_sediment), 900.0);
    cr_assert_eq(commission_time(&c, &stage_carbon), 900.0);
    cr_assert_eq(commission_time(&c, &stage_membrane), 1800.0);
    cr_assert_eq(commission_time(&c, &stage_resin), 600.0);
    cr_assert_eq(commission_time(&c, &stage_pump), 0.0);
}

Test(commission, goes_in_the_order_of_the_water_and_prefilters_together)
{
    const struct plant p = fixture_plant();
    struct settings set = powered();
    struct commission c = { 0 };
    cr_assert(!commission_pending(&c) && isinf(commission_due(&c, &set)));
    commission_add(&c, 3, 600.0, 10.0);
    commission_add(&c, 2, 1800.0, 10.0);
    commission_add(&c, 1, 900.0, 10.0);
    commission_add(&c, 0, 900.0, 10.0);
    cr_assert(commission_react(&c, &p, &set, 10.0));
    cr_assert_eq(set.flush, 1, "behind the last of the prefilters");
    cr_assert_eq(commission_due(&c, &set), 910.0);
    cr_assert_not(commission_react(&c, &p, &set, 500.0), "half-way nothing changes");
    cr_assert(commission_react(&c, &p, &set, 910.0));
    cr_assert_eq(set.flush, 2, "both prefilters are done");
    cr_assert(commission_react(&c, &p, &set, 2710.0));
    cr_assert_eq(set.flush, 3);
    cr_assert(commission_react(&c, &p, &set, 3310.0));
    cr_assert(set.flush == -1 && !commission_pending(&c));
}

Test(commission, a_part_that_comes_later_gets_its_whole_time)
{
    const struct plant p = fixture_plant();
    struct settings set = powered();
    struct commission c = { 0 };
    commission_add(&c, 1, 900.0, 0.0);
    commission_react(&c, &p, &set, 0.0);
    commission_add(&c, 0, 900.0, 300.0);
    commission_react(&c, &p, &set, 300.0);
    cr_assert_eq(set.flush, 1);
    commission_react(&c, &p, &set, 900.0);
    cr_assert_eq(set.flush, 0, "the carbon is done, the sediment cartridge not yet");
    cr_assert_eq(commission_due(&c, &set), 1200.0);
    commission_react(&c, &p, &set, 1200.0);
    cr_assert_eq(set.flush, -1);
}

/* Whatever keeps the water back: its time stands still. */
Test(commission, waits_while_no_water_comes)
{
    struct plant p = fixture_plant();
    for (int why = 0; why < 6; why++) {
        struct settings set = powered();
        struct commission c = { 0 };
        commission_add(&c, 2, 1000.0, 0.0);
        commission_react(&c, &p, &set, 0.0);
        const struct settings sound = set;
        if (why == 0)
            set.power = false;
        else if (why == 1)
            set.supply = 0.0;
        else if (why == 2)
            set.hand_valve = false;
        else if (why == 3)
            set.trip = true;
        else if (why == 4)
            set.health.solenoid = 0.0;
        else
            set.health.controller = 0.0;
        cr_assert(commission_react(&c, &p, &set, 400.0), "%d", why);
        cr_assert(set.flush == -1 && commission_pending(&c), "%d", why);
        cr_assert_eq(plant_feed_opening(&p, &set), 0.0, "%d", why);
        const struct settings still = set;
        set = sound;
        set.flush = still.flush;
        cr_assert(commission_react(&c, &p, &set, 5000.0), "%d", why);
        cr_assert_eq(commission_due(&c, &set), 5600.0, "%d: 400 of 1000 s were done", why);
    }
    p.fill = (struct fill){ .float_valve = true }; /* no solenoid: a hand opens, without power */
    struct settings set = powered();
    set.power = false;
    struct commission c = { 0 };
    commission_add(&c, 1, 1000.0, 0.0);
    commission_react(&c, &p, &set, 0.0);
    cr_assert_eq(set.flush, 1);
    set.supply = 0.0;
    commission_react(&c, &p, &set, 10.0);
    cr_assert_eq(set.flush, -1);
}

/* ---- in a run ---- */

enum { TOLD_MAX = 24 };

struct log {
    int count;
    char line[TOLD_MAX][80]; /* "900 flush carbon" */
    double feed, product;    /* at the last end of a flush */
};

static void see_flush(void *self, const struct glimpse *g)
{
    struct log *l = self;
    if (g->moment != MOMENT_CHANGE || strncmp(g->change->kind, "flush", 5) != 0 ||
        l->count == TOLD_MAX)
        return;
    snprintf(l->line[l->count++], sizeof l->line[0], "%.0f %s %s", g->t, g->change->kind,
             g->change->part);
    l->feed = g->x[X_FEED];
    l->product = g->x[X_PRODUCT];
}

static void expect_told(const struct log *l, const char *const lines[])
{
    int n = 0;
    for (; lines[n]; n++)
        cr_expect_str_eq(n < l->count ? l->line[n] : "nothing", lines[n]);
    cr_expect_eq(l->count, n);
}

/* Flows that do not change: nothing in the water that wears, clogs or reacts. */
static struct plant steady_plant(void)
{
    struct plant p = fixture_plant();
    p.feed.c[SOLIDS] = p.feed.c[CHLORINE] = p.feed.c[CHLORAMINE] = 0.0;
    p.train[2].params.membrane.wear.on = false;
    return p;
}

static struct plan flushing_plan(double days)
{
    struct plan plan = fixture_plan(days);
    plan.draws = 0;
    plan.commissioning = (struct commissioning){ 900.0, 1800.0, 600.0, true };
    return plan;
}

/* What comes in while part k is flushed [m3/s]. */
static struct signals flushing(const struct plant *p, int k)
{
    static struct state s;
    struct settings set = powered();
    struct signals sig;
    double dx[X_COUNT];
    plant_start(p, &s);
    set.flush = k;
    plant_evaluate(p, &set, &s, 0.0, s.x, &sig, dx);
    return sig;
}

Test(commission, all_new_parts_at_the_start_are_flushed_by_the_closed_form_before_any_is_kept)
{
    const struct plant p = steady_plant();
    const struct plan plan = flushing_plan(5.0);
    struct log log = { 0 };
    const struct observer o = { see_flush, &log };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    cr_assert_eq(out.status, STATUS_OK);
    expect_told(&log, (const char *const[]){ "0 flush carbon", "900 flush ends carbon",
                                             "900 flush membrane", "2700 flush ends membrane",
                                             "2700 flush resin", "3300 flush ends resin", NULL });
    const double front = 900.0 * flushing(&p, 1).feed_flow;
    const double rest = 1800.0 * flushing(&p, 2).feed_flow + 600.0 * flushing(&p, 3).feed_flow;
    cr_assert_float_eq(log.feed, front + rest, 1e-8 * front, "%.9g, not %.9g m3", log.feed,
                       front + rest);
    cr_assert_float_eq(out.state.x[X_FLUSHED], log.feed, 1e-15);
    cr_assert_eq(log.product, 0.0, "none of it came to the tank");
    const double diverted =
        1800.0 * flushing(&p, 2).divert_flow + 600.0 * flushing(&p, 3).divert_flow;
    cr_assert_float_eq(out.state.x[X_DIVERTED], diverted, 1e-8 * diverted);
    cr_assert_float_eq(account_total(&out.state.ledger.water_out[EXIT_DIVERTED]), diverted,
                       1e-8 * diverted);
    struct balance_row row[BALANCE_ROWS];
    balance_of(&p, &out.state, row);
    cr_assert_lt(balance_worst(row), 1e-12);
}

Test(commission, a_power_cut_interrupts_a_flush_and_it_goes_on)
{
    const struct plant p = steady_plant();
    struct plan plan = flushing_plan(1.0);
    plan.commissioning.at_start = false;
    plan.event[plan.events++] = (struct event){ 1000.0, EVENT_REPLACE, 2, 0.0 };
    plan.event[plan.events++] = (struct event){ 1600.0, EVENT_POWER_OFF, 0, 0.0 };
    plan.event[plan.events++] = (struct event){ 9000.0, EVENT_POWER_ON, 0, 0.0 };
    struct log log = { 0 };
    const struct observer o = { see_flush, &log };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    expect_told(&log,
                (const char *const[]){ "1000 flush membrane", "1600 flush waits membrane",
                                       "9000 flush membrane", "10200 flush ends membrane", NULL });
    const double all = 1800.0 * flushing(&p, 2).feed_flow;
    cr_assert_float_eq(out.state.x[X_FLUSHED], all, 1e-7 * all);
}

Test(commission, a_float_valve_that_is_shut_does_not_keep_a_flush_back)
{
    struct plant p = steady_plant();
    p.fill = (struct fill){
        .float_valve = true, .valve = { 0.7, 0.02, 2.5e-3 }, .switch_band = 5e-3, .stiction = 0.05
    };
    p.tank_start = 0.72;
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    struct plan plan = flushing_plan(1.0);
    plan.commissioning.at_start = false;
    for (int k = 0; k < 4; k++)
        plan.event[plan.events++] = (struct event){ 1000.0, EVENT_REPLACE, k, 0.0 };
    plan.event[plan.events++] = (struct event){ 2000.0, EVENT_POWER_OFF, 0, 0.0 };
    struct log log = { 0 };
    const struct observer o = { see_flush, &log };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    expect_told(&log, (const char *const[]){ "1000 flush carbon", "1900 flush ends carbon",
                                             "1900 flush membrane", "3700 flush ends membrane",
                                             "3700 flush resin", "4300 flush ends resin", NULL });
    cr_assert_eq(out.state.x[X_PRODUCT], 0.0);
    cr_assert_gt(out.state.x[X_DIVERTED], 0.0);
}

Test(commission, a_cartridge_put_in_by_a_rule_is_flushed_and_its_carbon_pays_for_it)
{
    struct plant p = fixture_plant();
    struct plan plan = fixture_plan(35.0);
    plan.visits.every = 10.0 * DAY;
    plan.rule[1].calendar = 15.0 * DAY;
    static struct outcome out;
    fixture_run(&p, &plan, NULL, &out);
    cr_assert_eq(out.state.x[X_FLUSHED], 0.0);
    const double plain = p.train[1].kind->used(&p.train[1].params, &out.state.stage[1]);
    const double drained = out.state.x[X_DRAIN];

    plan.commissioning.prefilters = 900.0;
    struct log log = { 0 };
    const struct observer o = { see_flush, &log };
    fixture_run(&p, &plan, &o, &out);
    expect_told(&log,
                (const char *const[]){ "1728000 flush carbon", "1728900 flush ends carbon", NULL });
    const double flushed = p.train[1].kind->used(&p.train[1].params, &out.state.stage[1]);
    cr_assert_gt(flushed, plain, "%g against %g", flushed, plain);
    cr_assert_float_eq(out.state.x[X_DRAIN] - drained, out.state.x[X_FLUSHED],
                       0.02 * out.state.x[X_FLUSHED]);
}

/* The membrane rests while what stands in front of it is flushed: its two sides draw together. */
Test(commission, the_membrane_rests_while_prefilters_are_flushed)
{
    const struct plant p = steady_plant();
    static struct state flushed, rested;
    plant_start(&p, &flushed);
    flushed.x[X_FEED] += 20e-3;
    flushed.x[X_PRODUCT] += 5e-3;
    flushed.x[X_DRAIN] += 15e-3;
    flushed.x[X_TANK] += 5e-3;
    flushed.x[X_RUNNING] += 2000.0;
    flushed.x[X_MAKING] += 2000.0;
    flushed.t = 2000.0;
    struct settings set = powered();
    plant_carry(&p, &set, &flushed);
    rested = flushed;
    rested.t += 600.0;
    plant_carry(&p, &set, &rested);
    set.flush = 1;
    flushed.x[X_FEED] += 60e-3;
    flushed.x[X_DRAIN] += 60e-3;
    flushed.x[X_RUNNING] += 600.0;
    flushed.t += 600.0;
    plant_carry(&p, &set, &flushed);
    cr_assert_eq(memcmp(&flushed.stage[2], &rested.stage[2], sizeof(struct membrane_state)), 0);
    cr_assert_eq(memcmp(&flushed.tank, &rested.tank, sizeof flushed.tank), 0);
    cr_assert_float_eq(account_total(&flushed.ledger.out[EXIT_DRAIN][SODIUM]) -
                           account_total(&rested.ledger.out[EXIT_DRAIN][SODIUM]),
                       60e-3 * p.feed.c[SODIUM], 1e-15);
}

Test(commission, without_a_membrane_a_new_bed_is_flushed_through_an_open_end)
{
    struct plant p = steady_plant();
    p.stages = 1;
    p.membrane = -1;
    fixture_stage(&p.train[0], &stage_resin);
    p.line.tube_length = 30.0;
    p.line.tube_bore = 2e-3;
    const struct plan plan = flushing_plan(1.0);
    struct log log = { 0 };
    const struct observer o = { see_flush, &log };
    static struct outcome out;
    fixture_run(&p, &plan, &o, &out);
    expect_told(&log, (const char *const[]){ "0 flush resin", "600 flush ends resin", NULL });
    const double all = 600.0 * flushing(&p, 0).feed_flow;
    cr_assert_float_eq(out.state.x[X_FLUSHED], all, 1e-8 * all);
    cr_assert_eq(log.product, 0.0);
    cr_assert_gt(resin_share(&p.train[0].params.resin, &out.state.stage[0].resin, SODIUM), 0.0);
}

Test(commission, an_open_end_does_not_trip_the_low_pressure_switch)
{
    struct trips trips = { .inlet_low_since = NAN, .inlet_tried = NAN, .inlet_enough = false };
    struct plant p = fixture_plant();
    struct settings set;
    settings_init(&set);
    p.fill.low_pressure_switch = true;
    p.fill.inlet.delay = 5.0;
    p.fill.inlet.wait = 60.0;
    set.call = set.hold = true;
    set.flush = 0;
    for (double t = 0.0; t < 60.0; t += 5.0)
        trip_react(&trips, &p, &set, t);
    cr_assert_not(set.trip, "whoever flushes stands by");
    set.flush = -1;
    trip_react(&trips, &p, &set, 60.0);
    trip_react(&trips, &p, &set, 66.0);
    cr_assert(set.trip);
}
