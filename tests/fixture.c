/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fixture.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const double PSI = 6894.757293168;    /* Pa */
static const double DAY = 86400.0;           /* s */
static const double GALLON = 3.785411784e-3; /* m3 */

double fixture_random(unsigned long *seed)
{
    *seed = *seed * 6364136223846793005UL + 1442695040888963407UL;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

void fixture_presets(void *base, const struct field *fields)
{
    for (const struct field *f = fields; f->key; f++) {
        char *at = (char *)base + f->offset;
        if (f->type == FIELD_NUMBER)
            *(double *)at = f->preset;
        else if (f->type == FIELD_FLAG)
            *(bool *)at = f->preset != 0.0;
        else
            *(int *)at = (int)f->preset;
    }
}

void fixture_stage(struct stage *s, const struct stage_kind *kind)
{
    s->kind = kind;
    snprintf(s->name, sizeof s->name, "%s", kind->name);
    fixture_presets(&s->params, kind->fields);
    for (const struct stage_group *g = kind->groups; g && g->key; g++)
        fixture_presets((char *)&s->params + g->offset, g->fields);
}

static void make_membrane(struct stage *s, double gallons)
{
    fixture_stage(s, &stage_membrane);
    struct membrane *m = &s->params.membrane;
    const struct nameplate plate = { gallons * GALLON / DAY, 50.0 * PSI, 25.0, 0.25, 0.15, 0.98 };
    membrane_from_nameplate(m, &plate);
    m->restrictor.flow = gallons / 75.0 * 450e-6 / 60.0;
    m->restrictor.pressure = 60.0 * PSI;
}

static void middling_hard(double c[])
{
    c[SODIUM] = 1.0;
    c[POTASSIUM] = 0.1;
    c[CALCIUM] = 1.0;
    c[MAGNESIUM] = 0.4;
    c[CHLORIDE] = 1.0;
    c[SULFATE] = 0.5;
    c[NITRATE] = 0.1;
    c[SILICA] = 0.15;
    c[CARBON] = 2.1;
    c[CHLORINE] = 0.01;
    c[CHLORAMINE] = 0.02;
    c[SOLIDS] = 0.5e-3;
}

struct plant fixture_plant(void)
{
    struct plant p;
    memset(&p, 0, sizeof p);
    middling_hard(p.feed.c);
    p.feed.temperature = (struct cycle){ .mean = 12.0 };
    p.feed.pressure = (struct cycle){ .mean = 50.0 * PSI };
    p.stages = 4;
    p.membrane = 2;
    fixture_stage(&p.train[0], &stage_sediment);
    fixture_stage(&p.train[1], &stage_carbon);
    make_membrane(&p.train[2], 75.0);
    fixture_stage(&p.train[3], &stage_resin);
    p.line = (struct line){ 6e-3, 3.0, 4.32e-3, 10e3, 0.5 };
    p.fill = (struct fill){
        .switches = true, .on_at = 0.5, .off_at = 0.7, .switch_band = 5e-3, .keeps_call = true
    };
    p.fill.leak_latches = p.fill.timer_latches = true;
    p.fill.inlet = (struct inlet_switch){ 69e3, 138e3, 3.0, 600.0, false };
    p.tank = (struct tank){ .shape = TANK_UPRIGHT, .diameter = 0.5, .height = 0.8, .outlet = 0.03 };
    p.tank_temperature = 20.0;
    p.tank_start = 0.6;
    p.has_basin = true;
    p.basin = (struct basin){ .surface = 1.1,
                              .open_surface = 1.1,
                              .volume = 0.4,
                              .freeboard = 0.05,
                              .water = { .mean = 25.0 },
                              .air = { .mean = 21.0 },
                              .humidity = { .mean = 0.45 },
                              .draught = { .mean = 0.05 },
                              .calibration = 1.0,
                              .salinity = 35.0 };
    p.topoff = (struct topoff){ .kind = TOPOFF_PUMP,
                                .flow = 1.5e-3 / 60.0,
                                .on_below = 2e-3,
                                .off_above = 4e-3,
                                .longest_run = INFINITY,
                                .power = 8.0,
                                .band = 0.02,
                                .latches = true,
                                .hose_end = NAN,
                                .high_at = NAN };
    p.meter = (struct meter){ 5.0, 1e-3 };
    p.parcel_scale = 1.0;
    p.rinse = (struct rinse){ .every = INFINITY, .bypass = 3.0, .divert_below = NAN };
    fixture_presets(&p.fill.shutoff, shutoff_fields);
    fixture_presets(&p.gas, gas_fields);
    p.fill.stiction = 0.05;
    return p;
}

void fixture_add_booster(struct plant *p)
{
    const int at = p->membrane++;
    memmove(&p->train[at + 1], &p->train[at], (size_t)(p->stages++ - at) * sizeof p->train[0]);
    fixture_stage(&p->train[at], &stage_pump);
}

struct plan fixture_plan(double days)
{
    struct plan plan;
    memset(&plan, 0, sizeof plan);
    plan.length = days * DAY;
    plan.record = 600.0;
    plan.tolerance = 1e-7;
    plan.draws = 1;
    plan.draw[0] = (struct draw){ 40e-3, 10.0 * DAY, 5.0 * DAY + 9.0 * 3600.0, 8e-3 / 60.0 };
    snprintf(plan.start_date, sizeof plan.start_date, "2026-01-01");
    plan.limits = (struct limits){ NAN, NAN, NAN, NAN, 0.0, 0.0 };
    plan.visits.every = INFINITY;
    plan.risk = (struct risk){ .inspected = 365.0 * DAY,
                               .mending = 2.0 * DAY,
                               .unattended = 14.0 * DAY,
                               .common_cause = 0.1 };
    for (int k = 0; k < STAGES_MAX; k++)
        plan.rule[k] = (struct rule){ NAN, NAN, NAN, NAN, NAN, NAN };
    return plan;
}

/* Parameters within the usual range of their field; the physical ones that need each other stay. */
static void scatter(struct stage *s, unsigned long *seed)
{
    for (const struct field *f = s->kind->fields; f->key; f++) {
        if (f->type != FIELD_NUMBER || !isfinite(f->preset) || !isfinite(f->low) ||
            !isfinite(f->high))
            continue;
        const double reach = 0.5 * fixture_random(seed); /* half way to the end of the range */
        const double to = fixture_random(seed) < 0.5 ? f->low : f->high;
        *(double *)((char *)&s->params + f->offset) += reach * (to - f->preset);
    }
}

struct plant fixture_random_plant(unsigned long seed)
{
    unsigned long r = seed * 2654435761UL + 12345UL;
    for (int i = 0; i < 8; i++)
        fixture_random(&r);
    struct plant p = fixture_plant();
    for (int i = 0; i < SPECIES_COUNT; i++)
        p.feed.c[i] *= 0.1 + 3.0 * fixture_random(&r);
    const double cations =
        p.feed.c[SODIUM] + p.feed.c[POTASSIUM] + 2.0 * (p.feed.c[CALCIUM] + p.feed.c[MAGNESIUM]);
    const double strong = p.feed.c[CHLORIDE] + 2.0 * p.feed.c[SULFATE] + p.feed.c[NITRATE];
    if (strong > cations) /* keep it from being an acid */
        p.feed.c[SODIUM] += strong - cations;
    p.feed.temperature = (struct cycle){ 5.0 + 20.0 * fixture_random(&r), 3.0, 200.0, 0.5, 15.0 };
    p.feed.pressure = (struct cycle){ (40.0 + 40.0 * fixture_random(&r)) * PSI, 0.0, 0.0,
                                      20e3 * fixture_random(&r), 3.0 };

    p.stages = 0;
    p.membrane = -1;
    if (fixture_random(&r) < 0.8)
        fixture_stage(&p.train[p.stages++], &stage_sediment);
    if (fixture_random(&r) < 0.8)
        fixture_stage(&p.train[p.stages++], &stage_carbon);
    if (fixture_random(&r) < 0.3)
        fixture_stage(&p.train[p.stages++], &stage_pump);
    if (fixture_random(&r) < 0.85) {
        p.membrane = p.stages;
        make_membrane(&p.train[p.stages++], 50.0 + 50.0 * fixture_random(&r));
    } else {
        p.line.tube_length = 30.0; /* bare resin: a long thin tube keeps the flow small */
        p.line.tube_bore = 2e-3;
    }
    const int beds = (int)(3.0 * fixture_random(&r));
    for (int k = 0; k < beds || p.stages == 0; k++) {
        fixture_stage(&p.train[p.stages], &stage_resin);
        const double kind = fixture_random(&r);
        p.train[p.stages].params.resin.cation_share = kind < 0.6 ? 0.4 : kind < 0.8 ? 1.0 : 0.0;
        p.train[p.stages++].params.resin.cells = 8 + (int)(20.0 * fixture_random(&r));
    }
    for (int k = 0; k < p.stages; k++)
        if (p.train[k].kind != &stage_membrane && p.train[k].kind != &stage_resin)
            scatter(&p.train[k], &r);

    p.fill.float_valve = fixture_random(&r) < 0.3;
    p.fill.valve = (struct float_valve){ 0.72, 0.02, 2.5e-3 };
    p.fill.high_switch = fixture_random(&r) < 0.5;
    p.fill.high_at = 0.74;
    p.has_basin = fixture_random(&r) < 0.8;
    if (!p.has_basin)
        p.topoff.kind = TOPOFF_NONE;
    p.tank.overflow.kind = (enum overflow_kind)(3.0 * fixture_random(&r));
    p.tank.overflow.lip = 0.76;
    p.tank.overflow.bore = 0.019;
    p.tank.overflow.fall = p.tank.overflow.length = 1.0;
    p.tank.overflow.meniscus = 3e-3;
    p.tank_start = 0.05 + 0.74 * fixture_random(&r);
    p.fill.shutoff_valve = p.membrane >= 0 && fixture_random(&r) < 0.3;
    p.open_to_air = fixture_random(&r) < 0.5;
    if (p.membrane >= 0 && fixture_random(&r) < 0.3)
        p.rinse = (struct rinse){ 60.0 * fixture_random(&r),
                                  40.0 * fixture_random(&r),
                                  3600.0,
                                  30.0,
                                  3.0,
                                  120.0 * fixture_random(&r),
                                  NAN,
                                  seed % 2 ? RINSE_PERMEATE : RINSE_FEED,
                                  1.5e-5 };
    if (p.has_basin && fixture_random(&r) < 0.3)
        p.topoff = (struct topoff){
            .kind = TOPOFF_FLOAT, .flow = 1e-5, .band = 0.02, .hose_end = NAN, .high_at = NAN
        };
    if (p.membrane >= 0 && fixture_random(&r) < 0.3) {
        struct membrane *m = &p.train[p.membrane].params.membrane;
        m->elements = 2 + (int)(3.0 * fixture_random(&r));
        m->joined = fixture_random(&r) < 0.5 ? MEMBRANE_SERIES : MEMBRANE_PARALLEL;
        m->restrictor.flow *= m->elements;
    }
    p.fill.low_pressure_switch = fixture_random(&r) < 0.4;
    p.fill.inlet.trips = (0.3 + 0.7 * fixture_random(&r)) * p.feed.pressure.mean;
    p.fill.inlet.clears = p.fill.inlet.trips + 10e3;
    p.fill.inlet.latches = fixture_random(&r) < 0.2;
    return p;
}

struct catcher {
    const struct observer *next;
    struct outcome *out;
};

static void catch_end(void *self, const struct glimpse *g)
{
    struct catcher *c = self;
    if (c->next)
        c->next->see(c->next->self, g);
    if (g->moment == MOMENT_END) {
        c->out->state = *g->state;
        c->out->signals = *g->signals;
    }
}

void fixture_run(const struct plant *p, const struct plan *plan, const struct observer *o,
                 struct outcome *out)
{
    struct catcher c = { o, out };
    const struct observer end = { catch_end, &c };
    const struct run_options options = { .observers = &end, .observer_count = 1 };
    char words[RUN_WORDS];
    out->status = run_simulate(p, plan, &options, &out->figures, words);
}
