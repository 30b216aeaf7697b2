/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * safeguard_add: see safeguard_add.h.
 */
#include "safeguard_add.h"

#include <math.h>

static const double ABOVE = 0.02;      /* m, of a float valve above the stop switch */
static const double LIP_ABOVE = 0.025; /* m; NHBC Standards 2020, 8.1.4 */
static const double LEAK = 5e-5;       /* m3 that a leak sensor needs; assumption */
static const double TWICE = 2.0; /* a timer allows so many times the longest run; common practice */
static const double SMALLEST = 0.02;  /* of the tank: a smaller one is no tank */
static const double ROOM = 2e-3;      /* m that a second switch needs on either side */
static const double NARROWEST = 2e-4; /* m, of a tube that is not blocked by every grain */

/* ---- what is said of them ---------------------------------------------------------------------
 */

static struct phrase_amount level(double m)
{
    return (struct phrase_amount){ PHRASE_AMOUNT, AMOUNT_LEVEL, 1, 100.0 * m };
}

static struct phrase_amount bore(double m, int places)
{
    return (struct phrase_amount){ PHRASE_AMOUNT, AMOUNT_THIN, places, 1e3 * m };
}

static struct phrase_amount volume(double m3)
{
    return (struct phrase_amount){ .form = PHRASE_VOLUME, .value = m3 };
}

static struct phrase_amount span(double s)
{
    return (struct phrase_amount){ .form = PHRASE_SPAN, .value = s };
}

/* ---- one after the other ----------------------------------------------------------------------
 */

/* Half-way from where filling stops to where the tank runs over. */
static double half_way_up(const struct plant *p)
{
    const double top =
        p->tank.overflow.kind == OVERFLOW_NONE ? p->tank.height : p->tank.overflow.lip;
    return 0.5 * (p->fill.off_at + top);
}

static bool add_high_switch(struct plant *p, const struct overflow_found *f, struct phrase *words)
{
    (void)f;
    if (p->fill.high_switch && p->fill.guard_valve)
        return false;
    if (!p->fill.high_switch)
        p->fill.high_at = half_way_up(p);
    p->fill.high_switch = p->fill.guard_valve = true;
    *words =
        (struct phrase){ "high switch at # with a valve of its own", { level(p->fill.high_at) } };
    return true;
}

static bool add_leak_sensor(struct plant *p, const struct overflow_found *f, struct phrase *words)
{
    (void)f;
    if (p->fill.leak_sensor && p->fill.guard_valve)
        return false;
    if (!p->fill.leak_sensor)
        p->fill.leak_volume = LEAK;
    p->fill.leak_sensor = p->fill.guard_valve = p->fill.leak_latches = true;
    *words = (struct phrase){ .words = "leak sensor under the tank with a valve of its own" };
    return true;
}

static bool add_float_valve(struct plant *p, const struct overflow_found *f, struct phrase *words)
{
    (void)f;
    const double at = p->fill.off_at + ABOVE;
    if (p->fill.float_valve || at >= p->tank.height)
        return false;
    p->fill.float_valve = true;
    p->fill.valve.shuts_at = at;
    *words = (struct phrase){ "float valve on the product that shuts at #", { level(at) } };
    return true;
}

/* The smallest usual bore that takes the most that comes in, dependably and below the rim. */
static bool add_overflow_pipe(struct plant *p, const struct overflow_found *f, struct phrase *words)
{
    static const double bores[] = { 0.019, 0.025, 0.032, 0.040, 0.050 }; /* m */
    const double lip = p->fill.off_at + LIP_ABOVE;
    if (p->tank.overflow.kind != OVERFLOW_NONE &&
        overflow_dependable(&p->tank.overflow, p->tank.height, 1.0) >= f->worst_inflow)
        return false;
    for (size_t i = 0; i < sizeof bores / sizeof bores[0]; i++) {
        const struct overflow o = { .kind = OVERFLOW_STANDPIPE,
                                    .lip = lip,
                                    .bore = bores[i],
                                    .fall = 0.5,
                                    .length = 1.0,
                                    .meniscus = 3e-3 };
        if (lip + bores[i] >= p->tank.height ||
            overflow_dependable(&o, p->tank.height, 1.0) < f->worst_inflow)
            continue;
        p->tank.overflow = o;
        *words = (struct phrase){ "overflow pipe of # to a drain, lip at #",
                                  { bore(o.bore, 0), level(lip) } };
        return true;
    }
    return false;
}

static bool add_run_timer(struct plant *p, const struct overflow_found *f, struct phrase *words)
{
    if (p->fill.run_timer || !p->fill.switches || !(f->least_inflow > 0.0))
        return false;
    const double fill =
        tank_volume(&p->tank, p->fill.off_at) - tank_volume(&p->tank, p->fill.on_at);
    p->fill.run_timer = p->fill.timer_latches = true;
    p->fill.longest_run = TWICE * fill / f->least_inflow;
    *words =
        (struct phrase){ "run timer of # on the feed solenoid", { span(p->fill.longest_run) } };
    return true;
}

static bool add_topoff_timer(struct plant *p, const struct overflow_found *f, struct phrase *words)
{
    (void)f;
    if (p->topoff.kind != TOPOFF_PUMP || isfinite(p->topoff.longest_run))
        return false;
    p->topoff.longest_run = TWICE * p->topoff.off_above * p->basin.surface / p->topoff.flow;
    p->topoff.latches = true;
    *words =
        (struct phrase){ "longest run of # for the top-off pump", { span(p->topoff.longest_run) } };
    return true;
}

