/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sizing: see sizing.h.
 */
#include "sizing_inner.h"

#include <math.h>
#include <stdlib.h>

#include "models/root.h"
#include "models/scaling.h"

static const double DAY = 86400.0; /* s */

/* [m3/s]; negative where vapour condenses on the served water */
static double evaporates(const struct plant *p, double t)
{
    return p->has_basin && p->topoff.kind != TOPOFF_NONE ? basin_evaporation(&p->basin, t) : 0.0;
}

static double drawn(const struct plan *plan)
{
    double sum = 0.0;
    for (int i = 0; i < plan->draws; i++)
        if (isfinite(plan->draw[i].every))
            sum += plan->draw[i].take / plan->draw[i].every;
    return sum;
}

double sizing_need(const struct plant *p, const struct plan *plan, double t)
{
    return drawn(plan) + fmax(0.0, evaporates(p, t));
}

static void needs(const struct plant *p, const struct plan *plan, struct sizing *out)
{
    enum { MONTHS = 12, HOURS = 24, PARTS = 30 * HOURS };
    double sum = 0.0;
    out->need_most = 0.0;
    for (int m = 0; m < MONTHS; m++) {
        double month = 0.0;
        for (int h = 0; h < PARTS; h += 5)
            month += evaporates(p, m * 365.25 / 12.0 * DAY + h * 3600.0) * 5.0 / PARTS;
        month = drawn(plan) + fmax(0.0, month); /* what condenses serves no draw */
        out->need_most = fmax(out->need_most, month);
        sum += month / MONTHS;
    }
    out->need_mean = sum;
}

struct plant sizing_steady_plant(const struct plant *p, double temperature, double pressure)
{
    struct plant q = *p;
    q.feed.temperature = (struct cycle){ .mean = temperature };
    q.feed.pressure = (struct cycle){ .mean = pressure };
    q.feed.log = NULL;
    q.feed.steps = 0;
    q.has_bladder = false; /* what it could make into an open tank */
    return q;
}

struct settings sizing_filling(void)
{
    struct settings set;
    settings_init(&set);
    set.call = true;
    return set;
}

void sizing_move(struct state *state, const struct signals *flow, double seconds)
{
    state->x[X_FEED] += seconds * flow->feed_flow;
    state->x[X_PRODUCT] += seconds * flow->product_flow;
    state->x[X_DRAIN] += seconds * flow->drain_flow;
    state->x[X_DRAWN] += seconds * flow->product_flow;
    state->x[X_RUNNING] += seconds;
    state->x[X_MAKING] += seconds;
    state->t += seconds;
}

void sizing_start_settled(const struct plant *q, struct state *state, const struct signals *flow)
{
    const struct settings set = sizing_filling();
    plant_start(q, state);
    if (q->membrane < 0)
        return;
    sizing_move(state, flow, 3600.0);
    plant_carry(q, &set, state);
    const struct holdup settled = state->stage[q->membrane].membrane.holdup;
    plant_start(q, state);
    state->stage[q->membrane].membrane.holdup = settled;
}

/* Fresh cartridges on steady water, the tank at a level. */
static void work_point(const struct plant *q, double level, struct state *state,
                       struct sizing_point *out)
{
    const struct settings set = sizing_filling();
    double dx[X_COUNT];
    plant_start(q, state);
    state->x[X_TANK] = tank_volume(&q->tank, level);
    plant_evaluate(q, &set, state, 0.0, state->x, &out->signals, dx);
    out->temperature = q->feed.temperature.mean;
    out->pressure = q->feed.pressure.mean;

    /* a minute of this flow shows what the membrane keeps back */
    sizing_start_settled(q, state, &out->signals);
    sizing_move(state, &out->signals, 60.0);
    plant_carry(q, &set, state);
    out->rejection = 1.0 - state->readings.permeate / state->readings.feed;
}

/* ---- the pace of a mean day -------------------------------------------------------------------
 */

bool sizing_throttled(const struct plant *p)
{
    const struct fill *f = &p->fill;
    return f->float_valve && !f->shutoff_valve && (!f->switches || f->off_at > f->valve.shuts_at);
}

struct seek { /* the level at which the product is the need */
    const struct plant *p;
    struct state *state;
    double need; /* m3/s */
    struct sizing_point point;
};

static double product_over_need(double level, void *context)
{
    struct seek *s = context;
    work_point(s->p, level, s->state, &s->point);
    return s->point.signals.product_flow - s->need;
}

/* A throttled plant runs all day, at the level in the band of its float valve where it makes what
 * is needed, as if that were spread evenly; any other fills freely for a share of the day. */
