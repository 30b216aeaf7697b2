/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * campaign_moments: the moments of a normal year from which trials begin: the year is run once to
 * see its changes, the worst of them are chosen, and it is run again to keep them.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "campaign_inner.h"

static const double DAY = 86400.0; /* s */
static const double BESIDE = 2.0;  /* s before or after a change */

enum { AROUND = 8, SPREAD = 4 };

static void look_at(struct campaign *c, const struct glimpse *g, const char *kind)
{
    if (c->looks == LOOKS_MAX)
        return;
    const struct plant *p = g->plant;
    const struct signals sig = plant_filling(p, g->state);
    const double x = g->x[X_TANK];
    const double drained = fmax(g->signals->evaporation, 1e-12);
    const double top = p->tank.overflow.kind == OVERFLOW_NONE
                           ? tank_full(&p->tank)
                           : tank_volume(&p->tank, p->tank.overflow.lip);
    struct look *l = &c->look[c->looks++];
    *l = (struct look){
        .t = g->t,
        .fills = sig.product_flow > 0.0 ? (top - x) / sig.product_flow : INFINITY,
        .lasts = (x - tank_volume(&p->tank, p->tank.outlet)) / drained,
        .basin = p->has_basin ? basin_rim_volume(&p->basin) - g->x[X_BASIN] : INFINITY,
    };
    snprintf(l->kind, sizeof l->kind, "%s", kind);
}

struct scout {
    struct campaign *campaign;
    long fills;
};

static void scout_see(void *self, const struct glimpse *g)
{
    struct scout *s = self;
    if (g->moment == MOMENT_DAY)
        look_at(s->campaign, g, "midnight");
    if (g->moment != MOMENT_CHANGE)
        return;
    s->fills += strcmp(g->change->kind, "fill starts") == 0;
    look_at(s->campaign, g, g->change->kind);
}

/* ---- choosing moments -------------------------------------------------------------------------
 */

static bool is_chosen(const struct campaign *c, double t)
{
    for (int i = 0; i < c->moments; i++)
        if (fabs(c->moment[i].t - t) < 0.5)
            return true;
    return false;
}

static void choose(struct campaign *c, double t, const char *side, const char *kind)
{
    if (c->moments == MOMENTS_MAX || is_chosen(c, t) || t <= 0.0 || t > c->plan.length)
        return;
    struct moment_saved *m = &c->moment[c->moments++];
    m->t = t;
    snprintf(m->words, sizeof m->words, "just %s \"%s\"", side, kind);
}

static void choose_beside(struct campaign *c, const struct look *l)
{
    choose(c, l->t - BESIDE, "before", l->kind);
    choose(c, l->t + BESIDE, "after", l->kind);
}

/* The look with the least of a measure, at least `apart` from the one to shun; NULL if there is
 * none. */
static const struct look *least(const struct campaign *c, double (*measure)(const struct look *),
                                const struct look *shun, double apart)
{
    const struct look *best = NULL;
    for (int i = 0; i < c->looks; i++) {
        const struct look *l = &c->look[i];
        const bool room = l->t > BESIDE && l->t + BESIDE < c->plan.length;
        if (!room || !isfinite(measure(l)) || (shun && fabs(l->t - shun->t) < apart))
            continue;
        if (!best || measure(l) < measure(best))
            best = l;
    }
    return best;
}

static double fills(const struct look *l)
{
    return l->fills;
}

static double lasts(const struct look *l)
{
    return l->lasts;
}

static double basin_room(const struct look *l)
{
    return l->basin;
}

/* Each kind of change once, the nearest to a moment. */
static void choose_around(struct campaign *c, const struct look *centre)
{
    const struct look *kinds[AROUND] = { NULL };
    int n = 0;
    for (int i = 0; i < c->looks; i++) {
        const struct look *l = &c->look[i];
        int k = 0;
        while (k < n && strcmp(kinds[k]->kind, l->kind) != 0)
            k++;
        if (k == AROUND)
            continue;
        if (k == n)
            kinds[n++] = l;
        else if (fabs(l->t - centre->t) < fabs(kinds[k]->t - centre->t))
            kinds[k] = l;
    }
    for (int k = 0; k < n; k++)
        choose_beside(c, kinds[k]);
}

void campaign_choose(struct campaign *c)
{
    double (*const measures[])(const struct look *) = { fills, lasts, basin_room };
    const struct look *centre = NULL;
    for (size_t m = 0; m < sizeof measures / sizeof measures[0]; m++) {
        const struct look *worst = least(c, measures[m], NULL, 0.0);
        if (!worst)
            continue;
        choose_beside(c, worst);
        if (m == 0)
            centre = worst;
        const struct look *next = least(c, measures[m], worst, 10.0 * DAY);
        if (next)
            choose_beside(c, next);
    }
    if (centre)
        choose_around(c, centre);
    const double last = c->plan.length - DAY;
    for (int i = 1; i <= SPREAD; i++)
        choose(c, last * i / SPREAD - 0.1 * DAY * i, "at", "some time");
}

static int by_time(const void *a, const void *b)
{
    const double x = ((const struct moment_saved *)a)->t, y = ((const struct moment_saved *)b)->t;
    return (x > y) - (x < y);
}

/* While nobody is there nobody draws, looks or replaces. */
static void leave_alone(struct run_saved *s)
{
    double *due = s->agenda.due;
    for (int i = 0; i < DRAWS_MAX; i++)
        due[SLOT_DRAW_START + i] = INFINITY;
    for (int k = 0; k < STAGES_MAX; k++)
        due[SLOT_RENEW + k] = INFINITY;
    due[SLOT_VISIT] = INFINITY;
}

/* New parts let most through: as they are where the water is followed alone. */
static void renew_parts(const struct plant *p, struct state *s)
{
    for (int k = 0; k < p->stages; k++)
        p->train[k].kind->start(&p->train[k].params, &s->stage[k]);
}

enum status campaign_keep(struct campaign *c)
{
    static const struct run_options silent = { 0 };
    qsort(c->moment, (size_t)c->moments, sizeof c->moment[0], by_time);
    struct run *r = run_create(&c->plant, &c->plan, &silent);
    if (!r)
        return STATUS_MEMORY;
    enum status status = run_begin(r);
    for (int i = 0; i < c->moments && status == STATUS_OK; i++) {
        status = run_pause_at(r, c->moment[i].t);
        run_save(r, &c->moment[i].saved);
        leave_alone(&c->moment[i].saved);
        if (!c->plant.water_only)
            renew_parts(&c->plant, &c->moment[i].saved.state);
    }
    run_free(r);
    return status;
}

enum status campaign_scout(struct campaign *c)
{
    struct scout s = { c, 0 };
    const struct observer also = { scout_see, &s };
    struct campaign_watch w = campaign_watch(0.0, NULL);
    w.also = &also;
    const struct observer o = { campaign_see, &w };
    const struct run_options options = { .observers = &o,
                                         .observer_count = 1,
                                         .stop = c->options.stop };
    struct run_figures figures;
    char words[RUN_WORDS];
    TRY(run_simulate(&c->plant, &c->plan, &options, &figures, words));
    c->normal = w.damage;
    c->cycle = s.fills > 1 ? c->plan.length / (double)s.fills : DAY;
    return STATUS_OK;
}
