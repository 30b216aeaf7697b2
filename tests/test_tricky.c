/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Cases in which intuition goes wrong, each against what a person works out by hand: volumes over
 * flows, and who gets power.
 */
#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#include "fixture.h"

static const double DAY = 86400.0;
static const double AREA = M_PI / 4.0 * 0.25; /* m2, of the tank of the fixture, 0.8 m high */

/* A steady feed, no served water; the tank calls for water at once. */
static struct plant only_filling(void)
{
    struct plant p = fixture_plant();
    p.has_basin = false;
    p.topoff.kind = TOPOFF_NONE;
    p.tank_start = 0.4;
    p.water_only = true;
    return p;
}

static struct plan undisturbed(double days)
{
    struct plan plan = fixture_plan(days);
    plan.draws = 0;
    return plan;
}

static void happens(struct plan *plan, double at, enum event_kind kind)
{
    plan->event[plan->events++] = (struct event){ .at = at, .kind = kind };
}

static void breaks(struct plan *plan, double at, const char *part, const char *mode, double amount)
{
    int k = 0;
    while (strcmp(fault_modes[k].part, part) != 0 || strcmp(fault_modes[k].mode, mode) != 0)
        k++;
    plan->event[plan->events++] = (struct event){ at, EVENT_FAULT, k, amount };
}

/* What comes in at the start of the plant, with `set`. */
static double inflow(const struct plant *p, const struct settings *set)
{
    static struct state s;
    struct signals sig;
    double dx[X_COUNT];
    plant_start(p, &s);
    plant_evaluate(p, set, &s, 0.0, s.x, &sig, dx);
    return sig.product_flow;
}

static double filling(const struct plant *p)
{
    struct settings set;
    settings_init(&set);
    set.call = true;
    return inflow(p, &set);
}

struct first {
    const char *kind;
    double at; /* s; NAN: never */
    int count;
};

static void see(void *self, const struct glimpse *g)
{
    struct first *f = self;
    if (g->moment != MOMENT_CHANGE || strcmp(g->change->kind, f->kind) != 0)
        return;
    if (f->count++ == 0)
        f->at = g->t;
}

static struct first run(const struct plant *p, const struct plan *plan, const char *kind,
                        struct outcome *out)
{
    struct first f = { kind, NAN, 0 };
    const struct observer o = { see, &f };
    fixture_run(p, plan, &o, out);
    cr_assert_eq(out->status, STATUS_OK);
    return f;
}

/* ---- one power supply for all -------------------------------------------------------------------
 */

/* Without power the switches see nothing, and sound solenoids are shut: water came for 1000 s and
 * comes again from the return on, as long as the call was kept. */
Test(tricky, loss_of_power_shuts_a_sound_solenoid_and_blinds_its_switches)
{
    const struct plant p = only_filling();
    struct plan plan = undisturbed(0.5);
    breaks(&plan, 0.0, "stop switch", "shows dry", 0.0);
    happens(&plan, 1000.0, EVENT_POWER_OFF);
    happens(&plan, 0.5 * DAY - 2000.0, EVENT_POWER_ON);
    static struct outcome out;
    run(&p, &plan, "spill", &out);
    const double expected = 3000.0 * filling(&p);
    cr_assert_float_eq(out.state.x[X_PRODUCT], expected, 1e-6 * expected);
}

/* A solenoid that sticks open needs no power to let water through: the high switch that shares its
 * supply is of no use in a cut. */
Test(tricky, loss_of_power_does_nothing_to_a_solenoid_that_sticks_open)
{
    struct plant p = only_filling();
    p.fill.high_switch = true;
    p.fill.high_at = 0.75;
    struct plan plan = undisturbed(3.0);
    breaks(&plan, 0.0, "feed solenoid", "sticks open", 0.0);
    happens(&plan, 10.0, EVENT_POWER_OFF);
    static struct outcome out;
    const struct first spill = run(&p, &plan, "spill", &out);
    const double flow = filling(&p), at = AREA * 0.4 / flow;
    cr_assert_float_eq(spill.at, at, 1.0, "%g s, not %g s", spill.at, at);
    const double over = flow * (3.0 * DAY - at);
    cr_assert_float_eq(out.state.x[X_SPILL], over, 1e-4 * over);
}

/* A guard valve on the same supply is shut by the same cut: nothing comes in.  When the power is
 * back the high switch stops it at its level. */
