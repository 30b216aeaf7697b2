/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * away: see away.h.  Water and faults come from the campaign of `overflow` with the span of the
 * absence; a measure is the same campaign, gone on from the moment at which the door closes.
 */
#include "away_inner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double DAY = 86400.0;           /* s */
static const double YEAR = 365.25 * 86400.0; /* s, of chance.h */
static const double LONG = 90.0;             /* days that a reserve is followed at least */
static const double TWICE = 2.0;             /* the span, if that is longer */

/* ---- with faults ------------------------------------------------------------------------------
 */

/* A fault of the time since the last fill may not have shown when one leaves: it counts too. */
static double exposure(const struct away *a)
{
    return a->span + campaign_cycle(a->overflow.campaign);
}

static double chance_of(const struct away *a, double yearly)
{
    return -expm1(-yearly * exposure(a) / YEAR);
}

static struct chance within(const struct away *a, const struct chance *yearly)
{
    return (struct chance){ chance_of(a, yearly->mean), chance_of(a, yearly->low),
                            chance_of(a, yearly->high) };
}

static enum status reckon(const struct away *a, const struct sets *s, unsigned long seed,
                          struct chances *out)
{
    return chance_reckon(out, s, &a->scenario->plan, 1.0 / campaign_cycle(a->overflow.campaign),
                         seed);
}

/* Singles alone, so that measures can be compared; the total of all that was tried beside it. */
static enum status sum_up_faults(struct away *a, struct away_measure *m, unsigned long seed)
{
    struct sets *singles = malloc(sizeof *singles);
    struct chances alone;
    if (!singles)
        return STATUS_MEMORY;
    *singles = *m->sets;
    singles->pairs = singles->triples = 0;
    enum status status = reckon(a, singles, seed, &alone);
    if (status == STATUS_OK) {
        m->single = within(a, &alone.spill);
        m->dry = within(a, &alone.total[HARM_DRY]);
        m->spills = m->dries = 0;
        m->floor = 0.0;
        for (int i = 0; i < alone.rows; i++) {
            m->spills += alone.row[i].harm[HARM_TANK] || alone.row[i].harm[HARM_SERVED];
            m->dries += alone.row[i].harm[HARM_DRY];
            m->floor = fmax(m->floor, alone.row[i].set->worst.floor);
        }
        chance_free(&m->chances);
        status = reckon(a, m->sets, seed, &m->chances);
        m->spill = within(a, &m->chances.spill);
    }
    chance_free(&alone);
    free(singles);
    return status;
}

/* ---- measures ---------------------------------------------------------------------------------
 */

static void unplug(const void *self, struct plant *p)
{
    door_plant(((const struct door *)self)->deeds, p);
}

static enum status close_door(const void *self, const struct plant *p, const struct plan *plan,
                              struct moment_saved *m)
{
    const struct leaving how = { .deeds = ((const struct door *)self)->deeds };
    return door_leave(&how, p, plan, &m->t, &m->saved);
}

static enum status campaign_with(const struct away *a, const struct door *door,
                                 struct campaign **out)
{
    const struct campaign_change change = { unplug, close_door, door };
    return campaign_change(a->overflow.campaign, &change, out);
}

static enum status try_measure(struct away *a, const struct door *door, unsigned long seed)
{
    struct away_measure *m = &a->measure[a->measures];
    struct campaign *c = NULL;
    *m = (struct away_measure){ .door = door };
    m->sets = calloc(1, sizeof *m->sets);
    a->measures++;
    if (!m->sets)
        return STATUS_MEMORY;
    TRY(campaign_with(a, door, &c));
    enum status status = away_try_without_fault(a, c, m);
    if (status == STATUS_OK)
        status = sets_search_singles(m->sets, c, &a->scenario->plant);
    if (status == STATUS_OK)
        status = sum_up_faults(a, m, seed);
    campaign_free(c);
    return status;
}

/* Nothing done: what `overflow` found. */
static enum status try_nothing(struct away *a, unsigned long seed)
{
    struct away_measure *m = &a->measure[a->measures++];
    *m = (struct away_measure){ .door = &door_list[0], .pairs = true };
    m->sets = &a->overflow.sets;
    TRY(away_try_without_fault(a, a->overflow.campaign, m));
    return sum_up_faults(a, m, seed);
}

