/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * run: see run.h; here is the loop.  Nothing is allocated while stepping.
 */
#include "run_inner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double DAY = 86400.0; /* s */

static const double REACH = 0.95; /* share of the time to the next threshold that a step may take */
static const double PARCEL_REACH = 1.01; /* and of that to the end of a parcel: just past it, */
static const double PARCEL_STEP = 1.0;   /* s, but not by less */

/* Typical size of each state: tolerances are relative to it. */
static const double X_SCALE[X_COUNT] = {
    [X_TANK] = 1e-2,      [X_BASIN] = 1e-2,     [X_FEED] = 1e-1,       [X_DRAIN] = 1e-1,
    [X_PRODUCT] = 1e-2,   [X_OVERFLOW] = 1e-2,  [X_SPILL] = 1e-2,      [X_TOPOFF] = 1e-2,
    [X_DRAWN] = 1e-2,     [X_UNMET] = 1e-2,     [X_EVAPORATED] = 1e-2, [X_BASIN_SPILL] = 1e-2,
    [X_DIVERTED] = 1e-2,  [X_STARTS] = 1e3,     [X_RUNNING] = 1e7,     [X_MAKING] = 1e7,
    [X_ENERGY] = 1e6,     [X_RINSED] = 1e-2,    [X_FLUSHED] = 1e-1,    [X_BLADDER] = 1e-2,
    [X_DELIVERED] = 1e-2, [X_DELIVERING] = 1e7, [X_LEAKED] = 1e-2,     [X_TIME] = 1e7,
};

/* The rates within a step.  One that ends where the feed changes must not see the change, not even
 * at its end: the change counts from the reaction on. */
static void rates(double t, const double x[], double dx[], void *context)
{
    struct run *r = context;
    const double change = r->agenda.due[SLOT_FEED];
    const double seen = t < change ? t : nextafter(change, 0.0);
    plant_evaluate_again(r->plant, &r->settings, &r->state, seen, x, &r->after, dx);
}

/* ---- the loop ---------------------------------------------------------------------------------
 */

/* How far the next step may go: to what is due, nearly to a threshold, to the end of the parcel,
 * and no further than the next row of a log of pressures, between which a dip would hide. */
static double reach(const struct run *r)
{
    const struct sight now = run_sight(r);
    const double limit =
        guard_step_limit(r->control.guard, r->control.guards, r->plant, &now, REACH);
    const double parcel =
        PARCEL_REACH * plant_parcel_left(r->plant, &r->settings, &r->state, &r->before);
    const double step = fmin(limit, fmax(parcel, PARCEL_STEP));
    const double next = fmin(agenda_next(&r->agenda), r->state.t + step);
    return run_watches_pressure(r) ? fmin(next, feed_next_row(&r->plant->feed, r->state.t)) : next;
}

/* Looks for crossings in the step just taken. */
static enum status locate(struct run *r, bool *crossed)
{
    const struct signals end = r->after; /* a search fills `after` anew */
    const double *end_dx = stepper_end_dx(r->stepper);
    const struct guarded_step step = {
        .plant = r->plant,
        .stepper = r->stepper,
        .start = { stepper_start_x(r->stepper), stepper_start_dx(r->stepper), &r->before,
                   r->inlet_rate },
        .end = { r->state.x, end_dx, &end,
                 run_inlet_rate(r, r->state.t, r->state.x, end_dx, &end) },
        .live = &r->after,
    };
    r->inlet_rate = step.end.inlet_rate;
    enum status status;
    *crossed = guard_locate(r->control.guard, r->control.guards, &step, &r->state.t, r->state.x,
                            &status) >= 0;
    return status;
}

/* Takes a step, moves its end back to the earliest crossing, and evaluates the end; *crossed tells
 * whether there was one. */
static enum status step(struct run *r, bool *crossed)
{
    TRY(stepper_step(r->stepper, &r->state.t, r->state.x, reach(r)));
    r->figures.steps++;

    const long calls = stepper_calls(r->stepper);
    TRY(locate(r, crossed));
    /* the step's last call was at its end; a search calls elsewhere */
    if (stepper_calls(r->stepper) == calls)
        memcpy(r->dx, stepper_end_dx(r->stepper), sizeof r->dx);
    else
        rates(r->state.t, r->state.x, r->dx, r);
    return STATUS_OK;
}

/* Whether the reading behind the membrane has come down to where the product may go its way. */
static bool clean_enough(const struct run *r)
{
    const struct plant *p = r->plant;
    return p->meter.factor * r->state.readings.permeate < p->rinse.divert_below;
}

