/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * life: see life.h.
 */
#include "life.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rule.h"
#include "sizing.h"

static const double DAY = 86400.0;         /* s */
static const double LITRE = 1e3;           /* per m3 */
static const double OXIDANT_SEEN = 0.1e-3; /* kg/m3 Cl2 at the membrane: the carbon has ended */
static const double LOOK_EVERY = 5.0;      /* days between looks at flows and pressures */
static const double LEAST = 1e-9;          /* share of a stretch that is nothing */

struct follow {
    const struct plan *plan;
    const struct life_options *options;
    struct plant plant;
    struct state state, fresh; /* as it becomes; as the tape was recorded with */
    struct settings settings;
    struct life *life;
    struct caught jug;           /* behind the last bed */
    double seen;                 /* s, when a bed that has ended is seen to have; INFINITY */
    double product0[STAGES_MAX]; /* m3 made when each cartridge was put in */
    double renewed[STAGES_MAX];
    double looked; /* s */
    int bed;       /* the last bed, or -1: none, or ended */
};

int life_last_bed(const struct plant *p)
{
    const int last = p->stages - 1;
    return last > p->membrane && p->train[last].kind == &stage_resin ? last : -1;
}

static double sites_of(const struct plant *p, double (*sites)(const struct resin *))
{
    double sum = 0.0;
    for (int k = p->membrane + 1; k < p->stages; k++)
        if (p->train[k].kind == &stage_resin)
            sum += sites(&p->train[k].params.resin);
    return sum;
}

double life_cation_sites(const struct plant *p)
{
    return sites_of(p, resin_cation_sites);
}

double life_anion_sites(const struct plant *p)
{
    return sites_of(p, resin_anion_sites);
}

/* ---- ends -------------------------------------------------------------------------------------
 */

static void renew(struct follow *f, int k)
{
    plant_replace(&f->plant, &f->state, k);
    f->product0[k] = f->state.x[X_PRODUCT];
    f->renewed[k] = f->state.t;
}

/* What the first of a kind came to counts; later ones only serve. */
static void end(struct follow *f, int k, const char *why)
{
    struct life_end *e = &f->life->end[k];
    if (!e->why) {
        e->why = why;
        e->t = f->state.t - f->renewed[k];
        e->litres = LITRE * (f->state.x[X_PRODUCT] - f->product0[k]);
    }
    renew(f, k);
}

/* What came is what is held and what went through, however many beds there are. */
static void weigh_beds(struct follow *f)
{
    const struct plant *p = &f->plant;
    struct life *l = f->life;
    memcpy(l->load, l->passed, sizeof l->load);
    memset(l->held, 0, sizeof l->held);
    for (int k = p->membrane + 1; k < p->stages; k++)
        for (int i = 0; i < EXCHANGED_COUNT && p->train[k].kind == &stage_resin; i++) {
            const double held =
                resin_held(&p->train[k].params.resin, &f->state.stage[k].resin, (enum species)i);
            l->load[i] += held;
            l->held[i] += held * abs(species[i].charge);
        }
}

static void end_bed(struct follow *f)
{
    struct life *l = f->life;
    weigh_beds(f);
    end(f, f->bed, "the meter behind it came to its limit");
    l->bed_litres = l->end[f->bed].litres;
    l->bed_time = l->end[f->bed].t;
    f->plant.stages--; /* a spent bed tells no more, and wants small parcels */
    f->bed = -1;
}

/* At the first litre: what loose packing lets past a fresh bed is no end of it. */
static void set_due(struct follow *f, double meter)
{
    const double rule = f->plan->rule[f->bed].reading;
    const double limit = isnan(rule) ? sizing_product_limit(f->plan) : rule;
    f->life->due = (meter >= limit ? meter + limit : limit) + f->options->late;
}

/* The meter is read by the litre, as the first times are. */
static void read_meter(struct follow *f, const double c[])
{
    struct life *l = f->life;
    l->meter = first_meter(&f->plant, c);
    if (isnan(l->due))
        set_due(f, l->meter);
    for (int i = 0; i < PASSED_COUNT; i++)
        if (!isnan(l->first.day[i]) && isnan(l->meter_first[i]))
            l->meter_first[i] = l->meter;
    if (l->meter >= l->due && f->options->product <= 0.0)
        f->seen = fmin(f->seen, f->state.t + f->options->later);
}

