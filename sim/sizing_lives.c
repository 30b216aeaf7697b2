/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sizing_lives: steady mean water through a fresh train until every cartridge has ended.
 */
#include <math.h>
#include <string.h>

#include "channel.h"
#include "sizing_inner.h"

static const double DAY = 86400.0;           /* s */
static const double HORIZON = 10.0 * 365.25; /* days of mean need after which a life is "longer" */
static const double FAR = 20.0;              /* m3 of product, where there is no need to count by */
static const double OXIDANT_LIMIT = 0.1e-3;  /* kg/m3 Cl2 at the membrane */
static const double SILICA_LIMIT = 0.05e-3;  /* kg/m3 SiO2 that a reading does not show */

enum { PARCELS_MAX = 6000, LONG_PARCEL = 16 };

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
void sizing_life_of(const struct plant *p, const struct plan *plan, double carbon_change, int which,
                    struct sizing *sizing, struct state *state)
{
    struct sizing_life life[STAGES_MAX];
    struct plant q = sizing_steady_plant(p, sizing->point[SIZING_MEAN].temperature,
                                         sizing->point[SIZING_MEAN].pressure);
    q.feed.c[CARBON] = fmax(q.feed.c[CARBON] + carbon_change, 0.0);
    for (int k = 0; k < q.stages; k++)
        doubt_capacity(&q.train[k], which);
    q.parcel_scale = 0.5; /* a life is read off to a parcel: let it be a small one */
    const bool needed = sizing->need_mean > 0.0;
    const struct signals *flow =
        needed ? &sizing->pace.signals : &sizing->point[SIZING_MEAN].signals;
    const double most = needed ? sizing->need_mean * HORIZON * DAY : FAR;
    const struct settings set = sizing_filling();

    start_lives(&q, life);
    sizing_start_settled(&q, state, flow);
    state->x[X_TANK] = state->tank.volume = 0.0;
    const int parcels = flow->product_flow > 0.0 ? PARCELS_MAX : 0;
    for (int n = 0; n < parcels && state->x[X_PRODUCT] < most && !all_ended(&q, life); n++) {
        const double share = flow->product_flow / flow->feed_flow;
        const double feed = fmin(state->feed_limit, state->parcel_limit / share) * q.parcel_scale;
        const double seconds = fmin(feed / flow->feed_flow, 30.0 * DAY);
        sizing_move(state, flow, seconds);
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
void sizing_order_lives(const struct plant *p, struct sizing *out)
{
    for (int k = 0; k < p->stages; k++) {
        struct sizing_life *l = out->life[k];
        l[LIFE_SHORT].litres = fmin(l[LIFE_SHORT].litres, l[LIFE_MIDDLE].litres);
        l[LIFE_LONG].litres = fmax(l[LIFE_LONG].litres, l[LIFE_MIDDLE].litres);
    }
}
