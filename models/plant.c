/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant: how the water moves.  Page: docs/plant.md; the symbols are the same.
 * The operating point of the line is in plant_flow.c.
 */
#include "plant.h"

#include <math.h>
#include <string.h>

#include "plant_flow.h"
#include "water.h"

static const double GRAVITY = 9.80665;   /* m/s2 */
static const double HOSE_ENDS = 1.5;     /* velocity heads: entrance 0.5, exit 1 */
static const double SHUTOFF_BAND = 1e-3; /* of a bladder: the least that a valve's cycle moves */

void settings_init(struct settings *s)
{
    *s = (struct settings){
        .power = true,
        .supply = 1.0,
        .hand_valve = true,
        .flush = -1,
        .basin_wet = true,
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
                    .shutoff_valve = WORKS,
                    .check_valve = WORKS,
                    .controller = WORKS,
                    .overflow_open = 1.0,
                    .drain_open = 1.0,
                    .inlet_switch = WORKS,
                    .bladder = WORKS,
                    .bladder_air = 1.0,
                    .siphon_break = WORKS,
                    .guard_valve = WORKS,
                    .topoff_high = WORKS,
                    .hand_valve = WORKS },
    };
}

bool plant_has_solenoid(const struct plant *p)
{
    const struct fill *f = &p->fill;
    const bool guards = (f->high_switch || f->leak_sensor) && !f->guard_valve;
    return f->switches || f->run_timer || guards || f->low_pressure_switch;
}

int plant_inlet_place(const struct plant *p)
{
    const int end = p->membrane < 0 ? p->stages : p->membrane; /* a pump behind it boosts nothing */
    for (int i = 0; i < end; i++)
        if (p->train[i].kind == &stage_pump)
            return i;
    return p->membrane < 0 ? 0 : p->membrane;
}

bool plant_flushes_feed(const struct plant *p, const struct settings *set)
{
    return set->flush >= 0 && (p->membrane < 0 || set->flush < p->membrane);
}

int plant_diverts_behind(const struct plant *p, const struct settings *set)
{
    if (set->flush >= 0 && !plant_flushes_feed(p, set))
        return set->flush;
    return set->diverting ? p->membrane : -1;
}

/* The controller's output: what it calls for, or what it hangs with. */
bool plant_solenoid_energised(const struct settings *set)
{
    const bool wanted = ((set->call || set->hold) && !set->rinse_pump) || set->flush >= 0;
    const bool called = set->health.controller == WORKS ? wanted : set->health.controller > 0.5;
    return set->power && called && !set->trip;
}

bool plant_boosted(const struct plant *p, const struct settings *set)
{
    return set->power && set->health.booster == WORKS && !plant_flushes_feed(p, set) &&
           (!plant_has_solenoid(p) || plant_solenoid_energised(set));
}

static double solenoid_opening(const struct plant *p, const struct settings *set)
{
    if (!plant_has_solenoid(p))
        return 1.0;
    if (set->health.solenoid != WORKS)
        return set->health.solenoid;
    return plant_solenoid_energised(set) ? 1.0 : set->health.solenoid_weep;
}

/* Fails closed without power, like the solenoid. */
static double guard_valve_opening(const struct plant *p, const struct settings *set)
{
    if (!p->fill.guard_valve)
        return 1.0;
    if (set->health.guard_valve != WORKS)
        return set->health.guard_valve;
    return set->power && !set->guard_trip ? 1.0 : 0.0;
}

bool plant_hand_open(const struct settings *set)
{
    return set->hand_valve && set->health.hand_valve == WORKS;
}

double plant_feed_opening(const struct plant *p, const struct settings *set)
{
    if (!plant_hand_open(set))
        return 0.0;
    return fmin(solenoid_opening(p, set), guard_valve_opening(p, set));
}

static double float_opening(const struct plant *p, const struct settings *set, double level)
{
    const struct health *h = &set->health;
    if (!p->fill.float_valve)
        return 1.0;
    if (set->float_shut && h->float_valve == WORKS)
        return h->float_weep;
    return float_valve_opening(&p->fill.valve, level, h->float_valve, h->float_weep);
}

static bool same_inlet(const struct flow_inlet *a, const struct flow_inlet *b)
{
    return a->temperature == b->temperature && a->supply == b->supply &&
           a->float_opening == b->float_opening && a->bladder == b->bladder &&
           (!a->bladder || a->vessel == b->vessel);
}