static void set_pace(const struct plant *q, struct sizing *z, struct state *state)
{
    const struct sizing_point *mean = &z->point[SIZING_MEAN];
    z->throttled = sizing_throttled(q);
    z->pace = *mean;
    if (!z->throttled) {
        const double flow = mean->signals.product_flow;
        const double share = flow > 0.0 ? fmin(z->need_mean / flow, 1.0) : 0.0;
        z->rest_drain = 0.0;
        z->feed = share * mean->signals.feed_flow;
        z->drain = share * mean->signals.drain_flow;
        z->power = share * mean->signals.power;
        return;
    }
    const struct float_valve *v = &q->fill.valve;
    struct seek s = { .p = q, .state = state, .need = z->need_mean };
    work_point(q, v->shuts_at, state, &s.point);
    z->rest_drain = s.point.signals.drain_flow;
    const double level =
        root_falling(product_over_need, &s, v->shuts_at - v->band, v->shuts_at, 1e-6);
    work_point(q, level, state, &z->pace);
    z->feed = z->pace.signals.feed_flow;
    z->drain = z->pace.signals.drain_flow;
    z->power = z->pace.signals.power;
}

/* Level at which filling stops. */
static double stop_level(const struct plant *p)
{
    return p->fill.switches ? p->fill.off_at : p->fill.float_valve ? p->fill.valve.shuts_at : 0.0;
}

static void filling_times(const struct plant *p, struct sizing *out)
{
    const double lip =
        p->tank.overflow.kind == OVERFLOW_NONE ? p->tank.height : p->tank.overflow.lip;
    out->room = tank_volume(&p->tank, lip) - tank_volume(&p->tank, stop_level(p));
    for (int i = 0; i < SIZING_CASES; i++)
        out->fill_time[i] = out->room / out->point[i].signals.product_flow;
    const double inflow = out->point[SIZING_WARMEST].signals.product_flow;
    const double least = fmin(overflow_dependable(&p->tank.overflow, p->tank.height, 1.0), inflow);
    out->floor_rate = inflow - (p->tank.overflow.kind == OVERFLOW_NONE ? 0.0 : least);
}

struct fill_up { /* a bladder on a shut float valve, at the highest feed */
    struct plant p;
    struct state *state;
};

/* What is still made into it when it holds so much. */
static double still_made(double stored, void *context)
{
    static const double NOTHING = 1e-11; /* m3/s: less than a mL a day */
    struct fill_up *u = context;
    struct settings set = sizing_filling();
    struct signals sig;
    double x[X_COUNT] = { [X_BLADDER] = stored }, dx[X_COUNT];
    set.bladder_holds = true;
    set.health.float_valve = 0.0;
    plant_evaluate(&u->p, &set, u->state, 0.0, x, &sig, dx);
    return sig.product_flow - NOTHING;
}

/* It fills until nothing more is made, unless a shut-off valve closes before.  q is at the highest
 * feed. */
static void bladder_fills(const struct plant *p, const struct plant *q, struct state *state,
                          struct sizing *out)
{
    out->bladder_pressure = out->bladder_gives = 0.0;
    if (!p->has_bladder)
        return;
    struct fill_up u = { .p = *q, .state = state };
    u.p.has_bladder = u.p.fill.float_valve = true;
    plant_start(&u.p, state);
    const double held = root_falling(still_made, &u, 0.0, 0.95 * p->bladder.volume, 1e-6);
    double most = held > 0.0 ? bladder_pressure(&p->bladder, held) : 0.0;
    if (p->fill.shutoff_valve)
        most =
            fmin(most, p->fill.shutoff.close_ratio * q->feed.pressure.mean - p->line.check_opening);
    const double lift =
        water_fluid(q->feed.temperature.mean).density * 9.80665 * p->line.inlet_height;
    out->bladder_pressure = fmax(most, 0.0);
    out->bladder_gives = fmax(bladder_drawdown(&p->bladder, most, lift), 0.0);
}

/* From a tank that has just been filled down to the hose's end or the outlet; the served water at
 * its working level mixes, and runs over from its rim on. */
static void siphon_brings(const struct plant *p, struct sizing_siphon *out)
{
    *out = (struct sizing_siphon){ 0 };
    if (p->topoff.kind != TOPOFF_PUMP || !isfinite(p->topoff.hose_end))
        return;
    const struct basin *b = &p->basin;
    const double room = basin_rim_volume(b) - b->volume;
    out->from = out->filling_from = stop_level(p);
    if (p->fill.switches)
        out->filling_from = p->fill.on_at;
    out->to = fmin(fmax(p->topoff.hose_end, p->tank.outlet), out->from);
    out->brings = tank_volume(&p->tank, out->from) - tank_volume(&p->tank, out->to);
    out->flow = plant_siphon_flow(p, out->from);
    out->spills = fmax(out->brings - room, 0.0);
    struct vessel v = { .volume = b->volume + out->brings - out->spills };
    v.amount[SALT] = 1e-3 * b->salinity * water_sea_density(b->salinity, b->water.mean) *
                     b->volume * exp(-out->spills / v.volume);
    out->salinity = basin_salinity(&v, b->water.mean);
}