Test(tricky, loss_of_power_shuts_the_guard_valve_too)
{
    struct plant p = only_filling();
    p.fill.high_switch = p.fill.guard_valve = true;
    p.fill.high_at = 0.75;
    struct plan plan = undisturbed(4.0);
    breaks(&plan, 0.0, "feed solenoid", "sticks open", 0.0);
    happens(&plan, 1000.0, EVENT_POWER_OFF);
    happens(&plan, 1.0 * DAY, EVENT_POWER_ON);
    static struct outcome out;
    const struct first high = run(&p, &plan, "high", &out);
    const double at = 1.0 * DAY + AREA * 0.35 / filling(&p) - 1000.0;
    cr_assert_float_eq(high.at, at, 1.0, "%g s, not %g s", high.at, at);
    cr_assert_eq(out.state.x[X_SPILL], 0.0);
    cr_assert_float_eq(out.signals.tank_level, 0.75, 1e-6);
}

/* ---- a float that weeps -------------------------------------------------------------------------
 */

/* A float valve alone; a gravity float tops off what evaporates, steadily.  The tank is full. */
static struct plant weeping(void)
{
    struct plant p = fixture_plant();
    p.fill.switches = false;
    p.fill.float_valve = true;
    p.fill.valve = (struct float_valve){ 0.70, 0.02, 2.5e-3 };
    p.tank_start = 0.70;
    p.topoff = (struct topoff){
        .kind = TOPOFF_FLOAT, .flow = 1e-5, .band = 0.02, .hose_end = NAN, .high_at = NAN
    };
    p.water_only = true;
    return p;
}

/* Opening of a shut float at which so much weeps through. */
static double weep_of(const struct plant *p, double flow)
{
    double low = 0.0, high = 0.1;
    struct settings set;
    settings_init(&set);
    set.call = true;
    for (int i = 0; i < 60; i++) {
        set.health.float_weep = 0.5 * (low + high);
        if (inflow(p, &set) > flow)
            high = set.health.float_weep;
        else
            low = set.health.float_weep;
    }
    return 0.5 * (low + high);
}

Test(tricky, a_float_that_weeps_less_than_evaporates_never_spills)
{
    const struct plant p = weeping();
    struct plan plan = undisturbed(60.0);
    const double evaporates = basin_evaporation(&p.basin, 0.0);
    breaks(&plan, 0.0, "float valve", "weeps", weep_of(&p, 0.95 * evaporates));
    static struct outcome out;
    const struct first spill = run(&p, &plan, "spill", &out);
    cr_assert(isnan(spill.at));
    cr_assert_lt(out.signals.tank_level, 0.7001);
    cr_assert_gt(out.signals.tank_level, 0.68, "the float makes up for the rest");
}

/* The rest stays in the tank: room over what weeps more than evaporates.  The served water stands
 * as much lower as opens its float so far. */
Test(tricky, a_float_that_weeps_more_than_evaporates_spills_when_the_room_is_full)
{
    const struct plant p = weeping();
    struct plan plan = undisturbed(60.0);
    const double evaporates = basin_evaporation(&p.basin, 0.0), weeps = 1.1 * evaporates;
    breaks(&plan, 0.0, "float valve", "weeps", weep_of(&p, weeps));
    static struct outcome out;
    const struct first spill = run(&p, &plan, "spill", &out);
    const double lower = p.topoff.band * evaporates / p.topoff.flow * p.basin.surface;
    const double at = (AREA * 0.1 - lower) / (weeps - evaporates);
    cr_assert_float_eq(spill.at, at, 2e-3 * at, "%g d, not %g d", spill.at / DAY, at / DAY);
}

/* ---- just enough of an overflow pipe ------------------------------------------------------------
 */

/* A mouth that is drowned passes 0.6 A sqrt(2 g h): this one, at the rim, the inflow times `share`.
 */
static struct plant with_mouth(double share)
{
    struct plant p = only_filling();
    const double h = 0.05;
    const double section = share * filling(&p) / (0.6 * sqrt(2.0 * 9.80665 * h));
    p.tank.overflow = (struct overflow){ .kind = OVERFLOW_STANDPIPE,
                                         .lip = 0.8 - h,
                                         .bore = sqrt(4.0 * section / M_PI),
                                         .meniscus = 3e-3 };
    return p;
}

Test(tricky, a_pipe_that_takes_just_what_comes_in_holds_the_water_at_the_rim)
{
    const struct plant p = with_mouth(1.0);
    struct plan plan = undisturbed(6.0);
    breaks(&plan, 0.0, "feed solenoid", "sticks open", 0.0);
    static struct outcome out;
    run(&p, &plan, "spill", &out);
    cr_assert_eq(out.state.x[X_SPILL], 0.0);
    cr_assert_gt(out.signals.tank_level, 0.795);
    cr_assert_lt(out.signals.tank_level, 0.8);
}

