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

enum channel { CHANNEL_TANK_LEVEL, CHANNEL_TANK_VOLUME, CHANNEL_BASIN_VOLUME, CHANNEL_SPILLED };

struct guard {
    const char *name;
    enum channel channel;
    double upper, lower;
    bool *on;
};

/* Value of a channel at x, and its rate. */
double guard_value(const struct plant *p, enum channel c, const double x[]);
double guard_rate(const struct plant *p, enum channel c, const double x[], const double dx[]);

/* Whether the guard would change its mind at x. */
bool guard_crossed(const struct guard *g, const struct plant *p, const double x[]);

/* Longest step [s] that cannot hide a crossing and its return: a share (a half) of the shortest time to
 * any threshold at present rates, but not less than a few seconds. */
double guard_step_limit(const struct guard g[], int n, const struct plant *p, const double x[],
                        const double dx[], double share);

/* Looks for the earliest crossing within the last step of s, which ended at *t with x.  If there is
 * one, moves *t and x back to just past it (to 1e-8 s) and returns its row, else -1. */
int guard_locate(const struct guard g[], int n, const struct plant *p, struct stepper *s, double *t,
                 double x[], enum status *status);

#endif