/* Pairs too, of the one that is chosen. */
static enum status try_pairs(struct away *a, struct away_measure *m, unsigned long seed)
{
    struct campaign *c = NULL;
    if (m->pairs)
        return STATUS_OK;
    TRY(campaign_with(a, m->door, &c));
    campaign_set_span(c, a->span);
    sets_free(m->sets);
    enum status status = sets_search(m->sets, c, &a->scenario->plant, false);
    campaign_free(c);
    if (status == STATUS_OK)
        status = sum_up_faults(a, m, seed);
    m->pairs = true;
    return status;
}

/* What holds comes first, then what spills least often and least; of equals what shuts the supply,
 * for a line that comes off in front of the feed valve; else what lasts longest, else what is done
 * soonest. */
static bool is_better(const struct away_measure *m, const struct away_measure *than)
{
    if (m->holds != than->holds)
        return m->holds;
    if (!m->holds && m->lasts_least != than->lasts_least)
        return m->lasts_least > than->lasts_least;
    if (m->single.mean != than->single.mean)
        return m->single.mean < than->single.mean;
    if (m->floor != than->floor)
        return m->floor < than->floor;
    return (m->door->deeds & DEED_SHUT) && !(than->door->deeds & DEED_SHUT);
}

static enum status try_measures(struct away *a, unsigned long seed)
{
    TRY(try_nothing(a, seed));
    for (int i = 1; i < DOORS; i++)
        if (door_applies(&a->scenario->plant, door_list[i].deeds))
            TRY(try_measure(a, &door_list[i], seed));
    for (int i = 1; i < a->measures; i++)
        if (is_better(&a->measure[i], &a->measure[a->best]))
            a->best = i;
    return try_pairs(a, &a->measure[a->best], seed);
}

/* ---- all of it --------------------------------------------------------------------------------
 */

enum status away_find(struct away *a, const struct scenario *s, const struct away_options *options)
{
    memset(a, 0, sizeof *a);
    a->scenario = s;
    a->span = options->span;
    a->horizon = fmax(LONG * DAY, TWICE * a->span);
    a->assumed = options->assumed;
    a->dated = !isnan(options->leaving);
    a->year.stopped = options->stop;
    const struct overflow_options overflow = { .span = options->span,
                                               .jobs = options->jobs,
                                               .seed = options->seed,
                                               .progress = options->progress,
                                               .progress_self = options->progress_self,
                                               .stop = options->stop };
    TRY(overflow_find(&a->overflow, s, &overflow));
    TRY(try_measures(a, options->seed));
    TRY(away_choose_stops(a, options->leaving));
    TRY(away_try_cases(a));
    away_judge_cartridges(a);
    return STATUS_OK;
}

void away_free(struct away *a)
{
    for (int i = 0; i < a->measures; i++) {
        chance_free(&a->measure[i].chances);
        if (i > 0 && a->measure[i].sets) {
            sets_free(a->measure[i].sets);
            free(a->measure[i].sets);
        }
    }
    overflow_free(&a->overflow);
}

enum away_answer away_answers(const struct away *a)
{
    const struct away_measure *best = &a->measure[a->best];
    if (!best->holds || !a->cured)
        return AWAY_NO;
    return best->door->deeds || a->renew ? AWAY_IF : AWAY_YES;
}

bool away_breaks(const struct away *a)
{
    const struct limits *l = &a->scenario->plan.limits;
    const struct away_stay *w = &a->measure[0].worst;
    bool broken = w->damage.floor > l->spill || !away_salt_within(w, l) ||
                  (isfinite(w->damage.dry) && a->span - w->damage.dry > l->dry);
    for (int i = 0; i < a->cases; i++)
        broken = broken || (!isnan(l->product) && isfinite(a->cases_of[i].as_is.bad)) ||
                 (a->scenario->plant.membrane >= 0 && !isnan(l->permeate) &&
                  isfinite(a->cases_of[i].as_is.ends[a->scenario->plant.membrane]));
    return broken;
}
