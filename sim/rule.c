/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * rule: see rule.h.  A person opens the tap, reads the gauges and the meters, and brings flow and
 * passage to standard conditions, so that a cold week is not taken for a tired membrane.
 */
#include "rule.h"

#include <math.h>

double rule_pressure_drop(const struct rule_look *look, int stage)
{
    const struct plant *p = look->plant;
    const struct signals sig = plant_filling(p, look->state);
    const struct fluid water = water_fluid(sig.feed_temperature);
    const double flow = stage < p->membrane || p->membrane < 0 ? sig.feed_flow : sig.product_flow;
    const struct stage *s = &p->train[stage];
    if (s->kind == &stage_membrane)
        return 0.0;
    return s->kind->pressure_drop(&s->params, &look->state->stage[stage], flow, &water,
                                  sig.supply_pressure);
}

static const char *membrane_due(const struct rule_look *look, const struct rule *rule)
{
    const double flow = plant_standard_flow(look->plant, look->state);
    const double passage = plant_standard_passage(look->plant, look->state);
    if (flow <= rule->flow)
        return "its standardised flow is down to the limit";
    if (passage >= rule->passage)
        return "its standardised salt passage is up to the limit";
    return NULL;
}

/* What the meter behind a stage shows [kg/m3]; NAN if no water has passed it since it is new. */
static double reading_behind(const struct rule_look *look, int stage)
{
    const double *c = look->state->readings.behind[stage];
    if (isnan(c[0]))
        return NAN;
    const struct speciation forms = water_speciate(c, 25.0);
    return water_meter(&look->plant->meter, water_conductivity(c, &forms));
}

const char *rule_due(const struct rule_look *look, int stage)
{
    const struct rule *rule = &look->plan->rule[stage];
    const struct stage *s = &look->plant->train[stage];
    if (look->state->t - look->renewed[stage] >= rule->calendar)
        return "its time is up by the calendar";
    if (reading_behind(look, stage) >= rule->reading)
        return "the meter behind it has come to its limit";
    const double *behind = look->state->readings.behind[stage];
    const double oxidant = behind[CHLORINE] + behind[CHLORAMINE];
    if (oxidant * species[CHLORINE].molar_mass >= rule->oxidant)
        return "the test strip shows oxidant behind it";
    if (!isnan(rule->pressure_drop) && rule_pressure_drop(look, stage) >= rule->pressure_drop)
        return "the pressure lost across it has come to its limit";
    return s->kind == &stage_membrane ? membrane_due(look, rule) : NULL;
}
