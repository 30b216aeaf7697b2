/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>

#include "at.h"
#include "fixture.h"

static struct state before, after;
static struct plant_trace trace;

static struct settings filling(void)
{
    struct settings set;
    settings_init(&set);
    set.call = true;
    return set;
}

static bool follow(const struct plant *p)
{
    const struct settings set = filling();
    return plant_trace(p, &set, &before, &after, &trace);
}

static double amount(const struct parcel *w, int i)
{
    return w->volume * w->c[i];
}

/* What a stage keeps of a species [mol]; what carbon turns into something else is tested apart. */
static double kept(const struct plant *p, int k, int i)
{
    const struct stage *s = &p->train[k];
    return s->kind->held(&s->params, &after.stage[k], (enum species)i) -
           s->kind->held(&s->params, &before.stage[k], (enum species)i);
}

static void check_stage(const struct plant *p, int k, unsigned long seed)
{
    static const struct parcel none = { 0 };
    const struct parcel *in = &trace.water[k], *out = &trace.water[k + 1];
    const struct parcel *drain = k == p->membrane ? &trace.drain : &none;
    cr_assert_float_eq(in->volume, out->volume + drain->volume, 1e-12 * in->volume);
    for (int i = 0; i < SPECIES_COUNT && p->train[k].kind != &stage_carbon; i++) {
        const double held = k == p->membrane ? 0.0 : kept(p, k, i);
        const double scale =
            amount(in, i) +
            p->train[k].kind->held(&p->train[k].params, &before.stage[k], (enum species)i);
        cr_assert_float_eq(amount(in, i), amount(out, i) + amount(drain, i) + held,
                           1e-12 * scale + 1e-300, "seed %lu, stage %d, %s", seed, k,
                           species[i].key);
    }
    double chlorine = 0.0, nitrogen = trace.nitrogen[k];
    for (int i = 0; i < SPECIES_COUNT && p->train[k].kind == &stage_carbon; i++) {
        const double less = amount(in, i) - amount(out, i);
        chlorine += species_atoms((enum species)i, ELEMENT_CHLORINE) * less;
        nitrogen -= species_atoms((enum species)i, ELEMENT_NITROGEN) * less;
    }
    cr_assert_float_eq(chlorine, 0.0, 1e-12 * amount(in, CHLORIDE) + 1e-15);
    cr_assert_float_eq(nitrogen, 0.0, 1e-12 * amount(in, AMMONIUM) + 1e-15);
}

/* For every species and the water: came = went on + left to the drain + stayed. */
Test(plant_trace, loses_nothing_in_any_part)
{
    int seen = 0;
    for (unsigned long seed = 1; seed <= 100; seed++) {
        const struct plant p = fixture_random_plant(seed);
        plant_start(&p, &before);
        before.t = 86400.0 * (double)seed;
        if (!follow(&p))
            continue;
        seen++;
        for (int k = 0; k < p.stages; k++)
            check_stage(&p, k, seed);
    }
    cr_assert_gt(seen, 90);
}

/* Each pressure is that at which the part behind it passes the flow. */
Test(plant_trace, has_the_pressures_at_which_parts_agree)
{
    for (unsigned long seed = 1; seed <= 60; seed++) {
        const struct plant p = fixture_random_plant(seed);
        plant_start(&p, &before);
        if (p.membrane < 0 || !follow(&p))
            continue;
        const struct signals *s = &trace.signals;
        const struct plant_pressures *at = &trace.pressure;
        if (s->starts > 0.0)
            continue;
        const double T = s->feed_temperature;
        const struct membrane *m = &p.train[p.membrane].params.membrane;
        cr_assert_float_eq(at->before[p.membrane], s->membrane_pressure, 1e-6);
        cr_assert_float_eq(at->before[p.membrane + 1], s->back_pressure, 1e-6);
        cr_assert_float_eq(restrictor_flow(&m->restrictor, at->concentrate, AT(T), 1.0),
                           s->drain_flow, 1e-9 * s->drain_flow, "seed %lu", seed);
        const struct membrane_point point = { s->feed_flow, at->before[p.membrane],
                                              at->before[p.membrane + 1], after.osmolarity, T };
        cr_assert_float_eq(membrane_permeate(m, &point, NULL), s->product_flow,
                           1e-8 * s->product_flow, "seed %lu", seed);
        cr_assert_float_eq(at->before[p.stages], at->check + at->height + at->tube + at->valve,
                           1e-9 * at->before[p.stages]);
        const double speed = s->feed_flow / (0.62 * M_PI / 4.0 * pow(p.line.supply_bore, 2.0));
        cr_assert_float_eq(s->supply_pressure - at->before[0],
                           0.5 * water_density(T) * speed * speed, 1e-6);
    }
}