Test(tricky, a_pipe_that_takes_5_percent_less_spills_just_that)
{
    const struct plant p = with_mouth(1.0 / 1.05);
    struct plan plan = undisturbed(6.0);
    breaks(&plan, 0.0, "feed solenoid", "sticks open", 0.0);
    static struct outcome out;
    const struct first spill = run(&p, &plan, "spill", &out);
    const double over = (1.0 - 1.0 / 1.05) * filling(&p) * (6.0 * DAY - spill.at);
    cr_assert_gt(over, 1e-3);
    cr_assert_float_eq(out.state.x[X_SPILL], over, 1e-3 * over, "%g L, not %g L",
                       1e3 * out.state.x[X_SPILL], 1e3 * over);
}

/* ---- a timer that forgets -----------------------------------------------------------------------
 */

static struct plan cut_every_hour(double days)
{
    struct plan plan = undisturbed(days);
    breaks(&plan, 0.0, "stop switch", "shows dry", 0.0);
    for (int k = 1; k < 24.0 * days && plan.events < EVENTS_MAX - 1; k++) {
        happens(&plan, 3600.0 * k, EVENT_POWER_OFF);
        happens(&plan, 3600.0 * k + 60.0, EVENT_POWER_ON);
    }
    return plan;
}

/* One that keeps its count lets 90 min through, whatever the cuts.  One that begins anew never
 * comes to 90 min when the power fails every hour: all but the cuts runs. */
Test(tricky, a_run_timer_that_restarts_is_defeated_by_repeated_cuts)
{
    struct plant p = only_filling();
    p.fill.run_timer = true;
    p.fill.longest_run = 5400.0;
    struct plan plan = cut_every_hour(2.0);
    static struct outcome out;
    struct first trip = run(&p, &plan, "trip", &out);
    cr_assert_float_eq(trip.at, 5400.0 + 60.0, 1e-3, "tripped at %g s", trip.at);
    cr_assert_float_eq(out.state.x[X_PRODUCT], 5400.0 * filling(&p), 1e-6);

    p.fill.timer_restarts = true;
    trip = run(&p, &plan, "trip", &out);
    cr_assert(isnan(trip.at));
    const double made = (2.0 * DAY - 47.0 * 60.0) * filling(&p);
    cr_assert_float_eq(out.state.x[X_PRODUCT], made, 1e-4 * made);
    cr_assert_float_eq(out.state.x[X_SPILL], made - AREA * 0.4, 1e-3 * made);
    /* without cuts it works */
    plan.events = 1;
    trip = run(&p, &plan, "trip", &out);
    cr_assert_float_eq(trip.at, 5400.0, 1e-3);
}

/* ---- a hose that runs by itself -----------------------------------------------------------------
 */

/* The pump stops at its switch; the water above the hose's end goes on.  The second switch cuts the
 * pump, not the siphon. */
Test(tricky, a_siphon_goes_on_after_both_switches_have_stopped_the_pump)
{
    struct plant p = fixture_plant();
    p.water_only = true;
    p.tank_start = 0.65;
    p.topoff.hose_end = 0.2;
    p.topoff.hose_bore = 6e-3;
    p.topoff.hose_length = 2.0;
    p.topoff.siphon_break = false;
    p.topoff.high_at = 0.02;
    struct plan plan = undisturbed(1.0);
    happens(&plan, 0.0, EVENT_SUPPLY_OFF);
    static struct outcome out;
    const struct first siphon = run(&p, &plan, "siphon", &out);
    cr_assert_eq(siphon.count, 1);
    const double moved = AREA * (0.65 - 0.2 - 1e-3);
    cr_assert_float_eq(out.state.x[X_TOPOFF], moved, 1e-6);
    /* 5 cm up to the rim stay in it, and what has evaporated by the end is gone */
    const struct first ends = run(&p, &plan, "siphon ends", &out);
    const double over = moved - 1.1 * 0.05 - basin_evaporation(&p.basin, 0.0) * ends.at;
    cr_assert_float_eq(out.state.x[X_BASIN_SPILL], over, 0.05e-3, "%g L, not %g L",
                       1e3 * out.state.x[X_BASIN_SPILL], 1e3 * over);
    /* with a hole in the hose the pump's switch is the end of it */
    p.topoff.siphon_break = true;
    run(&p, &plan, "siphon", &out);
    cr_assert_eq(out.state.x[X_BASIN_SPILL], 0.0);
}

