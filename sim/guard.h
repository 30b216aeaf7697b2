/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * guard: a threshold with hysteresis, as data.  It goes on where its channel rises to `upper` and
 * off where it falls to `lower`; between the two it stays as it is, so it can neither chatter nor
 * fire twice.
 */
#ifndef SIM_GUARD_H
#define SIM_GUARD_H

#include "models/plant.h"
#include "stepper.h"

enum channel {
    CHANNEL_TANK_LEVEL,
    CHANNEL_TANK_VOLUME,
    CHANNEL_BASIN_VOLUME,
    CHANNEL_SPILLED,
    CHANNEL_INLET_PRESSURE, /* a signal: it jumps where a flow starts or stops */
    CHANNEL_BLADDER,        /* m3 in it */
    CHANNEL_SHUTOFF         /* plant_shutoff_level; changes with time and settings, too */
};

/* What guards look at, at one moment. */
struct sight {
    const double *x, *dx; /* dx and inlet_rate only where a rate is asked for */
    const struct signals *signals;
    double inlet_rate; /* Pa/s of the inlet pressure */
};

struct guard {
    const char *name;
    enum channel channel;
    double upper, lower;
    bool *on;
    const struct settings *set; /* of a channel that depends on them; else NULL */
};

/* Value of its channel. */
double guard_value(const struct guard *g, const struct plant *p, const struct sight *s);

/* Whether the guard would change its mind. */
bool guard_crossed(const struct guard *g, const struct plant *p, const struct sight *s);

/* Longest step [s] that cannot hide a crossing and its return: a share of the shortest time
 * to any threshold at present rates, but not less than a few seconds. */
double guard_step_limit(const struct guard g[], int n, const struct plant *p,
                        const struct sight *s, double share);

/* The last step, in which crossings are looked for. */
struct guarded_step {
    const struct plant *plant;
    struct stepper *stepper;
    struct sight start, end;
    const struct signals *live; /* what each call of the rates fills: after a repeat, of its end */
};

/* Looks for the earliest crossing within the step, which ended at *t with x.  If there is one,
 * moves *t and x back to just past it (to 1e-8 s, or to rounding of a level that creeps) and returns its row, else -1. */
int guard_locate(const struct guard g[], int n, const struct guarded_step *step, double *t,
                 double x[], enum status *status);

#endif
