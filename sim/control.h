/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * control: the automata that fill the tank and top off the served water, over what their switches
 * show. Page: docs/control.md.
 */
#ifndef SIM_CONTROL_H
#define SIM_CONTROL_H

#include "changes.h"
#include "commission.h"
#include "guard.h"
#include "trip.h"

enum { GUARDS_MAX = 18 };

/* Of a run of the membrane; rinses are with the drain wide open, the last one with the feed or with
 * stored product. */
enum phase { PHASE_IDLE, PHASE_FIRST_RINSE, PHASE_MAKING, PHASE_RINSE, PHASE_LAST_RINSE };

struct control {
    /* what the water does to each switch; what the switch shows may differ (health) */
    bool start_wet, stop_wet, topoff_wet, topoff_high_wet;
    bool outlet_wet; /* of the tank */
    double run_count;                 /* s that the present run has lasted up to run_since */
    double run_since;                 /* s; NAN while the solenoid is shut */
    double topoff_count, topoff_since;
    enum phase phase;
    double phase_ends;  /* s; INFINITY while water is made for as long as it takes */
    double divert_ends; /* s, INFINITY if nothing is diverted */
    double made_count,
        made_since; /* s of making water since the last rinse, as for the run timer */
    int guards;
    struct guard guard[GUARDS_MAX];
    struct commission commission;
    struct trips trips; /* the protections */
    bool hose_below; /* the end of the top-off's hose lies below the water of the tank */
    bool hose_full;  /* and it is full of water */
};

/* Sets up guards for this plant and the switches as the water stands. */
void control_start(struct control *c, const struct plant *p, struct settings *set,
                   const struct sight *s);

/* Aims the guards at this control and these settings: after both were copied. */
void control_watch(struct control *c, const struct plant *p, struct settings *set);

/* Flips every guard that is past its threshold; true if any did. */
bool control_sense(struct control *c, const struct plant *p, struct settings *set,
                   const struct sight *s, struct changes *log);

/* Lets the automata react at time t to what the switches show; true if a setting changed. */
bool control_react(struct control *c, const struct plant *p, struct settings *set, double t,
                   struct changes *log);

/* When the run timer and the top-off's longest run are due, INFINITY if they are not counting. */
double control_run_due(const struct control *c, const struct plant *p, const struct settings *set);
double control_topoff_due(const struct control *c, const struct plant *p);

/* When the present phase or the diverting ends, or the next rinse is due; INFINITY if none. */
double control_phase_due(const struct control *c, const struct plant *p);

/* Whether the plant rinses or diverts at all. */
bool control_has_phases(const struct plant *p);

/* The reading behind the membrane has come down: the product may go its way. */
void control_divert_over(struct control *c, double t);

/* The timers have come due. */
void control_run_expired(struct control *c);
void control_topoff_expired(struct control *c, struct settings *set);

/* Whether anything has tripped. */
bool control_tripped(const struct control *c, const struct settings *set);

/* A person resets what has latched. */
void control_reset(struct control *c, struct settings *set);

#endif
