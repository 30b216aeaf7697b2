/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * plant_standard: the membrane's flow and salt passage freed from season and pressure, so that wear
 * shows. Page: docs/standard.md.  A person does the same with a jug, a thermometer and two gauges.
 */
#include <math.h>

#include "plant.h"

struct signals plant_filling(const struct plant *p, const struct state *s)
{
    struct settings set;
    struct signals sig;
    double x[X_COUNT] = { 0.0 }, dx[X_COUNT];
    settings_init(&set);
    set.call = true;
    plant_evaluate(p, &set, s, s->t, x, &sig, dx);
    return sig;
}

/* Conditions of the membrane: osmotic pressures are those at the wall, by the film of a new one. */
static struct standard_point point_of(const struct plant *p, const struct state *s,
                                      const struct signals *sig)
{
    const struct membrane *m = &p->train[p->membrane].params.membrane;
    const double T = sig->feed_temperature;
    const struct fluid water = water_fluid(T);
    const double made = sig->product_flow, J = made / membrane_area(m);
    const double k = membrane_film(m, sig->feed_flow - 0.5 * made, water_diffusivity(SALT, T), T);
    const double brine = standard_brine(s->osmolarity, made / sig->feed_flow);
    const double wall = brine * exp(fmin(J / k, 5.0));
    return (struct standard_point){
        .pressure = sig->membrane_pressure,
        .loss = membrane_channel_loss(m, sig->feed_flow, &water),
        .permeate_pressure = sig->back_pressure,
        .brine_osmotic = water_osmotic_pressure(wall, T),
        .permeate_osmotic = 0.0,
        .factor = membrane_temperature_factor(m, T),
        .salt_factor = membrane_salt_factor(m, T),
        .feed = s->osmolarity,
        .brine = wall,
    };
}

void plant_set_reference(const struct plant *p, struct state *s)
{
    if (p->membrane < 0)
        return;
    const struct signals sig = plant_filling(p, s);
    s->reference_flow = sig.product_flow;
    if (sig.product_flow > 0.0)
        s->reference = point_of(p, s, &sig);
}

double plant_standard_flow(const struct plant *p, const struct state *s)
{
    if (p->membrane < 0 || !(s->reference_flow > 0.0))
        return NAN;
    const struct signals sig = plant_filling(p, s);
    if (!(sig.product_flow > 0.0))
        return NAN;
    const struct standard_point now = point_of(p, s, &sig);
    return standard_flow(sig.product_flow, &now, &s->reference) / s->reference_flow;
}

/* The leak of a membrane spoils the practice's passage (docs/standard.md): with it taken out, what
 * is left is how B and A have moved. */
double plant_standard_passage(const struct plant *p, const struct state *s)
{
    if (p->membrane < 0)
        return NAN;
    const struct membrane *m = &p->train[p->membrane].params.membrane;
    const struct wear_state *w = &s->stage[p->membrane].membrane.wear;
    return wear_salt_factor(&m->wear, w) / wear_flow_factor(&m->wear, w, membrane_area(m));
}
