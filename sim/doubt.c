/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * doubt: see doubt.h.  What a scenario gives is changed in the scenario, which is read again; the
 * usual doubts change the plant that comes out, all that belongs together at once, so that charges
 * balance.
 */
#include "doubt.h"

#include <math.h>
#include <string.h>

#include "variant.h"

#define BY_FACTOR(relative)                                                                        \
    {                                                                                              \
        1.0, relative, NAN, NAN, true                                                              \
    }
#define BY_RANGE(low, high)                                                                        \
    {                                                                                              \
        1.0, NAN, low, high, true                                                                  \
    }
#define BY_AMOUNT(sd)                                                                              \
    {                                                                                              \
        0.0, sd, NAN, NAN, false                                                                   \
    }

/* ---- what they act on -------------------------------------------------------------------------
 */

static struct stage *next_of(struct plant *p, const struct stage_kind *kind, int *k)
{
    while (*k < p->stages && p->train[*k].kind != kind)
        (*k)++;
    return *k < p->stages ? &p->train[(*k)++] : NULL;
}

static bool has(const struct scenario *s, const struct stage_kind *kind)
{
    for (int k = 0; k < s->plant.stages; k++)
        if (s->plant.train[k].kind == kind)
            return true;
    return false;
}

static bool always(const struct scenario *s)
{
    (void)s;
    return true;
}

static bool has_resin(const struct scenario *s)
{
    return has(s, &stage_resin);
}

static bool has_membrane(const struct scenario *s)
{
    return s->plant.membrane >= 0;
}

/* A jug test says what the membrane makes. */
static bool has_rated_membrane(const struct scenario *s)
{
    return has_membrane(s) && !reader_noted((struct values *)&s->values, "measured.product");
}

static bool has_carbon_dioxide(const struct scenario *s)
{
    return has_resin(s) && s->completion.co2 > 0.0;
}

static bool has_oxidant(const struct scenario *s)
{
    return s->plant.feed.c[CHLORINE] > 0.0 || s->plant.feed.c[CHLORAMINE] > 0.0;
}

static bool has_carbon(const struct scenario *s)
{
    return has(s, &stage_carbon) && has_oxidant(s);
}

static bool has_solids(const struct scenario *s)
{
    return s->plant.feed.c[SOLIDS] > 0.0;
}

static bool has_sediment(const struct scenario *s)
{
    return has(s, &stage_sediment) && has_solids(s);
}

static bool has_wear(const struct scenario *s)
{
    return has_membrane(s) && has_oxidant(s) &&
           s->plant.train[s->plant.membrane].params.membrane.wear.on;
}

static bool has_need(const struct scenario *s)
{
    return s->plan.draws > 0 || (s->plant.has_basin && s->plant.topoff.kind != TOPOFF_NONE);
}

/* ---- what they do -----------------------------------------------------------------------------
 */

static void minerals(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    for (int i = 0; i < EXCHANGED_COUNT; i++)
        p->feed.c[i] *= by;
}

/* CO2 has no charge, so it may be more or less of it. */
static void carbon_dioxide(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    const double free = water_speciate(p->feed.c, p->feed.temperature.mean).co2;
    p->feed.c[CARBON] += free * (by - 1.0);
}

static void temperature(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    p->feed.temperature.mean += by;
}

static void membrane_flow(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    p->train[p->membrane].params.membrane.water_permeability *= by;
}

static void salt_passage(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    p->train[p->membrane].params.membrane.salt_permeability *= by;
}

static void oxidant_wear(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    struct wear *w = &p->train[p->membrane].params.membrane.wear;
    w->oxidant_doubling *= by;
    w->oxidant_threshold *= by;
}

static void resin_capacity(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    int k = 0;
    for (struct stage *s; (s = next_of(p, &stage_resin, &k));) {
        s->params.resin.cation_capacity *= by;
        s->params.resin.anion_capacity *= by;
    }
}

static void film(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    int k = 0;
    for (struct stage *s; (s = next_of(p, &stage_resin, &k));)
        s->params.resin.film *= by;
}

