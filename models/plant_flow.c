/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant_flow: what flows in the line.  Page: docs/plant.md; the symbols are the same.
 *
 * Most often that is one operating point (plant_point.h).  Where a shut-off valve would close at
 * that point, the flows are those of its cycles (shutoff.h).
 * A bladder that holds water parts the line in two: what is made and what is delivered, each
 * against its pressure.
 */
#include "plant_flow.h"

#include <math.h>

#include "plant_point.h"

static const double GRAVITY = 9.80665; /* m/s2 */
static const double BAR = 1e5;         /* Pa */

/* ---- the shut-off valve ---- */

/* What the valve meets at its closing pressure: what would come in and what goes out.  False if
 * more could go out than ever comes in: it never closes. */
static bool meets(struct plant_point *o, double most, double *makes, double *out)
{
    const double high = o->p->fill.shutoff.close_ratio * o->supply;
    const bool shut = o->p->fill.float_valve && o->float_opening <= 0.0;
    if (!shut && plant_point_behind(o, o->p->membrane + 1, most) <= high)
        return false;
    *makes = plant_point_make_against(o, high, most);
    *out = shut ? 0.0 : plant_point_outlet(o, high, most);
    return *out < *makes;
}

/* Flows of a line whose valve cycles; false if it stays open.  The valve sees the membrane as a
 * straight line through what it makes at the two pressures at which the valve turns, and the outlet
 * as an orifice that is right where it closes: so it closes just where the steady point reaches
 * that pressure. */
static bool cycles(struct plant_point *o, double most, struct plant_flow *f)
{
    const struct shutoff *s = &o->p->fill.shutoff;
    const double low = s->reopen_ratio * o->supply, high = s->close_ratio * o->supply;
    double makes_high, out;
    if (!meets(o, most, &makes_high, &out))
        return false;
    const double drain = o->drain;
    const double makes_low = plant_point_make_against(o, low, most);
    const double k = fmax((makes_low - makes_high) / (high - low), 1e-18);
    const double leak = o->set->health.check_valve == WORKS ? 0.0 : o->set->health.check_valve;
    const struct shutoff_line line = { .feed_pressure = o->supply,
                                       .k = k,
                                       .p_max = high + makes_high / k,
                                       .orifice = out / sqrt(high),
                                       .leak_back = leak / BAR };
    const struct shutoff_cycle c = shutoff_average(s, &line);
    if (c.open)
        return false;
    *f = (struct plant_flow){ .product = c.out,
                              .drain = c.duty * drain,
                              .duty = c.duty,
                              .starts = c.starts,
                              .back_pressure = c.pressure };
    return true;
}

/* ---- all of it ---- */

static void solve_membrane(struct plant_point *o, struct plant_flow *f)
{
    const struct fill *fill = &o->p->fill;
    const bool dead_end = fill->float_valve && o->float_opening <= 0.0 && o->diverts_behind < 0;
    const bool valve = o->cycling;
    if (valve && dead_end && o->set->health.check_valve == WORKS) {
        *f = (struct plant_flow){ .duty = 0.0 }; /* tight on both sides: it stays shut */
        return;
    }
    const double most = plant_point_open(o);
    if (valve && o->diverts_behind < 0 && cycles(o, most, f))
        return;
    if (dead_end)
        plant_point_shut_in(o);
    else
        plant_point_make(o, most);
    f->product = o->product;
    f->drain = o->drain;
}

static void pressures(const struct plant_point *o, struct plant_flow *f)
{
    const double feed = f->product + f->drain;
    const int membrane = o->p->membrane < 0 ? o->p->stages : o->p->membrane;
    if (!(feed > 0.0))
        return;
    f->membrane_pressure = plant_point_before(o, membrane, feed / f->duty);
    if (f->starts > 0.0)
        return;
    f->back_pressure = f->product > 0.0      ? plant_point_behind(o, membrane + 1, f->product)
                       : o->p->membrane >= 0 ? f->membrane_pressure /* shut in */
                                             : 0.0;
}

/* The low pressure switch stands before the solenoid, behind the hand valve: with the solenoid shut
 * it sees what stands there, with the hand valve shut what is behind it has run out. */