/* Settings are flags and numbers that only reactions change: equal bytes are equal settings. */
static const struct plant_flow *flow_of_line(const struct plant *p, const struct settings *set,
                                             const struct state *state, const struct flow_inlet *in,
                                             struct line_memo *memo)
{
    if (memo->known == 0 || memcmp(&memo->settings, set, sizeof *set) != 0) {
        memo->known = 0;
        memcpy(&memo->settings, set, sizeof *set);
    }
    for (int i = 0; i < memo->known; i++)
        if (same_inlet(&memo->point[i].in, in))
            return &memo->point[i].flow;
    memo->point[1] = memo->point[0];
    memo->point[0] = (struct line_point){ *in, plant_flow(p, set, state, in) };
    memo->known = memo->known < LINE_POINTS ? memo->known + 1 : LINE_POINTS;
    return &memo->point[0].flow;
}

static void evaluate_line(const struct plant *p, const struct settings *set,
                          const struct state *state, double t, struct signals *sig)
{
    double pressure;
    feed_conditions(&p->feed, t, &sig->feed_temperature, &pressure);
    sig->supply_pressure = set->supply * (1.0 + set->health.surge) * pressure;
    sig->float_opening = float_opening(p, set, sig->tank_level);
    const struct flow_inlet in = { .temperature = sig->feed_temperature,
                                   .supply = sig->supply_pressure,
                                   .float_opening = sig->float_opening,
                                   .bladder = plant_has_bladder(p, set),
                                   .vessel = sig->bladder_pressure };
    const struct plant_flow f = *flow_of_line(p, set, state, &in, &sig->line);
    sig->divert_flow = plant_diverts_behind(p, set) >= 0 ? f.product : 0.0;
    sig->product_flow = f.product - sig->divert_flow;
    sig->delivery_flow = f.delivered;
    sig->leak_flow = f.leak;
    sig->drain_flow = f.drain + f.leak;
    sig->feed_flow = f.product + f.drain;
    sig->bladder_pressure = f.mouth;
    sig->membrane_pressure = f.membrane_pressure;
    sig->back_pressure = f.back_pressure;
    sig->booster_head = f.booster_head;
    sig->duty = f.duty;
    sig->starts = f.starts;
    sig->power = f.power;
    sig->inlet_pressure = f.inlet_pressure;
    if (plant_has_solenoid(p) && plant_solenoid_energised(set))
        sig->power += p->solenoid_power;
}

struct bladder plant_bladder(const struct plant *p, const struct settings *set, double t)
{
    struct bladder b = bladder_aged(&p->bladder, t);
    b.precharge *= set->health.bladder_air;
    return b;
}

bool plant_has_bladder(const struct plant *p, const struct settings *set)
{
    return p->has_bladder && set->health.bladder == WORKS;
}

/* The valve is moved by the pressure that the membrane works against, as in its short cycles. */
double plant_shutoff_level(const struct plant *p, const struct settings *set, const double x[])
{
    const struct bladder b = plant_bladder(p, set, x[X_TIME]);
    double temperature, pressure;
    feed_conditions(&p->feed, x[X_TIME], &temperature, &pressure);
    const double feed = set->supply * pressure, check = p->line.check_opening;
    const double opens = bladder_stored(&b, p->fill.shutoff.reopen_ratio * feed - check);
    const double closes = bladder_stored(&b, p->fill.shutoff.close_ratio * feed - check);
    return (x[X_BLADDER] - opens) / fmax(closes - opens, SHUTOFF_BAND * b.volume);
}

/* The second switch stands in the pump's supply: it stops a relay that is welded, too. */
bool plant_topoff_runs(const struct plant *p, const struct settings *set)
{
    const bool dead = set->health.topoff_pump == 0.0 || set->topoff_cut;
    if (p->topoff.kind == TOPOFF_NONE || !set->power || dead)
        return false;
    return set->health.topoff_pump == 1.0 || (set->topoff_call && !set->topoff_trip);
}

/* A gravity float opens in proportion to the fall of the served water, like any float valve. */
static double topoff_wanted(const struct plant *p, const struct settings *set,
                            const struct signals *sig)
{
    if (p->topoff.kind == TOPOFF_FLOAT) {
        const double works = fmin(fmax(-sig->basin_level / p->topoff.band, 0.0), 1.0);
        const double stuck = set->health.topoff_pump;
        return p->topoff.flow * (stuck == WORKS ? works : stuck);
    }
    if (plant_topoff_runs(p, set))
        return p->topoff.flow;
    return set->siphon ? plant_siphon_flow(p, sig->tank_level) : 0.0;
}

double plant_siphon_flow(const struct plant *p, double level)
{
    const struct topoff *t = &p->topoff;
    const struct tube hose = { t->hose_length, t->hose_bore, HOSE_ENDS };
    const struct fluid water = water_fluid(p->tank_temperature);
    return tube_flow(&hose, water.density * GRAVITY * (level - t->hose_end), &water);
}

/* A controller that hangs does not order a rinse. */
static double rinse_wanted(const struct plant *p, const struct settings *set)
{
    const bool runs = set->power && set->rinse_pump && set->health.controller == WORKS;
    return runs && p->membrane >= 0 ? p->rinse.flow : 0.0;
}