static void short_path(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    int k = 0;
    for (struct stage *s; (s = next_of(p, &stage_resin, &k));)
        s->params.resin.short_flow = fmin(s->params.resin.short_flow * by, 0.95);
}

static void carbon_capacity(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    int k = 0;
    for (struct stage *s; (s = next_of(p, &stage_carbon, &k));)
        s->params.carbon.capacity *= by;
}

static void sediment_capacity(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    int k = 0;
    for (struct stage *s; (s = next_of(p, &stage_sediment, &k));)
        s->params.sediment.capacity *= by;
}

static void solids(struct plant *p, struct plan *plan, double by)
{
    (void)plan;
    p->feed.c[SOLIDS] *= by;
}

static void need(struct plant *p, struct plan *plan, double by)
{
    p->basin.calibration *= by;
    for (int i = 0; i < plan->draws; i++)
        plan->draw[i].take *= by;
}

/* ---- the usual ones ---------------------------------------------------------------------------
 */

static const struct doubt_usual usual[] = {
    { "carbon dioxide of the feed", "pH good to 0.3: half to twice", "docs/completion.md",
      " feed.pH feed.carbon_dioxide feed.carbon ", NULL, BY_RANGE(0.501187, 1.995262), false,
      has_carbon_dioxide, carbon_dioxide },
    { "minerals of the feed", "sd 10 %", "assumption: a yearly report for one week",
      " feed.calcium feed.sodium feed.hardness feed.meter feed.conductivity "
      "feed.dissolved_solids feed.alkalinity feed.bicarbonate ",
      NULL, BY_FACTOR(0.10), true, always, minerals },
    { "salt passage of the membrane", "2/3 to 3/2", "assumption: 98 % rejected may be 97 or 98.7",
      " salt_permeability rejection ", &stage_membrane, BY_RANGE(0.667, 1.5), false, has_membrane,
      salt_passage },
    { "water flow of the membrane", "85 to 115 %", "scatter within a lot, a maker's note (read)",
      " water_permeability permeate ", &stage_membrane, BY_RANGE(0.85, 1.15), true,
      has_rated_membrane, membrane_flow },
    { "temperature of the feed", "sd 2 K", "assumption: another year, other pipes",
      " feed.coldest feed.warmest ", NULL, BY_AMOUNT(2.0), true, always, temperature },
    { "capacity of the resin", "sd 10 %", "1.0 to 1.4 eq/L of anion resin: common practice",
      " cation_capacity anion_capacity volume ", &stage_resin, BY_FACTOR(0.10), false, has_resin,
      resin_capacity },
    { "uptake by the beads (film)", "4/5 to 5/4", "three correlations differ by 20 %: computed",
      " film bead ", &stage_resin, BY_RANGE(0.8, 1.25), false, has_resin, film },
    { "loose packing of the bed", "half to twice the short path", "assumption", " short_flow ",
      &stage_resin, BY_RANGE(0.5, 2.0), false, has_resin, short_path },
    { "need: evaporation and draws", "sd 15 %",
      "assumption: formulas of evaporation differ by more", " calibration surface take ", NULL,
      BY_FACTOR(0.15), true, has_need, need },
    { "capacity of the carbon", "7/10 to 4 times",
      "a rated life is cautious: 18.9 g, usual range to 350 g", " capacity ", &stage_carbon,
      BY_RANGE(0.7, 4.0), false, has_carbon, carbon_capacity },
    { "capacity for solids", "half to twice", "50 to 200 g, from memory", " capacity ",
      &stage_sediment, BY_RANGE(0.5, 2.0), false, has_sediment, sediment_capacity },
    { "solids of the feed", "half to twice", "assumption", " feed.solids ", NULL,
      BY_RANGE(0.5, 2.0), false, has_solids, solids },
    { "oxidants that the membrane bears", "0.45 to 2.2 times",
      "200 to 1000 mg/L h, trade notes (read)", " oxidant_doubling oxidant_threshold ",
      &stage_membrane, BY_RANGE(0.447, 2.236), false, has_wear, oxidant_wear },
};

