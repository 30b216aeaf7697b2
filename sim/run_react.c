/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * run_react: what happens between two steps: parcels are carried, what is due is done, guards and
 * controllers are asked until nothing changes, and the stepper starts anew.
 */
#include <math.h>

#include "run_inner.h"

static const double GLANCE = 10.0; /* s ahead, to see how fast the inlet pressure changes */

enum { ROUNDS_MAX = 20, INSTANT_MAX = 200 };

bool run_watches_pressure(const struct run *r)
{
    return r->plant->fill.low_pressure_switch;
}

double run_inlet_rate(const struct run *r, double t, const double x[], const double dx[],
                      const struct signals *sig)
{
    if (!run_watches_pressure(r))
        return 0.0;
    double ahead[X_COUNT], unused[X_COUNT];
    struct signals then;
    for (int k = 0; k < X_COUNT; k++)
        ahead[k] = x[k] + GLANCE * dx[k];
    plant_evaluate(r->plant, &r->settings, &r->state, t + GLANCE, ahead, &then, unused);
    return (then.inlet_pressure - sig->inlet_pressure) / GLANCE;
}

void run_renew_signals(struct run *r)
{
    plant_evaluate_again(r->plant, &r->settings, &r->state, r->state.t, r->state.x, &r->before,
                         r->dx);
}

struct sight run_sight(const struct run *r)
{
    return (struct sight){ r->state.x, r->dx, &r->before, r->inlet_rate };
}

/* Beds that a parcel passed resist otherwise: flows must be sought anew. */
void run_carry(struct run *r)
{
    plant_carry(r->plant, &r->settings, &r->state);
    if (!r->plant->water_only)
        r->before.line.known = r->after.line.known = 0;
    r->state.flow_opened = r->after.product_flow + r->after.divert_flow;
    r->state.delivery_opened = r->after.delivery_flow;
    r->figures.parcels++;
    run_tell(r, MOMENT_PARCEL, r->state.t, r->state.x, &r->after, NULL);
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
    run_carry(r);
    r->state.flow_opened = r->state.delivery_opened = 0.0; /* those of the new parcel follow */
    run_renew_signals(r);
}

void run_restart(struct run *r)
{
    r->before.line = r->after.line; /* the end of the step before is this moment */
    run_renew_signals(r);
    part_rest_from_run(r);
    r->inlet_rate = run_inlet_rate(r, r->state.t, r->state.x, r->dx, &r->before);
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

enum status run_react(struct run *r)
{
    r->instant = r->state.t > r->reacted ? 0 : r->instant + 1;
    r->reacted = r->state.t;
    if (r->instant > INSTANT_MAX)
        return STATUS_CHATTER;
    /* what was rinsed, diverted or flushed must not be mixed with what comes */
    if (control_has_phases(r->plant) || commission_pending(&r->control.commission))
        run_carry(r);
    for (int slot; (slot = agenda_due(&r->agenda, r->state.t)) >= 0;) {
        if (run_closes_parcel(r, slot))
            run_carry(r);
        run_take_slot(r, slot);
    }
    r->settings.overflow_settled =
        false; /* whatever happens now, it may have to find its level anew */
    const bool tank_brim = r->settings.tank_brim, basin_brim = r->settings.basin_brim;
    int rounds = 0;
    bool sensed, changed;
    do {
        if (run_watches_pressure(r)) /* it jumps where a flow starts or stops */
            run_renew_signals(r);
        const struct sight now = run_sight(r);
        sensed = control_sense(&r->control, r->plant, &r->settings, &now, &r->changes);
        changed = control_react(&r->control, r->plant, &r->settings, r->state.t, &r->changes);
        if (++rounds > ROUNDS_MAX)
            return STATUS_CHATTER;
    } while (sensed || changed);
    /* filling up and running over mix differently: a parcel has one or the other */
    if (r->settings.tank_brim != tank_brim || r->settings.basin_brim != basin_brim)
        run_carry(r);
    run_set_timers(r);
    r->figures.events += r->changes.count;
    run_restart(r);
    run_tell_changes(r);
    return STATUS_OK;
}