/* The last of the concentrate, richer at the wall by the film. */
static void saturations(const struct plant *q, const struct state *state, struct sizing *out)
{
    if (q->membrane < 0)
        return;
    const struct membrane *m = &q->train[q->membrane].params.membrane;
    const struct signals *sig = &out->point[SIZING_MEAN].signals;
    const double T = q->feed.temperature.mean;
    const struct vessel *held = &state->stage[q->membrane].membrane.holdup.feed;
    double c[SPECIES_COUNT], wall[SPECIES_COUNT];
    for (int i = 0; i < SPECIES_COUNT; i++)
        c[i] = held->amount[i] / held->volume;
    const double k = membrane_film(m, sig->drain_flow, water_diffusivity(SALT, T), T);
    const struct speciation bulk = water_speciate(c, T);
    scaling_wall(c, &bulk, exp(fmin(sig->product_flow / (membrane_area(m) * k), 5.0)), wall);
    const struct speciation forms = water_speciate(wall, T);
    out->calcite = scaling_calcite(wall, &forms, T);
    out->gypsum = scaling_gypsum(wall, &forms, T);
    out->silica = scaling_silica(wall, &forms, T);
}

/* Feed for new parts, each by itself. */
static void flushes(const struct plant *q, const struct plan *plan, struct state *state,
                    struct sizing *out)
{
    double dx[X_COUNT];
    plant_start(q, state);
    for (int k = 0; k < q->stages; k++) {
        struct settings set = sizing_filling();
        struct signals sig;
        set.flush = k;
        plant_evaluate(q, &set, state, 0.0, state->x, &sig, dx);
        out->flush[k] = sig.feed_flow * commission_time(&plan->commissioning, q->train[k].kind);
    }
}

static void rinse_at_stop(const struct plant *q, struct state *state, struct sizing *out)
{
    struct settings set = sizing_filling();
    struct signals sig;
    double dx[X_COUNT];
    out->rinse = 0.0;
    if (q->membrane < 0)
        return;
    set.rinsing = true;
    plant_start(q, state);
    plant_evaluate(q, &set, state, 0.0, state->x, &sig, dx);
    const double flow = q->rinse.with == RINSE_PERMEATE ? q->rinse.flow : sig.drain_flow;
    out->rinse = q->rinse.at_stop * flow;
    out->rinse_left = exp(-out->rinse / q->train[q->membrane].params.membrane.holdup.feed);
}

enum status sizing_of(const struct plant *p, const struct plan *plan,
                      const struct sizing_doubt *doubt, struct sizing *out)
{
    struct state *state = malloc(sizeof *state);
    if (!state)
        return STATUS_MEMORY;
    double coldest, warmest;
    feed_extremes(&p->feed, plan->length, &coldest, &warmest);
    const double lowest = cycle_lowest(&p->feed.pressure);
    const double highest = cycle_highest(&p->feed.pressure);
    const struct plant cold = sizing_steady_plant(p, coldest, lowest);
    const struct plant warm = sizing_steady_plant(p, warmest, highest);
    const struct plant mean =
        sizing_steady_plant(p, 0.5 * (coldest + warmest), p->feed.pressure.mean);
    work_point(&cold, 0.0, state, &out->point[SIZING_COLDEST]); /* no float valve throttles yet */
    work_point(&mean, 0.0, state, &out->point[SIZING_MEAN]);
    saturations(&mean, state, out);
    work_point(&warm, 0.0, state, &out->point[SIZING_WARMEST]);
    needs(p, plan, out);
    set_pace(&mean, out, state);
    filling_times(p, out);
    flushes(&mean, plan, state, out);
    rinse_at_stop(&mean, state, out);
    bladder_fills(p, &warm, state, out);
    siphon_brings(p, &out->siphon);

    sizing_life_of(p, plan, doubt->co2_high - doubt->co2, LIFE_SHORT, out, state);
    sizing_life_of(p, plan, 0.0, LIFE_MIDDLE, out, state);
    sizing_life_of(p, plan, doubt->co2_low - doubt->co2, LIFE_LONG, out, state);
    sizing_order_lives(p, out);
    for (int k = 0; k < p->stages; k++)
        out->contact[k] =
            p->train[k].kind == &stage_carbon
                ? carbon_contact_time(&p->train[k].params.carbon,
                                      k < p->membrane || p->membrane < 0
                                          ? out->point[SIZING_WARMEST].signals.feed_flow
                                          : out->point[SIZING_WARMEST].signals.product_flow)
                : NAN;
    free(state);
    return STATUS_OK;
}
