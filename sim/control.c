/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * control: see control.h.  A controller sees what its switches show, never the water itself.
 */
#include "control.h"

#include <math.h>

static const double DRY_BAND = 0.005; /* m of water over the outlet before it delivers again */
static const double SEATS = 0.2;      /* of its stiction short of shut, a float valve seats */
static const double DIVERT_LONGEST = 600.0; /* s, if only a reading ends it */
static const double BRIM_BAND = 1e-6;       /* m3 below the rim at which running over has ended */

void changes_add(struct changes *c, const char *kind, const char *part, const char *words)
{
    if (c->count < CHANGES_MAX)
        c->change[c->count++] = (struct change){ kind, part, words };
}

static void watch(struct control *c, const char *name, enum channel channel, double upper,
                  double lower, bool *on)
{
    c->guard[c->guards++] = (struct guard){ name, channel, upper, lower, on };
}

static void watch_tank(struct control *c, const struct plant *p, struct settings *set)
{
    const struct fill *f = &p->fill;
    const struct tank *k = &p->tank;
    const double full = tank_full(k);
    if (f->switches) {
        watch(c, "start switch", CHANNEL_TANK_LEVEL, f->on_at + f->switch_band, f->on_at,
              &c->start_wet);
        watch(c, "stop switch", CHANNEL_TANK_LEVEL, f->off_at, f->off_at - f->switch_band,
              &c->stop_wet);
    }
    if (f->float_valve && f->stiction > 0.0) {
        const double stick = f->stiction * f->valve.band;
        watch(c, "float valve", CHANNEL_TANK_LEVEL, f->valve.shuts_at - SEATS * stick,
              f->valve.shuts_at - (1.0 + SEATS) * stick, &set->float_shut);
    }
    if (f->high_switch)
        watch(c, "high switch", CHANNEL_TANK_LEVEL, f->high_at, f->high_at - f->switch_band,
              &c->high_wet);
    if (f->leak_sensor)
        watch(c, "leak sensor", CHANNEL_SPILLED, f->leak_volume, -INFINITY, &c->leak_wet);
    if (k->overflow.kind != OVERFLOW_NONE)
        watch(c, "overflow", CHANNEL_TANK_LEVEL, k->overflow.lip + k->overflow.meniscus,
              k->overflow.lip, &set->overflow_running);
    watch(c, "rim", CHANNEL_TANK_VOLUME, full, full - BRIM_BAND, &set->tank_brim);
    watch(c, "outlet", CHANNEL_TANK_LEVEL, k->outlet + DRY_BAND, k->outlet, &c->outlet_wet);
}

static void watch_basin(struct control *c, const struct plant *p, struct settings *set)
{
    const struct basin *b = &p->basin;
    const double rim = basin_rim_volume(b);
    watch(c, "rim of served water", CHANNEL_BASIN_VOLUME, rim, rim - BRIM_BAND, &set->basin_brim);
    if (p->topoff.kind != TOPOFF_PUMP)
        return;
    const double dry = b->volume - p->topoff.on_below * b->surface;
    watch(c, "top-off switch", CHANNEL_BASIN_VOLUME, dry + p->topoff.off_above * b->surface, dry,
          &c->topoff_wet);
}

void control_watch(struct control *c, const struct plant *p, struct settings *set)
{
    c->guards = 0;
    watch_tank(c, p, set);
    if (p->has_basin)
        watch_basin(c, p, set);
}

void control_start(struct control *c, const struct plant *p, struct settings *set, const double x[])
{
    *c = (struct control){ .run_since = NAN,
                           .topoff_since = NAN,
                           .made_since = NAN,
                           .phase_ends = INFINITY,
                           .divert_ends = INFINITY };
    control_watch(c, p, set);
    for (int i = 0; i < c->guards; i++) {
        const struct guard *g = &c->guard[i];
        *g->on = guard_value(p, g->channel, x) > g->lower;
        /* between its two levels a switch could be either: take the one that asks for no water */
        if (g->on == &set->overflow_running || g->on == &set->tank_brim ||
            g->on == &set->basin_brim || g->on == &c->leak_wet)
            *g->on = guard_value(p, g->channel, x) >= g->upper;
    }
    set->tank_dry = !c->outlet_wet;
    set->call = !p->fill.switches;
    struct changes unheard = { 0 };
    control_react(c, p, set, 0.0, &unheard);
}

