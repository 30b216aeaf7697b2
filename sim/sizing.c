/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sizing: see sizing.h.
 */
#include "sizing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "channel.h"

static const double DAY = 86400.0;           /* s */
static const double HORIZON = 10.0 * 365.25; /* days of mean need after which a life is "longer" */
static const double OXIDANT_LIMIT = 0.1e-3;  /* kg/m3 Cl2 at the membrane */
static const double SILICA_LIMIT = 0.05e-3;  /* kg/m3 SiO2 that a reading does not show */

enum { PARCELS_MAX = 6000 };

double sizing_need(const struct plant *p, const struct plan *plan, double t)
{
    double need =
        p->has_basin && p->topoff.kind != TOPOFF_NONE ? basin_evaporation(&p->basin, t) : 0.0;
    for (int i = 0; i < plan->draws; i++)
        if (isfinite(plan->draw[i].every))
            need += plan->draw[i].take / plan->draw[i].every;
    return need;
}

static void needs(const struct plant *p, const struct plan *plan, struct sizing *out)
{
    enum { MONTHS = 12, HOURS = 24, PARTS = 30 * HOURS };
    double sum = 0.0;
    out->need_most = 0.0;
    for (int m = 0; m < MONTHS; m++) {
        double month = 0.0;
        for (int h = 0; h < PARTS; h += 5)
            month += sizing_need(p, plan, m * 365.25 / 12.0 * DAY + h * 3600.0) * 5.0 / PARTS;
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

static void work_point(const struct plant *p, double temperature, double pressure,
                       struct state *state, struct sizing_point *out)
{
    const struct plant q = steady_plant(p, temperature, pressure);
    const struct settings set = filling();
    double dx[X_COUNT];
    plant_start(&q, state);
    state->x[X_TANK] = 0.0; /* no float valve throttles yet */
    plant_evaluate(&q, &set, state, 0.0, state->x, &out->signals, dx);
    out->temperature = temperature;
    out->pressure = pressure;

    /* a minute of this flow shows what the membrane keeps back */
    for (int k = 0; k < X_COUNT; k++)
        state->x[k] += 60.0 * dx[k];
    state->t = 60.0;
    plant_carry(&q, state);
    out->rejection = 1.0 - state->readings.permeate / state->readings.feed;
}

static void filling_times(const struct plant *p, struct sizing *out)
{
    const double stop = p->fill.switches      ? p->fill.off_at
                        : p->fill.float_valve ? p->fill.valve.shuts_at
                                              : 0.0;
    const double lip =
        p->tank.overflow.kind == OVERFLOW_NONE ? p->tank.height : p->tank.overflow.lip;
    for (int i = 0; i < SIZING_CASES; i++)
        out->fill_time[i] = (tank_volume(&p->tank, lip) - tank_volume(&p->tank, stop)) /
                            out->point[i].signals.product_flow;
    const double inflow = out->point[SIZING_WARMEST].signals.product_flow;
    const double least = fmin(overflow_dependable(&p->tank.overflow, p->tank.height, 1.0), inflow);
    out->floor_rate = inflow - (p->tank.overflow.kind == OVERFLOW_NONE ? 0.0 : least);
}

/* The reading at which the last bed is due; without one in the plan 1 ppm, common practice. */
static double product_limit(const struct plan *plan)
{
    return isnan(plan->limits.product) ? 1e-3 : plan->limits.product;
}

/* Marks the ends that this parcel brought. */
static void note_ends(const struct plant *p, const struct plan *plan, const struct state *s,
                      struct sizing_life life[STAGES_MAX])
{
    const double litres = 1e3 * s->x[X_PRODUCT];
    for (int k = 0; k < p->stages; k++) {
        struct sizing_life *l = &life[k];
        const struct stage *stage = &p->train[k];
        const bool last = k == p->stages - 1;
        if (stage->kind == &stage_resin && isinf(l->unseen) &&
            s->readings.product_silica * species[SILICA].molar_mass > SILICA_LIMIT)
            l->unseen = litres;
        if (l->why != END_NONE)
            continue;
        if (stage->kind == &stage_sediment &&
            stage->kind->used(&stage->params, &s->stage[k]) >= 1.0)
            l->why = END_DEPOSIT;
        if (stage->kind == &stage_carbon && k < p->membrane &&
            s->readings.membrane_oxidant * species[CHLORINE].molar_mass > OXIDANT_LIMIT)
            l->why = END_OXIDANT;
        if (stage->kind == &stage_resin && last &&
            1e-3 * channel_ppm(p, s->readings.product) >= product_limit(plan)) {
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
        if (life[k].why == END_NONE && p->train[k].kind != &stage_membrane &&
            p->train[k].kind != &stage_pump)
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
    const struct signals *flow = &sizing->point[SIZING_MEAN].signals;
    for (int k = 0; k < q.stages; k++)
        life[k] = (struct sizing_life){ .litres = INFINITY, .unseen = INFINITY };
    const double most = fmax(sizing->need_mean, 1e-9) * HORIZON * DAY;

    plant_start(&q, state);
    state->x[X_TANK] = state->tank.volume = 0.0;
    for (int n = 0; n < PARCELS_MAX && state->x[X_PRODUCT] < most && !all_ended(&q, life); n++) {
        const double share = flow->product_flow / flow->feed_flow;
        const double feed = fmin(state->feed_limit, state->parcel_limit / share) * q.parcel_scale;
        const double seconds = fmin(feed / flow->feed_flow, 30.0 * DAY);
        state->x[X_FEED] += seconds * flow->feed_flow;
        state->x[X_PRODUCT] += seconds * flow->product_flow;
        state->x[X_DRAIN] += seconds * flow->drain_flow;
        state->x[X_DRAWN] += seconds * flow->product_flow; /* straight through the tank */
        state->x[X_RUNNING] += seconds;
        state->x[X_MAKING] += seconds;
        state->t += seconds;
        plant_carry(&q, state);
        note_ends(&q, plan, state, life);
    }
    for (int k = 0; k < q.stages; k++)
        sizing->life[k][which] = life[k];
}

void sizing_of(const struct plant *p, const struct plan *plan, const struct sizing_doubt *doubt,
               struct sizing *out)
{
    struct state *state = malloc(sizeof *state);
    if (!state)
        return;
    double coldest, warmest;
    feed_extremes(&p->feed, plan->length, &coldest, &warmest);
    const double lowest = cycle_lowest(&p->feed.pressure);
    const double mean = p->feed.pressure.mean;
    work_point(p, coldest, lowest, state, &out->point[SIZING_COLDEST]);
    work_point(p, 0.5 * (coldest + warmest), mean, state, &out->point[SIZING_MEAN]);
    work_point(p, warmest, cycle_highest(&p->feed.pressure), state, &out->point[SIZING_WARMEST]);
    needs(p, plan, out);
    filling_times(p, out);

    lives(p, plan, doubt->co2_high - doubt->co2, LIFE_SHORT, out, state);
    lives(p, plan, 0.0, LIFE_MIDDLE, out, state);
    lives(p, plan, doubt->co2_low - doubt->co2, LIFE_LONG, out, state);
    for (int k = 0; k < p->stages; k++)
        out->contact[k] =
            p->train[k].kind == &stage_carbon
                ? carbon_contact_time(&p->train[k].params.carbon,
                                      k < p->membrane || p->membrane < 0
                                          ? out->point[SIZING_WARMEST].signals.feed_flow
                                          : out->point[SIZING_WARMEST].signals.product_flow)
                : NAN;
    free(state);
}
