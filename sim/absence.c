/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * absence: see absence.h.  A cartridge ends by the rules that the scenario has for it (rule.h);
 * where it has none that holds, by what `check` goes by: clogged, oxidant at the membrane, a
 * reading over its limit, judged by the litre.
 */
#include "absence.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "channel.h"
#include "rule.h"

static const double LOOK = 3600.0;        /* s between two looks at the cartridges */
static const double PRODUCT_USUAL = 1e-3; /* kg/m3 on the meter, common practice */
static const double LOW = 0.95;           /* of its volume: the served water is short */
static const double BAND = 1e-9;          /* m3, no water is wanted in vain below it */
static const double PASSED_LEAST = 1e-6;  /* m3 of feed: less passes no judgement */

double absence_limit(const struct plan *plan)
{
    return isnan(plan->limits.product) ? PRODUCT_USUAL : plan->limits.product;
}

bool absence_judges(const struct plant *p, const struct plan *plan)
{
    bool resin = false;
    for (int k = 0; k < p->stages; k++)
        resin = resin || p->train[k].kind == &stage_resin;
    return resin || !isnan(plan->limits.product);
}

/* ---- which cartridge, and why -----------------------------------------------------------------
 */

struct watch {
    struct absence *out; /* NULL: a year, whose ends are listed */
    struct absence_year *year;
    struct first first;
    double from, looked; /* s */
    double fed;          /* m3 of feed when the water was last judged */
    bool unseen;         /* water has passed since the last look at the cartridges */
    double renewed[STAGES_MAX];
    bool ended[STAGES_MAX];
    double x0[X_COUNT];
};

static bool is_last(const struct plant *p, int stage, const struct stage_kind *kind, int before)
{
    int last = -1;
    for (int k = 0; k < before; k++)
        if (p->train[k].kind == kind)
            last = k;
    return stage == last;
}

static double passed(const struct watch *w, enum passed which)
{
    return isnan(w->first.day[which]) ? INFINITY : 86400.0 * w->first.day[which];
}

/* Without a limit and without a resin bed there is nothing that should keep it pure. */
static double product_bad(const struct watch *w, const struct plant *p, const struct plan *plan)
{
    if (!absence_judges(p, plan))
        return INFINITY;
    return passed(w, isnan(plan->limits.product) ? PASSED_PRODUCT_USUAL : PASSED_PRODUCT_LIMIT);
}

static const char *usual_end(const struct watch *w, const struct glimpse *g, int stage)
{
    const struct plant *p = g->plant;
    const struct stage *s = &p->train[stage];
    const int front = p->membrane >= 0 ? p->membrane : p->stages;
    if (s->kind == &stage_sediment && s->kind->used(&s->params, &g->state->stage[stage]) >= 1.0)
        return "clogged with sediment";
    if (p->membrane >= 0 && is_last(p, stage, &stage_carbon, front) &&
        isfinite(passed(w, PASSED_CHLORINE)))
        return "lets 0.1 mg/L of oxidant through to the membrane";
    if (is_last(p, stage, &stage_resin, p->stages) && isfinite(product_bad(w, g->plant, g->plan)))
        return isnan(g->plan->limits.product) ? "the product reading comes to 1 ppm"
                                              : "the product reading comes to its limit";
    if (stage == p->membrane && isfinite(passed(w, PASSED_PERMEATE_LIMIT)))
        return "the permeate reading comes to its limit";
    return NULL;
}

static void note(struct watch *w, double t, int stage, const char *why)
{
    w->ended[stage] = true;
    if (w->out) {
        w->out->ends[stage] = fmax(t - w->from, 0.0);
        w->out->why[stage] = why;
    } else if (w->year->dues < ABSENCE_DUES) {
        w->year->due[w->year->dues++] = (struct absence_due){ stage, why, t };
    }
}

static void look(struct watch *w, const struct glimpse *g)
{
    const struct rule_look l = { g->plant, g->plan, g->state, w->renewed };
    w->looked = g->t;
    w->unseen = false;
    for (int k = 0; k < g->plant->stages; k++) {
        if (w->ended[k])
            continue;
        const char *why = rule_due(&l, k);
        if (!why)
            why = usual_end(w, g, k);
        if (why)
            note(w, g->t, k, why);
    }
}

/* A fresh cartridge is judged afresh, and so is the water behind it. */
static void fresh(struct watch *w, const struct glimpse *g)
{
    for (int k = 0; k < g->plant->stages; k++)
        if (strcmp(g->plant->train[k].name, g->change->part) == 0) {
            w->renewed[k] = g->t;
            w->ended[k] = false;
        }
    first_init(&w->first);
    w->first.permeate_seen = g->x[X_PRODUCT] + g->x[X_DIVERTED];
    w->first.product_seen = g->plant->has_bladder ? g->x[X_DELIVERED] : g->x[X_PRODUCT];
}

/* ---- the water --------------------------------------------------------------------------------
 */

static void earliest(double *when, bool now, double t)
{
    if (now && isinf(*when))
        *when = t;
}