/* The flow is just what it was: no jump, no event, but other equations from here on. */
static bool settle(struct run *r)
{
    const bool settled =
        r->settings.overflow_running && plant_overflow_settled(r->plant, &r->settings, &r->after);
    const bool changed = settled != r->settings.overflow_settled;
    r->settings.overflow_settled = settled;
    return changed;
}

static enum status advance(struct run *r)
{
    bool crossed;
    /* a run timer that is mended may have been due long ago */
    if (agenda_due(&r->agenda, r->state.t) >= 0)
        return run_react(r);
    TRY(step(r, &crossed));
    run_sample(r);
    r->before = r->after;
    const bool due = plant_parcel_due(r->plant, &r->settings, &r->state, &r->after);
    if (due)
        run_carry(r);
    if (due && r->settings.diverting && clean_enough(r)) {
        control_divert_over(&r->control, r->state.t);
        return run_react(r);
    }
    const bool settled = settle(r);
    if (crossed || agenda_due(&r->agenda, r->state.t) >= 0)
        return run_react(r);
    if (due || settled)
        run_restart(r);
    return STATUS_OK;
}

static void start(struct run *r)
{
    settings_init(&r->settings);
    plant_start(r->plant, &r->state);
    run_renew_signals(r);
    const struct sight now = run_sight(r);
    control_start(&r->control, r->plant, &r->settings, &now);
    for (int k = 0; k < r->plant->stages && r->plan->commissioning.at_start; k++)
        run_flush(r, k);
    agenda_init(&r->agenda);
    double *due = r->agenda.due;
    due[SLOT_EVENT] = run_event_due(r);
    due[SLOT_FEED] = feed_next_step(&r->plant->feed, 0.0);
    for (int i = 0; i < r->plan->draws; i++)
        due[SLOT_DRAW_START + i] = r->plan->draw[i].first;
    if (isfinite(r->plan->visits.every))
        due[SLOT_VISIT] = r->plan->visits.every;
    due[SLOT_DAY] = DAY;
    due[SLOT_SNAPSHOT] = 0.0;
    due[SLOT_END] = r->plan->length;
    run_set_timers(r);
    r->reacted = -1.0;
    run_restart(r);
}

enum status run_begin(struct run *r)
{
    start(r);
    run_tell(r, MOMENT_START, 0.0, r->state.x, &r->before, NULL);
    return run_react(r);
}

enum status run_until(struct run *r, double t)
{
    const double end = fmin(t, r->plan->length);
    while (r->state.t < end) {
        if (r->options->stop && *r->options->stop)
            return STATUS_INTERRUPTED;
        TRY(advance(r));
        if (r->options->progress)
            r->options->progress(r->options->progress_self, r->state.t / r->plan->length);
    }
    return STATUS_OK;
}

enum status run_pause_at(struct run *r, double t)
{
    r->agenda.due[SLOT_PAUSE] = t;
    return run_until(r, t);
}

/* At its end a run has carried all; one that stops before keeps what was computed, whole. */
void run_end(struct run *r)
{
    if (r->state.t < r->plan->length)
        run_carry(r);
    run_tell(r, MOMENT_END, r->state.t, r->state.x, &r->before, NULL);
}

/* ---- in pieces --------------------------------------------------------------------------------
 */

struct run *run_create(const struct plant *p, const struct plan *plan,
                       const struct run_options *options)
{
    struct run *r = calloc(1, sizeof *r);
    if (!r)
        return NULL;
    r->plant = p;
    r->plan = plan;
    r->options = options;
    r->stepper = stepper_create(X_COUNT, X_SCALE, plan->tolerance, rates, r);
    if (!r->stepper) {
        free(r);
        return NULL;
    }
    return r;
}

void run_free(struct run *r)
{
    if (!r)
        return;
    stepper_free(r->stepper);
    free(r);
}

struct run_figures run_worked(const struct run *r)
{
    struct run_figures f = r->figures;
    f.calls += stepper_calls(r->stepper); /* beside those of the pieces before */
    return f;
}

double run_time(const struct run *r)
{
    return r->state.t;
}

void run_explain(const struct run *r, enum status status, char words[RUN_WORDS])
{
    words[0] = '\0';
    if (status != STATUS_OK)
        snprintf(words, RUN_WORDS, "%s, at day %.4f", status_words(status), r->state.t / DAY);
}

enum status run_simulate(const struct plant *p, const struct plan *plan,
                         const struct run_options *options, struct run_figures *figures,
                         char words[RUN_WORDS])
{
    words[0] = '\0';
    struct run *r = run_create(p, plan, options);
    if (!r)
        return STATUS_MEMORY;
    enum status status = run_begin(r);
    if (status == STATUS_OK)
        status = run_until(r, plan->length);
    run_end(r);
    run_explain(r, status, words);
    *figures = run_worked(r);
    run_free(r);
    return status;
}
