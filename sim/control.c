/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * control: see control.h.  A controller sees what its switches show, never the water itself.
 */
#include "control.h"

#include <math.h>

static const double DIVERT_LONGEST = 600.0; /* s, if only a reading ends it */

void control_start(struct control *c, const struct plant *p, struct settings *set,
                   const struct sight *s)
{
    *c = (struct control){ .run_since = NAN,
                           .topoff_since = NAN,
                           .made_since = NAN,
                           .phase_ends = INFINITY,
                           .divert_ends = INFINITY,
                           .trips = { .inlet_low_since = NAN, .inlet_tried = NAN } };
    control_watch(c, p, set);
    for (int i = 0; i < c->guards; i++) {
        const struct guard *g = &c->guard[i];
        *g->on = guard_value(g, p, s) > g->lower;
        /* between its two levels a switch could be either: take the one that asks for no water */
        if (g->on == &set->overflow_running || g->on == &set->tank_brim ||
            g->on == &set->basin_brim || g->on == &c->trips.leak_wet)
            *g->on = guard_value(g, p, s) >= g->upper;
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
    else if (g->on == &set->bladder_holds)
        changes_add(log, on ? "bladder" : "bladder empty", "bladder tank",
                    on ? "the bladder tank takes in water" : "the bladder tank has run empty");
    else if (g->on == &set->shutoff_shut && set->health.shutoff_valve == WORKS)
        changes_add(log, on ? "valve shut" : "valve open", "shut-off valve",
                    on ? "the shut-off valve closes the feed"
                       : "the shut-off valve opens the feed again");
    else if (g->on == &c->trips.leak_wet && on)
        changes_add(log, "leak", "leak sensor", "enough water for the leak sensor");
    else if (g->on == &c->trips.high_wet && on)
        changes_add(log, "high", "high switch", "the water reaches the high switch");
}

bool control_sense(struct control *c, const struct plant *p, struct settings *set,
                   const struct sight *s, struct changes *log)
{
    bool any = false;
    for (int i = 0; i < c->guards; i++) {
        const struct guard *g = &c->guard[i];
        if (!guard_crossed(g, p, s))
            continue;
        *g->on = !*g->on;
        any = true;
        tell_sensed(c, set, g, log);
    }
    set->tank_dry = !c->outlet_wet;
    return any;
}

static void count_run(struct control *c, const struct plant *p, const struct settings *set,
                      double t)
{
    const bool open = plant_solenoid_energised(set) && set->flush < 0;
    if (open && isnan(c->run_since))
        c->run_since = t;
    if (!open && !isnan(c->run_since)) {
        c->run_count += t - c->run_since;
        c->run_since = NAN;
    }
    if (!set->power && p->fill.timer_restarts)
        c->run_count = 0.0;
    /* a run ends when the call ends; a power cut, a trip or a flush only interrupts its count */
    if (!open && set->power && !set->trip && set->flush < 0)
        c->run_count = 0.0;
}

static void react_fill(struct control *c, const struct plant *p, struct settings *set, double t)
{
    const struct fill *f = &p->fill;
    const struct health *h = &set->health;
    if (!set->power) {
        if (f->switches && !f->keeps_call)
            set->call = false;
        trip_without_power(&c->trips);
        return;
    }
    if (f->switches) {
        if (trip_shows(h->high_switch, c->stop_wet))
            set->call = false;
        else if (!trip_shows(h->low_switch, c->start_wet))
            set->call = true;
    }
    trip_react(&c->trips, p, set, t);
}

/* A hose that the pump has filled goes on by itself when the pump stops, as long as its end lies
 * below the water of the tank and no air gets in. */
static void react_siphon(struct control *c, const struct plant *p, struct settings *set)
{
    const bool airless = !p->topoff.siphon_break || set->health.siphon_break != WORKS;
    const bool pumps = plant_topoff_runs(p, set);
    c->hose_full = airless && c->hose_below && !set->tank_dry && (c->hose_full || pumps);
    set->siphon = c->hose_full && !pumps;
}

static void react_topoff(struct control *c, const struct plant *p, struct settings *set, double t)
{
    if (p->topoff.kind != TOPOFF_PUMP)
        return;
    if (set->power)
        set->topoff_call = !trip_shows(set->health.topoff_switch, c->topoff_wet);
    set->topoff_cut =
        !isnan(p->topoff.high_at) && trip_shows(set->health.topoff_high, c->topoff_high_wet);
    const bool runs = set->power && set->topoff_call && !set->topoff_trip && !set->topoff_cut;
    if (runs && isnan(c->topoff_since))
        c->topoff_since = t;
    if (!runs && !isnan(c->topoff_since)) {
        c->topoff_count += t - c->topoff_since;
        c->topoff_since = NAN;
    }
    if (!set->topoff_call)
        c->topoff_count = 0.0;
    if (!set->topoff_call && set->power && !p->topoff.latches)
        set->topoff_trip = false;
    react_siphon(c, p, set);
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
    const bool can = set->power && !set->trip && set->flush < 0;
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
    set->hold = c->phase == PHASE_LAST_RINSE && r->with == RINSE_FEED;
    set->rinse_pump = c->phase == PHASE_LAST_RINSE && r->with == RINSE_PERMEATE;
    set->rinsing =
        c->phase == PHASE_FIRST_RINSE || c->phase == PHASE_RINSE || c->phase == PHASE_LAST_RINSE;
    const bool diverting = isfinite(c->divert_ends);
    if (diverting && !set->diverting)
        set->diverted_since = t;
    set->diverting = diverting;
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

/* ---- new parts ---------------------------------------------------------------------------------
 */

static void tell_flush(const struct control *c, const struct plant *p, const struct settings *set,
                       int before, struct changes *log)
{
    if (before >= 0 && c->commission.left[before] > 0.0)
        changes_add(log, "flush waits", p->train[before].name,
                    "for water, or for a new part in front of it");
    else if (before >= 0)
        changes_add(log, "flush ends", p->train[before].name, "it is ready for use");
    if (set->flush >= 0)
        changes_add(log, "flush", p->train[set->flush].name,
                    plant_flushes_feed(p, set) ? "new: all water behind it runs to the drain"
                                               : "new: its product runs to the drain");
}

/* ---- all of them -------------------------------------------------------------------------------
 */

bool control_react(struct control *c, const struct plant *p, struct settings *set, double t,
                   struct changes *log)
{
    const struct settings before = *set;
    react_fill(c, p, set, t);
    if (commission_react(&c->commission, p, set, t))
        tell_flush(c, p, set, before.flush, log);
    if (control_has_phases(p))
        react_phase(c, p, set, t);
    count_run(c, p, set, t);
    react_topoff(c, p, set, t);
    if (set->call != before.call && p->fill.switches)
        changes_add(log, set->call ? "fill starts" : "fill stops", "tank",
                    set->call ? "the start switch calls for water" : "the call for water ends");
    trip_tell(&c->trips, p, log);
    if (set->topoff_call != before.topoff_call)
        changes_add(log, set->topoff_call ? "top-off" : "top-off ends", "served water",
                    set->topoff_call ? "the top-off pump is called" : "the served water is full");
    if (set->topoff_cut != before.topoff_cut)
        changes_add(log, set->topoff_cut ? "trip" : "trip ends", "top-off pump",
                    set->topoff_cut ? "the top-off high switch cuts the power of its pump"
                                    : "the top-off high switch lets its pump run again");
    if (before.topoff_trip && !set->topoff_trip)
        changes_add(log, "trip ends", "top-off pump", "the call that ran too long has ended");
    if (set->siphon != before.siphon)
        changes_add(log, set->siphon ? "siphon" : "siphon ends", "top-off hose",
                    set->siphon ? "the pump has stopped, but the water runs on through its hose"
                                : "the hose no longer runs by itself");
    if (set->rinsing != before.rinsing && !c->trips.hunting)
        changes_add(log, set->rinsing ? "rinse" : "rinse ends", "membrane",
                    set->rinse_pump ? "stored product is pushed along it to the drain"
                    : set->rinsing  ? "the drain opens wide"
                                    : "the drain is back on its restrictor");
    if (set->diverting != before.diverting && !c->trips.hunting)
        changes_add(log, set->diverting ? "divert" : "divert ends", "membrane",
                    set->diverting ? "the first product goes to the drain"
                                   : "the product goes its way");
    return set->call != before.call || set->trip != before.trip ||
           set->guard_trip != before.guard_trip || set->hold != before.hold ||
           set->rinsing != before.rinsing || set->diverting != before.diverting ||
           set->rinse_pump != before.rinse_pump || set->flush != before.flush ||
           set->topoff_call != before.topoff_call || set->topoff_trip != before.topoff_trip ||
           set->siphon != before.siphon || set->topoff_cut != before.topoff_cut;
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
    c->trips.timer_tripped = true;
}

void control_topoff_expired(struct control *c, struct settings *set)
{
    (void)c;
    set->topoff_trip = true;
}

bool control_tripped(const struct control *c, const struct settings *set)
{
    return trip_causes(&c->trips) != 0 || set->topoff_trip;
}

void control_reset(struct control *c, struct settings *set)
{
    trip_reset(&c->trips);
    c->run_count = c->topoff_count = 0.0;
    set->topoff_trip = false;
}