static double pipe_flow(const struct plant *p, const struct settings *set, double level)
{
    return overflow_flow(&p->tank.overflow, level, set->health.overflow_open, p->tank_temperature);
}

/* A film of water over a lip follows what comes in within a minute; a step of hours cannot. */
bool plant_overflow_settled(const struct plant *p, const struct settings *set,
                            const struct signals *sig)
{
    const double comes = sig->delivery_flow - sig->topoff_flow - sig->draw_flow - sig->rinse_flow;
    const double passes = pipe_flow(p, set, sig->tank_level);
    const double band = set->overflow_settled ? 0.02 : 0.001;
    return set->overflow_running && !set->tank_brim && comes > 0.0 &&
           fabs(comes - passes) < band * comes;
}

static void evaluate_tank(const struct plant *p, const struct settings *set, struct signals *sig)
{
    const double topoff = topoff_wanted(p, set, sig);
    const double rinse = rinse_wanted(p, set);
    const double comes = sig->delivery_flow;
    const double wanted = topoff + set->draw + rinse;
    /* at the outlet there is only what comes in: a mode, not a pump that starts and stops for ever
     */
    const double share = set->tank_dry && wanted > comes ? comes / wanted : 1.0;
    sig->topoff_flow = share * topoff;
    sig->draw_flow = share * set->draw;
    sig->rinse_flow = share * rinse;
    const double more = comes - sig->topoff_flow - sig->draw_flow - sig->rinse_flow;
    sig->overflow_flow = !set->overflow_running  ? 0.0
                         : set->overflow_settled ? fmax(more, 0.0)
                                                 : pipe_flow(p, set, sig->tank_level);
    const double net = more - sig->overflow_flow;
    sig->spill_flow = set->tank_brim ? fmax(net, 0.0) : 0.0;
    if (p->topoff.kind == TOPOFF_PUMP && plant_topoff_runs(p, set))
        sig->power += p->topoff.power;
}

static void evaluate_basin(const struct plant *p, const struct settings *set, double t,
                           struct signals *sig)
{
    sig->evaporation = sig->basin_spill_flow = 0.0;
    if (!p->has_basin)
        return;
    /* from what has dried up only as much evaporates as comes in: a mode, as at the tank's outlet
     */
    const double drying = basin_evaporation(&p->basin, t);
    sig->evaporation = set->basin_wet ? drying : fmin(drying, sig->topoff_flow);
    const double net = sig->topoff_flow - sig->evaporation;
    sig->basin_spill_flow = set->basin_brim ? fmax(net, 0.0) : 0.0;
}

void plant_evaluate(const struct plant *p, const struct settings *set, const struct state *state,
                    double t, const double x[], struct signals *sig, double dx[])
{
    sig->line.known = 0;
    plant_evaluate_again(p, set, state, t, x, sig, dx);
}

void plant_evaluate_again(const struct plant *p, const struct settings *set,
                          const struct state *state, double t, const double x[],
                          struct signals *sig, double dx[])
{
    sig->tank_level = tank_level(&p->tank, x[X_TANK]);
    sig->basin_level = p->has_basin ? basin_level(&p->basin, x[X_BASIN]) : 0.0;
    sig->bladder_pressure = 0.0;
    if (plant_has_bladder(p, set)) {
        const struct bladder b = plant_bladder(p, set, t);
        sig->bladder_pressure = bladder_pressure(&b, x[X_BLADDER]);
    }
    evaluate_line(p, set, state, t, sig);
    evaluate_tank(p, set, sig);
    evaluate_basin(p, set, t, sig);

    dx[X_TANK] = sig->delivery_flow - sig->topoff_flow - sig->draw_flow - sig->rinse_flow -
                 sig->overflow_flow - sig->spill_flow;
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
    dx[X_DIVERTED] = sig->divert_flow;
    dx[X_STARTS] = sig->starts;
    dx[X_RUNNING] = sig->feed_flow > 0.0 ? sig->duty : 0.0;
    dx[X_MAKING] = sig->product_flow + sig->divert_flow > 0.0 ? sig->duty : 0.0;
    dx[X_ENERGY] = sig->power;
    dx[X_RINSED] = sig->rinse_flow;
    dx[X_FLUSHED] = set->flush >= 0 ? sig->feed_flow : 0.0;
    dx[X_BLADDER] = sig->product_flow - sig->delivery_flow - sig->leak_flow;
    dx[X_DELIVERED] = sig->delivery_flow;
    dx[X_DELIVERING] = sig->delivery_flow > 0.0 ? sig->duty : 0.0;
    dx[X_LEAKED] = sig->leak_flow;
    dx[X_TIME] = 1.0;
}
