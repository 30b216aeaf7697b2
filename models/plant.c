/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant: how the water moves.  Page: docs/plant.md; the symbols are the same.
 *
 * The line has one unknown, the product flow Qp.  A trial Qp gives the back pressure; with it the
 * drain flow Qc at which the restrictor passes what arrives; the membrane then says what it would
 * make at these pressures.  The trial is right when it makes Qp: a falling function, one root.
 */
#include "plant.h"

#include <math.h>
#include <string.h>

#include "membrane_channel.h"
#include "root.h"
#include "water.h"

static const double GRAVITY = 9.80665;      /* m/s2 */
static const double ORIFICE = 0.62;         /* discharge coefficient of the feed valve */
static const double FLOW_TOLERANCE = 1e-11; /* relative, of the operating point */

/* What stays the same while one operating point is sought. */
struct point {
    const struct plant *p;
    const struct settings *set;
    const struct state *state;
    struct fluid water;     /* the feed */
    struct channel channel; /* of the membrane, if there is one */
    double supply;          /* Pa */
    double feed_opening;    /* 0..1 of the feed valve */
    double float_opening;   /* 0..1 */
    double product;         /* m3/s, trial */
    double drain;           /* m3/s, at that trial */
    double drain_most;      /* m3/s, what the restrictor passes when no product is made */
};

void settings_init(struct settings *s)
{
    *s = (struct settings){
        .power = true,
        .supply = 1.0,
        .hand_valve = true,
        .health = { .solenoid = WORKS,
                    .float_valve = WORKS,
                    .low_switch = WORKS,
                    .high_switch = WORKS,
                    .guard_switch = WORKS,
                    .topoff_switch = WORKS,
                    .leak_sensor = WORKS,
                    .run_timer = WORKS,
                    .booster = WORKS,
                    .topoff_pump = WORKS,
                    .controller = WORKS,
                    .overflow_open = 1.0,
                    .drain_open = 1.0 },
    };
}

bool plant_has_solenoid(const struct plant *p)
{
    const struct fill *f = &p->fill;
    return f->switches || f->high_switch || f->run_timer || f->leak_sensor;
}

/* The controller's output: what it calls for, or what it hangs with. */
bool plant_solenoid_energised(const struct settings *set)
{
    const bool called = set->health.controller == WORKS ? set->call : set->health.controller > 0.5;
    return set->power && called && !set->trip;
}

double plant_feed_opening(const struct plant *p, const struct settings *set)
{
    if (!set->hand_valve)
        return 0.0;
    if (!plant_has_solenoid(p))
        return 1.0;
    if (set->health.solenoid != WORKS)
        return set->health.solenoid;
    return plant_solenoid_energised(set) ? 1.0 : set->health.solenoid_weep;
}

static bool booster_runs(const struct plant *p, const struct settings *set)
{
    return set->power && set->health.booster == WORKS &&
           (!plant_has_solenoid(p) || plant_solenoid_energised(set));
}

/* Pressure [Pa] in front of stage `to` when `flow` comes in. */
static double pressure_before(const struct point *o, int to, double flow)
{
    const double bore = o->p->line.supply_bore;
    const double throat = ORIFICE * M_PI / 4.0 * bore * bore * o->feed_opening; /* m2 */
    const double speed = flow / throat;                                         /* m/s */
    double pressure = o->supply - 0.5 * o->water.density * speed * speed;
    const bool boosted = booster_runs(o->p, o->set);
    for (int i = 0; i < to; i++) {
        const struct stage *s = &o->p->train[i];
        if (s->kind != &stage_pump || boosted)
            pressure -=
                s->kind->pressure_drop(&s->params, &o->state->stage[i], flow, &o->water, pressure);
    }
    return pressure;
}

/* Pressure [Pa] behind stage `from - 1` that drives `flow` through the rest of the line to the
 * tank. */
static double pressure_behind(const struct point *o, int from, double flow)
{
    const struct line *l = &o->p->line;
    double pressure = l->check_opening + o->water.density * GRAVITY * l->inlet_height +
                      tube_loss(l->tube_length, l->tube_bore, flow, &o->water);
    if (o->p->fill.float_valve)
        pressure += float_valve_loss(&o->p->fill.valve, o->float_opening, flow, &o->water);
    for (int i = from; i < o->p->stages; i++) {
        const struct stage *s = &o->p->train[i];
        if (s->kind != &stage_pump)
            pressure +=
                s->kind->pressure_drop(&s->params, &o->state->stage[i], flow, &o->water, pressure);
    }
    return pressure;
}