static void tell_sensed(const struct control *c, const struct settings *set, const struct guard *g,
                        struct changes *log)
{
    const bool on = *g->on;
    if (g->on == &set->tank_brim)
        changes_add(log, on ? "spill" : "spill ends", "tank",
                    on ? "the tank runs over its rim" : "the tank no longer runs over");
    else if (g->on == &set->basin_brim)
        changes_add(log, on ? "spill" : "spill ends", "served water",
                    on ? "the served water runs over its rim"
                       : "the served water no longer runs over");
    else if (g->on == &set->overflow_running)
        changes_add(log, on ? "overflow" : "overflow ends", "overflow pipe",
                    on ? "the overflow pipe runs" : "the overflow pipe has stopped");
    else if (g->on == &c->outlet_wet)
        changes_add(log, on ? "dry ends" : "dry", "tank",
                    on ? "the tank delivers again" : "the tank is empty down to its outlet");
    else if (g->on == &c->leak_wet && on)
        changes_add(log, "leak", "leak sensor", "enough water for the leak sensor");
    else if (g->on == &c->high_wet && on)
        changes_add(log, "high", "high switch", "the water reaches the high switch");
}

bool control_sense(struct control *c, const struct plant *p, struct settings *set, const double x[],
                   struct changes *log)
{
    bool any = false;
    for (int i = 0; i < c->guards; i++) {
        const struct guard *g = &c->guard[i];
        if (!guard_crossed(g, p, x))
            continue;
        *g->on = !*g->on;
        any = true;
        tell_sensed(c, set, g, log);
    }
    set->tank_dry = !c->outlet_wet;
    return any;
}

/* What a switch shows, given its health. */
static bool shows(double health, bool wet)
{
    return health == WORKS ? wet : health > 0.5;
}

static void count_run(struct control *c, const struct settings *set, double t)
{
    const bool open = plant_solenoid_energised(set);
    if (open && isnan(c->run_since))
        c->run_since = t;
    if (!open && !isnan(c->run_since)) {
        c->run_count += t - c->run_since;
        c->run_since = NAN;
    }
    /* a run ends when the call ends; a power cut or a trip only interrupts its count */
    if (!open && set->power && !set->trip)
        c->run_count = 0.0;
}

static void react_fill(struct control *c, const struct plant *p, struct settings *set)
{
    const struct fill *f = &p->fill;
    const struct health *h = &set->health;
    if (!set->power) {
        if (f->switches && !f->keeps_call)
            set->call = false;
        return;
    }
    if (f->switches) {
        if (shows(h->high_switch, c->stop_wet))
            set->call = false;
        else if (!shows(h->low_switch, c->start_wet))
            set->call = true;
    }
    c->high_tripped = f->high_switch && shows(h->guard_switch, c->high_wet);
    c->leak_tripped = c->leak_tripped || (f->leak_sensor && shows(h->leak_sensor, c->leak_wet));
    const bool guard = c->high_tripped || c->leak_tripped;
    set->guard_trip = f->guard_valve && guard;
    set->trip = c->timer_tripped || (guard && !f->guard_valve);
}

static void react_topoff(struct control *c, const struct plant *p, struct settings *set, double t)
{
    if (p->topoff.kind != TOPOFF_PUMP)
        return;
    if (set->power)
        set->topoff_call = !shows(set->health.topoff_switch, c->topoff_wet);
    const bool runs = set->power && set->topoff_call && !set->topoff_trip;
    if (runs && isnan(c->topoff_since))
        c->topoff_since = t;
    if (!runs && !isnan(c->topoff_since)) {
        c->topoff_count += t - c->topoff_since;
        c->topoff_since = NAN;
    }
    if (!set->topoff_call)
        c->topoff_count = 0.0;
}

/* ---- rinses and the first product --------------------------------------------------------------
 */

bool control_has_phases(const struct plant *p)
{
    const struct rinse *r = &p->rinse;
    return r->at_start > 0.0 || r->at_stop > 0.0 || isfinite(r->every) || r->divert > 0.0 ||
           !isnan(r->divert_below);
}

static void enter(struct control *c, enum phase phase, double ends, double t)
{
    if (!isnan(c->made_since)) {
        c->made_count += t - c->made_since;
        c->made_since = NAN;
    }
    if (phase == PHASE_RINSE || phase == PHASE_FIRST_RINSE)
        c->made_count = 0.0;
    if (phase == PHASE_MAKING)
        c->made_since = t;
    c->phase = phase;
    c->phase_ends = ends;
}

static void begin_run(struct control *c, const struct rinse *r, double t)
{
    if (r->at_start > 0.0)
        enter(c, PHASE_FIRST_RINSE, t + r->at_start, t);
    else
        enter(c, PHASE_MAKING, INFINITY, t);
    if (r->divert > 0.0)
        c->divert_ends = t + r->at_start + r->divert;
    else if (!isnan(r->divert_below))
        c->divert_ends = t + r->at_start + DIVERT_LONGEST;
}