/* What passes the last bed while the meter is still content. */
static void watch_bed(struct follow *f, double volume)
{
    const struct readings *r = &f->state.readings;
    double c[SPECIES_COUNT];
    first_see(&f->life->first, &(struct glimpse){ .moment = MOMENT_PARCEL,
                                                  .plant = &f->plant,
                                                  .plan = f->plan,
                                                  .settings = &f->settings,
                                                  .state = &f->state,
                                                  .t = f->state.t,
                                                  .x = f->state.x });
    for (int i = 0; i < SPECIES_COUNT; i++)
        f->life->passed[i] += volume * r->product_c[i];
    if (first_catch(&f->jug, volume, r->product_c, c))
        read_meter(f, c);
    if (f->state.t >= f->seen)
        end_bed(f);
}

/* What says that a stage has ended, by the scenario's rules or what is usual. */
static const char *ended(const struct follow *f, int k)
{
    const struct rule_look look = { &f->plant, f->plan, &f->state, f->renewed };
    const struct stage *s = &f->plant.train[k];
    const char *why = rule_due(&look, k);
    if (why)
        return why;
    if (s->kind == &stage_carbon && k < f->plant.membrane)
        return f->state.readings.membrane_oxidant * species[CHLORINE].molar_mass > OXIDANT_SEEN
                   ? "oxidant comes through"
                   : NULL;
    const bool judged = s->kind == &stage_sediment || s->kind == &stage_membrane;
    if (!judged || s->kind->used(&s->params, &f->state.stage[k]) < 1.0)
        return NULL;
    return s->kind == &stage_sediment ? "clogged" : "its flow is down by a third";
}

static void look_at_all(struct follow *f)
{
    if (f->state.t - f->looked < LOOK_EVERY * DAY)
        return;
    f->looked = f->state.t;
    for (int k = 0; k < f->plant.stages; k++) {
        if (k == f->bed)
            continue;
        const char *why = ended(f, k);
        if (why)
            end(f, k, why);
    }
}

/* ---- following --------------------------------------------------------------------------------
 */

/* How much longer the membrane takes for its product than the fresh one of the tape. */
static double slowness(struct follow *f)
{
    if (f->plant.membrane < 0 || sizing_throttled(&f->plant))
        return 1.0;
    f->fresh.t = f->state.t;
    const double fresh = plant_filling(&f->plant, &f->fresh).product_flow;
    const double now = plant_filling(&f->plant, &f->state).product_flow;
    return fresh > 0.0 && now > 0.0 ? fresh / now : 1.0;
}

/* A share of a stretch moves; the product goes straight through the tank. */
static void move(struct follow *f, const struct stretch *s, double share, double slow)
{
    const double *m = s->moved;
    double *x = f->state.x;
    const double making = m[X_MAKING] * slow;
    const double longer = making - m[X_MAKING];
    x[X_PRODUCT] += share * m[X_PRODUCT];
    x[X_DIVERTED] += share * m[X_DIVERTED];
    x[X_MAKING] += share * making;
    x[X_RUNNING] += share * (m[X_RUNNING] + longer);
    const double drained = m[X_FEED] - m[X_PRODUCT] - m[X_DIVERTED];
    const double slower = m[X_RUNNING] > 0.0 ? 1.0 + longer / m[X_RUNNING] : 1.0;
    x[X_FEED] += share * (m[X_PRODUCT] + m[X_DIVERTED] + drained * slower);
    x[X_DRAIN] += share * drained * slower;
    x[X_RINSED] += share * m[X_RINSED];
    x[X_DELIVERED] += share * m[X_DELIVERED];
    x[X_DELIVERING] += share * m[X_DELIVERING];
    x[X_BLADDER] += share * m[X_BLADDER];
    x[X_LEAKED] += share * m[X_LEAKED];
    x[X_DRAWN] += share * (m[f->plant.has_bladder ? X_DELIVERED : X_PRODUCT] - m[X_RINSED]);
    if (!f->options->without_start_salt) {
        x[X_STARTS] += share * m[X_STARTS];
        f->state.opened = f->state.t - share * s->lasts - share * longer;
    } else { /* no rest, no start */
        f->state.opened = f->state.t - share * making;
    }
}

/* How many parcels a stretch makes. */
static double parcels(const struct follow *f, const struct stretch *s)
{
    const double made = s->moved[X_PRODUCT] + s->moved[X_DIVERTED];
    return fmax(made / f->state.parcel_limit, s->moved[X_FEED] / f->state.feed_limit) /
           f->plant.parcel_scale;
}

