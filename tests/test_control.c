/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>

#include "fixture.h"
#include "sim/control.h"

struct bench {
    struct plant p;
    struct settings set;
    struct control c;
    double x[X_COUNT];
    struct changes log;
    struct signals sig;
};

static struct sight sees(const struct bench *b)
{
    return (struct sight){ .x = b->x, .signals = &b->sig };
}

static void start(struct bench *b, double level)
{
    settings_init(&b->set);
    b->x[X_TANK] = tank_volume(&b->p.tank, level);
    b->x[X_BASIN] = b->p.basin.volume;
    const struct sight now = sees(b);
    control_start(&b->c, &b->p, &b->set, &now);
}

static void move(struct bench *b, double level, double t)
{
    b->x[X_TANK] = tank_volume(&b->p.tank, level);
    b->log.count = 0;
    const struct sight now = sees(b);
    for (int k = 0; k < 4; k++) {
        control_sense(&b->c, &b->p, &b->set, &now, &b->log);
        control_react(&b->c, &b->p, &b->set, t, &b->log);
    }
}

Test(control, calls_at_the_start_switch_and_stops_at_the_stop_switch)
{
    static struct bench b;
    b.p = fixture_plant();
    start(&b, 0.6);
    cr_assert_not(b.set.call, "between its switches a tank waits");
    move(&b, 0.51, 1.0);
    cr_assert_not(b.set.call);
    move(&b, 0.499, 2.0);
    cr_assert(b.set.call);
    move(&b, 0.6, 3.0);
    cr_assert(b.set.call, "and goes on until the stop switch");
    move(&b, 0.701, 4.0);
    cr_assert_not(b.set.call);
    move(&b, 0.6, 5.0);
    cr_assert_not(b.set.call);
}

Test(control, keeps_or_drops_its_call_through_a_power_cut_as_told)
{
    for (int keeps = 0; keeps <= 1; keeps++) {
        static struct bench b;
        b.p = fixture_plant();
        b.p.fill.keeps_call = keeps;
        start(&b, 0.6);
        move(&b, 0.49, 1.0);
        move(&b, 0.6, 2.0);
        b.set.power = false;
        move(&b, 0.6, 3.0);
        cr_assert_eq(plant_feed_opening(&b.p, &b.set), 0.0, "a solenoid shuts without power");
        b.set.power = true;
        move(&b, 0.6, 4.0);
        cr_assert_eq(b.set.call, keeps);
    }
}

Test(control, a_high_switch_trips_while_wet_and_a_leak_until_reset)
{
    static struct bench b;
    b.p = fixture_plant();
    b.p.fill.high_switch = b.p.fill.leak_sensor = true;
    b.p.fill.high_at = 0.75;
    b.p.fill.leak_volume = 1e-4;
    start(&b, 0.49);
    cr_assert(b.set.call);
    move(&b, 0.76, 1.0);
    cr_assert(b.set.trip);
    move(&b, 0.6, 2.0);
    cr_assert_not(b.set.trip, "the high switch clears itself");
    b.x[X_SPILL] = 2e-4;
    move(&b, 0.6, 3.0);
    cr_assert(b.set.trip);
    move(&b, 0.49, 4.0);
    cr_assert(b.set.trip, "a leak latches");
    cr_assert_eq(plant_feed_opening(&b.p, &b.set), 0.0);
}

/* Each condition of the feed valve acts alone: a truth table. */
Test(control, opens_the_feed_only_when_all_agree)
{
    struct plant p = fixture_plant();
    for (int k = 0; k < 16; k++) {
        struct settings set;
        settings_init(&set);
        set.power = k & 1;
        set.hand_valve = k & 2;
        set.call = k & 4;
        set.trip = !(k & 8);
        cr_assert_eq(plant_feed_opening(&p, &set), k == 15 ? 1.0 : 0.0, "row %d", k);
        set.health.solenoid = 1.0; /* stuck open: only the hand valve is left */
        cr_assert_eq(plant_feed_opening(&p, &set), k & 2 ? 1.0 : 0.0, "stuck, row %d", k);
        set.health.solenoid = WORKS;
        set.health.controller = 1.0; /* hangs on: power, hand valve and trips still act */
        cr_assert_eq(plant_feed_opening(&p, &set), (k & 11) == 11 ? 1.0 : 0.0, "hung, row %d", k);
    }
}

Test(control, a_start_switch_that_shows_dry_makes_short_cycles_at_the_stop_switch)
{
    static struct bench b;
    b.p = fixture_plant();
    start(&b, 0.6);
    b.set.health.low_switch = 0.0;
    move(&b, 0.6, 1.0);
    cr_assert(b.set.call);
    move(&b, 0.7001, 2.0);
    cr_assert_not(b.set.call);
    move(&b, 0.6949, 3.0);
    cr_assert(b.set.call, "5 mm lower it fills again");
}

Test(control, the_top_off_latches_when_it_runs_too_long)
{
    static struct bench b;
    b.p = fixture_plant();
    b.p.topoff.longest_run = 100.0;
    start(&b, 0.6);
    b.x[X_BASIN] = b.p.basin.volume - 3e-3 * b.p.basin.surface;
    move(&b, 0.6, 10.0);
    cr_assert(b.set.topoff_call);
    cr_assert_float_eq(control_topoff_due(&b.c, &b.p), 110.0, 1e-12);
    control_topoff_expired(&b.c, &b.set);
    move(&b, 0.6, 110.0);
    cr_assert(b.set.topoff_trip);
    cr_assert(isinf(control_topoff_due(&b.c, &b.p)));
    control_reset(&b.c, &b.set);
    cr_assert_not(b.set.topoff_trip);
}

