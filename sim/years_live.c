/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * years_live: one year.  On a known course a plant is not followed: the run is taken up from a
 * kept state of it before something happens, and left when no cut lasts, nobody is awaited and its
 * volumes are those of a course again: the normal one, or that of the one fault that stands and
 * acts.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "stream.h"
#include "years_inner.h"

static const double DAY = 86400.0;  /* s, between looks at a run; longer than any step */
static const double CALM = 86400.0; /* s after the last thing that happened */
static const double LOW = 0.95;     /* of its volume, from which on the served water is short */

enum { EVENTS_AT_ONCE = HAZARDS_MAX + 2 }; /* that one happening may bring */

/* What stands at a moment. */
struct standing {
    bool failed[HAZARDS_MAX];
    int cuts;
};

/* What the present run has shown; s of the life, INFINITY: not yet. */
struct seen {
    double origin; /* s of the life at the run's zero */
    double tank, served, dry, wanting;
    double unmet; /* m3 that draws did not get, so far */
    double floor; /* m3 */
};

struct life {
    const struct years *y;
    const struct years_way *way;
    struct history history;
    int next;    /* happenings before it have happened */
    int planned; /* those before it are in the plan of the run */
    struct standing standing;
    double last;      /* s, when something happened last */
    double again;     /* s, when to go on after water on the floor; NAN: no need */
    double comes;     /* s, when somebody comes to mend; INFINITY: nobody is called */
    double from, end; /* s, the year that counts */
    double dry;       /* s, first in that year */
    struct plan plan;
    struct run_options options;
    struct observer observer;
    struct run *run;
    struct run_saved saved;
    struct seen seen;
};

/* ---- what is seen -----------------------------------------------------------------------------
 */

static void first(double *when, bool now, double t)
{
    if (now && isinf(*when))
        *when = t;
}

static void see(void *self, const struct glimpse *g)
{
    struct life *l = self;
    struct seen *s = &l->seen;
    const struct plant *p = g->plant;
    const double t = g->t + s->origin;
    const bool dry =
        g->x[X_UNMET] > s->unmet + 1e-9 || (g->settings->tank_dry && g->settings->topoff_call);
    s->unmet = g->x[X_UNMET];
    const bool low = p->has_basin && g->x[X_BASIN] < LOW * p->basin.volume;
    first(&s->tank, g->settings->tank_brim && g->signals->spill_flow > 0.0, t);
    first(&s->served, g->settings->basin_brim && g->signals->basin_spill_flow > 0.0, t);
    first(&s->dry, dry, t);
    first(&s->wanting, dry || low, t);
    first(&l->dry, dry && t >= l->from && t < l->end, t);
    const double pan = p->fill.drip_pan ? p->fill.pan_volume : 0.0;
    s->floor = fmax(g->x[X_SPILL] - pan, 0.0) + g->x[X_BASIN_SPILL];
}

static double drop(const struct life *l)
{
    return fmin(l->seen.tank, l->seen.served);
}

static double now(const struct life *l)
{
    return run_time(l->run) + l->seen.origin;
}

/* ---- what happens -----------------------------------------------------------------------------
 */

static void put(struct plan *plan, const struct event *e)
{
    if (plan)
        plan->event[plan->events++] = *e;
}

/* A part fails in one way at a time. */
static bool can_fail(const struct risks *r, const struct standing *s, int hazard)
{
    for (int i = 0; i < r->hazards; i++)
        if (s->failed[i] && !hazard_together(&r->hazard[i], &r->hazard[hazard]))
            return false;
    return true;
}

/* Who comes because water is short mends what makes it so; if that is not to be seen, everything.
 */
static void mend(const struct years *y, const struct happening *what, double t, struct standing *s,
                 struct plan *plan)
{
    const struct risks *r = &y->risks;
    bool shown = false, any = what->kind == HAPPENS_MENDING;
    for (int i = 0; i < r->hazards; i++)
        shown = shown || (s->failed[i] && y->shows[i] && !r->stands[i]);
    const bool all = what->kind == HAPPENS_INSPECTION || !shown;
    for (int i = 0; i < r->hazards; i++) {
        if (!s->failed[i] || r->stands[i] || !(all || y->shows[i]))
            continue;
        s->failed[i] = false;
        any = true;
        put(plan, &(struct event){ t, EVENT_MEND, r->hazard[i].row, 0.0 });
    }
    if (any)
        put(plan, &(struct event){ .at = t, .kind = EVENT_RESET });
}

