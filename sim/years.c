/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * years: see years.h.  The courses that a plant may be in, and the count of many years;
 * one year is followed in years_live.c.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "calm.h"
#include "cases.h"
#include "memory.h"
#include "years_inner.h"

/* ---- courses ----------------------------------------------------------------------------------
 */

static void fail_at_start(const struct years *y, int hazard, struct plan *plan)
{
    plan->events += hazard_events(&y->risks.hazard[hazard], 0.0, &plan->event[plan->events]);
}

/* A fault that leaves the course as it is acts on nothing along it, and so may come at any moment.
 * One that nobody sees, and acts, has a course of its own, if that stays dry; but not where beds
 * are followed, which would take much memory. */
static void try_fault(void *self, long i)
{
    struct years *y = self;
    const struct hazard *hazard = &y->risks.hazard[i];
    if (hazard->kind != HAZARD_FAULT)
        return;
    struct plan plan = y->plan;
    fail_at_start(y, (int)i, &plan);
    y->silent[i] = course_same(y->normal, &y->plant, &plan);
    if (y->silent[i] || (y->shows[i] && y->notices) || !y->plant.water_only)
        return;
    struct course *c = NULL;
    if (course_create(&y->plant, &y->plan, hazard, &c) == STATUS_OK && course_dry(c))
        y->with[i] = c;
    else
        course_free(c);
}

/* Those that are silent alone must be so together. */
static bool find_courses(struct years *y)
{
    if (!campaign_all(y->campaign, y->risks.hazards, try_fault, y))
        return false;
    struct plan plan = y->plan;
    for (int i = 0; i < y->risks.hazards; i++)
        if (y->silent[i])
            fail_at_start(y, i, &plan);
    if (plan.events > 1 && !course_same(y->normal, &y->plant, &plan))
        memset(y->silent, 0, sizeof y->silent);
    return true;
}

/* ---- making -----------------------------------------------------------------------------------
 */

enum status years_create(const struct campaign *c, const struct plant *p, const struct plan *plan,
                         const struct years_options *options, struct years **out)
{
    struct years *y = calloc(1, sizeof *y);
    if (!y)
        return STATUS_MEMORY;
    y->campaign = c;
    y->full = y->plant = *p;
    y->plan = *plan;
    calm_cycle(&y->plant, &y->plan);
    y->plan.length = 2.0 * COURSE_YEAR; /* of the pieces, each its own */
    y->mending = plan->risk.mending;
    history_risks(&y->risks, p, plan, 1.0 / campaign_cycle(c));
    memcpy(y->shows, options->shows, sizeof y->shows);
    const struct damage *normal = campaign_normal(c);
    y->notices = isinf(normal->dry) && isinf(normal->low);
    enum status status = course_create(&y->plant, &y->plan, NULL, &y->normal);
    if (status == STATUS_OK && !find_courses(y))
        status = STATUS_INTERRUPTED;
    if (status == STATUS_OK)
        *out = y;
    else
        years_free(y);
    return status;
}

void years_free(struct years *y)
{
    for (int i = 0; y && i < HAZARDS_MAX; i++)
        course_free(y->with[i]);
    if (y)
        course_free(y->normal);
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
    struct years_way way = { .name = "years", .seed = seed };
    for (int i = 0; i < HAZARDS_MAX; i++)
        way.likelier.times[i] = 1.0;
    return way;
}

/* What came of a year, without gaps. */
struct kept {
    double status, tank, served, dry, floor, weight;
};

struct many {
    const struct years *years;
    const struct years_way *way;
    struct kept *kept;
};

static void follow_one(void *self, long k)
{
    struct many *m = self;
    const struct year y = years_try(m->years, m->way, k);
    if (y.status == STATUS_MEMORY)
        memory_ran_out(); /* no result to be kept */
    m->kept[k] = (struct kept){ y.status, y.tank, y.served, y.dry, y.floor, y.weight };
}

static enum status count(const struct kept kept[], long n, struct years_found *out)
{
    for (long k = 0; k < n; k++) {
        const struct kept *one = &kept[k];
        TRY((enum status)one->status);
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
    struct many m = { y, way, calloc((size_t)n + 1, sizeof *m.kept) };
    if (!m.kept)
        return STATUS_MEMORY;
    const struct cases_list all = {
        .name = way->name, .count = n, .size = sizeof *m.kept, .results = m.kept
    };
    enum status status = cases_all(y->campaign, &all, follow_one, &m);
    if (status == STATUS_OK && !cases_partial(campaign_asked(y->campaign)->cases))
        status = count(m.kept, n, out);
    free(m.kept);
    return status;
}
