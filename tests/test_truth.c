/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * truth: the decisions that keep water off the floor, as whole truth tables.  Every combination of
 * their conditions is set and looked at; what is expected is said in words of docs/control.md, the
 * first word that fits wins; and for each condition there must be a pair of combinations that
 * differ in it alone and are decided differently.
 */
#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#include "fixture.h"
#include "sim/control.h"
#include "sim/trip.h"

enum { CONDITIONS_MOST = 10 };

struct bench {
    struct plant p;
    struct settings set;
    struct trips trips;
};

struct decision {
    const char *name;
    const char *condition[CONDITIONS_MOST + 1]; /* of bit 0, 1, ... */
    bool (*decides)(struct bench *b, unsigned bits);
    bool (*expected)(unsigned bits);
};

static bool is(unsigned bits, int condition)
{
    return (bits >> condition & 1U) != 0;
}

static void fresh(struct bench *b)
{
    memset(b, 0, sizeof *b);
    b->p = fixture_plant();
    settings_init(&b->set);
}

/* ---- the feed solenoid: has it power? ----------------------------------------------------------
 */

enum { POWER, CALL, HOLD, RINSE_PUMP, FLUSH, HANGS_OFF, HANGS_ON, TRIP };

static bool solenoid(struct bench *b, unsigned bits)
{
    b->set.power = is(bits, POWER);
    b->set.call = is(bits, CALL);
    b->set.hold = is(bits, HOLD);
    b->set.rinse_pump = is(bits, RINSE_PUMP);
    b->set.flush = is(bits, FLUSH) ? 0 : -1;
    b->set.health.controller = is(bits, HANGS_OFF) ? 0.0 : is(bits, HANGS_ON) ? 1.0 : WORKS;
    b->set.trip = is(bits, TRIP);
    return plant_solenoid_energised(&b->set);
}

static bool solenoid_should(unsigned bits)
{
    if (!is(bits, POWER) || is(bits, TRIP) || is(bits, HANGS_OFF))
        return false;
    if (is(bits, HANGS_ON) || is(bits, FLUSH))
        return true;
    if (is(bits, RINSE_PUMP))
        return false;
    return is(bits, CALL) || is(bits, HOLD);
}

/* ---- does feed flow? ----------------------------------------------------------------------------
 */

enum {
    F_HAND,
    F_HAND_STUCK,
    F_POWER,
    F_CALL,
    F_TRIP,
    F_GUARD_TRIP,
    F_GUARD_OPEN,
    F_GUARD_SHUT,
    F_STUCK_OPEN
};

static bool feed(struct bench *b, unsigned bits)
{
    b->p.fill.guard_valve = b->p.fill.high_switch = true;
    b->set.hand_valve = is(bits, F_HAND);
    b->set.health.hand_valve = is(bits, F_HAND_STUCK) ? 0.0 : WORKS;
    b->set.power = is(bits, F_POWER);
    b->set.call = is(bits, F_CALL);
    b->set.trip = is(bits, F_TRIP);
    b->set.guard_trip = is(bits, F_GUARD_TRIP);
    b->set.health.guard_valve = is(bits, F_GUARD_OPEN) ? 1.0 : is(bits, F_GUARD_SHUT) ? 0.0 : WORKS;
    b->set.health.solenoid = is(bits, F_STUCK_OPEN) ? 1.0 : WORKS;
    return plant_feed_opening(&b->p, &b->set) > 0.0;
}

static bool feed_should(unsigned bits)
{
    if (!is(bits, F_HAND) || is(bits, F_HAND_STUCK))
        return false;
    if (!is(bits, F_GUARD_OPEN) && is(bits, F_GUARD_SHUT))
        return false;
    if (!is(bits, F_GUARD_OPEN) && (!is(bits, F_POWER) || is(bits, F_GUARD_TRIP)))
        return false;
    if (is(bits, F_STUCK_OPEN))
        return true;
    return is(bits, F_POWER) && is(bits, F_CALL) && !is(bits, F_TRIP);
}

/* ---- does the top-off pump run? -----------------------------------------------------------------
 */

enum { T_PUMP, T_POWER, T_CALL, T_TRIP, T_CUT, T_DEAD, T_WELDED };

static bool topoff(struct bench *b, unsigned bits)
{
    b->p.topoff.kind = is(bits, T_PUMP) ? TOPOFF_PUMP : TOPOFF_NONE;
    b->set.power = is(bits, T_POWER);
    b->set.topoff_call = is(bits, T_CALL);
    b->set.topoff_trip = is(bits, T_TRIP);
    b->set.topoff_cut = is(bits, T_CUT);
    b->set.health.topoff_pump = is(bits, T_DEAD) ? 0.0 : is(bits, T_WELDED) ? 1.0 : WORKS;
    return plant_topoff_runs(&b->p, &b->set);
}

/* The second switch stands in the supply of the pump: it stops a welded relay, which the longest
 * run does not. */
static bool topoff_should(unsigned bits)
{
    if (!is(bits, T_PUMP) || !is(bits, T_POWER) || is(bits, T_CUT) || is(bits, T_DEAD))
        return false;
    if (is(bits, T_WELDED))
        return true;
    return is(bits, T_CALL) && !is(bits, T_TRIP);
}

/* ---- is the solenoid told to shut, and the guard valve? -----------------------------------------
 */

enum { P_HIGH, P_LEAK, P_TIMER, P_INLET, P_GUARD, P_HIGH_DEAD, P_LEAK_DEAD };