/* The second switch stops a relay that is welded: each time at its level. */
Test(tricky, a_welded_relay_is_stopped_by_a_switch_in_the_supply_of_the_pump_alone)
{
    struct plant p = fixture_plant();
    p.water_only = true;
    struct plan plan = undisturbed(3.0);
    breaks(&plan, 0.0, "top-off pump", "does not stop", 0.0);
    static struct outcome out;
    const struct first spill = run(&p, &plan, "spill", &out);
    /* 5 cm of room, at what the pump brings less what evaporates */
    const double net = p.topoff.flow - basin_evaporation(&p.basin, 0.0);
    cr_assert_float_eq(spill.at, 1.1 * 0.05 / net, 1.0, "%g s", spill.at);
    p.topoff.high_at = 0.02;
    const struct first cut = run(&p, &plan, "trip", &out);
    cr_assert_float_eq(cut.at, 1.1 * 0.02 / net, 1.0, "%g s", cut.at);
    cr_assert_eq(out.state.x[X_BASIN_SPILL], 0.0);
    breaks(&plan, 0.0, "top-off high switch", "shows dry", 0.0);
    run(&p, &plan, "spill", &out);
    cr_assert_gt(out.state.x[X_BASIN_SPILL], 0.0, "both at once");
}

/* ---- a pan that holds it ------------------------------------------------------------------------
 */

/* The run timer ends it after 3 L over the rim; the pan holds 5 L. */
Test(tricky, a_spill_that_the_pan_holds_is_seen_or_not)
{
    struct plant p = only_filling();
    const double flow = filling(&p);
    p.fill.drip_pan = p.fill.run_timer = true;
    p.fill.pan_volume = 5e-3;
    p.fill.longest_run = (AREA * 0.4 + 3e-3) / flow;
    struct plan plan = undisturbed(3.0);
    breaks(&plan, 0.0, "stop switch", "shows dry", 0.0);
    static struct outcome out;
    run(&p, &plan, "leak", &out);
    cr_assert_float_eq(out.state.x[X_SPILL], 3e-3, 1e-5);
    cr_assert_eq(plant_on_floor(&p, out.state.x), 0.0);

    p.fill.leak_sensor = true;
    p.fill.leak_volume = 4e-3; /* more than ever comes */
    struct first leak = run(&p, &plan, "leak", &out);
    cr_assert(isnan(leak.at), "nobody knows of it");
    cr_assert_float_eq(out.state.x[X_SPILL], 3e-3, 1e-5);

    p.fill.leak_volume = 0.5e-3;
    leak = run(&p, &plan, "leak", &out);
    const double at = (AREA * 0.4 + 0.5e-3) / flow;
    cr_assert_float_eq(leak.at, at, 2.0, "%g s, not %g s", leak.at, at);
    cr_assert_float_eq(out.state.x[X_SPILL], 0.5e-3, 1e-6);
    cr_assert_eq(plant_on_floor(&p, out.state.x), 0.0);
}

/* What runs over the rim of the served water is not under the tank. */
Test(tricky, a_leak_sensor_under_the_tank_does_not_see_the_served_water_run_over)
{
    struct plant p = fixture_plant();
    p.water_only = true;
    p.fill.leak_sensor = p.fill.drip_pan = true;
    p.fill.leak_volume = 5e-5;
    p.fill.pan_volume = 5e-3;
    struct plan plan = undisturbed(1.0);
    breaks(&plan, 0.0, "top-off switch", "shows dry", 0.0);
    static struct outcome out;
    const struct first leak = run(&p, &plan, "leak", &out);
    cr_assert_gt(out.state.x[X_BASIN_SPILL], 1e-3);
    cr_assert(isnan(leak.at));
    cr_assert_eq(out.state.x[X_SPILL], 0.0);
}

/* ---- a hand valve that was forgotten ------------------------------------------------------------
 */

/* Nothing comes in, whatever sticks open; the tank is drawn down to its outlet. */
Test(tricky, a_hand_valve_left_shut_runs_the_tank_dry_and_spills_nothing)
{
    struct plant p = only_filling();
    struct plan plan = fixture_plan(2.0);
    plan.draw[0] = (struct draw){ 0.5, INFINITY, 3600.0, 10e-3 / 60.0 };
    breaks(&plan, 0.0, "hand valve", "left shut", 0.0);
    breaks(&plan, 0.0, "feed solenoid", "sticks open", 0.0);
    static struct outcome out;
    const struct first dry = run(&p, &plan, "dry", &out);
    cr_assert_float_eq(dry.at, 3600.0 + AREA * (0.4 - 0.03) / (10e-3 / 60.0), 1e-3);
    cr_assert_eq(out.state.x[X_PRODUCT], 0.0);
    cr_assert_eq(out.state.x[X_FEED], 0.0);
}
