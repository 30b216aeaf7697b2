/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * run: see run.h.  Nothing is allocated while stepping.
 */
#include "run.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "rule.h"

static const double DAY = 86400.0; /* s */
static const double GLANCE = 10.0; /* s ahead, to see how fast the inlet pressure changes */

static const double REACH = 0.95; /* share of the time to the next threshold that a step may take */
static const double PARCEL_REACH = 1.01; /* and of that to the end of a parcel: just past it, */
static const double PARCEL_STEP = 1.0;   /* s, but not by less */

enum { ROUNDS_MAX = 20, INSTANT_MAX = 200 };

/* Typical size of each state: tolerances are relative to it. */
static const double X_SCALE[X_COUNT] = {
    [X_TANK] = 1e-2,      [X_BASIN] = 1e-2,     [X_FEED] = 1e-1,       [X_DRAIN] = 1e-1,
    [X_PRODUCT] = 1e-2,   [X_OVERFLOW] = 1e-2,  [X_SPILL] = 1e-2,      [X_TOPOFF] = 1e-2,
    [X_DRAWN] = 1e-2,     [X_UNMET] = 1e-2,     [X_EVAPORATED] = 1e-2, [X_BASIN_SPILL] = 1e-2,
    [X_DIVERTED] = 1e-2,  [X_STARTS] = 1e3,     [X_RUNNING] = 1e7,     [X_MAKING] = 1e7,
    [X_ENERGY] = 1e6,     [X_RINSED] = 1e-2,    [X_FLUSHED] = 1e-1,    [X_BLADDER] = 1e-2,
    [X_DELIVERED] = 1e-2, [X_DELIVERING] = 1e7, [X_LEAKED] = 1e-2,     [X_TIME] = 1e7,
};

