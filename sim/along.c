/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * along: see along.h.
 */
#include "along.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "screen.h"
#include "text.h"

static const double DAY = 86400.0; /* s */
/* A molar mass of 0: that of the species. */
#define FORM(i, key, symbol, z, mass)                                                              \
    {                                                                                              \
        key, symbol, z, mass, i                                                                    \
    }

const struct along_form_row along_forms[ALONG_FORMS] = {
    [FORM_NA] = FORM(SODIUM, "sodium", "Na", 1, 0.0),
    [FORM_K] = FORM(POTASSIUM, "potassium", "K", 1, 0.0),
    [FORM_CA] = FORM(CALCIUM, "calcium", "Ca", 2, 0.0),
    [FORM_MG] = FORM(MAGNESIUM, "magnesium", "Mg", 2, 0.0),
    [FORM_NH4] = FORM(AMMONIUM, "ammonium", "NH4", 1, 0.0),
    [FORM_H] = FORM(SPECIES_COUNT, "hydrogen", "H", 1, 1.00794e-3),
    [FORM_CL] = FORM(CHLORIDE, "chloride", "Cl", -1, 0.0),
    [FORM_SO4] = FORM(SULFATE, "sulfate", "SO4", -2, 0.0),
    [FORM_NO3] = FORM(NITRATE, "nitrate", "NO3", -1, 0.0),
    [FORM_F] = FORM(FLUORIDE, "fluoride", "F", -1, 0.0),
    [FORM_HCO3] = FORM(CARBON, "bicarbonate", "HCO3", -1, 0.0),
    [FORM_CO3] = FORM(CARBON, "carbonate", "CO3", -2, 60.0089e-3),
    [FORM_OH] = FORM(SPECIES_COUNT, "hydroxide", "OH", -1, 17.0073e-3),
    [FORM_H3SIO4] = FORM(SILICA, "silicate", "H3SiO4", -1, 95.106e-3),
    [FORM_CO2] = FORM(CARBON, "carbon_dioxide", "CO2", 0, 44.0095e-3),
    [FORM_NH3] = FORM(AMMONIUM, "ammonia", "NH3", 0, 17.0305e-3),
    [FORM_SIO2] = FORM(SILICA, "silica", "SiO2", 0, 0.0),
    [FORM_CL2] = FORM(CHLORINE, "chlorine", "Cl2", 0, 0.0),
    [FORM_NH2CL] = FORM(CHLORAMINE, "chloramine", "NH2Cl", 0, 0.0),
    [FORM_SOLIDS] = FORM(SOLIDS, "solids", "solids", 0, 0.0),
};

/* ---- a moment ---------------------------------------------------------------------------------
 */

/* The beds as a run has them at each moment, the earlier first. */
static enum status run_to(const struct along *a, const struct along_options *o,
                          struct run_saved *saved, char words[ALONG_TEXT])
{
    const struct scenario *s = a->scenario;
    const struct run_options options = { .progress = o->progress,
                                         .progress_self = o->progress_self,
                                         .stop = o->stop };
    const bool turned = o->looks > 1 && o->at[1] < o->at[0];
    struct run *run = run_create(&s->plant, &s->plan, &options);
    if (!run)
        return STATUS_MEMORY;
    enum status status = run_begin(run);
    for (int n = 0; n < o->looks && status == STATUS_OK; n++) {
        struct along_look *l = a->look[turned ? o->looks - 1 - n : n];
        status = run_pause_at(run, l->t);
        run_save(run, saved);
        l->settings = saved->settings;
        l->before = saved->state;
        l->before.t = l->t;
        l->resting = !(saved->before.product_flow > 0.0);
    }
    if (status != STATUS_OK)
        run_explain(run, status, words);
    run_free(run);
    return status;
}

/* Faults and what comes from outside stay; what the plant itself was about does not. */
static void call_for_water(struct along_look *l)
{
    const struct settings was = l->settings;
    settings_init(&l->settings);
    l->settings.power = was.power;
    l->settings.supply = was.supply;
    l->settings.hand_valve = was.hand_valve;
    l->settings.health = was.health;
    l->settings.call = true;
    if (was.trip || was.guard_trip)
        text_append(l->notes, sizeof l->notes,
                    "a protection had shut the feed; shown as it would make water\n");
}

