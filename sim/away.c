/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * away: see away.h.  Water and faults come from the campaign of `overflow` with the span of the
 * absence; a measure is the same campaign, gone on from the moment at which the door closes.
 */
#include "away.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "channel.h"

static const double DAY = 86400.0;           /* s */
static const double YEAR = 365.25 * 86400.0; /* s, of chance.h */
static const double LONG = 90.0;             /* days that a reserve is followed at least */
static const double TWICE = 2.0;             /* the span, if that is longer */

/* ---- without any fault ------------------------------------------------------------------------
 */

struct look {
    struct away_stay *stay;
    double made; /* m3 made before */
};

static void see(void *self, const struct glimpse *g)
{
    const struct look *l = self;
    struct away_stay *s = l->stay;
    s->made = g->x[X_PRODUCT] - l->made;
    s->tank_least = fmin(s->tank_least, g->signals->tank_level);
    if (!g->plant->has_basin)
        return;
    s->served_least = fmin(s->served_least, basin_level(&g->plant->basin, g->x[X_BASIN]));
    s->salinity_most = fmax(s->salinity_most, channel_salinity(g));
}

static struct away_stay stay_fresh(void)
{
    return (struct away_stay){ .damage = campaign_unhurt(),
                               .tank_least = INFINITY,
                               .served_least = INFINITY };
}

struct stays {
    const struct campaign *campaign;
    struct away_stay stay[MOMENTS_MAX];
};

static void work(void *self, long i)
{
    struct stays *s = self;
    const struct trial t = { .moment = (int)i };
    const struct moment_saved *m = campaign_moment(s->campaign, (int)i);
    s->stay[i] = stay_fresh();
    struct look l = { &s->stay[i], m->saved.state.x[X_PRODUCT] };
    const struct observer o = { see, &l };
    s->stay[i].damage = campaign_try(s->campaign, &t, &o);
}

static enum status try_stays(struct campaign *c, double span, struct stays *out)
{
    out->campaign = c;
    campaign_set_span(c, span);
    if (!campaign_all(c, campaign_moments(c), work, out))
        return STATUS_INTERRUPTED;
    for (int i = 0; i < campaign_moments(c); i++)
        TRY(out->stay[i].damage.status);
    return STATUS_OK;
}

static double short_after(const struct damage *d)
{
    return sets_begins(d, HARM_DRY);
}

static double wrong_after(const struct damage *d)
{
    return fmin(short_after(d), fmin(d->spill, d->basin_spill));
}

static bool is_worse(const struct away_stay *s, const struct away_stay *than)
{
    const double a = wrong_after(&s->damage), b = wrong_after(&than->damage);
    return a != b ? a < b : s->tank_least < than->tank_least;
}

static void worsen(struct away_stay *w, const struct away_stay *s)
{
    struct damage *d = &w->damage;
    d->spill = fmin(d->spill, s->damage.spill);
    d->basin_spill = fmin(d->basin_spill, s->damage.basin_spill);
    d->overflow = fmin(d->overflow, s->damage.overflow);
    d->dry = fmin(d->dry, s->damage.dry);
    d->low = fmin(d->low, s->damage.low);
    d->floor = fmax(d->floor, s->damage.floor);
    d->salinity = fmin(d->salinity, s->damage.salinity);
    w->tank_least = fmin(w->tank_least, s->tank_least);
    w->served_least = fmin(w->served_least, s->served_least);
    w->salinity_most = fmax(w->salinity_most, s->salinity_most);
    w->made = fmax(w->made, s->made);
}

static void sum_up_stays(const struct stays *s, struct away_measure *m)
{
    m->worst = stay_fresh();
    for (int i = 0; i < campaign_moments(s->campaign); i++) {
        worsen(&m->worst, &s->stay[i]);
        if (is_worse(&s->stay[i], &s->stay[m->worst_moment]))
            m->worst_moment = i;
    }
}

static void sum_up_reserve(const struct stays *s, struct away_measure *m)
{
    m->lasts_least = INFINITY;
    m->lasts_most = 0.0;
    for (int i = 0; i < campaign_moments(s->campaign); i++) {
        const double lasts = short_after(&s->stay[i].damage);
        if (lasts < m->lasts_least) {
            m->lasts_least = lasts;
            m->lasts_moment = i;
        }
        m->lasts_most = fmax(m->lasts_most, lasts);
    }
}

static bool salt_within(const struct away_stay *s, const struct limits *l)
{
    const bool low = isfinite(s->damage.salinity) && s->damage.salinity < l->salinity_low;
    return !low && !(s->salinity_most > l->salinity_high);
}

static enum status try_without_fault(struct away *a, struct campaign *c, struct away_measure *m)
{
    struct stays *s = malloc(sizeof *s);
    if (!s)
        return STATUS_MEMORY;
    enum status status = try_stays(c, a->horizon, s);
    if (status == STATUS_OK) {
        sum_up_reserve(s, m);
        status = try_stays(c, a->span, s);
    }
    if (status == STATUS_OK) {
        sum_up_stays(s, m);
        m->holds = isinf(wrong_after(&m->worst.damage)) &&
                   salt_within(&m->worst, &a->scenario->plan.limits);
    }
    free(s);
    return status;
}

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
    enum status status = try_without_fault(a, c, m);
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
    TRY(try_without_fault(a, a->overflow.campaign, m));
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

/* ---- the whole chemistry ----------------------------------------------------------------------
 */

/* The moment within the scenario's own time from which most is made, or 0. */
static double season(struct away *a, struct stays *s)
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

static enum status choose_stops(struct away *a, double leaving)
{
    struct absence_year *y = &a->year;
    y->stops = 1;
    y->stop[0] = leaving;
    if (a->dated)
        return STATUS_OK;
    struct stays *s = malloc(sizeof *s);
    if (!s)
        return STATUS_MEMORY;
    const enum status status = try_stays(a->overflow.campaign, a->span, s);
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

static enum status try_cases(struct away *a)
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
static void judge_cartridges(struct away *a)
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
    TRY(choose_stops(a, options->leaving));
    TRY(try_cases(a));
    judge_cartridges(a);
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
    bool broken = w->damage.floor > l->spill || !salt_within(w, l) ||
                  (isfinite(w->damage.dry) && a->span - w->damage.dry > l->dry);
    for (int i = 0; i < a->cases; i++)
        broken = broken || (!isnan(l->product) && isfinite(a->cases_of[i].as_is.bad)) ||
                 (a->scenario->plant.membrane >= 0 && !isnan(l->permeate) &&
                  isfinite(a->cases_of[i].as_is.ends[a->scenario->plant.membrane]));
    return broken;
}
