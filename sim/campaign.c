/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * campaign: see campaign.h.  Every trial is independent of all others: what comes out does not
 * depend on how many threads there are or who takes which.
 */
#include "campaign.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "calm.h"
#include "crew.h"

static const double DAY = 86400.0; /* s */
static const double YEAR = 365.0;  /* days */
static const double BESIDE = 2.0;  /* s before or after a change */
static const double LOW = 0.95;    /* of its volume, from which on the served water is short */
static const double LATE = 1.0;    /* s from a moment to its first strike */

enum { LOOKS_MAX = 20000, AROUND = 8, SPREAD = 4 };

/* A change of the normal cycle, as a candidate. */
struct look {
    double t;
    char kind[24];
    double fills; /* s until the tank runs over if nothing stops the water */
    double lasts; /* s until it is empty if none comes */
    double basin; /* m3 of room in the served water */
};

struct campaign {
    struct plant plant;
    struct plan plan;
    struct campaign_options options;
    struct damage normal;
    double cycle;
    int moments;
    struct moment_saved moment[MOMENTS_MAX];
    int looks;
    struct look look[LOOKS_MAX];
};

/* ---- what came of a run -----------------------------------------------------------------------
 */

struct watch {
    struct damage damage;
    double from;        /* s */
    double x0[X_COUNT]; /* at the moment */
    const struct observer *also;
};

static void first(double *when, bool now, double t)
{
    if (now && isinf(*when))
        *when = t;
}

static double salinity_of(const struct glimpse *g)
{
    const struct basin *b = &g->plant->basin;
    if (!g->plant->has_basin || !(b->salinity > 0.0) || !(g->x[X_BASIN] > 0.0))
        return INFINITY;
    const double density = water_sea_density(b->salinity, b->water.mean);
    return 1e3 * g->state->basin.amount[SALT] / (density * g->x[X_BASIN]);
}

static void see(void *self, const struct glimpse *g)
{
    struct watch *w = self;
    struct damage *d = &w->damage;
    const double t = g->t - w->from;
    const struct settings *s = g->settings;
    const double spilled = g->x[X_SPILL] - w->x0[X_SPILL];
    const double leak = g->plant->fill.leak_volume;
    first(&d->spill, s->tank_brim && g->signals->spill_flow > 0.0, t);
    first(&d->basin_spill, s->basin_brim && g->signals->basin_spill_flow > 0.0, t);
    first(&d->overflow, s->overflow_running, t);
    first(&d->dry, g->x[X_UNMET] > w->x0[X_UNMET] + 1e-9 || (s->tank_dry && s->topoff_call), t);
    first(&d->low, g->plant->has_basin && g->x[X_BASIN] < LOW * g->plant->basin.volume, t);
    first(&d->sensed, spilled > 0.0 && spilled >= leak, t);
    d->highest = fmax(d->highest, g->signals->tank_level);
    d->salinity = fmin(d->salinity, salinity_of(g));
    d->spilled = spilled;
    d->basin_spilled = g->x[X_BASIN_SPILL] - w->x0[X_BASIN_SPILL];
    d->overflowed = g->x[X_OVERFLOW] - w->x0[X_OVERFLOW];
    d->unmet = g->x[X_UNMET] - w->x0[X_UNMET];
    const double pan = g->plant->fill.drip_pan ? g->plant->fill.pan_volume : 0.0;
    d->floor = fmax(spilled - pan, 0.0) + d->basin_spilled;
    if (w->also)
        w->also->see(w->also->self, g);
}

struct damage campaign_unhurt(void)
{
    return (struct damage){ .spill = INFINITY,
                            .basin_spill = INFINITY,
                            .overflow = INFINITY,
                            .dry = INFINITY,
                            .low = INFINITY,
                            .sensed = INFINITY,
                            .salinity = INFINITY };
}

static struct watch watch_from(double t, const double x[])
{
    struct watch w = { .from = t };
    w.damage = campaign_unhurt();
    if (x)
        memcpy(w.x0, x, sizeof w.x0);
    return w;
}

/* ---- the normal cycle -------------------------------------------------------------------------
 */

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

static void choose_all(struct campaign *c)
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

/* Runs the same year again and keeps the chosen moments. */
static enum status keep_moments(struct campaign *c)
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