static void note(struct along_look *l, bool so, const char *words)
{
    if (so)
        text_append(l->notes, sizeof l->notes, "%s\n", words);
}

/* Whether a value of health is that of a mode which says it exactly. */
static bool is_named(size_t offset, double value)
{
    for (const struct fault_mode *f = fault_modes; f->part; f++)
        if (f->offset == offset && f->value == value)
            return true;
    return false;
}

static void note_faults(struct along_look *l)
{
    for (const struct fault_mode *f = fault_modes; f->part; f++) {
        double value;
        memcpy(&value, (const char *)&l->settings + f->offset, sizeof value);
        const bool part = isnan(f->value) && !is_named(f->offset, value);
        if (value != f->sound && (value == f->value || part))
            text_append(l->notes, sizeof l->notes, "fault: %s %s\n", f->part, f->mode);
    }
}

static void note_outside(struct along_look *l, const struct plant *p)
{
    note(l, !(l->settings.supply > 0.0), "the supply is cut off");
    note(l, !l->settings.hand_valve, "the hand valve in the feed is shut");
    note(l, !l->settings.power,
         plant_has_solenoid(p) ? "the power is off: the feed solenoid is shut"
                               : "the power is off");
    note_faults(l);
}

/* ---- points -----------------------------------------------------------------------------------
 */

static void see_water(struct along_point *q, const struct plant *p)
{
    const double *c = q->water->c;
    const struct speciation s = water_speciate(c, 25.0);
    for (int f = 0; f < ALONG_FORMS; f++)
        q->form[f] = along_forms[f].of < SPECIES_COUNT ? c[along_forms[f].of] : 0.0;
    q->form[FORM_H] = s.h;
    q->form[FORM_OH] = s.oh;
    q->form[FORM_NH4] = fmax(c[AMMONIUM] - s.nh3, 0.0);
    q->form[FORM_NH3] = s.nh3;
    q->form[FORM_HCO3] = s.hco3;
    q->form[FORM_CO3] = s.co3;
    q->form[FORM_CO2] = s.co2;
    q->form[FORM_H3SIO4] = s.h3sio4;
    q->ph = s.ph;
    q->ph_here = water_speciate(c, q->water->temperature).ph;
    q->conductivity = water_conductivity(c, &s);
    q->shown = water_meter(&p->meter, q->conductivity);
}

static void add(struct along_look *l, const struct plant *p, struct along_point q)
{
    q.stage = q.kind == ALONG_STAGE ? q.stage : -1;
    q.flow = q.water->volume / q.water->duration;
    see_water(&q, p);
    l->point[l->points++] = q;
}

static void add_membrane(struct along_look *l, const struct plant *p)
{
    const struct plant_pressures *at = &l->trace.pressure;
    const struct parcel *drain = &l->trace.drain, *came = &l->trace.water[p->membrane];
    add(l, p,
        (struct along_point){ ALONG_CONCENTRATE, .name = "concentrate",
                              .title = "end of the feed channel", .pressure = at->concentrate,
                              .lost = at->before[p->membrane] - at->concentrate, .came = came,
                              .water = drain });
    add(l, p,
        (struct along_point){ ALONG_DRAIN, .name = "drain", .title = "behind the restrictor",
                              .lost = at->concentrate, .came = drain, .water = drain });
}

static void see_points(struct along_look *l, const struct plant *p)
{
    const struct plant_trace *t = &l->trace;
    const double *before = t->pressure.before, supply = t->signals.supply_pressure;
    const struct parcel *water = t->water;
    add(l, p,
        (struct along_point){ ALONG_FEED, .name = "feed", .title = "in front of the feed valve",
                              .pressure = supply, .came = water, .water = water });
    add(l, p,
        (struct along_point){ ALONG_VALVE, .name = "feed valve", .title = "feed valve",
                              .pressure = before[0], .lost = supply - before[0], .came = water,
                              .water = water });
    for (int k = 0; k < p->stages; k++) {
        add(l, p,
            (struct along_point){
                ALONG_STAGE, .stage = k, .name = p->train[k].name, .title = p->train[k].kind->title,
                .pressure = before[k + 1], .lost = before[k] - before[k + 1], .came = &water[k],
                .water = &water[k + 1], .drained = k == p->membrane ? &t->drain : NULL });
        if (k == p->membrane)
            add_membrane(l, p);
    }
    const struct parcel *product = &water[p->stages];
    add(l, p,
        (struct along_point){ ALONG_INLET, .name = "tank inlet", .title = "line to the tank",
                              .lost = before[p->stages], .came = product, .water = product });
}

