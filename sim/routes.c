/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * routes: see routes.h.
 */
#include "routes.h"

#include <math.h>

#include "cases.h"

static const double CONFIDENCE = 0.9;
static const double SIDE = 1.645; /* standard errors to either side that hold as much */
static const double FAULTS = 2.0; /* a year, of those that spill, in weighted years */
static const double TIMES_MOST = 100.0;
static const double YEAR = 365.25 * 86400.0; /* s */
static const uint64_t OTHER = 0x5bd1e995;    /* the weighted years are others than the plain ones */

enum { WEIGHTED = 4 }; /* plain years for each weighted one */

static void mark(const struct set *s, bool matters[HAZARDS_MAX])
{
    for (int k = 0; s->tried && sets_spills(s) && k < s->count; k++)
        matters[s->hazard[k]] = true;
}

/* The faults of the smallest sets that spill; where there is none, all. */
static void find_those_that_matter(const struct sets *s, bool matters[HAZARDS_MAX])
{
    bool any = false;
    for (int i = 0; i < s->hazards; i++)
        mark(&s->single[i], matters);
    for (int i = 0; i < s->pairs; i++)
        mark(&s->pair[i], matters);
    for (int i = 0; i < s->triples; i++)
        mark(&s->triple[i], matters);
    for (int i = 0; i < s->hazards; i++)
        any = any || matters[i];
    for (int i = 0; i < s->hazards && !any; i++)
        matters[i] = true;
}

/* More of them, so that a few come in a year; cuts are frequent enough. */
static double draw_more(const struct sets *s, const struct risks *r, struct years_way *way)
{
    bool matters[HAZARDS_MAX] = { false };
    double sum = 0.0;
    find_those_that_matter(s, matters);
    for (int i = 0; i < r->hazards; i++) {
        matters[i] = matters[i] && r->hazard[i].kind == HAZARD_FAULT;
        sum += matters[i] ? YEAR * r->rate[i] : 0.0;
    }
    const double times = fmin(fmax(FAULTS / sum, 1.0), TIMES_MOST);
    for (int i = 0; i < r->hazards; i++)
        way->likelier.times[i] = matters[i] ? times : 1.0;
    return times;
}

static double frequency(double share)
{
    return odds_frequency_of_share(fmin(fmax(share, 0.0), 1.0 - 1e-9));
}

static void reckon(struct routes *r)
{
    const struct years_found *p = &r->plain;
    const struct odds_interval wilson = odds_wilson(p->spills, p->years, CONFIDENCE);
    r->simulated.mean = frequency((double)p->spills / (double)p->years);
    r->simulated.low = frequency(wilson.low);
    r->simulated.high = frequency(wilson.high);
    const struct odds_sample *w = &r->weighted.weighted;
    const double error = w->n > 1 ? odds_sample_error(w) : 0.0;
    r->reckoned.mean = frequency(w->mean);
    r->reckoned.low = frequency(w->mean - SIDE * error);
    r->reckoned.high = frequency(w->mean + SIDE * error);
    r->hits = odds_sample_hits(w);
}

static enum status simulate(struct routes *r, const struct years *y, long years, unsigned long seed)
{
    struct years_way way = years_plain(seed);
    TRY(years_find(y, &way, years, &r->plain));
    /* a part does not know what matters: whoever gathers draws the weighted ones */
    if (cases_partial(campaign_asked(r->found->campaign)->cases))
        return STATUS_OK;
    way.name = "weighted years";
    way.seed = seed ^ OTHER;
    r->times = draw_more(&r->found->sets, years_risks(y), &way);
    TRY(years_find(y, &way, years / WEIGHTED, &r->weighted));
    reckon(r);
    return STATUS_OK;
}

static bool all_zero(const struct risks *r)
{
    bool zero = true;
    for (int i = 0; i < r->hazards; i++)
        zero = zero && !(r->rate[i] > 0.0) && !(r->chance[i] > 0.0);
    return zero;
}

enum status routes_find(struct routes *r, const struct overflow_found *f, long years,
                        unsigned long seed)
{
    *r = (struct routes){ .found = f, .times = 1.0 };
    const struct damage *normal = campaign_normal(f->campaign);
    r->spills_anyway = isfinite(normal->spill) || isfinite(normal->basin_spill);
    if (r->spills_anyway)
        return STATUS_OK;
    struct years_options options = { 0 };
    for (int i = 0; i < f->sets.hazards; i++) {
        const struct damage *d = &f->sets.single[i].worst;
        options.shows[i] = isfinite(d->dry) || isfinite(d->low);
    }
    struct years *y = NULL;
    TRY(years_create(f->campaign, &f->scenario->plant, &f->scenario->plan, &options, &y));
    r->nothing_fails = all_zero(years_risks(y));
    const enum status status = simulate(r, y, years, seed);
    years_free(y);
    return status;
}