/* Half-way from where the top-off pump stops to the rim. */
static bool add_topoff_switch(struct plant *p, const struct overflow_found *f, struct phrase *words)
{
    (void)f;
    const double stops = p->topoff.off_above - p->topoff.on_below;
    if (p->topoff.kind != TOPOFF_PUMP || !isnan(p->topoff.high_at) ||
        p->basin.freeboard - stops < 2.0 * ROOM)
        return false;
    p->topoff.high_at = 0.5 * (stops + p->basin.freeboard);
    *words =
        (struct phrase){ "second switch of the served water at # that cuts the power of its pump",
                         { level(p->topoff.high_at) } };
    return true;
}

/* m3 that the served water takes above the level to which it is topped off. */
static double room_above(const struct plant *p)
{
    const bool pump = p->topoff.kind == TOPOFF_PUMP;
    const double stops = pump ? p->topoff.off_above - p->topoff.on_below : 0.0;
    return (p->basin.freeboard - stops) * p->basin.surface;
}

/* A tank whose whole contents fit into the served water.  The purifier fills it again meanwhile: it
 * limits something only with a run timer, whose longest run must fit in, too. */
static bool add_smaller_tank(struct plant *p, const struct overflow_found *f, struct phrase *words)
{
    const struct fill *fill = &p->fill;
    if (p->topoff.kind == TOPOFF_NONE || !fill->switches || !(f->least_inflow > 0.0))
        return false;
    const double whole = tank_full(&p->tank);
    const double between = tank_volume(&p->tank, fill->off_at) - tank_volume(&p->tank, fill->on_at);
    const double refill = TWICE * between * f->burst_product / f->least_inflow;
    const double share = room_above(p) / (whole + refill);
    if (share >= 1.0 || share < SMALLEST)
        return false;
    p->tank = tank_scaled(&p->tank, share);
    p->fill.run_timer = p->fill.timer_latches = true;
    p->fill.longest_run = TWICE * share * between / f->least_inflow;
    *words = (struct phrase){
        "smaller tank of # with a run timer of #: all of it fits into the served water",
        { volume(share * whole), span(p->fill.longest_run) }
    };
    return true;
}

/* What comes in with a tube of that bore, over what the overflow pipe takes. */
static double too_much(const struct plant *p, double bore)
{
    struct plant trial = *p;
    trial.line.tube_bore = bore;
    return overflow_inflow(&trial).worst -
           overflow_dependable(&p->tank.overflow, p->tank.height, 1.0);
}

/* A narrow product tube, for an overflow pipe that takes less than may come in. */
static bool add_flow_limiter(struct plant *p, const struct overflow_found *f, struct phrase *words)
{
    double narrow = NARROWEST, wide = p->line.tube_bore;
    const double takes = overflow_dependable(&p->tank.overflow, p->tank.height, 1.0);
    if (p->tank.overflow.kind == OVERFLOW_NONE || takes >= f->worst_inflow ||
        too_much(p, narrow) > 0.0)
        return false;
    for (int i = 0; i < 30; i++) {
        const double middle = 0.5 * (narrow + wide);
        if (too_much(p, middle) > 0.0)
            wide = middle;
        else
            narrow = middle;
    }
    p->line.tube_bore = narrow;
    *words = (struct phrase){
        "flow limiter, as a product tube of #: no more than the # an hour of the pipe",
        { bore(narrow, 2), volume(3600.0 * takes) }
    };
    return true;
}

static bool add_drip_pan(struct plant *p, const struct overflow_found *f, struct phrase *words)
{
    (void)f;
    if (p->fill.drip_pan)
        return false;
    p->fill.drip_pan = true;
    p->fill.pan_volume = 0.01;
    *words = (struct phrase){
        "drip pan of # under the tank",
        { { .form = PHRASE_AMOUNT, .kind = AMOUNT_WATER, .value = 1e3 * p->fill.pan_volume } }
    };
    return true;
}

typedef bool adding(struct plant *p, const struct overflow_found *f, struct phrase *words);

bool safeguard_add(enum safeguard_kind kind, struct plant *p, const struct overflow_found *f,
                   struct phrase *words)
{
    static adding *const add[SAFEGUARD_KINDS] = {
        [SAFEGUARD_HIGH_SWITCH] = add_high_switch,
        [SAFEGUARD_LEAK_SENSOR] = add_leak_sensor,
        [SAFEGUARD_FLOAT_VALVE] = add_float_valve,
        [SAFEGUARD_OVERFLOW_PIPE] = add_overflow_pipe,
        [SAFEGUARD_RUN_TIMER] = add_run_timer,
        [SAFEGUARD_TOPOFF_TIMER] = add_topoff_timer,
        [SAFEGUARD_TOPOFF_SWITCH] = add_topoff_switch,
        [SAFEGUARD_SMALLER_TANK] = add_smaller_tank,
        [SAFEGUARD_FLOW_LIMITER] = add_flow_limiter,
        [SAFEGUARD_DRIP_PAN] = add_drip_pan,
    };
    return add[kind](p, f, words);
}