/* ---- all of it --------------------------------------------------------------------------------
 */

static enum status look(struct along *a, int n, char words[ALONG_TEXT])
{
    struct along_look *l = a->look[n];
    char when[SCREEN_CELL];
    call_for_water(l);
    note_outside(l, &a->plant);
    if (plant_trace(&a->plant, &l->settings, &l->before, &l->after, &l->trace)) {
        note(l, l->trace.signals.starts > 0.0,
             "the shut-off valve opens and shuts again and again; shown is what flows while it "
             "stands open");
        see_points(l, &a->plant);
        return STATUS_OK;
    }
    text_append(words, ALONG_TEXT, "%s: no water is made", along_when(a, n, when, sizeof when));
    const char *line = l->notes;
    for (const char *end; (end = strchr(line, '\n')); line = end + 1)
        text_append(words, ALONG_TEXT, "%s%.*s", line == l->notes ? ": " : "; ", (int)(end - line),
                    line);
    text_append(words, ALONG_TEXT, "%s; choose another moment",
                l->notes[0] ? "" : ": the pressure is not enough");
    return STATUS_SCENARIO;
}

/* With a bladder the line would end in it; the swing of the day is no matter of wear. */
static void set_plant(struct along *a)
{
    a->plant = a->scenario->plant;
    a->plant.has_bladder = false;
    a->plant.feed.temperature.daily = a->plant.feed.pressure.daily = 0.0;
}

enum status along_find(struct along *a, const struct scenario *s, const struct along_options *o,
                       char words[ALONG_TEXT])
{
    words[0] = '\0';
    *a = (struct along){ .scenario = s };
    set_plant(a);
    struct run_saved *saved = malloc(sizeof *saved);
    if (!saved)
        return STATUS_MEMORY;
    enum status status = STATUS_OK;
    for (int n = 0; n < o->looks; n++) {
        a->look[n] = calloc(1, sizeof *a->look[n]);
        if (!a->look[n])
            status = STATUS_MEMORY;
        else
            a->look[n]->t = o->at[n];
    }
    if (status == STATUS_OK)
        status = run_to(a, o, saved, words);
    free(saved);
    a->looks = o->looks;
    for (int n = 0; n < o->looks && status == STATUS_OK; n++)
        status = look(a, n, words);
    return status;
}

void along_free(struct along *a)
{
    for (int n = 0; n < ALONG_LOOKS; n++) {
        free(a->look[n]);
        a->look[n] = NULL;
    }
}

/* ---- what follows -----------------------------------------------------------------------------
 */

double along_mass(enum along_form f)
{
    const struct along_form_row *row = &along_forms[f];
    return row->molar_mass > 0.0 ? row->molar_mass : species[row->of].molar_mass;
}

double along_taken(const struct along_point *p, enum species i)
{
    const double in = p->came->c[i], out = p->water->c[i];
    return in > 0.0 ? 1.0 - out / in : NAN;
}

struct along_balance along_balance(const struct along_point *p, enum species i)
{
    const double per = 1.0 / p->water->duration; /* all of one minute */
    struct along_balance b = { .came = per * p->came->c[i] * p->came->volume,
                               .on = per * p->water->c[i] * p->water->volume };
    if (p->drained)
        b.drained = per * p->drained->c[i] * p->drained->volume;
    b.stayed = b.came - b.on - b.drained;
    return b;
}

bool along_changes(const struct along_point *p)
{
    return p->kind == ALONG_FEED || p->kind == ALONG_CONCENTRATE ||
           (p->kind == ALONG_STAGE && memcmp(p->came->c, p->water->c, sizeof p->came->c) != 0);
}

char *along_when(const struct along *a, int n, char *out, size_t size)
{
    char day[SCREEN_CELL];
    out[0] = '\0';
    text_append(out, size, "%s",
                screen_day(a->look[n]->t / DAY, a->scenario->plan.start_date, day));
    return out;
}