/* ---- finding ----------------------------------------------------------------------------------
 */

static void add(struct doubts *d, const struct doubt *one)
{
    if (d->count == DOUBTS_MAX)
        d->left_out++;
    else
        d->list[d->count++] = *one;
}

static bool is_given(const struct value *v)
{
    return !isnan(v->sd) || !isnan(v->low);
}

/* Whether a path ends in one of the keys, at a point between its words. */
static bool among(const char *path, const char *keys)
{
    char last[PATH_LENGTH + 2];
    for (const char *at = path; at; at = strchr(at, '.')) {
        at += *at == '.';
        snprintf(last, sizeof last, " %s ", at);
        if (strstr(keys, last))
            return true;
    }
    return false;
}

/* Whether a path, such as "train.ro.area", is of a stage of that kind; NULL: any path. */
static bool is_of_kind(const struct scenario *s, const char *path, const struct stage_kind *kind)
{
    for (int k = 0; kind && k < s->plant.stages; k++) {
        const char *name = s->plant.train[k].name;
        const size_t train = strlen("train."), length = strlen(name);
        if (strncmp(path, "train.", train) == 0 && strncmp(path + train, name, length) == 0 &&
            path[train + length] == '.')
            return s->plant.train[k].kind == kind;
    }
    return !kind;
}

static bool is_replaced(const struct doubts *d, const struct scenario *s,
                        const struct doubt_usual *u)
{
    for (int i = 0; i < d->count; i++) {
        const struct value *v = d->list[i].given;
        if (v && among(v->path, u->keys) && is_of_kind(s, v->path, u->kind))
            return true;
    }
    return false;
}

void doubts_find(struct doubts *d, const struct scenario *s)
{
    *d = (struct doubts){ 0 };
    for (int i = 0; i < s->values.count; i++) {
        const struct value *v = &s->values.list[i];
        if (is_given(v))
            add(d, &(struct doubt){ .words = v->path,
                                    .given = v,
                                    .spread = { v->si, v->sd, v->low, v->high, v->min >= 0.0 },
                                    .moves_water = true });
    }
    for (size_t i = 0; i < sizeof usual / sizeof usual[0]; i++) {
        const struct doubt_usual *u = &usual[i];
        if (u->matters(s) && !is_replaced(d, s, u))
            add(d, &(struct doubt){ .words = u->words,
                                    .usual = u,
                                    .spread = u->spread,
                                    .moves_water = u->moves_water });
    }
}

/* ---- drawing ----------------------------------------------------------------------------------
 */

static bool reload(const struct doubts *d, const char *file, const char *const sets[],
                   const double u[], struct drawn *out)
{
    struct variant list[DOUBTS_MAX];
    int n = 0;
    for (int i = 0; i < d->count; i++)
        if (d->list[i].given)
            list[n++] =
                (struct variant){ d->list[i].given,
                                  variant_accepted(d->list[i].given,
                                                   sample_value(&d->list[i].spread, u[i])) };
    if (n == 0)
        return true;
    const enum status status = variant_load(file, sets, list, n, &out->scenario);
    out->reloaded = status == STATUS_OK;
    out->unsound = !out->reloaded;
    return status != STATUS_MEMORY;
}

bool doubts_draw(const struct doubts *d, const struct scenario *s, const char *file,
                 const char *const sets[], const double u[], struct drawn *out)
{
    out->reloaded = out->unsound = false;
    if (!reload(d, file, sets, u, out))
        return false;
    const struct scenario *from = out->reloaded ? &out->scenario : s;
    out->plant = from->plant;
    out->plan = from->plan;
    for (int i = 0; i < d->count; i++)
        if (d->list[i].usual)
            d->list[i].usual->apply(&out->plant, &out->plan,
                                    sample_value(&d->list[i].spread, u[i]));
    return true;
}

void doubts_put_back(struct drawn *d)
{
    if (d->reloaded)
        scenario_free(&d->scenario);
    d->reloaded = false;
}
