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
#include <stdint.h>

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

/* ---- in pieces -------------------------------------------------------------------------------
 * run_create, then run_begin or run_restore, run_until as often as wanted, run_end, run_free. */

enum { CUTS = 3 };

/* All that decides what comes: a run that goes on from it is the same to the last bit as one that
 * was never interrupted.  Plain bytes; the pointers of its guards mean nothing until restored. */
struct run_saved {
    struct settings settings;
    struct control control;
    struct agenda agenda;
    struct state state;
    struct signals before;
    double dx[X_COUNT];
    double inlet_rate;
    double step; /* s, suggested for the next one */
    int next_event;
    int64_t next_sample;
    int draws_running[DRAWS_MAX];
    int instant;
    double reacted;
    bool making;
    double renewed[STAGES_MAX];
    int cuts[CUTS];
    struct run_figures figures;
};

struct run *run_create(const struct plant *p, const struct plan *plan,
                       const struct run_options *options); /* NULL: out of memory */
void run_free(struct run *r);

enum status run_begin(struct run *r); /* t = 0 */

/* Goes on to the end of the step that reaches t (at most the plan's length): a look at a moment
 * between changes nothing. */
enum status run_until(struct run *r, double t);

/* The same, but a step ends at t. */
enum status run_pause_at(struct run *r, double t);

/* Carries what is under way and tells the observers that this is the end. */
void run_end(struct run *r);

void run_save(const struct run *r, struct run_saved *out);
/* Events of the plan before saved->next_event are taken to be past. */
void run_restore(struct run *r, const struct run_saved *saved);
/* The same for a run with another plan: all events of that are still to come, and its length counts. */
void run_restore_for(struct run *r, const struct run_saved *saved);

/* Words for a fault: what and when. */
void run_explain(const struct run *r, enum status status, char words[RUN_WORDS]);

struct run_figures run_worked(const struct run *r);
double run_time(const struct run *r); /* s */

#endif
