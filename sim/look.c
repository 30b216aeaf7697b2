/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * look: see look.h.  A minute of steady flow goes down the line, past whatever water stands in the
 * membrane.
 */
#include "look.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "models/water.h"

static const double MINUTE = 60.0;           /* s */
static const double COMPENSATION = 0.02;     /* 1/K, of pocket meters */
static const double SEAL_POWER = 0.75;       /* between a gap and a hole */
static const double CACO3 = 0.1000869;       /* kg/mol */
static const double CO2 = 0.0440095;         /* kg/mol */
static const double COLD = 0.5, WARM = 45.0; /* degC, as a scenario may have it */

struct look_change look_change_none(void)
{
    return (struct look_change){ .strength = 1.0,
                                 .carbon = 1.0,
                                 .pressure = 1.0,
                                 .clog = 1.0,
                                 .water = 1.0,
                                 .salt = 1.0,
                                 .packing = 1.0,
                                 .seal_power = SEAL_POWER,
                                 .drain = 1.0,
                                 .probe = { 1.0, 1.0, 1.0 } };
}

/* ---- the line, changed ------------------------------------------------------------------------
 */

struct line_now {
    struct plant plant;
    struct settings set;
    struct signals sig;
    struct parcel feed, before, permeate, product; /* before: at the membrane */
    double leak;                                   /* m3/s past the seal */
};

static void change_feed(struct feed *f, const struct look_place *l, const struct look_change *c)
{
    const struct feed_now now = feed_at(&l->plant->feed, l->state->t);
    const double t = fmin(fmax(l->temperature + c->temperature, COLD), WARM);
    f->temperature = (struct cycle){ .mean = t };
    f->pressure = (struct cycle){ .mean = l->pressure * c->pressure * c->clog };
    f->log = NULL;
    f->steps = 0;
    memcpy(f->c, now.c, sizeof f->c);
    for (int i = 0; i < CHLORINE; i++)
        f->c[i] *= c->strength;
    f->c[CARBON] += (c->carbon - 1.0) * water_speciate(f->c, t).co2;
}

static void change_membrane(struct line_now *now, const struct look_place *l,
                            const struct look_change *c)
{
    const int k = now->plant.membrane;
    struct membrane *m = &now->plant.train[k].params.membrane;
    m->water_permeability *= c->water;
    m->salt_permeability *= c->salt;
    l->work->stage[k].membrane.wear.dose += c->dose;
    now->set.health.drain_open *= c->drain;
}

static void change_beds(struct line_now *now, const struct look_place *l,
                        const struct look_change *c)
{
    struct plant *p = &now->plant;
    for (int k = p->membrane + 1; k < p->stages; k++) {
        if (c->beds)
            l->work->stage[k] = c->beds->stage[k];
        if (p->train[k].kind == &stage_resin) {
            struct resin *r = &p->train[k].params.resin;
            r->short_flow = fmin(r->short_flow * c->packing, 0.5);
        }
    }
}

/* Fills the plant and settings, and l->work with the state. */
static void change(struct line_now *now, const struct look_place *l, const struct look_change *c)
{
    now->plant = *l->plant;
    now->plant.has_bladder = false; /* into an open tank */
    settings_init(&now->set);
    now->set.health = l->settings->health;
    now->set.call = true;
    *l->work = *l->state;
    change_feed(&now->plant.feed, l, c);
    change_membrane(now, l, c);
    change_beds(now, l, c);
}

/* ---- a minute of flow -------------------------------------------------------------------------
 */

static void pass(const struct line_now *now, struct state *s, int first, int last,
                 struct parcel *water)
{
    const struct stage_passage how = { 0 };
    for (int k = first; k < last; k++) {
        struct stage_exits exits = { 0 };
        const struct stage *stage = &now->plant.train[k];
        stage->kind->carry(&stage->params, &s->stage[k], water, &how, &exits);
    }
}

static void evaluate(struct line_now *now, struct state *s)
{
    const double x[X_COUNT] = { 0.0 };
    double dx[X_COUNT];
    plant_evaluate(&now->plant, &now->set, s, s->t, x, &now->sig, dx);
}

/* Up to the membrane; its osmotic pressure is that of the water which gets there. */
static bool pass_front(struct line_now *now, struct state *s)
{
    enum { ROUNDS = 2 };
    for (int round = 0; round < ROUNDS; round++) {
        evaluate(now, s);
        if (!(now->sig.product_flow > 0.0))
            return false;
        const struct feed *f = &now->plant.feed;
        now->feed =
            (struct parcel){ MINUTE * now->sig.feed_flow, MINUTE, f->temperature.mean, { 0 } };
        memcpy(now->feed.c, f->c, sizeof f->c);
        now->before = now->feed;
        pass(now, s, 0, now->plant.membrane, &now->before);
        const struct speciation forms = water_speciate(now->before.c, f->temperature.mean);
        s->osmolarity = water_osmolarity(now->before.c, &forms);
    }
    return true;
}

