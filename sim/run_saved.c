/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * run_saved: the state of a run, taken out of it and put back.
 */
#include <math.h>
#include <string.h>

#include "run_inner.h"

void run_save(const struct run *r, struct run_saved *out)
{
    memset(out, 0, sizeof *out);
    out->settings = r->settings;
    out->control = r->control;
    /* built anew; they point into this process */
    memset(out->control.guard, 0, sizeof out->control.guard);
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
    r->agenda.due[SLOT_EVENT] = run_event_due(r);
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
    r->agenda.due[SLOT_EVENT] = run_event_due(r);
    r->agenda.due[SLOT_END] = r->plan->length;
    r->agenda.due[SLOT_SNAPSHOT] = r->agenda.due[SLOT_DAY] = INFINITY;
}