static void protect(struct bench *b, unsigned bits)
{
    struct fill *f = &b->p.fill;
    f->high_switch = f->leak_sensor = f->run_timer = f->low_pressure_switch = true;
    f->timer_latches = f->inlet.latches = true;
    f->guard_valve = is(bits, P_GUARD);
    b->trips.high_wet = is(bits, P_HIGH);
    b->trips.leak_wet = is(bits, P_LEAK);
    b->trips.timer_tripped = is(bits, P_TIMER);
    b->trips.inlet_tripped = is(bits, P_INLET);
    b->trips.inlet_enough = true;
    b->set.health.guard_switch = is(bits, P_HIGH_DEAD) ? 0.0 : WORKS;
    b->set.health.leak_sensor = is(bits, P_LEAK_DEAD) ? 0.0 : WORKS;
    trip_react(&b->trips, &b->p, &b->set, 1e6);
}

static bool solenoid_trip(struct bench *b, unsigned bits)
{
    protect(b, bits);
    return b->set.trip;
}

static bool guard_trip(struct bench *b, unsigned bits)
{
    protect(b, bits);
    return b->set.guard_trip;
}

static bool water_seen(unsigned bits)
{
    return (is(bits, P_HIGH) && !is(bits, P_HIGH_DEAD)) ||
           (is(bits, P_LEAK) && !is(bits, P_LEAK_DEAD));
}

static bool solenoid_trip_should(unsigned bits)
{
    if (is(bits, P_TIMER) || is(bits, P_INLET))
        return true;
    return !is(bits, P_GUARD) && water_seen(bits);
}

static bool guard_trip_should(unsigned bits)
{
    return is(bits, P_GUARD) && water_seen(bits);
}

/* ---- what keeps a latch? ------------------------------------------------------------------------
 */

enum { L_WET, L_BEFORE, L_LATCHES };

static bool high_stays(struct bench *b, unsigned bits)
{
    b->p.fill.high_switch = true;
    b->p.fill.high_latches = is(bits, L_LATCHES);
    b->trips.high_wet = is(bits, L_WET);
    b->trips.high_tripped = is(bits, L_BEFORE);
    trip_react(&b->trips, &b->p, &b->set, 0.0);
    return b->set.trip;
}

static bool leak_stays(struct bench *b, unsigned bits)
{
    b->p.fill.leak_sensor = true;
    b->p.fill.leak_latches = is(bits, L_LATCHES);
    b->trips.leak_wet = is(bits, L_WET);
    b->trips.leak_tripped = is(bits, L_BEFORE);
    trip_react(&b->trips, &b->p, &b->set, 0.0);
    return b->set.trip;
}

static bool stays(unsigned bits)
{
    return is(bits, L_WET) || (is(bits, L_BEFORE) && is(bits, L_LATCHES));
}

/* Of the run timer bit 0 is the call that it stands against. */
static bool timer_stays(struct bench *b, unsigned bits)
{
    b->p.fill.run_timer = true;
    b->p.fill.timer_latches = is(bits, L_LATCHES);
    b->set.call = is(bits, L_WET);
    b->trips.timer_tripped = is(bits, L_BEFORE);
    trip_react(&b->trips, &b->p, &b->set, 0.0);
    return b->set.trip;
}

static bool timer_should(unsigned bits)
{
    return is(bits, L_BEFORE) && (is(bits, L_LATCHES) || is(bits, L_WET));
}

/* ---- all of them --------------------------------------------------------------------------------
 */

static const struct decision decisions[] = {
    { "solenoid",
      { "power", "call", "hold", "rinse pump", "flush", "hangs off", "hangs on", "trip" },
      solenoid,
      solenoid_should },
    { "feed",
      { "hand valve", "left shut", "power", "call", "trip", "guard trip", "guard stuck open",
        "guard stuck shut", "solenoid stuck open" },
      feed,
      feed_should },
    { "top-off",
      { "pump", "power", "call", "trip", "cut", "dead", "welded" },
      topoff,
      topoff_should },
    { "solenoid trip",
      { "high switch", "leak", "run timer", "low pressure", "guard valve", "high switch dead",
        "leak sensor dead" },
      solenoid_trip,
      solenoid_trip_should },
    { "guard trip",
      { "high switch", "leak", "", "", "guard valve", "high switch dead", "leak sensor dead" },
      guard_trip,
      guard_trip_should },
    { "high switch", { "wet", "before", "latches" }, high_stays, stays },
    { "leak sensor", { "wet", "before", "latches" }, leak_stays, stays },
    { "run timer", { "call", "before", "latches" }, timer_stays, timer_should },
};

static int conditions(const struct decision *d)
{
    int n = 0;
    while (d->condition[n] != NULL)
        n++;
    return n;
}

static bool decide(const struct decision *d, unsigned bits)
{
    static struct bench b;
    fresh(&b);
    return d->decides(&b, bits);
}

Test(truth, of_every_combination)
{
    for (size_t k = 0; k < sizeof decisions / sizeof *decisions; k++) {
        const struct decision *d = &decisions[k];
        for (unsigned bits = 0; bits < 1U << conditions(d); bits++)
            cr_expect_eq(decide(d, bits), d->expected(bits), "%s, combination %x", d->name, bits);
    }
}

/* A condition without a name is one that must not matter. */
Test(truth, each_condition_acts_alone)
{
    for (size_t k = 0; k < sizeof decisions / sizeof *decisions; k++) {
        const struct decision *d = &decisions[k];
        for (int c = 0; c < conditions(d); c++) {
            int pairs = 0;
            for (unsigned bits = 0; bits < 1U << conditions(d); bits++)
                pairs += !is(bits, c) && decide(d, bits) != decide(d, bits | 1U << c);
            if (d->condition[c][0] != '\0')
                cr_expect_gt(pairs, 0, "%s: %s never decides", d->name, d->condition[c]);
            else
                cr_expect_eq(pairs, 0, "%s: condition %d must not matter", d->name, c);
        }
    }
}