/* What the restrictor would pass less what flows to the drain; falls with `drain`. */
static double drain_excess(double drain, void *context)
{
    const struct point *o = context;
    const struct membrane *m = &o->p->train[o->p->membrane].params.membrane;
    const double feed = o->product + drain;
    const double pressure =
        pressure_before(o, o->p->membrane, feed) - membrane_channel_drop(&o->channel.film, feed);
    return restrictor_flow(&m->restrictor, pressure, &o->water, o->set->health.drain_open) - drain;
}

/* What the membrane would make less the trial product; falls with `product`. */
static double product_excess(double product, void *context)
{
    struct point *o = context;
    o->product = product;
    o->drain =
        root_falling_near(drain_excess, o, 0.0, o->drain_most, o->drain_most, FLOW_TOLERANCE);
    const double feed = product + o->drain;
    const double driving =
        pressure_before(o, o->p->membrane, feed) - pressure_behind(o, o->p->membrane + 1, product);
    if (!(feed > 0.0) || !(driving > 0.0))
        return -product;
    double flux[SEGMENTS_MAX];
    o->channel.flow = feed;
    return membrane_march(&o->channel, driving, o->state->osmolarity, flux) - product;
}

/* Without a membrane: what pressure is left over when all that comes in goes through. */
static double pressure_excess(double flow, void *context)
{
    const struct point *o = context;
    return pressure_before(o, o->p->stages, flow) - pressure_behind(o, o->p->stages, flow);
}

/* The most that the feed valve alone would let through [m3/s]. */
static double supply_most(const struct point *o)
{
    const double bore = o->p->line.supply_bore;
    return ORIFICE * M_PI / 4.0 * bore * bore * o->feed_opening *
           sqrt(2.0 * o->supply / o->water.density);
}

/* The operating point of a line with a membrane. */
static void solve_membrane(struct point *o, bool dead_end)
{
    const struct membrane *m = &o->p->train[o->p->membrane].params.membrane;
    const double drive = fmax(pressure_before(o, o->p->membrane, 0.0), 0.0);
    o->channel = membrane_channel(m, 0.0, o->state->osmolarity, &o->water);
    o->drain_most = restrictor_flow(&m->restrictor, drive, &o->water, o->set->health.drain_open);
    /* neither osmotic nor back pressure: more than the membrane can ever make */
    const double most = fmin(supply_most(o), m->area * o->channel.A * drive);
    const double pressed = drive - pressure_behind(o, o->p->membrane + 1, 0.0) -
                           o->channel.osmotic * o->state->osmolarity;
    const double guess = 0.95 * m->area * o->channel.A * pressed;
    const double product =
        dead_end ? 0.0 : root_falling_near(product_excess, o, 0.0, most, guess, FLOW_TOLERANCE);
    product_excess(product, o); /* leaves the drain flow that belongs to it */
    o->product = product;
}

static void solve_line(struct point *o)
{
    const bool dead_end = o->p->fill.float_valve && o->float_opening <= 0.0;
    o->product = o->drain = 0.0;
    if (o->supply <= 0.0 || o->feed_opening <= 0.0)
        return;
    if (o->p->membrane >= 0)
        solve_membrane(o, dead_end);
    else if (!dead_end)
        o->product = root_falling(pressure_excess, o, 0.0, supply_most(o), FLOW_TOLERANCE);
}

static void evaluate_line(const struct plant *p, const struct settings *set,
                          const struct state *state, double t, struct signals *sig)
{
    double pressure;
    feed_conditions(&p->feed, t, &sig->feed_temperature, &pressure);
    sig->supply_pressure = set->supply * pressure;
    sig->float_opening = p->fill.float_valve
                             ? float_valve_opening(&p->fill.valve, sig->tank_level,
                                                   set->health.float_valve, set->health.float_weep)
                             : 1.0;
    struct point o = {
        .p = p,
        .set = set,
        .state = state,
        .supply = sig->supply_pressure,
        .feed_opening = plant_feed_opening(p, set),
        .float_opening = sig->float_opening,
    };
    if (o.supply > 0.0 && o.feed_opening > 0.0)
        o.water = water_fluid(sig->feed_temperature);
    solve_line(&o);
    const bool flows = o.product + o.drain > 0.0;
    const int membrane = p->membrane < 0 ? p->stages : p->membrane;
    sig->product_flow = o.product;
    sig->drain_flow = o.drain;
    sig->feed_flow = o.product + o.drain;
    sig->membrane_pressure = flows ? pressure_before(&o, membrane, sig->feed_flow) : 0.0;
    sig->back_pressure = !flows             ? 0.0
                         : o.product > 0.0  ? pressure_behind(&o, membrane + 1, o.product)
                         : p->membrane >= 0 ? sig->membrane_pressure /* shut in */
                                            : 0.0;
    sig->power = 0.0;
    sig->booster_head = 0.0;
    for (int i = 0; i < p->stages; i++) {
        if (p->train[i].kind != &stage_pump || !flows || !booster_runs(p, set))
            continue;
        const struct pump *pump = &p->train[i].params.pump;
        sig->booster_head +=
            pump_head(pump, sig->feed_flow, pressure_before(&o, i, sig->feed_flow));
        sig->power += pump_power(pump, sig->feed_flow, sig->booster_head);
    }
    if (plant_has_solenoid(p) && plant_solenoid_energised(set))
        sig->power += p->solenoid_power;
}