static void see_water(struct watch *w, const struct glimpse *g)
{
    struct absence *a = w->out;
    const struct settings *s = g->settings;
    const double t = g->t - w->from;
    const bool over = (s->tank_brim && g->signals->spill_flow > 0.0) ||
                      (s->basin_brim && g->signals->basin_spill_flow > 0.0);
    const bool wanting = g->x[X_UNMET] > w->x0[X_UNMET] + BAND || (s->tank_dry && s->topoff_call);
    earliest(&a->spill, over, t);
    earliest(&a->dry, wanting, t);
    if (g->plant->has_basin) {
        earliest(&a->low, g->x[X_BASIN] < LOW * g->plant->basin.volume, t);
        const double salinity = channel_salinity(g);
        a->salinity_least = fmin(a->salinity_least, salinity);
        a->salinity_most = fmax(a->salinity_most, salinity);
    }
    a->made = g->x[X_PRODUCT] - w->x0[X_PRODUCT];
    a->bad = fmax(product_bad(w, g->plant, g->plan) - w->from, 0.0);
    a->silica = fmax(passed(w, PASSED_SILICA) - w->from, 0.0);
}

/* While nothing passes, what the readings show is of the water before: then nothing is judged. */
static void see(void *self, const struct glimpse *g)
{
    struct watch *w = self;
    if (g->moment == MOMENT_CHANGE && strcmp(g->change->kind, "replace") == 0)
        fresh(w, g);
    if (g->moment == MOMENT_PARCEL && g->x[X_FEED] > w->fed + PASSED_LEAST) {
        first_see(&w->first, g);
        w->fed = g->x[X_FEED];
        w->unseen = true;
    }
    const bool due = g->moment == MOMENT_PARCEL && g->t >= w->looked + LOOK;
    if (w->unseen && (due || g->moment == MOMENT_END))
        look(w, g);
    if (w->out)
        see_water(w, g);
}

/* ---- one absence ------------------------------------------------------------------------------
 */

static struct absence unhurt(double left)
{
    struct absence a = { .left = left,
                         .bad = INFINITY,
                         .silica = INFINITY,
                         .dry = INFINITY,
                         .low = INFINITY,
                         .spill = INFINITY,
                         .salinity_least = INFINITY,
                         .salinity_most = 0.0 };
    for (int k = 0; k < STAGES_MAX; k++)
        a.ends[k] = INFINITY;
    return a;
}

static void begin(struct watch *w, const struct plant *p, const struct run_saved *from)
{
    const double *x = from->state.x;
    first_init(&w->first);
    w->first.permeate_seen = x[X_PRODUCT] + x[X_DIVERTED];
    w->first.product_seen = p->has_bladder ? x[X_DELIVERED] : x[X_PRODUCT];
    w->fed = x[X_FEED];
    memcpy(w->renewed, from->renewed, sizeof w->renewed);
    memcpy(w->x0, x, sizeof w->x0);
}

static enum status stay(const struct absence_case *c, const struct plant *p,
                        const struct run_saved *from, struct absence *out)
{
    struct watch w = { .out = out, .from = out->left, .looked = -INFINITY };
    struct plan *plan = malloc(sizeof *plan);
    if (!plan)
        return STATUS_MEMORY;
    begin(&w, p, from);
    door_plan(c->plan, out->left + c->span, plan);
    const struct observer o = { see, &w };
    const struct run_options options = { .observers = &o, .observer_count = 1 };
    struct run *r = run_create(p, plan, &options);
    enum status status = STATUS_MEMORY;
    if (r) {
        run_restore_for(r, from);
        status = run_until(r, plan->length);
        run_end(r);
    }
    run_free(r);
    free(plan);
    return status;
}

enum status absence_run(const struct absence_case *c, struct absence *out)
{
    struct run_saved *from = malloc(sizeof *from);
    if (!from)
        return STATUS_MEMORY;
    *from = *c->from;
    struct plant p = *c->plant;
    door_plant(c->leaving.deeds, &p);
    double t = from->state.t;
    enum status status = door_leave(&c->leaving, &p, c->plan, &t, from);
    *out = unhurt(t);
    if (status == STATUS_OK)
        status = stay(c, &p, from, out);
    free(from);
    return status;
}

int absence_ends(const struct absence *a, int stages)
{
    int n = 0;
    for (int k = 0; k < stages; k++)
        n += isfinite(a->ends[k]);
    return n;
}

/* ---- the year before --------------------------------------------------------------------------
 */

/* Faults and cuts are tried apart; a person's replacements and a change of the feed stay. */
static void normal(struct plan *plan)
{
    int n = 0;
    for (int i = 0; i < plan->events; i++) {
        const struct event e = plan->event[i];
        if (e.kind == EVENT_REPLACE || e.kind == EVENT_FEED_CHANGE)
            plan->event[n++] = e;
    }
    plan->events = n;
    plan->record = 1e12;
}

static enum status through(struct absence_year *y, struct run *r, const struct plan *plan)
{
    TRY(run_begin(r));
    for (int i = 0; i < y->stops; i++) {
        TRY(run_pause_at(r, fmin(y->stop[i], plan->length)));
        run_save(r, &y->saved[i]);
    }
    TRY(run_until(r, plan->length));
    run_end(r);
    return STATUS_OK;
}

enum status absence_year(struct absence_year *y, const struct plant *p, const struct plan *plan)
{
    struct plan *own = malloc(sizeof *own);
    if (!own)
        return STATUS_MEMORY;
    *own = *plan;
    normal(own);
    struct watch w = { .year = y };
    first_init(&w.first);
    const struct observer o = { see, &w };
    const struct run_options options = { .observers = &o, .observer_count = 1, .stop = y->stopped };
    struct run *r = run_create(p, own, &options);
    const enum status status = r ? through(y, r, own) : STATUS_MEMORY;
    run_free(r);
    free(own);
    return status;
}
