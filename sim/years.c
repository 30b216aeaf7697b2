/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * years: see years.h.  The normal year, which faults are silent in it, and the count of many years;
 * one year is followed in years_live.c.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "years_inner.h"

static const double HOLD = 21600.0;   /* s that the feed's conditions are held, as in a campaign */
static const double TOLERANCE = 1e-5; /* of the integrator, as there */

const int years_volume[YEARS_VOLUMES] = { X_TANK, X_BASIN, X_BLADDER };

/* ---- the normal year --------------------------------------------------------------------------
 */

static void see_range(void *self, const struct glimpse *g)
{
    struct years *y = self;
    for (int v = 0; v < YEARS_VOLUMES; v++) {
        y->low[v] = fmin(y->low[v], g->x[years_volume[v]]);
        y->high[v] = fmax(y->high[v], g->x[years_volume[v]]);
    }
}

static enum status keep(struct years *y)
{
    for (int v = 0; v < YEARS_VOLUMES; v++) {
        y->low[v] = INFINITY;
        y->high[v] = -INFINITY;
    }
    const struct observer o = { see_range, y };
    const struct run_options options = { .observers = &o, .observer_count = 1 };
    struct run *r = run_create(&y->plant, &y->plan, &options);
    if (!r)
        return STATUS_MEMORY;
    enum status status = run_begin(r);
    while (y->kept < YEARS_KEPT && status == STATUS_OK) {
        run_save(r, &y->saved[y->kept++]);
        status = run_until(r, y->kept * YEARS_EVERY);
    }
    run_free(r);
    return status;
}

/* ---- silent faults ----------------------------------------------------------------------------
 */

/* Whether the year with these faults from its first moment on has the very course of the normal
 * one.  They act on nothing anywhere along it, then, and so may come at any moment. */
static bool same_course(const struct years *y, const struct plan *plan)
{
    static const struct run_options none = { 0 };
    struct run_saved *s = malloc(sizeof *s);
    struct run *r = s ? run_create(&y->plant, plan, &none) : NULL;
    bool same = r && run_begin(r) == STATUS_OK;
    for (int i = 1; same && i < y->kept; i++) {
        same = run_until(r, i * YEARS_EVERY) == STATUS_OK;
        run_save(r, s);
        same = same && s->state.t == y->saved[i].state.t &&
               memcmp(s->state.x, y->saved[i].state.x, sizeof s->state.x) == 0 &&
               control_tripped(&s->control, &s->settings) ==
                   control_tripped(&y->saved[i].control, &y->saved[i].settings);
    }
    run_free(r);
    free(s);
    return same;
}

static void fail_at_start(const struct years *y, int hazard, struct plan *plan)
{
    plan->events += hazard_events(&y->risks.hazard[hazard], 0.0, &plan->event[plan->events]);
}

static void try_silence(void *self, long i)
{
    struct years *y = self;
    if (y->risks.hazard[i].kind != HAZARD_FAULT)
        return;
    struct plan plan = y->plan;
    fail_at_start(y, (int)i, &plan);
    y->silent[i] = same_course(y, &plan);
}

/* Those that are silent alone must be so together. */
static void find_silent(struct years *y)
{
    campaign_all(y->campaign, y->risks.hazards, try_silence, y);
    struct plan plan = y->plan;
    for (int i = 0; i < y->risks.hazards; i++)
        if (y->silent[i])
            fail_at_start(y, i, &plan);
    if (plan.events > 1 && !same_course(y, &plan))
        memset(y->silent, 0, sizeof y->silent);
}

/* ---- making -----------------------------------------------------------------------------------
 */

static void undisturbed(struct plan *plan)
{
    plan->events = 0;
    plan->visits.every = INFINITY;
    plan->record = 1e12;
    plan->tolerance = fmax(plan->tolerance, TOLERANCE);
    plan->length = 2.0 * YEARS_LENGTH; /* of the pieces, each its own */
}

enum status years_create(const struct campaign *c, const struct plant *p, const struct plan *plan,
                         const struct years_options *options, struct years **out)
{
    struct years *y = calloc(1, sizeof *y);
    if (!y)
        return STATUS_MEMORY;
    y->campaign = c;
    y->full = y->plant = *p;
    y->plant.water_only = true;
    y->plant.feed.hold = HOLD;
    y->plan = *plan;
    undisturbed(&y->plan);
    y->mending = plan->risk.mending;
    history_risks(&y->risks, p, plan, 1.0 / campaign_cycle(c));
    memcpy(y->shows, options->shows, sizeof y->shows);
    const struct damage *normal = campaign_normal(c);
    y->notices = isinf(normal->dry) && isinf(normal->low);
    y->saved = calloc(YEARS_KEPT, sizeof *y->saved);
    const enum status status = y->saved ? keep(y) : STATUS_MEMORY;
    if (status != STATUS_OK) {
        years_free(y);
        return status;
    }
    find_silent(y);
    *out = y;
    return STATUS_OK;
}

void years_free(struct years *y)
{
    if (y)
        free(y->saved);
    free(y);
}

const struct risks *years_risks(const struct years *y)
{
    return &y->risks;
}

bool years_silent(const struct years *y, int hazard)
{
    return y->silent[hazard];
}

/* ---- many -------------------------------------------------------------------------------------
 */

struct years_way years_plain(uint64_t seed)
{
    struct years_way way = { .seed = seed };
    for (int i = 0; i < HAZARDS_MAX; i++)
        way.likelier.times[i] = 1.0;
    return way;
}

struct many {
    const struct years *years;
    const struct years_way *way;
    struct year *year;
};

static void follow_one(void *self, long k)
{
    struct many *m = self;
    m->year[k] = years_try(m->years, m->way, k);
}

static enum status count(const struct year year[], long n, struct years_found *out)
{
    for (long k = 0; k < n; k++) {
        const struct year *one = &year[k];
        TRY(one->status);
        const bool spills = isfinite(one->tank) || isfinite(one->served);
        out->spills += spills;
        out->tank += isfinite(one->tank);
        out->served += isfinite(one->served);
        out->dry += isfinite(one->dry);
        out->floor += one->floor;
        odds_sample_add(&out->weighted, spills, one->weight);
    }
    if (out->spills > 0)
        out->floor /= (double)out->spills;
    return STATUS_OK;
}

enum status years_find(const struct years *y, const struct years_way *way, long n,
                       struct years_found *out)
{
    *out = (struct years_found){ .years = n };
    struct many m = { y, way, calloc((size_t)n + 1, sizeof *m.year) };
    if (!m.year)
        return STATUS_MEMORY;
    enum status status = STATUS_INTERRUPTED;
    if (campaign_all(y->campaign, n, follow_one, &m))
        status = count(m.year, n, out);
    free(m.year);
    return status;
}