/* Goes on by one happening; its events go into the plan of a run whose zero is at `origin`. */
static void happen(const struct years *y, const struct happening *what, struct standing *s,
                   double origin, struct plan *plan)
{
    struct event e[HAZARD_EVENTS] = { { 0 } };
    const double t = what->at - origin;
    if (what->hazard >= 0)
        hazard_events(&y->risks.hazard[what->hazard], t, e);
    switch (what->kind) {
    case HAPPENS_FAIL:
        if (!can_fail(&y->risks, s, what->hazard))
            return;
        s->failed[what->hazard] = true;
        put(plan, &e[0]);
        return;
    case HAPPENS_CUT:
        s->cuts++;
        put(plan, &e[0]);
        return;
    case HAPPENS_BACK:
        s->cuts -= s->cuts > 0;
        e[1].at = t;
        put(plan, &e[1]);
        return;
    case HAPPENS_INSPECTION:
    case HAPPENS_MENDING:
        mend(y, what, t, s, plan);
        return;
    }
}

static const struct happening *upcoming(const struct life *l)
{
    return l->next < l->history.count ? &l->history.happening[l->next] : NULL;
}

static void catch_up(struct life *l, double t)
{
    for (const struct happening *w; l->next < l->planned && (w = upcoming(l))->at <= t; l->next++) {
        happen(l->y, w, &l->standing, 0.0, NULL);
        l->last = w->at;
    }
}

/* ---- the plan of a run ------------------------------------------------------------------------
 */

/* All that is to come, as far as a plan has room. */
static void plan_ahead(struct life *l)
{
    struct standing s = l->standing;
    const struct history *h = &l->history;
    for (l->planned = l->next; l->planned < h->count; l->planned++) {
        if (l->plan.events + EVENTS_AT_ONCE > EVENTS_MAX)
            return;
        happen(l->y, &h->happening[l->planned], &s, l->seen.origin, &l->plan);
    }
}

static void plan_anew(struct life *l)
{
    l->plan.events = 0;
    plan_ahead(l);
    run_save(l->run, &l->saved);
    run_restore_for(l->run, &l->saved);
}

static void empty_plan(struct life *l, double origin)
{
    l->plan = l->y->plan;
    l->plan.length = l->end + campaign_span(l->y->campaign) - origin;
    l->seen = (struct seen){ origin, INFINITY, INFINITY, INFINITY, INFINITY, 0.0, 0.0 };
    l->comes = INFINITY;
}

static enum status make_run(struct life *l)
{
    run_free(l->run);
    l->run = run_create(l->way->chemistry ? &l->y->full : &l->y->plant, &l->plan, &l->options);
    return l->run ? STATUS_OK : STATUS_MEMORY;
}

/* The course that a plant with these faults is in: the normal one, or that of the one fault that
 * stands; NULL if there is none.  Silent faults are known to be so along the normal course only. */
static const struct course *course_of(const struct life *l)
{
    const struct years *y = l->y;
    const struct course *c = y->normal;
    int standing = 0;
    for (int i = 0; i < y->risks.hazards; i++)
        if (l->standing.failed[i]) {
            standing++;
            if (!y->silent[i])
                c = y->with[i];
        }
    const bool known = c == y->normal || standing == 1;
    return known && l->standing.cuts == 0 ? c : NULL;
}

/* From the last kept state before t on, with what stands. */
static enum status take_up(struct life *l, double t)
{
    const struct years *y = l->y;
    const struct course *c = course_of(l);
    const double origin = COURSE_YEAR * floor(t / COURSE_YEAR);
    const double from = course_take_up(c ? c : y->normal, t - origin, &l->saved);
    empty_plan(l, origin);
    l->last = t;
    for (int i = 0; i < y->risks.hazards; i++)
        if (l->standing.failed[i]) {
            const struct hazard *h = &y->risks.hazard[i];
            put(&l->plan, &(struct event){ from, EVENT_FAULT, h->row, h->amount });
        }
    plan_ahead(l);
    l->seen.unmet = l->saved.state.x[X_UNMET];
    TRY(make_run(l));
    run_restore_for(l->run, &l->saved);
    return STATUS_OK;
}

static enum status begin_whole(struct life *l)
{
    empty_plan(l, 0.0);
    plan_ahead(l);
    TRY(make_run(l));
    return run_begin(l->run);
}

/* ---- following --------------------------------------------------------------------------------
 */

static bool acts(const struct life *l)
{
    bool any = l->standing.cuts > 0;
    for (int i = 0; i < l->y->risks.hazards; i++)
        any = any || (l->standing.failed[i] && !l->y->silent[i]);
    return any;
}

/* Whether the run may be left. */
static bool on_course(struct life *l)
{
    const struct course *c = course_of(l);
    if (l->way->whole || l->way->chemistry || !c || isfinite(l->comes) || isfinite(drop(l)) ||
        now(l) < l->last + CALM)
        return false;
    run_save(l->run, &l->saved);
    return course_holds(c, fmod(now(l), COURSE_YEAR), &l->saved);
}