Test(plant_trace, follows_a_line_without_a_membrane_to_its_end)
{
    struct plant p = fixture_plant();
    p.stages = p.membrane = 0;
    p.membrane = -1;
    fixture_stage(&p.train[p.stages++], &stage_sediment);
    fixture_stage(&p.train[p.stages++], &stage_carbon);
    plant_start(&p, &before);
    cr_assert(follow(&p));
    cr_assert_eq(trace.drain.volume, 0.0);
    cr_assert(isnan(trace.pressure.concentrate));
    cr_assert_float_eq(trace.water[2].volume, 60.0 * trace.signals.product_flow, 1e-12);
    const struct plant_pressures *at = &trace.pressure;
    cr_assert_float_eq(at->before[2], at->check + at->height + at->tube + at->valve, 1.0);
}

/* A run that has made water for hours gives what the trace says: the water that stands in the
 * membrane has been pushed out. */
struct watch {
    struct state state;
    struct signals signals;
    bool seen;
};

static void see(void *self, const struct glimpse *g)
{
    struct watch *w = self;
    if (g->moment != MOMENT_PARCEL || !(g->signals->product_flow > 0.0))
        return;
    w->state = *g->state;
    w->signals = *g->signals;
    w->seen = true;
}

Test(plant_trace, agrees_with_a_run_that_has_settled)
{
    static struct watch watch;
    struct plant p = fixture_plant();
    struct plan plan = fixture_plan(4.0);
    p.feed.temperature.season = p.feed.temperature.daily = p.feed.pressure.daily = 0.0;
    p.train[p.membrane].params.membrane.wear.on = false;
    plan.draws = 1;
    plan.draw[0] = (struct draw){ .take = 10.0, .every = INFINITY, .first = 0.0, .rate = 1e-4 };
    const struct observer o = { see, &watch };
    struct outcome *out = malloc(sizeof *out);
    fixture_run(&p, &plan, &o, out);
    cr_assert_eq(out->status, STATUS_OK);
    free(out);
    cr_assert(watch.seen);
    before = watch.state;
    cr_assert(follow(&p));
    cr_assert_float_eq(trace.signals.product_flow, watch.signals.product_flow,
                       1e-6 * watch.signals.product_flow, "%.9g %.9g",
                       trace.signals.product_flow, watch.signals.product_flow);
    cr_assert_float_eq(trace.signals.drain_flow, watch.signals.drain_flow,
                       1e-6 * watch.signals.drain_flow);
    const struct speciation s = water_speciate(trace.water[p.membrane + 1].c, 25.0);
    const double now = water_conductivity(trace.water[p.membrane + 1].c, &s);
    cr_assert_float_eq(now, watch.state.readings.permeate, 1e-3 * now);
    for (int i = 0; i < SILICA; i++)
        cr_assert_float_eq(trace.water[p.stages].c[i], watch.state.readings.product_c[i],
                           5e-3 * watch.state.readings.product_c[i] + 1e-12, "%s", species[i].key);
}

Test(plant_trace, says_when_no_water_is_made)
{
    const struct plant p = fixture_plant();
    plant_start(&p, &before);
    struct settings set = filling();
    set.supply = 0.0;
    cr_assert_not(plant_trace(&p, &set, &before, &after, &trace));
    set = filling();
    set.hand_valve = false;
    cr_assert_not(plant_trace(&p, &set, &before, &after, &trace));
}