static bool topoff_runs(const struct plant *p, const struct settings *set)
{
    if (p->topoff.kind == TOPOFF_NONE || !set->power || set->health.topoff_pump == 0.0)
        return false;
    return set->health.topoff_pump == 1.0 || (set->topoff_call && !set->topoff_trip);
}

static void evaluate_tank(const struct plant *p, const struct settings *set, struct signals *sig)
{
    const bool topoff = topoff_runs(p, set);
    const double wanted = (topoff ? p->topoff.flow : 0.0) + set->draw;
    /* at the outlet there is only what comes in: a mode, not a pump that starts and stops for ever
     */
    const double share =
        set->tank_dry && wanted > sig->product_flow ? sig->product_flow / wanted : 1.0;
    sig->topoff_flow = topoff ? share * p->topoff.flow : 0.0;
    sig->draw_flow = share * set->draw;
    sig->overflow_flow = set->overflow_running
                             ? overflow_flow(&p->tank.overflow, sig->tank_level,
                                             set->health.overflow_open, p->tank_temperature)
                             : 0.0;
    const double net = sig->product_flow - sig->topoff_flow - sig->draw_flow - sig->overflow_flow;
    sig->spill_flow = set->tank_brim ? fmax(net, 0.0) : 0.0;
    if (topoff)
        sig->power += p->topoff.power;
}

static void evaluate_basin(const struct plant *p, const struct settings *set, double t,
                           double volume, struct signals *sig)
{
    sig->evaporation = sig->basin_level = sig->basin_spill_flow = 0.0;
    if (!p->has_basin)
        return;
    sig->basin_level = basin_level(&p->basin, volume);
    /* the last hundredth of the water dries up gradually, so that no rate jumps at empty */
    const double left = fmin(fmax(volume / (0.01 * p->basin.volume), 0.0), 1.0);
    const double drying = basin_evaporation(&p->basin, t);
    sig->evaporation = drying > 0.0 ? left * drying : drying;
    const double net = sig->topoff_flow - sig->evaporation;
    sig->basin_spill_flow = set->basin_brim ? fmax(net, 0.0) : 0.0;
}

void plant_evaluate(const struct plant *p, const struct settings *set, const struct state *state,
                    double t, const double x[], struct signals *sig, double dx[])
{
    sig->tank_level = tank_level(&p->tank, x[X_TANK]);
    evaluate_line(p, set, state, t, sig);
    evaluate_tank(p, set, sig);
    evaluate_basin(p, set, t, x[X_BASIN], sig);

    dx[X_TANK] = sig->product_flow - sig->topoff_flow - sig->draw_flow - sig->overflow_flow -
                 sig->spill_flow;
    dx[X_BASIN] = sig->topoff_flow - sig->evaporation - sig->basin_spill_flow;
    dx[X_FEED] = sig->feed_flow;
    dx[X_DRAIN] = sig->drain_flow;
    dx[X_PRODUCT] = sig->product_flow;
    dx[X_OVERFLOW] = sig->overflow_flow;
    dx[X_SPILL] = sig->spill_flow;
    dx[X_TOPOFF] = sig->topoff_flow;
    dx[X_DRAWN] = sig->draw_flow;
    dx[X_UNMET] = set->draw - sig->draw_flow;
    dx[X_EVAPORATED] = sig->evaporation;
    dx[X_BASIN_SPILL] = sig->basin_spill_flow;
    dx[X_RUNNING] = sig->feed_flow > 0.0;
    dx[X_MAKING] = sig->product_flow > 0.0;
    dx[X_ENERGY] = sig->power;
}
