/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * campaign: see campaign.h.  Every trial is independent of all others: what comes out does not
 * depend on how many threads there are or who takes which.
 */
#include "campaign_inner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "calm.h"
#include "crew.h"

static const double DAY = 86400.0; /* s */
static const double YEAR = 365.0;  /* days */
static const double LOW = 0.95;    /* of its volume, from which on the served water is short */
static const double LATE = 1.0;    /* s from a moment to its first strike */

/* ---- what came of a run -----------------------------------------------------------------------
 */

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

void campaign_see(void *self, const struct glimpse *g)
{
    struct campaign_watch *w = self;
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

struct campaign_watch campaign_watch(double t, const double x[])
{
    struct campaign_watch w = { .from = t };
    w.damage = campaign_unhurt();
    if (x)
        memcpy(w.x0, x, sizeof w.x0);
    return w;
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
    enum status status = campaign_scout(c);
    if (status == STATUS_OK) {
        campaign_choose(c);
        status = campaign_keep(c);
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
    struct campaign_watch w = campaign_watch(m->t, m->saved.state.x);
    w.also = observer;
    const struct observer o = { campaign_see, &w };
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
