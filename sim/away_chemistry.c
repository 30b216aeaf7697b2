/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * away_chemistry: a few absences with the whole chemistry, and which cartridges to renew for them.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "away_inner.h"

/* The moment within the scenario's own time from which most is made, or 0. */
static double season(struct away *a, struct away_stays *s)
{
    const double length = a->scenario->plan.length;
    double most = -1.0, t = 0.0;
    for (int i = 0; i < campaign_moments(s->campaign); i++) {
        const double at = campaign_moment(s->campaign, i)->t;
        if (at <= length && s->stay[i].made > most) {
            most = s->stay[i].made;
            t = at;
            a->seasonal = i;
        }
    }
    return t;
}

enum status away_choose_stops(struct away *a, double leaving)
{
    struct absence_year *y = &a->year;
    y->stops = 1;
    y->stop[0] = leaving;
    if (a->dated)
        return STATUS_OK;
    struct away_stays *s = malloc(sizeof *s);
    if (!s)
        return STATUS_MEMORY;
    const enum status status = away_try_stays(a->overflow.campaign, a->span, s);
    if (status == STATUS_OK) {
        y->stop[0] = season(a, s);
        y->stop[1] = a->scenario->plan.length;
        y->stops = y->stop[1] > y->stop[0] ? 2 : 1;
    }
    free(s);
    return status;
}

static unsigned renewable(const struct plant *p)
{
    unsigned which = 0;
    for (int k = 0; k < p->stages; k++)
        if (p->train[k].kind != &stage_pump)
            which |= 1u << k;
    return which;
}

static unsigned ended(const struct absence *a, int stages)
{
    unsigned which = 0;
    for (int k = 0; k < stages; k++)
        if (isfinite(a->ends[k]))
            which |= 1u << k;
    return which;
}

static enum status run_case(const struct away *a, struct away_case *c, const struct run_saved *from,
                            unsigned all_new)
{
    const struct scenario *s = a->scenario;
    struct absence_case how = { .plant = &s->plant,
                                .plan = &s->plan,
                                .from = from,
                                .leaving = { 0, all_new },
                                .span = a->span };
    TRY(absence_run(&how, &c->as_is));
    how.leaving.deeds = a->measure[a->best].door->deeds;
    TRY(absence_run(&how, &c->best));
    c->renewed = all_new ? 0 : ended(&c->as_is, s->plant.stages);
    if (!c->renewed)
        return STATUS_OK;
    how.leaving = (struct leaving){ 0, c->renewed };
    return absence_run(&how, &c->fresh);
}

enum status away_try_cases(struct away *a)
{
    struct absence_year *y = &a->year;
    TRY(absence_year(y, &a->scenario->plant, &a->scenario->plan));
    for (int i = 0; i < y->stops; i++) {
        struct away_case *c = &a->cases_of[a->cases++];
        c->t = y->saved[i].state.t;
        snprintf(c->words, sizeof c->words, "%s",
                 a->dated ? "that day"
                 : i == 0 ? "worst season"
                          : "last day");
        TRY(run_case(a, c, &y->saved[i], 0));
    }
    struct away_case *c = &a->cases_of[a->cases++];
    c->t = y->saved[0].state.t;
    snprintf(c->words, sizeof c->words, "all parts new");
    return run_case(a, c, &y->saved[0], renewable(&a->scenario->plant));
}

/* What is to be renewed in view of the best measure: with the supply shut nothing passes. */
void away_judge_cartridges(struct away *a)
{
    const int stages = a->scenario->plant.stages;
    a->cured = true;
    for (int i = 0; i < a->cases; i++) {
        const struct away_case *c = &a->cases_of[i];
        const unsigned which = ended(&c->best, stages);
        a->renew |= which;
        if (isfinite(c->best.bad))
            a->cured = a->cured && c->renewed && isinf(c->fresh.bad);
        else if (which)
            a->cured = a->cured && c->renewed && absence_ends(&c->fresh, stages) == 0;
    }
    const struct absence *all_new = &a->cases_of[a->cases - 1].best;
    if (a->cured || isfinite(all_new->bad) || absence_ends(all_new, stages) > 0)
        return;
    a->renew = renewable(&a->scenario->plant); /* the worn membrane behind it all, say */
    a->cured = true;
}