static void see_inlet(struct plant_point *o, struct plant_flow *f)
{
    const double feed = f->product + f->drain;
    f->inlet_pressure = plant_hand_open(o->set) ? o->supply : 0.0;
    if (!(feed > 0.0) || !plant_hand_open(o->set))
        return;
    const double opening = o->feed_opening;
    o->feed_opening = 1.0;
    f->inlet_pressure = plant_point_before(o, plant_inlet_place(o->p), feed / f->duty);
    o->feed_opening = opening;
}

/* A pump behind the membrane has nothing to boost: it stands. */
static void pumping(const struct plant_point *o, struct plant_flow *f)
{
    const double feed = (f->product + f->drain) / f->duty;
    const int end = o->p->membrane < 0 ? o->p->stages : o->p->membrane;
    for (int i = 0; i < end && feed > 0.0; i++) {
        if (o->p->train[i].kind != &stage_pump || !plant_boosted(o->p, o->set))
            continue;
        const struct pump *pump = &o->p->train[i].params.pump;
        f->booster_head += pump_head(pump, feed, plant_point_before(o, i, feed));
        f->power += f->duty * pump_power(pump, feed, f->booster_head);
    }
}

/* The line without a bladder, or past an empty one. */
static void solve_line(struct plant_point *o, struct plant_flow *f)
{
    *f = (struct plant_flow){ .duty = 1.0 };
    if (o->supply <= 0.0 || o->feed_opening <= 0.0)
        return;
    o->water = water_fluid(o->temperature);
    if (o->p->membrane >= 0) {
        solve_membrane(o, f);
    } else if (!o->p->fill.float_valve || o->float_opening > 0.0) {
        f->product = plant_point_through(o);
    }
    if (f->duty > 0.0) {
        pressures(o, f);
        pumping(o, f);
    }
    f->delivered = o->diverts_behind >= 0 ? 0.0 : f->product;
}

/* ---- the bladder ---- */

/* An empty bladder takes no water as long as the line stands below its precharge: the line then
 * works as if it were not there.  False if it takes some. */
static bool passes_by(struct plant_point *o, double vessel, struct plant_flow *f)
{
    const struct fill *fill = &o->p->fill;
    const bool fed = o->supply > 0.0 && o->feed_opening > 0.0;
    const bool dead_end = fill->float_valve && o->float_opening <= 0.0 && o->diverts_behind < 0;
    if (fed && dead_end && !o->cycling)
        return false;
    solve_line(o, f);
    f->mouth = fmax(f->back_pressure - o->p->line.check_opening, 0.0);
    return o->cycling || f->mouth <= vessel;
}

/* What the membrane makes against a pressure behind it [Pa]; NAN: against what lies on the way to
 * where it is diverted. */
static void make_against(struct plant_point *o, double pressure, struct plant_flow *f)
{
    if (o->supply <= 0.0 || o->feed_opening <= 0.0)
        return;
    plant_point_make_against(o, pressure, plant_point_open(o));
    f->product = o->product;
    f->drain = o->drain;
    pressures(o, f);
    pumping(o, f);
    if (f->product + f->drain <=
        0.0) /* a drain that is shut: it stands under the feed's pressure */
        f->membrane_pressure = plant_point_before(o, o->p->membrane, 0.0);
    if (!isnan(pressure))
        f->back_pressure = pressure;
}

/* What the line behind a pressure lets out into the tank [m3/s]: nothing while a later stage is
 * flushed. */
static double lets_out(struct plant_point *o, double pressure)
{
    if (o->diverts_behind > o->p->membrane)
        return 0.0;
    o->diverts_behind = -1; /* behind the membrane it does not reach this part of the line */
    const struct fill *fill = &o->p->fill;
    const struct tube bare = { o->p->line.tube_length, o->p->line.tube_bore, 0.0 };
    const double drive = pressure - plant_point_behind(o, o->p->membrane + 1, 0.0);
    if (!(drive > 0.0) || (fill->float_valve && o->float_opening <= 0.0))
        return 0.0;
    double most = tube_flow(&bare, drive, &o->water); /* nothing else in its way */
    if (fill->float_valve)
        most = fmin(most, float_valve_flow(&fill->valve, o->float_opening, drive, &o->water));
    return plant_point_outlet(o, pressure, most);
}