struct run {
    const struct plant *plant;
    const struct plan *plan;
    const struct run_options *options;
    struct stepper *stepper;
    struct settings settings;
    struct control control;
    struct agenda agenda;
    struct state state;
    struct signals before, after; /* at the start and end of the present step */
    double dx[X_COUNT];           /* rates at the end of the present step */
    double inlet_rate;            /* Pa/s there of the inlet pressure, if a switch watches it */
    int next_event;
    int64_t next_sample;
    int draws_running[DRAWS_MAX]; /* how many times each draw has started */
    int instant;                  /* reactions without time passing */
    double reacted;               /* s, time of the last reaction */
    bool making;                  /* water was being made at the last look */
    double renewed[STAGES_MAX];   /* s, when each cartridge was put in */
    int cuts[CUTS];               /* causes that hold power, supply and hand valve off */
    struct changes changes;
    struct run_figures figures;
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

/* ---- telling observers ------------------------------------------------------------------------
 */

static void tell(struct run *r, enum moment moment, double t, const double x[],
                 const struct signals *sig, const struct change *change)
{
    const struct glimpse g = {
        .moment = moment,
        .plant = r->plant,
        .plan = r->plan,
        .settings = &r->settings,
        .state = &r->state,
        .t = t,
        .x = x,
        .signals = sig,
        .change = change,
    };
    for (int i = 0; i < r->options->observer_count; i++)
        r->options->observers[i].see(r->options->observers[i].self, &g);
}

static void tell_changes(struct run *r)
{
    for (int i = 0; i < r->changes.count; i++)
        tell(r, MOMENT_CHANGE, r->state.t, r->state.x, &r->before, &r->changes.change[i]);
    r->changes.count = 0;
}

/* x at time t within the present step: the cubic with the values and rates of both ends. */
static void interpolate(const struct run *r, double t, double x[], struct signals *sig)
{
    const double t0 = stepper_start_t(r->stepper), h = r->state.t - t0;
    const double s = (t - t0) / h;
    const double *x0 = stepper_start_x(r->stepper), *x1 = r->state.x;
    const double *d0 = stepper_start_dx(r->stepper), *d1 = r->dx;
    const double a = (1.0 + 2.0 * s) * (1.0 - s) * (1.0 - s), b = s * (1.0 - s) * (1.0 - s);
    const double c = s * s * (3.0 - 2.0 * s), d = -s * s * (1.0 - s);
    for (int k = 0; k < X_COUNT; k++)
        x[k] = a * x0[k] + b * h * d0[k] + c * x1[k] + d * h * d1[k];

    /* signals are a plain row of doubles: linear between both ends */
    const double *g0 = (const double *)&r->before, *g1 = (const double *)&r->after;
    double *g = (double *)sig;
    for (size_t k = 0; k < offsetof(struct signals, line) / sizeof *g; k++)
        g[k] = g0[k] + s * (g1[k] - g0[k]);
    sig->tank_level = tank_level(&r->plant->tank, x[X_TANK]);
    if (r->plant->has_basin)
        sig->basin_level = basin_level(&r->plant->basin, x[X_BASIN]);
}

/* Rows of the series never stop the integrator; they are read off inside the step. */
static void sample(struct run *r)
{
    for (;; r->next_sample++) {
        const double t = (double)r->next_sample * r->plan->record;
        if (t > r->state.t || t > r->plan->length)
            return;
        double x[X_COUNT];
        struct signals sig;
        if (r->state.t > stepper_start_t(r->stepper)) {
            interpolate(r, t, x, &sig);
            tell(r, MOMENT_SAMPLE, t, x, &sig, NULL);
        } else {
            tell(r, MOMENT_SAMPLE, t, r->state.x, &r->before, NULL);
        }
    }
}

/* ---- reactions --------------------------------------------------------------------------------
 */

static bool watches_pressure(const struct run *r)
{
    return r->plant->fill.low_pressure_switch;
}

/* How fast the inlet pressure changes at t and x, where it is that of `sig`. */
static double inlet_rate(const struct run *r, double t, const double x[], const double dx[],
                         const struct signals *sig)
{
    if (!watches_pressure(r))
        return 0.0;
    double ahead[X_COUNT], unused[X_COUNT];
    struct signals then;
    for (int k = 0; k < X_COUNT; k++)
        ahead[k] = x[k] + GLANCE * dx[k];
    plant_evaluate(r->plant, &r->settings, &r->state, t + GLANCE, ahead, &then, unused);
    return (then.inlet_pressure - sig->inlet_pressure) / GLANCE;
}

/* Signals and rates anew. */
static void renew_signals(struct run *r)
{
    plant_evaluate_again(r->plant, &r->settings, &r->state, r->state.t, r->state.x, &r->before,
                         r->dx);
}

/* What guards see between two steps. */
static struct sight present(const struct run *r)
{
    return (struct sight){ r->state.x, r->dx, &r->before, r->inlet_rate };
}

/* Beds that a parcel passed resist otherwise: flows must be sought anew. */
static void carry(struct run *r)
{
    plant_carry(r->plant, &r->settings, &r->state);
    if (!r->plant->water_only)
        r->before.line.known = r->after.line.known = 0;
    r->state.flow_opened = r->after.product_flow + r->after.divert_flow;
    r->state.delivery_opened = r->after.delivery_flow;
    r->figures.parcels++;
    tell(r, MOMENT_PARCEL, r->state.t, r->state.x, &r->after, NULL);
}

static double made_now(const struct run *r)
{
    return r->before.product_flow + r->before.divert_flow;
}

/* What stands at rest and what runs are parcels of their own: runs that share one would share the
 * salt that came across while they rested.  Without a membrane nothing comes across, and a float
 * valve that sticks would make ten thousand parcels a year. */
static void part_rest_from_run(struct run *r)
{
    const bool making = made_now(r) > 0.0;
    if (r->plant->membrane < 0 || making == r->making || r->state.t == r->state.opened)
        return;
    carry(r);
    r->state.flow_opened = r->state.delivery_opened = 0.0; /* those of the new parcel follow */
    renew_signals(r);
}

/* After a jump: signals and rates anew, and the stepper starts from them. */
static void restart(struct run *r)
{
    r->before.line = r->after.line; /* the end of the step before is this moment */
    renew_signals(r);
    part_rest_from_run(r);
    r->inlet_rate = inlet_rate(r, r->state.t, r->state.x, r->dx, &r->before);
    const double made = made_now(r);
    if (r->state.flow_opened <= 0.0)
        r->state.flow_opened = made;
    if (r->state.delivery_opened <= 0.0)
        r->state.delivery_opened = r->before.delivery_flow;
    /* a shut-off valve that cycles counts its own starts */
    if (made > 0.0 && !r->making && r->before.starts <= 0.0)
        r->state.x[X_STARTS] += 1.0;
    r->making = made > 0.0;
    stepper_restart(r->stepper, r->dx);
}

/* ---- a person who looks ------------------------------------------------------------------------
 */

static void flush(struct run *r, int stage)
{
    const double time = commission_time(&r->plan->commissioning, r->plant->train[stage].kind);
    commission_add(&r->control.commission, stage, time, r->state.t);
}

static void renew(struct run *r, int stage)
{
    plant_replace(r->plant, &r->state, stage);
    r->renewed[stage] = r->state.t;
    r->before.line.known = r->after.line.known = 0;
    changes_add(&r->changes, "replace", r->plant->train[stage].name, "a fresh cartridge");
    flush(r, stage);
}

static void reset(struct run *r)
{
    control_reset(&r->control, &r->settings);
    changes_add(&r->changes, "reset", "controller", "a person resets what had tripped");
}

/* Orders what is due, and says why; the new cartridge comes after the delay. */
static void visit(struct run *r)
{
    const struct rule_look look = { r->plant, r->plan, &r->state, r->renewed };
    for (int k = 0; k < r->plant->stages; k++) {
        if (isfinite(r->agenda.due[SLOT_RENEW + k]))
            continue;
        const char *why = rule_due(&look, k);
        if (!why)
            continue;
        r->agenda.due[SLOT_RENEW + k] = r->state.t + r->plan->visits.delay;
        changes_add(&r->changes, "due", r->plant->train[k].name, why);
    }
    if (r->plan->visits.resets && control_tripped(&r->control, &r->settings))
        reset(r);
}

/* Cuts may overlap: power, supply and hand valve are back when the last cause has gone. */
static void apply_cut(struct run *r, enum event_kind kind)
{
    static const struct {
        enum event_kind off, on;
        struct change cut, back;
    } ways[CUTS] = {
        { EVENT_POWER_OFF,
          EVENT_POWER_ON,
          { "power off", "mains", "the power fails" },
          { "power on", "mains", "the power returns" } },
        { EVENT_SUPPLY_OFF,
          EVENT_SUPPLY_ON,
          { "supply off", "supply", "the supply is cut off" },
          { "supply on", "supply", "the supply returns" } },
        { EVENT_HAND_SHUT,
          EVENT_HAND_OPEN,
          { "hand valve shut", "supply", "a person shuts the feed valve" },
          { "hand valve open", "supply", "a person opens the feed valve" } },
    };
    for (int w = 0; w < CUTS; w++) {
        int *causes = &r->cuts[w];
        const bool cut = kind == ways[w].off && (*causes)++ == 0;
        const bool back = kind == ways[w].on && *causes > 0 && --(*causes) == 0;
        if (cut || back)
            changes_add(&r->changes, cut ? ways[w].cut.kind : ways[w].back.kind, ways[w].cut.part,
                        cut ? ways[w].cut.words : ways[w].back.words);
    }
    r->settings.power = r->cuts[0] == 0;
    r->settings.supply = r->cuts[1] == 0 ? 1.0 : 0.0;
    r->settings.hand_valve = r->cuts[2] == 0;
}

static void apply_event(struct run *r, const struct event *e)
{
    struct settings *s = &r->settings;
    struct changes *log = &r->changes;
    const struct fault_mode *mode = &fault_modes[e->which];
    double *health = (double *)((char *)s + mode->offset);
    switch (e->kind) {
    case EVENT_POWER_OFF:
    case EVENT_POWER_ON:
    case EVENT_SUPPLY_OFF:
    case EVENT_SUPPLY_ON:
    case EVENT_HAND_SHUT:
    case EVENT_HAND_OPEN:
        apply_cut(r, e->kind);
        break;
    case EVENT_FEED_CHANGE:
        changes_add(log, "feed change", "supply", "the feed changes");
        break;
    case EVENT_FAULT:
        *health = isnan(mode->value) ? e->amount : mode->value;
        changes_add(log, "fault", mode->part, mode->mode);
        break;
    case EVENT_MEND:
        *health = mode->sound;
        changes_add(log, "mended", mode->part, mode->mode);
        break;
    case EVENT_REPLACE:
        renew(r, e->which);
        break;
    case EVENT_RESET:
        reset(r);
        break;
    }
}

static double event_due(const struct run *r)
{
    return r->next_event < r->plan->events ? r->plan->event[r->next_event].at : INFINITY;
}

static void start_draw(struct run *r, int i)
{
    const struct draw *d = &r->plan->draw[i];
    r->settings.draw += d->rate;
    r->agenda.due[SLOT_DRAW_END + i] = r->state.t + d->take / d->rate;
    const int started = ++r->draws_running[i];
    r->agenda.due[SLOT_DRAW_START + i] = isinf(d->every) ? INFINITY : d->first + started * d->every;
    changes_add(&r->changes, "draw", "tank", "water is drawn");
}

static void end_draw(struct run *r, int i)
{
    r->settings.draw -= r->plan->draw[i].rate;
    if (r->settings.draw < 1e-12) /* the last of several: no rounding is left over */
        r->settings.draw = 0.0;
    r->agenda.due[SLOT_DRAW_END + i] = INFINITY;
    changes_add(&r->changes, "draw ends", "tank", "the draw is over");
}

static void set_timers(struct run *r)
{
    r->agenda.due[SLOT_RUN_TIMER] = control_run_due(&r->control, r->plant, &r->settings);
    r->agenda.due[SLOT_TOPOFF_TIMER] = control_topoff_due(&r->control, r->plant);
    r->agenda.due[SLOT_INLET] = trip_due(&r->control.trips, r->plant, &r->settings);
    if (control_has_phases(r->plant))
        r->agenda.due[SLOT_PHASE] = control_phase_due(&r->control, r->plant);
    r->agenda.due[SLOT_FLUSH] = commission_due(&r->control.commission, &r->settings);
}

static void take_slot(struct run *r, int slot)
{
    double *due = &r->agenda.due[slot];
    const double t = r->state.t;
    if (slot == SLOT_EVENT) {
        apply_event(r, &r->plan->event[r->next_event++]);
        *due = event_due(r);
    } else if (slot == SLOT_FEED) {
        *due = feed_next_step(&r->plant->feed, t);
    } else if (slot == SLOT_RUN_TIMER) {
        control_run_expired(&r->control);
        *due = INFINITY;
    } else if (slot == SLOT_TOPOFF_TIMER) {
        control_topoff_expired(&r->control, &r->settings);
        changes_add(&r->changes, "trip", "top-off pump", "its longest run stops the top-off pump");
        *due = INFINITY;
    } else if (slot == SLOT_PHASE || slot == SLOT_FLUSH || slot == SLOT_INLET) {
        *due = INFINITY; /* the automaton looks at the clock itself */
    } else if (slot == SLOT_VISIT) {
        visit(r);
        *due = r->plan->visits.every * (floor(t / r->plan->visits.every + 0.5) + 1.0);
    } else if (slot < SLOT_DRAW_END) {
        renew(r, slot - SLOT_RENEW);
        *due = INFINITY;
    } else if (slot < SLOT_DRAW_START) {
        end_draw(r, slot - SLOT_DRAW_END);
    } else if (slot < SLOT_DAY) {
        start_draw(r, slot - SLOT_DRAW_START);
    } else if (slot == SLOT_DAY) {
        tell(r, MOMENT_DAY, t, r->state.x, &r->before, NULL);
        *due = DAY * (floor(t / DAY + 0.5) + 1.0);
    } else if (slot == SLOT_SNAPSHOT) {
        tell(r, MOMENT_SNAPSHOT, t, r->state.x, &r->before, NULL);
        const double every = r->plan->length / (SNAPSHOTS - 1);
        *due = every * (floor(t / every + 0.5) + 1.0);
    } else {
        *due = INFINITY; /* the end */
    }
}

/* Whether a due slot changes what is in the water, so that the parcel before it must close first.
 */
static bool closes_parcel(const struct run *r, int slot)
{
    if (slot == SLOT_FEED || slot == SLOT_SNAPSHOT || slot == SLOT_END || slot == SLOT_VISIT)
        return true;
    if (slot >= SLOT_RENEW && slot < SLOT_DRAW_END)
        return true;
    return slot == SLOT_EVENT && r->plan->event[r->next_event].kind == EVENT_REPLACE;
}

static enum status react(struct run *r)
{
    r->instant = r->state.t > r->reacted ? 0 : r->instant + 1;
    r->reacted = r->state.t;
    if (r->instant > INSTANT_MAX)
        return STATUS_CHATTER;
    /* what was rinsed, diverted or flushed must not be mixed with what comes */
    if (control_has_phases(r->plant) || commission_pending(&r->control.commission))
        carry(r);
    for (int slot; (slot = agenda_due(&r->agenda, r->state.t)) >= 0;) {
        if (closes_parcel(r, slot))
            carry(r);
        take_slot(r, slot);
    }
    r->settings.overflow_settled =
        false; /* whatever happens now, it may have to find its level anew */
    const bool tank_brim = r->settings.tank_brim, basin_brim = r->settings.basin_brim;
    int rounds = 0;
    bool sensed, changed;
    do {
        if (watches_pressure(r)) /* it jumps where a flow starts or stops */
            renew_signals(r);
        const struct sight now = present(r);
        sensed = control_sense(&r->control, r->plant, &r->settings, &now, &r->changes);
        changed = control_react(&r->control, r->plant, &r->settings, r->state.t, &r->changes);
        if (++rounds > ROUNDS_MAX)
            return STATUS_CHATTER;
    } while (sensed || changed);
    /* filling up and running over mix differently: a parcel has one or the other */
    if (r->settings.tank_brim != tank_brim || r->settings.basin_brim != basin_brim)
        carry(r);
    set_timers(r);
    r->figures.events += r->changes.count;
    restart(r);
    tell_changes(r);
    return STATUS_OK;
}

/* ---- the loop ---------------------------------------------------------------------------------
 */

/* How far the next step may go: to what is due, nearly to a threshold, to the end of the parcel,
 * and no further than the next row of a log of pressures, between which a dip would hide. */
static double reach(const struct run *r)
{
    const struct sight now = present(r);
    const double limit =
        guard_step_limit(r->control.guard, r->control.guards, r->plant, &now, REACH);
    const double parcel =
        PARCEL_REACH * plant_parcel_left(r->plant, &r->settings, &r->state, &r->before);
    const double step = fmin(limit, fmax(parcel, PARCEL_STEP));
    const double next = fmin(agenda_next(&r->agenda), r->state.t + step);
    return watches_pressure(r) ? fmin(next, feed_next_row(&r->plant->feed, r->state.t)) : next;
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
        .end = { r->state.x, end_dx, &end, inlet_rate(r, r->state.t, r->state.x, end_dx, &end) },
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
        return react(r);
    TRY(step(r, &crossed));
    sample(r);
    r->before = r->after;
    const bool due = plant_parcel_due(r->plant, &r->settings, &r->state, &r->after);
    if (due)
        carry(r);
    if (due && r->settings.diverting && clean_enough(r)) {
        control_divert_over(&r->control, r->state.t);
        return react(r);
    }
    const bool settled = settle(r);
    if (crossed || agenda_due(&r->agenda, r->state.t) >= 0)
        return react(r);
    if (due || settled)
        restart(r);
    return STATUS_OK;
}

static void start(struct run *r)
{
    settings_init(&r->settings);
    plant_start(r->plant, &r->state);
    renew_signals(r);
    const struct sight now = present(r);
    control_start(&r->control, r->plant, &r->settings, &now);
    for (int k = 0; k < r->plant->stages && r->plan->commissioning.at_start; k++)
        flush(r, k);
    agenda_init(&r->agenda);
    double *due = r->agenda.due;
    due[SLOT_EVENT] = event_due(r);
    due[SLOT_FEED] = feed_next_step(&r->plant->feed, 0.0);
    for (int i = 0; i < r->plan->draws; i++)
        due[SLOT_DRAW_START + i] = r->plan->draw[i].first;
    if (isfinite(r->plan->visits.every))
        due[SLOT_VISIT] = r->plan->visits.every;
    due[SLOT_DAY] = DAY;
    due[SLOT_SNAPSHOT] = 0.0;
    due[SLOT_END] = r->plan->length;
    set_timers(r);
    r->reacted = -1.0;
    restart(r);
}

enum status run_begin(struct run *r)
{
    start(r);
    tell(r, MOMENT_START, 0.0, r->state.x, &r->before, NULL);
    return react(r);
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
        carry(r);
    tell(r, MOMENT_END, r->state.t, r->state.x, &r->before, NULL);
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

void run_save(const struct run *r, struct run_saved *out)
{
    memset(out, 0, sizeof *out);
    out->settings = r->settings;
    out->control = r->control;
    out->agenda = r->agenda;
    out->state = r->state;
    out->before = r->before;
    /* found again, to the bit; between its members are bytes that nobody set */
    memset(&out->before.line, 0, sizeof out->before.line);
    memcpy(out->dx, r->dx, sizeof r->dx);
    out->inlet_rate = r->inlet_rate;
    out->step = stepper_suggested(r->stepper);
    out->next_event = r->next_event;
    out->next_sample = r->next_sample;
    memcpy(out->draws_running, r->draws_running, sizeof r->draws_running);
    out->instant = r->instant;
    out->reacted = r->reacted;
    out->making = r->making;
    memcpy(out->renewed, r->renewed, sizeof r->renewed);
    memcpy(out->cuts, r->cuts, sizeof r->cuts);
    out->figures = run_worked(r);
}

void run_restore(struct run *r, const struct run_saved *saved)
{
    r->settings = saved->settings;
    r->control = saved->control;
    control_watch(&r->control, r->plant, &r->settings);
    r->agenda = saved->agenda;
    r->state = saved->state;
    r->before = saved->before;
    memcpy(r->dx, saved->dx, sizeof r->dx);
    r->inlet_rate = saved->inlet_rate;
    stepper_resume(r->stepper, saved->dx, saved->step);
    r->next_event = saved->next_event;
    r->agenda.due[SLOT_EVENT] = event_due(r);
    r->next_sample = saved->next_sample;
    memcpy(r->draws_running, saved->draws_running, sizeof r->draws_running);
    r->instant = saved->instant;
    r->reacted = saved->reacted;
    r->making = saved->making;
    memcpy(r->renewed, saved->renewed, sizeof r->renewed);
    memcpy(r->cuts, saved->cuts, sizeof r->cuts);
    r->figures = saved->figures;
}

void run_restore_for(struct run *r, const struct run_saved *saved)
{
    run_restore(r, saved);
    r->next_event = 0;
    r->next_sample = (int64_t)floor(saved->state.t / r->plan->record) + 1;
    r->agenda.due[SLOT_EVENT] = event_due(r);
    r->agenda.due[SLOT_END] = r->plan->length;
    r->agenda.due[SLOT_SNAPSHOT] = r->agenda.due[SLOT_DAY] = INFINITY;
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
