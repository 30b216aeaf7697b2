/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sizing: see sizing.h.
 */
#include "sizing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "channel.h"
#include "models/root.h"
#include "models/scaling.h"

static const double DAY = 86400.0;           /* s */
static const double HORIZON = 10.0 * 365.25; /* days of mean need after which a life is "longer" */
static const double FAR = 20.0;              /* m3 of product, where there is no need to count by */
static const double OXIDANT_LIMIT = 0.1e-3;  /* kg/m3 Cl2 at the membrane */
static const double SILICA_LIMIT = 0.05e-3;  /* kg/m3 SiO2 that a reading does not show */

enum { PARCELS_MAX = 6000, LONG_PARCEL = 16 };

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

/* The supply held at one temperature and pressure. */
static struct plant steady_plant(const struct plant *p, double temperature, double pressure)
{
    struct plant q = *p;
    q.feed.temperature = (struct cycle){ .mean = temperature };
    q.feed.pressure = (struct cycle){ .mean = pressure };
    q.feed.log = NULL;
    q.feed.steps = 0;
    q.has_bladder = false; /* what it could make into an open tank */
    return q;
}

/* Settings of a plant that fills its tank freely. */
static struct settings filling(void)
{
    struct settings set;
    settings_init(&set);
    set.call = true;
    return set;
}

/* Water flows for some seconds, straight through the tank. */
static void move(struct state *state, const struct signals *flow, double seconds)
{
    state->x[X_FEED] += seconds * flow->feed_flow;
    state->x[X_PRODUCT] += seconds * flow->product_flow;
    state->x[X_DRAIN] += seconds * flow->drain_flow;
    state->x[X_DRAWN] += seconds * flow->product_flow;
    state->x[X_RUNNING] += seconds;
    state->x[X_MAKING] += seconds;
    state->t += seconds;
}

/* Fresh cartridges, and on both sides of the membrane the water that stands there in steady flow.
 */
static void start_settled(const struct plant *q, struct state *state, const struct signals *flow)
{
    const struct settings set = filling();
    plant_start(q, state);
    if (q->membrane < 0)
        return;
    move(state, flow, 3600.0);
    plant_carry(q, &set, state);
    const struct holdup settled = state->stage[q->membrane].membrane.holdup;
    plant_start(q, state);
    state->stage[q->membrane].membrane.holdup = settled;
}

/* Fresh cartridges on steady water, the tank at a level. */
static void work_point(const struct plant *q, double level, struct state *state,
                       struct sizing_point *out)
{
    const struct settings set = filling();
    double dx[X_COUNT];
    plant_start(q, state);
    state->x[X_TANK] = tank_volume(&q->tank, level);
    plant_evaluate(q, &set, state, 0.0, state->x, &out->signals, dx);
    out->temperature = q->feed.temperature.mean;
    out->pressure = q->feed.pressure.mean;

