/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * run: the hybrid loop.  Page: docs/engine.md.
 *
 *   one accepted step, never past the next due action
 *   locate the earliest guard that crossed
 *   carry the parcel that moved, if it is due
 *   react: events, feed steps, timers, draws, controllers; again until nothing changes
 */
#ifndef SIM_RUN_H
#define SIM_RUN_H

#include <signal.h>

#include "agenda.h"
#include "control.h"
#include "plan.h"
#include "report.h"

enum moment {
    MOMENT_START,    /* t = 0, settings as the controllers want them */
    MOMENT_SAMPLE,   /* every plan->record; x and signals interpolated within a step */
    MOMENT_CHANGE,   /* something changed: `change` says what */
    MOMENT_PARCEL,   /* a parcel was carried */
    MOMENT_DAY,      /* midnight of each day of the run */
    MOMENT_SNAPSHOT, /* a few times over the run, for pictures of the beds */
    MOMENT_END
};

/* What an observer sees; all of it const and only valid during the call. */
struct glimpse {
    enum moment moment;
    const struct plant *plant;
    const struct plan *plan;
    const struct settings *settings;
    const struct state *state; /* beds, vessels, readings, ledger: of the last parcel */
    double t;                  /* s */
    const double *x;
    const struct signals *signals;
    const struct change *change; /* of MOMENT_CHANGE */
};

struct observer {
    void (*see)(void *self, const struct glimpse *g);
    void *self;
};

struct run_options {
    const struct observer *observers;
    int observer_count;
    void (*progress)(void *self, double share); /* NULL: none */
    void *progress_self;
    const volatile sig_atomic_t *stop; /* set: stop at the next step; NULL: never */
};

struct run_figures { /* how the engine worked */
    long steps, calls, events, parcels;
};

enum { SNAPSHOTS = 6 };

/* Simulates the plan.  On a fault the time and the state's name go to `words` (of size SIZE). */
enum { RUN_WORDS = 160 };
enum status run_simulate(const struct plant *p, const struct plan *plan,
                         const struct run_options *options, struct run_figures *figures,
                         char words[RUN_WORDS]);

#endif