/* The state diagram is in docs/control.md. */
static void react_phase(struct control *c, const struct plant *p, struct settings *set, double t)
{
    const struct rinse *r = &p->rinse;
    const bool can = set->power && !set->trip;
    if (t >= c->divert_ends)
        c->divert_ends = INFINITY;
    if (!can) {
        enter(c, PHASE_IDLE, INFINITY, t);
    } else if (c->phase == PHASE_IDLE && set->call) {
        begin_run(c, r, t);
    } else if (c->phase == PHASE_LAST_RINSE) {
        if (t >= c->phase_ends)
            enter(c, PHASE_IDLE, INFINITY, t);
    } else if (c->phase != PHASE_IDLE && !set->call) {
        if (r->at_stop > 0.0)
            enter(c, PHASE_LAST_RINSE, t + r->at_stop, t);
        else
            enter(c, PHASE_IDLE, INFINITY, t);
    } else if (c->phase == PHASE_FIRST_RINSE || c->phase == PHASE_RINSE) {
        if (t >= c->phase_ends)
            enter(c, PHASE_MAKING, INFINITY, t);
    } else if (c->phase == PHASE_MAKING && t >= control_phase_due(c, p)) {
        if (c->made_since + (r->every - c->made_count) <= t)
            enter(c, PHASE_RINSE, t + r->every_for, t);
    }
    if (c->phase == PHASE_IDLE)
        c->divert_ends = INFINITY;
    set->hold = c->phase == PHASE_LAST_RINSE;
    set->rinsing =
        c->phase == PHASE_FIRST_RINSE || c->phase == PHASE_RINSE || c->phase == PHASE_LAST_RINSE;
    set->diverting = isfinite(c->divert_ends);
}

double control_phase_due(const struct control *c, const struct plant *p)
{
    double due = fmin(c->phase_ends, c->divert_ends);
    if (c->phase == PHASE_MAKING)
        due = fmin(due, c->made_since + (p->rinse.every - c->made_count));
    return due;
}

void control_divert_over(struct control *c, double t)
{
    c->divert_ends = t;
}

/* ---- all of them -------------------------------------------------------------------------------
 */

bool control_react(struct control *c, const struct plant *p, struct settings *set, double t,
                   struct changes *log)
{
    const struct settings before = *set;
    react_fill(c, p, set);
    if (control_has_phases(p))
        react_phase(c, p, set, t);
    count_run(c, set, t);
    react_topoff(c, p, set, t);
    if (set->call != before.call && p->fill.switches)
        changes_add(log, set->call ? "fill starts" : "fill stops", "tank",
                    set->call ? "the start switch calls for water" : "the call for water ends");
    if (set->guard_trip != before.guard_trip)
        changes_add(log, set->guard_trip ? "trip" : "trip ends", "guard valve",
                    set->guard_trip ? "high switch or leak sensor shut the guard valve"
                                    : "nothing tells the guard valve to stay shut any more");
    if (set->trip != before.trip)
        changes_add(log, set->trip ? "trip" : "trip ends", "feed solenoid",
                    !set->trip        ? "nothing tells the feed solenoid to stay shut any more"
                    : c->high_tripped ? "the high switch tells the feed solenoid to shut"
                    : c->leak_tripped
                        ? "the leak sensor tells the feed solenoid to shut, until reset"
                        : "the run timer tells the feed solenoid to shut, until reset");
    if (set->topoff_call != before.topoff_call)
        changes_add(log, set->topoff_call ? "top-off" : "top-off ends", "served water",
                    set->topoff_call ? "the top-off pump is called" : "the served water is full");
    if (set->rinsing != before.rinsing)
        changes_add(log, set->rinsing ? "rinse" : "rinse ends", "membrane",
                    set->rinsing ? "the drain opens wide" : "the drain is back on its restrictor");
    if (set->diverting != before.diverting)
        changes_add(log, set->diverting ? "divert" : "divert ends", "membrane",
                    set->diverting ? "the first product goes to the drain"
                                   : "the product goes its way");
    return set->call != before.call || set->trip != before.trip ||
           set->guard_trip != before.guard_trip || set->hold != before.hold ||
           set->rinsing != before.rinsing || set->diverting != before.diverting ||
           set->topoff_call != before.topoff_call;
}

double control_run_due(const struct control *c, const struct plant *p, const struct settings *set)
{
    if (!p->fill.run_timer || set->health.run_timer != WORKS || isnan(c->run_since))
        return INFINITY;
    return c->run_since + (p->fill.longest_run - c->run_count);
}

double control_topoff_due(const struct control *c, const struct plant *p)
{
    return isnan(c->topoff_since) ? INFINITY
                                  : c->topoff_since + (p->topoff.longest_run - c->topoff_count);
}

void control_run_expired(struct control *c)
{
    c->timer_tripped = true;
}

void control_topoff_expired(struct control *c, struct settings *set)
{
    (void)c;
    set->topoff_trip = true;
}

void control_reset(struct control *c, struct settings *set)
{
    c->leak_tripped = c->timer_tripped = false;
    c->run_count = c->topoff_count = 0.0;
    set->topoff_trip = false;
}