    /* a minute of this flow shows what the membrane keeps back */
    start_settled(q, state, &out->signals);
    move(state, &out->signals, 60.0);
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
    struct settings set = filling();
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

double sizing_product_limit(const struct plan *plan)
{
    return isnan(plan->limits.product) ? 1e-3 : plan->limits.product;
}

/* Whether anything tells that a stage has ended. */
static bool judged(const struct plant *p, int k)
{
    const struct stage_kind *kind = p->train[k].kind;
    return kind == &stage_sediment || (kind == &stage_carbon && k < p->membrane) ||
           (kind == &stage_resin && k == p->stages - 1);
}

static void start_lives(const struct plant *p, struct sizing_life life[STAGES_MAX])
{
    for (int k = 0; k < p->stages; k++)
        life[k] = (struct sizing_life){ .why = judged(p, k) ? END_NONE : END_UNKNOWN,
                                        .litres = INFINITY,
                                        .unseen = INFINITY,
                                        .fresh = NAN,
                                        .due = NAN };
}

/* The first parcel shows what loose packing lets past a fresh bed: that is no end of it. */
static void note_fresh(const struct plant *p, const struct plan *plan, const struct state *s,
                       struct sizing_life *last)
{
    const double limit = sizing_product_limit(plan);
    last->fresh = 1e-3 * channel_ppm(p, s->readings.product);
    last->due = last->fresh >= limit ? last->fresh + limit : limit;
}

/* Marks the ends that this parcel brought. */
static void note_ends(const struct plant *p, const struct state *s,
                      struct sizing_life life[STAGES_MAX])
{
    const double litres = 1e3 * s->x[X_PRODUCT];
    for (int k = 0; k < p->stages; k++) {
        struct sizing_life *l = &life[k];
        const struct stage *stage = &p->train[k];
        if (stage->kind == &stage_resin && isinf(l->unseen) &&
            s->readings.product_silica * species[SILICA].molar_mass > SILICA_LIMIT)
            l->unseen = litres;
        if (l->why != END_NONE)
            continue;
        if (stage->kind == &stage_sediment &&
            stage->kind->used(&stage->params, &s->stage[k]) >= 1.0)
            l->why = END_DEPOSIT;
        if (stage->kind == &stage_carbon &&
            s->readings.membrane_oxidant * species[CHLORINE].molar_mass > OXIDANT_LIMIT)
            l->why = END_OXIDANT;
        if (stage->kind == &stage_resin && 1e-3 * channel_ppm(p, s->readings.product) >= l->due) {
            l->why = END_READING;
            for (int i = 0; i < EXCHANGED_COUNT; i++)
                l->share[i] =
                    resin_share(&stage->params.resin, &s->stage[k].resin, (enum species)i);
        }
        if (l->why != END_NONE)
            l->litres = litres;
    }
}

static bool all_ended(const struct plant *p, const struct sizing_life life[STAGES_MAX])
{
    for (int k = 0; k < p->stages; k++)
        if (life[k].why == END_NONE)
            return false;
    return true;
}

/* A spent bed at the end of the train tells no more, and wants small parcels. */
static void drop_spent(struct plant *p, const struct sizing_life life[STAGES_MAX])
{
    while (p->stages > p->membrane + 1 && p->train[p->stages - 1].kind == &stage_resin &&
           life[p->stages - 1].why != END_NONE)
        p->stages--;
}

/* A sediment cartridge fills at one rate: long parcels do not blur its end. */
static bool only_sediment_left(const struct plant *p, const struct sizing_life life[STAGES_MAX])
{
    for (int k = 0; k < p->stages; k++)
        if (life[k].why == END_NONE && p->train[k].kind != &stage_sediment)
            return false;
    return true;
}

/* Moves the capacity of sediment and carbon cartridges to an end of its usual range, if that is
 * worse (better) than what the plant has. */
static void doubt_capacity(struct stage *s, int which)
{
    if (s->kind != &stage_sediment && s->kind != &stage_carbon)
        return;
    for (const struct field *f = s->kind->fields; f->key; f++) {
        if (strcmp(f->key, "capacity") != 0)
            continue;
        double *capacity = (double *)((char *)&s->params + f->offset);
        *capacity = which == LIFE_SHORT  ? fmin(*capacity, f->low)
                    : which == LIFE_LONG ? fmax(*capacity, f->high)
                                         : *capacity;
    }
}

/* Runs steady water at the mean conditions through the train until every cartridge has ended. */
static void lives(const struct plant *p, const struct plan *plan, double carbon_change, int which,
                  struct sizing *sizing, struct state *state)
{
    struct sizing_life life[STAGES_MAX];
    struct plant q = steady_plant(p, sizing->point[SIZING_MEAN].temperature,
                                  sizing->point[SIZING_MEAN].pressure);
    q.feed.c[CARBON] = fmax(q.feed.c[CARBON] + carbon_change, 0.0);
    for (int k = 0; k < q.stages; k++)
        doubt_capacity(&q.train[k], which);
    q.parcel_scale = 0.5; /* a life is read off to a parcel: let it be a small one */
    const bool needed = sizing->need_mean > 0.0;
    const struct signals *flow =
        needed ? &sizing->pace.signals : &sizing->point[SIZING_MEAN].signals;
    const double most = needed ? sizing->need_mean * HORIZON * DAY : FAR;
    const struct settings set = filling();

    start_lives(&q, life);
    start_settled(&q, state, flow);
    state->x[X_TANK] = state->tank.volume = 0.0;
    const int parcels = flow->product_flow > 0.0 ? PARCELS_MAX : 0;
    for (int n = 0; n < parcels && state->x[X_PRODUCT] < most && !all_ended(&q, life); n++) {
        const double share = flow->product_flow / flow->feed_flow;
        const double feed = fmin(state->feed_limit, state->parcel_limit / share) * q.parcel_scale;
        const double seconds = fmin(feed / flow->feed_flow, 30.0 * DAY);
        move(state, flow, seconds);
        plant_carry(&q, &set, state);
        if (n == 0 && q.train[q.stages - 1].kind == &stage_resin)
            note_fresh(&q, plan, state, &life[q.stages - 1]);
        note_ends(&q, state, life);
        drop_spent(&q, life);
        if (only_sediment_left(&q, life))
            q.parcel_scale = LONG_PARCEL;
    }
    sizing->horizon[which] = state->x[X_PRODUCT];
    for (int k = 0; k < p->stages; k++)
        sizing->life[k][which] = life[k];
}

/* Each run has its own parcels, so that equal lives differ by one of them. */
static void order_lives(const struct plant *p, struct sizing *out)
{
    for (int k = 0; k < p->stages; k++) {
        struct sizing_life *l = out->life[k];
        l[LIFE_SHORT].litres = fmin(l[LIFE_SHORT].litres, l[LIFE_MIDDLE].litres);
        l[LIFE_LONG].litres = fmax(l[LIFE_LONG].litres, l[LIFE_MIDDLE].litres);
    }
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
    const double k = membrane_film(m, sig->drain_flow, water_diffusivity(SODIUM, T), T);
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
        struct settings set = filling();
        struct signals sig;
        set.flush = k;
        plant_evaluate(q, &set, state, 0.0, state->x, &sig, dx);
        out->flush[k] = sig.feed_flow * commission_time(&plan->commissioning, q->train[k].kind);
    }
}

static void rinse_at_stop(const struct plant *q, struct state *state, struct sizing *out)
{
    struct settings set = filling();
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
    const struct plant cold = steady_plant(p, coldest, lowest);
    const struct plant warm = steady_plant(p, warmest, highest);
    const struct plant mean = steady_plant(p, 0.5 * (coldest + warmest), p->feed.pressure.mean);
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

    lives(p, plan, doubt->co2_high - doubt->co2, LIFE_SHORT, out, state);
    lives(p, plan, 0.0, LIFE_MIDDLE, out, state);
    lives(p, plan, doubt->co2_low - doubt->co2, LIFE_LONG, out, state);
    order_lives(p, out);
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
