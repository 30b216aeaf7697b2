/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * run_inner: a run under way, and what the files that move it share: the loop (run.c), what it does
 * between two steps (run_react.c), what is due (run_due.c), what observers are told (run_tell.c).
 */
#ifndef SIM_RUN_INNER_H
#define SIM_RUN_INNER_H

#include "run.h"
#include "stepper.h"

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

/* ---- run_tell.c ---- */

/* Shows all observers a moment; change: of MOMENT_CHANGE, else NULL. */
void run_tell(struct run *r, enum moment moment, double t, const double x[],
              const struct signals *sig, const struct change *change);
void run_tell_changes(struct run *r); /* all that are noted, which empties the notes */
void run_sample(struct run *r);       /* the rows of the series up to the end of the present step */

/* ---- run_due.c ---- */

double run_event_due(const struct run *r); /* s, of the next event; INFINITY: there is none */
void run_set_timers(struct run *r);
void run_flush(struct run *r, int stage);    /* a new part is to be flushed */
void run_take_slot(struct run *r, int slot); /* does what is due there, and says when it is again */
/* Whether a due slot changes what is in the water, so that the parcel before it must close first. */
bool run_closes_parcel(const struct run *r, int slot);

/* ---- run_react.c ---- */

bool run_watches_pressure(const struct run *r);
/* How fast the inlet pressure changes at t and x [Pa/s], where it is that of `sig`; 0 if nothing
 * watches it. */
double run_inlet_rate(const struct run *r, double t, const double x[], const double dx[],
                      const struct signals *sig);
void run_renew_signals(struct run *r);       /* and rates */
struct sight run_sight(const struct run *r); /* what guards see between two steps */
void run_carry(struct run *r);   /* the parcel that moved */
void run_restart(struct run *r); /* after a jump: signals, rates and the stepper anew */
/* Events, timers, draws, controllers, until nothing changes; STATUS_CHATTER if that never comes. */
enum status run_react(struct run *r);

#endif