static void solve_bladder(struct plant_point *o, double vessel, struct plant_flow *f)
{
    if (!o->set->bladder_holds && passes_by(o, vessel, f))
        return;
    const double check = o->p->line.check_opening;
    const bool diverting = o->diverts_behind >= 0;
    *f = (struct plant_flow){ .duty = 1.0, .mouth = vessel };
    o->water = water_fluid(o->temperature);
    if (o->set->shutoff_shut && o->p->fill.shutoff_valve && o->set->health.shutoff_valve == WORKS)
        o->feed_opening = 0.0;
    make_against(o, diverting ? NAN : vessel + check, f);
    f->delivered = lets_out(o, vessel + check);
    if (o->set->health.check_valve != WORKS)
        f->leak = o->set->health.check_valve / BAR *
                  fmax(vessel - (diverting ? 0.0 : f->membrane_pressure), 0.0);
}

/* New parts in front of the membrane are flushed through an open end; a bladder gives meanwhile. */
static void flush_feed(struct plant_point *o, const struct flow_inlet *in, struct plant_flow *f)
{
    o->water = water_fluid(o->temperature);
    if (o->supply > 0.0 && o->feed_opening > 0.0)
        f->drain = plant_point_open_end(o);
    f->mouth = in->vessel;
    if (in->bladder && o->set->bladder_holds)
        f->delivered = lets_out(o, in->vessel + o->p->line.check_opening);
}

/* A bladder with room for water up to the closing pressure makes the cycles of a shut-off valve so
 * long that they are followed one by one. */
static bool cycles_in_line(const struct plant_point *o, const struct flow_inlet *in)
{
    const struct fill *fill = &o->p->fill;
    if (!fill->shutoff_valve || o->set->health.shutoff_valve != WORKS)
        return false;
    const double closes = fill->shutoff.close_ratio * in->supply - o->p->line.check_opening;
    return !in->bladder || closes <= in->vessel;
}

struct plant_flow plant_flow(const struct plant *p, const struct settings *set,
                             const struct state *state, const struct flow_inlet *in)
{
    struct plant_flow f = { .duty = 1.0 };
    struct plant_point o = {
        .p = p,
        .set = set,
        .state = state,
        .open_drain = set->health.drain_open * (set->rinsing ? p->rinse.bypass : 1.0),
        .held_pressure = NAN,
        .diverts_behind = plant_diverts_behind(p, set),
        .supply = in->supply,
        .temperature = in->temperature,
        .feed_opening = plant_feed_opening(p, set),
        .float_opening = in->float_opening,
    };
    o.cycling = cycles_in_line(&o, in);
    if (plant_flushes_feed(p, set))
        flush_feed(&o, in, &f);
    else if (in->bladder)
        solve_bladder(&o, in->vessel, &f);
    else
        solve_line(&o, &f);
    see_inlet(&o, &f);
    return f;
}

void plant_pressures(const struct plant *p, const struct settings *set, const struct state *state,
                     const struct signals *sig, struct plant_pressures *out)
{
    const double duty = sig->duty > 0.0 ? sig->duty : 1.0;
    const double feed = sig->feed_flow / duty;
    /* a line that gives way lets the water out evenly while the valve in front of it cycles */
    const double made = sig->product_flow + sig->divert_flow;
    const int m = p->membrane < 0 ? p->stages : p->membrane;
    const struct plant_point o = { .p = p,
                                   .set = set,
                                   .state = state,
                                   .water = water_fluid(sig->feed_temperature),
                                   .diverts_behind = plant_diverts_behind(p, set),
                                   .supply = sig->supply_pressure,
                                   .feed_opening = plant_feed_opening(p, set),
                                   .float_opening = sig->float_opening };
    *out = (struct plant_pressures){ .concentrate = NAN, .check = p->line.check_opening };
    for (int i = 0; i <= m; i++)
        out->before[i] = plant_point_before(&o, i, feed);
    for (int i = m + 1; i <= p->stages; i++)
        out->before[i] = plant_point_behind(&o, i, made);
    if (p->membrane >= 0)
        out->concentrate =
            out->before[m] - membrane_channel_loss(&p->train[m].params.membrane, feed, &o.water);
    out->height = o.water.density * GRAVITY * p->line.inlet_height;
    out->tube = tube_loss(p->line.tube_length, p->line.tube_bore, made, &o.water);
    if (p->fill.float_valve)
        out->valve = float_valve_loss(&p->fill.valve, o.float_opening, made, &o.water);
}