static double delivered(const struct follow *f)
{
    return f->state.x[f->plant.has_bladder ? X_DELIVERED : X_PRODUCT];
}

static bool all_ended(const struct follow *f)
{
    if (f->options->product > 0.0)
        return f->state.x[X_PRODUCT] >= f->options->product;
    if (f->options->last_bed_only)
        return f->bed < 0;
    for (int k = 0; k < f->plant.stages; k++)
        if (!f->life->end[k].why)
            return false;
    return true;
}

static void follow_stretch(struct follow *f, const struct stretch *s, double start)
{
    f->settings.rinsing = s->rinsing;
    f->settings.diverting = s->diverting;
    const double slow = s->moved[X_MAKING] > 0.0 ? slowness(f) : 1.0;
    for (double done = 0.0; 1.0 - done > LEAST && !all_ended(f);) {
        const double share = fmin(1.0 / fmax(parcels(f, s), 1.0), 1.0 - done);
        const double before = delivered(f);
        done += share;
        f->state.t = start + s->t - s->lasts * (1.0 - done);
        move(f, s, share, slow);
        plant_carry(&f->plant, &f->settings, &f->state);
        if (delivered(f) > before && f->bed >= 0)
            watch_bed(f, delivered(f) - before);
        look_at_all(f);
    }
}

static void join(struct stretch *s, const struct stretch *next)
{
    s->t = next->t;
    s->lasts += next->lasts;
    for (int k = 0; k < X_COUNT; k++)
        s->moved[k] += next->moved[k];
}

/* The next stretch from `*i` on: small fills that together are no more than a parcel share one, as
 * so many cycles of rest and run. */
static struct stretch next_stretch(const struct follow *f, const struct tape *tape, int *i)
{
    struct stretch s = tape->list[(*i)++];
    while (*i + 1 < tape->count) {
        const struct stretch *rest = &tape->list[*i], *run = rest + 1;
        struct stretch both = s;
        join(&both, rest);
        join(&both, run);
        const bool alike = !rest->rinsing && !rest->diverting && !run->rinsing && !run->diverting;
        const bool pair = !(rest->moved[X_MAKING] > 0.0) && run->moved[X_STARTS] > 0.0;
        if (s.rinsing || s.diverting || !alike || !pair || parcels(f, &both) > 1.0 ||
            both.lasts > LOOK_EVERY * DAY)
            break;
        s = both;
        *i += 2;
    }
    return s;
}

static void follow_year(struct follow *f, const struct tape *tape, double start)
{
    for (int i = 0; i < tape->count && !all_ended(f);) {
        const struct stretch s = next_stretch(f, tape, &i);
        if (start + s.t > f->options->horizon)
            return;
        follow_stretch(f, &s, start);
    }
}

static void begin(struct follow *f, const struct plant *p)
{
    f->plant = *p;
    struct wear *wear = p->membrane < 0 ? NULL : &f->plant.train[p->membrane].params.membrane.wear;
    if (wear && f->options->without_damage)
        wear->oxidant_doubling = wear->oxidant_threshold = INFINITY;
    settings_init(&f->settings);
    f->settings.call = true;
    plant_start(&f->plant, &f->state);
    f->fresh = f->state;
    f->bed = life_last_bed(p);
    f->seen = INFINITY;
    *f->life = (struct life){ .meter = NAN, .due = NAN };
    first_init(&f->life->first);
    for (int i = 0; i < PASSED_COUNT; i++)
        f->life->meter_first[i] = NAN;
    for (int k = 0; k < p->stages; k++)
        f->life->end[k] = (struct life_end){ NULL, INFINITY, INFINITY };
}

static void finish(struct follow *f)
{
    struct life *l = f->life;
    l->product = f->state.x[X_PRODUCT];
    l->length = f->state.t;
    if (f->bed < 0)
        return;
    weigh_beds(f);
    l->bed_litres = LITRE * l->product;
    l->bed_time = l->length;
}

enum status life_follow(struct life *out, const struct plant *p, const struct plan *plan,
                        const struct tape *tape, const struct life_options *options)
{
    struct follow *f = calloc(1, sizeof *f);
    if (!f)
        return STATUS_MEMORY;
    f->plan = plan;
    f->options = options;
    f->life = out;
    begin(f, p);
    for (double start = 0.0; tape->product > 0.0 && start < options->horizon && !all_ended(f);
         start += tape->length)
        follow_year(f, tape, start);
    finish(f);
    free(f);
    return STATUS_OK;
}
