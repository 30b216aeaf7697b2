/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * door: see door.h.
 */
#include "door.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double DAY = 86400.0;        /* s */
static const double FILL_LASTS = 7.0;     /* days that a person waits for a full tank at most */
static const double FLUSH_LASTS = 7200.0; /* s for flushing new parts; assumption */
static const double MOMENT = 1.0;         /* s between two deeds */

const struct door door_list[DOORS] = {
    { "nothing", "nothing", 0 },
    { "shut", "shut the supply valve", DEED_SHUT },
    { "fill_shut", "fill the tank, shut the supply valve", DEED_FILL | DEED_SHUT },
    { "shut_topoff", "shut the supply, unplug the top-off", DEED_SHUT | DEED_TOPOFF },
    { "topoff", "unplug the top-off pump", DEED_TOPOFF },
    { "mains", "unplug everything", DEED_MAINS },
};

bool door_applies(const struct plant *p, unsigned deeds)
{
    if ((deeds & DEED_FILL) && !p->fill.switches)
        return false; /* a float valve keeps it full by itself */
    return !(deeds & DEED_TOPOFF) || p->topoff.kind == TOPOFF_PUMP;
}

void door_plant(unsigned deeds, struct plant *p)
{
    if ((deeds & DEED_TOPOFF) && p->topoff.kind == TOPOFF_PUMP)
        p->topoff.flow = 0.0;
}

void door_plan(const struct plan *plan, double until, struct plan *out)
{
    *out = *plan;
    out->events = 0;
    out->draws = 0;
    out->visits.every = INFINITY;
    out->record = 1e12;
    out->length = until;
}

/* ---- a stretch of the run, with what is done in it --------------------------------------------
 */

struct stretch {
    const struct plant *plant;
    struct plan *plan;
    double *t;
    struct run_saved *saved;
    volatile sig_atomic_t filled;
};

static void see(void *self, const struct glimpse *g)
{
    struct stretch *s = self;
    if (g->moment == MOMENT_CHANGE && strcmp(g->change->kind, "fill stops") == 0)
        s->filled = 1;
}

static void add(struct stretch *s, double at, enum event_kind kind, int which)
{
    s->plan->event[s->plan->events++] = (struct event){ at, kind, which, 0.0 };
}

/* Goes on for `lasts`, or until the tank is full if that is waited for. */
static enum status go(struct stretch *s, double lasts, bool until_full)
{
    const struct observer o = { see, s };
    const struct run_options options = { .observers = &o,
                                         .observer_count = 1,
                                         .stop = until_full ? &s->filled : NULL };
    s->plan->length = *s->t + lasts + DAY;
    struct run *r = run_create(s->plant, s->plan, &options);
    if (!r)
        return STATUS_MEMORY;
    run_restore_for(r, s->saved);
    enum status status = run_pause_at(r, *s->t + lasts);
    if (status == STATUS_INTERRUPTED && s->filled)
        status = STATUS_OK;
    run_save(r, s->saved);
    *s->t = run_time(r);
    run_free(r);
    s->plan->events = 0;
    return status;
}

/* ---- deeds ------------------------------------------------------------------------------------
 */

static void nobody(struct run_saved *s)
{
    double *due = s->agenda.due;
    due[SLOT_VISIT] = INFINITY;
    for (int k = 0; k < STAGES_MAX; k++)
        due[SLOT_RENEW + k] = INFINITY;
    for (int i = 0; i < DRAWS_MAX; i++)
        due[SLOT_DRAW_START + i] = INFINITY;
}

static enum status renew(struct stretch *s, unsigned which)
{
    for (int k = 0; k < s->plant->stages; k++)
        if (which & (1u << k))
            add(s, *s->t + MOMENT, EVENT_REPLACE, k);
    return go(s, FLUSH_LASTS, false);
}

static int row_of(const char *part, const char *mode)
{
    int i = 0;
    while (strcmp(fault_modes[i].part, part) != 0 || strcmp(fault_modes[i].mode, mode) != 0)
        i++;
    return i;
}

/* A hand lifts the start switch for a moment, and the plant fills its tank as it always does. */
static enum status fill(struct stretch *s)
{
    const int row = row_of("start switch", "shows dry");
    add(s, *s->t + MOMENT, EVENT_FAULT, row);
    add(s, *s->t + 2.0 * MOMENT, EVENT_MEND, row);
    TRY(go(s, 3.0 * MOMENT, false));
    return s->saved->settings.call ? go(s, FILL_LASTS * DAY, true) : STATUS_OK;
}

enum status door_leave(const struct leaving *how, const struct plant *p, const struct plan *plan,
                       double *t, struct run_saved *saved)
{
    struct plan *own = malloc(sizeof *own);
    if (!own)
        return STATUS_MEMORY;
    door_plan(plan, INFINITY, own);
    struct stretch s = { p, own, t, saved, 0 };
    nobody(saved);
    enum status status = how->renew ? renew(&s, how->renew) : STATUS_OK;
    if (status == STATUS_OK && (how->deeds & DEED_FILL))
        status = fill(&s);
    /* the plant has changed: an event that mends what is sound has its rates taken anew */
    if (how->deeds & DEED_TOPOFF)
        add(&s, *t, EVENT_MEND, row_of("top-off pump", "dead"));
    if (how->deeds & DEED_SHUT)
        add(&s, *t + MOMENT, EVENT_HAND_SHUT, 0);
    if (how->deeds & DEED_MAINS)
        add(&s, *t + MOMENT, EVENT_POWER_OFF, 0);
    if (status == STATUS_OK && own->events > 0)
        status = go(&s, 2.0 * MOMENT, false);
    free(own);
    return status;
}