/* What comes past a seal is what the membrane meets. */
static void pass_membrane(struct line_now *now, const struct look_place *l,
                          const struct look_change *c)
{
    const int k = now->plant.membrane;
    const struct membrane worn =
        membrane_worn(&now->plant.train[k].params.membrane, &l->work->stage[k].membrane);
    struct parcel drain, *out = &now->permeate;
    membrane_split(&worn, &now->before, MINUTE * now->sig.product_flow, out, &drain);
    out->duration = MINUTE;
    const double drive = fmax(now->sig.membrane_pressure, 0.0) / l->drive;
    now->leak = c->seal * l->flow * pow(drive, c->seal_power);
    const double past = MINUTE * now->leak, all = out->volume + past;
    for (int i = 0; i < SPECIES_COUNT; i++)
        out->c[i] = (out->c[i] * out->volume + now->before.c[i] * past) / all;
    out->volume = all;
}

static void pass_beds(struct line_now *now, const struct look_place *l, const struct look_change *c)
{
    struct parcel *out = &now->product;
    *out = now->permeate;
    out->volume *= 1.0 - c->bypass;
    pass(now, l->work, now->plant.membrane + 1, now->plant.stages, out);
    for (int i = 0; i < SPECIES_COUNT; i++)
        out->c[i] += c->bypass * (now->permeate.c[i] - out->c[i]);
}

/* ---- what is read -----------------------------------------------------------------------------
 */

static double shown(const struct look_place *l, const struct parcel *water)
{
    const struct speciation forms = water_speciate(water->c, 25.0);
    return l->plant->meter.factor * water_conductivity(water->c, &forms);
}

/* What the meter makes of water that is not at 25 degC without all of its correction. */
static double uncorrected(const struct line_now *now, const struct look_change *c)
{
    return 1.0 + c->uncorrected * COMPENSATION * (now->feed.temperature - 25.0);
}

static void read_meters(const struct line_now *now, const struct look_place *l,
                        const struct look_change *c, double value[])
{
    const struct parcel *water[] = { &now->feed, &now->permeate, &now->product };
    for (int i = 0; i < 3; i++) {
        value[LOOK_FEED_AGAIN + i] = shown(l, water[i]);
        value[LOOK_FEED + i] = value[LOOK_FEED_AGAIN + i] * c->probe[i] * uncorrected(now, c);
    }
}

static void read_kits(const struct line_now *now, double value[])
{
    const struct parcel *w = &now->permeate;
    const double t = now->feed.temperature;
    value[LOOK_PH] = water_speciate(now->feed.c, t).ph;
    value[LOOK_HARDNESS] = CACO3 * (w->c[CALCIUM] + w->c[MAGNESIUM]);
    value[LOOK_SILICA] = species[SILICA].molar_mass * now->product.c[SILICA];
    value[LOOK_CARBON] = CO2 * now->product.c[CARBON];
    value[LOOK_PERMEATE_CO2] = CO2 * water_speciate(w->c, t).co2;
    value[LOOK_OXIDANT] =
        species[CHLORINE].molar_mass * (now->before.c[CHLORINE] + now->before.c[CHLORAMINE]);
}

/* The permeate with the feed throttled; what the meter does wrong it goes on doing. */
static double throttled(const struct look_place *l, const struct look_change *c)
{
    struct line_now now;
    struct look_change less = *c;
    less.clog *= LOOK_THROTTLE;
    change(&now, l, &less);
    if (!pass_front(&now, l->work))
        return NAN;
    pass_membrane(&now, l, &less);
    return shown(l, &now.permeate) * c->probe[1] * uncorrected(&now, c);
}

bool look_at(const struct look_place *l, const struct look_change *c, double value[])
{
    struct line_now now;
    change(&now, l, c);
    if (!pass_front(&now, l->work))
        return false;
    pass_membrane(&now, l, c);
    pass_beds(&now, l, c);
    read_meters(&now, l, c, value);
    read_kits(&now, value);
    value[LOOK_FLOW] = now.sig.product_flow + now.leak;
    value[LOOK_DRAIN] = now.sig.drain_flow;
    value[LOOK_PRESSURE] = l->pressure * c->pressure;
    value[LOOK_TEMPERATURE] = now.feed.temperature;
    value[LOOK_THROTTLED] = throttled(l, c);
    return !isnan(value[LOOK_THROTTLED]);
}

struct parcel look_permeate(const struct look_place *l)
{
    const struct look_change none = look_change_none();
    struct line_now now;
    change(&now, l, &none);
    now.permeate = (struct parcel){ 0 };
    if (pass_front(&now, l->work))
        pass_membrane(&now, l, &none);
    return now.permeate;
}

/* ---- where and when ---------------------------------------------------------------------------
 */

/* Flow and pressure at the membrane as the model has them, by which a leak is counted. */
static void set_reference(struct look_place *l)
{
    const struct look_change none = look_change_none();
    struct line_now now;
    change(&now, l, &none);
    evaluate(&now, l->work);
    l->flow = now.sig.product_flow;
    l->drive = fmax(now.sig.membrane_pressure, 1.0);
}

bool look_begin(struct look_place *l, const struct plant *p, const struct state *state,
                const struct settings *settings)
{
    *l = (struct look_place){ .plant = p, .state = state, .settings = settings };
    l->work = malloc(sizeof *l->work);
    if (!l->work)
        return false;
    feed_conditions(&p->feed, state->t, &l->temperature, &l->pressure);
    set_reference(l);
    return true;
}

void look_end(struct look_place *l)
{
    free(l->work);
    l->work = NULL;
}

void look_conditions(struct look_place *l, double temperature, double pressure)
{
    if (!isnan(temperature))
        l->temperature = temperature;
    if (!isnan(pressure))
        l->pressure = pressure;
    set_reference(l);
}