static enum status scout(struct campaign *c)
{
    struct scout s = { c, 0 };
    const struct observer also = { scout_see, &s };
    struct watch w = watch_from(0.0, NULL);
    w.also = &also;
    const struct observer o = { see, &w };
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

enum status campaign_create(const struct plant *p, const struct plan *plan,
                            const struct campaign_options *options, struct campaign **out)
{
    struct campaign *c = calloc(1, sizeof *c);
    if (!c)
        return STATUS_MEMORY;
    c->plant = *p;
    c->plan = *plan;
    calm_cycle(&c->plant, &c->plan);
    c->plan.length = YEAR * DAY;
    c->options = *options;
    enum status status = scout(c);
    if (status == STATUS_OK) {
        choose_all(c);
        status = keep_moments(c);
    }
    if (status == STATUS_OK)
        *out = c;
    else
        free(c);
    return status;
}

void campaign_free(struct campaign *c)
{
    free(c);
}

int campaign_moments(const struct campaign *c)
{
    return c->moments;
}

const struct moment_saved *campaign_moment(const struct campaign *c, int i)
{
    return &c->moment[i];
}

const struct campaign_options *campaign_asked(const struct campaign *c)
{
    return &c->options;
}

double campaign_span(const struct campaign *c)
{
    return c->options.span;
}

double campaign_cycle(const struct campaign *c)
{
    return c->cycle;
}

const struct damage *campaign_normal(const struct campaign *c)
{
    return &c->normal;
}

/* ---- before leaving ----------------------------------------------------------------------------
 */

enum status campaign_change(const struct campaign *c, const struct campaign_change *how,
                            struct campaign **out)
{
    struct campaign *changed = malloc(sizeof *changed);
    if (!changed)
        return STATUS_MEMORY;
    *changed = *c;
    how->plant(how->self, &changed->plant);
    enum status status = STATUS_OK;
    for (int i = 0; i < changed->moments && status == STATUS_OK; i++)
        status = how->moment(how->self, &changed->plant, &changed->plan, &changed->moment[i]);
    if (status == STATUS_OK)
        *out = changed;
    else
        free(changed);
    return status;
}

void campaign_set_span(struct campaign *c, double span)
{
    c->options.span = span;
}

/* ---- one trial --------------------------------------------------------------------------------
 */

static void insert(struct plan *plan, const struct event *e)
{
    int i = plan->events++;
    for (; i > 0 && plan->event[i - 1].at > e->at; i--)
        plan->event[i] = plan->event[i - 1];
    plan->event[i] = *e;
}

static void plan_trial(const struct campaign *c, const struct trial *t, struct plan *plan)
{
    const double from = c->moment[t->moment].t;
    *plan = c->plan;
    plan->events = 0;
    plan->draws = 0;
    plan->visits.every = INFINITY;
    plan->length = from + c->options.span;
    if (t->look > 0.0)
        plan->record = t->look;
    for (int i = 0; i < t->count; i++) {
        struct event events[HAZARD_EVENTS];
        const double at = from + LATE + t->strike[i].after;
        const int n = hazard_events(t->strike[i].hazard, at, events);
        for (int k = 0; k < n; k++)
            insert(plan, &events[k]);
    }
}

struct damage campaign_try(const struct campaign *c, const struct trial *t,
                           const struct observer *observer)
{
    const struct moment_saved *m = &c->moment[t->moment];
    struct watch w = watch_from(m->t, m->saved.state.x);
    w.also = observer;
    const struct observer o = { see, &w };
    const struct run_options options = { .observers = &o, .observer_count = 1 };
    struct plan *plan = malloc(sizeof *plan);
    struct run *r = NULL;
    if (plan) {
        plan_trial(c, t, plan);
        r = run_create(&c->plant, plan, &options);
    }
    w.damage.status = STATUS_MEMORY;
    if (r) {
        run_restore_for(r, &m->saved);
        w.damage.status = run_until(r, plan->length);
        run_end(r);
    }
    run_free(r);
    free(plan);
    return w.damage;
}

/* ---- all of them ------------------------------------------------------------------------------
 */

bool campaign_all(const struct campaign *c, long n, void (*work)(void *self, long i), void *self)
{
    const struct crew crew = { .jobs = c->options.jobs,
                               .progress = c->options.progress,
                               .progress_self = c->options.progress_self,
                               .stop = c->options.stop };
    return crew_all(&crew, n, work, self);
}