/* A person who is there sees that water is short, and somebody comes. */
static enum status notice(struct life *l)
{
    if (now(l) >= l->comes)
        l->comes = l->seen.wanting = INFINITY;
    if (!l->y->notices || isfinite(l->comes) || isinf(l->seen.wanting) || isfinite(drop(l)))
        return STATUS_OK;
    l->comes = fmax(now(l), l->seen.wanting + l->y->mending);
    const struct happening mending = { l->comes, HAPPENS_MENDING, -1, -1 };
    if (!history_add(&l->history, &mending))
        return STATUS_MEMORY;
    plan_anew(l);
    return STATUS_OK;
}

static double until(const struct life *l)
{
    return drop(l) < l->end ? drop(l) + campaign_span(l->y->campaign) : l->end;
}

/* To what the plan had no more room for, if that is near; else for a day. */
static enum status go_on(struct life *l)
{
    const double goal = fmin(now(l) + DAY, until(l));
    const bool full = l->planned < l->history.count && l->history.happening[l->planned].at < goal;
    const double beyond = full ? l->history.happening[l->planned].at : INFINITY;
    TRY(full ? run_pause_at(l->run, beyond - l->seen.origin)
             : run_until(l->run, goal - l->seen.origin));
    catch_up(l, now(l));
    if (full)
        plan_anew(l);
    return STATUS_OK;
}

/* Until the plant is on a known course, or the year is over, or long enough after the first drop.
 */
static enum status follow(struct life *l)
{
    while (now(l) < until(l) && !(drop(l) < l->from)) {
        TRY(go_on(l));
        if (on_course(l))
            return STATUS_OK;
        TRY(notice(l));
    }
    run_end(l->run);
    return STATUS_OK;
}

/* After water on the floor in a year before the one that counts, all is mended. */
static void start_sound(struct life *l)
{
    for (int i = 0; i < l->y->risks.hazards; i++)
        l->standing.failed[i] = l->standing.failed[i] && l->y->risks.stands[i];
    l->standing.cuts = 0;
    l->again = acts(l) ? drop(l) + 2.0 * DAY : NAN; /* what stands for good acts on */
}

/* When something acts on the water next; INFINITY: not within the year. */
static double next_act(struct life *l)
{
    const double again = l->again;
    l->again = NAN;
    if (again < l->end)
        return again;
    for (const struct happening *w; (w = upcoming(l)) && w->at < l->end; l->next++) {
        const bool silent = w->kind == HAPPENS_BACK ||
                            (!acts(l) && (w->kind == HAPPENS_INSPECTION ||
                                          (w->kind == HAPPENS_FAIL && l->y->silent[w->hazard])));
        if (!silent)
            return w->at;
        happen(l->y, w, &l->standing, 0.0, NULL);
        l->last = w->at;
    }
    return INFINITY;
}

static enum status live(struct life *l)
{
    if (l->way->whole || l->way->chemistry) {
        TRY(begin_whole(l));
        return follow(l);
    }
    for (double t; isfinite(t = next_act(l));) {
        TRY(take_up(l, t));
        TRY(follow(l));
        if (drop(l) < l->from)
            start_sound(l);
        else if (isfinite(drop(l)) || now(l) >= l->end)
            return STATUS_OK;
    }
    return STATUS_OK;
}

/* Which year since the test of all parts it is: the first, unless tests are rarer than once a year.
 */
static double start_of(const struct years *y, const struct years_way *way, long k)
{
    struct stream s = stream_of(way->seed, (uint64_t)k, UINT64_MAX);
    const double years = fmax(1.0, round(y->risks.inspected / COURSE_YEAR));
    return COURSE_YEAR * floor(stream_uniform(&s) * years);
}

static void tell(const struct life *l, struct year *out)
{
    out->dry = l->dry - l->from;
    if (!(drop(l) >= l->from && drop(l) < l->end))
        return;
    out->tank = l->seen.tank - l->from;
    out->served = l->seen.served - l->from;
    out->floor = l->seen.floor;
    out->weight = history_weight(&l->history, &l->y->risks, &l->way->likelier, drop(l));
}

struct year years_try(const struct years *y, const struct years_way *way, long k)
{
    struct year out = { .status = STATUS_MEMORY,
                        .tank = INFINITY,
                        .served = INFINITY,
                        .dry = INFINITY,
                        .weight = 1.0 };
    struct life *l = calloc(1, sizeof *l);
    if (!l)
        return out;
    l->y = y;
    l->way = way;
    l->from = start_of(y, way, k);
    l->end = l->from + COURSE_YEAR;
    l->dry = l->last = INFINITY;
    l->again = NAN;
    l->observer = (struct observer){ see, l };
    l->options = (struct run_options){ .observers = &l->observer, .observer_count = 1 };
    l->seen.tank = l->seen.served = INFINITY;
    if (history_draw(&l->history, &y->risks, &way->likelier, way->seed, (uint64_t)k, l->end))
        out.status = live(l);
    tell(l, &out);
    run_free(l->run);
    history_free(&l->history);
    free(l);
    return out;
}