/* ---- rinses and the first product ---- */

static void tick(struct bench *b, double t)
{
    b->log.count = 0;
    for (int k = 0; k < 4; k++)
        control_react(&b->c, &b->p, &b->set, t, &b->log);
}

Test(control, rinses_at_start_in_between_and_at_stop)
{
    static struct bench b;
    b.p = fixture_plant();
    b.p.rinse = (struct rinse){ .at_start = 60.0,
                                .at_stop = 30.0,
                                .every = 600.0,
                                .every_for = 20.0,
                                .bypass = 3.0,
                                .divert = 90.0,
                                .divert_below = NAN };
    start(&b, 0.6);
    cr_assert_not(b.set.rinsing);
    move(&b, 0.499, 1000.0);
    cr_assert(b.set.rinsing && b.set.diverting);
    cr_assert_eq(control_phase_due(&b.c, &b.p), 1060.0);
    tick(&b, 1060.0);
    cr_assert(!b.set.rinsing && b.set.diverting);
    cr_assert_eq(control_phase_due(&b.c, &b.p), 1150.0);
    tick(&b, 1150.0);
    cr_assert_not(b.set.diverting);
    cr_assert_eq(control_phase_due(&b.c, &b.p), 1660.0, "600 s of making since the first rinse");
    tick(&b, 1660.0);
    cr_assert(b.set.rinsing);
    tick(&b, 1680.0);
    cr_assert_not(b.set.rinsing);
    move(&b, 0.701, 1700.0);
    cr_assert(!b.set.call && b.set.rinsing && b.set.hold);
    cr_assert_eq(plant_feed_opening(&b.p, &b.set), 1.0, "held open for the last rinse");
    tick(&b, 1730.0);
    cr_assert(!b.set.rinsing && !b.set.hold);
    cr_assert_eq(plant_feed_opening(&b.p, &b.set), 0.0);
}

Test(control, a_power_cut_or_a_trip_ends_a_rinse_at_once)
{
    static struct bench b;
    b.p = fixture_plant();
    b.p.rinse = (struct rinse){
        .at_start = 60.0, .every = INFINITY, .bypass = 3.0, .divert = 90.0, .divert_below = NAN
    };
    start(&b, 0.6);
    move(&b, 0.499, 10.0);
    b.set.power = false;
    tick(&b, 20.0);
    cr_assert(!b.set.rinsing && !b.set.diverting);
    b.set.power = true;
    tick(&b, 100.0);
    cr_assert(b.set.rinsing && b.set.diverting, "and it begins anew when the power is back");
}

Test(control, the_last_rinse_with_product_shuts_the_feed_and_runs_the_pump)
{
    static struct bench b;
    b.p = fixture_plant();
    b.p.rinse.at_stop = 60.0;
    b.p.rinse.with = RINSE_PERMEATE;
    b.p.rinse.flow = 1e-5;
    start(&b, 0.6);
    move(&b, 0.499, 10.0);
    cr_assert(b.set.call && !b.set.rinse_pump);
    move(&b, 0.701, 500.0);
    cr_assert(b.set.rinse_pump && b.set.rinsing && !b.set.hold);
    cr_assert_eq(plant_feed_opening(&b.p, &b.set), 0.0);
    cr_assert_eq(control_phase_due(&b.c, &b.p), 560.0);
    move(&b, 0.499, 520.0);
    cr_assert(b.set.call && b.set.rinse_pump, "a call waits until it is over");
    cr_assert_eq(plant_feed_opening(&b.p, &b.set), 0.0);
    tick(&b, 560.0);
    cr_assert(!b.set.rinse_pump && !b.set.rinsing);
    cr_assert_eq(plant_feed_opening(&b.p, &b.set), 1.0, "and then the tank fills");
    move(&b, 0.701, 900.0);
    cr_assert(b.set.rinse_pump);
    b.set.power = false;
    tick(&b, 910.0);
    cr_assert(!b.set.rinse_pump && !b.set.rinsing, "the pump stops with the power");
    b.set.power = true;
    tick(&b, 920.0);
    cr_assert_not(b.set.rinse_pump, "a rinse that was cut is over");
}

Test(control, a_flush_overrides_the_call_and_interrupts_run_and_run_timer)
{
    static struct bench b;
    b.p = fixture_plant();
    b.p.fill.run_timer = true;
    b.p.fill.longest_run = 1000.0;
    b.p.rinse.at_start = 30.0;
    start(&b, 0.6);
    commission_add(&b.c.commission, 2, 100.0, 0.0);
    tick(&b, 0.0);
    cr_assert(b.set.flush == 2 && !b.set.call);
    cr_assert_eq(plant_feed_opening(&b.p, &b.set), 1.0, "a person opens, whoever calls");
    cr_assert(isinf(control_run_due(&b.c, &b.p, &b.set)));
    cr_assert_not(b.set.rinsing);
    tick(&b, 100.0);
    cr_assert_eq(b.set.flush, -1);
    cr_assert_eq(plant_feed_opening(&b.p, &b.set), 0.0);
    move(&b, 0.499, 200.0);
    cr_assert(b.set.call && b.set.rinsing);
    move(&b, 0.55, 300.0);
    cr_assert_eq(control_run_due(&b.c, &b.p, &b.set), 1200.0);
    commission_add(&b.c.commission, 3, 50.0, 300.0);
    tick(&b, 300.0);
    cr_assert(b.set.flush == 3 && b.set.call && !b.set.rinsing);
    tick(&b, 350.0);
    cr_assert(b.set.rinsing, "the run begins anew");
    cr_assert_float_eq(control_run_due(&b.c, &b.p, &b.set), 1250.0, 1e-9, "its time is kept");
}
