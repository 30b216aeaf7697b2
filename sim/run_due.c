/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * run_due: what is done when something is due: events, cuts, draws, a person who looks, new
 * cartridges, timers.
 */
#include <math.h>

#include "rule.h"
#include "run_inner.h"

static const double DAY = 86400.0; /* s */

void run_flush(struct run *r, int stage)
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
    run_flush(r, stage);
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

double run_event_due(const struct run *r)
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

void run_set_timers(struct run *r)
{
    r->agenda.due[SLOT_RUN_TIMER] = control_run_due(&r->control, r->plant, &r->settings);
    r->agenda.due[SLOT_TOPOFF_TIMER] = control_topoff_due(&r->control, r->plant);
    r->agenda.due[SLOT_INLET] = trip_due(&r->control.trips, r->plant, &r->settings);
    if (control_has_phases(r->plant))
        r->agenda.due[SLOT_PHASE] = control_phase_due(&r->control, r->plant);
    r->agenda.due[SLOT_FLUSH] = commission_due(&r->control.commission, &r->settings);
}

void run_take_slot(struct run *r, int slot)
{
    double *due = &r->agenda.due[slot];
    const double t = r->state.t;
    if (slot == SLOT_EVENT) {
        apply_event(r, &r->plan->event[r->next_event++]);
        *due = run_event_due(r);
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
        run_tell(r, MOMENT_DAY, t, r->state.x, &r->before, NULL);
        *due = DAY * (floor(t / DAY + 0.5) + 1.0);
    } else if (slot == SLOT_SNAPSHOT) {
        run_tell(r, MOMENT_SNAPSHOT, t, r->state.x, &r->before, NULL);
        const double every = r->plan->length / (SNAPSHOTS - 1);
        *due = every * (floor(t / every + 0.5) + 1.0);
    } else {
        *due = INFINITY; /* the end */
    }
}

bool run_closes_parcel(const struct run *r, int slot)
{
    if (slot == SLOT_FEED || slot == SLOT_SNAPSHOT || slot == SLOT_END || slot == SLOT_VISIT)
        return true;
    if (slot >= SLOT_RENEW && slot < SLOT_DRAW_END)
        return true;
    return slot == SLOT_EVENT && r->plan->event[r->next_event].kind == EVENT_REPLACE;
}
